"""Plate stringers: bracket holes and slots where the treads are, straight and saw-tooth."""

import json
import math
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.design.built import surfaces
from cutpath.dxf.read_back import read_dxf
from cutpath.faults import Fault, ImpossibleStringer
from cutpath.outline import Arc
from tests.form_jobs import BASE, STOCK, drawn, job

PLATE = '[stringer]\nform = "plate"\nmargin = 60\n'
STEEL = "[[stock]]\nsize = [10, 300]\nlength = 6000\n"
BEAM = '[cutter]\nkind = "beam"\nwidth = 1\n'
R, T, C, S = 175.0, 280.0, 35.0, 20.0


def bracket(text: str, profile: str = "straight") -> str:
    return PLATE + f'[stringer.plate]\nprofile = "{profile}"\nbracket = {{{text}}}\n' + BEAM


@pytest.mark.parametrize(("profile", "front"), [("straight", S), ("saw-tooth", 0.0)])
def test_holes_lie_back_from_the_front_and_below_the_seat_of_every_tread(profile: str, front: float) -> None:
    text = bracket("diameter = 12, count = 3, at = [40, 30], spacing = 65", profile)
    _, design = drawn(text, stock=STEEL)
    back = design.stringer.to_board.inverse()
    got = [back(h.centre) for h in design.part.holes]
    meant = [(k * T + front - 40 - 65 * i, -k * R - C - 30) for k in range(1, 8) for i in range(3)]
    assert [c for p in got for c in p] == pytest.approx([c for p in meant for c in p])
    assert {h.diameter for h in design.part.holes} == {12.0}
    assert {h.what for h in design.part.holes} == {"tread bracket"}
    assert [s.name for s in design.parts] == ["Byre stringer"]
    assert design.parts[0].count == 2


def test_slots_are_level_stadiums_about_the_holes_places() -> None:
    _, design = drawn(bracket("diameter = 12, slot = 30, at = [40, 30], spacing = 80"), stock=STEEL)
    back = design.stringer.to_board.inverse()
    slots = [s.moved(back) for s in design.part.slots]
    assert len(slots) == 14 and not design.part.holes
    # A rectangle between two half circles, counter-clockwise.
    assert [s.area() for s in slots] == pytest.approx([18 * 12 + math.pi * 36] * 14)
    assert slots[0].extents() == pytest.approx((300 - 40 - 15, -210 - 30 - 6, 300 - 40 + 15, -210 - 30 + 6))
    assert slots[1].extents() == pytest.approx((300 - 120 - 15, -246, 300 - 120 + 15, -234))


def test_a_straight_plate_s_treads_are_read_off_its_holes() -> None:
    stair, design = drawn(bracket("diameter = 12, slot = 30, at = [40, 30]"), 18.0, STEEL)
    built = surfaces(stair, design.stringer)
    rises, goings = built.rises, built.goings
    assert rises == pytest.approx([R] * 8)
    assert goings == pytest.approx([T] * 7)
    assert design.part.throat is None


def test_throat_of_a_saw_tooth_plate_is_measured_to_the_holes() -> None:
    text = bracket("diameter = 12, count = 1, at = [200, 50]", "saw-tooth") + 'corner = "rounded"\n'
    _, design = drawn(text, stock=STEEL)
    # From where the fillet of a cut of 1 mm ends before a notch's corner, T back from its tread's front, to the rim.
    assert design.part.throat == pytest.approx(math.hypot(T - 200 - 0.5, 50) - 6)
    _, bare = drawn(bracket("count = 0", "saw-tooth") + 'corner = "rounded"\n', stock=STEEL)
    assert bare.part.notches[0].throat == pytest.approx(300 - R * T / math.hypot(R, T))
    # Behind the lowest notch the seat cut is nearer: a rise less a tread's thickness under it.
    assert bare.part.throat == pytest.approx(R - C)
    assert not bare.part.holes


def test_a_slot_takes_the_tool_and_a_hole_the_beam() -> None:
    def check(text: str, name: str, stock: str = STEEL) -> tuple[bool, bool, float | None]:
        found = next(c for c in drawn(text, stock=stock)[1].checks if c.id == name)
        return found.ok, found.required, found.least

    slots = "diameter = 8, slot = 20"
    assert check(bracket(slots), "slot-size") == (True, True, 1.0)
    router = PLATE + f"[stringer.plate]\nbracket = {{{slots}}}\n[cutter]\nwidth = 9\n"
    assert check(router, "slot-size", STOCK) == (False, True, 9.0)
    # Cutting services want holes no smaller than the plate is thick; a shop can drill them, so this is advice.
    assert check(bracket("diameter = 9"), "hole-size") == (False, False, 10.0)
    assert check(bracket("diameter = 10"), "hole-size") == (True, False, 10.0)


def test_wood_guidance_is_not_for_plates() -> None:
    _, design = drawn(bracket("count = 2"), stock=STEEL)
    assert not {"span", "spacing"} & {c.id for c in design.checks}
    assert design.bending is None


def test_holes_that_break_out_or_run_together_are_named() -> None:
    with pytest.raises(ImpossibleStringer, match=r'stringer\.plate\.bracket \("tread bracket"\) at tread 1 breaks out'):
        drawn(bracket("count = 1, at = [900, 30]"), stock=STEEL)
    with pytest.raises(ImpossibleStringer, match=r"run together by 4 mm; move them apart"):
        drawn(bracket("diameter = 14, count = 2, spacing = 10"), stock=STEEL)


def test_a_slot_shorter_than_wide_is_a_fault_of_the_job() -> None:
    with pytest.raises(Fault) as caught:
        job(bracket("diameter = 14, slot = 14"))
    assert "stringer.plate.bracket.slot: 14 mm long is not more than its width" in " ".join(caught.value.lines)


@pytest.mark.slow
@pytest.mark.parametrize("profile", ["straight", "saw-tooth"])
@pytest.mark.parametrize("path", ["design", "centre"])
def test_the_files_are_written_and_cut_right_in_simulation(tmp_path: Path, path: str, profile: str) -> None:
    text = bracket("diameter = 12, slot = 28, at = [60, 40], spacing = 90", profile) + f'path = "{path}"\n'
    file = tmp_path / "a.toml"
    file.write_text(BASE.format(riser=0) + text + STEEL, encoding="utf-8")
    assert run(["export", str(file), "-o", str(tmp_path / "out")]) == 0
    stringer = json.loads((tmp_path / "out" / "result.json").read_text())["stringer"]
    assert (stringer["form"], stringer["profile"], len(stringer["slots"])) == ("plate", profile, 14)


@pytest.mark.parametrize(
    ("off", "direction"),
    [(0.0, "climb"), (0.0, "conventional"), (1e-7, "climb"), (-1e-7, "conventional"), (1e-5, "climb")],
)
def test_a_slot_as_wide_as_the_tool_is_one_stroke(tmp_path: Path, off: float, direction: str) -> None:
    at = '[cutter]\nwidth = 12\npath = "centre"\n'
    slots = f"[stringer.plate]\nbracket = {{diameter = {12 + off:.7f}, slot = 28, at = [60, 40], spacing = 90}}\n"
    file, out = tmp_path / "a.toml", tmp_path / "out"
    text = BASE.format(riser=0) + PLATE + slots + at + f'direction = "{direction}"\n' + STOCK
    file.write_text(text, encoding="utf-8")
    assert run(["export", str(file), "-o", str(out)]) == 0
    drawing = read_dxf("01.dxf", (out / "boards" / "01.dxf").read_bytes(), "mm", "NOTE").drawing
    chains = [c.chain for c in drawing.chains if c.layer == "CUT"]
    slots_cut = [c for c in chains if c.length() < 60]
    assert slots_cut and all(c.closed == (off > 1e-6) for c in slots_cut)
    if off <= 1e-6:
        assert {round(c.length(), 5) for c in slots_cut} == {28.0 - 12.0}


def test_each_relief_is_drawn_once_however_many_holes_it_is_held_against(monkeypatch: pytest.MonkeyPatch) -> None:
    places, at = [0], Arc.at

    def counted(arc: Arc, share: float) -> tuple[float, float]:
        places[0] += 1
        return at(arc, share)

    text = PLATE + '[stringer.plate]\nprofile = "saw-tooth"\nbracket = {{diameter = 12, count = {}, spacing = 25}}\n'
    monkeypatch.setattr(Arc, "at", counted)
    taken = []
    for count in (1, 6):
        places[0] = 0
        drawn(text.format(count), stock=STEEL)
        taken.append(places[0])
    assert taken[0] > 100 and taken[1] < 1.5 * taken[0]


def test_nothing_said_of_a_plate_speaks_of_boards_or_hands(capsys: pytest.CaptureFixture[str]) -> None:
    job = Path(__file__).parent.parent / "fixtures" / "steel-plate.toml"
    assert run(["check", str(job)]) == 0
    assert "board's thickness" not in capsys.readouterr().out
    assert run(["site", str(job)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "turned over, it is the other side's" in text and "other hand" not in text

"""Where tabs stand, on every form and face, and that a cut which is wrong is never written."""

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.cut.relief import CutPart
from cutpath.cut.tabs import Tab, place_tabs, tabs_wanted
from cutpath.export.one import export_files
from cutpath.faults import Fault, WrongCut
from cutpath.job.values import Tabs
from cutpath.outline import Chain, Point
from cutpath.plan.values import Plan
from cutpath.work.boards import board_drawing, board_program, label_places
from cutpath.work.cut_check import check_cuts, cut_verdict
from cutpath.work.tab_words import fewer_tabs_lines, no_room, tabs_missing
from tests.jobs import job_with, plan_of

LOOSE = {"rules": "irc-2021"}


def stair_of(planned: Plan, part: CutPart, point: Point) -> Point:
    """A point of a part in the stair frame; of a mirrored part, as the one that it is the mirror image of."""
    x0, _, x1, _ = part.outline.extents()
    x = x0 + x1 - point[0] if part.mirrored else point[0]
    return planned.design.stringer.to_board.inverse()((x, point[1]))


def on_bearing(planned: Plan, part: CutPart, tab: Tab) -> bool:
    """Whether a tab stands on a face that bears, told from where it is in the stair, not from the outline's roles."""
    stair, x, y = planned.stair, *stair_of(planned, part, tab.middle)
    seats = [stair.seat(k) for k in stair.steps] if planned.job.stringer.toothed else []
    level = any(math.isclose(y, seat, abs_tol=1e-6) for seat in (*seats, -stair.total_rise))
    return level or math.isclose(x, planned.job.stringer.top_gap, abs_tol=1e-6)


def faces_of(planned: Plan) -> list[CutPart]:
    return [face for parts in planned.design.parts for face in (parts.part, parts.over) if face is not None]


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(
    form=st.sampled_from(["notched", "plate", "housed"]),
    edges=st.sampled_from(["factory", "trimmed"]),
    corner=st.sampled_from(["relieved", "rounded"]),
    relief=st.sampled_from(["most-throat", "riser-side", "tread-side"]),
    top=st.sampled_from(["one-below", "at-floor"]),
    sill=st.booleans(),
    count=st.integers(1, 5),
    waste=st.sampled_from(["free", "tabbed"]),
    cutter=st.sampled_from([0.05, 0.25, 0.375]),
)
def test_no_tab_stands_where_tread_pad_or_header_bears(
    form: str, edges: str, corner: str, relief: str, top: str, sill: bool, count: int, waste: str, cutter: float
) -> None:
    stringer: dict[str, Any] = {"form": form, "edges": edges, "count": 2}
    stringer["sill_notch"] = {"deep": 3.5, "high": 1.5} if sill else None
    stringer["turn_over"] = form != "housed"
    if form == "plate":
        stringer["plate"] = {"profile": "straight", "bracket": {"count": 0}}
    read = job_with(
        stair={"top_tread": top, "header_depth": None},
        stringer=stringer,
        cutter={"width": cutter, "corner": corner, "relief": relief},
        tabs={"count": count, "waste": waste},
    )
    try:
        planned = plan_of(read)
    except Fault:
        assume(False)
    for part in faces_of(planned):
        placed = place_tabs(part, planned.job.cutter, planned.job.tabs)
        assert not [tab for tab in placed if on_bearing(planned, part, tab)]
        assert sum(tab.holds == "part" for tab in placed) <= count
        assert len(placed) <= tabs_wanted(part, planned.job.tabs)


@pytest.mark.parametrize("form", ["notched", "housed"])
@pytest.mark.parametrize("edges", ["factory", "trimmed"])
def test_one_tab_that_is_asked_for_is_there(form: str, edges: str) -> None:
    stringer = {"form": form, "edges": edges, "count": 2, "sill_notch": None, "turn_over": form != "housed"}
    planned = plan_of(job_with(stringer=stringer, cutter={"path": "centre"}, tabs={"count": 1, "shown": "layer"}))
    for part in faces_of(planned):
        (tab,) = place_tabs(part, planned.job.cutter, planned.job.tabs)
        assert tab.holds == "part" and not on_bearing(planned, part, tab)
    drawn, _ = files_of(planned)
    shown = sum(c.layer == "TAB" for drawing in drawn for c in drawing.chains)
    assert shown == sum(len(board.parts) for board in planned.layout.boards)


def files_of(planned: Plan) -> tuple[list, list]:
    places = label_places(planned)
    programs = [board_program(planned, i, places) for i in range(len(planned.layout.boards))]
    drawn = [board_drawing(planned, i, done, lambda v: f"{float(v):g}") for i, done in enumerate(programs)]
    return drawn, [done.cuts for done in programs]


@pytest.mark.parametrize("path", ["design", "centre"])
@pytest.mark.parametrize("shown", ["gap", "layer"])
@pytest.mark.parametrize("over", [False, True])
def test_the_simulated_cut_looks_at_where_tabs_stand(path: str, shown: str, over: bool, monkeypatch: Any) -> None:
    """Tabs put on tread seats by a placing that takes the one for the other fail, in either kind of file."""
    planned = plan_of(
        job_with(
            stringer={"count": 2, "turn_over": True, "edges": "trimmed"},
            cutter={"path": path},
            tabs={"waste": "tabbed", "shown": shown},
            stock=[{"size": "2x12", "length": "12'", "quantity": 4}],
        )
    )
    # One part alone, with either face up: its mirror image lies within its own box.
    board = planned.layout.boards[0]
    alone = replace(board, parts=(replace(board.parts[0], over=over),))
    planned = replace(planned, layout=replace(planned.layout, boards=(alone,)))
    drawn, cuts = files_of(planned)
    assert cut_verdict(check_cuts(planned, drawn, cuts)).ok

    from cutpath.cut import onboard

    monkeypatch.setattr(
        onboard, "place_tabs", lambda part, *rest: place_tabs(replace(part, mirrored=not part.mirrored), *rest)
    )
    drawn, cuts = files_of(planned)
    found = check_cuts(planned, drawn, cuts)
    assert all(check.on_bearing for check in found)
    verdict = cut_verdict(found)
    assert not verdict.ok and "stands on a face that bears" in verdict.note


@pytest.mark.slow
def test_fewer_tabs_than_asked_for_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    planned = plan_of(job_with(tabs={"count": 9}))
    part = planned.design.part
    placed = len(place_tabs(part, planned.job.cutter, planned.job.tabs))
    assert 0 < placed < 9
    made = export_files(planned, {}, (), with_cuts=True)
    board = made.files["boards/01.dxf"].decode()
    on_it = len(planned.layout.boards[0].parts)
    assert f"{(9 - placed) * on_it} tabs fewer than asked for" in board
    assert f"{9 - placed} of 9 tabs left out" in made.files["packet.html"].decode()
    job = tmp_path / "many.toml"
    job.write_text(
        "[site]\ntotal_rise = 43.5\n[stair]\nunit_run = 10.5\n[tabs]\ncount = 9\n"
        '[[stock]]\nsize = "2x12"\nlength = "16 ft"\n'
    )
    run(["export", str(job), "-o", str(tmp_path / "out")])
    assert "of 9 tabs left out" in capsys.readouterr().out


def test_wanted_counts_the_waste_of_each_notch() -> None:
    part = plan_of(job_with()).design.part
    assert tabs_wanted(part, Tabs(count=2)) == 2
    assert tabs_wanted(part, Tabs(count=2, waste="tabbed")) == 2 + len(part.notches)


LEAD = """units = "in"
[site]
total_rise = 14
[stair]
unit_run = 10
risers = 2
[stringer]
count = 4
edges = "trimmed"
throat_least = 1
[cutter]
kind = "beam"
width = 0.04
path = "centre"
lead = 1
[machine]
part_gap = 0.5
[[stock]]
size = [1.5, 17]
length = 120
"""


def test_the_nest_leaves_room_for_leads(tmp_path: Path) -> None:
    """Parts half an inch apart were cut 0.54 in deep by the neighbour's lead of an inch."""
    job = tmp_path / "lead.toml"
    job.write_text(LEAD)
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 0
    data = json.loads((tmp_path / "out" / "result.json").read_text())
    assert data["nest"]["part_gap"] >= 1
    assert len(data["shop"]["simulated_cut"]) == 4 and all(part["ok"] for part in data["shop"]["simulated_cut"])


def test_a_lead_that_cuts_into_a_neighbour_is_never_written_and_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: Any
) -> None:
    from cutpath.job.values import Job

    monkeypatch.setattr(Job, "part_gap", property(lambda job: job.machine.part_gap))
    job, out = tmp_path / "lead.toml", tmp_path / "out"
    job.write_text(LEAD)
    for more in ([], ["--despite-checks"]):
        assert run(["export", str(job), "-o", str(out), *more]) == 1
        err = capsys.readouterr().err
        assert "nothing was written" in err and "cutter.lead" in err and "machine.part_gap" in err
        assert "narrower cutter" not in err
        assert not out.exists()


def test_the_library_hands_out_no_file_of_a_wrong_cut(monkeypatch: Any) -> None:
    from cutpath.export import for_shop

    planned = plan_of(job_with())
    real = for_shop.cut_files

    def gouged(*given: Any) -> Any:
        files, checks = real(*given)
        return files, [replace(c, cut=replace(c.cut, gouge=1.0)) for c in checks]

    monkeypatch.setattr(for_shop, "cut_files", gouged)
    with pytest.raises(WrongCut, match="off the design"):
        export_files(planned, {}, (), with_cuts=True)


def test_a_contour_with_tabs_has_no_leads_and_says_so() -> None:
    read = job_with(
        cutter={"kind": "beam", "width": 0.02, "path": "centre", "lead": 0.3},
        stringer={"edges": "trimmed"},
        tabs={"count": 2},
    )
    planned = plan_of(read)
    drawn, cuts = files_of(planned)
    assert not any(cut.leads for each in cuts for cut in each)
    assert all("without leads" in " ".join(n.text for n in drawing.notes) for drawing in drawn)
    assert any("cutter.lead" in line for line in fewer_tabs_lines(planned))


def test_a_stretch_on_a_seat_is_told_from_one_beside_it() -> None:
    from cutpath.cut.simulate.bearing import bearing_faces, tabs_that_bear
    from cutpath.outline import shift

    planned = plan_of(job_with(stringer={"sill_notch": None}))
    part = planned.design.part
    faces = bearing_faces(part, shift(0.0, 0.0))
    # Header, pad, and a seat for every tread.
    assert len(faces) == 2 + planned.stair.treads
    (ax, ay), (bx, by) = max(faces, key=lambda face: face[0][1])
    length = math.dist((ax, ay), (bx, by))
    u, v = (bx - ax) / length, (by - ay) / length
    middle = ((ax + bx) / 2, (ay + by) / 2)

    def at(along: float, out: float) -> Point:
        return (middle[0] + along * u + out * v, middle[1] + along * v - out * u)

    on = Chain((at(-5, 3), at(5, 3)), (0.0, 0.0), False)
    beside = Chain((at(-5, 8), at(5, 8)), (0.0, 0.0), False)
    assert len(tabs_that_bear(faces, [on, beside], (), 3.0, 3.0)) == 1
    tick = Chain((at(0, -3), at(0, -9)), (0.0, 0.0), False)
    letter = Chain((at(0, -6), at(0, -9)), (0.0, 0.0), False)
    assert len(tabs_that_bear(faces, (), [tick, letter], 3.0, 3.0)) == 1


@pytest.mark.parametrize(("count", "width", "narrower"), [(1, "3", True), (2, "1", True), (9, "1/2", False)])
def test_what_is_said_to_make_room_for_tabs_makes_it(count: int, width: str, narrower: bool) -> None:
    read = job_with(tabs={"count": count, "width": width})
    parts = [one.part for one in plan_of(read).design.parts]
    assert tabs_missing(parts, read.job)
    told = re.search(r"tabs\.width <([\d.]+)>", said := no_room(parts, read.job, lambda mm: f"<{mm:.6f}>"))
    assert (told is not None) == narrower and ("tabs.count" in said) != narrower
    if told is not None:
        assert not tabs_missing(parts, replace(read.job, tabs=replace(read.job.tabs, width=float(told[1]))))

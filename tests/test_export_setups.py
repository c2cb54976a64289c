"""A bed shorter than the board: the set-ups' files together cut what the board's file cuts, and are cut to prove it."""

import json
import re

import pytest
from msgspec.structs import replace

from cutpath.drawing import Drawing
from cutpath.dxf.read_back import read_dxf
from cutpath.export.rejoined import rejoined
from cutpath.faults import FileMismatch
from cutpath.work.boards import board_program, label_places
from cutpath.work.setups import board_setups
from tests.jobs import export_of, job_with, plan_of

IN = 25.4


@pytest.mark.slow
@pytest.mark.parametrize(
    ("edges", "path", "indexing"),
    # Every two of the three in each of their four ways.
    [
        ("factory", "design", "stop"),
        ("factory", "centre", "holes"),
        ("trimmed", "design", "holes"),
        ("trimmed", "centre", "stop"),
    ],
)
def test_set_ups_are_written_and_pass_the_simulated_cut(edges: str, path: str, indexing: str) -> None:
    read = job_with(machine={"bed": [60, 60], "indexing": indexing}, cutter={"path": path}, stringer={"edges": edges})
    made = export_of(read)
    assert made.cut.ok
    files = [p for p in made.files if "-setup-" in p and p.endswith(".dxf")]
    assert len(files) == 5 and "boards/01.dxf" in made.files
    pictures = [p for p in made.files if "-setup-" in p and p.endswith(".svg")]
    assert len(pictures) == len(files)
    for name in files:
        x0, _, x1, _ = read_dxf(name, made.files[name], "in", "NOTE").extents
        assert x0 >= -1e-6 and x1 <= 60 * IN + 1e-6, "all of it within the bed's reach"
    shop = json.loads(made.files["result.json"])["shop"]
    listed = [one["file"] for board in shop["set_ups"] for one in board["set_ups"]]
    assert listed == files
    assert all(one["slide"] > 0 for board in shop["set_ups"] for one in board["set_ups"][1:])
    notes = read_dxf("x", made.files["boards/01.dxf"], "in", "NOTE").drawing.notes
    said = " ".join(n.text for n in notes)
    assert "01-setup-1.dxf" in said and "never this file" in said
    rows = re.findall(r"^ +\d+ +\d of \d", made.set_ups, re.MULTILINE)
    assert "board" in made.set_ups and len(rows) == len(files)


def test_a_board_that_fits_needs_none() -> None:
    read = job_with(machine={"bed": [144, 60]})
    made = export_of(read)
    assert not [p for p in made.files if "setup" in p]
    assert made.set_ups == ""


def test_files_that_together_cut_something_else_are_refused() -> None:
    read = job_with(machine={"bed": [60, 60]})
    planned = plan_of(read)
    made = export_of(read)
    drawings = {p: read_dxf(p, d, "in", "NOTE").drawing for p, d in made.files.items() if p.endswith(".dxf")}
    done = board_program(planned, 0, label_places(planned))
    ups = board_setups(planned, 0, done)
    whole = drawings["boards/01.dxf"]
    assert rejoined(planned, 0, ups, whole, drawings).chains

    def without_cuts(drawing: Drawing) -> Drawing:
        return replace(drawing, chains=tuple(c for c in drawing.chains if c.layer != "CUT"))

    lost = {**drawings, "boards/01-setup-2.dxf": without_cuts(drawings["boards/01-setup-2.dxf"])}
    with pytest.raises(FileMismatch, match="set-ups together"):
        rejoined(planned, 0, ups, whole, lost)
    slid = tuple(replace(one, offset=one.offset + 0.1) if one.number == 2 else one for one in ups)
    with pytest.raises(FileMismatch, match="set-ups together"):
        rejoined(planned, 0, slid, whole, drawings)


def test_a_bed_too_narrow_is_one_plain_line(tmp_path, capsys) -> None:
    from cutpath.cli.main import run
    from tests.jobs import FIXTURES

    job = tmp_path / "job.toml"
    text = (FIXTURES / "orchard-steps.toml").read_text()
    job.write_text(text.replace("bed = [144, 60]", "bed = [60, 6]"))
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 2
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1 and "bed" in err
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
@pytest.mark.parametrize("lead", [0.0, 0.5])
def test_a_contour_that_is_divided_says_that_it_lost_its_leads(lead: float) -> None:
    """The files of its set-ups hold no lead for it; their notes, the table and `result.json` say so."""
    read = job_with(
        machine={"bed": [60, 60]}, cutter={"path": "centre", "lead": lead}, stringer={"edges": "trimmed", "count": 2}
    )
    made = export_of(read)
    assert made.cut is not None and made.cut.ok
    said = []
    for board in json.loads(made.files["result.json"])["shop"]["set_ups"]:
        for one in board["set_ups"]:
            drawing = read_dxf(one["file"], made.files[one["file"]], "in", "NOTE").drawing
            open_cuts = any(c.layer == "CUT" and not c.chain.closed for c in drawing.chains)
            told = any("without leads" in n.text for n in drawing.notes)
            assert told == one["without_leads"] == bool(lead and open_cuts)
            said.append(told)
    assert any(said) == bool(lead) == ("without leads" in made.set_ups)


@pytest.mark.slow
def test_a_board_that_needs_one_set_up_asks_for_no_stop() -> None:
    read = job_with(cutter={"path": "centre"}, tabs={"count": 3})
    made = export_of(read)
    boards = json.loads(made.files["result.json"])["shop"]["set_ups"]
    alone = [board["set_ups"][0] for board in boards if len(board["set_ups"]) == 1]
    assert alone, "the tool's way past the ends is what makes the board too long"
    for one in alone:
        notes = read_dxf("x", made.files[one["file"]], "in", "NOTE").drawing.notes
        assert one["stop"] is None and "stop" not in " ".join(n.text for n in notes)

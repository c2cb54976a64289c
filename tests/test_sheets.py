"""Stringers on sheets: every layout held by shapely against gap, sides, grain and counts."""

import csv
import io
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cut.relief import cut_part
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.read import job_from_text, read_job
from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import BadLayout, PartFitsNoBoard, TooFewBoards
from cutpath.nest.sheets.nest_sheets import EdgesOfSheets, nest_sheets
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import PartKind
from cutpath.pictures import board_svg
from cutpath.pictures.board import board_view
from cutpath.pictures.canvas import Canvas
from cutpath.pictures.words import size_text
from cutpath.plan.together import JobsDiffer
from cutpath.report.nest import nest_text
from cutpath.tables.answers import nest_data
from cutpath.tables.cut_list import cut_list
from cutpath.tolerances import GAP_SLACK
from cutpath.units import cell
from cutpath.work.boards import _label_lines
from tests.jobs import board_work, export_of, job_with, plan_of
from tests.sheet_jobs import FIXTURES
from tests.stairs import mm, spec

GAP, TRIM = 12.0, 10.0
SHEET = StockBoards("sheet", 27.0, 1220.0, 1220.0, 2440.0, None, 100.0, (), kind="sheet")


def stringers(count: int, risers: int = 7, width: float = 286.0, name: str = "stringer") -> PartKind:
    stair = Stair(risers, 175.0, 260.0, "one-below", 30.0, 18.0, 25.0, 43.0)
    part = cut_part(build_stringer(stair, spec(), width, mm), "relieved", 3.0)
    return PartKind(name, part.outline, width, count, "trimmed", 5.0)


def laid(kinds: list[PartKind], stock: list[StockBoards], **options):
    layout = nest_sheets(kinds, stock, gap=GAP, end_trim=TRIM, **{"seconds": 0.0, **options})
    verify_sheets(layout, kinds, GAP, TRIM, stock)
    return layout


@pytest.mark.slow
@settings(max_examples=8, deadline=None)
@given(
    count=st.integers(1, 5),
    risers=st.integers(3, 7),
    width=st.floats(230, 320),
    wide=st.floats(700, 1600),
    grain=st.sampled_from(["along", "free"]),
)
def test_every_layout_holds(count: int, risers: int, width: float, wide: float, grain: str) -> None:
    kind = stringers(count, risers, width)
    sheet = replace(SHEET, width=wide, least_width=wide, length=3000.0, grain=grain)  # type: ignore[arg-type]
    layout = laid([kind], [sheet])
    assert layout.bound <= layout.value + 1e-9
    # Held once more here, apart from the program's own check.
    for board in layout.boards:
        placed = [kind.outline.moved(p.motion).polygon() for p in board.parts]
        room = shapely.box(TRIM, 0, board.stock.length - TRIM, wide)
        for i, polygon in enumerate(placed):
            assert room.buffer(1e-6).contains(polygon)
            assert all(polygon.distance(other) >= GAP - GAP_SLACK for other in placed[:i])
        if grain == "along":
            assert all(p.motion.sin == 0 for p in board.parts)


@pytest.mark.slow
def test_the_same_job_gives_the_same_layout() -> None:
    kinds = [stringers(3), stringers(1, 4, name="short")]
    assert laid(kinds, [SHEET]) == laid(kinds, [SHEET])


def test_teeth_into_teeth_takes_less_than_boxes() -> None:
    """A sheet too narrow for two boxes one above the other takes two stringers, the second turned into the first."""
    kind = stringers(2)
    x0, y0, x1, y1 = kind.outline.extents()
    boxes = 2 * (y1 - y0) + GAP + 2 * kind.edge_trim
    narrow = replace(SHEET, width=boxes - 60, least_width=boxes - 60, length=x1 - x0 + 2 * TRIM + 300)
    layout = laid([kind], [narrow])
    assert len(layout.boards) == 1
    assert sorted(p.rotated for p in layout.boards[0].parts) == [False, True]


@pytest.mark.slow
def test_what_cannot_be_is_said() -> None:
    with pytest.raises(EdgesOfSheets, match=r"stringer\.edges"):
        laid([replace(stringers(1), edges="factory")], [SHEET])
    with pytest.raises(PartFitsNoBoard):
        laid([stringers(1, 14)], [replace(SHEET, length=1500.0)])
    with pytest.raises(TooFewBoards):
        laid([stringers(12)], [replace(SHEET, quantity=1)])


def test_a_layout_that_is_tampered_with_is_found() -> None:
    kind = stringers(3)
    layout = laid([kind], [SHEET])
    board = layout.boards[0]
    first, second = board.parts[0], board.parts[1]
    moved = replace(second, motion=first.motion, x=first.x, y=first.y, rotated=first.rotated)
    spoiled = replace(layout, boards=(replace(board, parts=(first, moved, *board.parts[2:])), *layout.boards[1:]))
    with pytest.raises(BadLayout):
        verify_sheets(spoiled, [kind], GAP, TRIM)


@pytest.mark.slow
def test_a_searched_layout_holds_and_is_never_worse() -> None:
    kinds = [stringers(4), stringers(2, 4, name="short")]
    quick = laid(kinds, [SHEET])
    searched = laid(kinds, [SHEET], seconds=0.8)
    assert searched.value <= quick.value + 1e-9


@pytest.mark.parametrize("path", ["design", "centre"])
def test_sheets_are_exported_and_pass_the_simulated_cut(path: str) -> None:
    read = job_with("panel-steps", cutter={"path": path})
    planned = plan_of(read)
    made = export_of(read)
    assert made.cut.ok
    (board,) = planned.layout.boards
    assert len(board.parts) == 4
    turns = {round(math.degrees(math.atan2(p.motion.sin, p.motion.cos))) % 180 for p in board.parts}
    assert turns == {0}, "the grain runs along"
    assert made.files["boards/01.dxf"]


def test_a_part_that_lies_across_takes_up_what_it_is_wide() -> None:
    """A sheet shorter than the stringer and wide enough for it: it lies across, and list and picture say so."""
    sheet = {"kind": "sheet", "size": [27, 1500], "length": 1200, "grain": "free"}
    short = {"site": {"total_rise": 850}, "stair": {"risers": 5}, "stringer": {"count": 1}}
    planned = plan_of(job_with("panel-steps", stock=[sheet], **short))
    ((placed,),) = [board.parts for board in planned.layout.boards]
    outline = planned.part_of(placed).outline
    left, _, right, _ = outline.moved(placed.motion).extents()
    assert right - left < 1200 < outline.extents()[2] - outline.extents()[0]
    row = next(row for row in csv.DictReader(io.StringIO(cut_list(planned))) if row["item"] == "part")
    assert float(row["from"]) == pytest.approx(left, abs=1e-6)
    assert float(row["to"]) == pytest.approx(right, abs=1e-6)
    assert float(row["length"]) > 1200
    assert float(row["across_from"]) == pytest.approx(placed.y, abs=1e-6)
    assert float(row["across_to"]) - placed.y == pytest.approx(outline.extents()[2], abs=1e-6)
    assert size_text(right, "mm") in board_svg(planned, 0, board_work(planned))


def test_where_each_part_lies_across_a_sheet_is_told_and_its_sides_are_drawn_as_kept_clear(monkeypatch) -> None:
    planned = plan_of(job_with("panel-steps"))
    (board,) = planned.layout.boards
    shown = nest_text(planned)
    for placed in board.parts:
        assert f"{cell(placed.x, 'mm')}, up {cell(placed.y, 'mm')}" in shown
    drawn: list[tuple[float, float, float, float]] = []
    plain = Canvas.strokes

    def strokes(canvas: Canvas, segments, line) -> None:
        segments = list(segments)
        drawn.extend(segments if line == "hatch" else ())
        plain(canvas, segments, line)

    monkeypatch.setattr(Canvas, "strokes", strokes)
    board_svg(planned, 0, board_work(planned))
    view = board_view(planned, 0)
    for low, high in ((0.0, 10.0), (1240.0, 1250.0)):
        (left, bottom), (right, top) = view((10.0, low)), view((2490.0, high))
        inside = [
            (x0 + x1) / 2
            for x0, y0, x1, y1 in drawn
            if top - 1e-6 <= min(y0, y1) and max(y0, y1) <= bottom + 1e-6 and left < (x0 + x1) / 2 < right
        ]
        assert max(inside) - min(inside) > 0.9 * (right - left)


def test_boards_and_sheets_do_not_mix() -> None:
    read = job_with("panel-steps")
    board = StockBoards("27 x 300 mm", 27.0, 300.0, 300.0, 2500.0, 4, None, ())
    with pytest.raises(JobsDiffer, match="boards and sheets in one nest"):
        plan_of(replace(read, job=replace(read.job, stock=(*read.job.stock, board))))


def test_a_search_without_its_library_is_one_plain_line(capsys, monkeypatch) -> None:
    from cutpath.cli.main import run
    from cutpath.nest.sheets import search as sheets_search
    from tests.jobs import FIXTURES

    monkeypatch.setattr(sheets_search, "can_search", lambda: False)
    assert run(["nest", str(FIXTURES / "panel-steps.toml"), "--search", "1"]) == 2
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1 and "cutpath[search]" in err
    assert run(["nest", str(FIXTURES / "panel-steps.toml")]) == 0


@pytest.mark.parametrize(("asked", "kept"), [("", 8.0), ("edge_trim = 3", 8.0), ("edge_trim = 20", 20.0)])
def test_parts_keep_off_a_sheet_s_sides_as_off_its_ends(asked: str, kept: float) -> None:
    """A cut on the very edge leaves no straight side, and tabs there would hold to nothing."""
    text = f"""
units = "mm"
[site]
total_rise = 720
[stringer]
form = "plate"
width = 280
edges = "trimmed"
{asked}
[machine]
end_trim = 8
[[stock]]
kind = "sheet"
size = [8, 900]
length = 2000
"""
    nest = nest_data(plan_of(job_from_text(text)))["nest"]
    for board in nest["boards"]:
        lows = [part["y"] for part in board["parts"]]
        assert min(lows) == pytest.approx(kept, abs=1e-6)
        assert max(lows) + 280 <= 900 - kept + GAP_SLACK


@pytest.mark.parametrize(("name", "word"), [("panel-steps", "SHEET 2"), ("orchard-steps", "BOARD 2")])
def test_a_part_is_lettered_with_what_it_was_cut_from(name: str, word: str) -> None:
    found = plan_of(read_job(FIXTURES / f"{name}.toml"))
    parts = found.design.parts[0]
    assert _label_lines(found, parts.name, parts.part, 2)[-1] == word

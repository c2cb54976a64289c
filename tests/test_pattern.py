"""The full-size pattern, measured back out of the PDF by another library than wrote it."""

from __future__ import annotations

import hashlib
import itertools
import math
import re
import subprocess
import sys
from functools import lru_cache
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cautions import CAUTIONS
from cutpath.cut.features import Hole
from cutpath.faults import Fault
from cutpath.outline import Chain, Point, arc_of, straight
from cutpath.pattern.draw import plain
from cutpath.pattern.pdf import pattern_pdf
from cutpath.pattern.tiles import LONGEST_PAGE, PAGE_SIZES, tiling
from cutpath.plan.values import Plan
from tests.pattern_reader import MM, Pattern, black_paths, dashed_curves, opened, places, pricks, read
from tests.sheet_jobs import CASE_A, CASE_C, DEMOS, demo, planned

TILED = ("a4", "letter", "a3", "tabloid")

#: What the pattern promises is 0.1 mm; half of that is for the printer.
TRUE = 0.05


@lru_cache
def case(name: str) -> Plan:
    return demo(name) if name in DEMOS else planned({"A": CASE_A, "C": CASE_C}[name])


@lru_cache
def pattern(name: str, paper: Any) -> Pattern:
    return read(pattern_pdf(case(name), paper))


@lru_cache
def key_page(paper: Any) -> Any:
    """The first page of the orchard steps' pattern."""
    if paper in TILED:
        return pattern("orchard-steps", paper).pdf.pages[0]
    return opened(pattern_pdf(case("orchard-steps"), paper)).pages[0]


def marked(plan: Plan) -> Chain:
    """The stringer's outline as a hand marks it: square corners, straight from the design."""
    stringer = plan.design.stringer
    points = tuple(stringer.to_board(vertex.point) for vertex in stringer.vertices)
    return Chain(points, (0.0,) * len(points), True)


def moved(points: list[Point], by: Point) -> list[Point]:
    return [(x + by[0], y + by[1]) for x, y in points]


def vertices(segments: list[tuple[str, list[Point]]]) -> list[Point]:
    """Ends of lines, and of curves, in turn."""
    return [points[-1] for op, points in segments if op in "mlc"]


def held_against(part: Chain, segments: list[tuple[str, list[Point]]], by: Point) -> float:
    """Greatest distance of a drawn outline from the part's, vertices and arcs, in turn."""
    drawn = [(op, moved(points, by)) for op, points in segments if op in "mlc"]
    worst = math.dist(drawn[0][1][0], part.points[0])
    at, i = drawn[0][1][0], 1
    for start, end, bulge in part.segments():
        if not bulge:
            if i < len(drawn):
                op, (at,) = drawn[i]
                assert op == "l", "a straight edge is one straight line"
                i += 1
            else:
                at = drawn[0][1][0]
            worst = max(worst, math.dist(at, end))
            continue
        arc = arc_of(start, end, bulge)
        while math.dist(at, end) > 1e-2:
            op, (a, b, stop) = drawn[i]
            assert op == "c", "an arc is curves, never chords"
            for k in range(1, 21):
                u = k / 20
                x, y = (
                    (1 - u) ** 3 * p + 3 * (1 - u) ** 2 * u * q + 3 * (1 - u) * u * u * r + u**3 * s
                    for p, q, r, s in zip(at, a, b, stop, strict=True)
                )
                off = abs(math.dist((x, y), arc.centre) - arc.radius)
                assert off < 0.01
                worst = max(worst, off)
            at, i = stop, i + 1
        worst = max(worst, math.dist(at, end))
    assert i == len(drawn), "nothing is drawn twice"
    return worst


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "paper"),
    # One on every paper, every one on a paper.
    [
        *(("orchard-steps", paper) for paper in TILED),
        *zip(
            sorted({*DEMOS, "A"} - {"orchard-steps"}), itertools.cycle(("tabloid", "letter", "a4", "a3")), strict=False
        ),
    ],
)
def test_sheets_laid_by_their_crosses_give_the_part(name: str, paper: Any) -> None:
    laid, part = pattern(name, paper), marked(case(name))
    assert laid.mismatch < 2e-3, "crosses meet, row to row and column to column"
    first = laid.sheets[1, 1]
    start = first.placed(first.outline[0][1][0])
    by = (part.points[0][0] - start[0], part.points[0][1] - start[1])
    for sheet in laid.sheets.values():
        assert held_against(part, sheet.outline, (sheet.offset[0] + by[0], sheet.offset[1] + by[1])) < TRUE


@pytest.mark.parametrize("name", [*DEMOS, "A", "C"])
def test_a_roll_page_holds_the_whole_part(name: str) -> None:
    part = marked(case(name))
    (page,) = opened(pattern_pdf(case(name), "roll")).pages
    (drawn,) = black_paths(page)
    start = drawn[0][1][0]
    assert held_against(part, drawn, (part.points[0][0] - start[0], part.points[0][1] - start[1])) < TRUE
    for x, y in vertices(drawn):
        assert 10 < x < float(page.width) * MM - 10 and 10 < y < float(page.height) * MM - 10
    # Length and width as the tape would have them on paper.
    xs, ys = zip(*vertices(drawn), strict=True)
    assert max(xs) - min(xs) == pytest.approx(case(name).design.stringer.length, abs=TRUE)
    assert max(ys) - min(ys) == pytest.approx(case(name).design.stringer.width, abs=TRUE)


@pytest.mark.parametrize("name", [*DEMOS, "C"])
def test_corners_are_pricked_where_they_are_square_and_reliefs_are_dashed(name: str) -> None:
    plan = case(name)
    (page,) = opened(pattern_pdf(plan, "roll")).pages
    (drawn,) = black_paths(page)
    square, part = marked(plan), plan.design.part
    by = (drawn[0][1][0][0] - square.points[0][0], drawn[0][1][0][1] - square.points[0][1])
    left = pricks(page)
    assert len(left) == len(square.points)
    for corner in moved(list(square.points), by):
        assert min(math.dist(corner, prick) for prick in left) < TRUE
    arcs = [arc_of(*segment) for segment in part.outline.segments() if segment[2]]
    dashed = dashed_curves(page)
    assert len(dashed) == len(arcs) == sum(corner.relief is not None for corner in part.corners)
    assert (len(arcs) > 0) == (plan.job.cutter.corner == "relieved")
    for arc, curve in zip(arcs, dashed, strict=True):
        assert math.dist(curve[0][1][0], moved([arc.at(0)], by)[0]) < TRUE
        assert math.dist(curve[-1][1][-1], moved([arc.at(1)], by)[0]) < TRUE
    text = " ".join(page.extract_text().split())
    assert "prick each through at its cross" in text
    assert ("Dashed: the relief that the cutter makes there." in text) == bool(arcs)
    assert "Stop the saw at every inside corner, and finish it by hand" in text


def test_a_plate_without_inside_corners_says_nothing_of_a_saw() -> None:
    (page,) = opened(pattern_pdf(demo("steel-plate"), "roll")).pages
    text = " ".join(page.extract_text().split())
    assert "prick each through" in text and "saw" not in text and "Dashed" not in text
    part = demo("steel-plate").design.part
    assert len(pricks(page)) == len(part.outline.points) + len(part.holes)


@pytest.mark.parametrize("paper", ["roll", *TILED])
def test_check_squares_are_100_mm_and_4_in(paper: Any) -> None:
    page = key_page(paper)
    sides = sorted((rect["width"] * MM, rect["height"] * MM) for rect in page.rects)
    assert len(sides) == 2
    assert sides[0] == pytest.approx((100, 100), abs=1e-3)
    assert sides[1] == pytest.approx((101.6, 101.6), abs=1e-3)
    text = " ".join(page.extract_text().split())
    assert "Print at 100 %" in text and "Measure the check squares" in text


@pytest.mark.parametrize("paper", TILED)
def test_every_sheet_has_a_line_of_100_mm_one_of_4_in_its_place_and_its_paper(paper: Any) -> None:
    laid = pattern("orchard-steps", paper)
    columns, rows = max(c for _, c in laid.sheets), max(r for r, _ in laid.sheets)
    assert set(laid.sheets) == {(r, c) for r in range(1, rows + 1) for c in range(1, columns + 1)}
    for (row, column), sheet in laid.sheets.items():
        lengths = [math.dist(*places(sheet.page, line["pts"])) for line in sheet.page.lines]
        assert sum(abs(length - 100) < 1e-3 for length in lengths) == 1
        assert sum(abs(length - 4 * 25.4) < 1e-3 for length in lengths) == 1
        text = sheet.page.extract_text()
        assert f"row {row} of {rows}, column {column} of {columns}" in text and "Print at 100 %" in text
        size = sorted((float(sheet.page.width) * MM, float(sheet.page.height) * MM))
        assert size == pytest.approx(list(PAGE_SIZES[paper]), abs=1e-3)
        assert "Orchard steps" in text
        # Crosses stand whole on the sheet, within the reach of printers.
        for x, y in sheet.crosses:
            assert 14 <= x <= float(sheet.page.width) * MM - 14
            assert 14 <= y <= float(sheet.page.height) * MM - 14


def darkness(page: Any, resolution: int = 110) -> Any:
    """The page as a printer would have it, to be asked for the darkest pixel round a place."""
    image = page.to_image(resolution=resolution).original.convert("L")
    scale, (width, height) = resolution / 25.4, image.size

    def darkest(place: Point) -> int:
        x, y = round(place[0] * scale), round(height - place[1] * scale)
        spots = [(i, j) for i in (x - 1, x, x + 1) for j in (y - 1, y, y + 1) if 0 <= i < width and 0 <= j < height]
        return min((image.getpixel(spot) for spot in spots), default=255)

    return darkest


@pytest.mark.parametrize(("name", "paper"), [("garden-room", "a4"), ("orchard-steps", "letter"), ("A", "tabloid")])
def test_every_bit_of_the_outline_shows_and_what_lies_by_a_joint_shows_twice(name: str, paper: Any) -> None:
    laid, part = pattern(name, paper), marked(case(name))
    first = laid.sheets[1, 1]
    start = first.placed(first.outline[0][1][0])
    home = (start[0] - part.points[0][0], start[1] - part.points[0][1])
    seen = {at: darkness(sheet.page) for at, sheet in laid.sheets.items()}
    step, shown, joints = 6.0, 0, 0
    for a, b, bulge in part.segments():
        count = max(2, math.ceil(math.dist(a, b) / step))
        arc = arc_of(a, b, bulge) if bulge else None
        for i in range(count):
            u = (i + 0.5) / count
            x, y = arc.at(u) if arc else (a[0] + u * (b[0] - a[0]), a[1] + u * (b[1] - a[1]))
            on = []
            for at, sheet in laid.sheets.items():
                place = (x + home[0] - sheet.offset[0], y + home[1] - sheet.offset[1])
                if seen[at](place) < 110:
                    on.append(at)
            assert on, f"{x:.1f}, {y:.1f} shows on no sheet"
            shown += 1
            # Within 3 mm of a line where two sheets meet, both show it.
            for at, sheet in laid.sheets.items():
                place = (x + home[0] - sheet.offset[0], y + home[1] - sheet.offset[1])
                corner = sheet.corners
                along = corner["bl"][1] < place[1] < corner["tl"][1]
                if (at[0], at[1] + 1) in laid.sheets and along and abs(place[0] - corner["tr"][0]) < 3:
                    joints += 1
                    assert at in on and (at[0], at[1] + 1) in on
    assert shown > 200 and joints > 3


def test_no_sheet_draws_outside_its_margins() -> None:
    """Most printers reach to within 10 mm of an edge (common practice, no source)."""
    for at, sheet in pattern("orchard-steps", "letter").sheets.items():
        image = sheet.page.to_image(resolution=50).original.convert("L")
        edge = int(9.5 * 50 / 25.4)
        inner = (edge, edge, image.width - edge, image.height - edge)
        image.paste(255, inner)
        assert image.getextrema()[0] > 250, at


@pytest.mark.slow
def test_the_same_plan_gives_the_same_bytes_without_dates() -> None:
    once = pattern_pdf(case("garden-room"), "a4")
    assert once == pattern_pdf(case("garden-room"), "a4")
    assert b"Date" not in once
    code = (
        "import hashlib; from tests.sheet_jobs import demo; from cutpath.pattern.pdf import pattern_pdf;"
        "print(hashlib.sha256(pattern_pdf(demo('garden-room'), 'a4')).hexdigest())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PYTHONHASHSEED": "7"}
    )
    assert done.stdout.strip() == hashlib.sha256(once).hexdigest()


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Quay / 🪜 steps", "Quay / [?] steps"),
        ("Ступени у дома", "[?] [?] [?]"),
        ("Café – ½ door (back) \\ end", "Café – ½ door (back) \\ end"),
        ("👩‍🔧👩‍🔧 x", "[?] x"),
    ],
)
def test_a_name_is_any_text_and_what_cannot_be_shown_is_seen_to_be_missing(name: str, shown: str) -> None:
    assert plain(name) == shown
    plan = case("garden-room")
    renamed = replace(plan, job=replace(plan.job, name=name))
    for paper in ("roll", "a3"):
        pages = opened(pattern_pdf(renamed, paper)).pages
        # The key, a sheet, and the last.
        for page in [*pages[:2], *pages[2:][-1:]]:
            assert shown in " ".join(page.extract_text().split())


@pytest.mark.slow
def test_a_name_of_two_hundred_wide_letters_stays_on_the_page() -> None:
    plan = case("garden-room")
    for name in ("W" * 200, "WWWWW " * 33):
        parts = (replace(plan.design.parts[0], name=name),)
        renamed = replace(plan, job=replace(plan.job, name=name), design=replace(plan.design, parts=parts))
        for paper in ("roll", "a4" if " " in name else "letter"):
            pages = opened(pattern_pdf(renamed, paper)).pages
            for page in [*pages[:3], *pages[3:][-1:]]:
                assert max(char["x1"] for char in page.chars) <= float(page.width) - 25
                assert max(char["bottom"] for char in page.chars) <= float(page.height) - 25
                assert min(char["top"] for char in page.chars) >= 25


@pytest.mark.parametrize("paper", ["roll", *TILED])
def test_cautions_stand_on_the_key_whole_and_clear_of_the_squares(paper: Any) -> None:
    page = key_page(paper)
    squares = max(rect["x1"] for rect in page.rects)
    beside = page.crop((squares + 2, 0, page.width, page.height))
    text = " ".join(beside.extract_text().split())
    for caution in CAUTIONS:
        assert caution in text
    low = min(float(page.height) - char["bottom"] for char in beside.chars)
    assert low * MM > 10


def test_holes_are_drawn_as_circles_however_large() -> None:
    """60 mm, the widest tool of a job file."""
    plan = case("garden-room")
    parts = plan.design.parts[0]
    drilled = replace(parts, part=replace(parts.part, holes=(Hole((600.0, 60.0), 60.0, "bolt"),)))
    page = opened(pattern_pdf(replace(plan, design=replace(plan.design, parts=(drilled,))), "roll")).pages[0]
    outline, hole = black_paths(page)
    start = outline[0][1][0]
    by = (parts.part.outline.points[0][0] - start[0], parts.part.outline.points[0][1] - start[1])
    circle = Chain(((570.0, 60.0), (630.0, 60.0)), (1.0, 1.0), True)
    assert held_against(circle, hole, by) < 0.005


def test_a_part_longer_than_a_page_can_be_takes_more_pages_of_the_roll() -> None:
    laid = tiling((0, 0, 12000, 286), "roll", 10)
    assert laid.columns == 3 and laid.page[0] <= LONGEST_PAGE
    for left, right in zip(laid.tiles, laid.tiles[1:], strict=False):
        assert left.window[2] - right.window[0] == pytest.approx(10)
    assert laid.tiles[0].window[0] < 0 and laid.tiles[-1].window[2] > 12000


@pytest.mark.parametrize("paper", TILED)
def test_no_fewer_sheets_would_do(paper: Any) -> None:
    """Either way up, counted by hand: what is left of a sheet after margins and foot, less the overlap."""
    laid = tiling((0, 0, 2247, 286), paper, 10)
    short, long = PAGE_SIZES[paper]
    counts = []
    for width, height in ((long, short), (short, long)):
        wide, high = width - 20, height - 31
        counts.append(math.ceil((2247 + 10) / (wide - 10)) * math.ceil((286 + 10) / (high - 10)))
    assert len(laid.tiles) == min(counts)


def test_pages_with_nothing_on_them_are_left_out() -> None:
    """A frame 1700 by 1400 on A4 has a blank middle; with a hole there, what leads to it is kept."""
    box = (0.0, 0.0, 1700.0, 1400.0)
    wood, hole = shapely.box(*box), shapely.Point(850, 700).buffer(5)
    every = tiling(box, "a4", 10)
    ring = tiling(box, "a4", 10, [wood, wood.boundary])
    assert len(every.tiles) == every.rows * every.columns
    # Landscape, windows lie 267 and 169 apart: 7 columns and 9 rows, 63 pages. Portrait, 180 and 256: 10 by 6.
    assert (every.rows, every.columns) == (6, 10)
    assert {(t.row, t.column) for t in ring.tiles} == {
        (r, c) for r in range(1, ring.rows + 1) for c in range(1, ring.columns + 1)
        if r in (1, ring.rows) or c in (1, ring.columns)
    }  # fmt: skip
    holed = tiling(box, "a4", 10, [wood, wood.boundary, hole.boundary])
    assert len(holed.tiles) == holed.rows * holed.columns


def test_a_pattern_leaves_out_its_blank_pages() -> None:
    """The plate as if rolled 900 wide: most of it is blank, and what is left hangs together."""
    plan = case("A")
    wide = straight(((0.0, 0.0), (2000.0, 0.0), (2000.0, 900.0), (300.0, 900.0), (0.0, 800.0)), closed=True)
    part = replace(
        plan.design.parts[0].part, outline=wide, roles=("heel", "seat-back", "front", "level", "top"), corners=()
    )
    parts = (replace(plan.design.parts[0], part=part),)
    laid = read(pattern_pdf(replace(plan, design=replace(plan.design, parts=parts)), "a4"))
    rows, columns = max(r for r, _ in laid.sheets), max(c for _, c in laid.sheets)
    assert len(laid.sheets) == 2 * rows + 2 * columns - 4 < rows * columns
    assert len(laid.pdf.pages) == len(laid.sheets) + 1
    key = " ".join(laid.pdf.pages[0].extract_text().split())
    assert f"key to {len(laid.sheets)} pages: {rows} rows of {columns}, those with nothing on them left out" in key
    for sheet in laid.sheets.values():
        assert sheet.outline


def test_another_paper_is_refused_with_those_there_are() -> None:
    with pytest.raises(Fault, match=re.escape("'a5' is none of roll, a4, letter, a3, tabloid")):
        pattern_pdf(case("garden-room"), "a5")  # type: ignore[arg-type]


def test_the_writer_is_not_loaded_until_a_pattern_is_asked_for() -> None:
    code = "import sys, cutpath.pattern.pdf; print('reportlab' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout.strip() == "False"


def test_a_handed_pair_is_drawn_part_by_part_with_its_upper_end_named() -> None:
    plan = planned(CASE_A, stringer={"form": "housed", "count": 2, "throat_least": 3})
    pages = opened(pattern_pdf(plan, "roll")).pages
    assert len(pages) == len(plan.design.parts) == 2
    for page, parts in zip(pages, plan.design.parts, strict=True):
        outline, *pockets = black_paths(page)
        assert len(pockets) == len(parts.part.pockets) > 0
        start = outline[0][1][0]
        by = (parts.part.outline.points[0][0] - start[0], parts.part.outline.points[0][1] - start[1])
        for drawn, meant in zip(pockets, parts.part.pockets, strict=True):
            # A housing's corners are opened on the diagonal: the middle of each arc is the square corner.
            arcs = [arc_of(*segment) for segment in meant.outline.segments() if segment[2]]
            corners = moved([points[-1] for op, points in drawn if op in "ml"], by)
            assert arcs and all(op != "c" for op, _ in drawn)
            for arc in arcs:
                assert min(math.dist(arc.at(0.5), corner) for corner in corners) < TRUE
        text = " ".join(page.extract_text().split())
        # The plumb cut's top is the outline's end nearest the header.
        xs = [x for x, _ in vertices(outline)]
        top = vertices(outline)[parts.part.roles.index("top")][0]
        side = "left" if top - min(xs) < max(xs) - top else "right"
        assert f"Upper end at the {side}, upper edge up" in text
    assert {"left", "right"} == {re.search(r"Upper end at the (\w+)", p.extract_text())[1] for p in pages}  # type: ignore[index]

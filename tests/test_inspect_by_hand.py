"""What is found in drawings made of a few lines, without a file: each limit from both sides, each place and size."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from msgspec.structs import replace

from cutpath.inspect.contours import join
from cutpath.inspect.find.contours import length_words, tangled
from cutpath.inspect.near import pairs
from cutpath.inspect.values import Element, Trait
from cutpath.outline import Chain, Motion, Point, circle, shift, straight
from tests.drawn_by_hand import PLATE, Item, box, cut, hits, kinds, near, run, shut


def test_a_plain_plate_has_nothing() -> None:
    assert hits([PLATE], 6.0) == {}
    assert hits([PLATE, cut(circle((100.0, 100.0), 10.0), "DRILL", "CIRCLE")], 6.0) == {}


def test_a_note_of_shared_cuts_and_closed_contours_alone_have_nothing() -> None:
    for texts in (("Parts that share a cut: 2",), ("set-up 1 of 2",)):
        assert hits([PLATE], 6.0, texts=texts) == {}
        assert hits([PLATE, cut(circle((100.0, 100.0), 10.0), "DRILL", "CIRCLE")], 6.0, texts=texts) == {}
        assert hits([], texts=texts) == hits([])


def test_a_cut_that_meets_another_names_it_or_says_that_it_came_before() -> None:
    """What crosses or touches has no length in common; what runs along another or is it has."""
    first = run((0.0, 0.0), (300.0, 0.0))
    lines = {
        "crossing": (((100.0, -50.0), (100.0, 50.0)), None),
        "touching": (((100.0, 0.0), (100.0, 50.0)), None),
        "overlap": (((200.0, 0.0), (420.0, 0.0)), 100.0),
        "duplicate": (((300.0, 0.0), (0.0, 0.0)), 300.0),
    }
    for kind, (points, size) in lines.items():
        (hit,) = hits([first, run(*points)])[kind]
        assert hit.detail.endswith(" of 1") and hit.handle == "2"
        assert hit.size is None if size is None else hit.size == pytest.approx(size)
        nameless = [Element("", "LINE", "PART", "model", straight(line, closed=False), line[0]) for line in (
            first[0].points, points)]  # fmt: skip
        (hit,) = hits([], others=nameless)[kind]
        assert hit.detail.endswith(" before it") and hit.handle == ""


@pytest.mark.parametrize("met", [True, False], ids=["all that meets", "not all that meets"])
@pytest.mark.parametrize("beside", [True, False], ids=["all beside", "not all beside"])
def test_what_is_not_looked_at_whole_is_tangled(met: bool, beside: bool) -> None:
    look: Any = SimpleNamespace(contacts=SimpleNamespace(complete=met), beside=SimpleNamespace(complete=beside))
    assert [hit.at for hit in tangled(look)] == ([] if met and beside else [None])


@pytest.mark.parametrize("back", [False, True], ids=["on", "back"])
def test_an_arc_that_joining_leaves_no_length_is_straight(back: bool) -> None:
    """A line that ends in an arc of 0.005 mm; the next one starts where the arc does, which is as near to its end."""
    first = Chain(((0.0, 0.0), (100.0, 0.0), (100.0, 0.005)), (0.0, 1.0, 0.0), closed=False)
    then = straight(((100.0, 0.0), (100.0, 80.0), (0.0, 0.0)), closed=False)
    chains = [first.reversed() if back else first, then]
    (contour,) = join(chains).contours
    joined = contour.chain(chains)
    assert contour.closed and joined.closed
    empty = [bulge for a, b, bulge in joined.segments() if a == b]
    assert empty == ([] if back else [0.0]) and abs(joined.area()) == pytest.approx(4000.0, abs=0.1)
    assert joined.length() == pytest.approx(180.0 + math.hypot(100.0, 80.0), abs=0.02)
    hits([cut(chain, kind="LINE") for chain in chains], 6.0)


@pytest.mark.parametrize(
    ("long", "across", "holds"),
    [
        (60.1, 30.1, True),
        (59.9, 40.0, False),
        (60.0, 29.9, False),
        (15_999.0, 2599.0, True),
        (16_001.0, 2599.0, False),
        (15_999.0, 2601.0, False),
    ],
)
@pytest.mark.parametrize("turn", [0.0, 0.6, math.pi / 2])
def test_sizes_of_a_stairs_parts(long: float, across: float, holds: bool, turn: float) -> None:
    """From 60 by 30 mm to 16 by 2.6 m, however it is turned; of several the largest."""
    chain = box(0, 0, long, across)[0].moved(Motion(math.cos(turn), math.sin(turn), 0.0, 0.0))
    small = cut(circle((-100.0, -100.0), 4.0))
    assert ("units-at-odds" in kinds([small, cut(chain)])) != holds
    assert ("units-at-odds" in kinds([small, cut(chain, "STOCK")])) != holds
    if not turn:
        frame = cut(box(-50, -50, 500, 300)[0], "STOCK")
        assert "units-at-odds" not in kinds([frame, cut(box(0, 0, 10, 10)[0])]), "the board's size counts"


def test_a_size_in_another_unit_is_told_with_the_unit() -> None:
    (hit,) = hits([box(0, 0, 12.0, 10.0)])["units-at-odds"]
    assert hit.detail == "12 by 10 mm, which would do in inches"
    inch = {"unit": "in", "per_unit": 25.4, "metric": False}
    (hit,) = hits([box(0, 0, 9000 * 25.4, 300 * 25.4)], **inch)["units-at-odds"]
    assert hit.detail == "9000 by 300 in, which would do in millimetres"
    (hit,) = hits([box(0, 0, 629.0, 2.0)])["units-at-odds"]
    assert hit.detail == "629 by 2 mm, which would do in inches", "15977 by 50.8 mm"
    (hit,) = hits([box(0, 0, 20.0, 0.5)])["units-at-odds"]
    assert hit.detail == "20 by 0.5 mm"
    assert "units-at-odds" not in kinds([box(0, 0, 12.0, 10.0)], guessed=True)
    # A single cut has no width.
    assert "units-at-odds" not in kinds([run((0.0, 0.0), (100.0, 0.0))])
    assert "units-at-odds" in kinds([run((0.0, 0.0), (50.0, 0.0))])
    assert "units-at-odds" not in kinds([run((0.0, 0.0), (1000.0, 0.9))])
    assert "units-at-odds" in kinds([run((0.0, 0.0), (1000.0, 1.1))])
    assert "units-at-odds" not in kinds([run((0.0, 0.0), (10.0, 1.0), layer="MARK")])
    (hit,) = hits([run((1000.0, 500.0), (1050.0, 502.0))])["units-at-odds"]
    assert hit.detail.startswith("50 by 2 mm")
    frame = cut(box(9000, 9000, 900, 100)[0], "STOCK")
    assert "units-at-odds" not in kinds([frame, run((9010.0, 9010.0), (9020.0, 9011.0))]), (
        "a board is as high as its sides"
    )
    assert hits([])["nothing-to-cut"][0].detail == "layers with anything on them: none"
    note = cut(PLATE[0], "NOTE")
    assert hits([note])["nothing-to-cut"][0].detail == "layers with anything on them: NOTE"
    # The largest of several, wherever it lies.
    assert "units-at-odds" not in kinds([box(0, 5000, 10, 10), PLATE, box(5000, 0, 10, 10)])


@pytest.mark.parametrize("way", [(1, 0), (-1, 0), (0, 1), (0, -1)])
def test_what_lies_over_a_hundred_metres_out_is_far(way: Point) -> None:
    x, y = way
    for most, holds in ((100_000.0, True), (100_001.0, False)):
        place = shift(x * most - (300 if x > 0 else 0), y * most - (200 if y > 0 else 0))
        found = hits([PLATE, cut(PLATE[0].moved(place))])
        assert ("far-from-origin" not in found) == holds
        if not holds:
            (hit,) = found["far-from-origin"]
            assert hit.handle == "2" and hit.at is not None and max(map(abs, hit.at)) == pytest.approx(most)
            assert hit.detail == "100001 mm"


def test_units_and_measurement_that_differ() -> None:
    assert [h.detail for h in hits([PLATE], metric=False)["metric-at-odds"]] == ["imperial"]
    assert "metric-at-odds" not in kinds([PLATE], metric=None)
    assert [h.detail for h in hits([PLATE], unit="in", per_unit=25.4)["metric-at-odds"]] == ["metric"]
    assert "units-unusual" in kinds([PLATE], unit="m", per_unit=1000.0)


@pytest.mark.parametrize(("gap", "kind"), [(0.009, ""), (0.011, "open-contour"), (30.0, "open-contour")])
def test_a_gap_between_two_lines_is_told_with_its_width_and_once(gap: float, kind: str) -> None:
    """Ends of two lines within 0.01 mm are one."""
    found = hits([run((0.0, 0.0), (300.0, 0.0), (300.0, 200.0)), run((300.0 - gap, 200.0), (0.0, 200.0), (0.0, 0.0))])
    assert set(found) == ({kind} if kind else set())
    if kind:
        (hit,) = found[kind]
        assert hit.size == pytest.approx(gap)
        assert hit.at in ((300.0, 200.0), (300.0 - gap, 200.0))


@pytest.mark.parametrize(("gap", "holds"), [(9e-5, True), (1.1e-4, False)])
def test_a_polyline_that_is_meant_to_close_ends_on_its_start(gap: float, holds: bool) -> None:
    for before in ([], [run((600.0, 0.0), (900.0, 0.0))]):
        found = hits([*before, run((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (gap, 0.0))])
        assert (str(len(before) + 1) not in {h.handle for h in found.get("open-contour", [])}) == holds
    # Ends of two lines are one up to a hundredth, along x or y.
    for apart in (0.009, 0.011, 0.03):
        halves = [run((0.0, 0.0), (300.0, 0.0), (300.0, 200.0)), run((300.0, 200 + apart), (0.0, 200.0), (0.0, 0.0))]
        assert ("open-contour" not in kinds(halves)) == (apart < 0.01)


def test_an_end_that_nothing_is_left_to_meet() -> None:
    frame = cut(box(0, 0, 500, 300)[0], "STOCK")
    # One end runs off the board, the other stays on it; ends on its very edge are off.
    (hit,) = hits([frame, run((100.0, -10.0), (100.0, 150.0))])["open-contour"]
    near(hit.at, (100.0, 150.0))
    assert hit.size is None and hit.detail == "no other end is left to meet" and hit.handle == "2"
    assert "open-contour" not in kinds([frame, run((100.0, 0.0), (100.0, 300.0))])
    # In a set-up's file another set-up goes on from there.
    found = hits([frame, run((100.0, -10.0), (100.0, 150.0))], texts=("Stair, set-up 1 of 2",))
    assert "set-up-end" in found and "open-contour" not in found
    assert "set-up-end" not in kinds([run((100.0, -10.0), (100.0, 150.0))], texts=("set-up 1 of 2",))


def test_each_end_is_told_with_its_own_nearest_one() -> None:
    """Ends 10 apart are one gap; a third, 20 from the nearer of them, is nearest to none and told by itself."""
    lines = [run((-500.0, 0.0), (0.0, 0.0)), run((10.0, 0.0), (10.0, 500.0)), run((30.0, 0.0), (530.0, 1.0))]
    for order in (1, -1):
        sizes = sorted(h.size or 0.0 for h in hits(lines[::order])["open-contour"])
        assert sizes[:2] == pytest.approx([10.0, 20.0])
        assert len(sizes) == 5


def tabbed(gaps: Sequence[float], turn: float = 0.0) -> list[Item]:
    """An oblong of 600 by 400 with gaps in its lower side; what comes after each gap is turned out of line."""
    x, items = 40.0, []
    y = 0.0
    for gap in gaps:
        items.append((x, y))
        x += gap
        # The straight after the gap starts in line, and rises by the turn.
        items.append((x, y))
        y += 100.0 * math.tan(turn)
        x += 100.0
    ends = [(0.0, 400.0), (0.0, 0.0), *items, (600.0 if not turn else x, y), (600.0, 400.0)]
    pieces = [ends[:3], *[ends[k : k + 2] for k in range(3, len(ends) - 3, 2)], ends[len(ends) - 3 :]]
    return [run(*pieces[0]), *[run(*p) for p in pieces[1:-1]], run(*pieces[-1]), run((600.0, 400.0), (0.0, 400.0))]


@pytest.mark.parametrize(
    ("gaps", "tabs"),
    [
        ([6.0, 6.0], 2),
        ([2.001, 2.001], 2),
        ([1.99, 1.99], 0),
        ([59.999, 59.999], 2),
        ([60.1, 60.1], 0),
        ([6.0], 0),
        ([6.0, 6.04], 2),
        ([6.0, 6.2], 0),
        ([6.0, 9.0, 6.0], 2),
    ],
)
@pytest.mark.parametrize("turn", [0.0, 0.7, 2.5])
def test_gaps_of_one_width_are_tabs(gaps: list[float], tabs: int, turn: float) -> None:
    """From 2 to 60 mm wide, two at least of one width within a twentieth of a millimetre; others are open."""
    turned = Motion(math.cos(turn), math.sin(turn), 900.0, -70.0)
    found = hits([(chain.moved(turned), *rest) for chain, *rest in tabbed(gaps)])
    alike = [g for g in gaps if tabs and sum(abs(g - o) < 0.1 for o in gaps) > 1]
    assert sorted(h.size or 0.0 for h in found.get("tab-gap", [])) == pytest.approx(alike)
    assert len(found.get("tab-gap", [])) == tabs
    assert len(found.get("open-contour", [])) == len(gaps) - tabs


@pytest.mark.parametrize(("sine", "holds"), [(0.049, True), (0.051, False), (-0.049, True), (-0.051, False)])
def test_ends_at_a_tab_are_in_line(sine: float, holds: bool) -> None:
    """Straights that go on at a slant to the gap between them: no more than 0.05, as a sine."""
    slope = math.tan(math.asin(sine))
    items = [
        run((0.0, 400.0), (0.0, 0.0), (100.0, 0.0)),
        run((106.0, 0.0), (206.0, 100 * slope)),
        # The next gap is in line with what is before it, and what follows is so to a hair.
        run(
            (206.0 + 6.0 / math.hypot(1, slope), 100 * slope + 6.0 * slope / math.hypot(1, slope)), (400.0, 206 * slope)
        ),
    ]
    (first, last) = items[2][0].points
    way = math.atan2(last[1] - first[1], last[0] - first[0]) - math.atan(slope)
    assert abs(math.sin(way)) < 0.03
    found = hits(items)
    assert len(found.get("tab-gap", [])) == (2 if holds else 0)
    # Nor do two that run on past each other.
    past = [run((x, y), (x + 200.0, y)) for x, y in ((0.0, 0.0), (6.0, 0.2), (0.0, 300.0), (6.0, 300.2))]
    assert "tab-gap" not in kinds(past)
    # Ends that lie side by side and run the same way leave no tab between them.
    beside = [run((0.0, 0.0), (100.0, 0.0)), run((0.0, 6.0), (100.0, 6.0)), run((0.0, 12.0), (100.0, 12.0))]
    assert "tab-gap" not in kinds(beside)


def test_an_arcs_end_leaves_along_its_tangent() -> None:
    """Two gaps of 6 at the ends of a half circle: straights go on from where it leaves, square to its diameter."""
    half = cut(Chain(((100.0, 0.0), (100.0, 200.0)), (1.0, 0.0), False), kind="ARC")
    low = run((-100.0, 0.0), (94.0, 0.0))
    high = run((94.0, 200.0), (-100.0, 200.0))
    found = hits([low, half, high])
    assert [h.size for h in found["tab-gap"]] == pytest.approx([6.0, 6.0])
    # A quarter of a circle, each end square to the other: on along x, and on along y.
    for bulge in (1.0, -1.0):
        quarter = Chain(((0.0, 0.0), (100.0, bulge * 100.0)), (bulge * math.tan(math.pi / 8), 0.0), False)
        on = [run((-106.0, 0.0), (-6.0, 0.0)), run((100.0, bulge * 106.0), (100.0, bulge * 206.0))]
        for arc in (quarter, quarter.reversed()):
            assert [h.size for h in hits([on[0], cut(arc, kind="ARC"), on[1]])["tab-gap"]] == pytest.approx([6.0, 6.0])
    # Square to it they are no tabs.
    down = [run((100.0, -106.0), (100.0, -6.0)), half, run((100.0, 206.0), (100.0, 306.0))]
    assert "tab-gap" not in kinds(down)


@pytest.mark.parametrize(
    ("long", "kind"), [(2.5e-5, "zero-length"), (2.6e-5, "tiny-segment"), (0.0099, "tiny-segment")]
)
def test_segments_that_are_too_short(long: float, kind: str) -> None:
    items = [shut((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (long, 200.0), (0.0, 200.0))]
    (hit,) = hits(items)[kind]
    assert hit.size == pytest.approx(long)
    near(hit.at, (long, 200.0))
    assert kinds([shut((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0101, 200.0), (0.0, 200.0))]) == set()


@pytest.mark.parametrize(("gap", "holds"), [(5.995, True), (5.985, False), (0.02, False)])
def test_outlines_nearer_than_the_tool(gap: float, holds: bool) -> None:
    """A tool of 6 fits where 5.99 are left."""
    found = hits([PLATE, box(300.0 + gap, 50.0, 300, 200)], 6.0)
    assert ("near-contours" not in found) == holds
    if not holds:
        (hit,) = found["near-contours"]
        assert hit.size == pytest.approx(gap) and hit.handle == "2" and hit.at is not None
        assert hit.at[0] == pytest.approx(300 + gap)
    assert "near-contours" not in kinds([PLATE, box(300.0 + gap, 50.0, 300, 200)])
    # Open cuts lie near others, too; what is inside and what is outside is told as a slot.
    assert ("near-contours" in kinds([PLATE, run((50.0, 200.0 + gap), (250.0, 200.0 + gap))], 6.0)) != holds
    assert "near-contours" not in kinds([PLATE, box(gap, 20.0, 30, 40)], 6.0)
    assert "near-contours" not in kinds([PLATE, box(300.0, 50.0, 300, 200)], 6.0), "what touches is told as that"
    # Islands in a hole are outlines again; one and the plate round its hole lie on two sides of a slot.
    hole = box(50, 50, 200, 100)
    assert ("near-contours" in kinds([PLATE, hole, box(60, 60, 40, 40), box(100 + gap, 60, 40, 40)], 6.0)) != holds
    assert "near-contours" not in kinds([PLATE, box(1, 1, 298, 198), box(3, 3, 100, 100)], 6.0)


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize(("radius", "holds"), [(2.995, True), (2.985, False)])
def test_hollow_arcs_tighter_than_the_tool(radius: float, holds: bool, clockwise: bool) -> None:
    """A tool of 6: in the wood's hollow a radius of 2.99 and more; a round tooth may be as sharp as it likes."""
    a, b = 150 - radius, 150 + radius

    def bitten(bulge: float) -> Item:
        points = ((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (b, 200.0), (a, 200.0), (0.0, 200.0))
        chain = Chain(points, (0.0, 0.0, 0.0, bulge, 0.0, 0.0), True)
        return cut(chain.reversed() if clockwise else chain)

    found = hits([bitten(-1.0)], 6.0)
    assert ("tight-radius" not in found) == holds
    if not holds:
        assert [h.size for h in found["tight-radius"]] == [pytest.approx(radius)]
        near(found["tight-radius"][0].at, (150.0, 200.0 - radius))
    assert "tight-radius" not in kinds([bitten(1.0)], 6.0)
    # A quarter of a circle rounds the plate's corner, or bites a hollow out of it: whatever their bulge.
    quarter = math.tan(math.pi / 8)
    for bulge, told in ((quarter, set()), (-quarter, set() if holds else {"tight-radius"})):
        points = ((0.0, 0.0), (300.0 - radius, 0.0), (300.0, radius), (300.0, 200.0), (0.0, 200.0))
        chain = Chain(points, (0.0, bulge, 0.0, 0.0, 0.0), True)
        assert kinds([cut(chain.reversed() if clockwise else chain)], 6.0) == told
    assert "tight-radius" not in kinds([bitten(-1.0)])
    hole = circle((100.0, 100.0), radius)
    round_hole = hits([PLATE, cut(hole.reversed() if clockwise else hole, "DRILL", "CIRCLE")], 6.0)
    assert ("tight-radius" not in round_hole) == holds
    assert len(round_hole.get("tight-radius", [])) == (not holds), "of a circle once"
    # An island in a hole is wood again.
    island = cut(circle((100.0, 100.0), radius), kind="CIRCLE")
    assert "tight-radius" not in kinds([PLATE, box(50, 50, 100, 100), island], 6.0)


@pytest.mark.parametrize(("wide", "holds"), [(5.985, True), (5.97, False), (1.0, False)])
def test_slots_narrower_than_the_tool(wide: float, holds: bool) -> None:
    """A tool of 6 fits to the hair where 5.98 are left, in a slot and in a gap from outside; corners are rounded."""
    slot = box(100.0, 100.0, 100.0, wide)
    found = hits([PLATE, slot], 6.0)
    assert ("narrow-slot" not in found) == holds
    notched = shut(
        (0, 0), (300, 0), (300, 200), (150 + wide, 200), (150 + wide, 100), (150, 100), (150, 200), (0, 200)
    )  # fmt: skip
    found = hits([notched], 6.0)
    assert ("narrow-slot" not in found) == holds
    island = cut(notched[0].moved(shift(300.0, 300.0)))
    around = [box(0, 0, 900, 800), box(200, 200, 600, 500)]
    assert ("narrow-slot" not in kinds([*around, island], 6.0)) == holds, "an island is wood again"
    if not holds:
        (hit,) = found["narrow-slot"]
        assert hit.at is not None and 150 < hit.at[0] < 150 + wide and 100 < hit.at[1] < 200
    assert "narrow-slot" not in kinds([PLATE, slot])
    assert "narrow-slot" not in kinds([run(*notched[0].points)], 6.0), "it is open"
    # A laser's slit, under its own width and over it; what crosses itself has no slots.
    for slit, told in ((0.15, {"narrow-slot"}), (0.19, set())):
        assert kinds([PLATE, box(100.0, 100.0, 100.0, slit)], 0.2) == told
    assert kinds([shut((0.0, 0.0), (300.0, 200.0), (300.0, 0.0), (0.0, 200.0))], 6.0) == {"crossing"}


@pytest.mark.parametrize("gap", [0.015, 0.4, 5.0])
def test_what_is_open_by_a_slip_is_not_told_to_stand_farther_apart(gap: float) -> None:
    """It wants closing, and that is told; what else lies near is told as before."""
    halves = [
        run((0.0, 0.0), (300.0, 0.0), (300.0, 200.0)),
        run((300.0 - gap, 200.0), (0.0, 200.0), (0.0, gap)),
    ]
    assert kinds(halves, 6.0) == {"open-contour"}
    assert kinds([*halves, box(303.0, 0.0, 100.0, 200.0)], 6.0) == {"open-contour", "near-contours"}
    # Beside the other's side, away from both of the ends.
    beside = [run((0.0, 0.0), (300.0, 0.0)), run((150.0, gap), (150.0, 90.0))]
    assert "near-contours" in kinds(beside, 6.0)


def test_contours_that_run_against_most_of_their_kind() -> None:
    def rings(ways: str, y: float = 0.0, size: float = 100.0) -> list[Item]:
        found = []
        for k, way in enumerate(ways):
            chain = box(200.0 * k + y, y, size, size)[0]
            found.append(cut(chain if way == "l" else chain.reversed()))
        return found

    for ways, odd in (("lll", []), ("rrr", []), ("llr", ["3"]), ("rrl", ["3"]), ("lr", ["1"]), ("rl", ["2"])):
        found = hits(rings(ways))
        assert [h.handle for h in found.get("direction", [])] == odd
        way = {"l": "counter-clockwise", "r": "clockwise"}
        for hit in found.get("direction", []):
            share = "half of the" if len(ways) == 2 else "most"
            assert hit.detail == f"{way[ways[int(hit.handle) - 1]]}, other than {share} outlines"
        # What lies in them is a kind of its own.
        both = hits([*rings("lll"), *rings(ways, 20.0, 50.0)])
        assert [h.handle for h in both.get("direction", [])] == [str(int(k) + 3) for k in odd]
    # An island in a hole is an outline again, and what is cut out of it an inner contour.
    nested = [*rings("ll", size=100.0), *rings("rr", 10.0, 80.0), *rings("lr", 20.0, 60.0), *rings("lr", 30.0, 40.0)]
    found = hits(nested)
    assert [h.handle for h in found["direction"]] == ["6", "7"]
    # Of contours drawn as more than one entity, and of circles, nothing is said.
    halves = [run((0.0, 500.0), (0.0, 600.0), (100.0, 600.0)), run((100.0, 600.0), (100.0, 500.0), (0.0, 500.0))]
    ring = cut(circle((400.0, 550.0), 50.0).reversed(), kind="CIRCLE")
    assert "direction" not in kinds([*rings("ll"), *halves, ring])


def test_inner_contours_that_come_after_what_frees_them() -> None:
    outer, inner = cut(box(0, 0, 300, 200)[0], "CUT"), cut(box(50, 50, 60, 60)[0], "CUT")
    found = hits([outer, inner])
    (hit,) = found["order"]
    assert hit.handle == "2" and hit.detail == "after 1"
    assert "order" not in kinds([inner, outer])
    assert "order" not in kinds([PLATE, box(50, 50, 60, 60)]), "a part's own file is a design"
    halves = [run((50.0, 50.0), (110.0, 50.0), (110.0, 110.0), layer="CUT")]
    halves += [run((110.0, 110.0), (50.0, 110.0), (50.0, 50.0), layer="CUT")]
    assert "order" not in kinds([outer, *halves]), "loose lines have no order"
    # An island in it is an outline again.
    island = cut(box(60, 60, 40, 40)[0], "CUT")
    assert [h.handle for h in hits([inner, outer, island]).get("order", [])] == []
    # Of several outlines its own.
    second = cut(outer[0].moved(shift(400.0, 0.0)), "CUT"), cut(inner[0].moved(shift(400.0, 0.0)), "CUT")
    found = hits([inner, outer, *second])
    assert [(h.handle, h.detail) for h in found["order"]] == [("4", "after 3")]


@pytest.mark.parametrize("turn", [0.0, 0.6])
def test_a_rectangle_round_what_may_be_parts_is_told(turn: float) -> None:
    """Round a quarter of its area and more, or round what holds something again: a plate's holes cover less."""
    motion = Motion(math.cos(turn), math.sin(turn), 700.0, -300.0)

    def framed(*items: Item) -> list[str]:
        found = hits([(chain.moved(motion), *rest) for chain, *rest in items])  # type: ignore[misc]
        return [f"{hit.handle} {hit.detail}" for hit in found.get("frame", [])]

    # Of 300 by 200 a quarter is 15 000.
    of_one, of_two = (f"{text}, taken for what is cut out of it" for text in ("1 contour", "2 contours"))
    assert framed(PLATE) == []
    assert framed(box(50, 50, 149, 100), PLATE) == []
    assert framed(box(50, 50, 151, 100), PLATE) == [f"2 {of_one}"]
    assert framed(PLATE, box(50, 50, 76, 100), box(150, 50, 76, 100)) == [f"1 {of_two}"]
    assert framed(PLATE, box(50, 50, 74, 100), box(150, 50, 74, 100)) == []
    # A washer, and a hole in a part that a frame holds.
    assert framed(box(60, 60, 20, 20), box(50, 50, 50, 50), PLATE) == [f"3 {of_one}"]
    # Each frame of several; of one in another the outer.
    two = box(400, 0, 300, 200), box(410, 10, 280, 180)
    assert framed(PLATE, box(10, 10, 280, 180), *two) == [f"1 {of_one}", f"3 {of_one}"]
    assert framed(box(-20, -20, 340, 240), PLATE, box(10, 10, 280, 180)) == [f"1 {of_one}"]
    # Corners cut off by 20 leave 0.987 of it, by 30 0.97.
    for off, told in ((20.0, [f"1 {of_one}"]), (30.0, [])):
        ends = (
            (off, 0),
            (300 - off, 0),
            (300, off),
            (300, 200 - off),
            (300 - off, 200),
            (off, 200),
            (0, 200 - off),
            (0, off),
        )
        assert framed(shut(*ends), box(50, 50, 160, 100)) == told


def test_cuts_that_nobody_sees() -> None:
    assert [h.detail for h in hits([PLATE], frozen="PART")["hidden-layer"]] == ["layer is frozen"]
    assert [h.detail for h in hits([PLATE], off="PART")["hidden-layer"]] == ["layer is off"]
    chain = PLATE[0]
    unseen = Element("9", "LWPOLYLINE", "PART", "model", chain, (0.0, 0.0), (Trait("hidden-layer"),))
    assert [h.detail for h in hits([], others=[unseen])["hidden-layer"]] == ["flagged invisible"]
    assert "hidden-layer" not in kinds([PLATE, cut(chain.moved(shift(5.0, 5.0)), "NOTE")], off="NOTE")
    text = Element("9", "TEXT", "PART", "model", None, (0.0, 0.0))
    assert "hidden-layer" not in kinds([], others=[text, replace(unseen, layer="MARK", traits=())], off="PART")


def test_what_is_odd_about_an_entity_is_told_where_that_layer_is_cut() -> None:
    chain = PLATE[0]
    for layer, told in (("PART", {"spline", "tilted"}), ("MARK", {"tilted"}), ("NOTE", set())):
        odd = Element("9", "SPLINE", layer, "model", chain, (0.0, 0.0), (Trait("spline"), Trait("tilted", "by 3")))
        found = hits([cut(chain.moved(shift(900.0, 0.0)))], others=[odd])
        assert set(found) & {"spline", "tilted", "ellipse"} == told
        assert [h.detail for h in found.get("tilted", [])] == ["by 3"] * len(told & {"tilted"})
    paper = Element("9", "LINE", "PART", "paper", chain, (0.0, 0.0))
    others = [paper, replace(paper, layer="NOTE", handle="10"), replace(paper, chain=None, handle="11")]
    found = hits([PLATE], others=others)
    assert [h.handle for h in found["paper-space"]] == ["9"] and set(found) == {"paper-space"}
    # A circle without radius: told where a tool would follow it.
    nothing = [
        Element(handle, "CIRCLE", layer, "model", None, (0.0, 0.0), (Trait("zero-length", "a CIRCLE"),))
        for handle, layer in (("9", "PART"), ("10", "MARK"), ("11", "NOTE"), ("12", "STOCK"))
    ]
    found = hits([PLATE], others=nothing)
    assert [(h.handle, h.detail) for h in found["zero-length"]] == [("9", "a CIRCLE"), ("10", "a CIRCLE")]
    other = Element("9", "LINE", "WALLS", "model", chain.moved(shift(400.0, 0.0)), (0.0, 0.0))
    assert [h.detail for h in hits([PLATE], others=[other])["off-layers"]] == ["a LINE on layer WALLS"]
    assert "off-layers" not in kinds([PLATE], others=[replace(other, chain=None)])


def test_a_unit_that_is_guessed_is_told_by_the_files_version() -> None:
    for version, kind in (("R12", "units-unsaid"), ("R2000", "units-missing")):
        for per_unit, name in ((25.4, "inches"), (1.0, "millimetres")):
            found = hits([PLATE], unit="", per_unit=per_unit, guessed=True, version=version, metric=None)
            assert [h.detail for h in found.pop(kind)] == [f"by its size it is in {name}"] and not found
            assert hits([PLATE], version=version) == {}


def test_lengths_are_written_as_fine_as_they_are_measured() -> None:
    for mm, inches, metric in (
        (0.5, "0.01969 in (0.5 mm)", "0.5 mm"),
        (0.12345, "0.00486 in (0.123 mm)", "0.123 mm"),
        (1.23456, "0.0486 in", "1.23456 mm"),
        (25.4, "1 in", "25.4 mm"),
        (38.1, "1.5000 in", "38.1 mm"),
        (1234.5678, "48.6050 in", "1234.57 mm"),
    ):
        assert (length_words(mm, "in"), length_words(mm, "mm")) == (inches, metric)


def test_a_triangle_holds_what_lies_in_it() -> None:
    """Its hole is one: too small for a tool of 6."""
    hole = cut(circle((250.0, 60.0), 2.9), "DRILL", "CIRCLE")
    assert kinds([shut((0.0, 0.0), (300.0, 0.0), (300.0, 200.0)), hole], 6.0) == {"tight-radius"}
    # A sliver without width holds nothing, and has a length.
    flat = shut((0.0, 0.0), (12.0, 0.0), (20.0, 0.0))
    (hit,) = hits([flat])["units-at-odds"]
    assert hit.detail == "20 by 0 mm, which would do in inches"


def test_contours_of_lines_that_run_either_way_hold_what_lies_in_them() -> None:
    """The hole in the far corner is one only if the ring goes round it: too small for a tool of 6."""
    hole = cut(circle((250.0, 150.0), 2.9), "DRILL", "CIRCLE")
    there, back = ((0.0, 0.0), (300.0, 0.0), (300.0, 200.0)), ((0.0, 0.0), (0.0, 200.0), (300.0, 200.0))
    for one, two in ((there, back), (back, there), (there, back[::-1]), (there[::-1], back)):
        assert kinds([run(*one), run(*two), hole], 6.0) == {"tight-radius"}


def test_a_board_may_be_drawn_as_lines() -> None:
    """Its four sides, none the same way round: what ends off it is not open."""
    a, b, c, d = (0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (0.0, 300.0)
    sides = [run(*pair, layer="STOCK") for pair in ((a, b), (c, b), (c, d), (a, d))]
    assert "open-contour" not in kinds([*sides, run((100.0, -5.0), (100.0, 305.0))])
    assert "open-contour" in kinds([*sides, run((100.0, -5.0), (100.0, 295.0))])
    # An outline that crosses itself bounds no board.
    bow = cut(straight(((0.0, 0.0), (500.0, 300.0), (500.0, 0.0), (0.0, 290.0)), closed=True), "STOCK")
    assert len(hits([bow, run((100.0, -5.0), (100.0, 305.0))])["open-contour"]) == 1


X, Y = 50.0, 40.0
MOON = Chain(((X, Y), (X + 0.005, Y)), (1.0, 0.3), True)


@pytest.mark.parametrize(
    ("chain", "long"),
    [
        (straight(((X, Y), (X + 0.002, Y)), closed=True), 0.004),
        (straight(((X, Y), (X, Y - 0.009)), closed=False), 0.009),
        (straight(((X, Y), (X + 0.005, Y), (X + 0.005, Y + 0.005), (X, Y + 0.005)), closed=True), 0.02),
        (straight(((X, Y), (X - 0.009, Y), (X, Y), (X, Y - 0.009)), closed=False), 0.027),
        (circle((X, Y), 0.0049), math.tau * 0.0049),
        (Chain(((X, Y), (X + 0.005, Y)), (1.0, 0.0), False), 0.0025 * math.pi),
        (MOON, MOON.length()),
    ],
    ids=["back and forth", "straight", "square", "squiggle", "circle", "half", "moon"],
)
def test_what_lies_all_in_one_place_is_told_as_too_short_and_once(chain: Chain, long: float) -> None:
    """However often it turns there, open or closed, straight or round."""
    found = hits([PLATE, cut(chain, "CUT")])
    assert [(h.handle, h.size) for h in found.pop("tiny-segment")] == [("2", pytest.approx(long))]
    assert found == {}
    # On a layer of notes it is none of a tool's, on one of marks none of a cut's.
    for layer in ("NOTE", "MARK"):
        assert hits([PLATE, cut(chain, layer)]) == {}


@pytest.mark.parametrize(
    "end",
    [(X + 0.011, Y), (X - 0.011, Y), (X, Y + 0.011), (X, Y - 0.011)],
    ids=["right", "left", "up", "down"],
)
def test_what_reaches_farther_is_a_cut(end: Point) -> None:
    for points in (((X, Y), end), ((X, Y), (X, Y), end, (X, Y + 0.001))):
        assert {h.handle for h in hits([PLATE, run(*points)])["open-contour"]} == {"2"}


def test_arcs_that_come_round_are_no_dots() -> None:
    assert kinds([PLATE, cut(circle((X, Y), 0.0051), "CUT")], 6.0) == {"tight-radius"}
    (hit,) = hits([PLATE, run((X, Y), (X, Y + 1e-5))])["zero-length"]
    assert hit.size == pytest.approx(1e-5) and hit.detail == "a segment"
    # Of any size: a thousandth of a millimetre is left.
    for radius in (0.0125, 100.0):
        bulge = math.tan((math.tau - 0.001 / radius) / 4)
        ring = Chain(((150.0 + radius, 100.0), (150.0 + radius, 99.999)), (bulge, 0.0), False)
        (hit,) = hits([box(0, -100, 300, 400), cut(ring, kind="ARC")])["open-contour"]
        assert hit.size == pytest.approx(0.001, rel=1e-2) and hit.handle == "2"


def test_a_polyline_that_comes_back_to_its_start_is_closed_and_a_line_is_not() -> None:
    """A circle of three points, its last the first; its chain has each point once."""
    ring = Chain(((0.0, 0.0), (100.0, 0.0), (0.0, 0.0)), (1.0, 1.0, 0.0), False)
    (contour,) = join([ring]).contours
    assert contour.closed and contour.ends is None
    assert contour.chain([ring]) == Chain(((0.0, 0.0), (100.0, 0.0)), (1.0, 1.0), True)
    assert hits([cut(ring)]) == {}


def test_a_contour_is_its_chains_end_to_end() -> None:
    one = Chain(((0.0, 0.0), (10.0, 0.0), (20.0, 0.0)), (0.5, -0.3, 0.0), False)
    two = Chain(((30.0, 5.0), (25.0, 5.0), (20.0, 0.0)), (0.1, 0.2, 0.0), False)
    (contour,) = join([one, two]).contours
    assert contour.chain([one, two]) == Chain(
        ((0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (25.0, 5.0), (30.0, 5.0)), (0.5, -0.3, -0.2, -0.1, 0.0), False
    )
    assert contour.ends == ((0.0, 0.0), (30.0, 5.0))
    back = straight(((30.0, 5.0), (0.0, 0.0)), closed=False)
    (contour,) = join([one, two, back]).contours
    assert contour.closed and contour.chain([one, two, back]).bulges == (0.5, -0.3, -0.2, -0.1, 0.0)


@pytest.mark.parametrize("turned", range(8))
@pytest.mark.parametrize("order", list(itertools.permutations(range(3))), ids=str)
def test_lines_in_any_order_and_drawn_either_way_are_one_contour(order: tuple[int, ...], turned: int) -> None:
    """Three in a row, whose ends are left, and three round a corner, whose are not; after one that is another's."""
    alone = straight(((0.0, 90.0), (5.0, 90.0)), closed=False)
    places = [(0.0, 0.0), (10.0, 0.0), (20.0, 5.0)]
    for last, closed in (((30.0, 9.0), False), (places[0], True)):
        sides = [straight(pair, closed=False) for pair in itertools.pairwise((*places, last))]
        drawn = [sides[k].reversed() if turned >> k & 1 else sides[k] for k in order]
        for before in ([], [alone]):
            chains = [*before, *drawn]
            *others, contour = join(chains).contours
            assert len(others) == len(before) and join(chains).of[-3:] == (len(before),) * 3
            assert sorted(contour.members) == [len(before) + k for k in range(3)] and contour.closed == closed
            assert contour.ends is None if closed else {*(contour.ends or ())} == {places[0], last}
            found = contour.chain(chains)
            assert found.length() == pytest.approx(sum(side.length() for side in sides)) and found.closed == closed


def test_what_only_marks_crosses_and_touches_what_is_cut() -> None:
    """Told of cuts alone; of the first mark as of the others."""
    across, at_edge = ((-50.0, 100.0), (400.0, 100.0)), ((0.0, 50.0), (90.0, 50.0))
    for lines in ([across], [at_edge], [across, at_edge]):
        assert kinds([PLATE, *(run(*points, layer="MARK") for points in lines)]) == set()
    assert kinds([PLATE, run(*across)]) >= {"crossing"} and "touching" in kinds([PLATE, run(*at_edge)])


def test_pairs_are_all_there_are_or_said_not_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [shapely.Point(x, 0.0) for x in range(300)]
    wanted = {(i, j) for i in range(300) for j in range(300) if abs(i - j) <= 2}
    one, other, complete = pairs(np.array(rows), np.array(rows), "dwithin", 2.0)
    assert complete and set(zip(one.tolist(), other.tolist(), strict=True)) == wanted and len(one) == len(wanted)
    none, _, complete = pairs(np.array([]), np.array(rows), "dwithin", 2.0)
    assert complete and len(none) == 0
    monkeypatch.setattr("cutpath.inspect.near.MOST_PAIRS", 200)
    one, _, complete = pairs(np.array(rows), np.array(rows), "dwithin", 2.0)
    assert not complete and len(one) < len(wanted)
    for count in (60, 64):
        _, _, complete = pairs(np.array(rows[:count]), np.array(rows), "dwithin", 2.0)
        assert complete, "more than that, but all in one step"

"""Two parts' centre lines with what they share cut once: by hand, and by sweeping the tool along what is cut."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cut.offset.chain import offset_chain
from cutpath.cut.shared.lines import common_lines
from cutpath.cut.shared.once import board_paths, cut_once
from cutpath.cut.simulate.compare import leave
from cutpath.job.values import Cutter
from cutpath.outline import Chain, Motion, Point, shift, straight


def tool(width: float, direction: str = "climb", outside: str = "sharp") -> Cutter:
    return Cutter("router", width, "rounded", "centre", 10.0, outside=outside, direction=direction)  # type: ignore[arg-type]


def round_it(points: tuple[Point, ...], cutter: Cutter) -> tuple[Chain, ...]:
    """The centre line round a part: its outline run clockwise with the tool on the left, or that reversed."""
    path = offset_chain(straight(points, closed=True).reversed(), -cutter.radius, outside=cutter.outside)
    return (path if cutter.direction == "climb" else path.reversed(),)


def total(paths: tuple[Chain, ...]) -> float:
    return sum(path.length() for path in paths)


WIDTH, LEAN = 100.0, 60.0


def trapezoids(kerf: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Two plain boards whose ends lean alike, one cutter width apart square to the ends."""
    along = kerf * math.hypot(LEAN, WIDTH) / WIDTH
    first = ((0.0, 0.0), (300.0, 0.0), (300.0 - LEAN, WIDTH), (0.0, WIDTH))
    left = 300.0 + along
    return first, ((left, 0.0), (left + 200.0, 0.0), (left + 200.0, WIDTH), (left - LEAN, WIDTH))


@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_two_plain_boards_cut_all_round(direction: str) -> None:
    cutter = tool(8.0, direction)
    one, two = (round_it(points, cutter) for points in trapezoids(8.0))
    # The line runs in the middle, from under the lower edges to over the upper ones, half the tool past each.
    lean = math.hypot(LEAN, WIDTH) / WIDTH
    x = 300.0 + 4.0 * lean
    low, high = (x + 4.0 * LEAN / WIDTH, -4.0), (x - 104.0 * LEAN / WIDTH, 104.0)
    (line,) = common_lines(one, two)
    assert sorted(line) == [pytest.approx(high), pytest.approx(low)]
    both = cut_once(one, two, cutter)
    assert both is not None
    assert both[1] == two, "the second part's contour stays whole"
    (opened,) = both[0]
    assert not opened.closed and len(opened.points) == 4
    # What is saved is the line, and what the two legs stop short of it: at either corner half the way from the line's
    # end to where the tool's edge touches the corner.
    turns = (math.pi - math.atan2(WIDTH, LEAN), math.atan2(WIDTH, LEAN))
    short = sum(4.0 * math.tan(turn / 2) / 2 for turn in turns)
    assert total(one) - total(both[0]) == pytest.approx(108.0 * lean + short)
    ends = shapely.MultiPoint([opened.points[0], opened.points[-1]])
    assert two[0].line().distance(ends) > 1.0


def test_open_cuts_across_a_board_lose_one_of_two() -> None:
    """Ends cut from edge to edge, each run past the board by its overrun; the longer overrun is kept."""

    def across(*ends: Point) -> Chain:
        return straight(ends, closed=False)

    one = (across((0.0, 120.0), (60.0, -20.0)), across((400.0, 130.0), (400.0, -10.0)))
    two = (across((400.0, -15.0), (400.0, 112.0)), across((700.0, -10.0), (700.0, 110.0)))
    both = cut_once(one, two, tool(6.0))
    assert both == (one[:1], (across((400.0, -15.0), (400.0, 130.0)), two[1]))


def test_lines_that_run_the_same_way_are_not_shared() -> None:
    cutter = tool(6.0)
    one = (straight(((400.0, 130.0), (400.0, -10.0)), closed=False),)
    assert cut_once(one, one, cutter) is None
    apart = (straight(((401.0, -10.0), (401.0, 130.0)), closed=False),)
    assert cut_once(one, apart, cutter) is None and common_lines(one, apart) == ()
    with pytest.raises(ValueError, match="parts 1 and 2"):
        board_paths([one, apart], [(0, 1)], cutter)


def test_contours_that_cross_beside_the_line_are_not_shared() -> None:
    cutter = tool(6.0)
    one = (straight(((0.0, 50.0), (100.0, 50.0), (100.0, 0.0), (50.0, 0.0), (50.0, -50.0)), closed=False),)
    two = (straight(((40.0, -20.0), (120.0, -20.0), (120.0, 30.0), (100.0, 30.0), (100.0, 40.0)), closed=False),)
    assert len(common_lines(one, two)) == 1
    assert cut_once(one, two, cutter) is None


def test_a_row_of_three_shares_two_lines() -> None:
    cutter = tool(8.0)
    lean = 8.0 * math.hypot(LEAN, WIDTH) / WIDTH
    rhombus = ((0.0, 0.0), (200.0, 0.0), (200.0 - LEAN, WIDTH), (-LEAN, WIDTH))
    step = 200.0 + lean
    alone = [round_it(rhombus, cutter)[0].moved(shift(k * step, 0.0)) for k in range(3)]
    cut = board_paths([(path,) for path in alone], [(0, 1), (1, 2)], cutter)
    assert [path.closed for paths in cut for path in paths] == [False, False, True]
    pieces = leave(shapely.box(-100, -50, 900, 150), [path for paths in cut for path in paths], 8.0, 0.001)
    for k in range(3):
        part = shapely.Polygon([(x + k * step, y) for x, y in rhombus])
        found = next(p for p in pieces if p.contains(part.centroid))
        assert found.hausdorff_distance(part) < 0.01


lengths = st.integers(30, 80)
leans = st.sampled_from([-100, -40, -17, 0, 0, 12, 35, 60, 170])


@st.composite
def faced(draw: st.DrawFn) -> tuple[float, tuple[Point, ...], tuple[Point, ...]]:
    """A tool's width and two parts with straight faces to either side of y = 0, as far from it as half the width."""
    kerf = draw(st.sampled_from([0.15, 0.5, 6.0, 9.525]))
    start, length = draw(st.sampled_from([0, 0, -10, 4, 25])), draw(lengths)
    height = 50.0
    above = (0.0, 90.0, 90.0 + draw(leans), float(-draw(leans)))
    below = (float(start), float(start + length), start + length + float(draw(leans)), start - float(draw(leans)))
    if draw(st.booleans()):
        below = (0.0, 90.0, *below[2:])
    if above[2] <= above[3] + 20 or below[2] <= below[3] + 20:
        above, below = (*above[:2], 90.0, 0.0), (*below[:2], below[1], below[0])
    r = kerf / 2
    one = ((above[0], r), (above[1], r), (above[2], r + height), (above[3], r + height))
    two = ((below[1], -r), (below[0], -r), (below[3], -r - height), (below[2], -r - height))
    turn = draw(st.floats(0, math.tau))
    motion = Motion(math.cos(turn), math.sin(turn), 0.0, 0.0)
    return kerf, tuple(motion(p) for p in one), tuple(motion(p) for p in two)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(faced(), st.sampled_from(["climb", "conventional"]), st.sampled_from(["sharp", "rolled"]), st.booleans())
def test_what_is_cut_once_leaves_what_two_cuts_leave(
    drawn: tuple[float, tuple[Point, ...], tuple[Point, ...]], direction: str, outside: str, swap: bool
) -> None:
    kerf, *parts = drawn
    cutter = tool(kerf, direction, outside)
    if swap:
        parts.reverse()
    alone = [round_it(points, cutter) for points in parts]
    both = cut_once(*alone, cutter)
    assert both is not None, "nothing stands in the way of these"
    chord = min(0.002, kerf / 200)
    pieces = leave(shapely.box(-500, -500, 500, 500), [*both[0], *both[1]], kerf, chord)
    for points in parts:
        part = shapely.Polygon(points)
        found = next(p for p in pieces if p.contains(part.centroid))
        # Each comes loose, whole, and with nothing left on it.
        assert found.hausdorff_distance(part) < 3 * chord
    # The line itself is cut by one of them alone, and contours touch nowhere but end to end.
    (line,) = common_lines(*alone)
    near = shapely.LineString(line).buffer(kerf / 1000, cap_style="flat")
    cut = sum(path.line().intersection(near).length for paths in both for path in paths)
    assert cut == pytest.approx(math.dist(*line), rel=0.01)
    for one in both[0]:
        for other in both[1]:
            touching = one.line().intersection(other.line().buffer(1e-6))
            assert touching.length < 1e-5
    # Every piece runs the way its part's contour ran.
    for whole, found_paths in zip(alone, both, strict=True):
        for path in found_paths:
            ahead = path.line().interpolate(0.5, normalized=True)
            before = whole[0].line().project(path.line().interpolate(0.49, normalized=True))
            step = whole[0].line().project(ahead) - before
            assert 0 < step < path.length() or step < -whole[0].length() / 2

"""The simulated cut: right paths pass with every cutter and corner, wrong ones are found out by the right amount."""

from __future__ import annotations

import math
from typing import Literal

import pytest
import shapely
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cut.offset.chain import offset_chain
from cutpath.cut.simulate.compare import SimulatedCut, compare, compensated, leave, simulate
from cutpath.cut.simulate.meant import Meant
from cutpath.cut.simulate.sweep import swept
from cutpath.outline import Chain, Motion, Point, shift, straight
from cutpath.tolerances import ARC_CHORD
from tests.saw import RELIEFS, Relief, Saw, saw

Outside = Literal["sharp", "rolled"]
OUTSIDES: tuple[Outside, ...] = ("sharp", "rolled")

IN = 25.4
ROUTERS = (0.25 * IN, 0.375 * IN, 0.5 * IN)
BEAMS = (0.006 * IN, 0.015 * IN, 0.03 * IN, 0.06 * IN)
CUTTERS = (*ROUTERS, *BEAMS)


def past(inner: Point, end: Point, level: float, overrun: float) -> Point:
    """Where the line through two points is `overrun` below a level, measured along it."""
    share = (level - inner[1]) / (end[1] - inner[1]) + overrun / math.dist(inner, end)
    return (inner[0] + share * (end[0] - inner[0]), inner[1] + share * (end[1] - inner[1]))


def design_line(drawn: Saw, surplus: float = 0.0, overrun: float = 40.0) -> Chain:
    """All but the lower edge, from heel to foot, its ends run past the board."""
    o = drawn.outline
    line = Chain((*o.points[1:], o.points[0]), (*o.bulges[1:], 0.0), False).reversed()
    p = line.points
    ends = past(p[1], p[0], -surplus, overrun), past(p[-2], p[-1], -surplus, overrun)
    return Chain((ends[0], *p[1:-1], ends[1]), line.bulges, False)


def board_of(drawn: Saw, surplus: float = 0.0, length: float | None = None) -> shapely.Polygon:
    right = drawn.outline.extents()[2]
    return shapely.box(-40.0, -surplus, length or right + 40.0, drawn.width)


def meant_of(drawn: Saw) -> Meant:
    return Meant(drawn.outline, kept=frozenset({0}), corners=drawn.corners, behind=(drawn.behind,))


def loss(relief: Relief, pitch: float, radius: float) -> float:
    """What a corner takes from the throat w - d: the table of inside corners in the geometry notes."""
    return {
        "diagonal": radius * (1 - math.cos(math.pi / 4 - pitch)),
        "riser-side": radius * (1 - math.cos(pitch)),
        "tread-side": radius * (1 - math.sin(pitch)),
        "none": -radius * (math.sin(pitch) + math.cos(pitch) - 1),
    }[relief]


@st.composite
def jobs(draw: st.DrawFn) -> tuple[Saw, Relief, float, float]:
    """A stringer, its relief, the cutter's width and the board's surplus."""
    pitch, run, width = draw(st.floats(20, 45)), draw(st.floats(230, 300)), draw(st.sampled_from(CUTTERS))
    relief = draw(st.sampled_from(RELIEFS))
    sill = draw(st.none() | st.tuples(st.floats(40, 90), st.floats(30, 60)))
    board = run * math.sin(math.radians(pitch)) + draw(st.floats(125, 170))
    try:
        drawn = saw(pitch, draw(st.integers(2, 10)), run, board, relief, width / 2, sill)
    except ValueError:
        reject()
    return drawn, relief, width, draw(st.sampled_from([0.0, 1.5, 8.0]))


def hold_as_designed(cut: SimulatedCut, drawn: Saw, relief: Relief, width: float) -> None:
    radius = width / 2
    assert cut.ok
    assert cut.gouge == 0 and cut.leftover == 0
    assert len(cut.fillets) == (drawn.inside if relief == "none" else 0)
    for fillet in cut.fillets:
        # A circle in a square corner leaves the corner its radius times (root 2 less 1) away.
        assert fillet.depth == pytest.approx((math.sqrt(2) - 1) * radius, abs=cut.error)
    # From the tool's edge where it rounds the corner, drawn by hand, to what lies behind.
    behind = drawn.behind.line(1e-5)
    for corner, throat in zip(drawn.corners, cut.throats, strict=True):
        edge = shapely.LineString(tool_edge(corner, drawn.pitch, relief, radius))
        assert throat == pytest.approx(shapely.distance(edge, behind), abs=cut.error)


def tool_edge(corner: Point, pitch: float, relief: Relief, radius: float) -> list[Point]:
    """The tool's edge against the wood, at an inside corner with the seat to its right: fillet, or relief."""
    # In the stair frame: centre from the corner in radii, and from where to where (degrees) its edge bounds the wood.
    half = math.sqrt(0.5)
    (x, y), low, high = {
        "none": ((1.0, 1.0), 180, 270),
        "diagonal": ((half, half), 135, 315),
        "riser-side": ((0.0, 1.0), 90, 270),
        "tread-side": ((1.0, 0.0), 180, 360),
    }[relief]
    cos, sin = math.cos(pitch), math.sin(pitch)
    centre = (corner[0] + radius * (cos * x - sin * y), corner[1] + radius * (sin * x + cos * y))
    angles = [math.radians(low + (high - low) * i / 2000) + pitch for i in range(2001)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


# Throats of a stair of 7 1/4 rise and 10 1/2 run on an 11 1/4 in board, 3/8 in router, in inches: the check values of
# the geometry notes (from a separate calculation), stair A.
THROATS: dict[Relief, float] = {"diagonal": 5.2809, "riser-side": 5.2508, "tread-side": 5.2030, "none": 5.3573}


@pytest.mark.parametrize("relief", RELIEFS)
def test_throat_as_cut_is_the_published_one(relief: Relief) -> None:
    width = 0.375 * IN
    drawn = saw(math.degrees(math.atan(7.25 / 10.5)), 7, 10.5 * IN, 11.25 * IN, relief, width / 2)
    path = offset_chain(design_line(drawn), -width / 2)
    cut = simulate(board_of(drawn), [path], width, meant_of(drawn))
    assert min(cut.throats) / IN == pytest.approx(THROATS[relief], abs=0.0002)
    expected = drawn.width - drawn.depth - loss(relief, drawn.pitch, width / 2)
    assert cut.throats[2] == pytest.approx(expected, abs=cut.error)


@pytest.mark.parametrize("relief", RELIEFS)
def test_a_throat_thinner_than_the_tool(relief: Relief) -> None:
    """What lies behind is then as near the corner as the notch's own sides, and must not be taken for them."""
    width = 0.5 * IN
    depth = 266.7 * math.sin(math.radians(35.0))
    drawn = saw(35.0, 4, width=depth + 8.0, relief=relief, radius=width / 2, heel_run=250.0)
    path = offset_chain(design_line(drawn), -width / 2)
    cut = simulate(board_of(drawn), [path], width, meant_of(drawn))
    assert cut.throats[1] == pytest.approx(8.0 - loss(relief, drawn.pitch, width / 2), abs=cut.error)


@pytest.mark.slow
@given(jobs(), st.sampled_from(OUTSIDES))
@settings(max_examples=14, deadline=None)
def test_open_cuts_leave_the_design(job: tuple[Saw, Relief, float, float], outside: Outside) -> None:
    drawn, relief, width, surplus = job
    path = offset_chain(design_line(drawn, surplus), -width / 2, outside=outside)
    cut = simulate(board_of(drawn, surplus), [path], width, meant_of(drawn))
    hold_as_designed(cut, drawn, relief, width)
    # On a wider board the surplus stays on the part, down to where the plumb and the seat cut meet, square as they are.
    heel, back = drawn.outline.points[0][0], drawn.outline.points[1][0]
    meeting = (back - heel) * math.sin(drawn.pitch) * math.cos(drawn.pitch)
    assert cut.left is not None
    assert cut.left.bounds[1] == pytest.approx(-min(surplus, meeting))


@pytest.mark.slow
@given(jobs(), st.sampled_from(OUTSIDES), st.booleans())
@settings(max_examples=14, deadline=None)
def test_closed_cuts_leave_the_design(job: tuple[Saw, Relief, float, float], outside: Outside, clockwise: bool) -> None:
    drawn, relief, width, margin = job
    path = offset_chain(drawn.outline, width / 2, outside=outside)
    board = board_of(drawn, margin).buffer(20.0, join_style="mitre")
    meant = replace(meant_of(drawn), kept=frozenset())
    cut = simulate(board, [path.reversed() if clockwise else path], width, meant)
    hold_as_designed(cut, drawn, relief, width)


@pytest.mark.slow
@given(jobs(), st.sampled_from(OUTSIDES))
@settings(max_examples=15, deadline=None)
def test_design_lines_come_out_as_designed_in_the_shop(job: tuple[Saw, Relief, float, float], outside: Outside) -> None:
    drawn, relief, width, surplus = job
    line = design_line(drawn, surplus)
    for lines, waste in (([line], "left"), ([line.reversed()], "right")):
        paths = compensated(lines, width, waste, outside)  # type: ignore[arg-type]
        cut = simulate(board_of(drawn, surplus), paths, width, meant_of(drawn))
        hold_as_designed(cut, drawn, relief, width)


# Each mistake that a shop or a file can make, with what it does to the part.


@pytest.mark.parametrize("width", CUTTERS)
@pytest.mark.parametrize("relief", RELIEFS)
class TestMistakes:
    def drawn(self, relief: Relief, width: float) -> Saw:
        return saw(35.0, 4, relief=relief, radius=width / 2, sill=(88.9, 38.1))

    def cut(self, drawn: Saw, path: Chain, width: float) -> SimulatedCut:
        return simulate(board_of(drawn, 3.0), [path], width, meant_of(drawn))

    def path(self, drawn: Saw, distance: float) -> Chain:
        return offset_chain(design_line(drawn, 3.0), -distance, outside="rolled")

    def test_wrong_side(self, relief: Relief, width: float) -> None:
        drawn = self.drawn("none", width)
        cut = self.cut(drawn, self.path(drawn, -width / 2), width)
        assert not cut.ok
        # The kerf lies inside the line, so all its width is gone; across a tip it is root 2 times that.
        assert width * 0.999 - cut.error <= cut.gouge <= width * math.sqrt(2) * 1.001 + cut.error

    def test_no_compensation(self, relief: Relief, width: float) -> None:
        drawn = self.drawn(relief, width)
        cut = self.cut(drawn, design_line(drawn, 3.0), width)
        assert not cut.ok
        assert width / 2 * 0.999 - cut.error <= cut.gouge <= width / 2 * math.sqrt(2) * 1.001 + cut.error

    def test_double_compensation(self, relief: Relief, width: float) -> None:
        drawn = self.drawn("none", width)
        once = self.path(drawn, width / 2)
        cut = self.cut(drawn, compensated([once], width, "left")[0], width)
        assert not cut.ok
        assert cut.gouge == 0
        assert width / 2 * 0.999 - cut.error <= cut.leftover <= width / 2 * math.sqrt(2) + cut.error

    def test_wider_tool(self, relief: Relief, width: float) -> None:
        drawn = self.drawn(relief, width)
        cut = self.cut(drawn, self.path(drawn, width / 2), width + 0.1)
        assert not cut.ok
        assert cut.gouge == pytest.approx(0.05, abs=0.03)
        assert cut.gouge_at is not None

    def test_narrower_tool(self, relief: Relief, width: float) -> None:
        drawn = self.drawn(relief, width)
        cut = self.cut(drawn, self.path(drawn, width / 2), width - 0.1)
        assert not cut.ok
        assert cut.leftover == pytest.approx(0.05, abs=0.03)
        assert cut.gouge == 0

    def test_a_tool_off_by_less_than_the_tolerance(self, relief: Relief, width: float) -> None:
        drawn = self.drawn(relief, width)
        for other in (width - 0.025, width + 0.025):
            cut = self.cut(drawn, self.path(drawn, width / 2), other)
            assert cut.ok
            assert cut.gouge + cut.leftover > 0.01

    def test_a_board_that_lies_askew(self, relief: Relief, width: float) -> None:
        drawn = self.drawn(relief, width)
        path = self.path(drawn, width / 2)
        board = board_of(drawn, 3.0)
        for off, good in ((0.015, True), (0.04, False)):
            cut = simulate(board, [path.moved(shift(off, 0.0))], width, meant_of(drawn))
            assert cut.ok is good


@pytest.mark.parametrize("width", ROUTERS)
@pytest.mark.parametrize("relief", RELIEFS[1:])
def test_a_relief_left_out_is_found(relief: Relief, width: float) -> None:
    radius = width / 2
    drawn = saw(35.0, 4, relief=relief, radius=radius)
    plain = saw(35.0, 4)
    path = offset_chain(design_line(plain), -radius)
    cut = simulate(board_of(drawn), [path], width, meant_of(drawn))
    assert not cut.ok
    assert cut.gouge == 0
    assert cut.leftover > 0.25 * radius


@pytest.mark.parametrize("width", ROUTERS)
def test_a_tool_too_wide_for_a_relief_is_found(width: float) -> None:
    drawn = saw(35.0, 4, relief="diagonal", radius=0.4 * width)
    path = offset_chain(design_line(drawn), -width / 2)
    cut = simulate(board_of(drawn), [path], width, meant_of(drawn))
    assert not cut.ok
    assert cut.leftover > 0.01 * width


def test_a_sill_notch_lower_than_the_tool_is_no_mere_fillet() -> None:
    """Half inch router, notch 4 mm high: it can't touch the short side, and what stays is counted."""
    drawn = saw(35.0, 4, sill=(60.0, 4.0))
    path = offset_chain(design_line(drawn), -0.25 * IN, outside="rolled")
    cut = simulate(board_of(drawn), [path], 0.5 * IN, meant_of(drawn))
    assert not cut.ok
    assert len(cut.fillets) == len(drawn.corners)
    assert cut.leftover > 1.0


@pytest.mark.parametrize("end", [0, -1])
def test_an_end_that_stops_short_of_the_edge_is_found(end: int) -> None:
    drawn = saw(20.0, 5, relief="diagonal", radius=5.0)
    path = offset_chain(design_line(drawn, overrun=40.0), -5.0)
    points = list(path.points)
    inner = points[1 if end == 0 else -2]
    points[end] = past(inner, points[end], 0.0, -15.0)
    cut = simulate(board_of(drawn), [replace(path, points=tuple(points))], 10.0, meant_of(drawn))
    assert not cut.ok
    assert cut.gouge == 0 and cut.leftover > 5.0


def test_an_overrun_shorter_than_the_slanting_cut_needs_is_found() -> None:
    """At 20 degrees the tool's centre leaves the board R / tan(20 degrees) before its edge reaches the seat's back."""
    drawn = saw(20.0, 5)
    path = offset_chain(design_line(drawn), -5.0)
    needed = 5.0 / math.tan(math.radians(20.0))
    for overrun, good in ((needed - 2.0, False), (needed + 0.1, True)):
        points = (*path.points[:-1], past(path.points[-2], path.points[-1], 0.0, overrun))
        cut = simulate(board_of(drawn), [replace(path, points=points)], 10.0, meant_of(drawn))
        assert cut.ok is good


def test_a_stray_cut_through_the_part_is_found() -> None:
    drawn = saw(35.0, 5)
    width = 0.006 * IN
    good = offset_chain(design_line(drawn), -width / 2)
    middle = drawn.corners[1][0]
    # Through the lower edge to 30 mm deep, by a kerf of 0.15 mm.
    stray = straight(((middle, -20.0), (middle, 30.0)), False)
    cut = simulate(board_of(drawn), [good, stray], width, meant_of(drawn))
    assert not cut.ok
    assert cut.gouge == pytest.approx(30.0, abs=0.2)
    assert cut.gouge_at is not None and cut.gouge_at[0] == pytest.approx(middle, abs=0.2)
    # And all the way through, so that the part falls in two.
    through = straight(((middle, -20.0), (middle, 400.0)), False)
    assert simulate(board_of(drawn), [good, through], width, meant_of(drawn)).gouge > 100


def test_a_tip_cut_off_is_found() -> None:
    drawn = saw(35.0, 5)
    width = 0.25 * IN
    good = offset_chain(design_line(drawn), -width / 2)
    level = drawn.width - 0.2 + width / 2
    shave = straight(((-50.0, level), (2000.0, level)), False)
    cut = simulate(board_of(drawn), [good, shave], width, meant_of(drawn))
    assert not cut.ok
    assert cut.gouge == pytest.approx(0.2, abs=cut.error)


def test_a_board_narrower_than_the_part_is_found() -> None:
    drawn = saw(35.0, 5)
    path = offset_chain(design_line(drawn), -3.0)
    board = shapely.box(-40.0, 0.5, 2000.0, drawn.width)
    cut = simulate(board, [path], 6.0, meant_of(drawn))
    assert not cut.ok
    assert cut.gouge == pytest.approx(0.5)


def test_a_cut_into_the_surplus_alone_is_not_judged_but_one_into_the_kept_edge_is() -> None:
    drawn = saw(35.0, 5)
    path = offset_chain(design_line(drawn, 8.0), -3.0)
    middle = drawn.corners[1][0]
    for top, good in ((-4.0, True), (-2.5, False)):
        scratch = straight(((middle, -20.0), (middle, top)), False)
        cut = simulate(board_of(drawn, 8.0), [path, scratch], 6.0, meant_of(drawn))
        assert cut.ok is good
        assert cut.gouge == pytest.approx(max(0.0, top + 3.0), abs=cut.error)


def test_a_part_cut_away_altogether() -> None:
    drawn = saw(35.0, 2, run=250, width=270)
    flood = straight(((-500.0, 100.0), (2000.0, 100.0)), False)
    cut = simulate(board_of(drawn), [flood], 1000.0, meant_of(drawn))
    assert cut.gouge == math.inf and cut.left is None and not cut.ok


def test_a_part_that_comes_out_to_the_last_digit_is_found_on_the_board() -> None:
    """The overlay of these two with a plain intersection is two points (GEOS 3.14)."""
    meant = straight(
        (
            (4.699937255926394, -0.7694127893108388),
            (54.0431105464922, -8.847237349004686),
            (58.889805282308515, 20.758666625334804),
            (16.00889163949778, 68.3110298174813),
        ),
        closed=True,
    )
    left = shapely.Polygon(
        [
            (16.00889163949778, 68.3110298174813),
            (4.699937255926393, -0.7694127893108389),
            (54.0431105464922, -8.847237349004686),
            (58.88980528230851, 20.758666625334797),
        ]
    )
    found = compare(shapely.box(-100, -100, 100, 100), (left,), 9.525, Meant(meant))
    assert found.ok and found.left is left


def test_a_part_not_cut_at_all() -> None:
    drawn = saw(35.0, 4)
    cut = simulate(board_of(drawn), [], 6.0, meant_of(drawn))
    assert cut.gouge == 0 and cut.leftover > 30 and not cut.ok


@pytest.mark.parametrize("turned", [False, True])
def test_each_part_of_a_board_is_looked_at_by_itself(turned: bool) -> None:
    width = 0.375 * IN
    drawn = saw(35.0, 3, relief="riser-side", radius=width / 2)
    path = offset_chain(drawn.outline, width / 2)
    meant = replace(meant_of(drawn), kept=frozenset())
    right, top = drawn.outline.extents()[2:]
    places = [shift(20.0, 20.0), shift(right + 60.0, 20.0)]
    if turned:
        places[1] = Motion(-1.0, 0.0, 2 * right + 60.0, top + 20.0)
    board = shapely.box(0.0, 0.0, 2 * right + 120.0, top + 40.0)
    paths = [path.moved(places[0]), path.moved(places[1]).moved(shift(0.0, 0.2))]
    pieces = leave(board, paths, width)
    good, bad = (compare(board, pieces, width, meant.moved(place)) for place in places)
    assert good.ok and good.throats == pytest.approx(bad.throats, abs=0.3)
    assert not bad.ok
    assert bad.gouge == pytest.approx(0.2, abs=0.01) and bad.leftover == pytest.approx(0.2, abs=0.01)


def test_holes() -> None:
    """A round hole behind a notch governs its throat; a square one keeps its fillets."""
    width = 0.25 * IN
    drawn = saw(35.0, 5)
    x, y = drawn.corners[1]
    bolt = Chain(((x + 10.0, y - 50.0), (x - 10.0, y - 50.0)), (1.0, 1.0), True)
    x, y = drawn.corners[3]
    window = straight(((x - 20, y - 70), (x + 20, y - 70), (x + 20, y - 40), (x - 20, y - 40)), True)
    meant = replace(meant_of(drawn), holes=(bolt, window))
    edge = offset_chain(design_line(drawn), -width / 2)
    inner = [offset_chain(hole, -width / 2) for hole in (bolt, window)]
    cut = simulate(board_of(drawn), [*inner, edge], width, meant)
    assert cut.ok
    assert len(cut.fillets) == len(drawn.corners) + 4
    # From the fillet's arc about the tool's centre, up the riser cut and out along the tread seat, down to the bolt.
    sin, cos = math.sin(drawn.pitch), math.cos(drawn.pitch)
    x, y = drawn.corners[1]
    centre = (x + width / 2 * (cos - sin), y + width / 2 * (cos + sin))
    gap = math.dist(centre, (x, y - 50.0)) - width / 2 - 10.0
    assert cut.throats[1] == pytest.approx(gap, abs=2 * cut.error)
    assert not simulate(board_of(drawn), [inner[0], edge], width, meant).ok
    # The holes cut as if they were outlines: a whole width too large.
    outer = [offset_chain(hole, width / 2) for hole in (bolt, window)]
    assert simulate(board_of(drawn), [*outer, edge], width, meant).gouge >= width * 0.999


@given(
    st.floats(0.05, 7),
    st.floats(0.01, 60),
    st.floats(0.05, 3.0) | st.floats(-3.0, -0.05),
)
@settings(max_examples=30, deadline=None)
def test_sweep_of_one_arc(radius: float, around: float, sweep: float) -> None:
    """Every place on the swept edge is the tool's radius from the path."""
    bulge = math.tan(sweep / 4)
    path = Chain(((around, 0.0), (around * math.cos(sweep), around * math.sin(sweep))), (bulge, 0.0), False)
    region = swept([path], 2 * radius)
    line = path.line(1e-5)
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(region.boundary, 0.5)))
    away = shapely.distance(line, places)
    assert float(away.max()) <= radius + ARC_CHORD + 1e-4
    assert float(away.min()) >= radius - ARC_CHORD - 1e-4


def test_sweep_of_a_line_has_the_area_of_a_slot() -> None:
    region = swept([straight(((0.0, 0.0), (30.0, 40.0)), False)], 6.0)
    assert region.area == pytest.approx(50 * 6 + math.pi * 9, rel=1e-3)
    assert region.area < 50 * 6 + math.pi * 9

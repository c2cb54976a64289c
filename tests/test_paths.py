"""What the tool follows: open past the board's edge where factory edges stay, closed elsewhere."""

import math

import pytest
import shapely
from hypothesis import assume, given, settings
from msgspec.structs import replace

from cutpath.cut.paths import cut_path, leads, meeting, waste_side
from cutpath.cut.relief import cut_part
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Cutter, SillNotch
from cutpath.outline import Chain
from tests.stairs import IN, Drawn, drawings, mm, spec

ROUTER = Cutter("router", 0.375 * IN, "relieved", "design", 0.5 * IN)


def part_of(width: float = 11.25 * IN, risers: int = 8, sill: SillNotch | None = None, cutter: Cutter = ROUTER):
    stair = Stair(risers, 7.25 * IN, 10.5 * IN, "one-below", 1.5 * IN, 0.0, IN, IN)
    return cut_part(build_stringer(stair, spec(sill), width, mm), cutter.corner, cutter.radius)


@pytest.mark.parametrize("surplus", [0.0, 3.0])
@pytest.mark.parametrize("sill", [None, SillNotch(3.5 * IN, 1.5 * IN)])
def test_factory_edges_leave_one_open_chain_whose_ends_run_past_the_board(surplus: float, sill) -> None:
    part = part_of(sill=sill)
    path = cut_path(part, ROUTER, surplus)
    assert not path.closed
    for inner, end in ((path.points[1], path.points[0]), (path.points[-2], path.points[-1])):
        along = (-surplus - inner[1]) / (end[1] - inner[1])
        leaves = (inner[0] + along * (end[0] - inner[0]), -surplus)
        assert math.dist(leaves, end) == pytest.approx(0.5 * IN)
    # All between the ends is the outline itself, run clockwise from the heel.
    assert set(path.points[1:-1]) == set(part.outline.points[2:])
    assert path.points[1] == part.outline.points[-1]
    assert path.bulges[0] == path.bulges[-2] == path.bulges[-1] == 0


def test_trimmed_edges_are_cut_all_round_clockwise() -> None:
    part = part_of()
    path = cut_path(replace(part, edges="trimmed"), ROUTER, 0.0)
    assert path.closed
    assert path.area() == pytest.approx(-part.outline.area())
    # From the heel round, so that the long lower edge is cut last and holds the part meanwhile.
    heel, seat = part.outline.points[:2]
    assert (path.points[0], path.points[-1]) == (heel, seat)
    back = cut_path(replace(part, edges="trimmed"), replace(ROUTER, direction="conventional"), 0.0)
    assert {back.points[0], back.points[-1]} == {heel, seat} and back.area() > 0


@settings(max_examples=50, deadline=None)
@given(drawings(12))
def test_the_cut_frees_exactly_the_part_from_a_wider_board(drawn: Drawn) -> None:
    """Splitting the board along the path leaves the part, plus the surplus below its lower edge."""
    try:
        stringer = drawn.stringer()
        part = cut_part(stringer, "rounded", 3.0)
    except ImpossibleStringer:
        assume(False)
    surplus = 5.0
    path = cut_path(part, replace(ROUTER, corner="rounded"), surplus)
    board = shapely.box(-500, -surplus, stringer.length + 500, drawn.width + 1e-6)
    # Tips touch the board's edge at a point each; the sliver above them keeps the waste in one piece here.
    pieces = shapely.polygonize(
        [shapely.node(shapely.union_all([shapely.boundary(board), path.line()]))]
    ).geoms  # fmt: skip
    design = part.outline.polygon()
    inside = design.representative_point()
    (freed,) = [p for p in pieces if p.contains(inside)]
    assert freed.difference(design.buffer(1e-6)).intersection(
        shapely.box(-1e4, 0, 1e4, 1e4)
    ).area == pytest.approx(0, abs=1e-2)  # fmt: skip
    assert design.difference(freed.buffer(1e-6)).area == pytest.approx(0, abs=1e-2)


def test_cuts_that_meet_above_the_edge_free_the_part_all_round() -> None:
    stair = Stair(3, 150.0, 250.0, "one-below", 40.0, 0.0, 25.0, 25.0)
    stringer = build_stringer(stair, spec(), 250.0, mm)
    assert stringer.keeps_edge
    part = cut_part(stringer, "rounded", 3.0)
    assert not cut_path(part, ROUTER, 0.0).closed
    wide = cut_path(part, ROUTER, 400.0)
    assert wide.closed and wide.line().is_simple
    # The plumb cut and the seat run on to where they meet, square to each other, beyond the lower edge.
    corner, heel, seat = wide.points[0], *part.outline.points[:2]
    assert set(wide.points[1:]) == set(part.outline.points) - {heel, seat}
    assert not any(wide.bulges)
    legs = math.dist(corner, heel), math.dist(corner, seat)
    assert math.hypot(*legs) == pytest.approx(math.dist(heel, seat))
    assert -wide.area() == pytest.approx(part.outline.area() + legs[0] * legs[1] / 2)
    # It is all round from the surplus on at which the longer of the two overruns would reach that corner.
    top, toe = part.outline.points[-1], part.outline.points[2]
    steep = [(a[1] - b[1]) / math.dist(a, b) for a, b in ((top, heel), (toe, seat))]
    enough = -corner[1] - 0.5 * IN * max(steep)
    assert not cut_path(part, ROUTER, enough - 0.01).closed
    assert cut_path(part, ROUTER, enough + 0.01).closed


def test_centre_line_runs_half_the_width_beside_the_design() -> None:
    part = part_of(cutter=replace(ROUTER, corner="rounded"))
    design = cut_path(part, ROUTER, 0.0)
    centre = cut_path(part, replace(ROUTER, path="centre"), 0.0)
    assert shapely.distance(design.line(), shapely.Point(centre.points[3])) >= ROUTER.radius - 1e-9
    assert not part.outline.polygon().intersects(centre.line(1e-6).buffer(ROUTER.radius - 1e-3))
    for inner, end in ((centre.points[1], centre.points[0]), (centre.points[-2], centre.points[-1])):
        along = -inner[1] / (end[1] - inner[1])
        leaves = (inner[0] + along * (end[0] - inner[0]), 0.0)
        assert math.dist(leaves, end) == pytest.approx(0.5 * IN)


def test_a_rolled_centre_line_is_rolled_about_its_tips_and_not_where_it_leaves_the_board() -> None:
    part = part_of(cutter=replace(ROUTER, corner="rounded"))
    sharp = cut_path(part, replace(ROUTER, path="centre"), 0.0)
    rolled = cut_path(part, replace(ROUTER, path="centre", outside="rolled"), 0.0)
    assert not rolled.closed
    # The top of the plumb cut, every tip and the foot's end: toe and tips turn out, inside corners in.
    rolls = sum(role in ("top", "tip", "toe") for role in part.roles)
    assert sum(b != 0 for b in rolled.bulges) == rolls and len(rolled.points) == len(sharp.points) + rolls
    for end, inner in ((0, 1), (-1, -2)):
        assert rolled.points[end] == pytest.approx(sharp.points[end])
        # It is straight from there to square beside the corner, which the mitre is a radius past.
        assert math.dist(rolled.points[inner], sharp.points[inner]) == pytest.approx(ROUTER.radius)


def test_the_waste_lies_outside_of_a_climb_cuts_clockwise_run() -> None:
    assert waste_side(ROUTER) == "left" and waste_side(replace(ROUTER, direction="conventional")) == "right"
    for direction, sign in (("climb", -1), ("conventional", 1)):
        path = cut_path(replace(part_of(), edges="trimmed"), replace(ROUTER, direction=direction), 0.0)
        # Counter-clockwise the left is the part.
        assert path.area() * sign > 0


def test_where_two_endless_lines_meet() -> None:
    """At (7, -3), along (3, 1) and (-2, 5), wherever their points lie on them."""
    for s, t, u, v in ((2.0, 5.0, -3.0, 4.0), (-1.0, 1.0, 0.5, 2.5), (4.0, -2.0, 3.0, 1.0)):
        ends = [(7 + 3 * k, -3 + k) for k in (s, t)] + [(7 - 2 * k, -3 + 5 * k) for k in (u, v)]
        assert meeting(*ends) == pytest.approx((7.0, -3.0))


def test_leads_go_straight_on_from_both_sides_of_the_first_corner() -> None:
    """At (10, 20) the contour leaves along (3, 4) / 5 and comes back along (-12, 5) / 13."""
    path = Chain(((10.0, 20.0), (40.0, 60.0), (130.0, -30.0)), (0.0,) * 3, True)
    into, out = leads(path, 6.5)
    assert into.points[1] == out.points[0] == (10.0, 20.0)
    assert into.points[0] == pytest.approx((10 - 0.6 * 6.5, 20 - 0.8 * 6.5))
    assert out.points[1] == pytest.approx((10 - 6.5 * 12 / 13, 20 + 6.5 * 5 / 13))
    assert not any((*into.bulges, *out.bulges, into.closed, out.closed))
    assert len(leads(path, 0.5)) == 2 and leads(path, 0.0) == ()
    assert leads(replace(path, closed=False), 6.5) == ()

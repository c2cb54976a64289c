"""The simulated cut's comparison on pieces made by hand, and what a tool sweeps, by closed forms."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from cutpath.cut.relief import fillet_in
from cutpath.cut.simulate.compare import SimulatedCut, _holder, compare
from cutpath.cut.simulate.edge import Edge, edge_of
from cutpath.cut.simulate.meant import Meant, region_of
from cutpath.cut.simulate.sweep import _band, round_places
from cutpath.cut.simulate.throat import _along, _reaches, throats_as_cut
from cutpath.design.throat import InsideCorner, throats
from cutpath.outline import Arc, Chain, Point, circle, straight
from cutpath.tolerances import ARC_CHORD, CUT

BOARD = box(-50.0, -50.0, 350.0, 250.0)
#: An oblong with a notch in its upper right, its corner at (200, 100).
POINTS = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (200.0, 100.0), (200.0, 200.0), (0.0, 200.0))
L = Polygon(POINTS)
CORNER = (200.0, 100.0)
BEHIND = straight(((0.0, 0.0), (300.0, 0.0)), closed=False)
MEANT = Meant(straight(POINTS, closed=True), (), frozenset(), (CORNER,), (BEHIND,))


def filleted(radius: float) -> Polygon:
    """What a round tool leaves in the notch's corner: the square there less the quarter of the tool's disc."""
    x, y = CORNER
    disc = shapely.Point(x + radius, y + radius).buffer(radius, 512)
    return L.union(box(x - 1e-9, y - 1e-9, x + radius, y + radius).difference(disc))


def held(piece: Polygon, width: float = 6.0) -> SimulatedCut:
    return compare(BOARD, [box(310, 210, 340, 240), piece], width, MEANT)


def test_what_comes_out_as_designed_is_right() -> None:
    cut = held(L)
    assert (cut.gouge, cut.gouge_at, cut.leftover, cut.leftover_at, cut.fillets) == (0.0, None, 0.0, None, ())
    assert cut.error == 2 * ARC_CHORD and cut.ok
    assert cut.throats == pytest.approx((100.0,))


def test_a_fillet_of_the_tools_own_radius_is_one_and_a_larger_one_is_left_over() -> None:
    """From the corner sqrt(2) - 1 radii to the fillet; between two of them the difference."""
    cut = held(filleted(3.0))
    (fillet,) = cut.fillets
    assert fillet.corner == CORNER and fillet.depth == pytest.approx(3.0 * (math.sqrt(2) - 1), abs=1e-3)
    assert cut.leftover == 0.0 and cut.ok and cut.throats == pytest.approx((100.0,), abs=1e-3)
    larger = held(filleted(6.0))
    assert larger.leftover == pytest.approx(3.0 * (math.sqrt(2) - 1), abs=0.01) and not larger.ok
    assert held(filleted(6.0), 12.0).ok


@pytest.mark.parametrize("wide", [0.5, 40.0])
def test_a_slot_into_the_part_and_a_spike_left_on_it_count_by_their_length(wide: float) -> None:
    slot = held(L.difference(box(100.0, 190.0, 100.0 + wide, 210.0)))
    assert slot.gouge == pytest.approx(10.0, abs=0.01) and slot.leftover == 0.0
    assert slot.gouge_at is not None and slot.gouge_at[1] == pytest.approx(190.0)
    spike = held(L.union(box(100.0, 190.0, 100.0 + wide, 210.0)))
    assert spike.leftover == pytest.approx(10.0, abs=0.01) and spike.gouge == 0.0
    assert spike.leftover_at is not None and spike.leftover_at[1] == pytest.approx(210.0)


def test_a_tip_cut_off_and_a_bay_filled_in_count_by_their_depth() -> None:
    """Where the new edge lies near the design's all along, and only the design's own lies far from it."""
    sliver = Polygon([(0.0, 0.0), (300.0, 0.0), (0.0, 2.0)])
    meant = Meant(straight(tuple(sliver.exterior.coords[:-1]), closed=True), (), frozenset(), (), ())
    short = sliver.intersection(box(0.0, 0.0, 150.0, 10.0))
    assert compare(BOARD, [short], 6.0, meant).gouge > 100.0
    bay = Polygon([(0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (160.0, 100.0), (150.0, 10.0), (140.0, 100.0), (0, 100.0)])
    meant = Meant(straight(tuple(bay.exterior.coords[:-1]), closed=True), (), frozenset(), (), ())
    assert compare(BOARD, [bay.convex_hull], 1.0, meant).leftover > 5.0


def test_a_throat_counts_what_was_cut_deeper_beside_the_corner() -> None:
    """A nick 5 deep into the seat, at the corner: 95 are left; not where it is elsewhere."""
    assert held(L.difference(box(199.0, 95.0, 202.0, 101.0))).throats == pytest.approx((95.0,), abs=0.01)
    assert held(L.difference(box(206.0, 99.98, 209.0, 101.0))).throats == pytest.approx((100.0,), abs=0.001)


def test_a_throat_is_measured_to_an_edge_that_the_cut_moved() -> None:
    """A hundredth of a millimetre and three, off the lower edge: the design is gouged by as much."""
    for off in (0.01, 0.03):
        cut = held(L.intersection(box(0.0, off, 300.0, 200.0)))
        assert cut.gouge == pytest.approx(off) and cut.throats == pytest.approx((100.0 - off,))


def test_a_part_of_which_nothing_is_left() -> None:
    cut = compare(BOARD, [box(310, 210, 340, 240)], 6.0, MEANT)
    assert (cut.gouge, cut.gouge_at, cut.leftover, cut.throats, cut.left) == (math.inf, None, 0.0, (0.0,), None)
    assert not cut.ok


@pytest.mark.parametrize(("gouge", "leftover"), [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.5)])
def test_chord_errors_count_against_a_cut(gouge: float, leftover: float) -> None:
    for size, error, ok in ((CUT, 0.0, True), (CUT - 0.002, 0.0019, True), (CUT - 0.002, 0.0021, False)):
        cut = SimulatedCut(gouge * size, None, leftover * size, None, (), (), error, None)
        assert cut.ok == ok
    assert not SimulatedCut(gouge * 2 * CUT, None, leftover * 2 * CUT, None, (), (), 0.0, None).ok


def test_the_piece_that_holds_most_of_a_design_is_the_part() -> None:
    design = box(0.0, 0.0, 100.0, 10.0)
    for splits in ((25.0, 65.0), (40.0, 75.0), (35.0, 60.0), (80.0, 90.0)):
        ends = [0.0, *splits, 100.0]
        pieces = [box(a, -5.0, b, 15.0) for a, b in pairwise(ends)]
        sizes = [b - a for a, b in pairwise(ends)]
        for order in (1, -1):
            assert _holder(pieces[::order], design) is pieces[sizes.index(max(sizes))]
    assert _holder([box(100.0, 0.0, 200.0, 10.0)], design) is None, "it touches, and holds nothing"
    assert _holder([box(500.0, 0.0, 600.0, 10.0)], design) is None
    tiny = box(0.0, 0.0, 0.5, 0.5)
    assert _holder([tiny], tiny) is tiny


@pytest.mark.parametrize("radius", [0.5, 3.0, 50.0])
@pytest.mark.parametrize("chord", [1e-3, 0.1])
def test_chords_stand_no_farther_off_an_arc_than_asked(radius: float, chord: float) -> None:
    for share in range(1, 60):
        sweep = share * 0.1047 * (1 if share % 2 else -1)
        arc = Arc((7.0, -2.0), radius, 0.4, sweep)
        places = round_places(arc, chord)
        assert places[0] == pytest.approx(arc.at(0.0)) and places[-1] == pytest.approx(arc.at(1.0))
        middles = (places[1:] + places[:-1]) / 2
        off = radius - np.hypot(*(middles - np.array(arc.centre)).T)
        assert off.max() <= chord * (1 + 1e-9)
        # One chord fewer would stand farther off, and some arcs are short enough for one alone.
        fewer = len(places) - 2
        assert fewer == 0 or radius * (1 - math.cos(sweep / fewer / 2)) > chord * (1 - 1e-6)
        assert np.allclose(np.hypot(*(places - np.array(arc.centre)).T), radius)


def test_what_a_tool_sweeps_along_an_arc_lies_between_two_circles() -> None:
    ring = Polygon(_band(Arc((7.0, -2.0), 20.0, 0.4, 2.0), 5.0, 0.01))
    wanted = (25.0**2 - 15.0**2) * 2.0 / 2
    assert ring.is_valid and ring.area == pytest.approx(wanted, abs=0.01 * (25 + 15) * 2.0)
    centre = shapely.Point(7.0, -2.0)
    assert centre.distance(ring) == pytest.approx(15.0, abs=0.0101)
    assert max(math.dist(p, (7.0, -2.0)) for p in ring.exterior.coords) == pytest.approx(25.0)
    # A tool as wide as the arc is sharp leaves no hole.
    full = Polygon(_band(Arc((7.0, -2.0), 5.0, 0.4, 2.0), 5.0, 0.01))
    assert full.area == pytest.approx(10.0**2 * 2.0 / 2, abs=0.2) and centre.distance(full) < 1e-9


@pytest.mark.parametrize("high", [0, 1, 2])
def test_a_side_lies_along_a_line_where_both_its_ends_and_its_middle_do(high: int) -> None:
    """One place of the three lies 1.2 from the line, and the others nearer."""
    line = shapely.LineString([(0.0, 0.0), (50.0, 1.2 if high == 1 else 0.0), (100.0, 0.0)])
    ends = [(0.0, 1.2 if high == 0 else 0.0), (100.0, 1.2 if high == 2 else 0.0)]
    side = Edge(np.array([ends]))
    assert not _along(side, line, 1.0).any() and _along(side, line, 1.3).all()


def test_how_far_a_corners_relief_or_fillet_reaches() -> None:
    """On the diagonal sqrt(2) radii to either mouth; up the riser a diameter; a square corner the tool's radius."""
    r = 5.0
    points = (
        (0.0, 0.0),
        (300.0, 0.0),
        (300.0, 100.0),
        (200 + r * math.sqrt(2), 100.0),
        (200.0, 100 + r * math.sqrt(2)),
    )
    points += (
        (200.0, 150.0),
        (100.0, 150.0),
        (100.0, 158.0),
        (100.0, 190.0),
        (50.0, 190.0),
        (50.0, 240.0),
        (0.0, 240.0),
    )
    bulges = [0.0] * len(points)
    bulges[3], bulges[6] = -1.0, -1.0
    outline = Chain(points, tuple(bulges), True)
    found = _reaches(outline, (CORNER, (100.0, 150.0), (50.0, 190.0)), 3.0)
    assert found == pytest.approx([r * math.sqrt(2), 8.0, 3.0])


def test_a_throat_needs_something_behind_and_is_nothing_where_that_is_gone() -> None:
    region = region_of(MEANT, BOARD, 3.0, ARC_CHORD)
    assert throats_as_cut(L, region, MEANT, 3.0, CUT) == pytest.approx((100.0,))
    assert throats_as_cut(L.intersection(box(0.0, 10.0, 300.0, 200.0)), region, MEANT, 3.0, CUT) == (0.0,)
    with pytest.raises(ValueError, match="something behind"):
        throats_as_cut(L, region, Meant(MEANT.outline, (), frozenset(), (CORNER,), ()), 3.0, CUT)
    hole = circle((200.0, 50.0), 4.0)
    drilled = Meant(MEANT.outline, (hole,), frozenset(), (CORNER,), (BEHIND,))
    left = L.difference(hole.polygon(1e-4))
    assert throats_as_cut(left, region_of(drilled, BOARD, 3.0, ARC_CHORD), drilled, 3.0, CUT) == pytest.approx(
        (46.0,), abs=0.01
    )


@pytest.mark.parametrize("centre", [(203.0, 70.0), (170.0, 103.0), (170.0, 70.0)])
def test_the_throat_as_cut_of_a_square_corner_is_no_less_than_the_one_that_was_checked(centre: Point) -> None:
    """The tool leaves a fillet that ends on the seat or the riser cut, there nearer to a hole than the corner is."""
    hole = circle(centre, 4.0)
    meant = Meant(MEANT.outline, (hole,), frozenset(), (CORNER,), (BEHIND,))
    left = filleted(3.0).difference(hole.polygon(1e-4))
    (cut,) = throats_as_cut(left, region_of(meant, BOARD, 3.0, ARC_CHORD), meant, 3.0, CUT)
    fillet = fillet_in((300.0, 100.0), CORNER, (200.0, 200.0), 3.0)
    (design,) = throats((InsideCorner(1, CORNER, None, fillet),), (BEHIND,), (((centre,), 4.0),))
    assert design.throat - 0.01 < cut < design.throat + 3.0 * (math.sqrt(2) - 1) + 0.01


def test_nothing_has_no_edge() -> None:
    assert edge_of(Polygon()).sides.shape == (0, 2, 2)

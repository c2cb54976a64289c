"""What a stringer carries, on members made by hand that climb 3 in 5, so that cosines are 0.8 and sums are whole.

A level load w on a member of pitch p bends it as w does a level beam of the same level span; square to the board it is
w cos2 p along the axis. Formulas are those of any handbook: M = w L2 / 8 and P L / 4, three moments over supports,
5 w L4 / 384 E I, shear 1.5 V / A.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from msgspec.structs import replace

from cutpath.design.stair import Stair
from cutpath.design.strength.beam import _extremes, moved, respond
from cutpath.design.strength.guidance import across, bending, guidance, guidance_country, section_modulus, spacing
from cutpath.design.strength.judge import _nodes, _patterns, judge
from cutpath.design.strength.materials import (
    deflection_limit,
    loads_of,
    nominal_width,
    steel,
    tables_are_for,
    wood,
    wood_names,
)
from cutpath.design.strength.member import Member, member_of
from cutpath.design.strength.sections import Section, section_of, sections
from cutpath.design.strength.shares import end_notch
from cutpath.design.strength.values import Bearing, LoadsOnStair, Material, Share, Strength
from cutpath.design.stringer import build_stringer
from cutpath.faults import Fault, ImpossibleStringer
from cutpath.job.values import Loads, Support, Wood
from cutpath.outline import Motion
from cutpath.plan.strength_words import UNITS, lifts, reactions
from tests.stairs import IN, mm, spec

PSI = 145.03773773
EI = 4.2e11

# The beam.


def test_a_beam_is_held_at_both_its_ends_or_told() -> None:
    nodes, ei, none, points = [0.0, 1.0, 3.0], [EI, EI], np.zeros((1, 2)), np.zeros((1, 3))
    for held in ([], [0], [2], [0, 1], [1, 2], [1, 1]):
        with pytest.raises(ValueError, match="held at both its ends"):
            respond(nodes, ei, held, none, points)
    for stiff, spread, at in (
        ([EI], none, points),
        (ei, np.zeros((1, 3)), points),
        (ei, none, np.zeros((1, 2))),
        (ei, none, np.zeros((2, 3))),
    ):
        with pytest.raises(ValueError, match="another shape"):
            respond(nodes, stiff, [0, 2], spread, at)


def test_two_spans_of_unlike_length_and_stiffness_by_three_moments() -> None:
    """M = -(w1 a3 / I1 + w2 b3 / I2) / 8 (a / I1 + b / I2): the slopes of both spans meet at the support.

    Spans of 2000 and 3000, the second of twice the stiffness, each loaded alone and both; nodes unlike far apart.
    """
    a, b, w, v = 2000.0, 3000.0, 2.0, 5.0
    nodes = [100.0, 600.0, 700.0, 1500.0, 2100.0, 2300.0, 3600.0, 4000.0, 5100.0]
    spread = np.zeros((3, 8))
    spread[0, :4], spread[1, 4:], spread[2, :4], spread[2, 4:] = w, v, w, v
    found = respond(nodes, [EI] * 4 + [2 * EI] * 4, [0, 4, 8], spread, np.zeros((3, 9)))
    for row, (one, two) in enumerate(((w, 0.0), (0.0, v), (w, v))):
        held = -(one * a**3 + two * b**3 / 2) / 8 / (a + b / 2)
        assert found.moments[row, 4] == pytest.approx(held)
        first, last = one * a / 2 + held / a, two * b / 2 + held / b
        assert found.reactions[row] == pytest.approx([first, one * a + two * b - first - last, last])
        assert found.shears[row, 0, 1] == pytest.approx(first) and found.shears[row, 8, 0] == pytest.approx(-last)
        assert found.shears[row, 4] == pytest.approx([first - one * a, two * b - last])
        # 500 out in the first span; 1100 before the end of the second.
        assert found.moments[row, 1] == pytest.approx(first * 500 - one * 500**2 / 2)
        assert found.moments[row, 7] == pytest.approx(last * 1100 - two * 1100**2 / 2)
        # Deflection at 1400 of the first span: of w on a simple beam, less that of the end moment.
        x = 1400.0
        simple = one * x * (a**3 - 2 * a * x**2 + x**3) / (24 * EI)
        assert found.deflections[row, 3] == pytest.approx(simple + held * x * (a**2 - x**2) / (6 * EI * a))
        assert found.deflections[row, [0, 4, 8]] == pytest.approx([0, 0, 0], abs=1e-9)


def test_a_load_over_a_support_bends_nothing_and_a_load_on_no_support_deflects_what_statics_says() -> None:
    nodes, held = [0.0, 400.0, 1000.0, 1250.0, 2000.0], [0, 2, 4]
    points = np.zeros((2, 5))
    points[0, 2], points[1, [0, 4]] = 900.0, (300.0, 500.0)
    found = respond(nodes, [EI] * 4, held, np.zeros((2, 4)), points)
    assert found.reactions == pytest.approx(np.array([[0, 900, 0], [300, 0, 500]]), abs=1e-9)
    assert found.moments == pytest.approx(np.zeros((2, 5)), abs=1e-9)
    assert found.deflections == pytest.approx(np.zeros((2, 5)), abs=1e-12)


def test_deflections_are_told_of_so_many_cases() -> None:
    nodes, ei, spread, points = [0.0, 1.0, 2.0], [1.0, 1.0], np.ones((3, 2)), np.zeros((3, 3))
    assert len(respond(nodes, ei, [0, 2], spread, points, 1).deflections) == 1
    assert len(respond(nodes, ei, [0, 2], spread, points, 0).deflections) == 0
    # 5 w L4 / 384 E I of a span of 2.
    assert respond(nodes, ei, [0, 2], spread, points).deflections[:, 1] == pytest.approx([5 * 16 / 384] * 3)


def test_one_load_anywhere_on_a_beam_of_two_supports() -> None:
    """Under it P x (L - x) / L, and beside it, it pushes by either reaction; nothing pushes up."""
    found = moved([50.0, 250.0, 850.0, 1050.0], [EI] * 3, [0, 3], 1000.0)
    assert found.moments == pytest.approx(np.array([[0, 0, 0, 0], [0, 160000, 160000, 0]]))
    assert found.reactions.tolist() == [[0, 0], [1000, 1000]]
    # Beside a support it is all shear there.
    assert found.shears[0] == pytest.approx(np.array([[0, 0], [-200, -200], [-800, -800], [-1000, 0]]))
    assert found.shears[1] == pytest.approx(np.array([[0, 1000], [800, 800], [200, 200], [0, 0]]))


def test_one_load_anywhere_on_two_equal_spans() -> None:
    """Textbook lines of influence, on pieces as long as half a span: M over the support P L / 6 sqrt 3 (memory).

    With the load at a in one span of L: M = -P a (L2 - a2) / 4 L2 over the support, greatest at L / sqrt 3, and the
    middle reaction P a (3 L2 - a2) / 2 L3; the far end is lifted by M / L. In the middle of a span 13/64 P L under it.
    """
    span, load = 1000.0, 800.0
    found = moved([0.0, 500.0, 1000.0, 1500.0, 2000.0], [EI] * 4, [0, 2, 4], load)
    over = load * span / 6 / math.sqrt(3)
    assert found.moments == pytest.approx(
        np.array([[0, -over / 2, -over, -over / 2, 0], [0, load * span * 13 / 64, 0, load * span * 13 / 64, 0]]),
        abs=1e-6,
    )
    assert found.reactions == pytest.approx(np.array([[-over / span, 0, -over / span], [load] * 3]))
    # In the middle of the first span P (5 a / 4 L - a3 / 4 L3) at a from its start, or what is left of P.
    half = load * (1 - 5 / 8 + 1 / 32)
    assert found.shears[:, 1] == pytest.approx(np.array([[half - load] * 2, [half] * 2]))
    # Just beside the middle support all of it, and nothing the other way.
    assert found.shears[:, 2] == pytest.approx(np.array([[-load, 0], [0, load]]), abs=1e-9)
    assert found.shears[:, 0] == pytest.approx(np.array([[0, -over / span], [0, load]]))
    assert found.shears[:, 4] == pytest.approx(np.array([[-load, 0], [over / span, 0]]))


@pytest.mark.parametrize("cubic", [0.0, 1e-14, 1.0, -1.0], ids=["none", "hair", "more", "less"])
def test_a_curve_turns_where_it_is_level(cubic: float) -> None:
    """t - t2 + c (t2 - t3) from 0 to 1 and twice that: nothing at both ends; a straight line turns nowhere."""
    t = np.linspace(0, 1, 100001)
    curve = t - t**2 + cubic * (t**2 - t**3)
    row = [np.array([each]) for each in ([0.0, 3.0], [0.0, 5.0], [2.0, 2.0], [-2 - 2 * cubic, 2.0])]
    assert _extremes(*row) == pytest.approx(np.array([[0, 3], [2 * curve.max(), 5]]), abs=1e-9)
    # Once down and up again, level at either end's side.
    wave = [np.array([[each]]) for each in (0.0, 0.0, 1.0, 1.0)]
    assert _extremes(*wave) == pytest.approx(np.array([[-1], [1]]) / 6 / math.sqrt(3))


@pytest.mark.parametrize("seed", range(12))
def test_no_place_of_one_load_asks_more_than_was_found(seed: int) -> None:
    """Two to four spans of a few long pieces, unlike stiff: the load at 24 places of each and right beside sections."""
    draw = np.random.default_rng(seed)
    nodes, held = [0.0], [0]
    for _ in range(int(draw.integers(2, 5))):
        nodes += (nodes[-1] + np.cumsum(draw.uniform(40, 900, int(draw.integers(1, 5))))).tolist()
        held.append(len(nodes) - 1)
    stiff = draw.uniform(1, 8, len(nodes) - 1) * 1e11
    found = moved(nodes, stiff.tolist(), held, 1000.0)
    # Each piece in 24, its first and last part a millionth of it.
    parts = np.array([0.0, 1e-6, *(np.arange(1, 23) / 23), 1 - 1e-6])
    fine = np.concatenate([*(a + (b - a) * parts for a, b in pairwise(nodes)), nodes[-1:]])
    count, step = len(fine), len(parts)
    tried = respond(
        fine.tolist(), np.repeat(stiff, step).tolist(), [h * step for h in held], np.zeros((count, count - 1)),
        1000.0 * np.eye(count), 0,
    )  # fmt: skip
    for ours, theirs in (
        (found.moments, tried.moments[:, ::step]),
        (found.shears, tried.shears[:, ::step]),
        (found.reactions, tried.reactions),
    ):
        greatest = np.abs(theirs).max()
        assert (ours[0] - theirs.min(axis=0)).max() < 1e-9 * greatest
        assert (theirs.max(axis=0) - ours[1]).max() < 1e-9 * greatest
        # Nor is more found than there is: between places tried the curve is hardly higher.
        assert ours[0] == pytest.approx(theirs.min(axis=0), abs=2e-3 * greatest)
        assert ours[1] == pytest.approx(theirs.max(axis=0), abs=2e-3 * greatest)


@pytest.mark.parametrize("spans", [1, 2, 3, 4, 5, 6, 7])
def test_of_all_spans_that_can_be_loaded_those_tried_are_the_worst(spans: int) -> None:
    """Every set of loaded spans, by brute force: none asks more of a support, a middle or a reaction."""
    tried = _patterns(spans)
    every = [some for n in range(1, spans + 1) for some in combinations(range(spans), n)]
    assert len({frozenset(some) for some in tried}) == len(tried)
    assert {tuple(sorted(some)) for some in tried} <= set(every)
    nodes = np.linspace(0.0, spans, 4 * spans + 1)
    held = list(range(0, 4 * spans + 1, 4))

    def worst(sets: list[tuple[int, ...]]) -> list[np.ndarray]:
        spread = np.zeros((len(sets), 4 * spans))
        for row, some in enumerate(sets):
            for span in some:
                spread[row, 4 * span : 4 * span + 4] = 1.0
        found = respond(nodes, [1.0] * (4 * spans), held, spread, np.zeros((len(sets), 4 * spans + 1)))
        middle = [4 * i + 2 for i in range(spans)]
        return [
            found.moments[:, held].min(axis=0),
            found.moments[:, middle].max(axis=0),
            found.moments[:, middle].min(axis=0),
            found.reactions.max(axis=0),
            found.deflections[:, middle].max(axis=0),
        ]

    for ours, theirs in zip(worst(tried), worst(every), strict=True):
        assert ours == pytest.approx(theirs, abs=1e-9)


# Sections.


def test_a_section_of_two_stretches_by_parallel_axes() -> None:
    """10 of wood at the bottom and 20 at the top of 60: the centroid stands 10 x 5 + 20 x 50 over 30 = 35 high."""
    found = section_of(7.0, [(100.0, 110.0), (130.0, 130.0005), (140.0, 160.0)])
    assert found is not None and (found.x, found.depth, found.wood) == (7.0, 60.0, 30.0)
    assert (found.below, found.above) == pytest.approx((35.0, 25.0))
    inertia = 10**3 / 12 + 10 * 30**2 + 20**3 / 12 + 20 * 15**2
    assert found.inertia == pytest.approx(inertia)
    assert found.modulus_below == pytest.approx(inertia / 35) and found.modulus_above == pytest.approx(inertia / 25)
    assert section_of(7.0, []) is None and section_of(7.0, [(3.0, 3.0009)]) is None
    assert section_of(7.0, [(3.0, 3.0011)]) is not None


def test_a_section_of_one_stretch() -> None:
    assert section_of(3.0, [(20.0, 80.0)]) == Section(3.0, 60.0, 60.0, 18000.0, 30.0, 30.0)
    assert section_modulus(40.0, 60.0) == 24000.0


def depths(wood: shapely.Polygon, *xs: float) -> list[tuple[float, float] | None]:
    return [None if s is None else (round(s.depth, 6), round(s.wood, 6)) for s in sections(wood, xs)]


def test_what_hangs_over_a_gap_carries_nothing_and_what_a_hole_parts_does() -> None:
    """A bar 60 high with a slot from its end at 20 to 30, and a hole of the same size farther in."""
    bar = shapely.box(0, 0, 300, 60)
    slot, hole = shapely.box(0, 20, 100, 30), shapely.box(200, 20, 250, 30)
    assert depths(bar - slot - hole, 50, 150, 225) == [(20, 20), (60, 60), (60, 50)]
    # A hole below the slot: the wood under the gap is what is left of its stretch, with the hole in it.
    assert depths(bar - slot - shapely.box(40, 5, 60, 10), 30, 50, 70) == [(20, 20), (20, 15), (20, 20)]
    # Where a slot ends the whole stands just after it, and nothing is less.
    assert depths(bar - shapely.box(0, 20, 100, 20.0005), 50) == [(60, 59.9995)], "a sliver of a gap is none"
    fin = shapely.union_all([shapely.box(0, 20, 300, 60), shapely.box(200, 0, 300, 60), shapely.box(0, 5, 300, 5.0005)])
    assert depths(fin, 50, 250) == [(40, 40), (60, 60)], "a sliver of wood under a gap is none"
    assert depths(bar - slot, 99.999, 100.0, 100.001) == [(20, 20), (60, 60), (60, 60)]


def test_sections_are_told_in_the_order_asked_for_and_slanted_edges_between_their_ends() -> None:
    wedge = shapely.Polygon([(0, 0), (100, 0), (100, 80), (0, 30)])
    assert depths(wedge, 90, 10, 90, 50, -0.001, 100.001) == [(75, 75), (35, 35), (75, 75), (55, 55), None, None]
    below = shapely.Polygon([(0, 0), (100, 40), (100, 80), (0, 80)])
    assert depths(below, 25, 0, 100) == [(70, 70), (80, 80), (40, 40)]
    found = sections(below, [25])[0]
    assert found is not None and found.below == pytest.approx(35) and found.above == pytest.approx(35)
    # A ring that runs the other way round is the same wood.
    assert depths(shapely.Polygon(list(below.exterior.coords)[::-1]), 25) == [(70, 70)]


# Judging. Board frame of a stair that climbs 3 in 5: level = 0.8 x on the axis, 100 over the lower edge.

TO_BOARD = Motion(0.8, 0.6, 0.0, 100.0)
PLAIN = Material("EN 1995-1-1", "made", 20.0, 2.0, 3.0, 10000.0, 0.5, 1.2, 1.5, ("none",), "by hand")
#: 3 and 0.5 N a millimetre of level on a metre of stair.
LOADS = LoadsOnStair(0.003, 2000.0, 0.0005, ("made",))
HEADER, SEAT = Bearing("header", 0.0, None), Bearing("seat", 2000.0, 100.0)
BOX = Member(
    wood=shapely.box(-100, 0, 2700, 200),
    to_board=TO_BOARD,
    pitch=math.atan2(3, 4),
    breadth=40.0,
    strip=200.0,
    first=-50.0,
    seat_back=2500.0,
    bearings=(HEADER, SEAT),
)


def rows(found: Strength) -> dict[str, Share]:
    return {row.id: row for row in found.rows}


def test_the_axis_of_a_member() -> None:
    assert BOX.level(0.0) == 0.0 and BOX.level(2500.0) == pytest.approx(2000.0)
    assert BOX.along(2000.0) == pytest.approx(2500.0)
    # An axis 50 lower in the board stands 0.6 x 50 nearer to the header.
    low = replace(BOX, strip=100.0)
    assert low.level(2500.0) == pytest.approx(1970.0) and low.along(1970.0) == pytest.approx(2500.0)


def test_a_simple_member_under_an_even_load() -> None:
    """5.1 N/mm over 2000 level, factored: M 2.55 kNm, V 5.1 kN upright and 4.08 square to the board."""
    found = judge(BOX, PLAIN, LOADS, 1000.0, mm)
    row = rows(found)
    assert list(row) == ["bending", "shear", "bearing", "deflection"]
    stress = 5.1 * 2000**2 / 8 / (40 * 200**2 / 6)
    assert row["bending"].share == pytest.approx(stress / 20) and row["bending"].at == pytest.approx(1000)
    assert row["shear"].share == pytest.approx(1.5 * 5.1 * 1000 * 0.8 / (40 * 0.5 * 200) / 2)
    assert row["shear"].at == pytest.approx(0.0, abs=1e-6) and row["shear"].note == "greatest stress"
    assert row["bearing"].share == pytest.approx(5.1 * 1000 / (40 * 100) / 3) and row["bearing"].at == 2000
    assert row["bearing"].note.startswith("seat, 100.0000 mm long")
    # Square to the board 3 x 0.64 on 2500, held against 2500 / 300.
    sag = 5 * 3 * 0.64 * 2500**4 / (384 * 10000 * 40 * 200**3 / 12)
    assert found.deflection == pytest.approx(sag) and found.deflection_bound == pytest.approx(sag)
    assert row["deflection"].share == pytest.approx(sag * 300 / 2500)
    assert row["deflection"].at == pytest.approx(1000)
    assert row["deflection"].note.startswith(f"{mm(sag)} square to the board; {mm(sag)} if it were")
    assert found.reactions == pytest.approx((3500, 3500))
    assert found.spans == (2000.0,) and found.tributary == 1000.0


def test_a_simple_member_under_a_concentrated_load_that_is_more() -> None:
    """20 kN with 0.5 N/mm of dead load: factored 30 kN and 0.6 N/mm."""
    found = judge(BOX, PLAIN, replace(LOADS, point=20000.0), 1000.0, mm)
    row = rows(found)
    moment = 30000 * 2000 / 4 + 0.6 * 2000**2 / 8
    assert row["bending"].share == pytest.approx(moment / (40 * 200**2 / 6) / 20)
    # Right beside a bearing all of it is shear.
    assert row["shear"].share == pytest.approx(1.5 * (30000 + 600) * 0.8 / (40 * 0.5 * 200) / 2)
    assert row["bearing"].share == pytest.approx((30000 + 600) / (40 * 100) / 3)
    assert found.reactions == pytest.approx((20500, 20500))
    # Deflection is of the even live load alone.
    assert found.deflection == pytest.approx(5 * 3 * 0.64 * 2500**4 / (384 * 10000 * 40 * 200**3 / 12))
    # Both are never on it at once: with a point load of nothing the even load is what is left.
    even = rows(judge(BOX, PLAIN, replace(LOADS, point=0.0), 1000.0, mm))
    assert even["bending"].share == pytest.approx(5.1 * 2000**2 / 8 / (40 * 200**2 / 6) / 20)


def test_what_is_told_of_sections_and_along_the_curve() -> None:
    found = judge(BOX, PLAIN, LOADS, 1000.0, mm)
    assert [s.at for s in found.sections] == pytest.approx([200.0 * i for i in range(11)], abs=1e-6)
    for one in found.sections:
        x = one.at
        assert one.along == pytest.approx(x / 0.8, abs=1e-6) and one.depth == pytest.approx(200)
        # Greatest of all cases: the even load, or the concentrated one at the place itself.
        moment = max(5.1 * x * (2000 - x) / 2, 0.6 * x * (2000 - x) / 2 + 3000 * x * (2000 - x) / 2000)
        assert one.moment == pytest.approx(moment, abs=1e-3)
        far = max(x, 2000 - x)
        shear = 0.8 * max(5.1 * (far - 1000), 0.6 * (far - 1000) + 3000 * far / 2000)
        assert one.shear == pytest.approx(shear, rel=1e-6)
        assert one.bending_stress == pytest.approx(moment / (40 * 200**2 / 6), abs=1e-9)
        assert one.shear_stress == pytest.approx(1.5 * shear / (40 * 0.5 * 200))
        assert one.share == pytest.approx(max(one.bending_stress / 20, one.shear_stress / 2))
    assert len(found.curve) == 241
    for x, least, greatest, share in found.curve:
        out = 0.8 * x
        moment = max(5.1 * out * (2000 - out) / 2, (0.3 + 1.5) * out * (2000 - out))
        assert least == pytest.approx(0.0, abs=1e-3) and greatest == pytest.approx(moment, abs=1e-3)
        far = max(out, 2000 - out)
        shear = 0.8 * max(5.1 * (far - 1000), 0.6 * (far - 1000) + 1.5 * far)
        bent, sheared = moment / (40 * 200**2 / 6) / 20, 1.5 * shear / (40 * 0.5 * 200) / 2
        assert share == pytest.approx(max(bent, sheared), rel=1e-6)


def test_two_spans_are_loaded_one_at_a_time_and_both() -> None:
    """Equal level spans of 1000: over the support w L2 / 8, in a span loaded alone M is greater than with both.

    Dead d = 0.6 and live l = 4.5 N/mm, factored. With span 1 alone: its end reaction 7/16 l L, with both 3/8.
    """
    held = replace(BOX, bearings=(HEADER, Bearing("support 1", 1000.0, 90.0), SEAT))
    found = judge(held, PLAIN, replace(LOADS, point=0.0), 1000.0, mm)
    assert min(least for _, least, _, _ in found.curve) == pytest.approx(-5.1 * 1000**2 / 8)
    end = 0.6 * 375 + 4.5 * 437.5
    assert max(greatest for _, _, greatest, _ in found.curve) == pytest.approx(end**2 / 2 / 5.1, rel=1e-3)
    row = rows(found)
    assert row["bending"].share == pytest.approx(5.1 * 1000**2 / 8 / (40 * 200**2 / 6) / 20)
    assert row["bending"].at == pytest.approx(1000)
    # Beside the support: 5/8 w L, upright.
    assert row["shear"].share == pytest.approx(1.5 * 5.1 * 625 * 0.8 / (40 * 0.5 * 200) / 2)
    # The support bears 5/4 w L on 90: more than the seat.
    assert row["bearing"].share == pytest.approx(5.1 * 1250 / (40 * 90) / 3) and row["bearing"].at == 1000
    assert row["bearing"].note.startswith("support 1, 90.0000 mm long")
    assert found.reactions == pytest.approx((0.5 * 375 + 3 * 437.5, 3.5 * 1250, 0.5 * 375 + 3 * 437.5))
    assert found.spans == (1000.0, 1000.0)
    assert [s.at for s in found.sections] == pytest.approx([200.0 * i for i in range(11)], abs=1e-6)
    # Sag of a span loaded alone, held against its own length: below a simple beam's, above that with both loaded.
    simple = 5 * 3 * 0.64 * 1250**4 / (384 * 10000 * 40 * 200**3 / 12)
    assert row["deflection"].share == pytest.approx(found.deflection * 300 / 1250)
    x = np.linspace(0, 1250, 20001)
    bent = 1.92 * x * (1250**3 - 2 * 1250 * x**2 + x**3) / 24 - 1.92 * 1250**2 / 16 * x * (1250**2 - x**2) / 6 / 1250
    assert found.deflection == pytest.approx(bent.max() / (10000 * 40 * 200**3 / 12), rel=1e-3)
    assert 0.41 * simple < found.deflection < simple
    assert any("over a support between the ends" in line for line in found.assumptions)


def test_a_bearing_that_other_spans_lift_is_told() -> None:
    """Spans of 400 and 1600 level: the long one alone, with w a metre, lifts the header by w b3 / 8 a (a + b).

    Dead load d, 0.5, on both: M = d (a3 + b3) / 8 (a + b) over the support, and d a / 2 - M / a at the header.
    """
    a, b = 400.0, 1600.0
    held = replace(BOX, bearings=(HEADER, Bearing("support 1", a, 90.0), SEAT))
    found = judge(held, PLAIN, replace(LOADS, point=0.0), 1000.0, mm)
    dead = 0.5 * a / 2 - 0.5 * (a**3 + b**3) / 8 / (a + b) / a
    live = -3 * b**3 / 8 / (a + b) / a
    assert dead + live < 0 and found.lifts == (pytest.approx(-dead - live), 0, 0)
    # A load of 2 kN on the long span lifts more: greatest of P x (b - x) (2b - x) / 2b (a + b) a, x from the support.
    x = np.linspace(0, b, 100001)
    point = 2000 * (x * (b - x) * (2 * b - x)).max() / (2 * b * (a + b) * a)
    loaded = judge(held, PLAIN, replace(LOADS, live=0.0), 1000.0, mm)
    assert loaded.lifts == (pytest.approx(point - dead, rel=1e-8), 0, 0)
    heavy = judge(held, PLAIN, LoadsOnStair(0.0, 0.0, 0.0005, ("dead",)), 1000.0, mm)
    assert heavy.lifts == (pytest.approx(-dead), 0, 0)
    assert judge(BOX, PLAIN, LOADS, 1000.0, mm).lifts == (0, 0)
    assert lifts(found, UNITS["mm"]) == (f"header {found.lifts[0] / 1000:.2f} kN",)
    assert lifts(found, UNITS["in"]) == (f"header {found.lifts[0] / 4.4482216152605:.0f} lb",)
    assert lifts(replace(found, lifts=(0.0, 4.0, 6.0)), UNITS["mm"]) == ("seat 0.01 kN",)
    assert reactions(replace(found, reactions=(0.0, 4.0, 1006.0)), UNITS["mm"])[1:] == (
        "support 1 0.00 kN",
        "seat 1.01 kN",
    )


def test_uneven_spans_are_each_held_against_their_own_length() -> None:
    """A far span of 800 beside one of 1200: the long one decides, wherever it lies."""
    for at, worst in ((1200.0, 0), (800.0, 1)):
        held = replace(BOX, bearings=(HEADER, Bearing("support 1", at, 90.0), SEAT))
        found = judge(held, PLAIN, replace(LOADS, point=0.0), 1000.0, mm)
        row = rows(found)["deflection"]
        assert row.share == pytest.approx(found.deflection * 300 / (1200 / 0.8))
        assert (row.at < at) == (worst == 0)
        # Over the support by three moments, both spans loaded: w (a3 + b3) / 8 (a + b).
        assert rows(found)["bending"].share == pytest.approx(
            5.1 * (1200**3 + 800**3) / 8 / 2000 / (40 * 200**2 / 6) / 20
        )


def notched(seat_back: float = 2400.0, hole: bool = False) -> Member:
    """The box with its lower corner cut off level from `seat_back` on: the edge climbs 3 in 4 along the board."""
    level = shapely.Polygon([(seat_back, 0), (seat_back + 400, 300), (seat_back + 400, -1), (seat_back, -1)])
    made = BOX.wood - level
    if hole:
        made -= shapely.Point(2500, 150).buffer(10)
    return replace(BOX, wood=made, seat_back=seat_back)


def test_the_seat_is_an_end_notch_where_that_is_more() -> None:
    """Over the middle of the seat 200 - 0.75 x 100 = 125 of 200 are left.

    Its face slants by 90 degrees less the pitch, tangent 4/3; the corner is 100 back. The reaction square to the board
    is 4.08 kN; a crack takes its share of the breadth there as everywhere.
    """
    found = rows(judge(notched(), PLAIN, LOADS, 1000.0, mm))["shear"]
    a, b = 125 / 200, 100 / 200
    factor = 5 * (1 + 1.1 * (4 / 3) ** 1.5 / math.sqrt(200))
    factor /= math.sqrt(200) * (math.sqrt(a * (1 - a)) + 0.8 * b * math.sqrt(1 / a - a * a))
    assert factor < 1 and end_notch("EN 1995-1-1", 200, 125, math.atan2(4, 3), 100) == pytest.approx(factor)
    assert found.share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 125) / (2 * factor), rel=1e-6)
    assert found.at == 2000 and found.note == "at the seat, as an end notch"
    # By the US rules the square of what is left.
    us = rows(judge(notched(), replace(PLAIN, method="NDS"), LOADS, 1000.0, mm))["shear"]
    assert us.share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 125) / 2 / a**2, rel=1e-6)
    # A hole of 20 over the seat takes its part of the wood, not of the notch's own figures.
    bored = rows(judge(notched(hole=True), PLAIN, LOADS, 1000.0, mm))["shear"]
    assert bored.share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 105) / (2 * factor), rel=1e-3)
    # Steel does not split.
    plate = rows(judge(notched(), replace(PLAIN, method="steel"), LOADS, 1000.0, mm))["shear"]
    assert plate.share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 125) / 2, rel=1e-6)
    assert plate.note == "greatest stress"


def test_over_a_support_the_seat_s_own_reaction_splits_it() -> None:
    """Spans of 1000: at the seat at most 3/8 of the dead and 7/16 of the live load, far less than at the support."""
    held = replace(notched(), bearings=(HEADER, Bearing("support 1", 1000.0, 90.0), SEAT))
    found = rows(judge(held, replace(PLAIN, method="NDS"), replace(LOADS, point=0.0), 1000.0, mm))["shear"]
    push = 0.8 * (0.6 * 375 + 4.5 * 437.5)
    assert found.share == pytest.approx(1.5 * push / (40 * 0.5 * 125) / 2 / (125 / 200) ** 2, rel=1e-2)
    assert found.at == 2000 and "end notch" in found.note


def test_it_deflects_with_the_depth_that_stands_everywhere() -> None:
    """100 deep over the last 1000 of 2500, 200 before: virtual work of the even load and a unit load, summed finely."""
    step = replace(BOX, wood=shapely.union(shapely.box(-100, 0, 1500, 200), shapely.box(1400, 0, 2700, 100)))
    found = judge(step, PLAIN, replace(LOADS, point=0.0), 1000.0, mm)
    x = (np.arange(20000) + 0.5) * 2500 / 20000
    curvature = 1.92 * x * (2500 - x) / 2 / (10000 * 40 * np.where(x < 1500, 200, 100) ** 3 / 12)
    sags = [
        float((curvature * np.where(x < at, x * (2500 - at), at * (2500 - x)) / 2500).sum() * 2500 / 20000)
        for at in range(1300, 1800, 10)
    ]
    assert found.deflection == pytest.approx(max(sags), rel=1e-3)
    assert rows(found)["deflection"].at == pytest.approx(0.8 * (1300 + 10 * int(np.argmax(sags))), abs=10)


def test_a_seat_that_takes_little_leaves_the_greatest_stress() -> None:
    """200 - 0.75 x 20 = 185 of 200 over the seat, whose factor is 1."""
    found = rows(judge(notched(2480.0), PLAIN, LOADS, 1000.0, mm))["shear"]
    assert end_notch("EN 1995-1-1", 200, 185, math.atan2(4, 3), 20) == 1
    assert found.note == "greatest stress"
    assert found.share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 185) / 2, rel=1e-6)


def test_a_dip_is_told_and_is_where_it_bends_most() -> None:
    """A notch 80 deep at 1125 along, 900 out: the depth, the moment and the place, beside the tenths of the flight.

    One 20 deep stands at 3 along, the first place after the header, and one at 2497, the last before the seat; two
    stand side by side at 2050 and 2070.
    """
    wood = BOX.wood
    for x, half, bottom in ((1125, 100, 120), (3, 2, 180), (2497, 2, 180), (2050, 10, 180), (2070, 10, 180)):
        wood -= shapely.Polygon([(x - half, 200), (x - half, 201), (x + half, 201), (x + half, 200), (x, bottom)])
    found = judge(replace(BOX, wood=wood), PLAIN, LOADS, 1000.0, mm)
    row = rows(found)["bending"]
    assert row.at == pytest.approx(900)
    assert row.share == pytest.approx(5.1 * 900 * 1100 / 2 / (40 * 120**2 / 6) / 20)
    # Eleven of tenths, of places as they are numbered, and the five.
    told = {round(s.at, 6): s.depth for s in found.sections}
    assert [told[at] for at in (2.4, 900.0, 1640.0, 1656.0, 1997.6)] == pytest.approx([180, 120, 180, 180, 180])
    assert len(told) == 16
    # The bound is of 120 all along, the deflection hardly more than of 200.
    sag = 5 * 3 * 0.64 * 2500**4 / (384 * 10000 * 40 / 12)
    assert found.deflection_bound == pytest.approx(sag / 120**3, rel=1e-4)
    assert sag / 200**3 < found.deflection < 1.25 * sag / 200**3
    # A hole of 50 by 60 in the middle of the depth: I less the hole's own, the wood 140.
    bored = judge(replace(BOX, wood=BOX.wood - shapely.box(1225, 70, 1275, 130)), PLAIN, LOADS, 1000.0, mm)
    modulus = 40 * (200**3 - 60**3) / 12 / 100
    assert rows(bored)["bending"].share == pytest.approx(5.1 * 2000**2 / 8 / modulus / 20, rel=1e-4)
    middle = next(s for s in bored.sections if s.at == pytest.approx(1000, abs=5))
    assert middle.depth == pytest.approx(140) and middle.shear_stress == pytest.approx(1.5 * middle.shear / 20 / 140)


def test_an_upper_edge_farther_from_the_centroid_decides() -> None:
    """A hole low in the board lifts the centroid: the fibre farthest from it is the lower one, and the other way up."""
    for low in (10, 150):
        bored = judge(replace(BOX, wood=BOX.wood - shapely.box(1225, low, 1275, low + 40)), PLAIN, LOADS, 1000.0, mm)
        area = 200 - 40
        centre = (200 * 100 - 40 * (low + 20)) / area
        inertia = 200**3 / 12 + 200 * (100 - centre) ** 2 - 40**3 / 12 - 40 * (low + 20 - centre) ** 2
        modulus = 40 * inertia / max(centre, 200 - centre)
        assert rows(bored)["bending"].share == pytest.approx(5.1 * 2000**2 / 8 / modulus / 20, rel=1e-4)


def test_before_the_plumb_cut_s_lower_end_the_section_is_the_whole_one() -> None:
    """The header's bearing is 60 before the cut's lower end, where the lower corner is gone."""
    cut = shapely.Polygon([(-100, -1), (-100, 167), (0, 100), (75, 0), (75, -1)])
    found = judge(replace(BOX, wood=BOX.wood - cut, first=75.0), PLAIN, LOADS, 1000.0, mm)
    assert found.sections[0].depth == pytest.approx(200)
    assert rows(found)["shear"].share == pytest.approx(1.5 * 4080 / (40 * 0.5 * 200) / 2)


def test_nodes_stand_at_bearings_and_corners_and_none_is_farther_than_a_240th() -> None:
    dip = shapely.Polygon([(990, 201), (1010, 201), (1000, 120)])
    member = replace(
        BOX,
        wood=BOX.wood - dip - shapely.box(1500, 50, 1500.05, 60),
        first=503.0,
        seat_back=2400.0,
        bearings=(replace(HEADER, at=400.0), Bearing("support 1", 1200.02, 90.0), SEAT),
    )
    xs = _nodes(member)
    step = 2000 / 240
    assert xs[0] == pytest.approx(500) and xs[-1] == pytest.approx(2500)
    gaps = [b - a for a, b in pairwise(xs)]
    assert max(gaps) <= step * (1 + 1e-9) and min(gaps) >= step / 50 - 1e-9
    for x in (503.0, 990.0 + 10 / 81, 1000.0, 1010.0 - 10 / 81, 2400.0):
        assert min(abs(x - each) for each in xs) < 1e-6, x
    # A bearing keeps its own place beside corners at 1500 and 1500.05: 1200.02 level is 1500.025 along.
    assert min(abs(1500.025 - each) for each in xs) < 1e-9


def test_what_was_assumed_is_told() -> None:
    found = judge(BOX, PLAIN, LOADS, 1000.0, mm)
    # Along the board at most V tan p over the whole section: 5100 x 0.6 / (40 x 200) = 0.3825, of 20.
    assert "force along the board, at most 1.9%" in "\n".join(found.assumptions)
    said = "\n".join(found.assumptions)
    assert "made: none" in said and "shear of 0.75 times" in said and "over a support" not in said
    assert said.endswith("the local code and a licensed professional decide")
    plate = "\n".join(judge(BOX, replace(PLAIN, method="steel", bearing=None), LOADS, 1000.0, mm).assumptions)
    assert "grain" not in plate and "over a support" not in plate


def test_where_bearing_is_not_judged_there_is_no_row() -> None:
    bare = judge(BOX, replace(PLAIN, bearing=None), LOADS, 1000.0, mm)
    assert "bearing" not in rows(bare)
    unknown = replace(BOX, bearings=(HEADER, replace(SEAT, length=None)))
    assert "bearing" not in rows(judge(unknown, PLAIN, LOADS, 1000.0, mm))


def test_it_holds_up_to_the_whole_of_what_is_allowed() -> None:
    found = judge(BOX, PLAIN, LOADS, 1000.0, mm)
    assert found.holds
    row = found.rows[0]
    assert replace(found, rows=(replace(row, share=1.0),)).holds
    assert replace(found, rows=(row, replace(row, share=1.0 + 1e-7))).holds, "as the check of it does"
    assert not replace(found, rows=(row, replace(row, share=1.001))).holds


@pytest.mark.parametrize(
    ("depth", "left", "slant", "reach"), [(200, 200, 0.0, 50), (200, 199.9, 1.2, 0), (200, 200, 0.0, 0)]
)
def test_a_notch_of_nothing_takes_nothing(depth: float, left: float, slant: float, reach: float) -> None:
    assert end_notch("EN 1995-1-1", depth, left, slant, reach) == 1.0


def test_a_stringer_as_a_beam() -> None:
    """Rises of 180 on runs of 240, a board 286 wide: notches 144 deep, so that 142 are left behind them.

    Plumb cut: 142 / 0.8 = 177.5 high, its lower end 0.6 of that along the board. The toe stands 140 under the last
    tip, so 112 from the tips' line, and 174 over the edge; the seat is 174 / 0.6 = 290 long, from 670 to 960 out.
    """
    stair = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)
    stringer = build_stringer(stair, spec(), 286.0, mm)
    supports = (Support(500.0, 90.0), Support(200.0, 80.0))
    wood = stringer.outline().polygon()
    found = member_of(stair, stringer, wood, 38.0, supports, toothed=True)
    assert found is not None and found.wood is wood and found.breadth == 38.0
    assert found.strip == pytest.approx(142) and found.pitch == pytest.approx(math.atan2(3, 4))
    assert found.first == pytest.approx(106.5) and found.seat_back == pytest.approx(106.5 + 670 / 0.8)
    assert [b.what for b in found.bearings] == ["header", "support 1", "support 2", "seat"]
    assert [b.at for b in found.bearings] == pytest.approx([0, 200, 500, 815], abs=1e-9)
    assert [b.length for b in found.bearings] == [None, 80.0, 90.0, pytest.approx(290)]
    solid = member_of(stair, stringer, wood, 38.0, (), toothed=False)
    assert solid is not None and solid.strip == 286.0
    with pytest.raises(ImpossibleStringer, match=r"support\[0\]\.at"):
        member_of(stair, stringer, wood, 38.0, (Support(700.0, 90.0),), toothed=True)


# Materials.


@pytest.mark.parametrize(
    ("inches", "psi"),
    [(2.5, 1100), (3.5, 1100), (4.5, 1000), (5.5, 1000), (7.25, 925), (9.25, 800), (11.25, 750), (13.25, 750 * 0.9)],
)
def test_southern_pine_by_the_row_its_width_stands_in(inches: float, psi: float) -> None:
    """Rows of 2 to 4, 5 and 6, 8, 10 and 12 in; wider than 12 in times 0.9 (NDS supplement table 4B, memory)."""
    found = wood(Wood("Southern Pine", "No. 2", wet=False), "normal", inches * IN, 2, None)
    assert found.bending * PSI == pytest.approx(psi)
    assert any("0.9" in line for line in found.factors) == (inches > 12)


@pytest.mark.parametrize(
    ("inches", "factor"), [(3.5, 1.5), (4.5, 1.4), (5.5, 1.3), (7.25, 1.2), (9.25, 1.1), (11.25, 1.0), (13.25, 0.9)]
)
def test_other_species_by_the_size_factor(inches: float, factor: float) -> None:
    found = wood(Wood("Hem-Fir", "No. 1", wet=False), "normal", inches * IN, 2, None)
    assert found.bending * PSI == pytest.approx(975 * factor)
    assert f"size factor {factor:g} for a {nominal_width(inches * IN)} in board" in found.factors


@pytest.mark.parametrize(
    ("millimetres", "kept"), [(19.0, False), (34.9, False), (38.0, True), (38.1, True), (89.0, True), (140.0, False)]
)
def test_tables_of_dimension_lumber_are_for_boards_of_two_to_four_inches(millimetres: float, kept: bool) -> None:
    """Dressed to 1 1/2 to 3 1/2 in, 38 to 89 mm; of classes no thickness is asked."""
    nds, eu = (wood(Wood(name, "No. 2"), "normal", 286.0, 2, None) for name in ("SPF", "C24"))
    assert tables_are_for(nds, millimetres) is kept
    assert tables_are_for(eu, millimetres) and tables_are_for(steel("A36", "in"), millimetres)


def test_no_factor_of_another_rule_is_on_a_board_judged_by_the_us_one() -> None:
    found = wood(Wood("SPF", "No. 2"), "normal", 286.0, 2, None)
    assert (found.method, found.crack, found.dead_factor, found.live_factor) == ("NDS", 1.0, 1.0, 1.0)


def test_nominal_widths_go_by_a_quarter_inch_over_the_dressed_ones() -> None:
    for dressed, nominal in ((3.5, 4), (4.5, 5), (5.5, 6), (7.25, 8), (9.25, 10), (11.25, 12), (13.25, 14)):
        assert nominal_width((dressed + 0.249) * IN) == nominal
        if nominal < 14:
            assert nominal_width((dressed + 0.251) * IN) > nominal


def test_wet_service_keeps_a_bending_of_up_to_1150_psi_by_the_value_with_its_size_factor() -> None:
    """1600 (Southern Pine, Select Structural) is cut; DF-L No. 2 in a 2x8, 1080, is not; in a 2x6, 1170, it is."""

    def bends(species: str, grade: str, inches: float) -> tuple[float, str]:
        found = wood(Wood(species, grade, wet=True), "normal", inches * IN, 2, None)
        return found.bending * PSI, "; ".join(found.factors)

    cut, said = bends("Southern Pine", "Select Structural", 11.25)
    assert cut == pytest.approx(1600 * 0.85) and "wet service" in said and "keeps" not in said
    kept, said = bends("Douglas Fir-Larch", "No. 2", 7.25)
    assert kept == pytest.approx(1080) and "which bending this low keeps" in said
    assert bends("Douglas Fir-Larch", "No. 2", 5.5)[0] == pytest.approx(1170 * 0.85)


def test_repetitive_is_of_three_or_more_at_most_two_feet_apart() -> None:
    def bends(count: int, centres: float | None) -> float:
        return wood(Wood("SPF", "No. 2", wet=False), "normal", 286.0, count, centres).bending * PSI

    assert bends(3, 24 * IN) == pytest.approx(875 * 1.15) == bends(4, 300.0)
    assert bends(2, 300.0) == bends(3, 24.01 * IN) == bends(3, None) == pytest.approx(875)


def test_a_grade_and_a_species_however_they_are_written() -> None:
    for grade in ("No. 1", "no.1", "No 1", "#1", "1", "Nr 1", "number 1", "grade 1"):
        assert wood(Wood("hem fir", grade), "normal", 286.0, 2, None).name == "Hem-Fir No. 1", grade
    for grade in ("Select Structural", "SS", "sel. str.", "select structural"):
        assert wood(Wood("HF", grade), "normal", 286.0, 2, None).name == "Hem-Fir Select Structural", grade
    for grade in ("No. 1/No. 2", "#1/#2", "1/2"):
        with_two = Wood("S-P-F", grade)
        try:
            assert wood(with_two, "normal", 286.0, 2, None).name == "Spruce-Pine-Fir No. 2", grade
        except Fault as fault:
            assert "wood.grade" in str(fault)
    assert "C24" in wood_names() and "Southern Pine" in wood_names()


def test_a_class_by_depth_duration_and_service() -> None:
    def bends(width: float, duration: str = "normal", wet: bool = False, treated: bool = False) -> Material:
        return wood(Wood("C24", wet=wet, treated=treated), duration, width, 3, 500.0)

    plain = bends(150.0)
    assert plain.bending == pytest.approx(24 * 0.8 / 1.3) and plain.shear == pytest.approx(4 * 0.8 / 1.3)
    assert plain.bearing == pytest.approx(2.5 * 0.8 / 1.3) and plain.stiffness == 11000
    assert not any("depth" in line for line in (*plain.factors, *bends(300.0).factors))
    assert bends(300.0).bending == plain.bending
    # (150 / 75)^0.2 = 1.149; at most 1.3, which 150 / 1.3^5 = 40.4 has.
    assert bends(75.0).bending == pytest.approx(plain.bending * 2**0.2)
    assert "depth factor 1.15" in bends(75.0).factors
    assert bends(30.0).bending == pytest.approx(plain.bending * 1.3)
    assert bends(75.0).shear == plain.shear
    assert bends(150.0, "permanent", wet=True).bending == pytest.approx(24 * 0.5 / 1.3)
    assert any("service class 3" in line for line in bends(150.0, wet=True).factors)
    assert any("service class 1 or 2" in line for line in plain.factors)
    assert any("incised" in line for line in bends(150.0, treated=True).factors)
    assert not any("incised" in line for line in plain.factors)
    assert bends(150.0, treated=True).bending == plain.bending


def test_steel_by_either_country_s_rules() -> None:
    us, eu = steel("a572-50", "in"), steel("s355", "mm")
    assert (us.bending, us.shear) == pytest.approx((0.6 * 345, 0.4 * 345))
    assert (us.dead_factor, us.live_factor, us.crack, us.bearing) == (1.0, 1.0, 1.0, None)
    assert (eu.bending, eu.shear) == pytest.approx((355, 355 / math.sqrt(3)), rel=1e-3)
    assert (eu.dead_factor, eu.live_factor, eu.stiffness) == (1.35, 1.5, 200000.0)
    assert us.stiffness == 200000.0 and us.method == eu.method == "steel"


def test_what_a_span_is_divided_by() -> None:
    assert [deflection_limit(m)[0] for m in ("NDS", "steel", "EN 1995-1-1")] == [360.0, 360.0, 300.0]
    assert ["IRC" in deflection_limit(m)[1] for m in ("NDS", "EN 1995-1-1")] == [True, False]


def test_loads_of_the_job_or_those_of_its_unit() -> None:
    found = loads_of(Loads(live=0.004), "mm")
    assert (found.live, found.point, found.dead) == pytest.approx((0.004, 2000.0, 0.0005))
    assert found.sources[0] == "live of the job" and found.sources[1].startswith("point 2 kN, EN 1991-1-1")
    us = loads_of(Loads(point=5.0, dead=0.0), "in")
    assert (us.live, us.point, us.dead) == pytest.approx((40 * 4.4482216 / 304.8**2, 5.0, 0.0))
    assert us.sources[1:] == ("point of the job", "dead of the job")


# Guidance.


def test_stringers_stand_evenly_from_face_to_face() -> None:
    assert spacing(900.0, 40.0, 3) == 430.0 and spacing(900.0, 40.0, 2) == 860.0 and spacing(900.0, 40.0, 1) is None
    assert across(900.0, 40.0, 3) == (20.0, 450.0, 880.0)
    assert across(900.0, 40.0, 2) == (20.0, 880.0) and across(900.0, 40.0, 1) == (450.0,)


def test_guidance_is_advice_with_its_way_out() -> None:
    near = {c.id: c for c in guidance(72 * IN, 18 * IN)}
    assert [c.ok for c in near.values()] == [True, True] and not any(c.mend or c.required for c in near.values())
    far = {c.id: c for c in guidance(72.1 * IN, 18.1 * IN)}
    assert [c.outcome for c in far.values()] == ["over advice"] * 2
    assert "landing" in far["span"].mend and "stringer.count" in far["spacing"].mend
    assert far["span"].value == pytest.approx(72.1 * IN) and far["spacing"].value == pytest.approx(18.1 * IN)
    assert [c.id for c in guidance(13 * 12 * IN, None, "solid_span")] == ["span"]
    assert guidance(13 * 12 * IN, None, "solid_span")[0].ok and not guidance(13.3 * 12 * IN, None, "solid_span")[0].ok
    assert guidance_country() == "US"


@pytest.mark.parametrize(("count", "feet"), [(1, 3.0), (2, 3.0), (3, 1.5), (4, 1.0)])
def test_bending_of_a_stringer_that_carries_its_bay(count: int, feet: float) -> None:
    """40 psf on its bay over 6 ft, in pounds and inches: M = w L2 / 8 on S = 1.5 x 5^2 / 6."""
    found = bending(72 * IN, 36 * IN, 1.5 * IN, count, 5 * IN)
    assert found.tributary == pytest.approx(feet * 304.8) and found.load_psf == 40
    assert found.section_modulus == pytest.approx(1.5 * 25 / 6 * IN**3)
    assert found.stress * PSI == pytest.approx(40 * feet / 12 * 72**2 / 8 / 6.25)
    assert found.source == "IRC Table R301.5 (memory)"

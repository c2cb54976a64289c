"""Where segments made by hand meet: what is told of each pair, where, and once for one fault."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutpath.inspect.contacts import Contact, contacts
from cutpath.inspect.contours import join
from cutpath.inspect.course import Course
from cutpath.outline import Chain, Motion, Point, shift, straight
from tests.drawn_by_hand import PLATE, Item, cut, hits, kinds, near, run, shut

#: What is told of contacts.
MEETINGS = {"duplicate", "overlap", "crossing", "touching"}


#: Ways round, and where to: what is told doesn't hang on how a drawing lies.
PLACES = [Motion(math.cos(a), math.sin(a), x, y) for a, x, y in ((0.0, 0.0, 0.0), (4.0, -90.0, 20.0))]


def met(motion: Motion, *chains: Chain) -> dict[str, tuple[Contact, ...]]:
    """Contacts of chains that were moved, by what they are told as."""
    moved = [chain.moved(motion) for chain in chains]
    found = contacts(Course(moved), join(moved).degree, [True] * len(moved))
    assert found.complete
    of = {"duplicate": found.twice, "overlap": found.along, "crossing": found.crossing, "touching": found.touching}
    return {kind: each for kind, each in of.items() if each}


def line(*points: Point) -> Chain:
    return straight(points, closed=False)


def both_ways(one: Chain, other: Chain) -> list[tuple[Chain, Chain]]:
    """A pair in either order, drawn either way."""
    turned = [(a, b) for a in (one, one.reversed()) for b in (other, other.reversed())]
    return turned + [(b, a) for a, b in turned]


def stepped(steps: list[Point]) -> list[Point]:
    """The plate's corners, the last of them taken in short steps."""
    x, y = 0.0, 200.0
    points = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (x, y)]
    for a, b in steps:
        x, y = x + a, y + b
        points.append((x, y))
    return points


@pytest.mark.parametrize("long", [0.0019, 0.0098])
@pytest.mark.parametrize("way", [(1.0, 0.0), (0.0, -1.0), (-0.6, -0.8)], ids=["back", "on", "aslant"])
@pytest.mark.parametrize("count", [1, 4])
def test_short_steps_are_told_as_that_alone(long: float, way: Point, count: int) -> None:
    """However the steps between two sides lie, and wherever the contour's drawing begins or is parted.

    A fourth of the length each, where there are four: what is shorter than ends that are one joins its neighbours.
    """
    points = stepped([(way[0] * long / count, way[1] * long / count)] * count)
    for first in range(len(points)):
        row = points[first:] + points[:first]
        found = hits([shut(*row)])
        assert {kind: len(told) for kind, told in found.items()} == {"tiny-segment": count}
        # Two chains that share their ends, the second drawn either way round.
        one, two = run(*row[:3]), [*row[2:], row[0]]
        for items in ([one, run(*two)], [run(*two[::-1]), one]):
            assert not set(hits(items)) & MEETINGS


def test_what_is_there_twice_is_so_with_its_short_steps() -> None:
    """Every segment of an outline that is there twice is told, the shortest too, and nothing besides."""
    for long in (0.0005, 0.0019, 0.005, 0.0098, 0.011):
        twin = shut(*stepped([(0.0, -long)]))
        found = hits([twin, twin])
        assert sorted(h.size or 0.0 for h in found["duplicate"]) == pytest.approx([long, 200 - long, 200, 300, 300])
        assert set(found) == {"duplicate"} | ({"tiny-segment"} if long < 0.01 else set())
        # Steps that go on from one another in one line are not.
        assert "duplicate" not in kinds([shut(*stepped([(0.0, -long), (0.0, -long)]))])


@pytest.mark.parametrize("turn", [0.0, 0.7, math.pi / 2, 2.9])
def test_a_straight_that_leaves_at_a_hairs_width_and_runs_through_where_it_left(turn: float) -> None:
    """Its end is 0.005 mm beside the other's: one place. It comes through at a fifth of its length."""
    motion = Motion(math.cos(turn), math.sin(turn), 40.0, 30.0)

    def moved(*points: Point) -> Item:
        chain, *rest = run(*points)
        return (chain.moved(motion), *rest)  # type: ignore[return-value]

    for order in (1, -1):
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, -0.02))[::order])])
        (hit,) = found["crossing"]
        near(hit.at, motion((80.0, 0.0)))
        assert not {"touching", "overlap"} & set(found)
        # Beside it all along, and apart by more than the tolerance, it doesn't.
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, 0.02))[::order])])
        assert not set(found) & MEETINGS
        # Nor is what crosses within the reach of the joint more than a joint.
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, -100.0))[::order])])
        assert not set(found) & MEETINGS


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("mirrored", [1.0, -1.0])
def test_an_arc_that_is_crossed_by_what_goes_on_from_it_is_told_where(turned: bool, mirrored: float) -> None:
    """A half circle over (0, 0) and (100, 0), and a straight from its end through it: by the chord's own geometry."""
    # A line from (100, 0) at the slope 1/2 meets the circle round (50, 0) of 50 again at 100 (1 - cos 2a) ... by angle:
    # the chord's other end stands at twice its slope's angle round the centre.
    slope = math.atan2(30.0, -150.0)
    round_ = math.pi - 2 * (math.pi - slope)
    at = (50 + 50 * math.cos(round_), mirrored * 50 * math.sin(round_))
    far = (100 - 150.0, mirrored * 30.0)
    arc = Chain(((0.0, 0.0), (100.0, 0.0)), (-mirrored, 0.0), False)
    line = run((100.0, 0.0), far)
    if turned:
        arc, line = arc.reversed(), run(far, (100.0, 0.0))
    for items in ([cut(arc, kind="ARC"), line], [line, cut(arc, kind="ARC")]):
        found = hits(items)
        (hit,) = found["crossing"]
        near(hit.at, at, 0.01)
        assert "touching" not in found


@pytest.mark.parametrize("k", range(5))
def test_crossings_at_one_corner_are_one_wherever_it_lies(k: int) -> None:
    """A cut that clips a corner crosses both its sides 0.016 mm apart; of two teeth the next is 0.045 mm farther on."""
    for a, b in ((1.0, 0.0), (0.0, 1.0)):
        motion = Motion(a, b, 0.004 * k * a, 0.004 * k * b)
        ends = ((50.0, 50.0), (-50.0, 50.0), (0.0, 0.0))
        teeth = (*ends, (0.0225, 0.0225), (0.045, 0.0))
        over = line((-80.0, 0.008), (80.0, 0.008))
        for points, count in ((ends, 1), (teeth, 2)):
            for shape in (straight(points, closed=True), straight(points, closed=True).reversed()):
                assert len(met(motion, shape, over)["crossing"]) == count
                assert len(met(motion, over, shape)["crossing"]) == count


def test_what_comes_back_to_a_corner_of_its_own_touches_it() -> None:
    """A chain's first point at a corner farther on, its last at one before; an outline pinched between corners."""
    loop = [(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0), (0.0, 0.0), (-50.0, -60.0)]
    pinched = [(0.0, 0.0), (100.0, 0.0), (50.0, 50.0), (100.0, 100.0), (0.0, 100.0), (50.0, 50.0)]
    for motion in PLACES:
        for points in (loop, loop[::-1]):
            (each,) = met(motion, line(*points))["touching"]
            near(each.at, motion((0.0, 0.0)))
        # An arc over the chain's first side, however short: it goes on from one end of that and touches the other.
        for long in (0.5, 50.0):
            bow = Chain(((long, 0.0), (0.0, 0.0)), (1.0, 0.0), False)
            (each,) = met(motion, line((0.0, 0.0), (long, 0.0), (90.0, 30.0)), bow)["touching"]
            near(each.at, motion((long, 0.0)))
        # As one outline, and as two chains that share their ends.
        for chains in (
            [straight(tuple(pinched), closed=True)],
            [line(*pinched[:4]), line(*pinched[3:], pinched[0])],
            [line(pinched[0], *pinched[:2:-1]), line(*pinched[:4])],
        ):
            (each,) = met(motion, *chains)["touching"]
            near(each.at, motion((50.0, 50.0)))
            assert set(met(motion, *chains)) == {"touching"}


def test_what_runs_along_a_chain_and_touches_it_elsewhere_is_told_as_both() -> None:
    """Along the plate's upper side from 100 to 200, and a corner of it at the middle of the right one."""
    shape = shut(
        (100.0, 200.0), (200.0, 200.0), (200.0, 230.0), (380.0, 230.0), (300.0, 100.0), (400.0, 260.0), (100.0, 260.0)
    )
    for items in ([PLATE, shape], [shape, PLATE]):
        found = hits(items)
        (hit,) = found["overlap"]
        assert hit.size == pytest.approx(100.0)
        near(hit.at, (150.0, 200.0))
        (hit,) = found["touching"]
        near(hit.at, (300.0, 100.0))


@pytest.mark.parametrize("motion", PLACES, ids=["here", "turned"])
@pytest.mark.parametrize(
    ("a", "b", "told"),
    [
        # Over the whole of a short line, and off it by no more than 0.0005; far away by half a millimetre.
        ((-5000.0, 0.5), (5000.0, -0.5), (0.0, 10.0)),
        ((-5000.0, 0.52), (5000.0, -0.48), None),
        ((4.0, 0.0), (16.0, 0.0), (4.0, 10.0)),
        ((-6.0, 0.001), (7.0, 0.001), (0.0, 7.0)),
        ((2.0, 0.0019), (9.0, -0.0019), (2.0, 9.0)),
        # Nearest it is within the tolerance, and not at either end of where the two stand beside each other.
        ((2.0, 0.0005), (9.0, 0.0025), None),
        ((2.0, 0.0025), (9.0, 0.0005), None),
        ((9.98, 0.0), (30.0, 0.0), (9.98, 10.0)),
        ((9.995, 0.0), (30.0, 0.0), None),
        # Square to it, at an end of both.
        ((10.0, 0.0), (10.0, 30.0), None),
    ],
    ids=["through", "beside", "on", "before", "over", "rising", "falling", "just", "no more", "square"],
)
def test_how_far_straights_run_along_each_other(motion: Motion, a: Point, b: Point, told: Point | None) -> None:
    """A line from (0, 0) to (10, 0) and another: from where to where they lie on one another."""
    for pair in both_ways(line((0.0, 0.0), (10.0, 0.0)), line(a, b)):
        overlaps = met(motion, *pair).get("overlap", [])
        assert len(overlaps) == (told is not None)
        if told is not None:
            assert overlaps[0].length == pytest.approx(told[1] - told[0], abs=1e-5)
            near(overlaps[0].at, motion((sum(told) / 2, 0.0)), 0.002)


@pytest.mark.parametrize(("apart", "told"), [(0.0019, {"overlap"}), (0.0021, set()), (0.0029, set())])
def test_straights_side_by_side_are_apart_or_one(apart: float, told: set[str]) -> None:
    for motion in PLACES:
        assert set(met(motion, line((0.0, 0.0), (90.0, 0.0)), line((20.0, apart), (60.0, apart)))) == told


@pytest.mark.parametrize("by", [0.0, 5e-324, 1e-310, 1e-300, 1e-13])
def test_a_straight_that_is_square_to_another_to_the_last_bits_runs_along_it_nowhere(by: float) -> None:
    """Its slope against the other may be more than a number can hold; nothing is warned of."""
    with np.errstate(over="raise", divide="raise", invalid="raise"):
        found = met(shift(0.0, 0.0), line((0.0, 0.0), (100.0, 0.0)), line((0.0, -40.0), (by, 60.0)))
    assert set(found) == {"touching"} or set(found) == {"crossing"}, found
    ((place,),) = ([contact.at for contact in each] for each in found.values())
    assert place == pytest.approx((0.0, 0.0), abs=1e-9)


def arc(begin: float, sweep: float, radius: float = 50.0, centre: Point = (0.0, 0.0)) -> Chain:
    """An arc from an angle on, in degrees."""
    ends = [math.radians(v) for v in (begin, begin + sweep)]
    points = [(centre[0] + radius * math.cos(v), centre[1] + radius * math.sin(v)) for v in ends]
    return Chain(tuple(points), (math.tan(math.radians(sweep) / 4), 0.0), False)


@pytest.mark.parametrize("motion", PLACES, ids=["here", "turned"])
@pytest.mark.parametrize(
    ("one", "other", "far", "middle"),
    [
        ((0.0, 90.0), (60.0, 90.0), 30.0, 75.0),
        ((0.0, 90.0), (-50.0, 70.0), 20.0, 10.0),
        ((0.0, 90.0), (10.0, 30.0), 30.0, 25.0),
        ((300.0, 120.0), (330.0, 20.0), 20.0, 340.0),
        ((0.0, 90.0), (-20.0, 40.0), 20.0, 10.0),
        # Each comes round to where the other starts: the longer of the two is where it is told.
        ((0.0, 270.0), (200.0, 250.0), 160.0, 45.0),
        ((0.0, 270.0), (120.0, 250.0), 160.0, 195.0),
        ((0.0, 90.0), (90.0, 90.0), None, 0.0),
        ((0.0, 90.0), (95.0, 90.0), None, 0.0),
    ],
    ids=["on", "before", "within", "over nought", "short", "round", "round again", "end to end", "apart"],
)
def test_how_far_arcs_run_along_each_other(
    motion: Motion, one: Point, other: Point, far: float | None, middle: float
) -> None:
    """Arcs of one circle, each from an angle on, so many degrees far; along how many of them, round which."""
    for pair in both_ways(arc(*one), arc(*other)):
        overlaps = met(motion, *pair).get("overlap", [])
        assert len(overlaps) == (far is not None)
        if far is not None:
            assert overlaps[0].length == pytest.approx(50 * math.radians(far))
            angle = math.radians(middle)
            near(overlaps[0].at, motion((50 * math.cos(angle), 50 * math.sin(angle))))
    # Beside one another as little as straights may be; or across each other, their centres as near as one's ends.
    angle = math.radians(one[0] + one[1] / 2)
    for radius, off, holds in ((50.0019, 0.0, True), (50.0021, 0.0, False), (50.0, 0.009, True), (50.0, 0.011, False)):
        each = arc(*one, radius=radius, centre=(-off * math.sin(angle), off * math.cos(angle)))
        assert ("duplicate" in met(motion, arc(*one), each)) == holds


@pytest.mark.parametrize("depth", [-0.0035, 0.0, 0.0005, 0.0015, 0.0025])
@pytest.mark.parametrize("motion", PLACES, ids=["here", "turned"])
def test_what_only_grazes_touches(motion: Motion, depth: float) -> None:
    """An arc whose foot lies so deep under a line or in another arc: through it only from two micrometres on."""
    told = set() if depth < 0 else {"touching"} if depth < 0.002 else {"crossing"}
    # Its ends far from the foot, which lies at no corner of its chords.
    bow = arc(200.0, 117.0, 50.0, (3.0, 50.0 - depth))
    for other in (
        line((-70.0, 0.0), (41.0, 0.0)),
        arc(20.0, 143.0, 30.0, (3.0, -30.0)),
        arc(230.0, 97.0, 80.0, (3.0, 80.0)),
    ):
        for pair in both_ways(bow, other):
            found = met(motion, *pair)
            assert set(found) == told
            for (hit,) in found.values():
                near(hit.at, motion((3.0, 0.0)), 1.0)


@pytest.mark.parametrize("motion", PLACES, ids=["here", "turned"])
@pytest.mark.parametrize(
    ("past", "told"), [(-0.0025, ""), (-0.001, "touching"), (0.005, "touching"), (0.02, "crossing")]
)
def test_an_end_that_stops_at_a_line_touches_it(motion: Motion, past: float, told: str) -> None:
    """A line that ends so far past another's middle; what runs through further than ends reach crosses."""
    for pair in both_ways(line((-40.0, 0.0), (60.0, 0.0)), line((7.0, 80.0), (7.0, -past))):
        found = met(motion, *pair)
        assert set(found) == ({told} if told else set())
        for (hit,) in found.values():
            near(hit.at, motion((7.0, 0.0)), 0.003)


@pytest.mark.parametrize(("where", "told"), [(0.015, False), (0.025, True), (0.15, True)])
def test_how_near_to_a_joint_two_straights_may_run_through_one_another(where: float, told: bool) -> None:
    """The second starts 0.005 mm beside the first's end: twice as near as ends that are one belongs to the joint."""
    slope = 0.005 / where
    for motion in PLACES:
        for pair in both_ways(line((-100.0, 0.0), (0.0, 0.0)), line((0.0, 0.005), (-50.0, 0.005 - 50 * slope))):
            found = met(motion, *pair)
            assert set(found) == ({"crossing"} if told else set())
            for (hit,) in found.values():
                near(hit.at, motion((-where, 0.0)))


@pytest.mark.parametrize("sweep", [math.pi, 2.0, 5.0])
@pytest.mark.parametrize("motion", PLACES, ids=["there", "turned"])
def test_the_arcs_of_a_circle_meet_at_their_ends_alone(motion: Motion, sweep: float) -> None:
    ends = ((50.0, 0.0), (50 * math.cos(sweep), 50 * math.sin(sweep)))
    rest = 2 * math.pi - sweep
    whole = Chain(ends, (math.tan(sweep / 4), math.tan(rest / 4)), True)
    assert met(motion, whole) == {}
    # What else is drawn over it is told as ever, be it another circle of two arcs.
    assert set(met(motion, whole, whole)) == {"duplicate"}
    assert set(met(motion, whole, whole.moved(shift(30.0, 0.0)))) == {"crossing"}
    # A second arc of as much as lacks to the turn, but of another circle, comes back over the first.
    sweep = math.radians(200)
    first = Chain(((50.0, 0.0), (50 * math.cos(sweep), 50 * math.sin(sweep))), (math.tan(sweep / 4), 0.0), False)
    over = Chain((*first.points, (0.0, 300.0)), (first.bulges[0], math.tan(math.radians(160) / 4), 0.0), False)
    (one,) = met(motion, over)["crossing"]
    assert math.dist(one.at, motion((0.0, 0.0))) == pytest.approx(50.0, abs=0.01)


@pytest.mark.parametrize("radius", [0.1, 50.0, 2000.0])
def test_an_arc_that_a_straight_or_an_arc_goes_on_into_meets_it_no_more(radius: float) -> None:
    """They run within the tolerance of one another for a while, where the next comes back beside the first."""
    quarter = arc(0.0, 90.0, radius, (0.0, -radius))
    for motion in PLACES:
        for other in (
            # On along the tangent, back along it, and back on a wider circle and a narrower one.
            line((0.0, 0.0), (-radius, 0.0)),
            line((0.0, 0.0), (radius, 0.0)),
            arc(90.0, -80.0, 2 * radius, (0.0, -2 * radius)),
            arc(90.0, -80.0, radius / 2, (0.0, -radius / 2)),
            arc(270.0, 80.0, radius, (0.0, radius)),
        ):
            for pair in both_ways(quarter, other):
                assert met(motion, *pair) == {}


@pytest.mark.parametrize("again", [1.0, 20.0])
def test_an_arc_that_what_goes_on_from_it_meets_again_close_by(again: float) -> None:
    """A chord from the arc's end, so long, and further by half: where it comes out."""
    half = math.degrees(math.asin(again / 2 / 50))
    bow = arc(0.0, 90.0)
    at = (50 * math.cos(math.radians(2 * half)), 50 * math.sin(math.radians(2 * half)))
    beyond = (50 + 1.5 * (at[0] - 50), 1.5 * at[1])
    for motion in PLACES:
        for pair in both_ways(bow, line((50.0, 0.0), beyond)):
            found = met(motion, *pair)
            assert set(found) == {"crossing"}
            # As chords stand for arcs, and the two meet at a slant.
            near(found["crossing"][0].at, motion(at), 0.15)


def test_segments_there_twice_or_along_one_another_are_told_with_how_far() -> None:
    line = run((0.0, 100.0), (300.0, 0.0), layer="CUT")
    again = run((300.0, 0.0), (0.0, 100.0), layer="CUT")
    (hit,) = hits([line, again])["duplicate"]
    assert hit.size == pytest.approx(math.hypot(300, 100)) and hit.handle == "2" and "of 1" in hit.detail
    near(hit.at, (150.0, 50.0))
    found = hits([run((0.0, 0.0), (300.0, 0.0)), run((200.0, 0.0), (420.0, 0.0))])
    (hit,) = found["overlap"]
    assert hit.size == pytest.approx(100.0) and "duplicate" not in found
    near(hit.at, (250.0, 0.0))
    for off, holds in ((0.0019, False), (0.0021, True)):
        assert ("overlap" not in kinds([run((0.0, 0.0), (300.0, 0.0)), run((200.0, off), (420.0, off))])) == holds
    aslant = run((-50.0, 0.0005), (250.0, -0.0005))
    assert "overlap" in kinds([run((0.0, 0.0), (300.0, 0.0)), aslant])
    arc = Chain(((100.0, 0.0), (-100.0, 0.0)), (1.0, 0.0), False)
    quarter = Chain(((0.0, 100.0), (0.0, -100.0)), (1.0, 0.0), False)
    (hit,) = hits([cut(arc), cut(quarter)])["overlap"]
    assert hit.size == pytest.approx(50 * math.pi)
    (hit,) = hits([cut(arc), cut(arc.reversed())])["duplicate"]
    assert hit.size == pytest.approx(100 * math.pi)
    # Three quarters and three quarters, turned half round: two quarters are in both.
    most = math.tan(3 * math.pi / 8)
    one = Chain(((100.0, 0.0), (0.0, -100.0)), (most, 0.0), False)
    two = Chain(((-100.0, 0.0), (0.0, 100.0)), (most, 0.0), False)
    (hit,) = hits([cut(one), cut(two)])["overlap"]
    assert hit.size == pytest.approx(100 * math.pi)
    other = arc.moved(shift(0.0, 5.0))
    assert "overlap" not in kinds([cut(arc), cut(other)])


def test_cuts_that_cross_and_cuts_that_touch() -> None:
    found = hits([run((0.0, 0.0), (300.0, 300.0)), run((0.0, 200.0), (300.0, 200.0))])
    (hit,) = found["crossing"]
    near(hit.at, (200.0, 200.0))
    assert hit.handle == "2" and "touching" not in found
    # An end on another's middle; a corner on an edge, told once.
    (hit,) = hits([run((0.0, 0.0), (300.0, 0.0)), run((100.0, 0.0), (100.0, 200.0))])["touching"]
    near(hit.at, (100.0, 0.0))
    (hit,) = hits([PLATE, shut((300.0, 100.0), (400.0, 50.0), (400.0, 150.0))])["touching"]
    near(hit.at, (300.0, 100.0))
    spikes = [shut((300.0, y), (400.0, y - 2), (400.0, y + 2)) for y in (100.0, 105.0)]
    assert len(hits([PLATE, *spikes])["touching"]) == 2
    spikes = [shut((x, 200.0), (x - 2, 300.0), (x + 2, 300.0)) for x in (100.0, 105.0)]
    assert len(hits([PLATE, *spikes])["touching"]) == 2
    # Marks may cross and touch what is cut, and run along neither it nor each other.
    marks = [run((10.0, 10.0), (90.0, 10.0), layer="MARK"), run((50.0, 10.0), (130.0, 10.0), layer="MARK")]
    assert kinds([PLATE, *marks]) == {"overlap"}
    assert kinds([PLATE, run((-50.0, 100.0), (400.0, 100.0), layer="MARK")]) == set()
    # Three ends at one place.
    three = [run((0.0, 0.0), (100.0, 0.0)), run((0.0, 0.0), (0.0, 100.0)), run((0.0, 0.0), (-100.0, -80.0))]
    found = hits(three)
    near(found["touching"][0].at, (0.0, 0.0))
    assert all(h.at != (0.0, 0.0) for h in found["open-contour"]), "an end that touches is told as that"


def test_an_arc_that_comes_back_to_the_line_it_starts_from() -> None:
    """A straight along the chord of the arc that goes on from its end crosses it again."""
    arc = Chain(((0.0, 0.0), (100.0, 0.0), (-50.0, 0.0)), (-1.0, 0.0, 0.0), False)
    found = hits([cut(arc)])
    assert set(found) & {"touching", "crossing"}
    away = Chain(((0.0, 0.0), (100.0, 0.0), (250.0, 0.0)), (-1.0, 0.0, 0.0), False)
    assert not set(hits([cut(away)])) & {"touching", "crossing"}

"""Rails on a stair that climbs 3 in 4 (`tests.slopes`): posts, lines, balusters, splices and spheres by hand.

A board of 300 ends 375 plumb under the tips of its teeth, at -415 - 0.75 x.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.faults import ImpossiblePiece, lengths_shown
from cutpath.job.form_values import Housing
from cutpath.job.piece_values import LumberSize, RailSpec, SawSpec
from cutpath.job.values import Job, SillNotch, StockBoards
from cutpath.outline import Chain
from cutpath.pieces.across import stringers_at
from cutpath.pieces.ends import ends_words
from cutpath.pieces.rail import USUAL_CLEAR, USUAL_HEIGHT, at, mid, posts_standing, rail_as_built, stand_rail
from cutpath.pieces.rail_pieces import rail_pieces
from cutpath.pieces.splice import _all_held, _evenest, _stretches, bays_within_reach, joints_of
from cutpath.pieces.triangle import slot_sphere, triangle_sphere
from cutpath.pieces.values import SQUARE, Bay, EndCut, PieceKind, Rail, RailPost, StairPiece
from cutpath.pieces.words import in_runs
from cutpath.rules.values import Limit, RuleSet
from tests.slopes import FREE, JOB, STAIR, lumber
from tests.stairs import mm, spec

#: A top rail 40 thick is 50 plumb, a bottom rail of 32 is 40.
RAIL = RailSpec(
    side="both",
    posts=None,
    post=LumberSize(None, 90.0, 100.0),
    place="outside",
    set_back=None,
    post_below=None,
    height=1000.0,
    top_rail=LumberSize(None, 40.0, 80.0),
    past=None,
    ends="plumb",
    bottom_rail=LumberSize(None, 32.0, 60.0),
    bottom_clear=60.0,
    baluster=LumberSize(None, 24.0, 20.0),
    opening_most=100.0,
)
PITCH = math.degrees(math.atan(0.75))


def asked(**more: Any) -> RailSpec:
    return replace(RAIL, **more)


def stood(
    rail: RailSpec = RAIL, job: Job = JOB, stair: Stair = STAIR, rules: RuleSet = FREE, wide: float = 300
) -> Rail:
    stringer = build_stringer(stair, job.stringer, wide, mm)
    return stand_rail(job, rail, rules, stair, stringer, stair.meant())


def refused(rail: RailSpec, job: Job = JOB, stair: Stair = STAIR, rules: RuleSet = FREE) -> str:
    """What is told, its lengths in plain numbers, and the key that it names."""
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(lambda length: f"{length:g}"):
        stood(rail, job, stair, rules)
    assert caught.value.way_out
    return f"{caught.value.key}: {caught.value}"


# How it stands.


def test_a_rail_stands_on_its_posts() -> None:
    """Fronts of posts over the riser cuts, 45 behind the nosings at 285 and 1005; the underside 950 over these."""
    rail = stood()
    upper, lower = rail.posts
    assert upper == RailPost(1, *(pytest.approx(n) for n in (140, 240, -520, 878.75, 803.75)))
    # The board's lower edge, at -1060, is under the landing.
    assert lower == RailPost(4, *(pytest.approx(n) for n in (860, 960, -900, 338.75, 263.75)))
    assert (upper.length, lower.length) == pytest.approx((1398.75, 1238.75))
    # From over the floor's edge to over the last nosing; the bottom rail from post to post, 60 up and 40 thick.
    for line, up in ((rail.nosings, 0), (rail.top, 1000), (rail.top_under, 950)):
        assert line == (pytest.approx((45, up)), pytest.approx((1005, up - 720)))
    for line, up in ((rail.bottom, 100), (rail.bottom_under, 60)):
        assert line == (pytest.approx((140, up - 71.25)), pytest.approx((960, up - 686.25)))
    assert (rail.height, rail.height_from) == (1000, "rail.height of the job")
    assert (rail.opening_most, rail.opening_from) == (100, "rail.opening_most of the job")
    assert rail.baluster_plumb == pytest.approx(850)
    assert (rail.sides, rail.across, rail.reaches) == (("left", "right"), ((-90, 0), (1000, 1090)), (0, 0))
    assert (rail.short_of_top, rail.short_of_foot, rail.joints, rail.triangular) == (0, 0, (), True)
    # 620 clear: five balusters of 20 leave six gaps of 520 / 6, four would leave five of 108.
    (bay,) = rail.bays
    assert bay.clear == pytest.approx((240, 860)) and bay.gap == rail.opening == pytest.approx(520 / 6)
    assert bay.balusters == pytest.approx([240 + 520 / 6 + i * (520 / 6 + 20) for i in range(5)])
    assert bay.along == pytest.approx([1.25 * (x - 240) for x in bay.balusters])


@pytest.mark.parametrize(
    ("opening", "count"), [(108, 4), (107.9, 5), (620, 0), (619.9, 1), (300, 1), (299.9, 2), (1000, 0), (10, 21)]
)
def test_the_fewest_balusters_keep_the_opening(opening: float, count: int) -> None:
    """n balusters of 20 in 620 leave n + 1 gaps of (620 - 20 n) / (n + 1)."""
    (bay,) = stood(asked(opening_most=float(opening))).bays
    assert len(bay.balusters) == len(bay.along) == count
    assert bay.gap == pytest.approx((620 - 20 * count) / (count + 1))


def test_every_bay_has_gaps_of_its_own_and_the_widest_counts() -> None:
    """Fronts at 240, 480 and 960: 140 clear want one baluster and gaps of 60, 380 want three and gaps of 80."""
    rail = stood(asked(posts=(1, 2, 4)))
    assert [bay.clear for bay in rail.bays] == [pytest.approx((240, 380)), pytest.approx((480, 860))]
    assert [bay.gap for bay in rail.bays] == pytest.approx([60, 80]) and rail.opening == pytest.approx(80)
    assert [bay.balusters for bay in rail.bays] == [pytest.approx((300,)), pytest.approx((560, 660, 760))]


@pytest.mark.parametrize(("wide", "gap"), [(140, 0), (139, 0.5), (120, 10)])
def test_a_baluster_as_wide_as_its_bay_stands_in_it(wide: float, gap: float) -> None:
    bay = stood(asked(posts=(1, 2), baluster=LumberSize(None, 20.0, float(wide)))).bays[0]
    assert len(bay.balusters) == 1 and bay.gap == pytest.approx(gap)


@pytest.mark.parametrize(("wide", "opening"), [(141, 100), (200, 139), (72, 33)])
def test_balusters_that_find_no_room_between_posts_are_refused(wide: float, opening: float) -> None:
    """A bay of 140 is wider than the opening, and too narrow for the one baluster, or the two, that would keep it."""
    told = refused(asked(posts=(1, 2), baluster=LumberSize(None, 20.0, float(wide)), opening_most=float(opening)))
    assert told.startswith("rail.baluster: between the posts at treads 1 and 2 are 140, where")
    assert f"balusters {wide} wide that left no more than {opening} open" in told


def test_a_rail_at_one_side_and_where_posts_stand_across() -> None:
    """Three stringers 40 thick over 1000: 0 to 40, 480 to 520 and 960 to 1000."""
    assert stringers_at(JOB) == ((0, 40), (480, 520), (960, 1000))
    assert stood(asked(side="left")).across == ((-90, 0),)
    assert stood(asked(side="right")).across == ((1000, 1090),)
    inside = stood(asked(place="inside", set_back=45.0), stair=replace(STAIR, riser_board=0.0))
    assert inside.across == ((40, 130), (870, 960)) and inside.reaches == pytest.approx((130, 130))
    assert stood(asked(place="inside", side="right"), stair=replace(STAIR, riser_board=0.0)).reaches == (130,)


@pytest.mark.parametrize("piece", ["post", "top_rail", "bottom_rail", "baluster"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_widest_piece_reaches_into_the_width(piece: str, side: str) -> None:
    """Posts 90 thick stand outside, middle 45 off: a piece 150 wide across reaches 30 in."""
    size = LumberSize(None, 150.0, 100.0) if piece in ("post", "baluster") else LumberSize(None, 40.0, 150.0)
    rail = stood(asked(side=side, **{piece: size}))
    assert rail.reaches == pytest.approx((0 if piece == "post" else 30,))
    between = replace(JOB, stringer=spec(form="housed", housing=Housing(12.0), count=2))
    # Outside stringers that treads run between there are 40 more to where the clear width begins.
    assert stood(asked(side=side, **{piece: size}), between, wide=400).reaches == (0,)
    size = LumberSize(None, 250.0, 100.0) if piece in ("post", "baluster") else LumberSize(None, 40.0, 250.0)
    wide = stood(asked(side=side, **{piece: size}), between, wide=400).reaches
    assert wide == pytest.approx((0 if piece == "post" else 40,))


def test_set_back_and_how_far_down_and_past_are_as_asked() -> None:
    rail = stood(asked(set_back=105.0, post_below=150.0, past=(30.0, 12.0), posts=(2, 3)))
    upper, lower = rail.posts
    # Nosings at 525 and 765, 360 and 540 down: fronts at 420 and 660, lower ends at -510 and -690.
    assert (upper.front, upper.back, upper.bottom) == pytest.approx((420, 320, -510))
    assert (lower.front, lower.back, lower.bottom) == pytest.approx((660, 560, -690))
    assert rail.top[0][0] == pytest.approx(290) and rail.top[1][0] == pytest.approx(672)
    # Short of the floor's edge at 45 and of the lowest nosing at 1005.
    assert (rail.short_of_top, rail.short_of_foot) == pytest.approx((245, 333))
    # Of three posts the outer ones count, for the bottom rail as well.
    three = stood(asked(posts=(1, 2, 4), past=(30.0, 12.0)))
    assert (three.top[0][0], three.top[1][0]) == pytest.approx((110, 972))
    assert (three.bottom[0][0], three.bottom[1][0]) == pytest.approx((140, 960))
    # A post may go into the ground at the landing.
    assert stood(asked(post_below=200.0)).posts[1].bottom == pytest.approx(-920)
    # Without a word on it the rail reaches over both nosings, or as far as its posts do.
    far = stood(asked(set_back=0.0, post=LumberSize(None, 90.0, 200.0)))
    assert far.top[0][0] == pytest.approx(45) and far.top[1][0] == pytest.approx(1005)
    floor = stood(asked(set_back=150.0), stair=replace(STAIR, top_tread="at-floor"))
    # The top tread's nosing is 285 out, its post's back 250 behind it; the lowest nosing is at 1245.
    assert floor.top[0][0] == pytest.approx(35) and floor.top[1][0] == pytest.approx(1245)


def test_heights_come_from_the_job_the_usual_or_the_rule_set() -> None:
    assert stood(asked(height=None)).height == USUAL_HEIGHT["mm"] == 915
    assert "usual height" in stood(asked(height=None)).height_from
    inch = replace(JOB, units="in")
    assert stood(asked(height=None), inch).height == 914.4
    for low, high, meant in ((950.0, 1000.0, 950.0), (800.0, 900.0, 900.0), (900.0, 1000.0, 915.0)):
        limit = Limit("handrail", "count", None, 0.0, None, "c", "looked up", height_least=low, height_most=high)
        rail = stood(asked(height=None), rules=RuleSet("made", "Made", (limit,)))
        assert rail.height == meant
        assert ("Made allows" in rail.height_from) is (meant != 915)


def test_clearances_and_spheres_come_from_the_job_or_the_rule_set() -> None:
    plain = stood(asked(bottom_clear=None))
    assert plain.bottom_under[0][1] - plain.nosings[0][1] + 0.75 * 95 == pytest.approx(USUAL_CLEAR["mm"])
    assert stood(asked(bottom_clear=None), replace(JOB, units="in")).triangle == triangle_sphere(STAIR, 12.7)
    # Over a stringer without teeth, whose edge lies 40 square over the nosings, 50 plumb, and 12 more.
    housed = replace(JOB, stringer=spec(form="housed", housing=Housing(12.0), count=2, margin=40.0))
    rail = stood(asked(bottom_clear=None), housed, wide=400)
    assert rail.bottom_under[0][1] == pytest.approx(62 - 71.25)
    assert not rail.triangular and rail.triangle == pytest.approx(12 * 0.8)
    assert stood(asked(bottom_clear=100.0), housed, wide=400).triangle == pytest.approx(40)
    guard = Limit("guard", "length", None, 500.0, None, "clause 9", "looked up", opening=90.0)
    rail = stood(asked(opening_most=None), rules=RuleSet("made", "Made", (guard,)))
    assert (rail.opening_most, rail.opening_from) == (90, "clause 9")
    for limits in ((), (replace(guard, opening=None),)):
        assert refused(asked(opening_most=None), rules=RuleSet("made", "Made", limits)).startswith("rail.opening_most")


def test_what_a_rule_set_can_limit_of_a_rail() -> None:
    rail = replace(stood(), reaches=(30.0, 45.0), triangle=140.0)
    built = rail_as_built(rail, 1000.0, FREE, 240.0)
    assert (built.height, built.opening, built.triangle, built.sides) == (1000, rail.opening, 140, ("left", "right"))
    assert (built.reach, built.clear, built.over) == (45, 925, False)
    slot = rail_as_built(replace(rail, triangular=False), 1000.0, FREE, 240.0)
    assert (slot.opening, slot.triangle) == (140, None)
    narrow = rail_as_built(replace(rail, triangular=False, triangle=40.0), 1000.0, FREE, 240.0)
    assert narrow.opening == rail.opening
    for most, over in ((1000.0, False), (999.9, True), (None, False)):
        limit = Limit("handrail", "count", None, 0.0, None, "c", "looked up", height_most=most)
        assert rail_as_built(rail, 1000.0, RuleSet("made", "Made", (limit,)), 240.0).over is over


def test_posts_stand_where_they_are_on_every_side() -> None:
    rail = stood()
    found = [(each.x, each.y, each.z) for each in posts_standing(rail)]
    first, second = ((140, 240), (-520, 878.75)), ((860, 960), (-900, 338.75))
    assert found == [
        (pytest.approx(x), pytest.approx(y), z) for x, y in (first, second) for z in ((-90, 0), (1000, 1090))
    ]


# Where posts can't stand.


def test_a_rail_too_low_for_its_balusters_is_refused() -> None:
    """Top and bottom rail are 50 and 40 plumb, the lower one 60 up: balusters have what is over 150."""
    assert stood(asked(height=150.5)).baluster_plumb == pytest.approx(0.5)
    told = refused(asked(height=150.0))
    assert told.startswith("rail.height: a rail 150 high") and "is 100 over the nosings" in told
    assert "underside 100" in told


def test_posts_are_numbered_by_treads() -> None:
    assert [post.tread for post in stood(asked(posts=(1, 4))).posts] == [1, 4]
    assert "a post at tread 5, and the stair has 4" in refused(asked(posts=(1, 5)))
    assert "posts at two treads" in refused(asked(posts=(2,)))
    single = refused(asked(), stair=replace(STAIR, risers=2))
    assert "posts at two treads" in single


def test_posts_that_touch_stand_and_ones_in_one_another_do_not() -> None:
    """Fronts are a run of 240 apart."""
    assert stood(asked(posts=(2, 3), post=LumberSize(None, 90.0, 239.5))).bays[0].clear == pytest.approx((480, 480.5))
    told = refused(asked(posts=(2, 3), post=LumberSize(None, 90.0, 240.0)))
    assert told.startswith("rail.posts: the posts at treads 2 and 3") and "240 wide" in told


SILL = SillNotch(80.0, 38.0)


@pytest.mark.parametrize(("place", "bottom"), [("outside", -900), ("inside", -862)])
def test_a_post_stands_on_the_sill_plate_where_that_is(place: str, bottom: float) -> None:
    """The lowest riser cut is at 960, so the plate from 880 to 960; a post there stands on it, and not in it."""
    stair, job = replace(STAIR, riser_board=0.0, nosing=45.0), replace(JOB, stringer=spec(SILL))
    assert stood(asked(place=place), job, stair).posts[1].bottom == pytest.approx(bottom)
    # Its back at 760 and front at 880 it only touches the plate.
    clear = asked(place=place, posts=(3, 4), set_back=125.0, post=LumberSize(None, 90.0, 120.0))
    assert stood(clear, job, stair).posts[1].bottom == pytest.approx(-900)
    assert stood(replace(clear, set_back=124.0), job, stair).posts[1].bottom == pytest.approx(bottom)
    # The last tread is at -720: 142 above the plate, 180 above the landing.
    assert stood(asked(place=place, post_below=142.0), job, stair).posts[1].bottom == pytest.approx(-862)
    if place == "inside":
        told = refused(asked(place=place, post_below=143.0), job, stair)
        assert told.startswith("rail.post_below: the post at tread 4 stands in the sill plate, whose top is 142 under")
    else:
        assert stood(asked(place=place, post_below=143.0), job, stair).posts[1].bottom == pytest.approx(-863)


def test_posts_stand_clear_of_the_floor_and_the_header() -> None:
    """The floor's edge is 240 behind the top nosing; posts are 100 wide. At the floor's level the header is 285 off."""
    assert stood(asked(set_back=140.0)).posts[0].back == pytest.approx(45)
    told = refused(asked(set_back=141.0))
    assert told.startswith("rail.set_back: the post at tread 1 stands in the floor's edge")
    assert "which are 240 behind" in told and "back is 241 behind" in told
    floor = replace(STAIR, top_tread="at-floor")
    assert stood(asked(set_back=185.0), stair=floor).posts[0].back == pytest.approx(0)
    assert "which are 285 behind" in refused(asked(set_back=186.0), stair=floor)


def test_posts_inside_stand_clear_of_riser_boards() -> None:
    """Behind a tread: from its nosing, 45 to the riser cut; 265 back is the face of the board behind it."""
    inside = asked(place="inside", posts=(2, 4), set_back=45.0)
    assert stood(inside).posts[0].front == pytest.approx(480)
    told = refused(replace(inside, set_back=44.0))
    assert told.startswith("rail.set_back: the post at tread 2 stands in a riser board: there are 265")
    assert "the first 45 of them" in told
    assert stood(replace(inside, set_back=165.0)).posts[0].back == pytest.approx(260)
    assert "tread 2" in refused(replace(inside, set_back=166.0))
    # One that only stands on its tread is in no board under it; one right through it is.
    short = replace(inside, set_back=30.0, post_below=40.0)
    assert stood(short).posts[0].bottom == pytest.approx(-400)
    assert "in a riser board" in refused(replace(short, post_below=41.0))
    assert stood(replace(inside, set_back=30.0), stair=replace(STAIR, riser_board=0.0)).posts[0].front == pytest.approx(
        495
    )
    assert stood(replace(inside, place="outside", set_back=30.0)).posts[0].front == pytest.approx(495)


def test_posts_inside_stand_clear_of_one_another_and_of_inner_stringers() -> None:
    stair = replace(STAIR, riser_board=0.0)
    two, three, one = (replace(JOB, stringer=spec(count=count)) for count in (2, 3, 1))

    def thick(across: float) -> RailSpec:
        return asked(place="inside", post=LumberSize(None, across, 100.0))

    # Two stringers leave 920 between them, three 440 in each bay.
    assert stood(thick(460.0), two, stair).across == ((40, 500), (500, 960))
    assert refused(thick(460.5), two, stair).startswith("rail.place: posts 460.5 thick")
    assert stood(thick(440.0), three, stair).across == ((40, 480), (520, 960))
    assert "in the next stringer" in refused(thick(441.0), three, stair)
    for side in ("left", "right"):
        assert stood(replace(thick(920.0), side=side), two, stair).across == ((40, 960),)
        assert refused(replace(thick(920.5), side=side), two, stair)
        assert stood(replace(thick(440.0), side=side), three, stair)
        assert refused(replace(thick(441.0), side=side), three, stair).startswith("rail.place")
    assert refused(asked(), one).startswith("rail: posts stand on two outer stringers")


def test_a_line_s_height_and_a_range_s_middle() -> None:
    assert at(((10, 100), (30, 60)), 15) == (15, 90)
    assert at(((10, 100), (30, 60)), 40) == (40, 40)
    assert mid((10, 30), 8) == (16, 24)


# Its pieces.


def made(rail: RailSpec = RAIL, job: Job = JOB, stair: Stair = STAIR) -> dict[str, list[StairPiece]]:
    found: dict[str, list[StairPiece]] = {}
    for piece in rail_pieces(stood(rail, job, stair), rail, stair):
        found.setdefault(piece.kind, []).append(piece)
    return found


def told(piece: StairPiece) -> list[str]:
    return [note.text(lambda length: f"{length:.6g}") for note in piece.notes]


def points(chain: Chain) -> list[tuple[float, float]]:
    assert chain.closed
    return [(pytest.approx(x), pytest.approx(y)) for x, y in chain.points]


def test_pieces_are_as_long_as_they_stand() -> None:
    found = made()
    assert {kind: [(each.name, each.count) for each in pieces] for kind, pieces in found.items()} == {
        "post": [("post, tread 1", 2), ("post, tread 4", 2)],
        "top rail": [("top rail", 2)],
        "bottom rail": [("bottom rail", 2)],
        "baluster": [("baluster", 10)],
    }
    upper, lower = found["post"]
    assert (upper.length, lower.length) == pytest.approx((1398.75, 1238.75))
    assert upper.section == (90, 100) and upper.stock == RAIL.post and not upper.parallel
    assert upper.ends[0].angle == pytest.approx(PITCH) and upper.ends[0].seen_on == "face" and upper.ends[1] == SQUARE
    assert points(upper.stands[0].elevation) == [(140, -520), (240, -520), (240, 803.75), (140, 878.75)]
    assert [stand.across for stand in upper.stands] == [(-90, 0), (1000, 1090)]
    # 960 level are 1200 along, and a plumb cut through 40 is 30 longer at one face than at the other.
    (top,) = found["top rail"]
    assert top.length == pytest.approx(1230) and told(top) == ["1200 along its upper face"] and top.parallel
    assert [(end.angle, end.seen_on) for end in top.ends] == [(pytest.approx(PITCH), "edge")] * 2
    assert points(top.stands[0].elevation) == [(45, 950), (1005, 230), (1005, 280), (45, 1000)]
    assert [stand.across for stand in top.stands] == [(-85, -5), (1005, 1085)]
    # 620 level are 775 along, and 32 thick add 24.
    (bottom,) = found["bottom rail"]
    assert bottom.length == pytest.approx(799) and told(bottom) == ["775 along its upper face, post to post"]
    assert [(end.angle, end.seen_on) for end in bottom.ends] == [(pytest.approx(PITCH), "edge")] * 2
    assert bottom.section == (32, 60) and bottom.where == "between treads 1 and 4, both sides"
    # The nosings' line is at -146.25 over x 240 and at -611.25 over 860.
    assert points(bottom.stands[0].elevation) == [(240, -86.25), (860, -551.25), (860, -511.25), (240, -46.25)]
    assert [stand.across for stand in bottom.stands] == [(-75, -15), (1015, 1075)]
    # 850 along either edge, and 15 longer over its width of 20.
    (baluster,) = found["baluster"]
    assert baluster.length == pytest.approx(865) and told(baluster) == ["850 along each edge"]
    assert [(end.angle, end.seen_on) for end in baluster.ends] == [(pytest.approx(PITCH), "edge")] * 2
    first = 240 + 520 / 6
    up = 133.75 - 0.75 * first
    assert points(baluster.stands[0].elevation) == [
        (first, up), (first + 20, up - 15), (first + 20, up + 835), (first, up + 850)
    ]  # fmt: skip
    assert [stand.across for stand in baluster.stands[:2]] == [(-57, -33), (1033, 1057)]


@pytest.mark.parametrize(
    ("wide", "upright", "lying"), [(30.0, "face", "face"), (40.0, "face", "edge"), (50.0, "face", "edge")]
)
def test_an_angle_is_seen_where_the_broad_face_is(wide: float, upright: str, lying: str) -> None:
    """From the stair's side an upright shows its width and a rail that lies flat its thickness."""
    found = made(asked(
        post=LumberSize(None, wide, 100.0), baluster=LumberSize(None, 40.0, wide),
        top_rail=LumberSize(None, 40.0, wide), bottom_rail=LumberSize(None, 40.0, wide), height=900.0,
    ))  # fmt: skip
    assert found["post"][0].ends[0].seen_on == upright
    assert found["baluster"][0].ends[0].seen_on == ("edge" if wide < 40 else "face")
    assert {found[kind][0].ends[0].seen_on for kind in ("top rail", "bottom rail")} == {lying}


def test_square_ends_stand_on_the_lower_face() -> None:
    """A rail 1200 long, its upper face moved by 40 square to the slope: 24 out and 32 up."""
    (top,) = made(asked(ends="square"))["top rail"]
    assert top.length == pytest.approx(1200) and top.ends == (SQUARE, SQUARE) and not top.notes
    assert points(top.stands[0].elevation) == [(45, 950), (1005, 230), (1029, 262), (69, 982)]


def test_pieces_of_one_length_are_listed_together() -> None:
    """Posts at 2, 3 and 4 with lower ends 150 under their treads are alike; bays of 140 and of 380 are not."""
    found = made(asked(posts=(1, 2, 4), post_below=150.0, side="right"))
    (post,) = found["post"]
    assert (post.name, post.where, post.count) == ("post", "treads 1, 2 and 4, right side", 3)
    short, long = found["bottom rail"]
    assert (short.name, short.where, short.count) == ("bottom rail", "between treads 1 and 2, right side", 1)
    assert (long.name, long.where) == ("bottom rail (2)", "between treads 2 and 4, right side")
    assert (short.length, long.length) == pytest.approx((199, 499))
    (baluster,) = found["baluster"]
    assert (baluster.count, baluster.where) == (4, "every bay, right side")
    one, both = asked(posts=(1, 2, 4), opening_most=140.0), made(asked(posts=(1, 2, 4), opening_most=400.0))
    assert made(one)["baluster"][0].where == "between treads 2 and 4, both sides" and "baluster" not in both
    even = made(asked(posts=(1, 2, 3)))["bottom rail"]
    assert [(each.count, each.where) for each in even] == [(4, "every bay, both sides")]


def test_a_spliced_rail_is_cut_plumb_over_the_middle_of_a_post() -> None:
    """Ends at 45 and 1005, the middle of the second post at 430: 481.25 and 718.75 along."""
    short = replace(JOB, lumber=(lumber((40, 80), 800.0),))
    upper, lower = made(asked(posts=(1, 2, 4)), short)["top rail"]
    assert (upper.length, lower.length) == pytest.approx((511.25, 748.75))
    assert (upper.name, upper.where) == ("top rail, upper", "upper end to tread 2, both sides")
    assert (lower.name, lower.where) == ("top rail, lower", "tread 2 to lower end, both sides")
    assert told(upper) == [
        "481.25 along its upper face, upper end to tread 2",
        "cut plumb at the joint at tread 2, over the middle of the post",
    ]
    assert points(upper.stands[0].elevation) == [(45, 950), (430, 661.25), (430, 711.25), (45, 1000)]
    square_up, square_down = made(asked(posts=(1, 2, 4), ends="square"), short)["top rail"]
    assert square_up.ends[0] == SQUARE and square_up.ends[1].angle == pytest.approx(PITCH)
    assert square_down.ends[1] == SQUARE and square_down.ends[0].angle == pytest.approx(PITCH)
    # A square upper end reaches no farther up than the lower face; a plumb one's upper face does, by 30.
    assert (square_up.length, square_down.length) == pytest.approx((481.25, 748.75))
    assert told(square_up) == ["cut plumb at the joint at tread 2, over the middle of the post"]


def test_middle_pieces_of_one_length_are_one_piece_of_the_list() -> None:
    """Middles at 190, 430, 670 and 910: 300 along between two of them; ends at 45 and 1005."""
    short = replace(JOB, lumber=(lumber((40, 80), 520.0),))
    found = made(asked(posts=(1, 2, 3, 4), side="left"), short)["top rail"]
    assert [(each.name, each.count) for each in found] == [
        ("top rail, upper", 1), ("top rail, middle", 1), ("top rail, lower", 1)
    ]  # fmt: skip
    assert [each.length for each in found] == pytest.approx([511.25, 330, 448.75])
    assert "joints at treads 2 and 3," in told(found[0])[-1]
    long = replace(STAIR, risers=9)
    many = made(asked(posts=tuple(range(1, 9)), side="left"), replace(JOB, lumber=(lumber((40, 80), 640.0),)), long)
    # 385 from the upper end to post 2, 335 from post 7 to the lower one; between them 240 and twice 480.
    assert sorted((each.length, each.count) for each in many["top rail"]) == [
        (pytest.approx(330), 1), (pytest.approx(448.75), 1), (pytest.approx(511.25), 1), (pytest.approx(630), 2)
    ]  # fmt: skip
    assert sum(each.length * each.count for each in many["top rail"]) == pytest.approx(1920 * 1.25 + 5 * 30)


def test_end_cuts_are_told_for_the_saw() -> None:
    """A mitre is seen on the broad face, a bevel on the narrow edge; of a square section it is no matter which."""

    def words(kind: PieceKind, first: EndCut, second: EndCut, wide: float = 60.0, parallel: bool = True) -> str:
        size = LumberSize(None, 40.0, wide)
        return ends_words(StairPiece(kind, "", "", (40.0, wide), size, 1.0, (), (first, second), parallel))

    face, edge = EndCut(36.87, "face"), EndCut(36.87, "edge")
    assert words("top rail", SQUARE, SQUARE) == "square"
    assert words("top rail", edge, edge) == "36.9° bevel, both ends, parallel"
    assert words("baluster", face, face, parallel=False) == "36.9° mitre, both ends, opposed"
    assert words("baluster", face, face, wide=40.0) == "36.9°, both ends, parallel"
    assert words("baluster", face, face, wide=40.5) == "36.9° mitre, both ends, parallel"
    assert words("post", face, SQUARE) == "36.9° mitre upper end, square lower end"
    assert words("bottom rail", SQUARE, edge) == "square upper end, 36.9° bevel lower end"
    assert (
        words("tread", EndCut(10.0), EndCut(20.0))
        == "10.0° mitre left end, 20.0° mitre right end, leaning the same way"
    )
    apart = words("sill plate", EndCut(10.0), EndCut(20.0, "edge"), parallel=False)
    assert apart == "10.0° mitre left end, 20.0° bevel right end, leaning apart"


def test_numbers_are_told_in_runs() -> None:
    assert in_runs([3], "tread") == "tread 3" and in_runs([3, 4], "tread") == "treads 3 and 4"
    assert in_runs([1, 3, 4, 5, 9], "riser") == "risers 1, 3 to 5 and 9"


# Splices.


def posts_at(*middles: float) -> tuple[RailPost, ...]:
    return tuple(RailPost(n, x - 50, x + 50, -500.0, 800.0, 725.0) for n, x in enumerate(middles, start=1))


def joined(length: float, *middles: float, quantity: int | None = None, **more: Any) -> tuple[int, ...]:
    """The treads over whose posts a rail from 0 to 2000 level is spliced, 2500 along and 30 more for its plumb cuts."""
    job = replace(JOB, lumber=(lumber((40, 80), length, quantity),), saw=SawSpec(3.0, 0.0, 1.0))
    found = joints_of(job, asked(side="left", **more), STAIR, posts_at(*middles), (0.0, 2000.0))
    return tuple(post.tread for post in found)


@pytest.mark.parametrize(
    ("length", "joints"),
    [
        *((2530, ()), (2529.9, (3,)), (1555, (3,)), (1554.9, (3, 4)), (1005, (3, 4)), (1004.9, (2, 3, 4))),
        *((980, (2, 3, 4)), (979.9, (2, 3, 4, 5)), (605, (2, 3, 4, 5))),
    ],
)
def test_as_few_pieces_as_lumber_holds(length: float, joints: tuple[int, ...]) -> None:
    """From 0 over 400, 780, 1240, 1610 to 2000: the longest level is 1220 of two, 780 of three, 760 of four, 460."""
    assert joined(length, 100, 400, 780, 1240, 1610, 1900) == joints


def test_of_as_few_the_longest_is_shortest() -> None:
    """In two: over 900 the longer piece is 1375 along, over 700 and over 1300 it is 1625."""
    assert joined(2000, 100, 700, 900, 1300, 1900) == (3,)
    # Over 990: 1267.5 and 1292.5; over 1012: 1295 and 1265. With a square upper end the upper ones are 30 shorter.
    assert joined(2000, 100, 990, 1012, 1900) == (2,)
    assert joined(2000, 100, 990, 1012, 1900, ends="square") == (3,)


def test_where_no_post_is_in_reach_the_rail_is_refused() -> None:
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(lambda length: f"{length:g}"):
        joined(1000, 100, 1000, 1900)
    assert caught.value.key == "rail.posts"
    assert "is 1280 long from its upper end to the post at tread 2" in str(caught.value)
    assert "gives 1000" in str(caught.value)
    with pytest.raises(ImpossiblePiece, match="from the post at tread 2 to its lower end"):
        joined(1000, 100, 700, 1900)
    with pytest.raises(ImpossiblePiece, match="from the post at tread 2 to the post at tread 3"):
        joined(700, 100, 500, 1500, 1900)
    # Square, the upper end asks for 1250 alone, and the lower piece for its plumb cut at the joint besides.
    with pytest.raises(ImpossiblePiece, match="tread 2 to its lower end"):
        joined(1279, 100, 1000, 1900, ends="square")
    assert joined(1280, 100, 1000, 1900, ends="square") == (2,)
    assert joined(2500, 100, 1000, 1900, ends="square") == ()


def test_where_there_is_too_little_of_a_length_more_pieces_are_tried() -> None:
    """In two over 1010: 1292.5 and 1267.5; in three over 480 and 1010: 630, 692.5 and 1267.5."""
    four = (100, 480, 1010, 1510, 1900)
    assert joined(1600, *four, quantity=2) == (3,)

    def of(*boards: StockBoards, side: str = "left") -> tuple[int, ...]:
        job = replace(JOB, lumber=boards, saw=SawSpec(3.0, 0.0, 1.0))
        found = joints_of(job, asked(side=side), STAIR, posts_at(*four), (0.0, 2000.0))
        return tuple(post.tread for post in found)

    few = lumber((40, 80), 1300.0, 1), lumber((40, 80), 700.0, 2)
    assert of(*few) == (2, 3)
    # Both sides want twice as many, and where nothing holds all it stays with the fewest.
    assert of(*few, side="both") == (3,) and joined(1600, *four, quantity=1) == (3,)
    # Of those that its length allows: 1270 is too short for the two.
    assert joined(1270, *four, quantity=1) == (2, 3)
    assert of(lumber((40, 80), 1300.0, 2), lumber((40, 80), 700.0, 4), side="both") == (2, 3)


def test_boards_hold_pieces_with_a_cut_between() -> None:
    assert _all_held([500.0, 497.0], [1000.0], 3.0)
    assert not _all_held([500.0, 497.1], [1000.0], 3.0)
    assert _all_held([1000.0], [1000.0], 3.0) and not _all_held([1000.1], [1000.0], 3.0)
    assert _all_held([300.0, 700.0, 600.0], [1000.0, 703.0], 3.0) is False
    assert _all_held([300.0, 697.0, 600.0], [1000.0, 703.0], 3.0)
    assert not _all_held([10.0], [], 3.0)


def test_the_evenest_cuts() -> None:
    """Places at 0, 4, 5, 9 and 12: in two at 5, whose longest piece is 7; with 6 for 5 in three at 4 and 9."""
    places = (0, 4, 5, 9, 12)
    long = [[float(b - a) if b > a else 0.0 for b in places] for a in places]
    assert _evenest(long, 1) == () and _evenest(long, 2) == (2,) and _evenest(long, 4) == (1, 2, 3)
    places = (0, 4, 6, 9, 12)
    long = [[float(b - a) if b > a else 0.0 for b in places] for a in places]
    assert _evenest(long, 3) == (1, 3)


def test_stretches_of_lumber() -> None:
    size = RAIL.top_rail

    def of(*boards: StockBoards, most: int = 3, trim: float = 10.0, units: str = "mm") -> list[float]:
        return _stretches(replace(JOB, units=units, lumber=boards, saw=SawSpec(3.0, trim, 1.0)), size, most)

    yard = [4780.0, 4180.0, 3580.0, 2980.0, 2380.0]
    assert of(most=1) == yard and of(most=2) == [length for length in yard for _ in range(2)]
    assert of(most=1, trim=0.0, units="in") == pytest.approx([feet * 304.8 for feet in (16, 14, 12, 10, 8)])
    assert of(lumber((40, 80), 1000.0)) == [980.0] * 3
    assert of(lumber((40, 80), 1000.0, 2), lumber((40, 80), 2000.0, 5)) == [1980.0] * 3 + [980.0] * 2
    assert of(lumber((40, 80), 1000.0, 1)) == [980.0]
    # Of what there is none, nothing, unless there is none of any; other sections and sheets are no lumber for it.
    assert of(lumber((40, 80), 1000.0, 0), lumber((40, 80), 800.0, 1)) == [780.0]
    assert of(lumber((40, 80), 1000.0, 0)) == [980.0]
    assert of(lumber((40, 81), 1000.0), lumber((40, 80), 1000.0, kind="sheet"), most=1) == yard
    # Beside offcuts alone a yard's lengths are there.
    assert of(lumber((40, 80), 5000.0, 1, offcut="A"), most=1) == [4980.0, *yard]
    assert of(lumber((40, 80), 5000.0, 0, offcut="A"), most=1) == yard
    assert of(lumber((40, 80), 5000.0, 1, offcut="A"), lumber((40, 80), 900.0), most=1) == [4980.0, 880.0]
    # A defect from 300 to 350 leaves 290 before it and 640 behind it.
    assert of(lumber((40, 80), 1000.0, 1, defects=((300.0, 350.0),))) == [640.0, 290.0]


@pytest.mark.parametrize(("length", "fits"), [(799.0, True), (798.9, False)])
def test_a_bottom_rail_is_one_piece(length: float, fits: bool) -> None:
    """620 level are 775 along and 24 more; the other bay is shorter."""
    job = replace(JOB, lumber=(lumber((32, 60), 400.0), lumber((32, 60), length, 1)))
    posts = posts_at(100, 340, 1060)
    bays = [Bay((150, 290), 60.0, (), ()), Bay((390, 1010), 60.0, (), ())]
    if fits:
        bays_within_reach(job, RAIL, STAIR, posts, bays)
        return
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(lambda length: f"{length:g}"):
        bays_within_reach(job, RAIL, STAIR, posts, bays)
    assert caught.value.key == "rail.posts"
    assert "treads 2 and 3 is 799 long" in str(caught.value) and "gives 798.9" in str(caught.value)


def test_lumber_that_is_all_defects_gives_nothing() -> None:
    bad = replace(JOB, lumber=(lumber((40, 80), 1000.0, defects=((0.0, 1000.0),)), lumber((32, 60), 9.0)))
    posts, bays = posts_at(100, 1060), [Bay((150, 1010), 60.0, (), ())]
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(lambda length: f"{length:g}"):
        joints_of(bad, RAIL, STAIR, posts, (0.0, 2000.0))
    assert "gives 0;" in str(caught.value)
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(lambda length: f"{length:g}"):
        bays_within_reach(replace(bad, saw=SawSpec(3.0, 4.5, 1.0)), RAIL, STAIR, posts, bays)
    assert "gives 0;" in str(caught.value)


# The spheres.


def test_the_sphere_of_a_triangle_without_a_nosing_is_its_inscribed_one() -> None:
    """Under a rail on the nosings there is a triangle of 180, 240 and 300: inscribed is a circle of 120 across."""
    plain = replace(STAIR, nosing=0.0)
    assert triangle_sphere(plain, 0.0) == pytest.approx(120)
    # One of 37.5 plumb higher is a triangle half a foot larger: sides 217.5 and 290, at 3 to 4, and 145 across.
    assert triangle_sphere(plain, 37.5) == pytest.approx(145)


def test_the_sphere_of_a_rail_far_above_rests_on_two_nosings() -> None:
    """Two nosings 300 apart and a rail square over them by radius and what is left of it over their line."""
    for radius in (255.0, 260.0):
        clear = (radius + math.sqrt(radius**2 - 150**2)) / 0.8
        assert triangle_sphere(STAIR, clear) == pytest.approx(2 * radius)


def test_the_nosing_above_keeps_spheres_out() -> None:
    """On the tread, under the rail and at the edge under the nosing above: 240 back, 40 thick, 140 up.

    A circle on the tread, whose centre is (x, r), touches a rail that is c plumb over the nosings where
    0.75 x + r = c - 1.25 r, and that edge where (x + 240)² + (r - 140)² = r². With x = -140: 100² + (r - 140)² = r²
    for r = 29600 / 280.
    """
    radius = 29600 / 280
    assert triangle_sphere(STAIR, 2.25 * radius - 0.75 * 140) == pytest.approx(2 * radius)


def test_the_sphere_over_a_straight_edge_is_the_distance_square_to_it() -> None:
    assert slot_sphere(STAIR, 100.0, 50.0) == pytest.approx(30)
    assert slot_sphere(STAIR, 50.0, 41.0) == 0

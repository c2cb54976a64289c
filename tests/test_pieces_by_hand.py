"""Treads, riser boards and what goes with them on a stair that climbs 3 in 4 (`tests.slopes`), by hand.

A tread has 265 from its nosing back to the face of the riser board behind it, and 285 to that board's back.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.design.stringer import build_stringer
from cutpath.design.throat import InsideCorner
from cutpath.faults import ImpossiblePiece, lengths_shown
from cutpath.job.form_values import Bracket, Housing, Plate
from cutpath.job.piece_values import LumberSize, RailSpec, RiserBoardSpec, TreadSpec
from cutpath.job.sizes import nominal_sizes
from cutpath.job.values import Extras, Job, Pad, SillNotch
from cutpath.outline import Arc, Chain
from cutpath.pieces.across import boards_at, overall, span_of, stringers_at, thickness_of
from cutpath.pieces.checks import WIDEST_GAP, infill_checks, rail_checks, tread_checks
from cutpath.pieces.faces import Behind, behind_treads
from cutpath.pieces.gather import pieces_of
from cutpath.pieces.rest import concrete_of, hangers_of, sill_plate_of
from cutpath.pieces.riser_boards import lay_riser_boards, riser_pieces
from cutpath.pieces.treads import BEARING_LEAST, Standing, _fewest, _meets, lay_treads, tread_pieces
from cutpath.pieces.values import Pieces, Rail, RailPost, Remark, StairPiece, TreadPlace, TreadsLaid
from cutpath.rules.built import Ground
from cutpath.rules.values import Check, Limit, RuleSet
from tests.slopes import FREE, JOB, STAIR, lumber
from tests.stairs import mm, spec

BUILT = STAIR.meant()
TREADS = TreadSpec(
    boards=None,
    size=LumberSize(None, 40.0, 130.0),
    gap=5.0,
    back_gap_most=10.0,
    side_overhang=0.0,
    span_most=None,
    span_source=None,
    post_play=3.0,
)
RISERS = RiserBoardSpec(LumberSize(None, 20.0, 200.0), 0.0, "behind", None)
PLATE = spec(form="plate", plate=Plate("straight", Bracket(9.0, 0.0, 0, (0.0, 0.0), 0.0, 0.0)))


def plain(length: float) -> str:
    return f"{length:g}"


def boards(wide: float, **more: Any) -> TreadSpec:
    return replace(TREADS, size=LumberSize(None, 40.0, float(wide)), **more)


def laid(treads: TreadSpec = TREADS, job: Job = JOB, **more: Any) -> TreadsLaid:
    stair = more.get("stair", STAIR)
    return lay_treads(job, treads, stair, stair.meant(), more.get("posts", ()), more.get("corners", ()))


def told(piece: StairPiece) -> list[str]:
    return [note.text(plain) for note in piece.notes]


def points(chain: Chain | None) -> list[tuple[float, float]]:
    assert chain is not None and chain.closed
    return [(pytest.approx(x, abs=1e-9), pytest.approx(y, abs=1e-9)) for x, y in chain.points]


# Across the stair.


def test_stringers_and_boards_across() -> None:
    """Three stringers 40 thick: over 1000 where treads lie on them, over 1080 where these run between them."""
    assert (thickness_of(JOB), overall(JOB)) == (40, 1000)
    assert stringers_at(JOB) == ((0, 40), (480, 520), (960, 1000))
    assert boards_at(JOB) == ((0, 1000),) and boards_at(JOB, 15.0) == ((-15, 1015),) and span_of(JOB) == 480
    thinner = replace(JOB, stock=(*JOB.stock, replace(JOB.stock[0], thickness=39.6)))
    assert thickness_of(thinner) == 39.6
    single = replace(JOB, stringer=spec(count=1))
    assert span_of(single) is None and boards_at(single) == ((0, 1000),)
    housed = replace(JOB, stringer=spec(form="housed", count=2, housing=Housing(12.0, 1.0, 4.0)))
    assert overall(housed) == 1080 and stringers_at(housed) == ((0, 40), (1040, 1080))
    # The housings' bottoms are 28 and 1052 across, and half the play off each.
    assert boards_at(housed) == ((30, 1050),) and span_of(housed) == 1000
    plates = replace(JOB, stringer=PLATE)
    assert overall(plates) == 1000 and boards_at(plates) == ((40, 480), (520, 960)) and span_of(plates) == 440
    alone = replace(JOB, stringer=replace(PLATE, count=1))
    assert span_of(alone) is None
    with pytest.raises(ImpossiblePiece) as caught:
        boards_at(alone)
    assert caught.value.key == "treads" and "single straight plate" in str(caught.value)


def test_what_is_behind_each_tread() -> None:
    """Faces 25 behind the nosings above, backs 20 more; at the floor's level the header's face."""
    assert behind_treads(STAIR, BUILT) == tuple(Behind(20 + 240 * k, 240 * k) for k in range(4))
    # A floor that overhangs by 70 has its board 45 out; by 30 it lies on the header.
    for overhang, face in ((70.0, 45), (30.0, 20)):
        stair = replace(STAIR, floor_overhang=overhang)
        assert behind_treads(stair, stair.meant())[0] == Behind(face, face - 20)
    floor = replace(STAIR, top_tread="at-floor")
    assert behind_treads(floor, floor.meant()) == (
        Behind(0, 0),
        *(Behind(260 + 240 * k, 240 + 240 * k) for k in range(4)),
    )


# Treads.


def test_two_boards_fill_a_tread() -> None:
    """265 are twice 130 and a gap of 5. Seats are 240 long from riser cut to riser cut, 45 behind the nosings."""
    found = laid()
    assert [place.number for place in found.places] == [1, 2, 3, 4]
    for n, place in enumerate(found.places, start=1):
        assert place.nosing == (45 + 240 * n, -180 * n) and place.room == 265 and place.widths == (130, 130)
        assert place.open == 0 and place.bearing == (85, 130) and place.ripped == 130 and not place.posts
    assert (found.boards, found.gap, found.depth, found.length) == (2, 5, 265, 1000)
    assert (found.across, found.span, found.between_faces) == (((0, 1000),), 480, False)
    three = laid(boards(100, boards=3))
    assert three.places[1].widths == (100, 100, 55) and three.places[1].open == 0 and three.depth == 310
    # From 525 back: 425, 420 to 320, 315 to 260; the seat lies from 240 to 480.
    assert three.places[1].bearing == (55, 100, 55)
    two = laid(boards(100, boards=2))
    assert two.places[1].widths == (100, 100) and two.places[1].open == 60 and two.depth == 205
    housed = replace(JOB, stringer=spec(form="housed", count=2, housing=Housing(12.0)))
    assert laid(job=housed).places[0].bearing == () and laid(job=housed).between_faces


def test_a_gap_at_the_header_and_reliefs_bear_nothing() -> None:
    """The top tread's seat starts where the stringer does; another's past its relief's mouth."""
    gap = replace(JOB, stringer=spec(gap=50.0))
    assert [place.bearing for place in laid(job=gap).places] == [(85, 100), *[(85, 130)] * 3]
    corners = (
        InsideCorner(2, (100.0, 100.0), Arc((95.0, 100.0), 35.0, 0.0, 1.0)),
        InsideCorner(3, (500.0, 100.0), None),
        InsideCorner(None, (900.0, 100.0), Arc((800.0, 100.0), 50.0, 0.0, 1.0)),
    )
    # Of tread 2 the seat lies from 270 on, and its rear board from 260 to 390.
    assert [place.bearing for place in laid(corners=corners).places] == [(85, 130), (85, 120), (85, 130), (85, 130)]
    assert laid(boards(40, boards=1)).places[0].bearing == (0,)
    # Without riser boards the rear board ends where its seat begins: 260 to 390 on one from 260 to 500.
    square = (InsideCorner(2, (100.0, 100.0), None),)
    assert laid(stair=replace(STAIR, riser_board=0.0), corners=square).places[1].bearing == (105, 130)


@pytest.mark.parametrize(
    ("wide", "count"),
    [
        *((300, 1), (255, 1), (254.9, 1), (222, 1), (221.9, 2), (125, 2)),
        # Of 222 one leaves 43 open, and a second were a strip of 38. Of 124.9 two leave 10.2 open, and a third
        # were a strip of 5.2; of 108.45 it is 38.1 wide, of 108.5 but 38.
        *((124.9, 2), (108.5, 2), (108.45, 3), (38.4, 6)),
    ],
)
def test_as_few_boards_as_leave_no_more_than_10_open(wide: float, count: int) -> None:
    assert _fewest(boards(wide), 265.0) == laid(boards(wide)).boards == count


def test_six_boards_at_most_and_one_at_least() -> None:
    """Six of 38.3 and five gaps of 5 are 254.8: 10.2 short."""
    assert _fewest(boards(130), 30.0) == 1
    # Where 60 may be open one of 205 is enough, though a second were 55 wide.
    assert [_fewest(boards(wide, back_gap_most=60.0), 265.0) for wide in (210, 205, 204.9)] == [1, 1, 2]
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(plain):
        _fewest(boards(38.3), 265.0)
    assert caught.value.key == "treads.size" and "6 boards 38.3 wide do not fill a tread 265 deep" in str(caught.value)


def test_the_deepest_tread_asks_for_the_boards() -> None:
    """At the floor's level the top tread goes back to the header, 285: a third board, 15 wide, would be a strip."""
    floor = laid(boards(130, back_gap_most=20.0), stair=replace(STAIR, top_tread="at-floor"))
    assert [place.room for place in floor.places] == [285, 265, 265, 265, 265]
    assert [place.open for place in floor.places] == [20, 0, 0, 0, 0] and floor.boards == 2
    # Of 115 a third is 45 wide on the top tread, and fills 25 on the others.
    three = laid(boards(115), stair=replace(STAIR, top_tread="at-floor"))
    assert [place.ripped for place in three.places[:2]] == [45, 25]
    one = laid(boards(275), stair=replace(STAIR, top_tread="at-floor"))
    assert [place.widths for place in one.places[:2]] == [(275,), (265,)] and one.places[0].open == 10


def test_a_last_board_without_room_is_refused() -> None:
    """Two of 130 and two gaps of 2.5 are all of 265; of 2.4 they leave 0.2."""
    assert laid(boards(130, boards=3, gap=2.4)).places[0].ripped == pytest.approx(0.2)
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(plain):
        laid(boards(130, boards=3, gap=2.5))
    assert caught.value.key == "treads.boards"
    assert "3 boards 130 wide and 2.5 apart leave no room for the last of them on tread 1, 265 deep" in str(
        caught.value
    )


def test_treads_go_back_under_riser_boards_that_stand_on_them() -> None:
    standing = replace(JOB, riser_boards=replace(RISERS, foot="standing"))
    assert [place.room for place in laid(job=standing).places] == [285] * 4
    assert [place.room for place in laid(job=replace(JOB, riser_boards=RISERS)).places] == [265] * 4


@pytest.mark.parametrize(
    ("x", "y", "z", "through"),
    [
        *(((300, 400), (-900, 0), (0, 90), True), ((525, 600), (-900, 0), (0, 90), False)),
        *(((524, 600), (-900, 0), (0, 90), True), ((200, 260), (-900, 0), (0, 90), False)),
        *(((200, 261), (-900, 0), (0, 90), True), ((300, 400), (-360, 0), (0, 90), False)),
        *(((300, 400), (-361, 0), (0, 90), True), ((300, 400), (-900, -400), (0, 90), False)),
        *(((300, 400), (-900, -399), (0, 90), True), ((300, 400), (-900, 0), (-90, 0), False)),
        *(((300, 400), (-900, 0), (480, 520), False), ((300, 400), (-900, 0), (479, 520), True)),
        *(((300, 400), (-900, 0), (960, 1050), False), ((300, 400), (-900, 0), (959, 1050), True)),
    ],
)  # fmt: skip
def test_a_post_stands_through_a_tread(x: Any, y: Any, z: Any, through: bool) -> None:
    """A tread from 260 to 525, from 400 to 360 down, in bays from 0 to 480 and from 520 to 960."""
    bays = ((0.0, 480.0), (520.0, 960.0))
    assert _meets(Standing(x, y, z), 525.0, -360.0, 265.0, 40.0, bays) is through
    plates = replace(JOB, stringer=replace(PLATE, count=3))
    if not z[0] < 40:
        assert [place.posts for place in laid(job=plates, posts=(Standing(x, y, z),)).places][1] is through


# Boards that posts stand through. The front board of tread 2 lies from 395 to 525, its underside 400 down.


def cut(x: tuple[float, float], z: tuple[float, float], *more: Standing, bay: float = 0.0) -> StairPiece:
    """The front board of tread 2, 130 by 1000, round a post."""
    posts = (Standing(x, (-450.0, 500.0), z), *more)
    treads = replace(TREADS, side_overhang=bay)
    found = tread_pieces(laid(treads, posts=posts), treads, STAIR, posts)
    (notched,) = (piece for piece in found if piece.shape is not None)
    assert notched.name == "tread board, notched" and notched.where == "tread 2, front board"
    assert notched.count == 1 and notched.ripped is None and notched.section == (40, 130)
    assert sum(piece.count for piece in found) == 8
    return notched


def test_boards_without_posts_are_one_piece() -> None:
    (piece,) = tread_pieces(laid(), TREADS, STAIR, ())
    assert (piece.name, piece.count, piece.where) == ("tread board", 8, "treads 1 to 4, every board")
    assert (piece.length, piece.section, piece.stock) == (1000, (40, 130), TREADS.size)
    assert piece.ripped is None and piece.shape is None and not piece.notes
    first, second = piece.stands[:2]
    assert points(first.elevation) == [(155, -220), (285, -220), (285, -180), (155, -180)]
    assert points(second.elevation) == [(20, -220), (150, -220), (150, -180), (20, -180)]
    assert first.across == (0, 1000) and first.plan is None
    single = tread_pieces(laid(boards(265)), boards(265), STAIR, ())
    assert [(each.where, each.count, each.notes) for each in single] == [("treads 1 to 4", 4, ())]


def test_rear_boards_are_ripped_at_the_back() -> None:
    treads = boards(100, boards=3)
    whole, ripped = tread_pieces(laid(treads), treads, STAIR, ())
    assert (whole.name, whole.count, whole.ripped, told(whole)) == ("tread board", 8, None, [])
    assert whole.where == "treads 1 to 4, front board; treads 1 to 4, board 2"
    assert (ripped.name, ripped.count, ripped.ripped, ripped.section) == ("tread board, ripped", 4, 55, (40, 55))
    assert ripped.where == "treads 1 to 4, rear board" and told(ripped) == ["45 ripped off its back edge"]
    plates = replace(JOB, stringer=PLATE)
    (bays,) = tread_pieces(laid(job=plates), TREADS, STAIR, ())
    assert (bays.count, bays.length, bays.where) == (16, 440, "treads 1 to 4, every board")
    assert [stand.across for stand in bays.stands[:2]] == [(40, 480), (520, 960)]


def test_a_notch_is_cut_in_from_the_nearer_edge() -> None:
    """With 3 of play a post from 430 to 480 takes 42 to 98 from the front edge: 32 are left behind it."""
    piece = cut((430.0, 480.0), (200.0, 290.0))
    assert points(piece.shape) == [
        *((0, 0), (1000, 0), (1000, 130), (293, 130), (293, 42), (197, 42), (197, 130), (0, 130))
    ]  # fmt: skip
    assert told(piece) == ["the strip of 32 beside the post goes with the notch"]
    assert points(piece.stands[0].plan) == [
        *((525, 0), (525, 1000), (395, 1000), (395, 293), (483, 293), (483, 197), (395, 197), (395, 0))
    ]  # fmt: skip
    front = cut((450.0, 500.0), (200.0, 290.0))
    assert points(front.shape) == [
        *((0, 0), (197, 0), (197, 78), (293, 78), (293, 0), (1000, 0), (1000, 130), (0, 130))
    ]  # fmt: skip
    assert told(front) == ["the strip of 22 beside the post goes with the notch"]
    # As near to either, from the back.
    assert (293, 130) in points(cut((435.0, 485.0), (200.0, 290.0)).shape)
    # Open towards an edge already, a notch stays as it is.
    back = cut((396.0, 480.0), (200.0, 290.0))
    assert (197, 42) in points(back.shape) and not told(back)
    # One that stands out in front leaves 32 behind it.
    out = cut((430.0, 540.0), (200.0, 290.0))
    assert points(out.shape)[2:4] == [(197, 98), (293, 98)] and not told(out)


def test_a_notch_of_half_a_millimetre_is_one() -> None:
    posts = (Standing((430.0, 480.0), (-450.0, 500.0), (-90.0, 0.5)),)
    tight = replace(TREADS, post_play=0.0)
    notched = next(piece for piece in tread_pieces(laid(tight, posts=posts), tight, STAIR, posts) if piece.shape)
    assert shape_of(notched) == (0, 45, 0.5, 95)


def test_a_bridge_that_is_left_beside_a_post_is_told() -> None:
    """20 in front of the post and 22 behind it: the front strip goes, and 22 are all that stays."""
    piece = cut((420.0, 502.0), (200.0, 290.0))
    assert told(piece) == [
        "the strip of 20 beside the post goes with the notch", "no more than 22 of the board stays beside the post"
    ]  # fmt: skip
    assert points(piece.shape)[2] == (197, 108)
    # 25.5 are no bridge.
    assert told(cut((423.5, 502.0), (200.0, 290.0))) == ["the strip of 20 beside the post goes with the notch"]


@pytest.mark.parametrize(
    ("z", "span", "strips"),
    [
        # At the left end, a finger of 17 there, and 26 that stay.
        *(((-90, 60), (0, 63), []), ((20, 110), (0, 113), [17]), ((29, 110), (26, 113), None)),
        *(((900, 1090), (897, 1000), []), ((890, 980), (887, 1000), [17]), ((890, 971), (887, 974), None)),
    ],
)  # fmt: skip
def test_notches_at_a_board_s_ends(
    z: tuple[float, float], span: tuple[float, float], strips: list[float] | None
) -> None:
    """From 42 to 98 from the front edge; where an inch stays at the end, the notch is cut in from the back."""
    piece = cut((430.0, 480.0), z)
    assert piece.shape is not None
    gone = shape_of(piece)
    if strips is None:
        assert gone == (span[0], 42, span[1], 130)
        assert told(piece) == ["the strip of 32 beside the post goes with the notch"]
        return
    if strips:
        # Before the finger goes, the notch is cut in from the back as any inside the board.
        assert gone == (span[0], 42, span[1], 130)
        assert told(piece) == [f"the strip of {each} beside the post goes with the notch" for each in (32, *strips)]
    else:
        assert gone == (span[0], 42, span[1], 98) and not piece.notes


def shape_of(piece: StairPiece) -> tuple[float, ...]:
    """The box that was cut out of a board 1000 by 130."""
    import shapely

    assert piece.shape is not None
    gone = shapely.box(0, 0, 1000, 130).difference(piece.shape.polygon())
    assert gone.geom_type == "Polygon" and gone.area == pytest.approx(gone.envelope.area)
    return tuple(round(float(v), 6) for v in gone.bounds)


def test_fingers_beside_a_notch_in_an_end_go_with_it() -> None:
    """In front 20 or 26, behind it 20 or 26."""
    end = (-90.0, 60.0)
    assert shape_of(cut((430.0, 502.0), end)) == (0, 0, 63, 98)
    assert told(cut((430.0, 502.0), end)) == ["the strip of 20 beside the post goes with the notch"]
    assert shape_of(cut((430.0, 496.0), end)) == (0, 26, 63, 98) and not cut((430.0, 496.0), end).notes
    assert shape_of(cut((418.0, 480.0), end)) == (0, 42, 63, 130)
    assert told(cut((418.0, 480.0), end)) == ["the strip of 20 beside the post goes with the notch"]
    assert shape_of(cut((424.0, 480.0), end)) == (0, 42, 63, 104)
    right = (940.0, 1030.0)
    assert shape_of(cut((430.0, 502.0), right)) == (937, 0, 1000, 98)
    # Beside a post across all of its width a board is merely shorter; what is left there is no bridge.
    assert shape_of(cut((396.0, 524.0), end)) == (0, 0, 63, 130) and not cut((396.0, 524.0), end).notes


@pytest.mark.parametrize("hair", [1e-10, 0.0, -1e-10])
def test_a_notch_that_reaches_an_edge_to_a_hair_is_open_there(hair: float) -> None:
    """With its play of 3 a post reaches to the front edge, the back edge, the left end or the right one."""
    inside = (200.0, 290.0)
    assert shape_of(cut((430.0, 522.0 - hair), inside)) == (197, 0, 293, 98)
    assert shape_of(cut((398.0 + hair, 480.0), inside)) == (197, 42, 293, 130)
    assert shape_of(cut((430.0, 480.0), (3.0 + hair, 60.0))) == (0, 42, 63, 98)
    assert shape_of(cut((430.0, 480.0), (940.0, 997.0 - hair))) == (937, 42, 1000, 98)


def test_posts_on_both_sides_notch_both_ends() -> None:
    other = Standing((430.0, 480.0), (-450.0, 500.0), (940.0, 1030.0))
    piece = cut((430.0, 480.0), (-90.0, 60.0), other)
    assert points(piece.shape) == [
        *((0, 0), (1000, 0), (1000, 42), (937, 42), (937, 98), (1000, 98), (1000, 130), (0, 130)),
        *((0, 98), (63, 98), (63, 42), (0, 42)),
    ]
    over = cut((430.0, 480.0), (-90.0, 0.0), bay=20.0)
    # 20 over on either side: the board is 1040, its left end at -20.
    assert points(over.shape)[:2] == [(0, 0), (1040, 0)] and (23, 98) in points(over.shape)
    assert points(over.stands[0].plan)[0] == (525, -20)


def test_a_post_that_cuts_a_board_in_two_is_refused() -> None:
    posts = (Standing((390.0, 530.0), (-450.0, 500.0), (200.0, 290.0)),)
    with pytest.raises(ImpossiblePiece) as caught:
        tread_pieces(laid(posts=posts), TREADS, STAIR, posts)
    assert caught.value.key == "rail.place" and "cut a board of tread 2 in two" in str(caught.value)
    # As wide as the whole stair it leaves nothing.
    posts = (Standing((390.0, 530.0), (-450.0, 500.0), (-5.0, 1005.0)),)
    with pytest.raises(ImpossiblePiece, match="of tread 2 in two"):
        tread_pieces(laid(posts=posts), TREADS, STAIR, posts)


def test_notched_boards_alike_are_one_piece() -> None:
    posts = tuple(Standing((190.0 + 240 * k, 240.0 + 240 * k), (-900.0, 500.0), (-90.0, 60.0)) for k in (0, 2))
    plain_, notched = sorted(
        tread_pieces(laid(posts=posts), TREADS, STAIR, posts), key=lambda each: each.shape is not None
    )
    assert (notched.count, notched.where) == (2, "treads 1 and 3, front board")
    assert plain_.where == "treads 1 to 4, rear board; treads 2 and 4, front board"


# Riser boards.


def risers(stair: Any = STAIR, **more: Any) -> list[tuple[float, ...]]:
    """Number, height, lower edge and face of each."""
    found = lay_riser_boards(replace(RISERS, **more), stair, stair.meant())
    return [(each.riser, each.height, each.bottom, each.face) for each in found]


def test_riser_boards_reach_from_seat_to_seat() -> None:
    """A rise of 180 each, the lowest from the landing, a tread's thickness higher; faces 25 behind their nosings."""
    behind = [(n, 180, -40 - 180 * n, 20 + 240 * (n - 1)) for n in range(1, 5)]
    assert risers() == [*behind, (5, 140, -900, 980)]
    assert risers(gap=4.0) == [*((n, high - 4, low + 4, x) for n, high, low, x in behind), (5, 136, -896, 980)]
    standing = [(n, 140, -180 * n, 20 + 240 * (n - 1)) for n in range(1, 6)]
    assert risers(foot="standing") == standing
    # Under a floor 30 thick the uppermost reaches 10 higher.
    assert risers(floor_thickness=30.0)[:2] == [(1, 190, -220, 20), behind[1]]
    floor = replace(STAIR, top_tread="at-floor")
    assert risers(floor) == [*((n, 180, -40 - 180 * n, 260 + 240 * (n - 1)) for n in range(1, 5)), (5, 140, -900, 1220)]
    assert risers(floor, floor_thickness=30.0) == risers(floor)


def test_riser_boards_that_do_not_fit_are_refused() -> None:
    wide = LumberSize(None, 20.0, 180.0)
    assert risers(size=wide)[0][1] == 180
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(plain):
        risers(size=LumberSize(None, 20.0, 179.0))
    assert caught.value.key == "riser_boards.size" and '"standing"' in caught.value.way_out
    assert "riser board 1 is 180 high and the board it is ripped from 179 wide" in str(caught.value)
    assert risers(size=LumberSize(None, 20.0, 140.0), foot="standing")[0][1] == 140
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(plain):
        risers(size=LumberSize(None, 20.0, 139.0), foot="standing")
    assert '"standing"' not in caught.value.way_out
    assert risers(gap=139.5)[4][1] == 0.5
    with pytest.raises(ImpossiblePiece) as caught, lengths_shown(plain):
        risers(gap=140.0)
    assert caught.value.key == "riser_boards.gap" and "riser board 5 has no height: 140 lie" in str(caught.value)
    with pytest.raises(ImpossiblePiece, match="riser board 1 has no height") as caught, lengths_shown(plain):
        risers(floor_thickness=220.0)
    assert "has no height: 0 lie" in str(caught.value)


def riser_list(job: Job = JOB, **more: Any) -> tuple[StairPiece, ...]:
    asked = replace(RISERS, **more)
    return riser_pieces(job, asked, lay_riser_boards(asked, STAIR, BUILT))


def test_riser_boards_of_one_height_are_one_piece() -> None:
    most, lowest = riser_list()
    assert (most.name, most.count, most.where) == ("riser board", 4, "risers 1 to 4")
    assert (lowest.name, lowest.count, lowest.where) == ("riser board, lowest", 1, "riser 5")
    assert (most.section, most.ripped, most.length, most.stock) == ((20, 180), 180, 1000, RISERS.size)
    assert points(most.stands[1].elevation) == [(240, -400), (260, -400), (260, -220), (240, -220)]
    assert most.stands[0].across == (0, 1000)
    assert told(lowest) == [
        "up to the underside of its tread, down to the landing, where no tread lies, "
        "a tread's thickness of 40 less than behind a tread"
    ]
    assert told(most) == [
        "riser 1: up to the underside of the floor, 40 thick, "
        "down behind the tread below to its seat, 40 under that tread's top",
        "risers 2 to 4: up to the underside of its tread, "
        "down behind the tread below to its seat, 40 under that tread's top",
    ]
    upper, middle, lower = riser_list(floor_thickness=30.0, gap=2.0)
    assert (upper.name, middle.name, lower.name) == ("riser board, uppermost", "riser board", "riser board, lowest")
    assert told(upper)[0].startswith("up to the underside of the floor, 30 thick") and len(told(upper)) == 1
    assert all(told(each)[0].endswith("2 open at the lower edge") for each in (upper, middle, lower))
    (all_,) = riser_list(size=LumberSize(None, 20.0, 140.0), foot="standing")
    assert all_.ripped is None and all_.count == 5 and "down to the top of the tread below" in told(all_)[0]
    assert told(all_)[-1] == "riser 5: up to the underside of its tread, down to the landing, where no tread lies"
    bays = riser_list(replace(JOB, stringer=PLATE))[0]
    assert (bays.count, bays.length) == (8, 440)
    assert [stand.across for stand in bays.stands[:2]] == [(40, 480), (520, 960)]


def test_a_single_riser_board_is_plainly_called() -> None:
    stair = replace(STAIR, risers=1, top_tread="at-floor")
    (board,) = lay_riser_boards(RISERS, stair, stair.meant())
    (piece,) = riser_pieces(JOB, RISERS, (board,))
    assert (piece.name, board.height) == ("riser board", 140)
    three = replace(STAIR, risers=3)
    two, lowest = riser_pieces(JOB, RISERS, lay_riser_boards(RISERS, three, three.meant()))
    assert (two.name, two.count, lowest.name) == ("riser board", 2, "riser board, lowest")


# What goes with the stringers.


def test_hangers_hold_the_plumb_cut() -> None:
    """The plumb cut reaches from the top seat, 220 down, to the lower edge, 415 down."""
    stringer = build_stringer(STAIR, spec(), 300.0, mm)
    found = hangers_of(JOB, STAIR, stringer)
    assert (found.count, found.seat, found.height) == (3, 40, pytest.approx(195))
    assert found.slope == pytest.approx(math.degrees(math.atan(0.75)))


def test_concrete_is_the_pads() -> None:
    stringer = build_stringer(STAIR, spec(), 300.0, mm)
    assert concrete_of(JOB, FREE, STAIR, stringer) is None
    ground = replace(JOB, site=replace(JOB.site, total_rise=None, profile=((0.0, 900.0), (3000.0, 900.0))))
    pad = replace(ground, pad=Pad(1000.0, 1200.0, 100.0, 1.5e7, "bag"))
    found = concrete_of(pad, FREE, STAIR, stringer)
    assert found is not None and found.bag_yield == 1.5e7 and found.bag_source == "bag"
    # From where the board's lower edge meets the landing, 485 / 0.75 out, to 1000 in front of the riser cut at 960.
    assert found.volume == pytest.approx((1960 - 485 / 0.75) * 1200 * 100) and found.bags == 11


def plate(deep: float, high: float, **more: Any) -> tuple[StairPiece | None, tuple[Remark, ...]]:
    job = replace(JOB, stringer=spec(SillNotch(deep, high)), **more)
    return sill_plate_of(job, build_stringer(STAIR, job.stringer, 300.0, mm))


def test_the_sill_plate_lies_under_its_notch() -> None:
    """The lowest riser cut is at 960: a notch 80 deep reaches from 880, and 40 up from the landing."""
    assert sill_plate_of(JOB, build_stringer(STAIR, spec(), 300.0, mm)) == (None, ())
    own = (lumber((40, 100), 3000.0), lumber((40, 90), 3000.0), lumber((40, 79), 3000.0), lumber((41, 80), 3000.0))
    found, said = plate(80.0, 40.0, lumber=own)
    assert found is not None and not said
    assert (found.stock.thickness, found.stock.width, found.ripped) == (40, 90, 80)
    assert (found.section, found.length, found.count) == ((40, 80), 1000, 1)
    assert points(found.stands[0].elevation) == [(880, -900), (960, -900), (960, -860), (880, -860)]
    assert found.stands[0].across == (0, 1000)
    whole, _ = plate(79.0, 40.0, lumber=own)
    assert whole is not None and whole.stock.width == 79 and whole.ripped is None
    none, remarks = plate(80.0, 40.0, extras=Extras(sill_plate=1))
    assert none is None and "stringers' boards" in remarks[0].words


def test_a_sill_plate_is_ripped_from_what_there_is() -> None:
    """A nominal 2x4 is 1 1/2 by 3 1/2 in, 38.1 by 88.9, a 2x6 139.7 wide (PS 20, dry)."""
    for deep, high, name in ((80.0, 38.1, "2x4"), (88.9, 38.0, "2x4"), (89.0, 38.5, "2x6"), (80.0, 37.7, "2x4")):
        found, _ = plate(deep, high)
        assert found is not None and found.stock.name == name
        assert found.ripped == (None if deep == 88.9 else deep)
    # Half a millimetre off is another thickness.
    odd, _ = plate(80.0, 43.0)
    assert odd is not None and odd.stock == LumberSize(None, 43.0, 80.0) and odd.ripped is None
    off, _ = plate(80.0, 40.0, lumber=(lumber((40.5, 100), 3000.0),))
    assert off is not None and off.stock == LumberSize(None, 40.0, 80.0)
    # Lumber of its own that has a nominal size's sides goes by its name.
    size = nominal_sizes()["2x6"]
    named, _ = plate(80.0, 38.1, lumber=(lumber((float(size.thickness), float(size.width)), 3000.0),))
    assert named is not None and named.stock.name == "2x6"


# Checks.


def place(number: int = 1, room: float = 265.0, widths: tuple[float, ...] = (130.0, 130.0), open_: float = 0.0,
          bearing: tuple[float, ...] = (85.0, 130.0)) -> TreadPlace:  # fmt: skip
    return TreadPlace(number, (0.0, 0.0), room, widths, open_, bearing, False)


def lying(*places: TreadPlace, **more: Any) -> TreadsLaid:
    made = TreadsLaid(places, 2, 5.0, 265.0, 1000.0, ((0.0, 1000.0),), 480.0, False)
    return replace(made, **more)


def checked(treads: TreadsLaid, asked: TreadSpec = TREADS) -> dict[str, Check]:
    return {check.id: check for check in tread_checks(treads, asked, plain)}


def test_what_stays_open_is_held_against_the_most() -> None:
    """Of all treads the most counts; what would leave less is boards further apart, or one more."""
    gap = checked(lying(place(1), place(2, room=285.0, open_=20.0)))["tread-gap"]
    assert (gap.ok, gap.required, gap.value, gap.most, gap.least) == (False, False, 20, 10, None)
    assert gap.note == "open behind the boards; 2 boards 130 wide, 265 deep with gaps; a tread has 265 or 285"
    # Two of 130 leave 25 of 285, and 10 may be open: a gap of 15 is wider than half an inch. A third were 15 wide.
    assert gap.mend == "treads.size at least 135 wide"
    fine = checked(lying(place(1, room=275.0, open_=10.0)))["tread-gap"]
    assert fine.ok and fine.mend == ""
    wider = checked(lying(place(1), place(2, room=282.7, open_=17.7)))["tread-gap"]
    assert wider.mend == "treads.gap at least 12.7, or treads.size at least 133.85 wide" and WIDEST_GAP == 12.7
    deep = checked(lying(place(1, room=308.1, open_=43.1), place(2)))["tread-gap"]
    assert deep.mend == "treads.boards 3, or treads.size at least 146.55 wide" and BEARING_LEAST == 38.1
    assert checked(lying(place(1, room=308.0, open_=43.0)))["tread-gap"].mend == "treads.size at least 146.5 wide"
    three = lying(place(1, room=422.0, widths=(130.0,) * 3, open_=22.0), boards=3, depth=400.0)
    # Three of 130 leave 32 of 422, less 10 over two gaps: 11 each.
    assert checked(three)["tread-gap"].mend == "treads.gap at least 11, or treads.size at least 134 wide"
    one = checked(lying(place(1, room=150.0, widths=(130.0,), open_=20.0), boards=1, depth=130.0))["tread-gap"]
    assert one.note == "open behind the boards; 1 board 130 wide; a tread has 150"
    assert one.mend == "treads.size at least 140 wide"
    both = checked(lying(place(1, room=160.0, widths=(100.0,), open_=60.0), boards=1, depth=100.0), boards(100))
    assert both["tread-gap"].mend == "treads.boards 2, or treads.size at least 150 wide"


def test_ripped_boards_are_told_with_their_treads() -> None:
    treads = lying(
        place(1, widths=(130.0, 100.0)), place(2), place(3, widths=(130.0, 100.0)), place(4, widths=(130.0, 90.0))
    )
    assert checked(treads)["tread-gap"].note.endswith(
        "a tread has 265; rear board of treads 1 and 3 ripped to 100; rear board of tread 4 ripped to 90"
    )


def test_the_least_that_a_board_bears_is_held_against_an_inch_and_a_half() -> None:
    bearing = checked(lying(place(1), place(2, bearing=(38.0, 130.0)), place(3, bearing=(85.0, 60.0))))["tread-bearing"]
    assert (bearing.ok, bearing.required, bearing.value, bearing.least) == (False, False, 38, 38.1) and bearing.mend
    assert "at tread 2" in bearing.note
    even = checked(lying(place(1, bearing=(38.1, 130.0))))["tread-bearing"]
    assert even.ok and even.mend == ""
    # Without teeth nothing lies on a seat.
    assert "tread-bearing" not in checked(lying(place(1, bearing=()), place(2, bearing=())))


def test_a_span_is_held_against_the_users_own() -> None:
    own = replace(TREADS, span_most=480.0, span_source="sheet 3")
    span = checked(lying(place()), own)["tread-span"]
    assert (span.ok, span.required, span.value, span.most, span.source, span.mend) == (
        True,
        True,
        480,
        480,
        "sheet 3",
        "",
    )
    assert "from middle to middle" in span.note
    over = checked(lying(place(), between_faces=True), replace(own, span_most=479.0))["tread-span"]
    assert not over.ok and "greater stringer.count" in over.mend and "from face to face" in over.note
    assert "tread-span" not in checked(lying(place())) and "tread-span" not in checked(lying(place(), span=None), own)


def railing(top: float = 0.0, foot: float = 0.0, treads: tuple[int, ...] = ()) -> Rail:
    line = ((0.0, 0.0), (1.0, 0.0))
    posts = tuple(RailPost(n, 0.0, 1.0, 0.0, 1.0, 1.0) for n in treads)
    return Rail(
        ("left",), line, 900.0, "", line, line, line, line, posts, (), 1.0, 1.0, "", 1.0, True, ((0.0, 1.0),),
        top, foot, (), (0.0,),
    )  # fmt: skip


def reach(top: float, foot: float, country: str = "") -> Check:
    (check,) = rail_checks(railing(top, foot), country, plain)
    return check


def test_treads_outside_the_posts_that_need_a_guard_are_told() -> None:
    """Posts at treads 3, 5 and 7: no balusters stand beside 2 and 8."""
    rail = railing(treads=(3, 5, 7))
    assert infill_checks(rail, [], "c") == infill_checks(rail, [3, 4, 5, 6, 7], "c") == ()
    (one,) = infill_checks(rail, [2, 3, 4], "clause 5")
    assert (one.ok, one.required, one.value, one.most, one.source) == (False, False, 1, 0, "clause 5")
    assert one.note == "tread 2 needs a guard and no balusters stand there" and one.mend == "rail.posts from 2 to 7"
    (more,) = infill_checks(rail, [1, 2, 3, 7, 8], "c")
    assert more.value == 3 and more.note == "treads 1, 2 and 8 need a guard and no balusters stand there"
    assert more.mend == "rail.posts from 1 to 8"
    (low,) = infill_checks(rail, [7, 8, 9], "c")
    assert low.value == 2 and low.mend == "rail.posts from 3 to 9"


def test_a_rail_reaches_over_the_outermost_nosings() -> None:
    fine = reach(0.0, 0.0)
    assert fine.ok and not fine.mend and fine.note == "reaches over the nosings of the uppermost riser and the lowest"
    assert (fine.value, fine.least, fine.most, fine.required) == (0, None, 0, False)
    top, foot, both = reach(0.5, 0.0), reach(0.0, 0.25), reach(0.5, 0.75)
    assert not (top.ok or foot.ok or both.ok) and top.mend and foot.mend
    assert (top.value, foot.value, both.value) == (0.5, 0.25, 0.75)
    assert top.note == "ends 0.5 short of the uppermost riser's nosing"
    assert foot.note == "ends 0.25 short of the lowest riser's nosing"
    assert both.note == f"{top.note}; ends 0.75 short of the lowest riser's nosing"
    assert ["IRC" in reach(0.0, 0.0, country).source for country in ("", "US", "CA")] == [True, True, False]


# All of it.

RAIL = RailSpec(
    "both", None, LumberSize(None, 90.0, 100.0), "inside", None, None, 1000.0, LumberSize(None, 40.0, 80.0), None,
    "plumb", LumberSize(None, 32.0, 60.0), 60.0, LumberSize(None, 24.0, 20.0), 100.0,
)  # fmt: skip


def gathered(rules: RuleSet = FREE, **more: Any) -> Pieces | None:
    job = replace(JOB, **more)
    return pieces_of(job, rules, STAIR, build_stringer(STAIR, job.stringer, 300.0, mm), BUILT, (), plain)


def test_what_is_asked_for_is_there_and_no_more() -> None:
    assert gathered() is None
    kinds = {"treads": TREADS, "riser_boards": RISERS, "rail": replace(RAIL, place="outside")}
    of = {
        "treads": {"tread"},
        "riser_boards": {"riser board"},
        "rail": {"post", "top rail", "bottom rail", "baluster"},
    }
    for name, asked in kinds.items():
        found = gathered(**{name: asked})
        assert found is not None and {piece.kind for piece in found.all} == of[name]
        assert (found.treads is not None, bool(found.riser_boards), found.rail is not None) == tuple(
            each == name for each in kinds
        )
        assert {check.id for check in found.checks} == {
            "treads": {"tread-gap", "tread-bearing"}, "riser_boards": set(), "rail": {"rail-reach"}
        }[name] and not found.remarks  # fmt: skip
        assert (found.overall, found.stringers, found.hangers.count) == (1000, stringers_at(JOB), 3)
    sill = gathered(**kinds, stringer=spec(SillNotch(80.0, 40.0)))
    assert sill is not None and {piece.kind for piece in sill.all} == {"sill plate"}.union(*of.values())


def test_a_guard_that_is_needed_is_asked_of_the_rail() -> None:
    """Treads lie 720, 540, 360 and 180 over the landing, and over 400 a guard is needed: beside the upper two."""
    guard = Limit("guard", "length", None, 400.0, None, "clause 9", "looked up", opening=100.0)
    on_ground = replace(BUILT, ground=Ground(level=-900.0))
    for posts, bare in (((1, 4), []), ((2, 4), [1]), ((3, 4), [2]), ((1, 2), [])):
        job = replace(JOB, rail=replace(RAIL, place="outside", posts=posts))
        stringer = build_stringer(STAIR, job.stringer, 300.0, mm)
        found = pieces_of(job, RuleSet("made", "Made", (guard,)), STAIR, stringer, on_ground, (), plain)
        assert found is not None
        assert [(check.value, check.source) for check in found.checks if check.id == "rail-infill"] == [
            (count, "clause 9") for count in bare
        ]


def test_treads_are_notched_round_posts_inside_and_the_width_that_is_left_is_told() -> None:
    """Posts 90 thick on the inner faces of stringers of 40 leave 740 of 1000; at one side 870."""
    found = gathered(treads=TREADS, rail=RAIL)
    assert found is not None and [place.posts for place in found.treads.places] == [True, False, False, True]  # type: ignore[union-attr]
    assert [note.text(plain) for note in found.remarks] == [
        "740 is left clear at the rail's height and below, which Free does not limit here"
    ]
    left = gathered(rail=replace(RAIL, side="left"))
    assert left is not None and left.remarks[0].text(plain).startswith("870 is left")
    limited = RuleSet("made", "Made", tuple(
        Limit(f"width-by-{count}", "length", 700.0, None, None, "c", "looked up") for count in ("one-rail",)
    ))  # fmt: skip
    one, two = gathered(limited, rail=replace(RAIL, side="left")), gathered(limited, rail=RAIL)
    assert one is not None and one.remarks[0].text(plain) == "870 is left clear at the rail's height and below"
    assert two is not None and two.remarks[0].text(plain).endswith("which Made does not limit here")

"""As-cut readings worked out by hand: a stringer that climbs 3 in 5 and runs 4 in 5, so that its numbers are whole.

Every step is 500 long on the slope, a notch 240 deep, the board 400 wide. A cut that stands farther into the part by v
moves by v square to itself: along the board 0.8 v for a plumb cut and 0.6 v for a level one.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from cutpath.design.as_cut.causes import CAUSES
from cutpath.design.as_cut.fit import _apart, _fit, compared, fitted
from cutpath.design.as_cut.shape import AsDrawn, Moved, ReadPlace, _crossing, _distance, as_drawn
from cutpath.design.as_cut.slips import _neighbours, counted_off, one_reading
from cutpath.design.as_cut.squares import least_squares
from cutpath.design.as_cut.values import AsCut, Compared, Fitted, NextReading
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.design.tape import tape_sheet
from cutpath.design.throat import NotchThroat
from cutpath.faults import Fault
from cutpath.job.as_cut_values import AsCutReading
from cutpath.job.values import Cutter, SillNotch
from cutpath.plan.as_cut import fit_words, mend_words
from cutpath.units import shown_in
from tests.jobs import job_with
from tests.stairs import mm, spec

TOP, HEEL, BACK, TOE = "plumb cut, top", "plumb cut, bottom", "seat, back", "seat, front"
TABLE = {cause.id: cause for cause in CAUSES}

#: Three treads with teeth, on a board whose edges are kept. A throat is drawn 5 less than 160 for its relief.
NOTCHED = AsDrawn(
    points=((120, 0), (1245, 0), (1485, 180), (1320, 400), (1000, 160), (820, 400), (500, 160), (320, 400), (0, 160)),
    roles=("heel", "seat-back", "toe", "tip", "corner", "tip", "corner", "tip", "top"),
    names=(HEEL, BACK, TOE, "tip 3", "corner 3", "tip 2", "corner 2", "tip 1", TOP),
    treads=(None, None, None, 3, 3, 2, 2, 1, None),
    seats=(),
    width=400.0,
    step_length=500.0,
    throats=(NotchThroat(2, (500, 160), 155.0), NotchThroat(3, (1000, 160), 155.0)),
    keeps=True,
)
TRIMMED = replace(NOTCHED, keeps=False)

#: Two treads let into a board with a level cut at its upper end.
HOUSED = AsDrawn(
    points=((255, 0), (1550, 0), (1710, 120), (1500, 400), (80, 400), (0, 340)),
    roles=("heel", "seat-back", "toe", "front", "level", "top"),
    names=(HEEL, BACK, TOE, "front cut, top", "level cut, end", TOP),
    treads=(None,) * 6,
    seats=((300, 250), (800, 250)),
    width=400.0,
    step_length=500.0,
    throats=(NotchThroat(2, (700, 150), 148.0),),
    keeps=True,
)

#: Two treads, whose seat reaches back to the plumb cut.
SHORT = AsDrawn(
    points=((90, 40), (690, 490), (820, 400), (500, 160), (320, 400), (0, 160)),
    roles=("seat-back", "toe", "tip", "corner", "tip", "top"),
    names=(HEEL, TOE, "tip 2", "corner 2", "tip 1", TOP),
    treads=(None, None, 2, 2, 1, None),
    seats=(),
    width=400.0,
    step_length=500.0,
    throats=(),
    keeps=True,
)


def told(drawn: AsDrawn, moved: Moved, *keys: str) -> dict[ReadPlace, float]:
    """Readings of some keys."""
    return {place: value for place, value in drawn.readings(moved).items() if place[0] in keys}


def alongs(drawn: AsDrawn, xs: dict[str, float], length: float) -> dict[ReadPlace, float]:
    """What is read along the board from both ends, where marks lie at these places."""
    return {("along", name): pytest.approx(x, abs=1e-9) for name, x in xs.items()} | {
        ("from_lower_end", name): pytest.approx(length - x, abs=1e-9) for name, x in xs.items()
    }


def test_as_drawn_a_stringer_reads_as_its_marks_lie() -> None:
    reads = NOTCHED.readings(Moved())
    xs = dict(zip(NOTCHED.names, (x for x, _ in NOTCHED.points), strict=True))
    assert told(NOTCHED, Moved(), "along", "from_lower_end") == alongs(NOTCHED, xs, 1485)
    assert {name: reads["from_edge", name] for name in NOTCHED.names} == pytest.approx(
        {HEEL: 400, BACK: 400, TOE: 220, TOP: 240, "corner 2": 240, "corner 3": 240, "tip 1": 0, "tip 2": 0, "tip 3": 0}
    )
    assert told(NOTCHED, Moved(), "throat") == pytest.approx(
        {("throat", "corner 2"): 155, ("throat", "corner 3"): 155, ("throat", ""): 155}
    )
    assert (reads["length", ""], reads["width", ""], reads["tip_to_tip", ""]) == pytest.approx((1485, 400, 500))
    assert NOTCHED.marks == (TOP, HEEL, "tip 1", "corner 2", "tip 2", "corner 3", BACK, "tip 3", TOE)


def test_the_least_throat_is_the_least_of_all_notches() -> None:
    """The second corner is drawn 3 less; a seat 230 up leaves 275 - 120 = 155 behind it, and takes no more away."""
    uneven = replace(NOTCHED, throats=(NOTCHED.throats[0], NotchThroat(3, (1000, 160), 152.0)))
    assert told(uneven, Moved(), "throat") == pytest.approx(
        {("throat", "corner 2"): 155, ("throat", "corner 3"): 152, ("throat", ""): 152}
    )


@pytest.mark.parametrize("v", [10.0, 2.5, -5.0])
def test_cuts_that_stand_into_the_part_move_it_square_to_each(v: float) -> None:
    """A tip goes by v (-0.8 + 0.6, -0.6 - 0.8) and the plumb cut's top by v (0.8 + 0.6, 0.6 - 0.8)."""
    reads = NOTCHED.readings(Moved(inward=v))
    drawn = dict(zip(NOTCHED.names, (x for x, _ in NOTCHED.points), strict=True))
    # The part starts at the plumb cut's top and ends at the toe, which moves by v (-0.8 - 0.6, -0.6 + 0.8).
    xs = {name: x - 1.6 * v for name, x in drawn.items() if name.startswith(("tip", "corner"))}
    # On the board's own lower edge a plumb cut goes v / 0.8 along and a level one v / 0.6.
    xs |= {TOP: 0.0, HEEL: 120 + v / 0.8 - 1.4 * v, BACK: 1245 - v / 0.6 - 1.4 * v, TOE: 1485 - 2.8 * v}
    assert told(NOTCHED, Moved(inward=v), "along", "from_lower_end") == alongs(NOTCHED, xs, 1485 - 2.8 * v)
    # Teeth that would reach past the board's own edge end in it.
    edge = 400 - 1.4 * max(v, 0.0)
    assert reads["width", ""] == pytest.approx(edge)
    assert reads["from_edge", "corner 3"] == pytest.approx(edge - (160 - 1.4 * v))
    assert reads["from_edge", "tip 2"] == pytest.approx(0)
    assert reads["from_edge", TOP] == pytest.approx(edge - (160 - 0.2 * v))
    assert reads["from_edge", TOE] == pytest.approx(edge - (180 + 0.2 * v))
    assert reads["from_edge", BACK] == pytest.approx(edge)
    assert reads["throat", "corner 2"] == reads["throat", ""] == pytest.approx(155 - 1.4 * v)
    assert reads["tip_to_tip", ""] == pytest.approx(500)


@pytest.mark.parametrize("v", [10.0, -5.0])
def test_a_part_cut_all_round_loses_at_its_lower_edge_as_well(v: float) -> None:
    reads = TRIMMED.readings(Moved(inward=v))
    assert reads["width", ""] == pytest.approx(400 - 2.4 * v)
    assert reads["throat", "corner 3"] == reads["throat", ""] == pytest.approx(155 - 2.4 * v)
    # Up at y = v the plumb cut stands 0.75 v less far along, and the seat's back 4/3 v farther.
    assert reads["along", HEEL] == pytest.approx(120 + 1.25 * v - 0.75 * v - 1.4 * v)
    assert reads["along", BACK] == pytest.approx(1245 - v / 0.6 + v / 0.75 - 1.4 * v)
    assert reads["from_edge", HEEL] == pytest.approx(400 - 2.4 * v)
    assert reads["from_edge", "corner 2"] == pytest.approx(240)


@pytest.mark.parametrize("wider", [20.0, -12.0])
def test_a_wider_board_adds_below(wider: float) -> None:
    reads, drawn = NOTCHED.readings(Moved(wider=wider)), NOTCHED.readings(Moved())
    assert reads["width", ""] == pytest.approx(400 + wider)
    assert reads["throat", "corner 2"] == reads["throat", ""] == pytest.approx(155 + wider)
    # Plumb cut and seat run on to where the edge is now.
    assert reads["along", HEEL] == pytest.approx(120 + 0.75 * wider)
    assert reads["along", BACK] == pytest.approx(1245 - wider / 0.75)
    assert reads["from_edge", HEEL] == pytest.approx(400 + wider)
    same = [p for p in reads if p[1] not in ("", HEEL, BACK) and p[0] != "throat"]
    assert {p: reads[p] for p in same} == pytest.approx({p: drawn[p] for p in same})
    assert reads["length", ""] == pytest.approx(1485)


@pytest.mark.parametrize("deeper", [8.0, -8.0])
def test_cuts_nearer_to_the_lower_edge_leave_less_behind_them(deeper: float) -> None:
    reads = NOTCHED.readings(Moved(deeper=deeper))
    edge = 400 - max(deeper, 0.0)
    assert reads["width", ""] == pytest.approx(edge)
    assert reads["throat", "corner 2"] == pytest.approx(155 - deeper)
    assert reads["from_edge", "corner 2"] == pytest.approx(edge - (160 - deeper))
    assert reads["from_edge", "tip 1"] == 0
    # The lower edge stays: plumb cut and seat meet it 8 higher on their own lines.
    assert reads["along", HEEL] == pytest.approx(120 - 0.75 * deeper)
    assert reads["along", BACK] == pytest.approx(1245 + deeper / 0.75)
    assert reads["along", "tip 2"] == pytest.approx(820) and reads["length", ""] == pytest.approx(1485)


def test_a_scale_along_the_board_stretches_all_that_lies_along_it() -> None:
    xs = {name: 1.02 * x for name, (x, _) in zip(NOTCHED.names, NOTCHED.points, strict=True)}
    for drawn in (NOTCHED, TRIMMED):
        assert told(drawn, Moved(along=1.02), "along", "from_lower_end") == alongs(drawn, xs, 1.02 * 1485)
        reads = drawn.readings(Moved(along=1.02))
        assert reads["tip_to_tip", ""] == pytest.approx(510) and reads["width", ""] == pytest.approx(400)
        assert reads["from_edge", "corner 3"] == pytest.approx(240)
        assert reads["throat", "corner 3"] == pytest.approx(155)


@pytest.mark.parametrize("across", [0.9, 1.1])
def test_a_scale_across_the_board_starts_at_its_notched_edge(across: float) -> None:
    reads = NOTCHED.readings(Moved(across=across))
    assert reads["from_edge", "corner 2"] == pytest.approx(240 * across)
    assert reads["from_edge", TOE] == pytest.approx(220 * across)
    assert reads["width", ""] == pytest.approx(400), "the board's own"
    assert reads["throat", "corner 2"] == pytest.approx(155 + 240 * (1 - across))
    # The plumb cut falls 160 `across` from its top over 120 and goes on to the edge; the seat rises 180 over 240.
    assert reads["along", HEEL] == pytest.approx(120 * (400 - 240 * across) / (160 * across))
    assert reads["along", BACK] == pytest.approx(1245 - 240 * (400 - 400 * across) / (180 * across))
    cut = TRIMMED.readings(Moved(across=across))
    assert cut["width", ""] == pytest.approx(400 * across) and cut["along", HEEL] == pytest.approx(120)
    # What the relief takes does not grow with it: 5 less than the square corner has.
    assert cut["throat", "corner 2"] == pytest.approx(160 * across - 5)


@pytest.mark.parametrize("v", [10.0, -10.0])
@pytest.mark.parametrize("drawn", [NOTCHED, TRIMMED], ids=["kept", "trimmed"])
def test_a_plumb_cut_too_far_down_shortens_the_part_alone(drawn: AsDrawn, v: float) -> None:
    """It meets the first seat, which rises 0.6 on 0.8, 0.64 v farther along and 0.48 v higher."""
    reads = drawn.readings(Moved(shorter=v))
    xs = {name: x - 0.64 * v for name, (x, _) in zip(drawn.names, drawn.points, strict=True)}
    xs |= {TOP: 0.0, HEEL: 120 + v - 0.64 * v}
    assert told(drawn, Moved(shorter=v), "along", "from_lower_end") == alongs(drawn, xs, 1485 - 0.64 * v)
    assert reads["from_edge", TOP] == pytest.approx(240 - 0.48 * v)
    assert reads["from_edge", "corner 2"] == pytest.approx(240) and reads["width", ""] == pytest.approx(400)
    assert reads["throat", ""] == pytest.approx(155)


def test_behind_a_corner_lie_plumb_cut_lower_edge_and_seat_and_no_notch() -> None:
    """The second corner stands 400 from the plumb cut, the last one 275 from the seat's line, both 160 over the edge.

    On a board 500 wider at the back the plumb cut is the nearest to the second and the seat to the last one.
    """
    reads = NOTCHED.readings(Moved(wider=500.0))
    assert reads["throat", "corner 3"] == pytest.approx(155 + 275 - 160)
    assert reads["throat", "corner 2"] == pytest.approx(155 + 400 - 160)


def test_a_notch_for_the_sill_lies_behind_the_last_corner() -> None:
    """250 deep and 200 high its corner lies (165, 30) from the last one, which on a wide board is the nearest there."""
    sill = replace(
        NOTCHED,
        points=(*NOTCHED.points[:2], (1285, 30), (1165, 190), (1365, 340), *NOTCHED.points[3:]),
        roles=(*NOTCHED.roles[:2], "sill-seat", "sill-corner", "sill-face", *NOTCHED.roles[3:]),
        names=(*NOTCHED.names[:2], TOE, "sill notch, corner", "sill notch, front", *NOTCHED.names[3:]),
        treads=(*NOTCHED.treads[:2], None, None, None, *NOTCHED.treads[3:]),
    )
    reads = sill.readings(Moved(wider=500.0))
    assert reads["throat", "corner 3"] == pytest.approx(155 + math.hypot(165, 30) - 160)
    assert sill.readings(Moved())["length", ""] == pytest.approx(1365)


def test_without_teeth_the_edges_are_the_boards_and_seats_stay() -> None:
    v = 10.0
    reads = HOUSED.readings(Moved(inward=v))
    # Level cut and plumb cut move the top by v (1.4, -0.2); on the upper edge a level one goes v / 0.6, a plumb one
    # v / 0.8. Housings are cut by passes of their own.
    xs = {TOP: 0.0, "level cut, end": 80 + v / 0.6 - 14, "front cut, top": 1500 - v / 0.8 - 14, TOE: 1710 - 28}
    xs |= {HEEL: 255 + v / 0.8 - 14, BACK: 1550 - v / 0.6 - 14, "tread 1, seat": 286, "tread 2, seat": 786}
    assert told(HOUSED, Moved(inward=v), "along", "from_lower_end") == alongs(HOUSED, xs, 1682)
    assert reads["width", ""] == pytest.approx(400) and reads["throat", "tread 2, seat"] == pytest.approx(148)
    assert reads["from_edge", "tread 1, seat"] == pytest.approx(150)
    cut = replace(HOUSED, keeps=False).readings(Moved(inward=v))
    assert cut["width", ""] == pytest.approx(380) and cut["throat", "tread 2, seat"] == pytest.approx(138)
    assert cut["from_edge", "tread 1, seat"] == pytest.approx(140)


def test_without_teeth_seats_move_with_a_scale_and_across() -> None:
    reads = HOUSED.readings(Moved(along=1.1, across=0.8))
    assert reads["along", "tread 2, seat"] == pytest.approx(880)
    assert reads["from_edge", "tread 2, seat"] == pytest.approx(120)
    assert HOUSED.readings(Moved(deeper=5))["from_edge", "tread 2, seat"] == pytest.approx(155)
    assert HOUSED.readings(Moved(deeper=5))["throat", ""] == pytest.approx(143)
    assert HOUSED.readings(Moved(wider=30))["throat", "tread 2, seat"] == pytest.approx(178)
    assert HOUSED.readings(Moved(wider=30))["from_edge", "front cut, top"] == pytest.approx(0)
    assert HOUSED.marks == (TOP, "level cut, end", HEEL, "tread 1, seat", "tread 2, seat", "front cut, top", BACK, TOE)


def test_without_a_level_cut_the_whole_upper_edge_is_the_boards() -> None:
    """Then the plumb cut's top lies on the edge, v / 0.8 along."""
    points = (*HOUSED.points[:4], (-45, 400))
    plain = replace(HOUSED, points=points, roles=(*HOUSED.roles[:4], "top"), names=HOUSED.names[:5])
    plain = replace(plain, treads=HOUSED.treads[:5])
    reads = plain.readings(Moved(inward=8.0))
    assert reads["from_edge", "level cut, end"] == pytest.approx(0)
    assert reads["along", "tread 1, seat"] == pytest.approx(300 + 45 - 10)


def test_a_seat_that_reaches_the_plumb_cut_has_no_lower_edge_to_keep() -> None:
    """Its ends move as cuts do; with the plumb cut alone too far down, 0.64 of it is off the length."""
    assert SHORT.readings(Moved(wider=50)) == SHORT.readings(Moved())
    reads = SHORT.readings(Moved(shorter=10))
    assert reads["length", ""] == pytest.approx(820 - 6.4) and ("throat", "") not in reads
    assert reads["along", HEEL] == pytest.approx(90)
    assert SHORT.readings(Moved(inward=10))["along", HEEL] == pytest.approx(90 + 8 - 6 - 14)


def test_lines_that_do_not_cross_meet_where_the_second_starts() -> None:
    assert _crossing(((0, 0), (10, 0)), ((4, 3), (9, 3))) == (4, 3)
    assert _crossing(((0, 0), (10, 0)), ((4, 3), (7, 9))) == pytest.approx((2.5, 0))
    # A hundredth in a thousand is a crossing.
    assert _crossing(((0, 0), (1000, 0)), ((0, 1), (1000, 1.01))) == pytest.approx((-1e5, 0))


def test_a_stretch_without_length_is_a_place() -> None:
    assert _distance((3, 4), (0, 0), (0, 0)) == 5
    assert _distance((3, 4), (0, 0), (1, 0)) == pytest.approx(math.hypot(2, 4))
    assert _distance((3, 4), (0, 0), (0.5, 0)) == pytest.approx(math.hypot(2.5, 4))


@pytest.mark.parametrize("sill", [None, SillNotch(80.0, 30.0)], ids=["toe", "sill"])
def test_the_shape_holds_the_stringer_as_the_tape_sheet_names_it(sill: SillNotch | None) -> None:
    stair = Stair(5, 180.0, 240.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    stringer = build_stringer(stair, spec(sill), 286.0, mm)
    corner = stringer.to_board(next(v.point for v in stringer.vertices if v.tread == 2))
    shape = as_drawn(stringer, stair.step_length, (NotchThroat(2, corner, 140.0),), "factory")
    marks = {mark.name: mark for mark in tape_sheet(stair, stringer, 1.0).marks}
    assert sorted(shape.names) == sorted(marks) and shape.keeps and shape.step_length == pytest.approx(300)
    for name, (x, y), role, tread in zip(shape.names, shape.points, shape.roles, shape.treads, strict=True):
        assert (x, y) == pytest.approx((marks[name].along.exact, marks[name].across.exact), abs=1e-9)
        assert (role, tread) == (marks[name].role, marks[name].tread)
    assert shape.width == 286 and shape.throats[0].throat == 140
    assert not as_drawn(stringer, stair.step_length, (), "trimmed").keeps


# Readings held against the drawing.


def reading(place: ReadPlace, read: float, drawn: AsDrawn = NOTCHED) -> Compared:
    return Compared(f"{place[0]} {place[1]}", place, read, drawn.readings(Moved())[place])


def readings(drawn: AsDrawn, by: Callable[[ReadPlace, float], float], *places: ReadPlace) -> list[Compared]:
    return [reading(place, by(place, drawn.readings(Moved())[place]), drawn) for place in places]


TIPS: tuple[ReadPlace, ...] = (("along", "tip 1"), ("along", "tip 2"), ("along", "tip 3"))
CORNERS: tuple[ReadPlace, ...] = (("along", "corner 2"), ("along", "corner 3"))


def test_readings_are_taken_by_key_and_mark_however_a_mark_is_written() -> None:
    found = compared(
        (
            AsCutReading(mark="Plumb  CUT top", along=0.5, from_edge=241.0),
            AsCutReading(mark="corner 3", throat=150.0, from_lower_end=484.0),
            AsCutReading(throat=149.0, length=1484.0, width=399.0, tip_to_tip=501.0),
            # What is read of the whole stands under no mark, wherever it was written.
            AsCutReading(mark="tip 2", width=398.0),
        ),
        NOTCHED,
    )
    assert [(one.key, one.place, one.read, one.drawn) for one in found] == [
        ("as_cut[0].along", ("along", TOP), 0.5, 0.0),
        ("as_cut[0].from_edge", ("from_edge", TOP), 241.0, 240.0),
        ("as_cut[1].from_lower_end", ("from_lower_end", "corner 3"), 484.0, 485.0),
        ("as_cut[1].throat", ("throat", "corner 3"), 150.0, 155.0),
        ("as_cut[2].throat", ("throat", ""), 149.0, 155.0),
        ("as_cut[2].length", ("length", ""), 1484.0, 1485.0),
        ("as_cut[2].width", ("width", ""), 399.0, 400.0),
        ("as_cut[2].tip_to_tip", ("tip_to_tip", ""), 501.0, 500.0),
        ("as_cut[3].width", ("width", ""), 398.0, 400.0),
    ]
    assert [one.off for one in found[:3]] == [0.5, 1.0, -1.0]


@pytest.mark.parametrize(
    ("drawn", "entry", "said"),
    [
        (
            NOTCHED,
            AsCutReading(mark="tip 4", along=1.0),
            # Names have commas in them.
            'as_cut[1].mark: "tip 4" is no mark of this stringer; it has "plumb cut, top", "plumb cut, bottom", ',
        ),
        (NOTCHED, AsCutReading(mark="", along=1.0), 'as_cut[1].mark: "" is no mark'),
        (NOTCHED, AsCutReading(mark="tip 2", throat=1.0), 'name one of "corner 2", "corner 3"'),
        (SHORT, AsCutReading(throat=1.0), "as_cut[1].throat: there is no throat to read there; drop it"),
    ],
    ids=["mark", "empty", "tip", "none"],
)
def test_what_can_not_be_read_there_is_refused(drawn: AsDrawn, entry: AsCutReading, said: str) -> None:
    with pytest.raises(Fault) as caught:
        compared((AsCutReading(length=800.0), entry), drawn)
    assert said in " ".join(caught.value.lines)


def test_the_worst_reading_is_the_one_most_off_either_way_and_those_off_are_over_the_limit() -> None:
    found = readings(NOTCHED, lambda place, at: at + {"tip 1": 1.0, "tip 2": -3.0, "tip 3": 2.0}[place[1]], *TIPS)
    case = AsCut(tuple(found), 2.0, 0.0)
    assert case.worst is found[1]
    assert case.off == (found[1],)
    assert AsCut(tuple(found), 0.999, 0.0).off == tuple(found)
    # What is off by as much as is allowed is not off.
    assert AsCut(tuple(found), 3.0, 0.0).off == ()


CAUSED = [
    ("compensation", 6.0),
    ("compensation", -6.0),
    ("scale", 1.02),
    ("scale", 0.9),
    ("scale-along", 1.02),
    ("scale-along", 0.97),
    ("board-width", 9.0),
    ("board-width", -30.0),
    ("fence", 7.0),
    ("fence", -7.0),
    ("plumb-cut", 12.0),
    ("plumb-cut", -40.0),
    ("tape-hook", 25.4),
    ("tape-hook", -100.0),
]


@pytest.mark.parametrize(("name", "number"), CAUSED, ids=[f"{name} {number:g}" for name, number in CAUSED])
def test_a_cause_that_is_so_is_found_by_its_number_to_the_last_digits(name: str, number: float) -> None:
    cause = TABLE[name]  # type: ignore[index]
    so = cause.read(NOTCHED, number)
    found = readings(NOTCHED, lambda place, at: so[place], *NOTCHED.readings(Moved()))
    case = fitted(found, NOTCHED, 1.0)
    # Cuts too near to the lower edge read as those on a narrower board do.
    alike = (name, number > 0) in (("fence", True), ("board-width", False))
    whole = {fit.ids: fit for fit in case.fits if fit.worst < 1e-6}
    assert whole.keys() == ({("fence",), ("board-width",)} if alike else {(name,)})
    best = whole[name,]
    assert case.fits[0] in whole.values() and best.numbers == pytest.approx((number,), abs=1e-6)
    assert best.explains and best.alone == "" and best.rms < 1e-6
    assert case.rms == pytest.approx(math.sqrt(sum(one.off**2 for one in found) / len(found)))


@pytest.mark.parametrize(
    ("name", "sign", "places"),
    [
        # In from the edge a corner reads less where blunt teeth are cut by the edge, and as drawn where cuts are deep.
        ("fence", -1.0, (("from_edge", "corner 2"), ("from_edge", "corner 3"), ("from_edge", "tip 1"))),
        # The width is the board's own where teeth would reach past it.
        ("fence", 1.0, (("width", ""), *TIPS)),
    ],
    ids=["blunt", "deep"],
)
def test_what_tells_of_a_cause_on_one_side_alone_is_found_from_there(
    name: str, sign: float, places: tuple[ReadPlace, ...]
) -> None:
    so = TABLE[name].read(NOTCHED, 14.0 * sign)  # type: ignore[index]
    case = fitted(readings(NOTCHED, lambda place, at: so[place], *places), NOTCHED, 1.0)
    fit = next(fit for fit in case.fits if fit.ids == (name,))
    assert fit.numbers == pytest.approx((14.0 * sign,), abs=1e-6) and fit.worst < 1e-6


def test_a_number_is_found_past_the_place_where_readings_begin_to_change_otherwise() -> None:
    """The last corner stands 200 from a seat like this one, and 160 over the edge: past 40 a wider board adds nothing.

    The first step, as if a throat grew on, ends at 70 of 90.
    """
    points = (NOTCHED.points[0], (1120, 0), (1440, 240), *NOTCHED.points[3:])
    near = replace(NOTCHED, points=points)
    found = [
        Compared("width", ("width", ""), 490.0, 400.0),
        Compared("throat", ("throat", "corner 3"), 155.0 + 40, 155.0),
    ]
    fit = _fit((TABLE["board-width"],), found, near, 1.0)
    assert fit.numbers == pytest.approx((90,), abs=1e-6) and fit.worst < 1e-6


def test_of_two_numbers_both_are_followed_until_neither_changes() -> None:
    """As above, and the plumb cut 240 from the second corner, which bounds its throat past 80 more of width.

    A board 90 wider reads 90, 40 and 80 more: steps end at 70, 85 and 90. The scale is there after the first one.
    """
    points = ((320, 0), (1120, 0), (1440, 240), *NOTCHED.points[3:8], (128, 256))
    near = replace(NOTCHED, points=points)
    found = [
        Compared("tips", ("tip_to_tip", ""), 500.0, 500.0),
        Compared("width", ("width", ""), 490.0, 400.0),
        Compared("third", ("throat", "corner 3"), 155.0 + 40, 155.0),
        Compared("second", ("throat", "corner 2"), 155.0 + 80, 155.0),
    ]
    fit = _fit((TABLE["scale-along"], TABLE["board-width"]), found, near, 1.0)
    assert fit.numbers == pytest.approx((1, 90), abs=1e-6) and fit.worst < 1e-6


@pytest.mark.parametrize(("read", "number"), [(160.0, 150.0), (-160.0, -150.0), (149.0, 149.0)])
def test_no_cause_is_fitted_beyond_its_reach(read: float, number: float) -> None:
    """A tape is looked for up to 150 off."""
    found = readings(NOTCHED, lambda place, at: at + read, *TIPS[1:], *CORNERS)
    fit = _fit((TABLE["tape-hook"],), found, NOTCHED, 1.0)
    assert fit.numbers == pytest.approx((number,))
    assert fit.worst == pytest.approx(abs(read - number), abs=1e-6)


def test_a_scale_is_fitted_no_farther_than_three_tenths() -> None:
    for times, number in ((1.5, 1.3), (0.5, 0.7), (1.29, 1.29)):
        found = readings(NOTCHED, lambda place, at, times=times: at * times, *TIPS, *CORNERS)  # type: ignore[misc]
        assert _fit((TABLE["scale-along"],), found, NOTCHED, 1.0).numbers == pytest.approx((number,))


@pytest.mark.parametrize("drawn", [NOTCHED, TRIMMED], ids=["kept", "trimmed"])
def test_causes_of_the_boards_own_edges_are_tried_where_it_keeps_them(drawn: AsDrawn) -> None:
    """A width read 9 too great, all else as drawn behind it: no notched edge gives that where it is cut as well."""
    so = NOTCHED.readings(Moved(wider=9.0))
    case = fitted(readings(drawn, lambda place, at: so[place], ("width", ""), ("throat", ""), *CORNERS), drawn, 1.0)
    names = {name for fit in case.fits for name in fit.ids}
    assert ("board-width" in names) == drawn.keeps and not names & ({"fence"} if not drawn.keeps else set())


def test_nothing_is_guessed_of_two_readings_and_two_causes_not_of_four() -> None:
    """All 8 too long: a tape started too far on. All 8 too short and 1 in 100 too long besides: two causes."""
    two = fitted(readings(NOTCHED, lambda place, at: at + 8, *TIPS[:2]), NOTCHED, 1.0)
    assert two.off and not two.fits and two.rms == pytest.approx(8)
    three = fitted(readings(NOTCHED, lambda place, at: at + 8, *TIPS), NOTCHED, 1.0)
    assert ("tape-hook",) in {fit.ids for fit in three.fits}
    both = readings(NOTCHED, lambda place, at: 1.01 * at - 8, *TIPS, *CORNERS)
    assert not any(fit.explains for fit in fitted(both[:4], NOTCHED, 1.0).fits)
    pairs = {fit.ids: fit for fit in fitted(both, NOTCHED, 1.0).fits}
    fit = pairs["scale-along", "tape-hook"]
    assert fit.numbers == pytest.approx((1.01, -8), abs=1e-5) and fit.explains and fit.worst < 1e-5
    # The best first.
    assert [each.rms for each in pairs.values()] == sorted(each.rms for each in pairs.values())
    assert all(each.explains and len(each.ids) == 2 for each in pairs.values())


def test_what_has_no_number_is_fitted_as_it_is() -> None:
    drawn = NOTCHED.readings(Moved())
    case = fitted(readings(NOTCHED, lambda place, at: drawn["from_lower_end", place[1]], *TIPS), NOTCHED, 1.0)
    assert case.fits[0] == Fitted(("other-end",), (0.0,), 0.0, 0.0, True)


def test_nothing_off_needs_no_cause() -> None:
    case = fitted(readings(NOTCHED, lambda place, at: at + 0.9, *TIPS), NOTCHED, 1.0)
    assert case.off == () and case.fits == () and case.apart is None and case.rms == pytest.approx(0.9)


@pytest.mark.parametrize(("apart", "named"), [(1.2, True), (1.25, False)])
def test_a_cause_that_leaves_more_than_half_explains_nothing(apart: float, named: bool) -> None:
    """Off by 3 + e, 3 - 2 e and 3 + e: of one number the best leaves e, -2 e and e, their mean square 2 e^2.

    That is half of the root mean square there was where 8 e^2 = 9 + 2 e^2, e = 1.2247.
    """
    by = {"tip 1": 3 + apart, "tip 2": 3 - 2 * apart, "tip 3": 3 + apart}
    case = fitted(readings(NOTCHED, lambda place, at: at + by[place[1]], *TIPS), NOTCHED, 1.0)
    assert case.rms == pytest.approx(math.sqrt(9 + 2 * apart**2))
    assert len(case.fits) == named and case.apart is None
    for fit in case.fits:
        assert not fit.explains
        assert fit.worst == pytest.approx(2 * apart) and fit.rms == pytest.approx(apart * math.sqrt(2))


def test_causes_that_explain_come_best_first_and_a_slip_last() -> None:
    """One reading of four alone is off, by 1.5; a tape 0.5 too far on would leave 1.0 of it and 0.5 of the others."""
    by = {"tip 1": 0.0, "tip 2": 0.0, "tip 3": 1.5, "corner 2": 0.0}
    case = fitted(readings(NOTCHED, lambda place, at: at + by[place[1]], *TIPS, CORNERS[0]), NOTCHED, 1.2)
    *before, last = case.fits
    assert last == Fitted(("one-reading",), (1.5,), 0.0, 0.0, True, "along tip 3")
    assert before and [fit.rms for fit in before] == sorted(fit.rms for fit in before)
    assert all(fit.explains and fit.worst <= 1.2 + 1e-6 for fit in before)


def test_one_reading_alone_is_told_with_what_the_others_leave() -> None:
    by = {"tip 1": 0.3, "tip 2": -0.4, "tip 3": 9.0}
    found = readings(NOTCHED, lambda place, at: at + by[place[1]], *TIPS)
    fit = one_reading(found, 1.0)
    assert fit is not None and fit.alone == "along tip 3" and fit.explains
    assert fit.numbers == (9.0,) and fit.worst == pytest.approx(0.4) and fit.rms == pytest.approx(math.sqrt(0.125))
    assert one_reading(found, 0.3) is None, "two are off"
    assert one_reading(found, 9.5) is None and one_reading(found, 9.0) is None, "none is"


def test_a_fit_says_what_is_left_and_whether_all_lies_within_the_limit() -> None:
    """Of 4, 6 and 8 too long a tape 6 too far on leaves 2, 0 and 2."""
    by = {"tip 1": 4.0, "tip 2": 6.0, "tip 3": 8.0}
    found = readings(NOTCHED, lambda place, at: at + by[place[1]], *TIPS)
    for limit, explains in ((2.0, True), (1.999, False)):
        fit = _fit((TABLE["tape-hook"],), found, NOTCHED, limit)
        assert fit.numbers == pytest.approx((6.0,)) and fit.explains is explains
        assert fit.worst == pytest.approx(2.0) and fit.rms == pytest.approx(math.sqrt(8 / 3))


def test_least_squares_of_one_and_two_unknowns() -> None:
    assert least_squares([[1.0, 2.0, 2.0]], [3.0, 6.0, 6.0]) == [3.0]
    assert least_squares([[1.0, 2.0, 2.0]], [0.0, 0.0, 9.0]) == [2.0]
    assert least_squares([[0.0, 0.0]], [1.0, 1.0]) is None
    # 2 and -3 of (1, 0, 2) and (0, 1, 1) are (2, -3, 1); what stands square to both, (-2, -1, 1), changes nothing.
    assert least_squares([[1.0, 0.0, 2.0], [0.0, 1.0, 1.0]], [2.0, -3.0, 1.0]) == pytest.approx([2, -3])
    assert least_squares([[1.0, 0.0, 2.0], [0.0, 1.0, 1.0]], [0.0, -4.0, 2.0]) == pytest.approx([2, -3])
    assert least_squares([[1.0, 1.0], [0.0, 0.0]], [1.0, 1.0]) is None
    assert least_squares([[0.0, 0.0], [1.0, 1.0]], [1.0, 1.0]) is None


@pytest.mark.parametrize(("lean", "known"), [(0.0, False), (0.009, False), (0.011, True), (1.0, True)])
@pytest.mark.parametrize(("one", "other"), [(1.0, 1.0), (50.0, 1.0), (1.0, 50.0), (0.02, 1.0), (1.0, 0.02)])
def test_two_that_do_nearly_the_same_are_not_told_apart(lean: float, known: bool, one: float, other: float) -> None:
    """(1, 0) and (1, lean): the square of the sine between them is lean^2 / (1 + lean^2), and 1 / 10,000 is too little.

    However much either does.
    """
    solved = least_squares([[one, 0.0], [other, other * lean]], [one + other, other * lean])
    assert (solved == pytest.approx([1.0, 1.0])) if known else solved is None


def test_what_hardly_changes_with_a_number_says_nothing_of_it() -> None:
    """Rounding of floats is no slope: a thousandth of a millimetre over all of a reach is the least that is one."""
    assert least_squares([[1e-4, 1e-4]], [1.0, 1.0]) is None
    assert least_squares([[0.01, 0.0]], [1.0, 1.0]) == pytest.approx([100])
    assert least_squares([[1.0, 1.0], [1e-4, -1e-4]], [1.0, 1.0]) is None
    assert least_squares([[1.0, 1.0], [0.01, -0.01]], [1.0, 1.0]) == pytest.approx([1, 0])


def test_two_that_explain_it_are_told_apart_where_they_differ_most() -> None:
    """A plumb cut 12.5 too far down reads 0.64 of it, 8, short from its top, as a tape does that is 8 short.

    At the plumb cut's bottom the cut reads 4.5 more than drawn, a tape 8 less: 12.5 between them, more than anywhere.
    """
    found = readings(NOTCHED, lambda place, at: at - 8, *TIPS, *CORNERS)
    case = fitted(found, NOTCHED, 1.0)
    plumb = Fitted(("plumb-cut",), (12.5,), 0.0, 0.0, True)
    hook = Fitted(("tape-hook",), (-8.0,), 0.0, 0.0, True)
    slip = Fitted(("one-reading",), (-8.0,), 0.0, 0.0, True, "along tip 1")
    assert {fit.ids for fit in case.fits} >= {("plumb-cut",), ("tape-hook",)}
    for fits, one, other in (((plumb, hook), 124.5, 112.0), ((hook, plumb, plumb), 112.0, 124.5)):
        for told in (fits, (slip, *fits), (fits[0], slip, *fits[1:])):
            apart = _apart(told, found, NOTCHED)
            assert apart is not None and apart.place == ("along", HEEL)
            assert (apart.one, apart.other) == pytest.approx((one, other))
    assert _apart((plumb,), found, NOTCHED) is None and _apart((plumb, slip), found, NOTCHED) is None
    # Once that is read the next ones are 8 apart.
    more = [*found, reading(("along", HEEL), 124.5)]
    apart = _apart((plumb, hook), more, NOTCHED)
    assert apart is not None and abs(apart.one - apart.other) == pytest.approx(8)


@pytest.mark.parametrize(("cut", "tells"), [(1.9, False), (2.1, True)])
def test_what_differs_by_less_than_two_millimetres_tells_nobody_anything(cut: float, tells: bool) -> None:
    """As above, where the place that differs most differs by as much as the plumb cut is off."""
    plumb = Fitted(("plumb-cut",), (cut,), 0.0, 0.0, True)
    hook = Fitted(("tape-hook",), (-0.64 * cut,), 0.0, 0.0, True)
    found = readings(NOTCHED, lambda place, at: at - 0.64 * cut, *TIPS, *CORNERS)
    assert (_apart((plumb, hook), found, NOTCHED) is not None) is tells
    every = readings(NOTCHED, lambda place, at: at, *NOTCHED.readings(Moved()))
    assert _apart((plumb, hook), every, NOTCHED) is None, "nothing is left to read"


@pytest.mark.parametrize("by", [500.0, 250.0, -250.0])
def test_a_number_that_was_stopped_at_its_end_explains_nothing_in_part(by: float) -> None:
    """Corners read one or half a step too far on, as when they are counted wrong: a scale is looked for up to 1.3 and
    would leave half of it, a tape 150 too far on as well, and neither is so."""
    for places in (TIPS, CORNERS, (*TIPS, *CORNERS)):
        case = fitted(readings(NOTCHED, lambda place, at: at + by, *places), NOTCHED, 1.0)
        numbers = [each for fit in case.fits for each in zip(fit.ids, fit.numbers, strict=True)]
        assert not any(TABLE[name].ends(number) for name, number in numbers if name in TABLE)


@pytest.mark.parametrize("name", ["millimetres-as-inches", "ten-times"])
@pytest.mark.parametrize(("off", "explains"), [(0.9, True), (-0.9, True), (1.1, False)])
def test_readings_in_another_unit_are_off_by_as_much_as_any(name: str, off: float, explains: bool) -> None:
    """Read to the nearest step in the unit that was meant, so many times as much comes out in the one that is taken."""
    times = {"millimetres-as-inches": 25.4, "ten-times": 10.0}[name]
    ways = {"tip 1": 1, "tip 2": -1, "tip 3": 1}
    found = readings(NOTCHED, lambda place, at: times * (at + off * ways[place[1]]), *TIPS)
    (fit,) = (each for each in fitted(found, NOTCHED, 1.0).fits if each.ids == (name,))
    assert fit.explains == explains and fit.worst == pytest.approx(abs(off)) and fit.rms == pytest.approx(abs(off))


def test_what_to_do_waits_for_what_would_tell_the_causes_apart() -> None:
    job = job_with().job
    shown = shown_in("mm")

    def fit(*ids: str, explains: bool = True) -> Fitted:
        return Fitted(ids, tuple(TABLE[name].none or 0.0 for name in ids), 0.1, 0.1, explains)  # type: ignore[index,arg-type]

    def mend(*fits: Fitted, apart: NextReading | None = None) -> str:
        return mend_words(AsCut((reading(("length", ""), 9.0, NOTCHED),), 1.0, 9.0, fits, apart), job, shown)

    plumb, hook = "see that the board lay still", "read it again with another tape, from its hook"
    assert mend(fit("plumb-cut")).startswith(plumb) and mend() == ""
    assert mend(fit("plumb-cut"), fit("tape-hook")).startswith(plumb), "nothing would tell"
    apart = NextReading(("along", "tip 2"), 254.0, 127.0)
    told = mend(fit("tape-hook"), fit("plumb-cut"), apart=apart)
    assert told.startswith("read tip 2 along first") and told.endswith(f"if it is the first: {hook}")
    assert "10 in by the first, 5 in by the second" in told.replace("(", "").replace(")", "")
    both = mend(fit("plumb-cut", "tape-hook"), apart=apart)
    assert both.startswith("take more readings first; if they say the same: ") and plumb in both and hook in both
    # What leaves a part of it unexplained is nothing to act on.
    assert mend(fit("plumb-cut", explains=False)) == (
        "read it again, another tape, another hand, before anything is changed"
    )
    assert mend_words(AsCut((reading(("length", ""), 1485.5, NOTCHED),), 1.0, 0.5), job, shown) == ""


# What causes read as, and what is said of them.


def test_wrong_units_are_read_as_so_many_times_too_much() -> None:
    drawn = NOTCHED.readings(Moved())
    for name, times in (
        ("inches-as-millimetres", 1 / 25.4),
        ("millimetres-as-inches", 25.4),
        ("ten-times", 10.0),
        ("a-tenth", 0.1),
    ):
        reads = TABLE[name].read(NOTCHED, 0.0)  # type: ignore[index]
        assert reads == pytest.approx({place: value * times for place, value in drawn.items()})


def test_hooked_at_the_other_end_two_lengths_change_places() -> None:
    reads, drawn = TABLE["other-end"].read(NOTCHED, 0.0), NOTCHED.readings(Moved())
    assert reads["along", "tip 1"] == pytest.approx(1165) and reads["from_lower_end", "tip 1"] == pytest.approx(320)
    assert reads["along", TOE] == 0 and reads["from_lower_end", TOE] == pytest.approx(1485)
    others = [place for place in drawn if place[0] not in ("along", "from_lower_end")]
    assert set(reads) == set(drawn) and all(reads[place] == drawn[place] for place in others)


def test_counted_from_the_foot_the_first_tip_is_the_last_and_the_second_corner_the_third() -> None:
    # Throats and depths that differ, so that it shows whose they are.
    uneven = replace(NOTCHED, throats=(NOTCHED.throats[0], NotchThroat(3, (1000, 160), 150.0)))
    reads = TABLE["counted-from-other-end"].read(uneven, 0.0)
    # From the foot on: the third tip lies 165 up the board from the toe, the second 665 and the first 1165.
    assert [reads["along", f"tip {n}"] for n in (1, 2, 3)] == pytest.approx([165, 665, 1165])
    assert [reads["from_lower_end", f"tip {n}"] for n in (1, 2, 3)] == pytest.approx([1320, 820, 320])
    assert [reads["along", f"corner {n}"] for n in (2, 3)] == pytest.approx([485, 985])
    assert [reads["throat", f"corner {n}"] for n in (2, 3)] == pytest.approx([150, 155])
    assert reads["throat", ""] == pytest.approx(150) and reads["length", ""] == pytest.approx(1485)
    # The plumb cut is known for what it is.
    assert reads["along", TOP] == pytest.approx(1485) and reads["from_edge", TOP] == pytest.approx(240)
    three = replace(HOUSED, seats=(*HOUSED.seats, (1250, 240)))
    seats = TABLE["counted-from-other-end"].read(three, 0.0)
    assert [seats["along", f"tread {n}, seat"] for n in (1, 2, 3)] == pytest.approx([460, 910, 1410])
    assert [seats["from_edge", f"tread {n}, seat"] for n in (1, 2, 3)] == pytest.approx([160, 150, 150])
    assert seats["throat", "tread 2, seat"] == pytest.approx(148)


def test_a_tape_started_too_far_on_adds_to_all_that_is_read_and_to_no_nothing() -> None:
    reads, drawn = TABLE["tape-hook"].read(NOTCHED, 25.4), NOTCHED.readings(Moved())
    assert reads["along", TOP] == 0 and reads["from_edge", "tip 2"] == 0
    assert reads["along", "tip 1"] == pytest.approx(345.4) and reads["tip_to_tip", ""] == pytest.approx(525.4)
    assert all(reads[place] == pytest.approx(value + 25.4 if value > 1e-9 else 0) for place, value in drawn.items())
    # Tips lie on the edge but for the rounding of floats, and a tape says nothing there either.
    points = tuple((x, y - 1e-12 if y == 400 and x < 400 else y) for x, y in NOTCHED.points)
    hair = replace(NOTCHED, points=points)
    assert hair.readings(Moved())["from_edge", "tip 1"] > 0
    assert TABLE["tape-hook"].read(hair, 25.4)["from_edge", "tip 1"] == 0


def words(name: str, by: float, cutter: Cutter) -> str:
    return TABLE[name].words(by, cutter, lambda mm: f"{mm:.1f}")  # type: ignore[index]


def mend(name: str, by: float, cutter: Cutter) -> str:
    return TABLE[name].mend(by, cutter, lambda mm: f"{mm:.1f}")  # type: ignore[index]


ROUTER = Cutter("router", 6.0, "relieved", "design", 12.0)
CENTRE = replace(ROUTER, path="centre")
LASER = Cutter("beam", 0.5, "relieved", "design", 5.0)


@pytest.mark.parametrize(
    ("by", "side", "named"),
    [
        (3.0, "into the part", "as without compensation"),
        (3.7, "into the part", "as without compensation"),
        (2.3, "into the part", "as without compensation"),
        (3.9, "into the part", ""),
        (2.1, "into the part", ""),
        (6.0, "into the part", "compensated to the wrong side"),
        (5.3, "into the part", "compensated to the wrong side"),
        (6.9, "into the part", ""),
        (-3.0, "out of it", "compensated twice"),
        (-2.3, "out of it", "compensated twice"),
        (-3.9, "out of it", ""),
        (-6.0, "out of it", ""),
    ],
)
def test_compensation_is_named_where_it_comes_near_a_tools_width_or_half_of_it(
    by: float, side: str, named: str
) -> None:
    said = words("compensation", by, ROUTER)
    assert said.startswith(f"every cut stands {abs(by):.1f} {side}")
    assert (", " in said) is bool(named) and named in said


@pytest.mark.parametrize(("by", "named"), [(0.25, True), (0.16, True), (0.14, False), (0.36, False), (0.5, True)])
def test_a_beam_is_named_within_a_fifth_of_its_width(by: float, named: bool) -> None:
    """0.1 of one 0.5 wide, where a router's is known to 0.8."""
    assert (", " in words("compensation", by, LASER)) is named


@pytest.mark.parametrize(
    ("by", "start"), [(25.4, "25.4"), (-25.4, "25.4"), (26.1, "25.4"), (26.3, ""), (100.5, "100.0")]
)
def test_a_tape_is_known_by_the_mark_that_it_was_started_at(by: float, start: str) -> None:
    said = words("tape-hook", by, ROUTER)
    assert said.startswith(f"every reading is {abs(by):.1f} too {'long' if by > 0 else 'short'}")
    assert (f"as when a tape is started at its {start} mark" in said) if start else "started" not in said


@pytest.mark.parametrize(
    ("cutter", "by", "said"),
    [
        (ROUTER, 3.2, "have the shop compensate by 3.0, to the waste side"),
        (ROUTER, 6.2, "compensate by 3.0 to the other side"),
        (ROUTER, -3.2, "compensate by 3.0 once, "),
        # The tool is wider than it should be, or narrower.
        (ROUTER, 1.5, "compensate by 4.5 where 3.0 was meant"),
        (ROUTER, -1.5, "compensate by 1.5 where 3.0 was meant"),
        (ROUTER, 9.0, "compensate by 12.0 where 3.0 was meant"),
        (ROUTER, -2.1, "compensate by 0.9 where 3.0 was meant"),
        (ROUTER, -4.0, "it should be 3.0, to the waste side"),
        (CENTRE, 1.5, "write cutter.width = 9.0 if the tool is that wide"),
        (CENTRE, -1.5, "write cutter.width = 3.0 if the tool is that wide"),
        (CENTRE, -2.1, "write cutter.width = 1.8 if the tool is that wide"),
        (replace(LASER, path="centre"), -0.14, "write cutter.width = 0.2 if the tool is that wide"),
        # A shop that compensates what is compensated already cuts half a tool's width off, to either side.
        (CENTRE, 3.1, "see whether the shop compensates centre lines"),
        (CENTRE, -2.9, "see whether the shop compensates centre lines"),
        (CENTRE, -4.0, "see whether the shop compensates centre lines"),
    ],
)
def test_what_to_do_about_compensation_is_what_was_left_undone(cutter: Cutter, by: float, said: str) -> None:
    told = mend("compensation", by, cutter)
    assert said in told and told.endswith("; measure the tool's cut in an offcut first")
    assert ("cutter.width" in told) == ("cutter.width" in said)


def test_a_scale_is_divided_by_what_it_is() -> None:
    assert words("scale", 1.02, ROUTER) == "all is 1.0200 times its size"
    assert "divide it by 1.0200" in mend("scale", 1.02, ROUTER)
    assert "along the board all is 0.9900 times" in words("scale-along", 0.99, ROUTER)


def test_which_way_a_cut_or_an_edge_is_off() -> None:
    assert words("board-width", 4.0, ROUTER) == "the board is 4.0 wider than drawn"
    assert words("board-width", -4.0, ROUTER) == "the board is 4.0 narrower than drawn"
    assert "4.0 too near to the lower edge" in words("fence", 4.0, ROUTER)
    assert "4.0 too far from the lower edge" in words("fence", -4.0, ROUTER)
    assert "4.0 too far down the board" in words("plumb-cut", 4.0, ROUTER)
    assert "4.0 too far up the board" in words("plumb-cut", -4.0, ROUTER)
    for cause in CAUSES:
        assert cause.words(1.0, ROUTER, mm) and cause.mend(1.0, ROUTER, mm)


@pytest.mark.parametrize(("name", "least", "none", "most"), [("scale", 0.7, 1.0, 1.3), ("fence", -100.0, 0.0, 100.0)])
def test_a_number_ends_where_it_is_looked_for_no_farther(name: str, least: float, none: float, most: float) -> None:
    """Within a millionth of its reach, either way."""
    cause = TABLE[name]
    assert cause.span() == pytest.approx((least, most))
    hair = (most - none) * 1e-5
    assert [cause.ends(by) for by in (least, least + hair, none, most - hair, most)] == [
        True,
        False,
        False,
        False,
        True,
    ]
    assert not TABLE["ten-times"].ends(0.0), "it is so or not"


# Marks counted off by one. Tips lie 320, 820 and 1320 along, corners 500 and 1000, what looks like one more 0 and 1485.


def written(under: dict[str, str], *keys: str, drawn: AsDrawn = NOTCHED) -> list[Compared]:
    """Readings of which those under a name were taken at another."""
    so = drawn.readings(Moved())
    places = [(key, name) for key in keys for name in under if (key, under[name]) in so]
    return [reading(place, so[place[0], under[place[1]]], drawn) for place in places]


COUNTED = [
    # All marks read one too far on, or too soon; of the corners the last or the first is one that only looks so.
    ({"tip 1": "tip 2", "tip 2": "tip 3", "corner 2": "corner 3"}, "all marks were", "tip 1 was read at tip 2"),
    ({"tip 3": "tip 2", "tip 2": "tip 1", "corner 3": "corner 2"}, "all marks were", "tip 2 was read at tip 1"),
    (
        {"corner 2": TOP, "corner 3": "corner 2", "tip 1": "tip 1"},
        "the marks from corner 2 on",
        f"corner 2 was read at {TOP}",
    ),
    (
        {"corner 3": TOE, "corner 2": "corner 3", "tip 3": "tip 3"},
        "the marks up to corner 3",
        f"corner 3 was read at {TOE}",
    ),
    # From a mark on, counted from the upper end, and up to one, counted from the foot.
    ({"tip 1": "tip 1", "tip 2": "tip 1", "tip 3": "tip 2"}, "the marks from tip 2 on", "tip 2 was read at tip 1"),
    ({"tip 1": "tip 2", "tip 2": "tip 3", "tip 3": "tip 3"}, "the marks up to tip 2 were", "tip 2 was read at tip 3"),
    # Tips alone, where corners are read too.
    (
        {"tip 1": "tip 1", "tip 2": "tip 1", "tip 3": "tip 2", "corner 2": "corner 2", "corner 3": "corner 3"},
        "the tips from tip 2 on",
        "tip 2 was read at tip 1",
    ),
]


@pytest.mark.parametrize(("under", "which", "mark"), COUNTED, ids=[f"{a} {b[:6]}" for _, a, b in COUNTED])
@pytest.mark.parametrize("keys", [("along",), ("along", "from_lower_end"), ("along", "from_edge", "throat")])
def test_marks_counted_off_by_one_are_told_with_where_they_were_read(
    under: dict[str, str], which: str, mark: str, keys: tuple[str, ...]
) -> None:
    found = written(under, *keys)
    found += readings(NOTCHED, lambda place, at: at, ("length", ""), ("width", ""))
    case = fitted(found, NOTCHED, 1.0)
    best = case.fits[0]
    assert best.ids == ("counted-off",) and best.explains and best.worst == 0 and case.apart is None
    assert best.counted is not None and dict(best.counted.marks) == {a: b for a, b in under.items() if a != b}
    job, shown = job_with().job, shown_in("mm")
    assert which in fit_words(best, job, shown) and f"what stands at {mark}" in fit_words(best, job, shown)
    assert "no notch is missing" in mend_words(case, job, shown)


@pytest.mark.parametrize(("key", "end"), [("along", "upper"), ("from_lower_end", "lower")])
def test_who_reads_from_both_ends_may_count_off_in_one_of_them(key: str, end: str) -> None:
    other = {"along": "from_lower_end", "from_lower_end": "along"}[key]
    right = {name: name for name in ("tip 1", "tip 2", "tip 3")}
    found = [*written({**right, "tip 2": "tip 1", "tip 3": "tip 2"}, key), *written(right, other)]
    best = fitted(found, NOTCHED, 1.0).fits[0]
    assert best.ids == ("counted-off",) and best.explains
    assert best.counted is not None and best.counted.key == key
    assert f"hooked at the {end} end" in fit_words(best, job_with().job, shown_in("mm"))


def test_seats_of_a_stringer_without_teeth_are_counted_as_well() -> None:
    three = replace(HOUSED, seats=(*HOUSED.seats, (1300, 250)))
    under = {"tread 1, seat": "tread 1, seat", "tread 2, seat": "tread 1, seat", "tread 3, seat": "tread 2, seat"}
    best = fitted(written(under, "along", drawn=three), three, 1.0).fits[0]
    assert best.ids == ("counted-off",) and best.explains
    assert "tread 2, seat was read at tread 1, seat" in fit_words(best, job_with().job, shown_in("mm"))


def test_seats_are_counted_among_themselves() -> None:
    """A stringer with teeth and seats, however a tip and a seat lie beside each other along it."""
    both = replace(NOTCHED, seats=((400, 250), (900, 250)))
    forth, back = _neighbours(both), _neighbours(both, back=True)
    assert (forth["tip 1"], forth["tip 2"], forth["tread 1, seat"]) == ("tip 2", "tip 3", "tread 2, seat")
    assert (back["tip 2"], back["tip 3"], back["tread 2, seat"]) == ("tip 1", "tip 2", "tread 1, seat")
    assert "tip 3" not in forth and "tread 2, seat" not in forth and "tread 1, seat" not in back


@pytest.mark.parametrize(("off", "explains"), [(1.0, True), (1.001, False)])
def test_a_slip_in_counting_explains_what_is_off_by_the_limit_and_no_more(off: float, explains: bool) -> None:
    found = written({"tip 1": "tip 1", "tip 2": "tip 1", "tip 3": "tip 2"}, "along")
    found[0] = replace(found[0], read=found[0].read + off)
    fit = counted_off(found, NOTCHED, NOTCHED.readings(Moved()), 1.0)
    assert fit is not None and fit.worst == pytest.approx(off) and fit.explains == explains


def test_one_mark_that_is_off_by_a_step_may_be_counted_off_or_read_wrong() -> None:
    found = written({"tip 1": "tip 1", "tip 2": "tip 2", "tip 3": "tip 2"}, "along")
    case = fitted(found, NOTCHED, 1.0)
    assert [fit.ids for fit in case.fits] == [("counted-off",), ("one-reading",)] and case.apart is None
    assert fit_words(case.fits[0], job_with().job, shown_in("mm")) == (
        "what stands at tip 3 was read at tip 2: counted off by one"
    )
    # Off by nearly a step it is one that is wrong, and with another that is off nothing in particular.
    near = [found[0], found[1], replace(found[2], read=found[2].read + 20)]
    assert [fit.ids for fit in fitted(near, NOTCHED, 1.0).fits] == [("one-reading",)]
    both = [replace(found[0], read=found[0].read + 20), found[1], near[2], *written({"corner 2": "corner 2"}, "along")]
    assert not any("counted-off" in fit.ids for fit in fitted(both, NOTCHED, 1.0).fits)


@pytest.mark.parametrize(("cause", "number"), [("compensation", 4.0), ("tape-hook", 25.4), ("plumb-cut", -12.0)])
def test_what_is_wrong_besides_is_told_with_its_number(cause: str, number: float) -> None:
    """Each mark from the second tip on is read at the one before it, of a part that is cut wrong as well."""
    so = TABLE[cause].read(NOTCHED, number)  # type: ignore[index]
    at = {"tip 1": "tip 1", "corner 2": "corner 2", "tip 2": "tip 1", "corner 3": "corner 2", "tip 3": "tip 2"}
    found = [
        reading((key, name), so[key, true])
        for name, true in at.items()
        for key in ("along", "from_lower_end", "from_edge")
    ]
    best = fitted([*found, reading(("length", ""), so["length", ""])], NOTCHED, 1.0).fits[0]
    assert best.ids == ("counted-off", cause) and best.explains
    assert best.numbers == pytest.approx((0.0, number), abs=0.01)
    words = fit_words(best, job_with().job, shown_in("mm"))
    assert words.startswith("the marks from tip 2 on were counted off by one") and "; and " in words


def test_where_no_mark_with_a_number_was_read_nothing_was_counted_off() -> None:
    so = NOTCHED.readings(Moved())
    found = readings(NOTCHED, lambda place, at: at, ("length", ""), ("along", TOP), ("along", HEEL))
    assert counted_off(found, NOTCHED, so, 1.0) is None

"""Lumber laid by hand, wrong in one thing by just more than is allowed and right by just less: what says so."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.values import StockBoards
from cutpath.nest import BadLayout, Keep, Layout
from cutpath.nest.lumber.nest_lumber import PieceLine
from cutpath.nest.lumber.verify import verify_lumber
from cutpath.nest.values import Board, Placed
from cutpath.outline import shift
from tests.laid_by_hand import HAIR, OFF, TRIM
from tests.lumber import SIZE, line, lumber

SAW = SawSpec(3.0, TRIM, 1.0)
STICK = lumber(2000.0)


def sawn(
    lines: Sequence[PieceLine],
    places: Sequence[tuple[float, float, bool, bool]],
    share: float | None = None,
    stick: StockBoards = STICK,
    saw: SawSpec = SAW,
    **more: Any,
) -> None:
    """Hold pieces, one each of as many lines, at (x, y, end for end, turned over) on one stick."""
    parts = tuple(
        Placed(each.label, shift(x, y), turned, x, y, over)
        for each, (x, y, turned, over) in zip(lines, places, strict=True)
    )
    used = max(part.x + each.piece.length for part, each in zip(parts, lines, strict=True))
    laid = replace(Board(stick, parts, used, stick.length - used), **more)
    for each in (share,) if share is not None else (area(lines) / (stick.length * stick.width),):
        layout = Layout((laid,), "length", None, stick.length, stick.length, each)
        verify_lumber(layout, lines, SIZE, [stick], saw)


def area(lines: Sequence[PieceLine]) -> float:
    """Of square pieces and those slanted on the face: a trapezoid's."""
    total = 0.0
    for each in lines:
        wide = 88.9 if each.piece.ripped is None else each.piece.ripped
        across = {"face": 88.9, "edge": 38.1}
        runs = [across[end.seen_on] * math.tan(math.radians(end.angle)) for end in each.piece.ends]
        total += wide * (each.piece.length - sum(runs) / 2)
    return total


def corners(each: PieceLine, x: float, turned: bool, over: bool) -> list[tuple[float, float]]:
    """Of a piece as it lies, in the plane of its angles: lower left, upper left, lower right, upper right.

    As drawn its first slanted end leans on, and the other the same way where they are parallel, else the other way.
    """
    long, high = each.piece.length, {"face": 88.9, "edge": 38.1}[each.piece.ends[0].seen_on]
    first, second = (high * math.tan(math.radians(end.angle)) for end in each.piece.ends)
    if not each.piece.parallel:
        second = -second
    if (first, second) < (0.0, 0.0):
        first, second = -first, -second
    found = [(0.0, 0.0), (first, high), (long - max(second, 0.0), 0.0), (long - max(-second, 0.0), high)]
    if over:
        found = [(long - px, py) for px, py in (found[2], found[3], found[0], found[1])]
    if turned:
        found = [(long - px, high - py) for px, py in (found[3], found[2], found[1], found[0])]
    return [(x + px, py) for px, py in found]


def beyond(a: tuple[float, float], b: tuple[float, float], points: Sequence[tuple[float, float]]) -> float:
    """How far the nearest of some points is off the line from a to b, to its right."""
    long = math.dist(a, b)
    return min(((b[1] - a[1]) * (x - a[0]) - (b[0] - a[0]) * (y - a[1])) / long for x, y in points)


@pytest.mark.parametrize("seen_on", ["face", "edge"])
@pytest.mark.parametrize("left", [(0.0, 0.0), (35.0, 0.0), (20.0, 35.0), (0.0, 45.0)])
@pytest.mark.parametrize("right", [(0.0, 0.0), (35.0, 35.0)])
def test_no_saw_cut_goes_into_the_next_piece(
    left: tuple[float, float], right: tuple[float, float], seen_on: Any
) -> None:
    """A cut's line runs through all of the lumber: each piece stands off the other one's by the saw's width."""
    ways = list(itertools.product((False, True), repeat=2))
    for parallel, one, two in itertools.product((False, True), ways, ways):
        lines = [
            line("left", 600.0, 1, left, seen_on, parallel=parallel),
            line("right", 700.0, 1, right, seen_on, parallel=parallel),
        ]
        a, b = corners(lines[0], TRIM, *one), corners(lines[1], TRIM, *two)
        # What a step along the stick changes of either distance is the cosine of the cut's slant.
        needed = 0.0
        for start, stop, points in ((a[2], a[3], b), (b[1], b[0], a)):
            slope = abs(stop[1] - start[1]) / math.dist(start, stop)
            clear = beyond(start, stop, points)
            needed = max(needed, (3.0 - clear) / slope)
        places = [(TRIM, 0.0, *one), (TRIM + needed + 1e-6, 0.0, *two)]
        sawn(lines, places)
        sawn(lines[::-1], places[::-1])
        places[1] = (TRIM + needed - 0.01, 0.0, *two)
        for order in (1, -1):
            with pytest.raises(BadLayout, match="a cut of piece"):
                sawn(lines[::order], places[::order])


def test_a_square_post_is_cut_the_same_on_face_and_edge() -> None:
    """Parallel slants of 35 degrees lie against each other, a saw's cut apart, whatever they say."""
    post = LumberSize("4x4", 88.9, 88.9)
    lines = [
        line("one", 600.0, 1, (35.0, 35.0), "edge", size=post),
        line("two", 700.0, 1, (35.0, 35.0), "face", size=post),
    ]
    slope = math.tan(math.radians(35.0))
    stick = lumber(2000.0, size="4x4", thickness=88.9)
    for off, holds in ((0.0, True), (-0.01, False)):
        second = TRIM + 600.0 - 88.9 * slope + 3.0 / math.cos(math.radians(35.0)) + off
        parts = tuple(
            Placed(each.label, shift(x, 0.0), False, x, 0.0) for each, x in zip(lines, (TRIM, second), strict=True)
        )
        laid = Board(stick, parts, second + 700.0, 1300.0 - second)
        layout = Layout((laid,), "length", None, 2000.0, 2000.0, (1300.0 - 2 * 88.9 * slope) / 2000.0)
        if holds:
            verify_lumber(layout, lines, post, [stick], SAW)
            continue
        with pytest.raises(BadLayout, match="a cut of piece"):
            verify_lumber(layout, lines, post, [stick], SAW)


def test_a_piece_keeps_to_its_lumber() -> None:
    """Ends, and what is said to be used."""
    one = [line("piece", 600.0)]
    for x, holds in ((TRIM - HAIR, True), (TRIM - OFF, False), (1390.0 + HAIR, True), (1390.0 + OFF, False)):
        if holds:
            sawn(one, [(x, 0.0, False, False)])
            continue
        with pytest.raises(BadLayout, match="past the lumber's ends"):
            sawn(one, [(x, 0.0, False, False)])
    at_50 = [(50.0, 0.0, False, False)]
    sawn(one, at_50, used=650.0 - HAIR, offcut=1350.0)
    for used, offcut, wrong in (
        (650.0 - OFF, 1350.0 + OFF, "said to be used"),
        (650.0, 1350.0 + OFF, "add up"),
        (650.0, 1350.0 - OFF, "add up"),
    ):
        with pytest.raises(BadLayout, match=wrong):
            sawn(one, at_50, used=used, offcut=offcut)
    empty = Layout((Board(STICK, (), 0.0, 2000.0),), "length", None, 2000.0, 2000.0, 0.0)
    with pytest.raises(BadLayout, match="is empty"):
        verify_lumber(empty, [], SIZE, [STICK], SAW)


@pytest.mark.parametrize("back", [False, True])
def test_no_piece_lies_on_a_defect(back: bool) -> None:
    for defect, holds in (
        ((20.0, 50.0), True),
        ((20.0, 50.0 + OFF), False),
        ((650.0, 680.0), True),
        ((650.0 - OFF, 680.0), False),
        ((100.0, 101.0), False),
    ):
        stick = replace(STICK, defects=((1900.0, 1910.0), defect[::-1] if back else defect))
        if holds:
            sawn([line("piece", 600.0)], [(50.0, 0.0, False, False)], stick=stick)
            continue
        with pytest.raises(BadLayout, match="on a defect"):
            sawn([line("piece", 600.0)], [(50.0, 0.0, False, False)], stick=stick)


def test_a_rip_keeps_to_its_lumbers_width() -> None:
    one = [line("strip", 600.0, ripped=40.0)]
    for y, holds in ((-HAIR, True), (-OFF, False), (48.9 + HAIR, True), (48.9 + OFF, False)):
        if holds:
            sawn(one, [(50.0, y, False, False)])
            continue
        with pytest.raises(BadLayout, match="past the lumber's edges"):
            sawn(one, [(50.0, y, False, False)])
    narrow = replace(STICK, least_width=80.0)
    sawn([line("strip", 600.0, ripped=80.0 + HAIR)], [(50.0, 0.0, False, False)], stick=narrow)
    with pytest.raises(BadLayout, match="ripped wider"):
        sawn([line("strip", 600.0, ripped=80.0 + OFF)], [(50.0, 0.0, False, False)], stick=narrow)
    sawn([line("plain", 600.0)], [(50.0, 0.0, False, False)], stick=narrow)


@pytest.mark.parametrize(
    ("y", "x", "long", "holds"),
    [
        (43.0, 50.0, 600.0, True),
        (42.998, 50.0, 600.0, True),
        (42.99, 50.0, 600.0, False),
        (39.0, 50.0, 600.0, False),
        (43.0, 50.01, 600.0, False),
        (43.0, 50.0, 599.9, False),
        (43.0, 653.0, 600.0, True),
        (0.0, 653.0, 600.0, True),
        (0.0, 652.9, 600.0, False),
    ],
)
def test_strips_side_by_side_are_of_one_blank(y: float, x: float, long: float, holds: bool) -> None:
    """Two of 40 in 88.9: 3 for the saw between them, one length, one place; else one after the other."""
    lines = [line("low", 600.0, ripped=40.0), line("high", long, ripped=40.0)]
    places = [(50.0, 0.0, False, False), (x, y, False, False)]
    for order in (1, -1):
        if holds:
            sawn(lines[::order], places[::order])
            continue
        with pytest.raises(BadLayout, match="a cut of piece"):
            sawn(lines[::order], places[::order])
    if holds and x == 50.0:
        for whole_one in (0, 1):
            mixed = list(lines)
            mixed[whole_one] = line("whole", 600.0)
            with pytest.raises(BadLayout, match="a cut of piece"):
                sawn(mixed, places)


def test_slanted_strips_side_by_side_are_no_blank() -> None:
    """What is ripped off a blank with a slanted end is not alike: each has a length of its own."""
    lines = [line(name, 600.0, 1, (35.0, 0.0), ripped=40.0) for name in ("low", "high")]
    with pytest.raises(BadLayout, match="a cut of piece"):
        sawn(lines, [(50.0, 0.0, False, False), (50.0, 43.0, False, False)])


@pytest.mark.parametrize("seen_on", ["face", "edge"])
def test_the_share_of_lumber_that_becomes_pieces_is_held_to_their_areas(seen_on: Any) -> None:
    """Half of what each slant takes off: 88.9 tan 35 on the face, 38.1 tan 35 through the thickness."""
    high = 88.9 if seen_on == "face" else 38.1
    lines = [line("piece", 600.0, 1, (35.0, 20.0), seen_on), line("strip", 500.0, ripped=40.0)]
    long = 600.0 - high * (math.tan(math.radians(35.0)) + math.tan(math.radians(20.0))) / 2
    share = (long * 88.9 + 500.0 * 40.0) / (2000.0 * 88.9)
    places = [(50.0, 0.0, False, False), (900.0, 0.0, False, False)]
    sawn(lines, places, share)
    for off in (2e-9, -2e-9, 1.0):
        with pytest.raises(BadLayout, match="yield"):
            sawn(lines, places, share + off)


def test_lumber_holds_what_is_wanted_of_its_own_section_and_no_more_than_there_is() -> None:
    one = [line("piece", 600.0)]
    place = (50.0, 0.0, False, False)
    sawn([*one], [place])
    part = Placed("Job piece", shift(50.0, 0.0), False, 50.0, 0.0)
    share = 600.0 / 2000.0
    laid = Board(STICK, (part,), 650.0, 1350.0)
    two = Layout((laid, laid), "length", None, 4000.0, 4000.0, share)
    lines = [line("piece", 600.0, 2), line("none", 600.0, 0)]
    verify_lumber(two, lines, SIZE, [replace(STICK, quantity=2), STICK], SAW)
    for wanted in ([line("piece", 600.0, 3)], [line("piece", 600.0)], [*lines, line("more", 600.0)]):
        with pytest.raises(BadLayout, match="wanted"):
            verify_lumber(two, wanted, SIZE, [STICK], SAW)
    one_only = replace(STICK, quantity=1)
    with pytest.raises(BadLayout, match="2 boards"):
        verify_lumber(replace(two, boards=(replace(laid, stock=one_only),) * 2), lines, SIZE, [one_only], SAW)
    other = replace(laid, parts=(replace(part, x=5.0),))
    with pytest.raises(BadLayout, match=r"lumber 2: .* past the lumber's ends"):
        verify_lumber(replace(two, boards=(laid, other)), lines, SIZE, [STICK], SAW)
    with pytest.raises(BadLayout, match="another section"):
        verify_lumber(two, lines, LumberSize("2x6", 38.1, 139.7), [STICK], SAW)
    keep = Keep(300.0, 0.5, 3.0)
    worth = 2 * 0.5 * 1347.0
    kept = replace(two, kept_worth=worth, value=4000.0 - worth, bound=0.0)
    verify_lumber(kept, lines, SIZE, [STICK], SAW, keep)
    with pytest.raises(BadLayout, match="value"):
        verify_lumber(kept, lines, SIZE, [STICK], SAW)

"""A file of one set-up held against lines made by hand: which of several it is, how it lies, and what differs."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from cutpath.cut.program import Operation
from cutpath.faults import Fault
from cutpath.inspect.against.followed import follow
from cutpath.inspect.against.of_job import OfJob
from cutpath.inspect.against.program import (
    FileLines,
    FilePlace,
    WantedCuts,
    handles_near,
    lines_of,
    moved_lines,
    offs,
    programs_of,
    stretches,
    which,
)
from cutpath.inspect.against.table import AGAINST
from cutpath.inspect.against.whole import known_file
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, Followed, Hit, LayerSeen, PartCutHere, Seen
from cutpath.job.values import Layers
from cutpath.outline import Chain, Point, circle, straight
from tests.jobs import job_with, plan_of

#: The second of two boards, with two parts on it.
PARTS = (SimpleNamespace(name="left"), SimpleNamespace(name="right"))
PLAN: Any = SimpleNamespace(layout=SimpleNamespace(boards=(None, SimpleNamespace(parts=PARTS))))
ELBOW = ((0.0, 0.0), (400.0, 0.0), (400.0, 100.0))
SIDE = ((600.0, 0.0), (900.0, 0.0))
SLOT = ((100.0, 30.0), (140.0, 30.0), (140.0, 50.0), (100.0, 50.0))
POCKET = ((700.0, 20.0), (760.0, 20.0), (760.0, 40.0), (700.0, 40.0))
HOLE, INDEX = (
    Operation("drill", 0, centre=(200.0, 60.0), diameter=10.0),
    Operation("drill", -1, centre=(500.0, 50.0), diameter=8.0),
)


AS_MEANT = FilePlace()


def shown(mm: float) -> str:
    return f"{mm:.2f} mm"


def line(points: tuple[Point, ...], closed: bool = False) -> Chain:
    return straight(points, closed=closed)


def outlined(points: tuple[Point, ...]) -> Operation:
    return Operation("outline", 0, line(points))


WANTED = WantedCuts(
    1,
    2,
    3,
    (
        Operation("outline", 0, line(ELBOW)),
        Operation("outline", 1, line(SIDE)),
        Operation("inner", 0, line(SLOT, closed=True)),
    ),
    (Operation("pocket", 1, line(POCKET, closed=True), depth=12.0),),
    ((HOLE, ""), (INDEX, "index hole")),
    False,
    (1000.0, 300.0),
)


def file(
    *lines: tuple[Point, ...],
    pockets: tuple[tuple[Point, ...], ...] = (POCKET,),
    holes: tuple[tuple[Point, float], ...] = (((200.0, 60.0), 5.0), ((500.0, 50.0), 4.0)),
) -> FileLines:
    """Lines have the handles "0", "1" and on; one of four points is closed."""
    rows = tuple(
        (line(points, len(points) == 4), str(k), "CUT") for k, points in enumerate(lines or (ELBOW, SIDE, SLOT))
    )
    return FileLines(rows, tuple(line(p, closed=True) for p in pockets), holes)


def held(
    there: FileLines, place: FilePlace = AS_MEANT, wanted: WantedCuts = WANTED
) -> tuple[Followed, dict[str, tuple[str, Hit]]]:
    followed, told = follow(there, wanted, place, PLAN, shown)
    assert len({kind for kind, _, _ in told}) == len(told), told
    return followed, {kind: (words, hit) for kind, words, hit in told}


def test_what_is_cut_as_the_job_has_it_differs_in_nothing() -> None:
    followed, told = held(file())
    assert told == {}
    assert (followed.board, followed.set_up, followed.of, followed.where, followed.index_holes) == (2, 2, 3, "", 1)
    assert [(p.name, p.number, p.share, p.deviation) for p in followed.parts] == [
        ("left", 1, 0.5, 0.0),
        ("right", 2, 1.0, 0.0),
    ]


@pytest.mark.parametrize(
    ("off", "kinds"),
    [
        (0.02, set()),
        (0.03, {"small-deviation"}),
        (0.49, {"small-deviation"}),
        (0.51, {"deviation"}),
        (4.9, {"deviation"}),
        (5.2, {"missing-cut", "extra-cut"}),
    ],
)
def test_a_line_that_lies_beside_the_job_s_is_off_and_farther_away_another_one(off: float, kinds: set[str]) -> None:
    beside = tuple((x, y + off) for x, y in SIDE)
    followed, told = held(file(ELBOW, beside, SLOT))
    assert set(told) == kinds
    assert followed.parts[0].deviation == 0
    if "extra-cut" in kinds:
        for words, hit in told.values():
            assert words == "300.00 mm" and hit.size == pytest.approx(300.0)
        assert told["missing-cut"][1].at == pytest.approx((750.0, 0.0))
        assert told["extra-cut"][1].at == pytest.approx((750.0, off))
    else:
        assert followed.parts[1].deviation == pytest.approx(off)
        for words, hit in told.values():
            assert words == shown(off) and hit.size == pytest.approx(off) and (hit.handle, hit.layer) == ("1", "CUT")


def test_what_lacks_and_what_is_too_much_is_told_by_its_length() -> None:
    followed, told = held(file(ELBOW, SLOT))
    ((words, hit),) = told.values()
    assert set(told) == {"missing-cut"} and words == "300.00 mm" and hit.at == pytest.approx((750.0, 0.0))
    assert followed.parts[1].share == 1.0, "of the job's lines"
    _, told = held(file(ELBOW, SIDE, SLOT, ((200.0, 300.0), (250.0, 300.0))))
    ((words, hit),) = told.values()
    assert (
        set(told) == {"extra-cut"}
        and words == "50.00 mm"
        and (hit.handle, hit.at) == ("3", pytest.approx((225.0, 300.0)))
    )
    # A line that ends early, and one that runs on.
    followed, told = held(file(ELBOW[:2], SIDE, SLOT))
    assert set(told) == {"missing-cut"} and told["missing-cut"][0] == "99.95 mm"
    assert followed.parts[0].deviation < 0.1, "what lacks is no deviation besides"
    followed, told = held(file((*ELBOW[:2], (400.0, 160.0)), SIDE, SLOT))
    assert set(told) == {"extra-cut"} and told["extra-cut"][0] == "59.95 mm"
    assert followed.parts[0].deviation < 0.1


@pytest.mark.parametrize(("long", "told"), [(0.09, False), (0.12, True)])
def test_pieces_shorter_than_a_tenth_are_none(long: float, told: bool) -> None:
    assert ("extra-cut" in held(file(ELBOW, SIDE, SLOT, ((200.0, 300.0), (200.0 + long, 300.0))))[1]) == told


@pytest.mark.parametrize(
    ("centre", "diameter", "kinds"),
    [
        ((200.04, 60.0), 10.0, set()),
        ((200.06, 60.0), 10.0, {"hole-moved"}),
        ((200.0, 60.0), 10.04, set()),
        ((200.0, 60.0), 10.06, {"hole-size"}),
        ((200.0, 60.0), 9.94, {"hole-size"}),
        ((200.0, 64.9), 10.0, {"hole-moved"}),
        ((200.0, 65.1), 10.0, {"missing-hole", "extra-hole"}),
    ],
)
def test_holes(centre: Point, diameter: float, kinds: set[str]) -> None:
    followed, told = held(file(holes=((centre, diameter / 2), ((500.0, 50.0), 4.0))))
    assert set(told) == kinds and followed.index_holes == 1
    for kind, (words, hit) in told.items():
        off = math.dist(centre, (200.0, 60.0))
        says = {
            "hole-moved": shown(off),
            "hole-size": f"{shown(diameter)} wide",
            "extra-hole": f"{shown(diameter)} wide",
        }
        assert words == says.get(kind, "10.00 mm wide")
        assert hit.at == pytest.approx((200.0, 60.0) if kind == "missing-hole" else centre)


def test_index_holes_are_told_as_such() -> None:
    followed, told = held(file(holes=(((200.0, 60.0), 5.0),)))
    assert followed.index_holes == 0 and told["missing-hole"][0] == "index hole 8.00 mm wide"
    followed, told = held(file(holes=(((200.0, 60.0), 5.0), ((500.0, 51.0), 4.5))))
    assert followed.index_holes == 1
    assert told["hole-moved"][0] == "index hole, 1.00 mm" and told["hole-size"][0] == "index hole 9.00 mm wide"
    # A small hole is looked for three millimetres round, a large one its radius.
    small = Operation("drill", 0, centre=(200.0, 60.0), diameter=4.0)
    wanted = WantedCuts(1, 2, 3, WANTED.lines, WANTED.pockets, ((small, ""),), False, WANTED.whole)
    for off, kinds in ((2.9, {"hole-moved"}), (3.1, {"missing-hole", "extra-hole"})):
        assert set(held(file(holes=(((200.0 + off, 60.0), 2.0),)), wanted=wanted)[1]) == kinds


@pytest.mark.parametrize(
    ("by", "kinds"),
    [
        (0.0, set()),
        (0.04, set()),
        (0.06, {"small-inner-shape"}),
        (0.49, {"small-inner-shape"}),
        (0.51, {"inner-shape"}),
        (29.0, {"inner-shape"}),
        (31.0, {"missing-pocket", "extra-pocket"}),
        (90.0, {"missing-pocket", "extra-pocket"}),
    ],
)
def test_pockets(by: float, kinds: set[str]) -> None:
    moved = tuple((x + by, y) for x, y in POCKET)
    _, told = held(file(pockets=(moved,)))
    assert set(told) == kinds
    for kind, (words, hit) in told.items():
        assert words == (f"pocket, {shown(by)}" if "inner-shape" in kind else "")
        assert hit.at == pytest.approx((730.0 + by * (kind == "extra-pocket"), 30.0))
        assert hit.size == (pytest.approx(by) if "inner-shape" in kind else None)


def test_of_two_pockets_the_one_that_covers_most_is_it() -> None:
    other = tuple((x + 20.0, y) for x, y in POCKET)
    assert set(held(file(pockets=(other, POCKET)))[1]) == {"extra-pocket"}


#: What is told of how a file lies.
AGAINST_PLACE = ("mirrored", "mirrored-face", "set-up-moved", "scaled")
QUARTER = ((0.0, 1.0), (-1.0, 0.0))


@pytest.mark.parametrize(
    ("place", "words", "kind"),
    [
        (FilePlace(), "", None),
        (
            FilePlace(shift=(-30.0, 12.0)),
            "30.00 mm along and -12.00 mm across from where the job has it",
            "set-up-moved",
        ),
        (FilePlace(QUARTER, (5.0, 6.0), 90.0), "turned 90 degrees", "set-up-moved"),
        (FilePlace(((-1.0, 0.0), (0.0, 1.0)), mirrored=True), "mirrored", "set-up-moved"),
        (FilePlace(((0.5, 0.0), (0.0, 0.5)), (7.0, 8.0), size=2.0), "2 times its size", "scaled"),
        (
            FilePlace(((-0.5, 0.0), (0.0, 0.5)), (7.0, 8.0), 180.0, True, 2.0),
            "mirrored, turned 180 degrees, 2 times its size",
            "scaled",
        ),
    ],
)
def test_where_a_set_up_lies_other_than_the_job_has_it_is_told(place: FilePlace, words: str, kind: str | None) -> None:
    def there(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple(place.back(p) for p in points)

    size = place.size
    holes = ((place.back((200.0, 60.0)), 5.0 * size), (place.back((500.0, 50.0)), 4.0 * size))
    moved = file(there(ELBOW), there(SIDE), there(SLOT), pockets=(there(POCKET),), holes=holes)
    followed, told = held(moved, place)
    assert followed.where == words and set(told) == ({kind} if kind else set())
    if kind:
        said, hit = told[kind]
        assert said == ("2 times its size" if kind == "scaled" else words) and hit.at == pytest.approx(
            place.back((0.0, 0.0))
        )
    assert [p.deviation for p in followed.parts] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert place.there(place.back((3.0, 4.0))) == pytest.approx((3.0, 4.0))
    assert place.map(np.array([place.back((3.0, 4.0))])) == pytest.approx(np.array([(3.0, 4.0)]))
    assert place.moved == (kind is not None)


def test_a_board_whose_parts_share_cuts_may_lie_anywhere_but_mirrored() -> None:
    """And mirrored, too, where nothing is milled into a face."""
    mirrored = FilePlace(((-1.0, 0.0), (0.0, 1.0)), mirrored=True)
    for pockets, place, kinds in (
        (WANTED.pockets, FilePlace(shift=(1000.0, 0.0)), []),
        (WANTED.pockets, mirrored, ["mirrored-face"]),
        ((), mirrored, ["mirrored"]),
    ):
        board = WantedCuts(1, 0, 0, WANTED.lines, pockets, WANTED.holes, True, WANTED.whole)
        _, told = follow(file(), board, place, PLAN, shown)
        assert [each[0] for each in told if each[0] in AGAINST_PLACE] == kinds
    assert {AGAINST[kind].severity for kind in ("mirrored-face", "set-up-moved", "scaled")} == {"spoils"}


def test_each_part_s_deviation_is_its_own() -> None:
    bent = ((0.0, 0.0), (400.3, 0.0), (400.3, 100.0))
    followed, told = held(file(bent, SIDE, SLOT))
    left, right = followed.parts
    assert left.deviation == pytest.approx(0.3) and right.deviation == 0 and set(told) == {"small-deviation"}
    assert left.deviation_at[0] == pytest.approx(400.0, abs=0.4)
    slot = tuple((x, y + 0.7) for x, y in SLOT)
    followed, told = held(file(ELBOW, SIDE, slot))
    assert followed.parts[0].deviation == pytest.approx(0.7) and set(told) == {"deviation"}


OTHER = WantedCuts(
    0, 1, 2, (Operation("outline", 0, line(((0.0, 0.0), (300.0, 200.0), (0.0, 200.0)))),), (), (), False, (600.0,)
)


def test_a_file_is_the_one_that_it_lies_on() -> None:
    for programs in ((WANTED, OTHER), (OTHER, WANTED)):
        for said in (True, False):
            assert which(file(), programs, said=said) == (WANTED, FilePlace())
    assert which(file(), (OTHER,), said=False) is None
    assert which(file(), (OTHER,), said=True) is None
    assert which(file(), (), said=True) is None
    assert which(FileLines((), (), ()), (WANTED,), said=True) is None
    # What a board's file is when its parts are whole in it, that it isn't said to be.
    whole = WantedCuts(1, 0, 3, WANTED.lines, (), (), False, WANTED.whole)
    assert which(file(), (whole,), said=True) is None
    shared = WantedCuts(1, 0, 3, WANTED.lines, (), (), True, WANTED.whole)
    assert which(file(), (shared,), said=True) == (shared, FilePlace())
    empty = WantedCuts(1, 1, 3, (), (), (), False, ())
    for said in (True, False):
        assert which(file(), (empty,), said=said) is None
    assert which(file(), (empty, WANTED), said=True) == (WANTED, FilePlace())


def shifted(points: tuple[Point, ...], x: float, y: float) -> tuple[Point, ...]:
    return tuple((a + x, b + y) for a, b in points)


def test_of_several_files_it_is_the_one_that_has_most_of_it() -> None:
    part = WantedCuts(0, 1, 2, WANTED.lines[:1], (), (), False, WANTED.whole)
    for programs in ((part, WANTED), (WANTED, part)):
        assert which(file(), programs, said=True) == (WANTED, FilePlace())
    assert which(file(ELBOW), (WANTED, part), said=True) == (part, FilePlace())
    # Two boards are cut alike: it may be either, and is called the first.
    again = WantedCuts(0, 2, 3, WANTED.lines, (), (), False, WANTED.whole)
    assert which(file(), (again, WANTED), said=True) == (again, FilePlace())


def test_a_file_where_the_job_has_it_is_that_one_though_a_little_lacks() -> None:
    """Another file of the job's is just that with the little left out, elsewhere."""
    short = (*ELBOW[:2], (400.0, 60.0))
    lines = tuple(Operation("outline", 0, line(shifted(p, 300.0, 40.0), len(p) == 4)) for p in (short, SIDE, SLOT))
    other = WantedCuts(0, 1, 2, lines, (), (), False, WANTED.whole)
    for programs in ((WANTED, other), (other, WANTED)):
        assert which(file(short, SIDE, SLOT), programs, said=True) == (WANTED, FilePlace())
    place = FilePlace(shift=(300.0, 40.0))
    assert which(file(short, SIDE, SLOT), (other,), said=True) == (other, place)


@pytest.mark.parametrize("lacks", [1, 2])
@pytest.mark.parametrize("says", [1, 2, None])
def test_a_set_up_that_lacks_cuts_is_the_one_that_it_says_and_no_other_moved(says: int | None, lacks: int) -> None:
    """Of two set-ups the second has one part, the first three alike, of which one or two were deleted."""
    first = WantedCuts(0, 1, 2, tuple(outlined(shifted(ELBOW, 1000.0 * k, 0.0)) for k in range(3)), (), (), False, ())
    second = WantedCuts(0, 2, 2, (outlined(shifted(ELBOW, 50.0, 30.0)),), (), (), False, ())
    texts = () if says is None else (f"Set-up {says} of 2, board 1 of 2: 2x12. Steps.",)
    chains = [line(shifted(ELBOW, 1000.0 * k, 0.0)) for k in range(3 - lacks)]
    items = tuple(Element(str(k), "LWPOLYLINE", "CUT", "model", chain, None) for k, chain in enumerate(chains))
    layers = (LayerSeen("CUT", frozen=False, off=False),)
    seen = Seen(
        "x.dxf", "R2000", "mm", 1.0, guessed=False, metric=True, items=items, layers=layers, texts=texts
    )  # fmt: skip
    found = known_file(Looked(seen, roles_of(seen, Layers()), Layers()), OfJob(None, (), (first, second)))  # type: ignore[arg-type]
    if says is None:
        # Nobody says that it is one, and it is none as the job has it.
        assert found is None
        return
    assert found is not None
    # Two of three are most of it, whatever is said.
    own = says == 1 or lacks == 1
    assert found.program is (first if own else second) and found.place.moved != own


@pytest.mark.parametrize("lacks", ["left", "right"])
def test_a_file_that_was_moved_is_found_by_whichever_corner_is_whole(lacks: str) -> None:
    elbow = ((100.0, 0.0), *ELBOW[1:]) if lacks == "left" else ELBOW
    side = (SIDE[0], (800.0, 0.0)) if lacks == "right" else SIDE
    lines = [shifted(p, -30.0, 12.0) for p in (elbow, side, SLOT)]
    for way in (1, -1):
        program = WantedCuts(1, 2, 3, WANTED.lines[::way], (), (), False, WANTED.whole)
        found = which(file(*lines[::way]), (program,), said=True)
        assert found is not None and found[0] == program
        assert found[1].shift == pytest.approx((30.0, -12.0), abs=1e-9)
        assert found[1] == FilePlace(shift=found[1].shift)


@pytest.mark.parametrize(("more", "known"), [(3, True), (6, False)])
def test_a_half_of_both_has_to_be_there(more: int, known: bool) -> None:
    """A frame of 1600 and lines of 400 in it: with three of them it is four sevenths of all, with six two fifths."""
    frame = ((0.0, 0.0), (400.0, 0.0), (400.0, 400.0), (0.0, 400.0))
    inside = tuple(((0.0, 50.0 * k), (400.0, 50.0 * k)) for k in range(1, more + 1))
    for there, meant in (((frame,), (frame, *inside)), ((frame, *inside), (frame,))):
        lines = tuple(Operation("outline", 0, line(p, len(p) == 4)) for p in meant)
        program = WantedCuts(0, 1, 2, lines, (), (), False, (4000.0,))
        assert (which(file(*there), (program,), said=True) is not None) == known


@pytest.mark.parametrize("size", [1.0, 25.4, 1 / 25.4])
@pytest.mark.parametrize("quarter", range(4))
@pytest.mark.parametrize("mirror", [1, -1])
def test_quarter_turns_mirrors_and_mixed_units_are_found_where_the_file_says_what_it_is(
    size: float, quarter: int, mirror: int
) -> None:
    cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]

    def there(points: tuple[Point, ...]) -> tuple[Point, ...]:
        # Mirrored, then turned, made larger and shifted.
        rows = [(x * mirror, y) for x, y in points]
        return tuple(((x * cos - y * sin) * size + 70.0, (x * sin + y * cos) * size - 40.0) for x, y in rows)

    moved = file(there(ELBOW), there(SIDE), there(SLOT))
    found = which(moved, (OTHER, WANTED), said=True)
    assert found is not None
    program, place = found
    assert program is WANTED
    assert (place.size, place.turn, place.mirrored) == (size, quarter * 90.0, mirror < 0)
    for point in (*ELBOW, *SIDE, *SLOT):
        assert place.there(there((point,))[0]) == pytest.approx(point, abs=1e-6)
    assert which(moved, (OTHER, WANTED), said=False) is None, "nobody says so"


def test_half_of_the_lines_have_to_lie_on_the_job_s() -> None:
    long = ((0.0, 0.0), (1000.0, 0.0))
    program = WantedCuts(0, 1, 2, (Operation("outline", 0, line(long)),), (), (), False, (1000.0,))
    for share, known in ((0.55, True), (0.45, False)):
        part = file(((0.0, 0.0), (1000.0 * share, 0.0)))
        assert (which(part, (program,), said=True) is not None) == known
        more = file(long, ((0.0, 500.0), (1000.0 * (1 / share - 1), 500.0)))
        assert (which(more, (program,), said=True) is not None) == known
    # Four millimetres off it is near, and six another line.
    assert which(file(((0.0, 4.9), (1000.0, 4.9))), (program,), said=True) is not None


def test_points_far_from_a_line_are_none_of_it() -> None:
    base = shapely.LineString([(0, 0), (100, 0)])
    assert offs(np.zeros((0, 2)), base) == (0.0, (0.0, 0.0))
    assert offs(np.array([(10.0, 1.0), (20.0, 4.9), (30.0, 5.1)]), base) == (pytest.approx(4.9), (20.0, 4.9))
    assert offs(np.array([(10.0, 50.0)]), base)[0] == 0.0


def test_stretches_off_a_line_are_told_whole() -> None:
    base = lines_of([line(((0.0, 0.0), (100.0, 0.0)))])
    away = lines_of([line(((100.0, 0.0), (100.0, 40.0), (160.0, 40.0)))])
    ((part, at),) = stretches(away, base)
    assert part.length == pytest.approx(99.95) and shapely.Point(at).distance(away) < 1e-9
    assert shapely.Point(at).distance(base) > 5
    assert stretches(base, base) == []
    # Round where a contour begins, in the middle of a stretch.
    ((part, _),) = stretches(
        lines_of([line(((50.0, 40.0), (90.0, 40.0), (90.0, 0.0), (10.0, 0.0), (10.0, 40.0)), True)]), base
    )
    assert part.length == pytest.approx(80.0 + 2 * 39.95)
    assert stretches(lines_of([line(((0.0, 3.0), (100.0, 3.0)))]), base) == []


def test_the_line_nearest_to_a_place_gives_its_handle() -> None:
    there = file()
    assert handles_near(there, FilePlace(), (399.0, 90.0)) == ("0", "CUT")
    assert handles_near(there, FilePlace(), (120.0, 41.0)) == ("2", "CUT")
    assert handles_near(there, FilePlace(shift=(-300.0, 0.0)), (350.0, 1.0)) == ("1", "CUT")
    assert moved_lines(there, FilePlace(shift=(10.0, 0.0))).bounds == (10.0, 0.0, 910.0, 100.0)
    assert circle((0.0, 0.0), 1.0).closed and PartCutHere("a", 1, 1.0, 0.0, (0.0, 0.0)).number == 1


def test_a_spike_in_either_line_is_a_deviation() -> None:
    """So narrow that it lies between the points that are looked at on the other."""
    spike = (SIDE[0], (750.0, 0.0), (750.1, 0.4), (750.2, 0.0), SIDE[1])
    followed, told = held(file(ELBOW, spike, SLOT))
    assert followed.parts[1].deviation == pytest.approx(0.4) and set(told) == {"small-deviation"}
    assert followed.parts[1].deviation_at == pytest.approx((750.1, 0.4))
    lines = (WANTED.lines[0], Operation("outline", 1, line(spike)), WANTED.lines[2])
    wanted = WantedCuts(1, 2, 3, lines, WANTED.pockets, WANTED.holes, False, (400.0, 0.0))
    followed, told = held(file(), wanted=wanted)
    assert followed.parts[1].deviation == pytest.approx(0.4) and set(told) == {"small-deviation"}
    assert [p.share for p in followed.parts] == [1.0, 1.0], "never more than all"


@pytest.mark.parametrize("first", [True, False], ids=["to the left", "to the right"])
@pytest.mark.parametrize("drawn_off", [0.2, 0.4])
def test_of_what_is_off_in_either_line_the_worst_is_told(first: bool, drawn_off: float) -> None:
    """A spike in the job's line and one in the file's, too narrow for either to be looked at on the other."""

    def spiked(x: float, off: float) -> tuple[Point, ...]:
        return (SIDE[0], (x, 0.0), (x + 0.1, off), (x + 0.2, 0.0), SIDE[1])

    here, there = (650.0, 850.0) if first else (850.0, 650.0)
    lines = (WANTED.lines[0], Operation("outline", 1, line(spiked(here, 0.6 - drawn_off))), WANTED.lines[2])
    wanted = WantedCuts(1, 2, 3, lines, WANTED.pockets, WANTED.holes, False, WANTED.whole)
    followed, _ = held(file(ELBOW, spiked(there, drawn_off), SLOT), wanted=wanted)
    assert followed.parts[1].deviation == pytest.approx(0.4)
    worst = there if drawn_off == 0.4 else here
    assert followed.parts[1].deviation_at == pytest.approx((worst + 0.1, 0.4))


def test_a_part_of_which_nothing_is_cut_here_is_not_told() -> None:
    one = WantedCuts(1, 2, 3, WANTED.lines[1:2], (), (), False, WANTED.whole)
    followed, told = held(file(SIDE, pockets=(), holes=()), wanted=one)
    assert [(p.name, p.number) for p in followed.parts] == [("right", 2)] and told == {}
    # Of one that nothing frees all that there is is cut.
    inner = WantedCuts(1, 2, 3, WANTED.lines[2:], (), (), False, (0.0, 300.0))
    followed, _ = held(file(SLOT, pockets=(), holes=()), wanted=inner)
    assert [(p.name, p.share) for p in followed.parts] == [("left", 1.0)]


def test_unless_a_file_says_what_it_is_nearly_all_has_to_be_there() -> None:
    long = ((0.0, 0.0), (1000.0, 0.0))
    program = WantedCuts(0, 1, 2, (Operation("outline", 0, line(long)),), (), (), False, (1000.0,))
    for share, known in ((0.95, True), (0.8, False)):
        assert (which(file(((0.0, 0.0), (1000.0 * share, 0.0))), (program,), said=False) is not None) == known
        more = file(long, ((0.0, 500.0), (1000.0 * (1 / share - 1), 500.0)))
        assert (which(more, (program,), said=False) is not None) == known
    # Of two places that are as good the one that the job has.
    assert which(file(((0.0, 0.0), (800.0, 0.0))), (program,), said=True) == (program, FilePlace())


def _chain(long: float, x: float = 0.0) -> Chain:
    return line(((x, 0.0), (x + long, 0.0)))


def programs(monkeypatch: pytest.MonkeyPatch, *boards: str, bed: tuple[float, float] | None) -> tuple[WantedCuts, ...]:
    """What is wanted of boards: "whole", "two" set-ups, "none" for one that can't be cut, "shared"."""
    drill, mark = Operation("drill", 1, centre=(30.0, 5.0), diameter=6.0), Operation("mark", 0, _chain(5.0))
    pocket, slot = Operation("pocket", 0, _chain(9.0), depth=4.0), Operation("inner", 1, _chain(20.0))
    outlines = tuple(Operation("outline", part, _chain(long)) for part, long in ((0, 70.0), (1, 40.0), (0, 10.0)))
    every = (drill, mark, pocket, slot, *outlines)
    pin = Operation("drill", -1, centre=(60.0, 5.0), diameter=8.0)
    first = SimpleNamespace(number=1, operations=(pin, drill, slot, outlines[0]), is_index=lambda o: o == pin)
    second = SimpleNamespace(number=2, operations=(mark, pocket, outlines[1], outlines[2]), is_index=lambda o: False)

    def cut(plan: Any, index: int, places: Any) -> str:
        assert places == "places"
        if boards[index] == "none":
            raise Fault("the tool can't follow it")
        return boards[index]

    def divided(plan: Any, index: int, done: str) -> Any:
        set_ups = (first, second) if done == "two" else ()
        return SimpleNamespace(program=SimpleNamespace(operations=every), set_ups=set_ups)

    for name, stand in (("board_program", cut), ("with_set_ups", divided), ("label_places", lambda plan: "places")):
        monkeypatch.setattr(f"cutpath.inspect.against.program.{name}", stand)
    pairs = {"shared": ((0, 1),)}
    rows = tuple(
        SimpleNamespace(parts=PARTS, common=pairs.get(each, ()), pairs=list(pairs.get(each, ()))) for each in boards
    )
    plan: Any = SimpleNamespace(
        layout=SimpleNamespace(boards=rows), job=SimpleNamespace(machine=SimpleNamespace(bed=bed))
    )
    return programs_of(plan)


def test_what_each_file_of_a_job_is_to_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    found = programs(monkeypatch, "whole", "two", "none", "shared", bed=(60.0, 60.0))
    assert [(w.board, w.set_up, w.of, w.shared) for w in found] == [
        (1, 0, 2, False),
        (1, 1, 2, False),
        (1, 2, 2, False),
        (3, 0, 0, True),
    ]
    board, first, second, shared = found
    for each in found:
        assert each.whole == (80.0, 40.0), "of all lines that free it, and no other"
    for each in (board, shared):
        assert [(o.kind, o.part) for o in each.lines] == [
            ("inner", 1),
            ("outline", 0),
            ("outline", 1),
            ("outline", 0),
        ]
        assert [o.kind for o in each.pockets] == ["pocket"]
        assert [(o.centre, what) for o, what in each.holes] == [((30.0, 5.0), "")]
    assert [(o.centre, what) for o, what in first.holes] == [((60.0, 5.0), "index hole"), ((30.0, 5.0), "")]
    assert [o.kind for o in first.lines] == ["inner", "outline"] and first.pockets == ()
    assert [o.kind for o in second.lines] == ["outline", "outline"] and len(second.pockets) == 1
    assert second.holes == ()


def test_boards_that_are_cut_whole_have_their_parts_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    assert programs(monkeypatch, "whole", "whole", bed=(60.0, 60.0)) == ()
    assert programs(monkeypatch, "whole", "whole", bed=None) == ()
    assert [w.board for w in programs(monkeypatch, "whole", "shared", bed=None)] == [1]
    assert [w.board for w in programs(monkeypatch, "shared", "none", "whole", bed=(60.0, 60.0))] == [0]


def test_a_job_s_set_ups_cut_what_its_boards_do() -> None:
    plan = plan_of(job_with("garden-room"))
    found = programs_of(plan)
    assert found
    for number in {w.board for w in found}:
        own = [w for w in found if w.board == number]
        assert [w.set_up for w in own] == list(range(len(own))) and {w.of for w in own} == {len(own) - 1}
        whole, *set_ups = own
        for part in range(len(plan.layout.boards[number].parts)):
            long = sum(o.chain.length() for o in whole.lines if o.part == part and o.kind == "outline" and o.chain)
            here = sum(
                o.chain.length() for w in set_ups for o in w.lines if o.part == part and o.kind == "outline" and o.chain
            )
            # Where two meet both cut a little.
            assert long <= here + 1e-6 < 1.1 * long and whole.whole[part] == pytest.approx(long)

"""A board longer than the bed: few set-ups, all within reach, divided where it does no harm, together the whole cut."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Literal

import pytest
import shapely
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.cut.onboard import part_cut
from cutpath.cut.program import Operation, box_of, fits_bed, program
from cutpath.cut.relief import cut_part
from cutpath.cut.setups.index import holds_together
from cutpath.cut.setups.places import CLEAR, KeepOff, stretch
from cutpath.cut.setups.share_out import NoSetUps, setups
from cutpath.cut.setups.union import chains_match, union_matches
from cutpath.cut.setups.values import Division, PartOnBoard, SetUp
from cutpath.cut.simulate.compare import leave
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import Cutter, Edges, Machine, PathKind, Tabs
from cutpath.outline import Chain, Point, half_turn, shift, straight
from cutpath.tolerances import ARC_CHORD, FILE_MATCH, SHOWN
from cutpath.work.boards import board_program, label_places
from cutpath.work.setups import board_setups, placing
from tests.jobs import job_with, plan_of
from tests.setups_compared import farthest_apart
from tests.stairs import IN, mm, spec

WIDTH = 11.25 * IN
FAR = 600.0
TRIM = 6.35
BOLD = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class Laid(Struct, frozen=True, dict=True):
    """A board with its parts laid out on it, end to end, and its program."""

    operations: tuple[Operation, ...]
    parts: tuple[PartOnBoard, ...]
    length: float
    cutter: Cutter

    def made(self, machine: Machine, **more: object) -> tuple[SetUp, ...]:
        """The set-ups of the board."""
        return setups(
            self.operations, self.parts, self.length, WIDTH, machine, self.cutter.width, mm, **more  # type: ignore[arg-type]
        )  # fmt: skip


def laid(
    counts: Sequence[int],
    edges: Edges = "factory",
    path: PathKind = "design",
    turned: Sequence[bool] = (False, False, False),
    direction: Literal["climb", "conventional"] = "climb",
    width: float = 0.375 * IN,
    rise: float = 7.25 * IN,
) -> Laid:
    """Stringers of so many risers each."""
    cutter = Cutter("router", width, "relieved", path, 0.5 * IN, direction=direction)
    wide = WIDTH if edges == "factory" else WIDTH - 2 * TRIM
    operations: list[Operation] = []
    parts: list[PartOnBoard] = []
    x = 2 * TRIM
    for index, (risers, half) in enumerate(zip(counts, turned, strict=False)):
        stair = Stair(risers, rise, 10.5 * IN, "one-below", 1.5 * IN, 0.0, IN, IN)
        part = replace(cut_part(build_stringer(stair, spec(), wide, mm), "relieved", cutter.radius), edges=edges)
        long = part.outline.extents()[2]
        motion = (half_turn(long, wide) if half else shift(0.0, 0.0)).then(x, (WIDTH - wide) / 2)
        parts.append(PartOnBoard(part, motion))
        label = straight(((x + long / 2, 60.0), (x + long / 2 + 90.0, 60.0)), closed=False)
        operations.append(Operation("mark", index, label))
        operations += part_cut(part, cutter, Tabs(), 0.0, motion, index).operations
        x += long + 0.5 * IN + width
    return Laid(program(operations).operations, tuple(parts), x + TRIM, cutter)


@st.composite
def boards(draw: st.DrawFn) -> tuple[Laid, Machine]:
    counts = draw(
        st.lists(st.integers(6, 20), min_size=1, max_size=1) | st.lists(st.integers(4, 9), min_size=2, max_size=3)
    )
    board = laid(
        counts,
        draw(st.sampled_from(["factory", "trimmed"])),
        draw(st.sampled_from(["design", "centre"])),
        draw(st.tuples(st.booleans(), st.booleans(), st.booleans())),
        draw(st.sampled_from(["climb", "conventional"])),
        draw(st.sampled_from([0.25, 0.375, 0.5, 0.015])) * IN,
        draw(st.floats(6.5, 7.75)) * IN,
    )
    reach = draw(st.floats(40, 100)) * IN
    machine = Machine(
        (reach, FAR),
        12.7,
        TRIM,
        draw(st.sampled_from(["stop", "holes"])) if reach > 50 * IN else "stop",
        overlap=draw(st.sampled_from([3.0, 6.35, 12.0])),
    )
    return board, machine


def points_of(operations: Sequence[Operation]) -> list[Point]:
    """Every place that the tool is sent to, arcs by chords."""
    return [p for o in operations for p in (o.chain.flattened() if o.chain else [o.centre]) if p is not None]


def paths(operations: Sequence[Operation]) -> list[Chain]:
    return [o.chain for o in operations if o.chain is not None and o.kind in ("inner", "outline")]


def harms(placed: PartOnBoard) -> list[tuple[str, shapely.Geometry]]:
    """What no division may stand near, worked out from the outline's roles alone."""
    part, found = placed.part, []
    outline = part.outline.moved(placed.motion)
    roles = part.roles
    edge = None
    for i, (a, b, bulge) in enumerate(outline.segments()):
        ends = roles[i], roles[(i + 1) % len(roles)]
        if bulge:
            found.append(("relief", Chain((a, b), (bulge, 0.0), False).line()))
        elif ends == ("heel", "seat-back"):
            edge = shapely.LineString([a, b])
        elif ends[1] != "tip" or ends[0] not in ("corner", "toe", "sill-face"):
            found.append(("bearing face", shapely.LineString([a, b])))
    found += [("tip", shapely.Point(p)) for p, role in zip(outline.points, roles, strict=True) if role == "tip"]
    for corner in part.corners:
        point = shapely.Point(placed.motion(corner.corner))
        found.append(("throat", point))
        if edge is not None:
            # The throat is the least distance from the corner to the edge behind it: both its ends count.
            found.append(("throat at the edge", shapely.shortest_line(point, edge).boundary.geoms[1]))
    return found


def shared_stretch(division: Division, overlap: float) -> shapely.LineString:
    (x, y), (u, v) = division.at, division.along
    return shapely.LineString([(x - u * overlap / 2, y - v * overlap / 2), (x + u * overlap / 2, y + v * overlap / 2)])


def cuts_at_a_division(pieces: Sequence[Chain], stretch_: shapely.LineString) -> int:
    """How many pieces run along the whole of a stretch."""
    near = [shapely.LineString(p.flattened() + ([p.points[0]] if p.closed else [])) for p in pieces]
    return sum(line.distance(stretch_) < 1e-6 and line.buffer(1e-6).covers(stretch_) for line in near)


@pytest.mark.slow
@BOLD
@given(boards())
def test_set_ups_reach_all_do_no_harm_free_parts_last_and_leave_what_one_would(drawn: tuple[Laid, Machine]) -> None:
    board, machine = drawn
    assert machine.bed is not None
    made = board.made(machine)
    if fits_bed(board.operations, board.length, machine.bed):
        assert made == ()
        return
    within_reach_and_together_the_whole(board, machine, made)
    no_division_near_a_throat_a_tip_or_a_bearing_face(board, machine, made)
    parts_come_free_last(board, made)
    assert farthest_apart(board.length, WIDTH, board.operations, made, board.cutter) < 2 * ARC_CHORD


def within_reach_and_together_the_whole(board: Laid, machine: Machine, made: Sequence[SetUp]) -> None:
    assert machine.bed is not None
    for one in made:
        for x, y in points_of(one.operations):
            assert -1e-6 <= x <= machine.bed[0] + 1e-6
            assert y - min(one.extents[1], 0.0) <= machine.bed[1]
        assert one.board == (-one.offset, board.length - one.offset)
        assert (one.stop is None) == (machine.indexing == "holes")
    for before, here in pairwise(made):
        assert here.slide == pytest.approx(here.offset - before.offset) and here.slide > 0
    union = union_matches(board.operations, made, machine.overlap)
    assert union.ok, union
    # Each division is cut twice for the whole overlap, and nothing else is.
    assert sorted(union.shared) == pytest.approx([machine.overlap] * sum(len(one.divisions) for one in made))


def no_division_near_a_throat_a_tip_or_a_bearing_face(board: Laid, machine: Machine, made: Sequence[SetUp]) -> None:
    twice = [c for one in made for c in paths(one.moved_back())]
    for one in made:
        for division in one.divisions:
            line = shared_stretch(division, machine.overlap)
            placed = board.parts[division.part]
            assert cuts_at_a_division(twice, line) == 2
            for what, place in harms(placed):
                # As the tool sees it: from the end of its cut, half its width beside the path.
                assert shapely.distance(line, place) >= CLEAR + board.cutter.radius - 1e-6, what
            assert division.margin >= CLEAR - 1e-6


def parts_come_free_last(board: Laid, made: Sequence[SetUp]) -> None:
    """And nothing is done to them after."""
    assert sorted(part for one in made for part in one.frees) == list(range(len(board.parts)))
    order = ["drill", "mark", "pocket", "inner", "outline"]
    gone: set[int] = set()
    for one in made:
        kinds = [order.index(o.kind) for o in one.operations]
        assert kinds == sorted(kinds)
        assert not gone & {o.part for o in one.operations}
        outlines = [o.part in one.frees for o in one.operations if o.kind == "outline"]
        assert outlines == sorted(outlines)
        gone |= set(one.frees)


@pytest.mark.slow
@settings(BOLD, max_examples=10)
@given(boards())
def test_index_holes_lie_in_waste_that_is_still_on_and_both_set_ups_reach_them(drawn: tuple[Laid, Machine]) -> None:
    board, machine = drawn
    machine = replace(machine, indexing="holes", index_hole=9.525)
    assert machine.bed is not None
    try:
        made = board.made(machine)
    except NoSetUps as told:
        # Windows of a short bed that share hardly more than the divisions leave no waste for two holes.
        assert machine.bed[0] < 50 * IN and "machine.index_hole" in str(told)
        return
    r = machine.index_hole / 2
    parts = [p.part.outline.moved(p.motion).polygon() for p in board.parts]
    lines = shapely.union_all([c.line() for c in paths(board.operations)])
    cut: list[Chain] = []
    for here, after in pairwise(made):
        cut += paths(here.moved_back())
        assert len(here.drilled) == len(after.pins) == 2
        drills = [o for o in here.operations if here.is_index(o)]
        assert [o.centre for o in drills] == list(here.drilled) and {o.diameter for o in drills} == {machine.index_hole}
        piece = holds_together(board.length, WIDTH, cut, (), board.cutter.width, machine.overlap)
        for hole, pin in zip(here.drilled, after.pins, strict=True):
            assert hole[0] - pin[0] == pytest.approx(after.slide) and hole[1] == pin[1]
            assert r <= pin[0] + 1e-6 and hole[0] <= machine.bed[0] - r + 1e-6
            disc = shapely.Point(hole[0] + here.offset, hole[1]).buffer(r)
            assert shapely.box(0, 0, board.length, WIDTH).contains(disc)
            assert all(not p.intersects(disc) for p in parts)
            # Clear of every cut, on whichever side of its path the tool runs.
            assert disc.distance(lines) > board.cutter.width / 2
            assert piece is not None and piece.contains(disc)
        assert math.dist(*here.drilled) >= 6 * machine.index_hole - 1e-6
    assert all(not one.pins for one in made[:1]) and all(not one.drilled for one in made[-1:])


def test_in_two_set_ups_index_holes_stay_on_until_the_last() -> None:
    board = laid([9])
    made = board.made(Machine((70 * IN, FAR), 12.7, TRIM, "holes"))
    assert len(made) == 2
    left = leave(shapely.box(0, 0, board.length, WIDTH), paths(made[0].moved_back()), board.cutter.width)
    last = max(left, key=lambda p: p.bounds[2])
    for x, y in made[0].drilled:
        assert last.contains(shapely.Point(x + made[0].offset, y))


def fewest(board: Laid, reach: float, overlap: float) -> int:
    """The least count of set-ups of a climb-cut part with factory edges, by a greedy count along its teeth.

    The cut between two riser cuts' admissible stretches is indivisible. Of each riser cut all may be used that keeps
    the clearance; a window holds what it holds of the path, from the plumb cut's end on.
    """
    part, motion = board.parts[0].part, board.parts[0].motion
    keep = CLEAR + board.cutter.radius + overlap / 2
    lean = None
    stretches = []
    for i, (a, b, bulge) in enumerate(part.outline.segments()):
        if not bulge and part.roles[(i + 1) % len(part.roles)] == "tip" and part.roles[i] in ("corner", "toe"):
            (ax, _), (bx, _), long = motion(a), motion(b), math.dist(a, b)
            low, high = sorted((ax + (bx - ax) * keep / long, bx + (ax - bx) * keep / long))
            stretches.append((low, high))
            lean = abs(bx - ax) / long
    assert lean is not None
    half = lean * overlap / 2
    boxes = [box_of(o) for o in board.operations]
    here, end, count = min(b[0] for b in boxes), max(b[2] for b in boxes), 1
    while here + reach < end:
        # The farthest place for a division's middle with all of its shared stretch within reach.
        at = max(min(high, here + reach - half) for low, high in stretches if low + half <= here + reach)
        here, count = at - half, count + 1
    return count


@pytest.mark.slow
@BOLD
@given(st.integers(6, 20), st.floats(40, 100), st.booleans(), st.sampled_from([2.0, 6.35, 20.0]))
@example(15, 50.0, True, 2.0)
def test_set_ups_are_as_few_as_can_be(risers: int, reach: float, half: bool, overlap: float) -> None:
    board = laid([risers], turned=(half,))
    board = replace(board, operations=tuple(o for o in board.operations if o.kind == "outline"))
    made = board.made(Machine((reach * IN, FAR), 12.7, TRIM, overlap=overlap))
    least = fewest(board, reach * IN, overlap)
    assert len(made) == (least if not fits_bed(board.operations, board.length, (reach * IN, FAR)) else 0)


def test_one_place_to_divide_is_enough_and_a_hair_less_reach_is_not() -> None:
    """A reach as long as the longest indivisible stretch does; a hundredth less is told with it, rounded up."""
    board = laid([3])
    low, high = 100.0, 1500.0
    for _ in range(60):
        middle = (low + high) / 2
        try:
            board.made(Machine((middle, FAR), 12.7, TRIM))
            high = middle
        except NoSetUps:
            low = middle
    with pytest.raises(NoSetUps, match=r"machine\.bed: from .* no cut may be divided") as told:
        board.made(Machine((high - 0.01, FAR), 12.7, TRIM))
    assert f"use a bed of {mm(high + SHOWN)} or more" in str(told.value)
    # With no reach to spare the division stands as near to a throat or a tip as any may.
    machine = Machine((high, FAR), 12.7, TRIM)
    no_division_near_a_throat_a_tip_or_a_bearing_face(board, machine, board.made(machine))


def test_the_middle_of_a_riser_cut_is_taken_where_reach_allows() -> None:
    made = laid([12]).made(Machine((80 * IN, FAR), 12.7, TRIM))
    (division,) = made[1].divisions
    placed = laid([12]).parts[0]
    outline, roles = placed.part.outline.moved(placed.motion), placed.part.roles
    mids = [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for i, (a, b, bulge) in enumerate(outline.segments())
        if not bulge and roles[(i + 1) % len(roles)] == "tip"
    ]
    assert min(math.dist(division.at, m) for m in mids) < 1e-6


def test_slides_are_whole_steps_of_the_tape_where_they_can_be() -> None:
    for risers in (10, 14, 18):
        made = laid([risers]).made(Machine((84 * IN, FAR), 12.7, TRIM), step=IN / 8)
        for one in made[1:]:
            assert one.slide / (IN / 8) == pytest.approx(round(one.slide / (IN / 8)))


def test_a_board_that_fits_or_a_bed_that_is_not_stated_needs_no_set_up() -> None:
    board = laid([8])
    assert board.made(Machine(None, 12.7, TRIM)) == ()
    assert board.made(Machine((board.length, FAR), 12.7, TRIM)) == ()
    assert board.made(Machine((board.length - 1, FAR), 12.7, TRIM)) != ()


@pytest.mark.parametrize(
    ("bed", "words"),
    [
        ((2000.0, WIDTH - 1), "wider than the reach across"),
        ((2000.0, WIDTH + 1), "run past its edges"),
        ((250.0, FAR), "no cut may be divided"),
    ],
)
def test_what_cannot_be_cut_is_told_with_a_way_out(bed: tuple[float, float], words: str) -> None:
    with pytest.raises(NoSetUps, match=words) as told:
        laid([12]).made(Machine(bed, 12.7, TRIM))
    assert "machine.bed: " in str(told.value) and "; use a" in str(told.value)


@pytest.mark.slow
def test_the_bed_that_is_told_as_enough_for_a_pocket_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = (Path(__file__).parents[1] / "fixtures" / "closed-string.toml").read_text(encoding="utf-8")
    assert "[machine]\n" in job and "bed" not in job
    file, reach = tmp_path / "a.toml", 355.6
    for _ in range(2):
        file.write_text(job.replace("[machine]\n", f"[machine]\nbed = [{reach}, 2000]\n"), encoding="utf-8")
        status = run(["export", str(file), "-o", str(tmp_path / "out")])
        more = re.search(r"a pocket runs .*use a bed of ([\d.]+) mm or more", capsys.readouterr().err)
        if more:
            reach = float(more[1])
    assert reach > 355.6 and status == 0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("bed", "hole"), [(40, 2.0), (40, 9.525), (50, 9.525), (60, 9.525), (60, 120.0), (66, 2.0), (66, 120.0)]
)
def test_the_ways_out_of_too_little_room_for_index_holes_lead_out(bed: float, hole: float) -> None:
    board, machine = laid([12]), Machine((bed * IN, FAR), 12.7, TRIM, "holes", index_hole=hole)
    try:
        assert board.made(machine)
    except NoSetUps as told:
        assert str(told).startswith("machine.index_hole: ") and 'machine.indexing = "stop"' in str(told)
        assert board.made(replace(machine, indexing="stop"))
        try:
            smaller = bool(board.made(replace(machine, index_hole=2.0)))
        except NoSetUps:
            smaller = False
        assert ("use a smaller hole" in str(told)) == smaller
    else:
        assert (bed, hole) != (60, 120.0)


def test_divisions_keep_clear_of_tabs() -> None:
    board, machine = laid([12]), Machine((80 * IN, FAR), 12.7, TRIM)
    at = board.made(machine)[1].divisions[0].at
    moved = board.made(machine, keep_off=[KeepOff(at, 10.0)])[1].divisions[0].at
    assert math.dist(at, moved) >= 10.0 + board.cutter.radius + machine.overlap / 2 - 1e-6


# The proof itself must be able to fail.


def divided() -> tuple[Laid, Machine, tuple[SetUp, ...]]:
    board, machine = laid([14], "trimmed", "centre"), Machine((70 * IN, FAR), 12.7, TRIM)
    return board, machine, board.made(machine)


def with_outline(one: SetUp, change: object) -> SetUp:
    changed = [replace(o, chain=change(o.chain)) if o.kind == "outline" else o for o in one.operations]  # type: ignore[operator]
    return replace(one, operations=tuple(changed))


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (lambda c: c.moved(shift(0.01, 0.0)), "extra"),
        (lambda c: Chain(c.points[1:], c.bulges[1:], False), "missing"),
        (lambda c: Chain(c.points[:-1], (*c.bulges[:-2], 0.0), False), "missing"),
        (lambda c: Chain(c.points, tuple(b * 1.001 for b in c.bulges), False), "extra"),
        (lambda c: c.reversed(), "extra"),
    ],
)
def test_a_wrong_set_up_is_found_out(change: object, fault: str) -> None:
    board, machine, made = divided()
    wrong = [made[0], with_outline(made[1], change), *made[2:]]
    union = union_matches(board.operations, wrong, machine.overlap)
    assert not union.ok and getattr(union, fault)


def test_a_wrong_slide_a_lost_mark_and_cutting_twice_are_found_out() -> None:
    board, machine, made = divided()
    assert union_matches(board.operations, made, machine.overlap).ok
    assert not union_matches(board.operations, made[:-1], machine.overlap).ok
    slid = [*made[:-1], replace(made[-1], offset=made[-1].offset + 0.01)]
    assert not union_matches(board.operations, slid, machine.overlap).ok
    assert farthest_apart(board.length, WIDTH, board.operations, slid, board.cutter) > 0.005
    assert not union_matches(board.operations, [*made, made[1]], machine.overlap).ok
    unmarked = [replace(one, operations=tuple(o for o in one.operations if o.kind != "mark")) for one in made]
    assert not union_matches(board.operations, unmarked, machine.overlap).ok
    assert not union_matches(board.operations, made, machine.overlap / 2).ok


def test_arcs_are_held_against_arcs_by_stretch() -> None:
    """Half a circle given as two arcs; a piece of it alone, and one on another radius, are told apart."""
    whole = Chain(((10.0, 0.0), (-10.0, 0.0)), (1.0, 0.0), False)
    quarter = math.tan(math.pi / 8)
    first = Chain(((10.0, 0.0), (0.0, 10.0)), (quarter, 0.0), False)
    second = Chain(((0.0, 10.0), (-10.0, 0.0)), (quarter, 0.0), False)
    assert chains_match([whole], [first, second], 0.0).ok
    (gap,) = chains_match([whole], [first], 0.0).missing
    assert math.dist(gap[0], (0.0, 10.0)) < 1e-6 and math.dist(gap[1], (-10.0, 0.0)) < 1e-6
    assert chains_match([whole], [first, second.reversed()], 0.0).extra
    flat = Chain(first.points, (quarter * 0.9, 0.0), False)
    assert chains_match([whole], [flat, second], 0.0).extra


def test_a_stretch_keeps_the_chains_own_vertices_and_never_cuts_an_arc() -> None:
    square = Chain(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)), (0.0, 1.0, 0.0, 0.0), True)
    around = square.length() - 3.0
    part = stretch(square, around, around + 8.0)
    assert part.points == ((0.0, pytest.approx(3.0)), (0.0, 0.0), (pytest.approx(5.0), 0.0))
    assert part.length() == pytest.approx(8.0)
    with pytest.raises(ValueError, match="straight"):
        stretch(square, 2.0, 12.0)


def test_tolerances_are_the_files() -> None:
    """What a file's rounding moves a point by passes, ten times the tolerance does not."""
    board, machine, made = divided()
    for off, ok in ((FILE_MATCH / 4, True), (10 * FILE_MATCH, False)):
        nudged = [with_outline(one, lambda c, off=off: c.moved(shift(off, off))) for one in made]
        assert union_matches(board.operations, nudged, machine.overlap).ok is ok


@pytest.mark.slow
def test_a_label_belongs_to_one_set_up_or_to_a_hand() -> None:
    """Of every bed a label's strokes are all in one set-up, before its part is free, or told to be lettered by hand."""
    planned = plan_of(job_with())
    done = board_program(planned, 0, label_places(planned))
    parts = {o.part for o in done.program.operations if o.label}
    by_hand = by_machine = 0
    for inches in range(24, 100, 4):
        job = replace(planned.job, machine=replace(planned.job.machine, bed=(inches * IN, 60 * IN)))
        try:
            made = board_setups(replace(planned, job=job), 0, done)
        except NoSetUps:
            continue
        left = {part for one in made for part in one.by_hand}
        for part in parts if made else ():
            strokes = sum(o.label and o.part == part for o in done.program.operations)
            lettered = [sum(o.label and o.part == part for o in one.operations) for one in made]
            freed = next(one.number for one in made if part in one.frees)
            if part in left:
                by_hand += 1
                assert not any(lettered) and part in made[freed - 1].by_hand
                said = placing(replace(planned, job=job), 0, made[freed - 1], lambda v: f"{float(v):g}")
                assert any(line.startswith(f"Letter part {part + 1} from the left by hand") for line in said)
            else:
                by_machine += 1
                assert sorted(lettered, reverse=True) == [strokes, *[0] * (len(made) - 1)]
                assert lettered.index(strokes) < freed
    assert by_machine and by_hand, "both are met"

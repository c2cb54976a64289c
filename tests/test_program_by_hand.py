"""What is done on a board and in which order, contours that lie in one line, the trial piece: worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.coincide import apart
from cutpath.cut.features import Hole, Pocket
from cutpath.cut.onboard import cut_together, freeing_paths, inner_path, part_cut
from cutpath.cut.paths import cut_path
from cutpath.cut.program import Operation, box_of, fits_bed, program
from cutpath.cut.relief import CutPart
from cutpath.cut.tool import tool_checks
from cutpath.cut.trial import blank, trial_piece
from cutpath.design.holes import Opening
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Cutter, Tabs
from cutpath.outline import Chain, Motion, Point, shift, straight
from tests.test_tabs_by_hand import NOTCHED, PLATE, SILL, STRIP, part_of

QUARTER = math.tan(math.pi / 8)


def line(*points: Point) -> Chain:
    return straight(points, closed=False)


def near(points: Any) -> list[Any]:
    return [pytest.approx(p, abs=1e-6) for p in points]


def mark(x0: float, x1: float, y: float = 0.0, kind: Any = "mark") -> Operation:
    return Operation(kind, 0, line((x0, y), (x1, y)))


def hole(x: float, y: float = 0.0) -> Operation:
    return Operation("drill", 0, centre=(x, y), diameter=8.0)


# The order.


def test_where_the_tool_comes_down_and_lifts() -> None:
    ring = Operation("inner", 0, straight(((3.0, 4.0), (9.0, 4.0), (9.0, 8.0)), closed=True))
    assert (mark(10, 30).start, mark(10, 30).end) == ((10, 0), (30, 0))
    bent = Operation("inner", 0, line((3.0, 4.0), (9.0, 4.0), (9.0, 8.0)))
    assert (bent.start, bent.end) == ((3, 4), (9, 8))
    assert ring.start == ring.end == (3, 4) and hole(5, 6).start == hole(5, 6).end == (5, 6)


def test_boxes_and_beds() -> None:
    assert box_of(hole(50, 20)) == (46, 16, 54, 24) and box_of(mark(30, 10, 7)) == (10, 7, 30, 7)
    for operations, length, reach, fits in (
        ([mark(10, 90)], 100.0, 100.0, True),
        ([mark(10, 90)], 100.0, 99.9, False),
        ([mark(-5, 90)], 100.0, 105.0, True),
        ([mark(-5, 90)], 100.0, 104.9, False),
        ([mark(10, 108)], 100.0, 108.0, True),
        ([mark(10, 108)], 100.0, 107.9, False),
        ([mark(-5, 50), mark(60, 108)], 100.0, 113.0, True),
        ([mark(-5, 50), mark(60, 108)], 100.0, 112.9, False),
        ([], 100.0, 100.0, True),
        ([], 100.0, 99.9, False),
        ([mark(-5, 900)], 100.0, None, True),
    ):
        assert fits_bed(operations, length, None if reach is None else (reach, 1.0)) is fits


def order(*operations: Operation) -> list[Operation]:
    return list(program(operations).operations)


def test_holes_marks_pockets_and_contours_before_outlines() -> None:
    kinds = ("outline", "inner", "pocket", "mark")
    row = [mark(10, 20, kind=kind) for kind in kinds]
    assert [o.kind for o in order(*row, hole(5))] == ["drill", "mark", "pocket", "inner", "outline"]
    # Outlines as they came.
    outlines = [mark(x, x + 9, kind="outline") for x in (50, 10, 90)]
    assert order(*outlines) == outlines and order() == []


def test_each_kind_leads_to_where_the_next_one_starts() -> None:
    """The last hole is the nearest to the outline's start, each before it the nearest to the next."""
    outline = mark(100, 200, kind="outline")
    assert order(hole(10), hole(90), hole(40), hole(150), outline) == [hole(150), hole(10), hole(40), hole(90), outline]
    # Across as well as along, and without anything after them to the origin.
    assert order(hole(0, 30), hole(20, 0), hole(0, 45)) == [hole(0, 45), hole(0, 30), hole(20, 0)]
    for last, other in ((hole(0, 9.5), hole(10, 0)), (hole(9.5, 0), hole(0, 10))):
        assert order(last, other) == order(other, last) == [other, last]
    high = mark(100, 200, 50, kind="outline")
    assert order(hole(60, 50), hole(90, -40), high) == [hole(90, -40), hole(60, 50), high]
    inner = [mark(30, 60, kind="inner"), mark(95, 80, kind="inner")]
    # The second ends at 80, 20 from the outline's start; the first, at 60, 35 from the second's.
    assert order(*inner, outline) == [inner[0], inner[1], outline]
    # A cut keeps its direction, though its other end is nearer.
    assert order(mark(90, 10, kind="inner"), outline) == [mark(90, 10, kind="inner"), outline]


def test_marks_run_from_either_end() -> None:
    outline = mark(100, 200, kind="outline")
    assert order(mark(90, 60), outline) == [mark(60, 90), outline]
    assert order(mark(60, 90), outline) == [mark(60, 90), outline]
    # 95 to 70 is left at 95; to its start at 70 leads the one that ends at 60.
    assert order(mark(60, 10), mark(95, 70), outline) == [mark(10, 60), mark(70, 95), outline]
    assert order(mark(90, 89.5), outline) == [mark(89.5, 90), outline], "by however little"
    # As near at both ends a mark is left as it is.
    assert order(mark(90, 110), outline)[0] == mark(90, 110)


def test_travel_and_its_bound() -> None:
    """From 60 to 70, and from 95 to 100; no order could leave out the 10 between the marks."""
    found = program([mark(60, 10), mark(95, 70), mark(100, 200, kind="outline")])
    assert found.travel == pytest.approx(10 + 5) and found.travel_bound == pytest.approx(10)
    # Holes at the corners of an oblong of 30 by 40, and one 50 off: 30 + 30 + 40 + 50.
    holes = [hole(0, 0), hole(0, 40), hole(30, 0), hole(30, 40), hole(80, 40)]
    assert program(holes).travel_bound == pytest.approx(150)
    assert program(holes[::-1]).travel_bound == pytest.approx(150)
    # On a row with the farther ones first: the nearest ends count, of every one that is reached.
    row = [
        mark(0, 10, kind="inner"),
        mark(100, 110, kind="inner"),
        mark(30, 15, kind="inner"),
        mark(90, 40, kind="inner"),
    ]
    assert program(row).travel_bound == pytest.approx(5 + 10 + 10)
    assert program([hole(7)]).travel_bound == program([hole(7)]).travel == 0
    both = program([hole(0), hole(9), mark(0, 1, kind="outline"), mark(6, 8, kind="outline")])
    assert both.travel_bound == pytest.approx(9 + 5)


# One part on a board.


def tool(path: Any = "centre", direction: Any = "climb", width: float = 6.0, **more: Any) -> Cutter:
    return Cutter("router", width, "rounded", path, 12.0, direction=direction, **more)


SLOT = Chain(((100.0, -140.0), (140.0, -140.0), (140.0, -120.0), (100.0, -120.0)), (0.0, 1.0, 0.0, 1.0), True)
POCKET = Pocket(straight(((50.0, -90.0), (90.0, -90.0), (90.0, -60.0), (50.0, -60.0)), closed=True), 12.0, "tread 1")
MOVE = Motion(0.6, 0.8, 70.0, 30.0)


def test_all_that_is_done_to_a_part_where_it_lies() -> None:
    part = part_of(NOTCHED, holes=(Hole((60.0, -40.0), 9.0, "bolt"),), slots=(SLOT,), pockets=(POCKET,))
    for path in ("design", "centre"):
        cutter = tool(path, lead=25.0)
        cut = part_cut(part, cutter, Tabs(0), 0.0, MOVE, 4)
        drill, pocket, inner, outline = cut.operations
        assert [o.kind for o in cut.operations] == ["drill", "pocket", "inner", "outline"]
        assert all(o.part == 4 for o in cut.operations)
        assert (drill.centre, drill.diameter) == (MOVE((60.0, -40.0)), 9)
        assert (pocket.chain, pocket.depth) == (POCKET.outline.moved(MOVE), 12)
        assert inner.chain == inner_path(SLOT, cutter).moved(MOVE)
        assert outline.chain == cut_path(part, cutter, 0.0).moved(MOVE)
        assert cut.marks == cut.left_out == cut.tabs == ()
        # Leads are of centre lines alone: 25 on and off at the contour's start.
        assert len(cut.leads) == (2 if path == "centre" else 0)
        for lead in cut.leads:
            assert lead.length() == pytest.approx(25) and outline.chain.points[0] in (lead.points[0], lead.points[1])


def test_tabs_are_marks_beside_a_design_line_and_gaps_in_a_centre_line() -> None:
    part, tabs = part_of(NOTCHED), Tabs(2, 12.0)
    cut = part_cut(part, tool("design", lead=25.0), tabs, 0.0, MOVE, 0)
    assert len(cut.tabs) == 2 and len(cut.marks) == 4 and cut.left_out == cut.leads == ()
    assert [o.chain for o in cut.operations] == [cut_path(part, tool("design"), 0.0).moved(MOVE)]
    plain = part_cut(part, tool("design"), tabs, 0.0, shift(0.0, 0.0), 0)
    assert cut.tabs == plain.tabs and cut.marks == tuple(m.moved(MOVE) for m in plain.marks)
    cut = part_cut(part, tool(lead=25.0), tabs, 0.0, MOVE, 0)
    assert cut.marks == cut.leads == () and len(cut.left_out) == 2 and len(cut.operations) == 2
    # Two tabs on the lower edge, 12 and the tool long, half the tool off.
    for left, along in zip(sorted(cut.left_out, key=lambda c: c.points[0]), (75, 225), strict=True):
        middle = MOVE((0.8 * along - 0.6 * 3, -120 - 0.6 * along - 0.8 * 3))
        assert left.length() == pytest.approx(18)
        assert [*((a + b) / 2 for a, b in zip(*left.points, strict=True))] == near(middle)
    whole = cut_path(part, tool(), 0.0).length()
    assert sum(o.chain.length() for o in cut.operations if o.chain) == pytest.approx(whole - 36)
    # Without a place for any the contour is whole and has its leads.
    none = part_cut(part_of(STRIP, small="sill plate"), tool(lead=25.0), Tabs(0, 12.0, "tabbed"), 0.0, MOVE, 0)
    assert none.tabs == () and len(none.leads) == 2


def on_board(drawn: Any, **more: Any) -> CutPart:
    """A part as it lies on a board, its lower edge level at 0."""
    level = Motion(0.8, 0.6, 72.0, 96.0)
    return part_of(tuple((role, level(point)) for role, point in drawn), **more)


def test_a_plate_on_kept_edges_is_freed_at_each_end() -> None:
    assert len(freeing_paths(on_board(PLATE, edges="factory", width=132.0), tool("design"), 7.0)) == 2
    for part in (on_board(PLATE), on_board(NOTCHED, edges="factory"), on_board(NOTCHED)):
        assert freeing_paths(part, tool("design"), 7.0) == (cut_path(part, tool("design"), 7.0),)
    kept = on_board(NOTCHED, edges="factory")
    below = part_cut(kept, tool("design"), Tabs(0), 7.0, shift(0.0, 0.0), 0)
    assert below.operations[0].chain == cut_path(kept, tool("design"), 7.0) != cut_path(kept, tool("design"), 0.0)


def test_the_tool_runs_inside_a_slot_with_its_waste_on_the_left_of_a_climb_cut() -> None:
    """40 between the round ends' middles, 20 wide: half the tool of 6 in from either side."""
    assert (
        inner_path(SLOT, tool("design")) == SLOT and inner_path(SLOT, tool("design", "conventional")) == SLOT.reversed()
    )
    for direction, way in (("climb", 1), ("conventional", -1)):
        path = inner_path(SLOT, tool("centre", direction))
        assert path.closed and path.area() * way == pytest.approx(40 * 14 + math.pi * 49)
        x0, y0, x1, y1 = path.extents()
        assert (x0, y0, x1, y1) == pytest.approx((93, -137, 147, -123))
        # A tool as wide as the slot makes it in one stroke, between the middles of its ends.
        stroke = inner_path(SLOT, tool("centre", direction, width=20.0))
        assert not stroke.closed and stroke.bulges == (0, 0)
        assert sorted(stroke.points) == near([(100, -130), (140, -130)])
        # Less wide by what no file tells it is a stroke too, though its ends are arcs still.
        stroke = inner_path(SLOT, tool("centre", direction, width=20.0 - 4e-7))
        assert not stroke.closed and sorted(stroke.points) == near([(100, -130), (140, -130)])
        # A hair less wide is a contour still.
        assert inner_path(SLOT, tool("centre", direction, width=19.99)).closed


def test_a_boards_parts_cut_together() -> None:
    """Two rectangles one width of the tool apart: of the first the line between is left out, all else stays."""

    def around(x0: float, x1: float) -> Chain:
        return straight(((x0 - 5, -5.0), (x0 - 5, 55.0), (x1 + 5, 55.0), (x1 + 5, -5.0)), closed=True)

    alone = part_cut(part_of(NOTCHED, pockets=(POCKET,)), tool(width=10.0), Tabs(0), 0.0, MOVE, 0)
    cuts = [
        replace(alone, operations=(*alone.operations[:1], Operation("outline", n, around(x, x + 100))))
        for n, x in enumerate((0.0, 110.0, 400.0))
    ]
    found = cut_together(cuts, [(0, 1)], tool(width=10.0))
    assert found[1:] == cuts[1:] and found[0].operations[0] == alone.operations[0] and len(found[0].operations) == 2
    outline = found[0].operations[1]
    assert (outline.kind, outline.part) == ("outline", 0) and outline.chain is not None
    assert [*outline.chain.points] == near([(102.5, -5), (-5, -5), (-5, 55), (102.5, 55)])
    with pytest.raises(ValueError, match="parts 2 and 3"):
        cut_together(cuts, [(1, 2)], tool(width=10.0))


# Contours in one line.


def told(part: CutPart, cutter: Cutter | None = None) -> str:
    with pytest.raises(ImpossibleStringer) as caught:
        apart(part, cutter or tool("design"))
    return " ".join(caught.value.lines)


def pocket(*points: Point) -> tuple[Pocket, ...]:
    return (Pocket(straight(points, closed=True), 12.0, ""),)


#: A stringer of STRIP's size would have no notch: on a sill, with a level cut, its sides are all there are keys for.
SIDES = part_of((*PLATE[:2], *SILL, *PLATE[3:]))


@pytest.mark.parametrize(
    ("sides", "key", "what"),
    [
        (
            ((310, -290), (310, -270), (300, -270), (300, -290)),
            "stringer.sill_notch.deep",
            "the sill notch's upright face",
        ),
        (((320, -262), (380, -262), (380, -200)), "stringer.sill_notch.high", "the sill notch's level face"),
        (((310, -262), (380, -262), (380, -200)), "stringer.sill_notch.high", "the sill notch's level face"),
        (((0, -100), (20, -100), (20, -30), (0, -30)), "stringer.top_gap", "the plumb cut"),
        (((20, 0), (40, 0), (40, -30)), "stringer.level_cut", "the level cut"),
        (((250, -300), (300, -300), (300, -280)), "stair.tread_thickness", "the seat on the pad"),
        (((16, -132), (80, -180), (80, -100)), "stringer.margin", "the part's edge"),
        (((400, -258), (400, -256), (300, -256)), "stringer.margin", "the part's edge"),
    ],
    ids=[
        "upright-face",
        "level-face",
        "level-face-from-its-corner",
        "plumb-cut",
        "level-cut",
        "seat",
        "lower-edge",
        "front",
    ],
)
def test_a_pocket_along_a_side_is_told_by_the_key_that_moves_it(sides: Any, key: str, what: str) -> None:
    part = replace(SIDES, pockets=pocket(*sides))
    said = told(part)
    assert said.startswith(f"{key}: {what} and the edge of a housing lie so") and "change it by 1 mm or more" in said
    # Turned about, and aside by more than a file can't tell.
    turned = Motion(0.6, 0.8, 30.0, 5.0)
    other = replace(part, outline=part.outline.moved(turned), pockets=(replace(part.pockets[0].moved(turned)),))
    assert told(other).startswith(f"{key}: {what}")
    off = shift(-0.001, 0.002)
    apart(replace(part, pockets=(part.pockets[0].moved(off),)), tool("design"))


def test_a_plain_seat_and_plumb_cut() -> None:
    toe = part_of(PLATE, pockets=pocket((250, -300), (300, -300), (300, -280)))
    assert told(toe).startswith("stair.tread_thickness: the seat on the pad")
    short = part_of((("seat-back", (0.0, -300.0)), *PLATE[2:]), pockets=pocket((0, -100), (20, -100), (0, -30)))
    assert told(short).startswith("stringer.top_gap: the plumb cut")


def test_contours_that_only_meet_or_cross_are_apart() -> None:
    for points in (
        ((310, -290), (290, -290), (290, -270)),
        ((350, -262), (340, -240), (360, -240)),
        ((350, -280), (360, -240), (340, -240)),
        ((100, -100), (150, -100), (150, -150)),
    ):
        apart(replace(SIDES, pockets=pocket(*points)), tool("design"))
    apart(SIDES, tool("design"))
    # As short as chords are off: a corner that lies on the side with its slope.
    apart(replace(SIDES, pockets=pocket((340, -262), (340.0009, -262), (345, -240))), tool("design"))
    assert told(replace(SIDES, pockets=pocket((340, -262), (340.01, -262), (345, -240))))


def test_centre_lines_count_where_files_carry_them() -> None:
    """Half of 6 beside the seat's end, 403 is where the tool runs along the front."""
    part = replace(SIDES, pockets=pocket((403, -258), (403, -256), (300, -256)))
    apart(part, tool("design"))
    assert told(part, tool("centre")).startswith("stringer.margin: the part's edge")
    beside = replace(SIDES, pockets=pocket((-3, -100), (20, -100), (20, -30), (-3, -30)))
    apart(beside, tool("design"))
    assert told(beside, tool("centre")).startswith("stringer.top_gap")


def test_a_slots_side_in_line_with_a_pocket_is_told() -> None:
    part = replace(SIDES, slots=(SLOT,), pockets=pocket((110, -140), (130, -140), (130, -190)))
    for path in ("design", "centre"):
        assert told(part, tool(path)).startswith("holes: a slot's side lies in line with the edge of a housing")
        assert "move it by 1 mm or more" in told(part, tool(path))
    # Its centre line, 3 in, runs along a pocket's edge too, which is as well said of a slot.
    inner = replace(SIDES, slots=(SLOT,), pockets=pocket((110, -137), (130, -137), (130, -190)))
    apart(inner, tool("design"))
    assert "the edge of a housing lie" in told(inner, tool("centre"))
    # The second of two pockets, and of two slots.
    two = replace(part, pockets=(*pocket((50, -100), (60, -100), (60, -90)), *part.pockets))
    assert told(two).startswith("holes:")
    assert told(replace(two, slots=(SLOT.moved(shift(0.0, 45.0)), SLOT))).startswith("holes:")


# The tool in holes and slots.


def opening(width: float, what: str = "bolt", slot: bool = False) -> Opening:
    return Opening(((0.0, 0.0), (30.0, 0.0)) if slot else ((0.0, 0.0),), width, what, 10.0, "holes[0]")


def test_slots_take_the_tool_and_holes_the_drill() -> None:
    router, beam = tool(width=10.0), replace(tool(width=0.2), kind="beam")
    assert tool_checks([], router, 40.0) == ()
    for width, ok in ((10.0, True), (9.9, False)):
        slot, hole_ = tool_checks([opening(width), opening(width, "rod", True)], router, 40.0)
        assert (slot.id, slot.ok, slot.required, slot.value, slot.least) == ("slot-size", ok, True, width, 10)
        assert (hole_.id, hole_.ok, hole_.required, hole_.value, hole_.least) == ("hole-size", ok, False, width, 10)
        assert (slot.source, hole_.source) == ("cutter.width of the job",) * 2
        assert slot.mend == ("" if ok else "a wider slot, or a narrower cutter")
        assert hole_.mend == ("" if ok else "have it drilled with a bit of its own size")
        assert slot.note == 'narrowest slot: holes[0] ("rod")' and hole_.note == 'narrowest hole: holes[0] ("bolt")'
        assert slot.most is hole_.most is None and slot.quantity == "length"
    # A beam makes a hole as wide as the board is thick.
    slot, hole_ = tool_checks([opening(39.0), opening(39.0, "rod", True)], beam, 40.0)
    assert slot.ok and slot.least == 0.2 and not hole_.ok and hole_.least == 40 and "beam" in hole_.source
    # Each kind alone, and of several the narrowest.
    for row, name in (
        ([opening(12.0), opening(8.0, "thin"), opening(9.0)], "hole"),
        ([opening(8.0, slot=True)], "slot"),
    ):
        (check,) = tool_checks(row, router, 40.0)
        assert check.id == f"{name}-size" and check.value == 8


# The trial piece.


def test_the_trial_piece_in_millimetres() -> None:
    """150 by 100, a notch of 50 by 40 out of its upper right corner; margins of a fifth of what is left of 100."""
    piece = trial_piece("mm", "none", 10.0)
    assert piece.outline == straight(((0, 0), (150, 0), (150, 60), (100, 60), (100, 100), (0, 100)), closed=True)
    assert (piece.corner, piece.notch, piece.slot_size) == ((100, 60), (50, 40), (60, 20))
    # 12 in from the left end and from the top.
    assert piece.slot == Chain(((22, 68), (62, 68), (62, 88), (22, 88)), (0, 1, 0, 1), True)
    assert (piece.hole.centre, piece.hole.diameter) == ((150 - 12 - 10, 12 + 10), 20)


def test_the_trial_piece_in_inches() -> None:
    piece = trial_piece("in", "none", 13.0)
    inches = [tuple(v / 25.4 for v in p) for p in piece.outline.points]
    assert inches == near([(0, 0), (6, 0), (6, 2.5), (4, 2.5), (4, 4), (0, 4)])
    assert [v / 25.4 for v in (*piece.corner, *piece.notch, *piece.slot_size)] == near([4, 2.5, 2, 1.5, 2.5, 0.75])
    assert [v / 25.4 for v in (*piece.hole.centre, piece.hole.diameter)] == near([6 - 0.5 - 0.375, 0.5 + 0.375, 0.75])


def test_a_trial_piece_grows_with_the_tool() -> None:
    for width, scale in ((0.2, 1), (13.0, 1), (13.1, 2), (26.0, 2), (26.1, 3)):
        assert trial_piece("mm", "none", width).outline.extents() == (0, 0, 150 * scale, 100 * scale)


def test_a_trial_pieces_corner_is_opened_as_the_jobs_notches() -> None:
    """A tool of 10: on the diagonal 5 sqrt 2 of both sides, else 10 of one."""
    way = 5 * math.sqrt(2)
    for relief, mouths in (
        ("diagonal", ((100 + way, 60), (100, 60 + way))),
        ("riser-side", ((100, 60), (100, 70))),
        ("tread-side", ((110, 60), (100, 60))),
    ):
        outline = trial_piece("mm", relief, 10.0).outline  # type: ignore[arg-type]
        assert [*outline.points] == near([(0, 0), (150, 0), (150, 60), *mouths, (100, 100), (0, 100)])
        assert outline.bulges == (0, 0, 0, -1, 0, 0, 0) and outline.closed


def test_the_offcut_that_a_trial_piece_is_cut_from() -> None:
    piece = trial_piece("mm", "none", 10.0)
    assert blank(piece, 25.0) == straight(((0, 0), (200, 0), (200, 150), (0, 150)), closed=True)
    aside = replace(piece, outline=piece.outline.moved(shift(7.0, 9.0)))
    assert blank(aside, 5.0).extents() == (0, 0, 160, 110)


def test_features_move_with_their_part() -> None:
    moved = Hole((60.0, -40.0), 9.0, "bolt").moved(MOVE)
    assert moved == Hole(MOVE((60.0, -40.0)), 9.0, "bolt")
    assert POCKET.moved(MOVE) == Pocket(POCKET.outline.moved(MOVE), 12.0, "tread 1")

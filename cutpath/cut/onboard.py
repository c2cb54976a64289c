"""The operations that cut one part out of one board, moved to where it lies. Stock coordinates, millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.housing import end_cuts, is_straight
from cutpath.cut.paths import cut_path, leads
from cutpath.cut.program import Operation
from cutpath.cut.relief import CutPart
from cutpath.cut.tabs import Tab, place_tabs, tab_marks, with_gaps
from cutpath.job.values import Cutter, Tabs
from cutpath.outline import Chain, Motion
from cutpath.tolerances import FILE_MATCH


class PartCut(Struct, frozen=True):
    """What is done to one part, where it lies on its board; stock coordinates but for `tabs`.

    Attributes:
        operations: its cuts, holes and pockets.
        marks: of its tabs, where the file carries design lines.
        left_out: stretches of the tool's centre line that tabs leave out.
        leads: onto its closed contour and off it; none where it is open or has tabs left out.
        tabs: that were placed, part frame.
    """

    operations: tuple[Operation, ...]
    marks: tuple[Chain, ...]
    left_out: tuple[Chain, ...]
    leads: tuple[Chain, ...]
    tabs: tuple[Tab, ...]


def part_cut(part: CutPart, cutter: Cutter, tabs: Tabs, surplus: float, motion: Motion, index: int) -> PartCut:
    """The operations of one part on a board.

    Args:
        part: the part.
        cutter: the tool, and what the files carry.
        tabs: what is asked for.
        surplus: how much the board is wider than the part, millimetres.
        motion: from the part's frame to the board's stock coordinates.
        index: the part's number on its board.

    Raises:
        ToolTooWide: the tool's centre can't follow a contour of the part.
    """
    paths = freeing_paths(part, cutter, surplus)
    placed = place_tabs(part, cutter, tabs) if tabs.any else ()
    marks: tuple[Chain, ...] = ()
    pieces = paths
    left_out: tuple[Chain, ...] = ()
    if placed and cutter.path == "design":
        marks = tab_marks(placed, tabs.width)
    elif placed:
        gapped = [with_gaps(path, placed, tabs.width, cutter.radius) for path in paths]
        pieces = tuple(piece for cut, _ in gapped for piece in cut)
        left_out = tuple(stretch for _, left in gapped for stretch in left)
    onto = leads(paths[0], cutter.lead) if cutter.path == "centre" and not left_out else ()
    operations = [
        *(Operation("drill", index, centre=motion(h.centre), diameter=h.diameter) for h in part.holes),
        *(Operation("pocket", index, p.outline.moved(motion), depth=p.depth) for p in part.pockets),
        *(Operation("inner", index, inner_path(slot, cutter).moved(motion)) for slot in part.slots),
        *(Operation("outline", index, piece.moved(motion)) for piece in pieces),
    ]
    return PartCut(
        tuple(operations),
        tuple(m.moved(motion) for m in marks),
        tuple(c.moved(motion) for c in left_out),
        tuple(c.moved(motion) for c in onto),
        placed,
    )


def cut_together(cuts: Sequence[PartCut], pairs: Sequence[tuple[int, int]], cutter: Cutter) -> list[PartCut]:
    """What is done to a board's parts where neighbours share cuts: each shared line in one of the two contours.

    Args:
        cuts: of each part, as cut alone, without tabs and leads.
        pairs: of parts that share a cut, by their numbers.
        cutter: the tool.

    Raises:
        ValueError: two of a pair share no cut.
    """
    from cutpath.cut.shared.once import board_paths

    alone = [tuple(o.chain for o in cut.operations if o.kind == "outline" and o.chain is not None) for cut in cuts]
    return [
        replace(
            cut,
            operations=(
                *(o for o in cut.operations if o.kind != "outline"),
                *(Operation("outline", number, path) for path in paths),
            ),
        )
        for number, (cut, paths) in enumerate(zip(cuts, board_paths(alone, pairs, cutter), strict=True))
    ]


def freeing_paths(part: CutPart, cutter: Cutter, surplus: float) -> tuple[Chain, ...]:
    """The contours that free a part: one, or one at each end where both of the board's edges are kept.

    Args:
        part: the part.
        cutter: its width, whether the file carries the design line or the tool's centre line, the direction.
        surplus: how much the board is wider than the part, below its lower edge, millimetres.

    Returns:
        Chains in the part frame (see `cut.paths`).

    Raises:
        ToolTooWide: the tool's centre can't follow one.
    """
    if part.edges == "factory" and is_straight(part):
        return end_cuts(part, cutter, surplus)
    return (cut_path(part, cutter, surplus),)


def inner_path(slot: Chain, cutter: Cutter) -> Chain:
    """What the tool follows along a contour inside the part: climb runs counter-clockwise, the waste on its left.

    Args:
        slot: closed, counter-clockwise.
        cutter: its width and direction, and whether the file carries the design line or the tool's centre line.

    Returns:
        A closed contour; or, where the tool is as wide as the slot, the one stroke of its centre, open.

    Raises:
        ToolTooWide: the tool is wider than the slot.
    """
    run = slot if cutter.direction == "climb" else slot.reversed()
    if cutter.path == "design":
        return run
    from cutpath.cut.offset.chain import offset_chain

    side = -1 if cutter.direction == "climb" else 1
    path = offset_chain(run, side * cutter.radius, outside=cutter.outside)
    if abs(path.area()) > path.length() * FILE_MATCH:
        return path
    # There and back along one line is a contour without an inside, which no file may hold.
    start, end = max(combinations(path.points, 2), key=lambda ends: math.dist(*ends))
    return Chain((start, end), (0.0, 0.0), False)

"""A board longer than the machine's bed, cut in several set-ups.

The board lies on a fence and is slid to the left between set-ups, its place given by an end stop or by pins in holes
that the machine drills in waste. Set-ups are as few as can be; of those the one is chosen whose divisions do least
harm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache, partial
from itertools import pairwise
from typing import Any

from msgspec.structs import replace

from cutpath.cut.program import Operation, box_of, fits_bed
from cutpath.cut.setups.build import Bench, HolePair, cells_of, set_up
from cutpath.cut.setups.divide import Shares
from cutpath.cut.setups.index import holds_together, hole_clearances, index_pair, spare
from cutpath.cut.setups.places import KeepOff
from cutpath.cut.setups.tracks import tracks
from cutpath.cut.setups.values import PartOnBoard, SetUp
from cutpath.cut.setups.windows import ALIKE, Stuck, choices, least_windows, longest
from cutpath.faults import Fault
from cutpath.job.values import Machine
from cutpath.outline import Box, Point, box_round
from cutpath.tolerances import LIMIT_SLACK, SHOWN
from cutpath.units import Show

# How many set-ups over the fewest are tried where these leave no room for index holes.
_MORE_SET_UPS = 2
# How many ways of laying the windows are looked at closely before one more set-up is tried.
_TRIED = 12
# The least index hole that a job may ask for, millimetres.
_LEAST_HOLE = 2.0
# Of so many ways that are about as good the one with the best index holes is chosen.
_COMPARED = 4


class NoSetUps(Fault):
    """A board can't be cut on the bed, in however many set-ups."""


def setups(
    operations: Sequence[Operation],
    parts: Sequence[PartOnBoard],
    length: float,
    width: float,
    machine: Machine,
    tool_width: float,
    show: Show,
    *,
    step: float = 1.0,
    keep_off: Sequence[KeepOff] = (),
) -> tuple[SetUp, ...]:
    """Share out a board's program among set-ups.

    Args:
        operations: the program, stock coordinates; each one's `part` is an index of `parts`, or -1.
        parts: on the board.
        length: of the board.
        width: of the board.
        machine: its bed, and how the board is indexed.
        tool_width: the cutter's; paths may be design lines or centre lines.
        show: writes millimetres as text in the job's unit, for the faults.
        step: slides are whole numbers of this, millimetres, where they can be.
        keep_off: places that divisions keep clear of: tabs, for one.

    Returns:
        The set-ups in order; none where no bed is stated or the board fits it.

    Raises:
        NoSetUps: the board is too wide, a cut can't be divided where it must be, or no waste holds index holes.
    """
    bed = machine.bed
    if bed is None or not operations:
        return ()
    extents = box_round([box_of(o) for o in operations])
    _check_across(extents, width, bed, show)
    if fits_bed(operations, length, bed):
        return ()
    cells = cells_of(operations, parts, machine, tool_width)
    paths = tracks([c.operation for c in cells], parts, tool_width, machine.overlap, keep_off)
    # A label takes no set-up of its own: what no set-up reaches whole is left to a hand.
    all_but_labels = [t for t in paths if not t.operation.label]
    found = least_windows(all_but_labels, bed[0], machine.overlap)
    if isinstance(found, Stuck):
        raise _stuck(longest(all_but_labels, machine.overlap, found), bed[0], show)
    bench = Bench(paths, cells, tuple(parts), length, width, machine, bed, tool_width)
    best = _searched(bench, *found, extents[2], step)
    if best is not None:
        choice, holes = best
        return tuple(set_up(bench, choice, k, holes) for k in range(len(choice.offsets)))

    def would_do(**changed: Any) -> bool:
        """Whether there are set-ups with something of the machine changed: no way out is told that is none."""
        other = replace(bench, machine=replace(machine, **changed))
        return _searched(other, *found, extents[2], step) is not None

    if machine.indexing == "holes" and would_do(indexing="stop"):
        smaller = "a smaller hole or " if would_do(index_hole=_LEAST_HOLE) else ""
        raise NoSetUps(
            f"machine.index_hole: no waste that two set-ups reach has room for two holes {show(machine.index_hole)} "
            f'wide; use {smaller}machine.indexing = "stop"'
        )
    raise NoSetUps(
        f"machine.bed: on a reach of {show(bed[0])} the board comes apart before its last set-up; use a longer bed, "
        "or shorter boards with fewer parts on each"
    )


def _searched(
    bench: Bench, least: tuple[float, ...], most: tuple[float, ...], end: float, step: float
) -> tuple[Shares, list[HolePair | None]] | None:
    """The best way to lay as few set-ups as work, with their index holes; `least` and `most` bound the fewest's."""
    machine, reach = bench.machine, bench.bed[0]
    for _ in range(_MORE_SET_UPS + 1):
        ways = choices(bench.tracks, reach, machine.overlap, least, most, step, machine.indexing == "holes")
        best = _best(bench, ways[:_TRIED])
        if best is not None:
            return best
        least, most = _one_more(least, most, end, reach)
    return None


def _check_across(extents: Box, width: float, bed: tuple[float, float], show: Show) -> None:
    low, high = min(extents[1], 0.0), max(extents[3], width)
    if width > bed[1] + LIMIT_SLACK:
        raise NoSetUps(
            f"machine.bed: a board {show(width)} wide is wider than the reach across, {show(bed[1])}, and can't be cut "
            "on it; use a wider machine"
        )
    if high - low > bed[1] + LIMIT_SLACK:
        raise NoSetUps(
            f"machine.bed: the cuts of a board {show(width)} wide run past its edges and need {show(high - low)} "
            f"across, where the reach is {show(bed[1])}; use a shorter cutter.overrun or a wider machine"
        )


def _stuck(found: Stuck, reach: float, show: Show) -> NoSetUps:
    low, high = found.span
    needed = f"{show(reach)}; use a bed of {show(high - low + SHOWN)} or more"
    if found.kind in ("pocket", "inner"):
        what = "a pocket" if found.kind == "pocket" else "an inner contour"
        return NoSetUps(
            f"machine.bed: {what} runs from {show(low)} to {show(high)} along the board and is cut in one set-up, and "
            f"the reach is {needed}"
        )
    return NoSetUps(
        f"machine.bed: from {show(max(low, 0.0))} to {show(high)} along the board no cut may be divided, and the "
        f"reach is {needed}, a narrower cutter, or less machine.overlap"
    )


def _one_more(
    least: tuple[float, ...], most: tuple[float, ...], end: float, reach: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Bounds of the offsets with one more window than the fewest."""
    last = max(most[-1], min(most[-1] + reach / 2, end - reach / 4))
    return (most[0], *(min(a, b) for a, b in zip(least, (*most[1:], last), strict=True))), (*most, last)


def _best(bench: Bench, ways: Sequence[Shares]) -> tuple[Shares, list[HolePair | None]] | None:
    """The first way that works; with index holes, of those about as good the one whose pairs are farthest apart."""
    found: list[tuple[float, Shares, list[HolePair | None]]] = []
    for choice in ways:
        if found and (choice.cost > found[0][1].cost + ALIKE or len(found) == _COMPARED):
            break
        holes = _index_holes(bench, choice)
        if holes is not None:
            apart = min((math.dist(*pair) for pair in holes if pair is not None), default=0.0)
            found.append((apart, choice, holes))
            if bench.machine.indexing == "stop":
                break
    best = max(found, key=lambda f: f[0], default=None)
    return None if best is None else best[1:]


def _index_holes(bench: Bench, choice: Shares) -> list[HolePair | None] | None:
    """A pair of holes for each move of the board, stock coordinates (None for each with a stop).

    None in all where the board comes apart too early or there is no room.
    """
    count, machine = len(choice.offsets), bench.machine
    by_window = [bench.paths([p for p in choice.pieces if p.window == k]) for k in range(count)]
    pieces = []
    for k in range(count - 1):
        done = [path for paths in by_window[: k + 1] for path in paths]
        to_do = [path for paths in by_window[k + 1 :] for path in paths]
        piece = holds_together(bench.length, bench.width, done, to_do, bench.tool_width, machine.overlap)
        if piece is None:
            return None
        pieces.append(piece)
    if machine.indexing == "stop":
        return [None] * (count - 1)
    everything = [path for paths in by_window for path in paths]
    # The widest clearance does nearly always; the next is reckoned where it does not.
    room = [
        cache(partial(spare, bench.length, bench.width, bench.parts, everything, bench.tool_width, off))
        for off in hole_clearances(machine.index_hole)
    ]
    found: list[HolePair | None] = []
    taken: list[Point] = []
    r = machine.index_hole / 2
    for k, (here, after) in enumerate(pairwise(choice.offsets)):
        zone = (after + r, here + bench.bed[0] - r)
        # Waste that stays on until the last set-up, or else for as long as it can, at least until it is used.
        pairs = (
            index_pair((area() for area in room), piece, zone, taken, machine.index_hole)
            for piece in reversed(pieces[k:])
        )
        pair = next((p for p in pairs if p is not None), None)
        if pair is None:
            return None
        found.append(pair)
        taken += pair
    return found

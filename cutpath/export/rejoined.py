"""The files of a board's set-ups, read back and put together again on the board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from cutpath.cut.setups.union import chains_match
from cutpath.cut.setups.values import SetUp
from cutpath.drawing import Circle, Drawing, LayerChain
from cutpath.faults import FileMismatch
from cutpath.outline import Chain, shift
from cutpath.plan.values import Plan
from cutpath.work.file_paths import board_file
from cutpath.work.setups import setup_file


def rejoined(plan: Plan, index: int, made: Sequence[SetUp], whole: Drawing, read: Mapping[str, Drawing]) -> Drawing:
    """What the set-ups' files cut together, stock coordinates.

    Args:
        plan: the whole job.
        index: of the board.
        made: its set-ups.
        whole: the board's own file, as read back.
        read: all files, as read back.

    Returns:
        The board's outline with every contour and hole of its set-ups, index holes left out.

    Raises:
        FileMismatch: the files together do not cut what the board's own file cuts.
    """
    layers, count = plan.job.layers, len(plan.layout.boards)
    chains: list[LayerChain] = [c for c in whole.chains if c.layer == layers.stock]
    circles: list[Circle] = []
    for one in made:
        drawing, back = read[setup_file(index, count, one.number)], shift(one.offset, 0.0)
        chains += [replace(c, chain=c.chain.moved(back)) for c in drawing.chains if c.layer != layers.stock]
        drilled = {(round(x, 5), round(y, 5)) for x, y in one.drilled}
        circles += [
            replace(c, centre=back(c.centre))
            for c in drawing.circles
            if (round(c.centre[0], 5), round(c.centre[1], 5)) not in drilled
        ]
    together = Drawing(tuple(chains), tuple(circles))
    if not chains_match(_cuts(whole, layers.cut), _cuts(together, layers.cut), plan.job.machine.overlap).ok:
        raise FileMismatch(
            f"{board_file(index, count)}: the files of its set-ups together do not cut what it cuts; nothing was put "
            "in place; this is a fault of the program, please report it with the job"
        )
    return together


def _cuts(drawing: Drawing, layer: str) -> list[Chain]:
    return [c.chain for c in drawing.chains if c.layer == layer]

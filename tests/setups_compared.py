"""What is left of a board cut in set-ups, held against what is left of it cut at once."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from cutpath.cut.program import Operation
from cutpath.cut.setups.values import SetUp
from cutpath.cut.simulate.compare import compensated, leave
from cutpath.job.values import Cutter
from cutpath.tolerances import ARC_CHORD


def farthest_apart(
    length: float, width: float, whole: Sequence[Operation], made: Sequence[SetUp], cutter: Cutter
) -> float:
    """How far what is left of a board cut in set-ups stands from what is left of it cut at once.

    Args:
        length: of the board.
        width: of the board.
        whole: the program, stock coordinates.
        made: its set-ups.
        cutter: the tool, and what the paths are.

    Returns:
        The greatest distance between the two cut edges, millimetres.
    """

    def left(operations: Sequence[Operation]) -> shapely.Geometry:
        chains = [o.chain for o in operations if o.chain is not None and o.kind in ("inner", "outline")]
        if cutter.path == "design":
            chains = list(compensated(chains, cutter.width, "left" if cutter.direction == "climb" else "right"))
        pieces = leave(shapely.box(0.0, 0.0, length, width), chains, cutter.width)
        # Where a cut runs along an edge at just the tool's width, rounding leaves slivers that no board has.
        thinned = shapely.union_all(pieces).buffer(-ARC_CHORD, join_style="mitre")
        return shapely.boundary(thinned.buffer(ARC_CHORD, join_style="mitre"))

    return float(shapely.hausdorff_distance(left(whole), left([o for one in made for o in one.moved_back()])))

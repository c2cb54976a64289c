"""What the machine does on one board, in the order in which it does it. Stock coordinates, millimetres.

Holes first, then marks, then pockets and inner contours, then outlines, so that nothing is worked on after it has come
loose. Within each of these the order keeps the travel between them short.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

from cutpath.outline import Box, Chain, Point, box_at
from cutpath.tolerances import LIMIT_SLACK

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

OperationKind = Literal["mark", "drill", "pocket", "inner", "outline"]
"""What an operation does: marks the face, drills a hole, clears a pocket, cuts a contour in a part, or frees one."""

ORDER: tuple[OperationKind, ...] = ("drill", "mark", "pocket", "inner", "outline")
"""Kinds of operation in the order in which a board's are done, which is that of its file."""


class Operation(Struct, frozen=True):
    """One thing the machine does.

    Attributes:
        kind: what it is.
        part: index of the part on its board; -1 for none, as of an index hole.
        chain: what is followed, in the order of its vertices; for a drilled hole, None.
        centre: of a drilled hole, else None.
        diameter: of a drilled hole, else 0.
        depth: of a pocket; 0 for what goes through, and for marks.
        label: whether a mark is a stroke of its part's label, which belongs wholly to one set-up.
    """

    kind: OperationKind
    part: int
    chain: Chain | None = None
    centre: Point | None = None
    diameter: float = 0.0
    depth: float = 0.0
    label: bool = False

    @property
    def start(self) -> Point:
        """Where the tool comes down."""
        if self.chain is not None:
            return self.chain.points[0]
        assert self.centre is not None
        return self.centre

    @property
    def end(self) -> Point:
        """Where it lifts."""
        if self.chain is not None:
            return self.chain.points[0] if self.chain.closed else self.chain.points[-1]
        assert self.centre is not None
        return self.centre


def box_of(operation: Operation) -> Box:
    """Exact box of what the tool follows."""
    if operation.chain is not None:
        return operation.chain.extents()
    assert operation.centre is not None
    return box_at(operation.centre, operation.diameter / 2)


def fits_bed(operations: Sequence[Operation], length: float, bed: tuple[float, float] | None) -> bool:
    """Whether a board with all that is done on it lies within the bed's reach along.

    Args:
        operations: of the board.
        length: of the board.
        bed: the machine's reach along and across; None: not stated, and nothing is too long.
    """
    if bed is None:
        return True
    boxes = [box_of(o) for o in operations]
    low, high = min([0.0, *(box[0] for box in boxes)]), max([length, *(box[2] for box in boxes)])
    return high - low <= bed[0] + LIMIT_SLACK


class Program(Struct, frozen=True):
    """A board's operations in order. Millimetres.

    Attributes:
        operations: in order.
        travel: between them, from the first start to the last end.
        travel_bound: a length that no order by `ORDER` could go under.
    """

    operations: tuple[Operation, ...]
    travel: float
    travel_bound: float


def program(operations: Sequence[Operation]) -> Program:
    """Put a board's operations in order.

    Args:
        operations: outlines in the order in which parts lie along the board, the rest in any order. Marks may be run
            from either end; cuts keep their direction.

    Returns:
        The operations by `ORDER`: outlines as they came, which along a board is short already; before them each kind
        on the way that nearest neighbours find, back from where the next kind starts; the travel from the first start
        to the last end; and its bound, the least spanning tree of each kind's operations.
    """
    ordered: list[Operation] = [o for o in operations if o.kind == "outline"]
    for kind in reversed(ORDER[:-1]):
        same = [o for o in operations if o.kind == kind]
        ordered = _leading_to(same, ordered[0].start if ordered else (0.0, 0.0)) + ordered
    bound = sum(_least_tree([o for o in operations if o.kind == kind]) for kind in ORDER)
    return Program(tuple(ordered), _travel(ordered), bound)


def _travel(operations: Sequence[Operation]) -> float:
    return sum(math.dist(a.end, b.start) for a, b in pairwise(operations))


def _turned(operation: Operation) -> Operation:
    assert operation.chain is not None
    return replace(operation, chain=operation.chain.reversed())


def _leading_to(operations: Sequence[Operation], goal: Point) -> list[Operation]:
    """Operations in an order that ends near `goal`: nearest neighbour backwards; a mark is left at its nearer end."""
    import numpy as np

    if not operations:
        return []
    x, y = _ends(operations)
    fixed = np.where([o.kind == "mark" for o in operations], 0.0, np.inf)
    used = np.zeros(len(operations))
    route: list[Operation] = []
    for _ in operations:
        backward, forward = np.hypot(x - goal[0], y - goal[1]) + used
        backward += fixed
        best = int(np.argmin(np.minimum(forward, backward)))
        chosen = operations[best] if forward[best] <= backward[best] else _turned(operations[best])
        used[best] = np.inf
        route.append(chosen)
        goal = chosen.start
    return route[::-1]


def _least_tree(operations: Sequence[Operation]) -> float:
    """Length of the least spanning tree, operations joined at the nearest of their ends (Prim)."""
    import numpy as np

    if len(operations) < 2:
        return 0.0
    x, y = _ends(operations)
    reach = np.full(len(operations), np.inf)
    done = np.zeros(len(operations))
    last, total = 0, 0.0
    for _ in range(len(operations) - 1):
        done[last] = np.inf
        apart = np.hypot(x - x[:, last, None, None], y - y[:, last, None, None])
        np.minimum(reach, apart.min(axis=(0, 1)), out=reach)
        last = int(np.argmin(reach + done))
        total += float(reach[last])
    return total


def _ends(operations: Sequence[Operation]) -> tuple[Floats, Floats]:
    """Where operations start and end: x and y, each 2 by n."""
    import numpy as np

    ends = np.array([[o.start for o in operations], [o.end for o in operations]])
    return ends[:, :, 0].copy(), ends[:, :, 1].copy()

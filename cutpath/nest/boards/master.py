"""A choice in fractions of boards, as a linear program that gains fillings as they are found. HiGHS solves it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.nest.boards.choose import Filling
from cutpath.nest.boards.solver import new_solver
from cutpath.nest.values import Counts


class Master:
    """The choice in fractions as a linear program that gains columns; parts may be left out at a cost."""

    def __init__(
        self, costs: Sequence[float], scale: float, quantities: Sequence[int], wanted: Counts, left_out: float
    ) -> None:
        """Get ready.

        Args:
            costs: of a board of each entry, in shares of the dearest.
            scale: whole units of cost that such a share is.
            quantities: of each entry.
            wanted: parts of each kind.
            left_out: what leaving out a part costs.
        """
        import numpy as np

        self.costs, self.scale, self.kinds = costs, scale, len(wanted)
        self.fillings: dict[Filling, None] = {}
        self._highs = new_solver()
        nothing = (0, np.array([], dtype=np.int32), np.array([], dtype=float))
        for count in wanted:
            self._highs.addRow(float(count), math.inf, *nothing)
        for quantity in quantities:
            self._highs.addRow(-math.inf, float(quantity), *nothing)
        for kind, count in enumerate(wanted):
            one = (1, np.array([kind], dtype=np.int32), np.array([1.0]))
            self._highs.addCol(left_out, 0.0, float(count), *one)

    def add(self, filling: Filling) -> bool:
        """Add a column; whether it is new."""
        import numpy as np

        if filling in self.fillings:
            return False
        self.fillings[filling] = None
        kinds = [k for k, c in enumerate(filling.counts) if c]
        index = np.array([*kinds, self.kinds + filling.entry], dtype=np.int32)
        value = np.array([*(float(filling.counts[k]) for k in kinds), 1.0])
        self._highs.addCol(
            self.costs[filling.entry] - filling.saved / self.scale, 0.0, math.inf, len(index), index, value
        )
        return True

    def solve(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Solve; the worth of a part of each kind, and what a board more of each entry would save (0 or less)."""
        self._highs.run()
        duals = self._highs.getSolution().row_dual
        return tuple(max(0.0, d) for d in duals[: self.kinds]), tuple(min(0.0, d) for d in duals[self.kinds :])

    def cost(self) -> float:
        """What it comes to."""
        return float(self._highs.getInfo().objective_function_value)

    def amounts(self) -> tuple[dict[Filling, float], bool]:
        """Boards of each filling, and whether parts are left out."""
        values = self._highs.getSolution().col_value
        found = {f: x for f, x in zip(self.fillings, values[self.kinds :], strict=True) if x > 1e-9}
        return found, any(x > 1e-6 for x in values[: self.kinds])

"""The choice among fillings as an integer program, solved by HiGHS: one thread, always the same start, silent."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.nest.boards.choose import BoardChoice, Entry, Filling
from cutpath.nest.boards.solver import new_solver

if TYPE_CHECKING:
    from cutpath.nest.boards.so_far import SoFar

#: Search nodes after which the best found so far stands, with its bound. A count, not a time: the same job
#: gives the same layout on every machine.
_NODES = 20_000


#: Nodes for each of the aims past the cost.
_NODES_TIES = 500

#: Nodes times fillings: a node takes the longer the more fillings there are.
_WORK = 3_000_000
_WORK_TIES = 300_000


def best_fillings(
    entries: Sequence[Entry],
    fillings: Sequence[Filling],
    wanted: Sequence[int],
    known: int = 0,
    nodes: int = _NODES,
    ties: bool = True,
    so_far: SoFar | None = None,
) -> BoardChoice | None:
    """The best choice among fillings, aims in turn as in `choose`.

    Args:
        entries: the stock entries.
        fillings: what a board may hold; each stands for its parts or fewer.
        wanted: parts of each kind.
        known: a cost that nothing can be under, if there is one: where it is met the search is over.
        nodes: of the search, after which the best found so far stands.
        ties: whether the aims past the cost count.
        so_far: where it is given, Ctrl-C ends the search and `so_far` then says so; what was found is the answer.

    Returns:
        The choice and the least cost that is proved for these fillings; None where the stock holds too few.
    """
    program = _Program(entries, fillings, wanted, nodes=min(nodes, 1 + _WORK // (1 + len(fillings))), so_far=so_far)
    cost = [entries[f.entry].cost - f.saved for f in fillings]
    bound = program.minimise(cost, known)
    if bound is None:
        return None
    used = sorted({f.entry for f in fillings})
    if not ties or (len(used) == 1 and cost[0] and len(set(cost)) == 1):
        # Of boards of one entry the cost says how many.
        return BoardChoice(program.chosen(fillings), bound)
    program.hold(cost)
    program.limit(min(nodes, _NODES_TIES, 1 + _WORK_TIES // (1 + len(fillings))))
    aims = [[1] * len(fillings), [entries[f.entry].length for f in fillings]]
    aims += [[-1 if f.entry == entry else 0 for f in fillings] for entry in used[:-1]]
    for aim in aims:
        if so_far is not None and so_far.stopped:
            break
        program.minimise(aim)
        program.hold(aim)
    return BoardChoice(program.chosen(fillings), bound)


def most_parts(entries: Sequence[Entry], fillings: Sequence[Filling], wanted: Sequence[int]) -> int:
    """The most parts that the stock holds, none of a kind past what is wanted."""
    program = _Program(entries, fillings, wanted, short=True)
    missing = [0] * len(fillings) + [1] * len(wanted)
    program.minimise(missing)
    return sum(wanted) - sum(program.counts[len(fillings) : program.own])


class _Program:
    """Columns: boards of each filling, and with `short` the parts of each kind that are left out.

    Last, how many boards of each entry there are: what is to be least hangs on these alone, or nearly, and a search
    that can branch on them proves in a few nodes what fillings alone take thousands for.
    """

    def __init__(
        self,
        entries: Sequence[Entry],
        fillings: Sequence[Filling],
        wanted: Sequence[int],
        *,
        short: bool = False,
        nodes: int = _NODES,
        so_far: SoFar | None = None,
    ) -> None:
        import highspy
        import numpy as np

        self.kinds, self._so_far = len(wanted), so_far
        # A row a kind: parts enough. A row an entry that has boards in it: its boards are those of its fillings.
        limited = sorted({f.entry for f in fillings})
        row_of = {entry: self.kinds + i for i, entry in enumerate(limited)}
        columns = [[*((k, c) for k, c in enumerate(f.counts) if c), (row_of[f.entry], 1)] for f in fillings] + (
            [[(k, 1)] for k in range(self.kinds)] if short else []
        )
        self.own = len(columns)
        self.entry_of = {j: limited.index(f.entry) for j, f in enumerate(fillings)}
        columns += [[(row_of[entry], -1)] for entry in limited]
        self.rows = [*((list[tuple[int, int]]()) for _ in range(self.kinds + len(limited)))]
        for j, column in enumerate(columns):
            for i, value in column:
                self.rows[i].append((j, value))
        self.least = [*map(float, wanted), *(0.0 for _ in limited)]
        self.most = [*(math.inf for _ in wanted), *(0.0 for _ in limited)]
        self.upper = [float(entries[e].quantity) for e in limited]
        upper = [float(entries[f.entry].quantity) for f in fillings] + list(map(float, wanted)) * short + self.upper
        self.counts = [0] * len(columns)
        self._found = False

        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(columns), len(self.rows)
        lp.col_cost_ = np.zeros(len(columns))
        lp.col_lower_, lp.col_upper_ = np.zeros(len(columns)), np.array(upper)
        lp.row_lower_, lp.row_upper_ = np.array(self.least), np.array(self.most)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_ = np.cumsum([0, *map(len, columns)])
        lp.a_matrix_.index_ = np.array([i for column in columns for i, _ in column])
        lp.a_matrix_.value_ = np.array([float(v) for column in columns for _, v in column])
        lp.integrality_ = [highspy.HighsVarType.kInteger] * len(columns)
        self._highs = new_solver()
        self.limit(nodes)
        self._highs.passModel(lp)

    def limit(self, nodes: int) -> None:
        """From here on, search no more nodes than this."""
        self._highs.setOptionValue("mip_max_nodes", nodes)

    def chosen(self, fillings: Sequence[Filling]) -> tuple[tuple[Filling, int], ...]:
        """The fillings of the best found with how many boards of each."""
        return tuple((f, n) for f, n in zip(fillings, self.counts, strict=False) if n)

    def minimise(self, aim: Sequence[int], known: int | None = None) -> int | None:
        """Solve for one aim; `counts` then holds the best found.

        Args:
            aim: what each column adds.
            known: what the aim can't be under, if that is known.

        Returns:
            The least value proved, or None where nothing keeps the rows.
        """
        import highspy
        import numpy as np

        highs = self._highs
        spread = self._by_entry(aim)
        highs.changeColsCost(len(spread), np.arange(len(spread), dtype=np.int32), np.array(spread, dtype=float))
        if self._found:
            # Most often what is at hand is least already, and fractions show it at once.
            highs.setOptionValue("solve_relaxation", True)
            self._run()
            done = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
            least = highs.getInfo().objective_function_value
            highs.setOptionValue("solve_relaxation", False)
            if done and _value(aim, self.counts) <= math.ceil(least - 1e-6):
                return _value(aim, self.counts)
            start = highspy.HighsSolution()
            start.col_value = [float(c) for c in self.counts]
            highs.setSolution(start)
        highs.setOptionValue("objective_target", -math.inf if known is None else known + 0.5)
        self._run()
        found = [round(v) for v in highs.getSolution().col_value]
        stopped = self._so_far is not None and self._so_far.stopped
        if self._found and not stopped and abs(highs.getInfo().objective_function_value - _value(spread, found)) > 0.5:
            # It took its start for better than it is (HiGHS 1.16 does now and then) and sought no further.
            highs.clearSolver()
            self._run()
            found = [round(v) for v in highs.getSolution().col_value]
        if self._keeps(found) and (not self._found or _value(aim, found) <= _value(aim, self.counts)):
            self.counts, self._found = found, True
        if not self._found:
            return None
        value = _value(aim, self.counts)
        if highs.getModelStatus() == highspy.HighsModelStatus.kOptimal or value == known:
            return value
        bound = highs.getInfo().mip_dual_bound
        # Whole columns add whole amounts, and no board counts for more than it costs.
        return max(known or 0, min(value, math.ceil(bound - 1e-4)) if math.isfinite(bound) else 0)

    def _run(self) -> None:
        if self._so_far is None:
            self._highs.run()
            return
        with self._so_far.watching(self._highs):
            self._highs.run()

    def hold(self, aim: Sequence[int]) -> None:
        """From here on, keep the aim at what has been reached."""
        import numpy as np

        row = [(j, a) for j, a in enumerate(self._by_entry(aim)) if a]
        most = float(_value(aim, self.counts))
        self.rows.append(row)
        self.least.append(-math.inf)
        self.most.append(most)
        index = np.array([j for j, _ in row], dtype=np.int32)
        self._highs.addRow(-math.inf, most, len(row), index, np.array([float(a) for _, a in row]))

    def _keeps(self, counts: Sequence[int]) -> bool:
        """Whether whole numbers keep every row, reckoned in whole numbers."""
        if len(counts) != len(self.counts) or any(c < 0 for c in counts):
            return False
        sums = [sum(counts[j] * a for j, a in row) for row in self.rows]
        if any(c > most for c, most in zip(counts[self.own :], self.upper, strict=True)):
            return False
        return all(low <= s <= high for low, s, high in zip(self.least, sums, self.most, strict=True))

    def _by_entry(self, aim: Sequence[int]) -> list[int]:
        """The same aim with what all fillings of an entry have in common put on the entry's number of boards."""
        common: list[int | None] = [None] * len(self.upper)
        for j, entry in self.entry_of.items():
            least = common[entry]
            common[entry] = aim[j] if least is None else max(least, aim[j])
        rest = [a - (common[self.entry_of[j]] or 0) if j in self.entry_of else a for j, a in enumerate(aim)]
        return [*rest, *(value or 0 for value in common)]


def _value(aim: Sequence[int], counts: Sequence[int]) -> int:
    return sum(a * c for a, c in zip(aim, counts, strict=False))

"""Fair steps: what a part takes of a row, whatever stands next to it.

Parts with leaning ends stand close one way and far the other, so the least shift says too little. Measuring each
choice's place from another point than its left end evens that out: a shift from a to b becomes shift + p(a) - p(b),
and along a row all the p but the first and the last cancel. The p that make the least shifts add up to the most come
from a small linear program, which HiGHS solves where there is more to it than that each kind's step be at its most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.nest.boards.row_values import Rack
from cutpath.tolerances import SAME_POINT


def fair_steps(rack: Rack) -> tuple[tuple[float, ...], float, tuple[float, ...]]:
    """What each kind takes of a row at least, and what is to be added once for the row's ends.

    Args:
        rack: all shifts of its choices above zero.

    Returns:
        Steps, one a kind (0 where it does not fit), and the addition: no row is shorter than the steps of its parts
        and the addition come to; and the points from which places were measured, one a setting (0 where it is no use).
    """
    choices = [c for pair in rack.choices for c in pair]
    points = _at_their_most(rack, choices)
    if points is None:
        points = _solved(rack, choices)
    steps, last = _steps(rack, choices, points)
    at = [0.0] * len(rack.settings)
    for choice, point in zip(choices, points, strict=True):
        at[choice] = point
    return steps, last, tuple(at)


def _at_their_most(rack: Rack, choices: Sequence[int]) -> Sequence[float] | None:
    """Points with which every kind's step is as long as any could make it; None where no points do that for all.

    Along a ring of parts points cancel, so no step of a kind is longer than the mean shift of a ring of its own: of one
    choice beside itself, or of two in turn. Whether there are points for steps as long as that is told by shortest
    ways from choice to choice (R. Bellman, Quarterly of Applied Mathematics 16 (1958) 87-90; memory).
    """
    import numpy as np

    shifts = np.array([[rack.shifts[a][b] for b in choices] for a in choices])
    kinds = np.array([rack.kind_of[c] for c in choices])
    rings = np.where(kinds[:, None] == kinds[None, :], (shifts + shifts.T) / 2, math.inf).min(axis=1)
    most = np.full(len(rack.choices), math.inf)
    np.minimum.at(most, kinds, rings)
    spare = shifts - most[kinds][:, None]
    points = np.zeros(len(choices))
    for _ in range(len(choices) + 1):
        nearer = np.minimum(points, (points[:, None] + spare).min(axis=0))
        if (nearer >= points - SAME_POINT).all():
            return [float(p) for p in points]
        points = nearer
    return None


def _solved(rack: Rack, choices: Sequence[int]) -> Sequence[float]:
    """The best points, by HiGHS."""
    import highspy
    import numpy as np

    from cutpath.nest.boards.solver import new_solver, run

    place = {c: i for i, c in enumerate(choices)}
    count, kinds = len(choices), len(rack.choices)
    # Columns: p of each choice, then the step of each kind. A row each ordered pair: step - p(a) + p(b) <= shift.
    pairs = [(a, b) for a in choices for b in choices]
    index: list[int] = []
    value: list[float] = []
    start = [0]
    for a, b in pairs:
        if a != b:
            index += [place[a], place[b]]
            value += [-1.0, 1.0]
        index.append(count + rack.kind_of[a])
        value.append(1.0)
        start.append(len(index))
    longest = max(rack.settings[c].length for c in choices)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = count + kinds, len(pairs)
    lp.col_cost_ = np.array([0.0] * count + [-1.0 if pair else 0.0 for pair in rack.choices])
    lp.col_lower_ = np.array([-longest] * count + [0.0] * kinds)
    lp.col_upper_ = np.array([longest] * count + [2 * longest if pair else 0.0 for pair in rack.choices])
    lp.row_lower_ = np.full(len(pairs), -math.inf)
    lp.row_upper_ = np.array([rack.shifts[a][b] for a, b in pairs])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_ = np.array(start), np.array(index)
    lp.a_matrix_.value_ = np.array(value)
    highs = new_solver()
    highs.passModel(lp)
    run(highs)
    p = highs.getSolution().col_value[:count]
    return p if len(p) == count else [0.0] * count


def _steps(rack: Rack, choices: Sequence[int], p: Sequence[float]) -> tuple[tuple[float, ...], float]:
    """Steps and addition for any p: they are worked out from the shifts, so the solver's rounding does not matter."""
    at = dict(zip(choices, p, strict=True))
    steps = tuple(
        max(0.0, min((rack.shifts[a][b] + at[a] - at[b] for a in pair for b in choices), default=0.0))
        for pair in rack.choices
    )
    first = max(p)
    alone = {c: rack.settings[c].length - steps[rack.kind_of[c]] for c in choices}
    last = min(at[c] + alone[c] for c in choices)
    # A row of several parts: -p(first) + p(last) and the last one's length; one part alone has no steps before it.
    return steps, min(last - first, min(alone.values()))

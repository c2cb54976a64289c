"""What would mend a throat that is too thin, each with the throat it would give.

Every change is tried by solving and drawing the whole job again with it, since a run or a rise moves the foot too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cutpath.design.stair import FEWEST_RISERS, MOST_RISERS, Stair
from cutpath.faults import ImpossibleStringer, NoStairFits
from cutpath.job.sizes import nominal_sizes
from cutpath.job.values import Job
from cutpath.plan.drawn import design, unjudged
from cutpath.plan.stages import solve
from cutpath.plan.values import Design, Plan
from cutpath.rules.values import RuleSet
from cutpath.tolerances import LIMIT_SLACK, ONE_THICKNESS
from cutpath.units import Show, shown_in, written

# Steps in which another run, or width on sheets, is tried, by the job's unit, millimetres; and how many.
_RUN_STEP = {"in": 25.4 / 4, "mm": 5.0}
_RUN_STEPS = 8
# Likewise of thinner treads, none thinner than boards that people tread on (common practice, no source).
_TREAD_STEP = {"in": 25.4 / 8, "mm": 2.0}
_TREAD_STEPS, _LEAST_TREAD = 8, 25.0

#: Thickness of dimension lumber, nominal 2 in, millimetres: boards under it are offered to nobody who has thicker ones.
_DIMENSION = 38.1


class Mend(Struct, frozen=True):
    """One change that would mend a throat.

    Attributes:
        change: in words.
        throat: the least that it would give, millimetres.
        enough: whether the requirement would be met.
        sets: what makes the change in the job file: for each key what is typed there, "" taking the key out; empty
            where it is not for the keys alone, as with boards that are to be had first.
    """

    change: str
    throat: float
    enough: bool
    sets: tuple[tuple[str, str], ...] = ()


def mends_of(plan: Plan) -> tuple[Mend, ...]:
    """What would mend a plan's thin throat; empty where it holds."""
    if all(check.ok for check in plan.design.checks if check.id == "throat"):
        return ()
    thin = min(board.thickness for board in plan.job.stock)
    least = min(thin, _DIMENSION) - ONE_THICKNESS
    sizes = {name: float(size.width) for name, size in nominal_sizes().items() if size.thickness > least}
    return throat_mends(plan.job, plan.rules, plan.stair, plan.design, sizes, shown_in(plan.job.units))


def throat_mends(
    job: Job, rules: RuleSet, stair: Stair, drawn: Design, sizes: Mapping[str, float], show: Show
) -> tuple[Mend, ...]:
    """Try changes of one thing each.

    Args:
        job: the job.
        rules: its rule set, which every change has to keep.
        stair: the stair that was chosen.
        drawn: its stringer, whose throat is too thin.
        sizes: dressed widths by nominal size, millimetres, to look for wider stock in.
        show: writes millimetres as text in the job's unit.

    Returns:
        The changes that would give a greater throat, those that would be enough first.
    """
    now = drawn.part.throat
    if now is None:
        return ()
    mends: list[Mend] = []
    for kind, changes in _changes(job, stair, drawn.board_width, now, sizes, show):
        best: Mend | None = None
        for text, changed, width, sets in changes:
            got = _throat(changed, rules, width, show)
            if got is None or got <= now + LIMIT_SLACK or (best and got <= best.throat):
                continue
            best = Mend(f"{kind}: {text}", got, got >= job.stringer.throat_least - LIMIT_SLACK, sets)
            if best.enough:
                break
        if best:
            mends.append(best)
    return tuple(sorted(mends, key=lambda m: not m.enough))


def _throat(job: Job, rules: RuleSet, width: float, show: Show) -> float | None:
    try:
        return design(unjudged(job), rules, solve(job, rules, show).stair, width, show).part.throat
    except (NoStairFits, ImpossibleStringer):
        return None


_Sets = tuple[tuple[str, str], ...]
_Change = tuple[str, Job, float, _Sets]


def _changes(
    job: Job, stair: Stair, width: float, now: float, sizes: Mapping[str, float], show: Show
) -> Iterator[tuple[str, list[_Change]]]:
    """Kinds of change, each with its steps from the smallest on."""
    need = width + job.stringer.throat_least - now
    held = replace(job, stair=replace(job.stair, risers=stair.risers))
    hold = ("stair.risers", str(stair.risers))
    if job.on_sheets:
        yield "wider stringers", _wider_on_sheets(held, hold, need, show)
    else:
        wider = sorted((w, name) for name, w in sizes.items() if w >= need - LIMIT_SLACK)
        boards: list[_Change] = [(f"{name}, {show(w)}", held, w, ()) for w, name in wider]
        yield "wider stock", [*boards, (f"boards at least {show(need)} wide", held, need, ())]

    def run(mm: float) -> tuple[str, str]:
        return "stair.unit_run", f"{written(mm, job.units):.9g}"

    for word, sign in (("shorter", -1), ("longer", 1)):
        runs = [stair.unit_run + sign * _RUN_STEP[job.units] * i for i in range(1, _RUN_STEPS + 1)]
        yield (
            f"{word} run",
            [
                (
                    f"stair.unit_run {show(t)}",
                    replace(held, stair=replace(held.stair, unit_run=t)),
                    width,
                    (hold, run(t)),
                )
                for t in runs
            ],
        )
    counts = sorted(range(FEWEST_RISERS, MOST_RISERS + 1), key=lambda n: (abs(n - stair.risers), -n))
    yield (
        "another count",
        [
            (
                f"stair.risers {n}" + ("" if job.stair.unit_rise is None else ", stair.unit_rise left out"),
                replace(job, stair=replace(job.stair, risers=n, unit_rise=None)),
                width,
                (("stair.risers", str(n)), ("stair.unit_rise", "")),
            )
            for n in counts
            if n != stair.risers
        ],
    )
    thinner = [job.stair.tread_thickness - _TREAD_STEP[job.units] * i for i in range(1, _TREAD_STEPS + 1)]
    yield (
        "thinner treads",
        [
            (
                f"stair.tread_thickness {show(t)}, if such treads carry what they must",
                replace(held, stair=replace(held.stair, tread_thickness=t)),
                width,
                (hold, ("stair.tread_thickness", f"{written(t, job.units):.9g}")),
            )
            for t in thinner
            if t >= _LEAST_TREAD
        ],
    )
    if job.cutter.corner == "relieved":
        round_corner = replace(held, cutter=replace(job.cutter, corner="rounded"))
        yield "another corner", [('cutter.corner "rounded"', round_corner, width, (hold, ("cutter.corner", "rounded")))]
    if job.stringer.edges == "trimmed" and not job.on_sheets:
        factory = (("stringer.edges", "factory"), ("stringer.edge_trim", ""))
        kept = replace(held, stringer=replace(job.stringer, edges="factory", edge_trim=0.0))
        yield "factory edges", [('stringer.edges "factory"', kept, width, (hold, *factory))]


def _wider_on_sheets(held: Job, hold: tuple[str, str], need: float, show: Show) -> list[_Change]:
    """The least step of `stringer.width` that leaves the throat wanted, where the sheets have so much."""
    trim, step = held.stringer.edge_trim, _RUN_STEP[held.units]
    width = math.ceil((need - 2 * trim - LIMIT_SLACK) / step) * step
    if width + 2 * trim > max(sheet.least_width for sheet in held.stock):
        return []
    wide = replace(held, stringer=replace(held.stringer, width=width))
    typed = ("stringer.width", f"{written(width, held.units):.9g}")
    return [(f"stringer.width {show(width)}", wide, width + 2 * trim, (hold, typed))]

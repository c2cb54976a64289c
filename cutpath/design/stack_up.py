"""What tolerances add up to: on the stair's rises and goings, and on the throat.

Each is worked out twice: the worst case, where every deviation is at its end and on the wrong side, and the
root-sum-square, where they are independent of each other. What drying does has a direction and is added in full to
both.

What is taken for granted: stringers are set by their top tread, to the accuracy of a cut; each tread lies on a seat of
its own that is off by the cut's tolerance; the pad carries the toe. Drying takes width and no length: tips of teeth
keep their distances, so that it moves only the foot, against all treads, and makes the throat thinner. Millimetres.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

from msgspec import Struct

from cutpath.job.values import Edges, Tolerance
from cutpath.rules.built import Built
from cutpath.rules.check import within
from cutpath.rules.values import Check, RuleSet
from cutpath.units import Show

PlaceDeviation = tuple[int, float]
"""Which place of a row of places a deviation moves, and by how much at most, either way."""


class AddedUp(Struct, frozen=True):
    """What deviations come to, millimetres.

    Attributes:
        worst: with every deviation at its end and on the wrong side.
        rss: the root-sum-square, deviations being independent of each other.
    """

    worst: float
    rss: float


def width_change(start: float, end: float) -> float:
    """By which share of itself a board's width changes from one moisture to another; negative: it shrinks.

    Source: Green, USDA FPL-RP-489: shrinkage S = 6.031 - 0.215 M percent of the green width, 8 to 19 percent moisture.

    Args:
        start: moisture when cut, percent.
        end: moisture in service, percent.
    """
    data = _drying()

    def left(moisture: float) -> float:
        return 100 - float(data["at_dry"]) + float(data["per_percent"]) * moisture

    return left(end) / left(start) - 1


@cache
def _drying() -> dict[str, Any]:
    with Path(__file__).with_name("drying.toml").open("rb") as file:
        return tomllib.load(file)


def spread_of(
    places: Sequence[float], sources: Sequence[PlaceDeviation], moved: Sequence[float], apart: int | None
) -> AddedUp:
    """How far the distances between neighbouring places can come to differ.

    Args:
        places: in a row, as they are meant.
        sources: of deviation, independent of each other.
        moved: by how much each place is moved for certain.
        apart: distances this far from each other in the row are held against each other; None: any two.
    """
    sure = [place + by for place, by in zip(places, moved, strict=True)]
    distances = [b - a for a, b in pairwise(sure)]
    worst = rss = 0.0
    for i, j in combinations(range(len(distances)), 2):
        if apart is not None and j - i != apart:
            continue
        # A place between two neighbours moves both, one longer and one shorter, and so counts twice.
        ends = [(i, i + 1, j, j + 1).count(at) * tolerance for at, tolerance in sources]
        off = abs(distances[i] - distances[j])
        worst = max(worst, off + sum(ends))
        rss = max(rss, off + math.hypot(*ends))
    return AddedUp(worst, rss)


def rises(tolerance: Tolerance, built: Built, apart: int | None = None) -> AddedUp:
    """What the difference of any two rises can come to; of neighbours with `apart` 1.

    Args:
        tolerance: of cut, pad and moisture.
        built: the stair by its finished surfaces.
        apart: see `spread_of`.
    """
    levels = [*(-y for _, y in built.nosings), -built.landing]
    last = len(levels) - 1
    sources = [*((i, tolerance.cut) for i in range(last + 1)), (last, tolerance.pad)]
    rise, going = built.rises[-1], built.least_going
    # The toe lies under the lowest tip by the lowest riser cut; that, square to the tips' line, is what shrinks.
    pitch = math.atan2(rise, going)
    toe = (rise - built.tread_thickness) * math.cos(pitch) ** 2
    moved = [0.0] * last + [toe * _drying_of(tolerance)]
    return spread_of(levels, sources, moved, apart)


def goings(tolerance: Tolerance, built: Built, apart: int | None = None) -> AddedUp:
    """What the difference of any two goings can come to; of neighbours with `apart` 1.

    Args:
        tolerance: of the cut; pad and moisture move no going.
        built: the stair by its finished surfaces.
        apart: see `spread_of`.
    """
    fronts = [x for x, _ in built.nosings]
    sources = [(i, tolerance.cut) for i in range(len(fronts))]
    return spread_of(fronts, sources, [0.0] * len(fronts), apart)


def throat(tolerance: Tolerance, least: float, edges: Edges) -> AddedUp:
    """What can be left of a throat.

    Args:
        tolerance: of cut, boards' widths and moisture.
        least: the throat as drawn, millimetres.
        edges: with "trimmed" ones the lower edge is cut too; else it is the board's own, as wide as boards differ.
    """
    other = tolerance.cut if edges == "trimmed" else tolerance.board_width
    dried = least * (1 + min(0.0, _drying_of(tolerance)))
    return AddedUp(dried - tolerance.cut - other, dried - math.hypot(tolerance.cut, other))


def _drying_of(tolerance: Tolerance) -> float:
    return 0.0 if tolerance.moisture is None else width_change(*tolerance.moisture)


def tolerance_checks(
    tolerance: Tolerance, built: Built, rules: RuleSet, least: float | None, wanted: float, edges: Edges, show: Show
) -> tuple[Check, ...]:
    """Rows of advice: what tolerances come to, against the rule set's spread and the throat that is asked for.

    Args:
        tolerance: as the job states it.
        built: the stair by its finished surfaces.
        rules: whose spread, or else step between neighbours, rises and goings are held against.
        least: the throat as drawn; None: there is none.
        wanted: the throat that the job asks for.
        edges: of the part.
        show: writes millimetres as text in the job's unit.
    """
    told = _told(tolerance, show)
    checks: list[Check] = []
    for name, key, added, mend in (
        ("rises", "rise", rises, "a closer cut or pad than tolerance.cut and tolerance.pad say, or drier boards"),
        ("goings", "run", goings, "a closer cut than tolerance.cut says"),
    ):
        limit, apart = rules.limit(f"{key}-spread", built.least_going), None
        if limit is None:
            limit, apart = rules.limit(f"{key}-step", built.least_going), 1
        found = added(tolerance, built, apart)
        most = None if limit is None else limit.most
        source = "no limit in the rule set" if limit is None else limit.source
        for way, value in (("worst", found.worst), ("rss", found.rss)):
            checks.append(_advice(f"{name}-{way}", value, None, most, source, told, mend))
    if least is not None:
        left = throat(tolerance, least, edges)
        for way, value in (("worst", left.worst), ("rss", left.rss)):
            source, mend = "stringer.throat_least of the job", "wider or drier boards, or a shorter run"
            checks.append(_advice(f"throat-{way}", value, wanted, None, source, told, mend))
    return tuple(checks)


def _advice(
    name: str, value: float, least: float | None, most: float | None, source: str, told: str, mend: str
) -> Check:
    ok = within(value, least, most)
    return Check(name, ok, False, "length", value, least, most, source, told, mend="" if ok else mend)


def _told(tolerance: Tolerance, show: Show) -> str:
    parts = [
        f"cut {show(tolerance.cut)}",
        f"boards' widths {show(tolerance.board_width)}",
        f"pad {show(tolerance.pad)}",
    ]
    if tolerance.moisture is not None:
        start, end = tolerance.moisture
        data, change = _drying(), width_change(start, end)
        word = "shrinks" if change < 0 else "swells"
        parts.append(
            f"from {start:g} to {end:g} percent moisture the width {word} by {abs(change):.2%} "
            f"({data['source']}, {data['basis']})"
        )
    return f"advice; tolerances: {', '.join(parts)}; worst: all at their ends; rss: root-sum-square"

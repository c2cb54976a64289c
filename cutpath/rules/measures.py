"""The one table of what a rule set can limit: each limit's key, and what is measured for it on the stair as built.

A limit that is not here can't be written in a rule set, and one that is here is measured. A new one is one entry in
`MEASURES`, and one line in the table of `tests/test_measures.py`, which holds every limit at its value, a hair inside
and a hair outside.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from cutpath.rules.built import Built, BuiltRail
from cutpath.rules.values import Limit, Quantity
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show


class Measured(Struct, frozen=True):
    """What was measured, in the limit's quantity: millimetres, degrees or a count.

    Attributes:
        low: the least of it.
        high: the greatest; the same as `low` of a single value.
        note: a line for people.
    """

    low: float
    high: float
    note: str = ""


MeasuredOrWhy = Measured | str | None
"""What was found; or why it could not be judged; or None where the limit is not about such a stair."""


class Measure(Struct, frozen=True):
    """What one key of a rule set limits.

    Attributes:
        quantity: what its numbers are.
        words: what it limits, for the reference.
        name: the same, short, in a sentence.
        find: measures it on the stair as built, for a limit.
        mend: what in the job would make it hold; a `{}` in it is where "at least" or "at most" and the bound go.
        rise_of: of a limit that steers the choice of a stair: the unit rise at which a bound is met, from the bound,
            the unit run and the count of risers; None where the rise has no part in it.
        steers: whether a riser count that breaks it does not fit.
        duty: whether passing the limit means that something has to be provided, and not that the stair is wrong.
        extras: what a limit may state besides least, most and run_under.
    """

    quantity: Quantity
    words: str
    name: str
    find: Callable[[Built, Limit, Show], MeasuredOrWhy]
    mend: str
    rise_of: Callable[[float, float, int], float] | None = None
    steers: bool = False
    duty: bool = False
    extras: tuple[str, ...] = ()


def _range(values: Sequence[float]) -> Measured | None:
    return Measured(min(values), max(values)) if values else None


def _one(value: float, note: str = "") -> Measured:
    return Measured(value, value, note)


def _spread(values: Sequence[float]) -> Measured | None:
    return _one(max(values) - min(values)) if values else None


def _neighbours(values: Sequence[float]) -> Measured | None:
    return _one(max(abs(a - b) for a, b in pairwise(values))) if len(values) > 1 else None


def _pitches(built: Built) -> list[float]:
    return [math.degrees(math.atan2(rise, going)) for rise, going in built.steps]


def _width(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    if built.clear_width is None:
        return "stair.clear_width is not known"
    rail = built.rail
    if rail is None or not rail.over or rail.reach <= LIMIT_SLACK:
        return _one(built.clear_width)
    return _one(rail.clear, "as the job's rail leaves it, which stands higher than a handrail may")


def _past_rails(sides: int) -> Callable[[Built, Limit, Show], MeasuredOrWhy]:
    """How to measure what rails on so many sides leave of the clear width."""

    def find(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
        rail = built.rail
        return None if rail is None or len(rail.sides) != sides else _one(rail.clear, "at the rail's height and below")

    return find


def _projection(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    rail = built.rail
    return None if rail is None else _one(rail.reach, "by the widest of posts, rails and balusters")


def _gap(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    gaps = built.gaps()
    if not gaps:
        return None
    if limit.above is None:
        return _one(max(gap for gap, _ in gaps))
    high: list[float] = []
    unseen = 0
    for gap, (x, top) in gaps:
        ground = None if built.ground is None else built.ground.lowest(x, x)
        # Where no reading tells how high an opening lies, it is taken to be high: the safe side.
        unseen += ground is None
        if ground is None or top - ground > limit.above + LIMIT_SLACK:
            high.append(gap)
    if not high:
        return _one(0.0, f"no opening has its upper edge more than {show(limit.above)} above the ground")
    note = f"{len(high)} of {len(gaps)} openings reach more than {show(limit.above)} above the ground"
    if unseen:
        note += f", {unseen} of them where there is no reading and so taken to"
    return _one(max(high), note)


def _landing(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    if built.landing_clear is None:
        return "the existing landing's depth was not given: measure it and write pad.depth"
    return _one(built.landing_clear)


def _headroom(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    found = built.headroom()
    if found is None:
        return "nothing overhead was given: write [[site.above]], or look that nothing is there"
    height, x = found
    return _one(height, f"least at {show(x)} out from the header face, plumb; beyond the points given it is open")


def _rail(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    height = _height(limit, show)
    sides = "both sides" if limit.sides == 2 else "at least one side"
    there = "cutpath draws none"
    if built.rail is not None:
        there = f"{_given(built.rail, show)}; whether a hand can grip its section is not looked at"
    return _one(float(len(built.rises)), f"a rail on {sides}{height}; {there}")


def _given(rail: BuiltRail, show: Show) -> str:
    where = "both sides" if len(rail.sides) == 2 else f"the {rail.sides[0]} side, going up"
    return f"the job's rail stands on {where}, {show(rail.height)} above the nosings"


def _height(limit: Limit, show: Show) -> str:
    found = [
        f"{word} {show(value)}"
        for word, value in (("at least", limit.height_least), ("at most", limit.height_most))
        if value is not None
    ]
    return f", {' and '.join(found)} above the nosings" if found else ""


def _guard(built: Built, limit: Limit, show: Show) -> MeasuredOrWhy:
    drops = guard_drops(built, limit)
    seen = [d for d in drops if d is not None]
    if not seen:
        return "no reading of the ground beside any tread"
    needing = needs_guard(built, limit)
    unseen = [n for n, d in enumerate(drops, start=1) if d is None]
    within = f" within {show(limit.beside)}" if limit.beside else ""
    note = f"ground below each tread{within} as the readings have it, as if level across the stair"
    if needing:
        through = f", that no sphere of {show(limit.opening)} passes" if limit.opening is not None else ""
        beside = f"; a guard beside {numbered_treads(needing)} from the top"
        there = "cutpath draws where, and no guard" if built.rail is None else _given(built.rail, show)
        if built.rail is not None and len(built.rail.sides) == 1:
            there += "; the other side needs one too if it is open"
        note += f"{beside}{_height(limit, show)}{through}; {there}"
    if unseen:
        note += f"; no reading beside {numbered_treads(unseen)}"
    return _one(max(seen), note)


def guard_drops(built: Built, limit: Limit) -> tuple[float | None, ...]:
    """How far the ground lies below each tread, within the reach in which a limit looks at it.

    Args:
        built: the stair by its finished surfaces.
        limit: a rule set's "guard".
    """
    return built.drops(limit.beside or 0.0)


def needs_guard(built: Built, limit: Limit) -> list[int]:
    """The treads, numbered from the top, that the ground lies too far below for a limit to do without a guard.

    Args:
        built: the stair by its finished surfaces.
        limit: a rule set's "guard".
    """
    assert limit.most is not None
    drops = guard_drops(built, limit)
    return [n for n, d in enumerate(drops, start=1) if d is not None and d > limit.most + LIMIT_SLACK]


def runs_of(numbers: Sequence[int]) -> list[list[int]]:
    """Rising numbers in runs without a gap."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    return runs


def listed(numbers: Sequence[int]) -> str:
    """Rising numbers as people say them: "1 and 2", "1 to 3 and 5", "1, 3 to 5, 8 and 9"."""
    words: list[str] = []
    for run in runs_of(numbers):
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run)
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def numbered_treads(numbers: Sequence[int]) -> str:
    """Numbers of treads: "tread 2", "treads 1 to 3 and 5"."""
    return f"{'tread' if len(numbers) == 1 else 'treads'} {listed(numbers)}"


_RISE: Final = "another stair.risers, or another stair.unit_rise"
_RUN: Final = "stair.unit_run {}"
_BOTH: Final = "another stair.unit_run or stair.risers"
_DRAWN: Final = "no key of the job does this: the stringer as drawn is not the stair as solved; tell its makers"
_WIDER: Final = 'rail.place "outside", or narrower posts and rails'
_HEIGHTS: Final = ("height_least", "height_most")

MEASURES: Final[dict[str, Measure]] = {
    "rise": Measure(
        "length", "unit rise", "unit rise", lambda b, m, s: _range(b.rises), _RISE, lambda v, t, n: v, steers=True
    ),
    "run": Measure(
        "length", "unit run, nosing to nosing", "unit run", lambda b, m, s: _range(b.goings), _RUN, steers=True
    ),
    "rise-spread": Measure(
        "length", "greatest less least rise as built", "spread of rises", lambda b, m, s: _spread(b.rises), _DRAWN
    ),
    "run-spread": Measure(
        "length", "greatest less least going as built", "spread of goings", lambda b, m, s: _spread(b.goings), _DRAWN
    ),
    "rise-step": Measure(
        "length", "between neighbouring rises as built", "step of rises", lambda b, m, s: _neighbours(b.rises), _DRAWN
    ),
    "run-step": Measure(
        "length",
        "between neighbouring goings as built",
        "step of goings",
        lambda b, m, s: _neighbours(b.goings),
        _DRAWN,
    ),
    "comfort": Measure(
        "length",
        "twice the rise and the run together, 2r + t",
        "2r + t",
        lambda b, m, s: _range([2 * r + t for r, t in b.steps]),
        _BOTH,
        lambda v, t, n: (v - t) / 2,
        steers=True,
    ),
    "pitch": Measure(
        "angle",
        "pitch in degrees",
        "pitch",
        lambda b, m, s: _range(_pitches(b)),
        _BOTH,
        lambda v, t, n: t * math.tan(math.radians(v)),
        steers=True,
    ),
    "risers": Measure(
        "count",
        "risers in one flight",
        "risers",
        lambda b, m, s: _one(float(len(b.rises))),
        "another stair.risers, or a landing on the way, with a flight on either side",
        steers=True,
    ),
    "flight-rise": Measure(
        "length",
        "height of one flight",
        "height of the flight",
        lambda b, m, s: _one(sum(b.rises)),
        "a landing on the way, with a flight on either side",
        lambda v, t, n: v / n,
        steers=True,
    ),
    "clear-width": Measure("length", "clear width of the stair", "clear width", _width, "stair.clear_width {}"),
    "nosing": Measure(
        "length",
        "tread beyond the face below it",
        "nosing",
        lambda b, m, s: _range(b.overhangs),
        "stair.nosing {}",
    ),
    "open-gap": Measure(
        "length",
        "opening between treads of a stair without riser boards",
        "opening between treads",
        _gap,
        "riser boards (stair.riser_board), bars under the treads' fronts, thicker treads, or a lower rise",
        extras=("above",),
    ),
    "headroom": Measure(
        "length",
        "plumb height from floor, nosing line and landing to what is overhead",
        "headroom",
        _headroom,
        "a shorter flight under it, or a higher ceiling (site.above)",
    ),
    "landing-depth": Measure(
        "length",
        "depth of the landing at the foot, from the face of the lowest riser",
        "depth of the landing",
        _landing,
        "pad.depth that leaves {} clear of the lowest riser board",
    ),
    "handrail": Measure(
        "count",
        "risers in a flight that needs no handrail",
        "risers without a handrail",
        _rail,
        "",
        duty=True,
        extras=("sides", *_HEIGHTS),
    ),
    "guard": Measure(
        "length",
        "height of a tread over the ground that needs no guard",
        "height without a guard",
        _guard,
        "",
        duty=True,
        extras=("beside", "opening", "triangle", *_HEIGHTS),
    ),
    "handrail-height": Measure(
        "length",
        "of a rail in the job: plumb height over the line of the nosings, as a handrail",
        "height of the rail",
        lambda b, m, s: None if b.rail is None else _one(b.rail.height),
        "rail.height {}",
    ),
    "handrail-sides": Measure(
        "count",
        "of a rail in the job: sides of the stair that have it",
        "sides with a rail",
        lambda b, m, s: None if b.rail is None else _one(float(len(b.rail.sides))),
        'rail.side "both"',
    ),
    "guard-height": Measure(
        "length",
        "of a rail in the job: plumb height over the line of the nosings, as a guard",
        "height of the guard",
        lambda b, m, s: None if b.rail is None else _one(b.rail.height),
        "rail.height {}",
    ),
    "guard-opening": Measure(
        "length",
        "of a rail in the job: greatest clear opening between balusters, or over a stringer without teeth",
        "opening in the guard",
        lambda b, m, s: None if b.rail is None else _one(b.rail.opening),
        "rail.opening_most {}, or a smaller rail.bottom_clear where a stringer's edge is below it",
    ),
    "guard-triangle": Measure(
        "length",
        "of a rail in the job: greatest sphere through the triangle of riser, tread and bottom rail",
        "sphere through the triangle under the rail",
        lambda b, m, s: None if b.rail is None or b.rail.triangle is None else _one(b.rail.triangle),
        "a smaller rail.bottom_clear",
    ),
    "rail-projection": Measure(
        "length",
        "of a rail in the job: the furthest that it stands into the clear width at a side",
        "reach of the rail into the stair",
        _projection,
        _WIDER,
    ),
    "width-by-one-rail": Measure(
        "length",
        "of a rail in the job on one side: clear width beside it, at its height and below",
        "clear width beside the rail",
        _past_rails(1),
        f"what is left {{}}: a greater stair.clear_width, {_WIDER}",
    ),
    "width-by-two-rails": Measure(
        "length",
        "of a rail in the job on both sides: clear width between them, at their height and below",
        "clear width between the rails",
        _past_rails(2),
        f"what is left {{}}: a greater stair.clear_width, {_WIDER}",
    ),
    "stringer-throat": Measure(
        "length",
        "of notched wooden stringers: depth behind a notch, square to the lower edge",
        "depth behind a notch",
        lambda b, m, s: None if b.wood is None else _range(b.wood.throats),
        "wider boards (on sheets a greater stringer.width), a lower rise or a shorter run",
    ),
    "stringer-depth": Measure(
        "length",
        "of notched wooden stringers: width of the board before it is notched",
        "width of the stringer's board",
        lambda b, m, s: None if b.wood is None else _one(b.wood.depth),
        "boards (stock.size; on sheets stringer.width) {} wide",
    ),
    "stringer-thickness": Measure(
        "length",
        "of notched wooden stringers: thickness",
        "thickness of the stringers",
        lambda b, m, s: None if b.wood is None else _one(b.wood.thickness),
        "boards (stock.size) {} thick",
    ),
    "stringer-spacing": Measure(
        "length",
        "of notched wooden stringers: between centres",
        "spacing of the stringers",
        lambda b, m, s: None if b.wood is None or b.wood.spacing is None else _one(b.wood.spacing),
        "a greater stringer.count: {} between centres",
    ),
}
"""Every limit that a rule set can state, by its key, in the order in which checks are told."""

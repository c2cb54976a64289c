"""Changes of keys that may mend a failing check, to be tried: what the checks' mends say in words, as keys and values.

A mend that is no change of the job's keys, such as a board that is to be had first, is told in words alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from cutpath.design.strength.values import Strength
from cutpath.job.values import Support
from cutpath.plan.mends import mends_of
from cutpath.plan.support_places import Placing, edge_ends, placings
from cutpath.plan.values import Plan
from cutpath.rules.measures import MEASURES
from cutpath.rules.values import Check
from cutpath.units import shown_in, written

Sets = tuple[tuple[str, str], ...]

#: How many more of a thing than the job has are tried.
_MORE: Final = 3
#: A measure's mend that is one key with a bound, or with a word.
_KEY_AND_BOUND: Final = re.compile(r"([a-z_]+\.[a-z_]+) \{\}")
_KEY_AND_WORD: Final = re.compile(r'([a-z_]+\.[a-z_]+) "([a-z-]+)"')


class Way(Struct, frozen=True):
    """One kind of change that may mend a check.

    Attributes:
        check: the check's id.
        words: what is changed.
        steps: the least change first; each gives for each key what is typed there, "" taking the key out. A row that
            a list has not yet has the next number.
        gives: what the first step leads to, where that is known already; "" where it is to be tried.
        enough: whether that is enough; None where it is to be tried.
    """

    check: str
    words: str
    steps: tuple[Sets, ...]
    gives: str = ""
    enough: bool | None = None


def ways_of(plan: Plan) -> tuple[Way, ...]:
    """What may mend a plan's failing checks, advice among them; those of the throat are tried already."""
    show = shown_in(plan.job.units)
    found = [
        Way("throat", mend.change, (mend.sets,) if mend.sets else (), f"throat {show(mend.throat)}", mend.enough)
        for mend in mends_of(plan)
    ]
    for check in plan.design.checks:
        if not check.ok and check.nature == "limit" and check.id != "throat":
            found += [way for way in _ways(plan, check) if way.steps]
    return tuple(found)


def _ways(plan: Plan, check: Check) -> Iterator[Way]:
    strength = plan.design.strength
    if check.id in MEASURES:
        yield from _of_measure(plan, check)
    if check.id == "span":
        yield _supports(plan, check, 0.0, plan.stair.foot_out)
    elif isinstance(strength, Strength) and check.id in {row.id for row in strength.rows}:
        yield _supports(plan, check, strength.bearings[0].at, strength.bearings[-1].at)
        yield _stringers(plan, check)
    elif check.id in ("spacing", "stringer-spacing"):
        yield _stringers(plan, check)
    elif check.id == "behind-housing" and plan.job.stringer.housing is not None:
        yield _less(plan, check, "stringer.housing.depth", plan.job.stringer.housing.depth)
    elif check.id == "sill-depth" and plan.job.stringer.sill_notch is not None:
        yield _less(plan, check, "stringer.sill_notch.high", plan.job.stringer.sill_notch.high)


def _of_measure(plan: Plan, check: Check) -> Iterator[Way]:
    """A key at the limit's bound, where that is what the measure's mend says; or a landing as much deeper."""
    mend = MEASURES[check.id].mend
    if check.value is None:
        return
    bound = check.least if check.least is not None and check.value < check.least else check.most
    if bound is None:
        return
    key, word = _KEY_AND_BOUND.fullmatch(mend), _KEY_AND_WORD.fullmatch(mend)
    if key is not None and check.quantity == "length":
        yield Way(check.id, check.mend, (((key[1], _typed(plan, bound)),),))
    elif word is not None:
        yield Way(check.id, check.mend, (((word[1], word[2]),),))
    elif check.id == "landing-depth" and plan.job.pad.depth is not None:
        deeper = plan.job.pad.depth + bound - check.value
        yield Way(check.id, check.mend, ((("pad.depth", _typed(plan, deeper)),),))


def _less(plan: Plan, check: Check, key: str, now: float) -> Way:
    """A size that takes from what the check wants, smaller by what is wanting."""
    assert check.least is not None and check.value is not None
    less = now - (check.least - check.value)
    return Way(check.id, f"a smaller {key}", (((key, _typed(plan, less)),),) if less > 0 else ())


def _stringers(plan: Plan, check: Check) -> Way:
    spec = plan.job.stringer
    counts = range(spec.count + 1, spec.count + _MORE + 1) if spec.form == "notched" else ()
    return Way(check.id, "more stringers", tuple((("stringer.count", str(count)),) for count in counts))


def _supports(plan: Plan, check: Check, start: float, end: float) -> Way:
    tried = placings(plan.job.support, start, end, plan.job.units, _MORE, edge_ends(plan.design.stringer))
    return Way(check.id, "supports under the stringers", tuple(_rows(plan, placing) for placing in tried))


def _rows(plan: Plan, placing: Placing) -> Sets:
    own = plan.job.support
    new = [*own, *placing.new] if not placing.instead_of else list(placing.supports)

    def row(number: int, one: Support) -> Sets:
        was = own[number] if number < len(own) else None
        return tuple(
            (f"support[{number}].{name}", _typed(plan, value))
            for name, value, before in (
                ("at", one.at, was and was.at),
                ("length", one.length, was and was.length),
            )
            if value != before
        )

    return tuple(each for number, one in enumerate(new) for each in row(number, one))


def _typed(plan: Plan, mm: float) -> str:
    return f"{written(mm, plan.job.units):.9g}"

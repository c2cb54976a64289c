"""Rule sets for machines and for people: their limits with section, edition, source and basis."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from cutpath.json_text import Json
from cutpath.rules.measures import MEASURES
from cutpath.rules.values import Limit, RuleSet
from cutpath.units import MM_PER_INCH, Unit, show, written

#: The condition that an extra of a limit puts, with a place for its value.
_CONDITIONS = {
    "run_under": "where the run is under {}",
    "above": "more than {} above the ground",
    "beside": "ground up to {} beside counts",
    "height_least": "height at least {}",
    "height_most": "height at most {}",
    "opening": "no sphere of {} through it",
    "triangle": "none of {} through the triangle of riser, tread and bottom rail",
}


def unit_of(rules: RuleSet) -> Unit:
    """The unit that a rule set's lengths are stated in: inches where all of them are sixteenths."""
    lengths = [
        value
        for limit in rules.limits
        for value in (limit.least, limit.most)
        if value is not None and limit.quantity == "length"
    ]
    return "in" if lengths and all(_sixteenths(value) for value in lengths) else "mm"


def _sixteenths(mm: float) -> bool:
    count = mm / MM_PER_INCH * 16
    return math.isclose(count, round(count), abs_tol=1e-6)


def bounds_text(limit: Limit, unit: Unit) -> str:
    """What a limit states: its bounds, and where and how they hold."""
    found = [
        f"{word} {value_text(value, limit.quantity == 'length', unit)}"
        for word, value in (("least", limit.least), ("most", limit.most))
        if value is not None
    ]
    for name, words in _CONDITIONS.items():
        value = getattr(limit, name)
        if value is not None:
            found.append(words.format(value_text(value, True, unit)))
    if not limit.required:
        found.append("told, and fails no job")
    if limit.sides is not None:
        found.append(f"on {'both sides' if limit.sides == 2 else 'one side'}")
    return ", ".join(found)


def value_text(value: float, is_length: bool, unit: Unit) -> str:
    """One value of a limit."""
    return show(value, unit) if is_length else f"{value:g}"


def rule_sets_data(sets: Sequence[RuleSet]) -> Json:
    """The sets that ship."""
    return {"rules": [{**_head(rules), "basis": dict(Counter(m.basis for m in rules.limits))} for rules in sets]}


def rule_set_data(rules: RuleSet) -> Json:
    """One set, lengths in the unit that it is stated in."""
    unit = unit_of(rules)

    def value(number: float | None, is_length: bool = True) -> float | None:
        return number if number is None or not is_length else written(number, unit)

    return {
        **_head(rules),
        "units": unit,
        "limits": [
            {
                "key": m.key,
                "of": MEASURES[m.key].words,
                "least": value(m.least, m.quantity == "length"),
                "most": value(m.most, m.quantity == "length"),
                "unit": {"length": unit, "angle": "deg", "count": "1"}[m.quantity],
                **{name: value(getattr(m, name)) for name in _CONDITIONS if getattr(m, name) is not None},
                **({"sides": int(m.sides)} if m.sides is not None else {}),
                "required": m.required,
                "source": m.source,
                "section": m.section or None,
                "edition": m.edition or None,
                "basis": m.basis,
                "seen": m.seen or None,
            }
            for m in rules.limits
        ],
    }


def _head(rules: RuleSet) -> Json:
    return {
        "name": rules.name,
        "title": rules.title,
        "country": rules.country or None,
        "based_on": rules.based_on or None,
    }

"""Holding a shipped rule set against published values."""

import pytest

from cutpath.rules.load import load_rules
from cutpath.rules.measures import MEASURES

LOOKED_UP, SECOND_HAND, MEMORY = "looked up", "second hand", "memory"

Value = tuple[float | None, float | None, str]
"""Least, most and basis of a limit: millimetres, degrees or a count."""


def says(name: str, values: dict[str, Value], country: str) -> None:
    """Hold a set against all its values, and every value against having a section, and a source that was seen."""
    rules = load_rules(name)
    found = {limit.key: (limit.least, limit.most, limit.basis) for limit in rules.limits}
    expected = {
        key: (None if low is None else pytest.approx(low), None if high is None else pytest.approx(high), basis)
        for key, (low, high, basis) in values.items()
    }
    assert found == expected
    assert set(found) <= set(MEASURES) and len(found) == len(rules.limits)
    assert rules.country == country and rules.title
    for limit in rules.limits:
        assert limit.section and limit.source.endswith(limit.section), limit
        assert limit.edition in limit.source
        assert (limit.caveat == "") == (limit.basis == LOOKED_UP)
        # What was read has been read somewhere.
        assert limit.seen or limit.basis == MEMORY, limit


def rails(name: str) -> tuple[int | None, ...]:
    """Handrail's least and greatest height; guard's least, how far beside ground counts, both spheres; millimetres."""
    rules = load_rules(name)
    rail, guard = rules.limit("handrail", None), rules.limit("guard", None)
    found = (
        rail and rail.height_least,
        rail and rail.height_most,
        guard and guard.height_least,
        guard and guard.beside,
        guard and guard.opening,
        guard and guard.triangle,
    )
    return tuple(None if value is None else round(value) for value in found)

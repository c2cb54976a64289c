"""What a rule set asks of a rail, as limits on the rail that is there.

A set states heights, sides and spheres with the handrail or guard that has to be provided. Where the job has a rail,
and the stair needs one, they are limits like any other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from msgspec.structs import replace

from cutpath.rules.built import Built
from cutpath.rules.measures import MEASURES, guard_drops, needs_guard
from cutpath.rules.values import Limit, RuleSet
from cutpath.tolerances import LIMIT_SLACK


def _handrail(rules: RuleSet, built: Built) -> Limit | None:
    """The handrail's limit where the flight needs one."""
    limit = rules.limit("handrail", built.least_going)
    if limit is None:
        return None
    assert limit.most is not None
    return limit if len(built.rises) > limit.most + LIMIT_SLACK else None


def _guard(rules: RuleSet, built: Built) -> Limit | None:
    """The guard's limit where a tread needs one, or where no reading tells that none does."""
    limit = rules.limit("guard", built.least_going)
    if limit is None:
        return None
    return limit if None in guard_drops(built, limit) or needs_guard(built, limit) else None


def _handrail_height(rules: RuleSet, built: Built) -> Limit | None:
    limit, guard = _handrail(rules, built), _guard(rules, built)
    if limit is None:
        return None
    # A guard that has to stand over what a handrail may be is no handrail: that is another rail beside it.
    least, most = None if guard is None else guard.height_least, limit.height_most
    if least is not None and most is not None and least > most:
        return None
    return _bounded(limit, limit.height_least, limit.height_most)


def _handrail_sides(rules: RuleSet, built: Built) -> Limit | None:
    limit = _handrail(rules, built)
    return None if limit is None else _bounded(limit, limit.sides, None)


def _guard_height(rules: RuleSet, built: Built) -> Limit | None:
    limit = _guard(rules, built)
    return None if limit is None else _bounded(limit, limit.height_least, limit.height_most)


def _guard_opening(rules: RuleSet, built: Built) -> Limit | None:
    limit = _guard(rules, built)
    return None if limit is None else _bounded(limit, None, limit.opening)


def _guard_triangle(rules: RuleSet, built: Built) -> Limit | None:
    """The triangle's own sphere; a set that has none means the guard's, and such a stair is told of it."""
    limit = _guard(rules, built)
    if limit is None:
        return None
    if limit.triangle is not None:
        return _bounded(limit, None, limit.triangle)
    return _bounded(replace(limit, required=False), None, limit.opening)


_FROM: Final[Mapping[str, Callable[[RuleSet, Built], Limit | None]]] = {
    "handrail-height": _handrail_height,
    "handrail-sides": _handrail_sides,
    "guard-height": _guard_height,
    "guard-opening": _guard_opening,
    "guard-triangle": _guard_triangle,
}


def _bounded(limit: Limit, least: float | None, most: float | None) -> Limit | None:
    return None if least is None and most is None else replace(limit, least=least, most=most)


def height_bounds(rules: RuleSet, built: Built) -> tuple[float, float]:
    """Least and greatest height above the nosings, millimetres, that a rail at a stair may have.

    Args:
        rules: the set.
        built: the stair as built.

    Returns:
        Those of the handrail and the guard that the stair needs; where it needs neither, those that a handrail would
        have. 0 and infinity where the set states none.
    """
    limits = [_handrail_height(rules, built), _guard_height(rules, built)]
    if limits == [None, None]:
        stated = rules.limit("handrail", built.least_going)
        limits = [None if stated is None else _bounded(stated, stated.height_least, stated.height_most)]
    there = [limit for limit in limits if limit is not None]
    return (
        max((limit.least for limit in there if limit.least is not None), default=0.0),
        min((limit.most for limit in there if limit.most is not None), default=math.inf),
    )


def limit_for(rules: RuleSet, key: str, built: Built) -> Limit | None:
    """The limit in force for a key on a stair as built, whether the set states it or it follows from a duty.

    Args:
        rules: the set.
        key: one of `MEASURES`.
        built: the stair as built.

    Returns:
        The limit; None where there is none for that key.
    """
    stated = rules.limit(key, built.least_going)
    if stated is not None or built.rail is None or key not in _FROM:
        return stated
    found = _FROM[key](rules, built)
    return None if found is None else replace(found, key=key, quantity=MEASURES[key].quantity)

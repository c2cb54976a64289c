"""Holding numbers against limits."""

from __future__ import annotations

from cutpath.rules.values import Check, Limit, RuleSet
from cutpath.tolerances import LIMIT_SLACK


def within(value: float, least: float | None, most: float | None) -> bool:
    """Whether a value keeps its limits, to the slack that float noise needs."""
    return (least is None or value >= least - LIMIT_SLACK) and (most is None or value <= most + LIMIT_SLACK)


def against(limit: Limit, value: float) -> Check:
    """A required check of `value` against a limit of a rule set.

    Args:
        limit: from the rule set.
        value: in the limit's quantity: millimetres, degrees or a count.
    """
    ok = within(value, limit.least, limit.most)
    return Check(limit.key, ok, True, limit.quantity, value, limit.least, limit.most, limit.source, limit.caveat)


def rule_checks(rules: RuleSet, unit_run: float, found: dict[str, float]) -> tuple[Check, ...]:
    """Check what was found against every limit that the rule set states.

    Args:
        rules: the rule set.
        unit_run: the stair's unit run, millimetres; some limits hold only under a certain run.
        found: value by limit key; keys without a limit in force are passed over.

    Returns:
        One check for each key of `found` with a limit in force, in the order of `found`.
    """
    checks = []
    for key, value in found.items():
        limit = rules.limit(key, unit_run)
        if limit is not None:
            checks.append(against(limit, value))
    return tuple(checks)

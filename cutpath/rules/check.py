"""Holding numbers against limits."""

from __future__ import annotations

from cutpath.rules.built import Built
from cutpath.rules.measures import MEASURES, Measure
from cutpath.rules.provided import limit_for
from cutpath.rules.values import Check, Limit, RuleSet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show


def within(value: float, least: float | None, most: float | None) -> bool:
    """Whether a value keeps its limits, to the slack that float noise needs; None: no limit on that side."""
    return (least is None or value >= least - LIMIT_SLACK) and (most is None or value <= most + LIMIT_SLACK)


def against(limit: Limit, value: float) -> Check:
    """A check of `value` against a limit of guidance, which is advice and never required.

    Args:
        limit: of guidance.
        value: in the limit's quantity: millimetres, degrees or a count.
    """
    ok = within(value, limit.least, limit.most)
    return Check(limit.key, ok, False, limit.quantity, value, limit.least, limit.most, limit.source, limit.caveat)


def rule_checks(rules: RuleSet, built: Built, show: Show, *, steering: bool = False) -> tuple[Check, ...]:
    """Hold a stair as built against every limit that the rule set states.

    Args:
        rules: the rule set.
        built: the stair by its finished surfaces.
        show: writes millimetres as text in the job's unit, for notes.
        steering: only those that decide whether a riser count fits.

    Returns:
        One check for each limit in force that is about such a stair, in the order of `MEASURES`; what could not be
        judged says why.
    """
    checks = []
    for key, measure in MEASURES.items():
        limit = limit_for(rules, key, built)
        if limit is None or (steering and not measure.steers):
            continue
        check = _check(limit, measure, built, show)
        if check is not None:
            checks.append(check)
    return tuple(checks)


def _check(limit: Limit, measure: Measure, built: Built, show: Show) -> Check | None:
    found = measure.find(built, limit, show)
    if found is None:
        return None
    if isinstance(found, str):
        return Check(
            limit.key, False, False, limit.quantity, None, limit.least, limit.most, limit.source, found, "open"
        )
    under = not within(found.low, limit.least, None)
    over = not within(found.high, None, limit.most)
    value = found.low if under or limit.most is None else found.high
    ok = not under and not over
    note = "; ".join(part for part in (found.note, limit.caveat) if part)
    return Check(
        limit.key,
        ok,
        limit.required and not measure.duty,
        limit.quantity,
        value,
        limit.least,
        limit.most,
        limit.source,
        note,
        "duty" if measure.duty else "limit",
        "" if ok else measure.mend.format(_bound(limit, under, show)),
    )


def _bound(limit: Limit, under: bool, show: Show) -> str:
    """The bound that was passed, in words."""
    words, bound = ("at least", limit.least) if under else ("at most", limit.most)
    assert bound is not None
    return f"{words} {show(bound) if limit.quantity == 'length' else f'{bound:g}'}"

"""Limits that don't hold, in words: those that are required first, each with value, limit, source and mend."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutpath.rules.values import Check
from cutpath.tolerances import SHOWN
from cutpath.units import Unit, show


def over(checks: Sequence[Check]) -> tuple[Check, ...]:
    """The checks of limits that don't hold, those that are required first; each kind in the order given."""
    found = [check for check in checks if not check.ok and check.nature == "limit"]
    return tuple(sorted(found, key=lambda check: not check.required))


def over_lines(checks: Sequence[Check], units: Unit) -> tuple[str, ...]:
    """A line for each check that is over: what was found, the limit, its source, the note, and what would mend it."""
    return tuple(_line(check, units) for check in over(checks))


def besides(checks: Sequence[Check]) -> str:
    """Names of what has to be provided besides, and of what was not judged; empty where there is neither."""
    return "; ".join(
        f"{outcome}: {', '.join(check.id for check in checks if check.outcome == outcome)}"
        for outcome in ("needed", "not judged")
        if any(check.outcome == outcome for check in checks)
    )


def unsigned(check: Check, amount: Callable[[float], str]) -> str:
    """A check's value as people read it: one less than 0 without its sign, followed by what such a one is called.

    Args:
        check: one with a value.
        amount: writes a value.
    """
    assert check.value is not None
    return f"{amount(-check.value)} {check.under_zero}" if check.value < -SHOWN else amount(check.value)


def _line(check: Check, units: Unit) -> str:
    def amount(value: float) -> str:
        if check.quantity == "length":
            return show(value, units)
        if check.quantity == "share":
            return f"{value:.1%}"
        return f"{value:.6g}{' degrees' if check.quantity == 'angle' else ''}"

    bounds = [f"{word} {amount(v)}" for word, v in (("least", check.least), ("most", check.most)) if v is not None]
    found = "" if check.value is None else f": {', '.join([unsigned(check, amount), *bounds])}"
    # That it is advice is said once.
    note = check.note.removeprefix("advice; ")
    told = f"{check.id} {check.outcome}{found} ({check.source}){f'; {note}' if note else ''}"
    return f"{told}; to mend it: {check.mend}" if check.mend else told

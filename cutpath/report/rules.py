"""The rule sets that ship, and one with the source of every limit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import get_args

from cutpath.rules.values import Basis, RuleSet
from cutpath.screen import fit, table
from cutpath.tables.rule_sets import bounds_text, unit_of

_DECIDES = (
    "A rule set is not the code: it holds a few numbers of one, as somebody read them at some time. The local code and "
    "a licensed professional decide."
)


def rule_sets_text(sets: Sequence[RuleSet]) -> str:
    """A row a set: how many limits, and how well their sources were seen."""
    bases = get_args(Basis)
    rows = []
    for rules in sets:
        counts = Counter(limit.basis for limit in rules.limits)
        rows.append((rules.name, *(str(counts[basis]) for basis in bases), rules.title))
    last = len(bases) + 1
    lines = [
        table(("rule set", *bases, ""), rows, left=frozenset({0, last})),
        "",
        "Counts are of limits: looked up in the code, read in what quotes it, or from memory. "
        "`cutpath rules NAME` shows one.",
        _DECIDES,
    ]
    return fit(lines)


def rule_set_text(rules: RuleSet) -> str:
    """A row a limit: what it states, its clause, edition, how well it was seen and where."""
    unit = unit_of(rules)
    rows = [(m.key, bounds_text(m, unit), m.basis, m.source) for m in rules.limits]
    head = ("limit", "", "basis", "source")
    unseen = sum(m.basis != "looked up" for m in rules.limits)
    seen: dict[str, list[str]] = {}
    for m in rules.limits:
        if m.seen:
            seen.setdefault(m.seen, []).append(m.key)
    lines = [f"{rules.name}: {rules.title}", ""]
    if rules.based_on:
        lines[1:1] = [f"on top of {rules.based_on}"]
    lines += [table(head, rows, left=frozenset(range(len(head)))), ""]
    lines += [f"{', '.join(keys)}: read in {where}" for where, keys in seen.items()]
    undated = [m.key for m in rules.limits if not m.edition]
    if undated:
        whose = "all limits" if len(undated) == len(rules.limits) else ", ".join(undated)
        lines.append(f"{whose}: the edition is not stated")
    if unseen:
        lines.append(
            f"{unseen} of {len(rules.limits)} limits were not looked up in the code: do that before you rely on them."
        )
    return fit([*lines, _DECIDES])

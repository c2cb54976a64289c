"""The limits of the rule sets `england-k-private`, `england-k-utility` and `england-k-general`.

Source: Approved Document K (England, 2013), table 1.1 and its notes: rises, goings, 2R + G 550 to 700 mm, pitch to 42
degrees (looked up); 1.9, 1.18, diagrams 1.3 and 3.1: memory.
"""

from __future__ import annotations

import pytest

from cutpath.faults import NoStairFits
from cutpath.rules.values import Limit, RuleSet
from tests.rule_values import LOOKED_UP, MEMORY, rails, says
from tests.test_solver import chosen, site, stair

L, M = LOOKED_UP, MEMORY
ALL = {"comfort": (550, 700, L), "pitch": (None, 42, L), "headroom": (2000, None, M)}


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        (
            "private",
            {"rise": (150, 220, L), "run": (220, 300, L), "open-gap": (None, 100, M), "guard": (None, 600, M)},
        ),
        ("utility", {"rise": (150, 190, L), "run": (250, 400, L), "risers": (None, 16, M)}),
        ("general", {"rise": (150, 170, L), "run": (250, 400, L), "risers": (None, 12, M)}),
    ],
)
def test_the_set_says_what_was_published(kind: str, values: dict) -> None:
    says(f"england-k-{kind}", ALL | values, "GB-ENG")
    guard = (900, None, 100, None) if kind == "private" else (None,) * 4
    assert rails(f"england-k-{kind}") == (None, None, *guard)


def test_limits_of_comfort_and_pitch_bound_a_free_rise() -> None:
    """Approved Document K (England, 2013), Table 1.1 and notes: 2R + G 550 to 700 mm, private stair to 42 degrees."""
    k = RuleSet(
        "k", "k", (
            Limit("comfort", "length", 550, 700, None, "AD K table 1.1", "looked up"),
            Limit("pitch", "angle", None, 42, None, "AD K table 1.1", "looked up"),
            Limit("rise", "length", 150, 220, None, "AD K table 1.1", "looked up"),
        ),
    )  # fmt: skip
    choice = chosen(site(least=0, most=80), stair(unit_run=250.0, rules="k"), k)
    assert 550 - 1e-6 <= choice.stair.comfort <= 700 + 1e-6
    with pytest.raises(NoStairFits, match="pitch"):
        chosen(site(total=1760.0), stair(unit_run=220.0, risers=8), k)

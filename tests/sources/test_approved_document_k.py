"""Comfort and pitch of private stairs.

Source: Approved Document K (England, 2013), table 1.1 and its notes: 2R + G 550 to 700 mm, private stair to 42 degrees
(looked up).
"""

from __future__ import annotations

import pytest

from cutpath.faults import NoStairFits
from cutpath.rules.values import Limit, RuleSet
from tests.test_solver import site, stair, taken


def test_limits_of_comfort_and_pitch_bound_a_free_rise() -> None:
    """Approved Document K (England, 2013), Table 1.1 and notes: 2R + G 550 to 700 mm, private stair to 42 degrees."""
    k = RuleSet(
        "k", "k", (
            Limit("comfort", "length", 550, 700, None, "AD K table 1.1", "looked up"),
            Limit("pitch", "angle", None, 42, None, "AD K table 1.1", "looked up"),
            Limit("rise", "length", 150, 220, None, "AD K table 1.1", "looked up"),
        ),
    )  # fmt: skip
    choice = taken(site(least=0, most=80), stair(unit_run=250.0, rules="k"), k)
    assert 550 - 1e-6 <= choice.stair.comfort <= 700 + 1e-6
    with pytest.raises(NoStairFits, match="pitch"):
        taken(site(total=1760.0), stair(unit_run=220.0, risers=8), k)

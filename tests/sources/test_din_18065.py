"""The limits of the rule set `din-18065`.

Source: DIN 18065 (Germany), stairs of buildings with up to two dwellings: second hand, edition not told; width,
headroom, flight and railing: memory.
"""

from __future__ import annotations

from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

VALUES = {
    "rise": (None, 200, S),
    "run": (230, None, S),
    "comfort": (590, 650, S),
    "rise-step": (None, 5, S),
    "run-step": (None, 5, S),
    "risers": (None, 18, M),
    "clear-width": (800, None, M),
    "headroom": (2000, None, M),
    "guard": (None, 1000, M),
    "width-by-one-rail": (800, None, M),
    "width-by-two-rails": (800, None, M),
}


def test_the_set_says_what_was_published() -> None:
    says("din-18065", VALUES, "DE")
    assert rails("din-18065") == (None, None, 900, None, 120, None)

"""The limits of the rule set `ibc-2021`.

Source: International Building Code 2021, sections 1011 (stairways), 1014 (handrails), 1015 (guards): memory.
"""

from __future__ import annotations

from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

VALUES = {
    "rise": (4 * IN, 7 * IN, M),
    "run": (11 * IN, None, M),
    "rise-spread": (None, 0.375 * IN, M),
    "run-spread": (None, 0.375 * IN, M),
    "flight-rise": (None, 144 * IN, M),
    "clear-width": (36 * IN, None, M),
    "nosing": (None, 1.25 * IN, M),
    "open-gap": (None, 4 * IN, M),
    "headroom": (80 * IN, None, M),
    "handrail": (None, 0, M),
    "guard": (None, 30 * IN, M),
    "width-by-one-rail": (31.5 * IN, None, M),
    "width-by-two-rails": (27 * IN, None, M),
}


def test_the_set_says_what_was_published() -> None:
    says("ibc-2021", VALUES, "US")
    assert rails("ibc-2021") == (864, 965, 1067, 914, 102, 152)

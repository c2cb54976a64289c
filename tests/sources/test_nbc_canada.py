"""The limits of the rule set `nbc-canada-2020`.

Source: National Building Code of Canada 2015/2020, 9.8.4 and heights of handrails: second hand (a planning office's
page); wooden stringers: Ontario Building Code (O. Reg. 332/12) 9.8.9.4, looked up, that the NBC says the same:
memory; other rows: memory.
"""

from __future__ import annotations

from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

VALUES = {
    "rise": (125, 200, S),
    "run": (255, 355, S),
    "rise-step": (None, 5, S),
    "headroom": (1950, None, S),
    "rise-spread": (None, 10, M),
    "flight-rise": (None, 3700, M),
    "clear-width": (860, None, M),
    "handrail": (None, 3, M),
    "guard": (None, 600, M),
    "rail-projection": (None, 100, M),
    "stringer-throat": (90, None, M),
    "stringer-depth": (235, None, M),
    "stringer-thickness": (38, None, M),
    "stringer-spacing": (None, 900, M),
}


def test_the_set_says_what_was_published() -> None:
    says("nbc-canada-2020", VALUES, "CA")
    assert rails("nbc-canada-2020") == (865, 965, 900, None, 100, None)

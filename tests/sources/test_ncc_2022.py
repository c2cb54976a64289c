"""The limits of the rule set `ncc-2022`.

Source: National Construction Code 2022 (Australia), table D3D14: second hand; ABCB Housing Provisions 10.3.1, 11.2,
11.3: memory.
"""

from __future__ import annotations

from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

VALUES = {
    "rise": (115, 190, S),
    "run": (240, 355, S),
    "comfort": (550, 700, S),
    "risers": (2, 18, S),
    "open-gap": (None, 125, M),
    "headroom": (2000, None, M),
    "landing-depth": (750, None, M),
    "guard": (None, 1000, M),
}


def test_the_set_says_what_was_published() -> None:
    says("ncc-2022", VALUES, "AU")
    assert rails("ncc-2022") == (None, None, 865, None, 125, None)

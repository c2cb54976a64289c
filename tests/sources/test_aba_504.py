"""The limits of the rule set `aba-504`.

Source: Architectural Barriers Act Standards 504.2 (treads and risers) and 504.3 (open risers): looked up; 307.4,
504.5, 504.6 and 505: memory.
"""

from __future__ import annotations

from cutpath.rules.load import load_rules
from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

VALUES = {
    "rise": (4 * IN, 7 * IN, L),
    "run": (11 * IN, None, L),
    "rise-spread": (None, 0, L),
    "run-spread": (None, 0, L),
    "nosing": (None, 1.5 * IN, M),
    "open-gap": (None, 0, L),
    "headroom": (80 * IN, None, M),
    "handrail": (None, 0, M),
}


def test_the_set_says_what_was_published() -> None:
    says("aba-504", VALUES, "US")
    assert rails("aba-504") == (864, 965, None, None, None, None)


def test_published_millimetres_are_the_inches_to_the_nearest_ten() -> None:
    """504.2 prints 100 to 180 mm beside 4 to 7 in, and 280 mm beside 11 in."""
    rules = load_rules("aba-504")
    assert (round(rules.limit("rise", None).least, -1), round(rules.limit("rise", None).most, -1)) == (100, 180)
    assert round(rules.limit("run", None).least, -1) == 280


def test_open_risers_fail_a_job() -> None:
    """504.3: open risers are not permitted."""
    limit = load_rules("aba-504").limit("open-gap", None)
    assert (limit.most, limit.above, limit.required) == (0, None, True)

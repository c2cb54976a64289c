"""The limits of the rule sets `irc-2018`, `irc-2021` and `irc-2024`.

Source: International Residential Code 2018 and 2021, R311.7 (rise, run, width, headroom), and of 2018 R311.7.8
(handrails) and R312.1 (guards), as adopted by a county: looked up. Other rows, and all of 2024 (R318.7, R321.1):
memory.
"""

from __future__ import annotations

import pytest

from cutpath.rules.load import load_rules
from tests.rule_values import LOOKED_UP, MEMORY, SECOND_HAND, rails, says

IN = 25.4
L, S, M = LOOKED_UP, SECOND_HAND, MEMORY

IRC = {
    "rise": (None, 7.75 * IN, L),
    "run": (10 * IN, None, L),
    "clear-width": (36 * IN, None, L),
    "headroom": (80 * IN, None, L),
    "rise-spread": (None, 0.375 * IN, M),
    "run-spread": (None, 0.375 * IN, M),
    "nosing": (0.75 * IN, 1.25 * IN, M),
    "open-gap": (None, 4 * IN, M),
    "flight-rise": (None, 151 * IN, M),
    "landing-depth": (36 * IN, None, M),
    "handrail": (None, 3, M),
    "guard": (None, 30 * IN, M),
    "rail-projection": (None, 4.5 * IN, M),
    "width-by-one-rail": (31.5 * IN, None, M),
    "width-by-two-rails": (27 * IN, None, M),
}


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("irc-2018", IRC | {"handrail": (None, 3, L), "guard": (None, 30 * IN, L)}),
        ("irc-2021", IRC),
        ("irc-2024", {key: (least, most, M) for key, (least, most, _) in IRC.items()}),
    ],
)
def test_the_set_says_what_was_published(name: str, values: dict) -> None:
    says(name, values, "US")
    assert all(m.source.startswith(f"IRC {name[-4:]} R3") for m in load_rules(name).limits)
    # Millimetres as printed beside the inches: 34 to 38 in, 34 in, 36 in to the side; 4 3/8 in, and 6 in
    # through the triangle of riser, tread and bottom rail.
    assert rails(name) == (864, 965, 864, 914, 111, 152)


def test_published_millimetres_are_the_inches_rounded() -> None:
    """IRC prints 196, 254, 914 and 2032 mm beside the inches."""
    rules = load_rules("irc-2021")
    assert round(rules.limit("rise", None).most - 0.5) == 196
    assert round(rules.limit("run", None).least) == 254
    assert round(rules.limit("clear-width", None).least) == 914
    assert round(rules.limit("headroom", None).least) == 2032


def test_nosing_is_limited_only_under_an_eleven_inch_run() -> None:
    rules = load_rules("irc-2021")
    assert rules.limit("nosing", unit_run=11 * IN) is None
    assert rules.limit("nosing", unit_run=10.99 * IN) is not None


@pytest.mark.parametrize("name", ["irc-2018", "irc-2021", "irc-2024"])
def test_openings_count_from_thirty_inches_up_and_only_tell(name: str) -> None:
    """R311.7.5.1 (memory): no 4 in sphere where more than 30 in above the floor or grade below."""
    limit = load_rules(name).limit("open-gap", None)
    assert (limit.above, limit.required) == (pytest.approx(30 * IN), False)

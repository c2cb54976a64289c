"""The limits of the rule set `irc-2021`.

Source: International Residential Code 2021, sections R311.7.1 to R311.7.6, as adopted by a county (looked up: rise, run
and width); the rest from memory.
"""

from __future__ import annotations

import pytest

from cutpath.rules.load import load_rules, shipped
from cutpath.rules.measures import MEASURES
from tests.stairs import IN

IRC = load_rules("irc-2021")

# IRC 2021 as adopted by a county, looked up: R311.7.5.1 rise, R311.7.5.2 run, R311.7.1 width. The rest from memory:
# R311.7.5.1/.2 spread, R311.7.5.3 nosing, R311.7.3 flight, R311.7.6 landing.
IRC_VALUES = {
    "rise": (None, 7.75, "looked up"),
    "run": (10, None, "looked up"),
    "clear-width": (36, None, "looked up"),
    "rise-spread": (None, 0.375, "memory"),
    "run-spread": (None, 0.375, "memory"),
    "nosing": (0.75, 1.25, "memory"),
    "flight-rise": (None, 151, "memory"),
    "landing-depth": (36, None, "memory"),
}


@pytest.mark.parametrize("key", IRC_VALUES)
def test_irc_2021_has_the_published_values(key: str) -> None:
    least, most, basis = IRC_VALUES[key]
    limit = IRC.limit(key, unit_run=10 * IN)
    assert limit is not None
    assert limit.least == (None if least is None else pytest.approx(least * IN))
    assert limit.most == (None if most is None else pytest.approx(most * IN))
    assert limit.basis == basis
    assert ("memory" in limit.caveat) == (basis == "memory")
    assert limit.source.startswith("IRC 2021 R311.7")


def test_published_millimetres_are_the_inches_rounded() -> None:
    """IRC prints 196, 254 and 914 mm beside the inches."""
    assert round(IRC.limit("rise").most - 0.5) == 196
    assert round(IRC.limit("run").least) == 254
    assert round(IRC.limit("clear-width").least) == 914


def test_every_limit_of_the_set_is_in_the_table() -> None:
    assert {limit.key for limit in IRC.limits} == set(IRC_VALUES)
    assert set(IRC_VALUES) <= set(MEASURES)
    assert "irc-2021" in shipped()


def test_nosing_is_limited_only_under_an_eleven_inch_run() -> None:
    assert IRC.limit("nosing", unit_run=11 * IN) is None
    assert IRC.limit("nosing", unit_run=10.99 * IN) is not None

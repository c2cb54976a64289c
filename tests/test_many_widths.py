"""Boards of many widths: few nests, the same plan as by all of them, and a word while it lasts."""

from __future__ import annotations

import random

import pytest

from cutpath.plan import stages, widths
from cutpath.plan.stages import plan
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from tests.jobs import job_with


def rack(seed: int, many: int) -> list[dict[str, object]]:
    """Boards of as many widths, from a shop's leavings; dearer ones among them at random."""
    chance = random.Random(seed)
    some = chance.sample(range(10_400, 11_251), many)
    return [
        {
            "size": "2x12",
            "length": chance.choice([96, 120, 144]),
            "widths": [w / 1000],
            "quantity": chance.randint(1, 3),
            "price": chance.randint(20, 40),
        }
        for w in some
    ]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 2))
def test_few_nests_find_what_all_of_them_find(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job = job_with(stock=rack(seed, 40), stringer={"count": 5}).job
    rules, show = load_rules(job.stair.rules), shown_in(job.units)
    nests: list[int] = []
    told: list[tuple[str, int, int]] = []
    real = stages.laid

    def counted(*arguments: object) -> object:
        nests.append(1)
        return real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(stages, "laid", counted)
    found = plan(job, rules, show, tell=lambda *words: told.append(words))
    few = len(nests)
    monkeypatch.setattr(widths, "_ALL_KNOWN", 1000)
    every = plan(job, rules, show)
    # Of the forty those are nested that fail fewest checks.
    assert few <= 12 and few <= len(nests) - few
    assert found.layout.value == pytest.approx(every.layout.value)
    assert found.design.board_width == pytest.approx(every.design.board_width)
    assert sum(what.startswith("a stringer for each width") for what, _, _ in told) == 40


@pytest.mark.slow
def test_where_the_narrowest_fail_a_check_the_wider_are_looked_through() -> None:
    job = job_with(stock=rack(1, 40), stringer={"count": 2}).job
    rules, show = load_rules(job.stair.rules), shown_in(job.units)
    found = plan(job, rules, show)
    assert found.design.failing == ()
    narrow = min(s.least_width for s in job.stock)
    assert found.design.board_width > narrow

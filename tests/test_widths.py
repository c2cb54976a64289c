"""Several jobs, boards of several widths: the width is part of the choice, held against every choice there is."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.relief import CutPart
from cutpath.design.stair import Stair
from cutpath.design.strength.values import Strength
from cutpath.design.stringer import Stringer
from cutpath.faults import ImpossibleStringer, NoNest
from cutpath.job.loads import area_load
from cutpath.job.read import job_of
from cutpath.job.values import Job, Wood
from cutpath.nest import Layout, PartKind, nest_parts
from cutpath.nest.boards.over_widths import area_bound, core
from cutpath.outline import shift
from cutpath.plan import widths as plan_widths
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.laid import kinds, verify
from cutpath.plan.stages import plan_together, plan_unlaid, solve
from cutpath.plan.strengths import strength_of
from cutpath.plan.together import Entrant, common_job
from cutpath.plan.values import Design, Together
from cutpath.rules.load import load_rules
from cutpath.units import Show
from tests.test_nest_shapes import board, box, kind, slanted

IN = 25.4


def entrant(name: str, stock: Sequence[dict[str, Any]], rise: float, risers: int, run: float, count: int) -> Entrant:
    read = job_of(
        {
            "units": "in",
            "job": {"name": name},
            "site": {"total_rise": rise},
            "stair": {"risers": risers, "unit_run": run},
            "stringer": {"count": count, "throat_least": 3.3},
            "stock": list(stock),
        },
        Path(f"{name}.toml"),
    )
    return Entrant(name, read.job, load_rules(read.job.stair.rules), lambda mm: f"{mm / IN:g}")


def together(entrants: Sequence[Entrant]) -> Together:
    found = plan_together(entrants, entrants[0].job.stock)
    verify(found.whole)
    return found


def every_width(entrants: Sequence[Entrant]) -> tuple[int, float]:
    """The fewest checks that fail, and then the least cost, over every choice of a width for each job."""
    common = common_job([e.job for e in entrants])
    drawn: list[list[Design]] = []
    for e in entrants:
        stair, mine = solve(e.job, e.rules, e.show).stair, []
        for width in board_widths(e.job):
            try:
                mine.append(design(e.job, e.rules, stair, width, e.show))
            except ImpossibleStringer:
                continue
        drawn.append(mine)
    found: list[tuple[int, float]] = []
    for designs in itertools.product(*drawn):
        parts = [replace(k, name=f"{i} {k.name}") for i, d in enumerate(designs) for k in kinds(d)]
        usable = [b for b in common.stock if b.least_width >= min(d.board_width for d in designs)]
        try:
            layout = nest_parts(parts, usable, gap=common.part_gap, end_trim=common.machine.end_trim)
        except NoNest:
            continue
        assert layout.bound == layout.value
        found.append((sum(len(d.failing) for d in designs), layout.value))
    return min(found)


def random_jobs(seed: int) -> list[Entrant]:
    draw = random.Random(seed)
    sizes = draw.sample([9.25, 9.6, 10.2, 10.8, 11.25], draw.randint(2, 3))
    stock = [
        {
            "size": [1.5, width],
            "length": draw.choice([96, 120, 144]),
            "price": draw.randint(9, 30),
            **({"quantity": draw.randint(2, 4)} if draw.random() < 0.3 else {}),
        }
        for width in sizes
    ]
    stock.append({"size": [1.5, max(sizes)], "length": 144, "price": 31})
    return [
        entrant(
            f"Job {k}",
            stock,
            rise=(risers := draw.randint(3, 5)) * draw.uniform(5.2, 7.6),
            risers=risers,
            run=draw.uniform(10.5, 12.5),
            count=draw.randint(1, 2),
        )
        for k in range(draw.randint(2, 4))
    ]


def of_wood(live: str, *, cheap: float) -> Entrant:
    """A job of No. 2 pine on boards of three widths, of which one has a price of its own."""
    widths = (9.25, 10.25, 11.25)
    stock = [{"size": [1.5, w], "length": 96, "quantity": 4, "price": 9 if w == cheap else 30} for w in widths]
    plain = entrant("Porch", stock, rise=28, risers=4, run=11, count=3)
    wood, loads = Wood("Southern Pine", "No. 2"), replace(plain.job.loads, live=float(area_load(live)))
    return replace(plain, job=replace(plain.job, wood=wood, loads=loads))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("live", "cheap", "chosen", "most_judged"),
    [
        ("40 psf", 9.25, 9.25, 1),  # carries enough on the cheapest, and no other is judged
        ("40 psf", 11.25, 11.25, 1),
        ("300 psf", 9.25, 11.25, 3),  # too much for the cheapest, which would be chosen unjudged
        ("900 psf", 9.25, 9.25, 3),  # too much for each: as many checks fail, and the cheapest is chosen
    ],
)
def test_what_boards_carry_is_part_of_the_choice_and_judged_no_more_than_it_takes(
    live: str, cheap: float, chosen: float, most_judged: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = of_wood(live, cheap=cheap)
    failing, cost = every_width([job])
    judged: list[float] = []

    def counted(job: Job, stair: Stair, stringer: Stringer, part: CutPart, width: float, show: Show) -> Strength | str:
        judged.append(width)
        return strength_of(job, stair, stringer, part, width, show)

    monkeypatch.setattr("cutpath.plan.drawn.strength_of", counted)
    found = together([job])
    assert found.whole.design.board_width == pytest.approx(chosen * IN)
    assert (len(found.whole.design.failing), found.whole.layout.value) == (failing, pytest.approx(cost))
    assert found.whole.layout.bound == found.whole.layout.value
    assert found.whole.design.strength is not None
    assert len(judged) <= most_judged
    assert len(set(judged)) == len(judged)
    # Without a layout, the widest of those fewest of whose checks fail.
    unlaid = plan_unlaid(job.job, job.rules, job.show).design
    assert (unlaid.board_width, len(unlaid.failing)) == (pytest.approx(11.25 * IN), failing)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 1, 3, 4, 6, 7])
def test_no_choice_of_widths_costs_less(seed: int) -> None:
    entrants = random_jobs(seed)
    found = together(entrants)
    failing, cost = every_width(entrants)
    assert sum(len(p.design.failing) for p in found.plans) == failing
    assert found.whole.layout.value == pytest.approx(cost)
    assert found.whole.layout.bound == found.whole.layout.value


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 3, 5])
@pytest.mark.parametrize("inside", [True, False])
def test_a_bound_covers_what_was_not_nested(seed: int, inside: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only a few choices are nested, with and without what all widths have in common."""
    entrants = random_jobs(seed)
    best = together(entrants).whole.layout.value
    for name in ("_ALL", "_ALL_KNOWN", "_MOST_NESTS"):
        monkeypatch.setattr(plan_widths, name, 0)
    if not inside:
        monkeypatch.setattr("cutpath.nest.boards.over_widths.core", lambda kinds: None)
    layout = together(entrants).whole.layout
    assert layout.bound <= best + 1e-6 <= layout.value + 2e-6
    assert layout.bound > 0.3 * best
    assert inside is False or layout.bound == pytest.approx(best)


def four_jobs() -> list[Entrant]:
    stock = [{"size": "2x10", "length": 120, "price": 10}, {"size": "2x12", "length": 120, "price": 20}]
    first = entrant("Job 1", stock, 31, 4, 10, 2)
    return [first, *(entrant(f"Job {k}", stock, 20, 4, 13, 1) for k in (2, 3, 4))]


@pytest.mark.slow
def test_jobs_that_fit_the_narrow_board_go_there_by_themselves() -> None:
    """All on wide boards cost 40; three on a narrow one with what fits the wide one beside the fourth, 30."""
    layout = together(four_jobs()).whole.layout
    assert (layout.value, layout.bound) == (30.0, 30.0)


@pytest.mark.parametrize("at", [1, 2, 3])
def test_what_ctrl_c_leaves_untried_is_in_the_bound(at: int, monkeypatch: pytest.MonkeyPatch) -> None:
    import cutpath.nest

    entrants = four_jobs()
    plain, calls = cutpath.nest.nest_parts, [0]

    def nest(*given: Any, **more: Any) -> Layout:
        calls[0] += 1
        if calls[0] == at + 1:
            raise KeyboardInterrupt
        return plain(*given, **more)

    monkeypatch.setattr(cutpath.nest, "nest_parts", nest)
    layout = together(entrants).whole.layout
    assert layout.stopped and calls[0] == at + 1
    assert layout.bound <= 30.0 <= layout.value


def test_what_widths_have_in_common_lies_within_each() -> None:
    narrow, wide = kind(slanted(500, 480, 10, 200.0), 1), kind(slanted(500, 480, 10, 240.0), 1)
    common = core([wide, narrow])
    assert common is not None and common.width == 200.0 and common.outline != narrow.outline
    for other in (narrow, wide):
        # The upper edge's left corner is the point that they share.
        moved = common.outline.moved(shift(10.0 - _corner(common), other.width - 200.0)).polygon()
        assert other.outline.polygon().buffer(0.1).covers(moved)
        assert moved.area > 0.98 * narrow.outline.polygon().area
    for length in (480, 500):
        inner = kind(box(length, 200.0), 1)
        assert core([kind(box(500, 240.0), 1), inner]) is inner
    shorter = core([kind(box(500, 240.0), 1), kind(box(510, 200.0), 1)])
    assert shorter is not None and shorter.outline.extents()[2] == pytest.approx(500.0, abs=0.1)
    assert core([kind(box(500, 200.0), 2), kind(box(500, 240.0), 1)]) is None
    assert core([kind(box(500, 200.0), 1, turn_over=True), kind(box(500, 240.0), 1)]) is None


def _corner(part: PartKind) -> float:
    """The left end of a part's upper edge."""
    high = max(y for _, y in part.outline.points)
    return min(x for x, y in part.outline.points if high - y < 1e-6)


def test_area_takes_the_cheapest_boards_first() -> None:
    stock = [board(1000.0, 100.0, price=10.0, quantity=2), board(1000.0, 100.0, price=30.0)]
    kinds_drawn = [[kind(box(500, 100.0), 5), kind(box(600, 90.0), 5)]]
    # 250,000 mm2: two boards of 100,000 at 10, and half a board at 30.
    assert area_bound(kinds_drawn, stock) == pytest.approx(20.0 + 15.0)

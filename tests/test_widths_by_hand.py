"""Which widths are chosen, held against every choice there is; costs are made up, nothing is drawn or laid."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Mapping, Sequence

import pytest

from cutpath.faults import NoNest
from cutpath.nest.values import Layout
from cutpath.plan.values import Design
from cutpath.plan.widths import best_widths
from cutpath.rules.values import Check

Widths = tuple[float, ...]
Cost = Callable[[Widths], float | None]


def design(width: float, failing: int = 0) -> Design:
    """A design for a width of which so many required checks fail, and none is drawn."""
    checks = tuple(Check(f"check {i}", i >= failing, True, "length", None, None, None, "", "") for i in range(4))
    return Design(width, None, (), checks, None, None)  # type: ignore[arg-type]


class Rack:
    """What a choice of widths costs, and what was asked."""

    def __init__(self, cost: Cost, bound: float = 0.0, ends: dict[int, BaseException | str] | None = None) -> None:
        self.cost, self.bound, self.ends = cost, bound, ends or {}
        self.asked: list[Widths] = []
        self.over: list[tuple[list[list[float]], float | None]] = []

    def lay(self, designs: Sequence[Design]) -> Layout:
        widths = tuple(d.board_width for d in designs)
        self.asked.append(widths)
        end = self.ends.get(len(self.asked))
        if isinstance(end, BaseException):
            raise end
        cost = self.cost(widths)
        if cost is None:
            raise NoNest(f"none for {widths}")
        return Layout((), "money", cost, cost, cost, 0.5, stopped=end == "stopped")

    def least(self, options: Sequence[Sequence[Design]], known: Layout | None) -> tuple[float, bool]:
        self.over.append(([[d.board_width for d in each] for each in options], known and known.value))
        return self.bound, "least" in self.ends.values()

    def best(self, *jobs: Mapping[float, int] | Sequence[float]) -> tuple[Widths, Layout]:
        """What is chosen of jobs' widths, each with how many checks fail there; no width is nested twice."""
        drawn = [{w: design(w, job[w] if isinstance(job, Mapping) else 0) for w in job} for job in jobs]
        designs, layout = best_widths(drawn, self.lay, self.least)
        assert len(set(self.asked)) == len(self.asked)
        assert [d is each[d.board_width] for d, each in zip(designs, drawn, strict=True)] == [True] * len(jobs)
        return tuple(d.board_width for d in designs), layout


@pytest.mark.parametrize("seed", range(40))
def test_the_choice_is_the_best_of_all(seed: int) -> None:
    """Fewest checks that fail, then cost, then the widest parts; by going through every choice."""
    draw = random.Random(seed)
    jobs = [{w: draw.choice([0, 0, 1, 2]) for w in draw.sample([1, 2, 4, 8], draw.randint(1, 4))} for _ in range(3)]
    every = list(itertools.product(*jobs))
    costs = {ws: None if draw.random() < draw.choice([0.1, 0.8]) else float(draw.randint(5, 9)) for ws in every}
    fails = {ws: sum(job[w] for job, w in zip(jobs, ws, strict=True)) for ws in every}
    laid = [(fails[ws], cost, -sum(ws), ws) for ws, cost in costs.items() if cost is not None]
    rack = Rack(costs.__getitem__, draw.choice([0.0, min((cost for _, cost, _, _ in laid), default=0.0)]))
    if not laid:
        with pytest.raises(NoNest, match="none for") as fault:
            rack.best(*jobs)
        few = tuple(min(w for w in job if job[w] == min(job.values())) for job in jobs)
        assert str(tuple(min(job) for job in jobs)) in str(fault.value) or str(few) in str(fault.value)
        return
    widths, layout = rack.best(*jobs)
    assert (fails[widths], costs[widths], -sum(widths)) == min(laid)[:3]
    # Among those with as few checks that fail, the cost is the least: the bound says so.
    assert layout.value == costs[widths] and not layout.stopped
    assert layout.bound <= layout.value
    fewest = [each for each in laid if each[0] == min(fails.values())]
    if fewest:
        assert layout.bound == layout.value
        assert all(fails[ws] == min(fails.values()) for ws in rack.asked), "no other is nested"


def test_a_single_choice_asks_for_no_bound_of_others() -> None:
    rack = Rack(lambda widths: 7.0)
    assert rack.best([3.0], {5.0: 2}) == ((3.0, 5.0), Layout((), "money", 7.0, 7.0, 7.0, 0.5))
    assert (rack.asked, rack.over) == ([(3.0, 5.0)], [])
    # Its own bound is all there is.
    _, layout = best_widths([{3.0: design(3.0)}], lambda _: Layout((), "money", 0.7, 0.7, 0.3, 0.5), rack.least)
    assert (layout.value, layout.bound) == (0.7, 0.3)


def test_of_choices_alike_the_first_job_has_the_wider_parts() -> None:
    rack = Rack(lambda widths: None if sum(widths) == 4.0 else 5.0)
    assert rack.best([1.0, 2.0], [1.0, 2.0])[0] == (2.0, 1.0)


def test_the_bound_of_all_is_asked_for_with_the_layout_of_the_narrowest() -> None:
    rack = Rack(lambda widths: sum(widths))
    assert rack.best({3.0: 0, 2.0: 0, 1.0: 1}, [5.0])[0] == (2.0, 5.0)
    assert rack.over == [([[3.0, 2.0], [5.0]], 7.0)]
    assert rack.asked[0] == (2.0, 5.0)


def test_where_the_least_cost_is_met_wider_parts_for_as_much_are_looked_for_from_the_widest_on() -> None:
    rack = Rack(lambda widths: 10.0 if widths[0] <= 5.0 else 12.0, bound=10.0)
    widths, layout = rack.best([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    assert (widths, layout.bound) == ((5.0,), 10.0)
    assert rack.asked == [(1.0,), (6.0,), (5.0,)]
    # Whose checks fail goes before, so all are gone through where these differ.
    rack = Rack(lambda widths: 10.0 if widths[0] != 1.0 else None, bound=10.0)
    assert rack.best({1.0: 0, 2.0: 1, 3.0: 2, 4.0: 2})[0] == (2.0,)
    assert rack.asked == [(1.0,), (4.0,), (3.0,), (2.0,)]


@pytest.mark.parametrize(("met", "all_nested"), [(False, 64), (True, 12)])
@pytest.mark.parametrize("more", [0, 1])
def test_so_many_choices_are_all_nested(met: bool, all_nested: int, more: int) -> None:
    """By the widest alone of one job it would cost less; nothing short of going through all finds every such choice."""
    many = all_nested + more
    best = float(many)  # the last to be looked at
    rack = Rack(lambda widths: 10.0, bound=10.0 if met else 9.0)
    widths = [float(w) for w in range(1, many + 1)]
    assert rack.best(widths)[0] == (best,)
    if met:
        # The widest costs as little as any: one nest more is enough, whether all were to be nested or some.
        assert len(rack.asked) == (2 if not more else math.ceil(math.log2(many)) + 1)
    else:
        assert (len(rack.asked) == many) == (not more)


@pytest.mark.parametrize("many", range(13, 31))
def test_of_many_widths_the_widest_that_costs_no_more_is_found_by_halves(many: int) -> None:
    for widest in range(1, many + 1):
        rack = Rack(lambda widths, widest=widest: 10.0 if widths[0] <= widest else 11.0, bound=10.0)
        widths, layout = rack.best([float(w) for w in range(1, many + 1)])
        assert (widths, layout.value, layout.bound) == ((float(widest),), 10.0, 10.0)
        assert len(rack.asked) <= 1 + math.ceil(math.log2(many))


@pytest.mark.parametrize("many", [12, 13])
def test_two_jobs_at_up_to_twelve_widths_alike_are_nested_at_each(many: int) -> None:
    """At the fifth width by itself they cost more, which halves would not be held up by."""
    rack = Rack(lambda widths: 11.0 if widths[0] == 5.0 else 10.0, bound=10.0)
    every = [float(w) for w in range(1, many + 1)]
    assert rack.best(every, every)[0] == (float(many),) * 2
    assert len(rack.asked) == (12 if many == 12 else 5)


def test_of_many_choices_each_job_s_width_is_changed_by_itself_until_nothing_is_better() -> None:
    """What each of three jobs costs hangs on its own width alone, so that changes by themselves find the best."""
    best, widths = (4.0, 1.0, 3.0), [1.0, 2.0, 3.0, 4.0, 5.0]

    def cost(chosen: Widths) -> float:
        return 20.0 + sum(abs(a - b) for a, b in zip(chosen, best, strict=True))

    rack = Rack(cost)
    found, layout = rack.best(widths, widths, widths)
    assert (found, layout.value, layout.bound) == (best, 20.0, 0.0)
    # All alike at each width first, the widest of them first; the narrowest is nested already.
    assert rack.asked[:5] == [(1.0,) * 3, (5.0,) * 3, (4.0,) * 3, (3.0,) * 3, (2.0,) * 3]
    # The best of these is 3 each, for 23; then one job's other four widths at a time, the widest first.
    assert rack.asked[5:9] == [(5.0, 3.0, 3.0), (4.0, 3.0, 3.0), (2.0, 3.0, 3.0), (1.0, 3.0, 3.0)]
    assert rack.asked[9:13] == [(4.0, 5.0, 3.0), (4.0, 4.0, 3.0), (4.0, 2.0, 3.0), (4.0, 1.0, 3.0)]
    # Four of the third's; then the first's other four beside what the others have now, and nothing is better.
    assert rack.asked[17:] == [(5.0, 1.0, 3.0), (3.0, 1.0, 3.0), (2.0, 1.0, 3.0), (1.0, 1.0, 3.0)]


def test_jobs_whose_widths_differ_go_together_at_each_width_or_the_next_narrower_one() -> None:
    widths = [[2.0, 4.0, 6.0], [3.0, 5.0], [1.0, 7.0], [1.0], [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]]
    rack = Rack(lambda chosen: 10.0, bound=10.0)
    rack.best(*widths)
    assert rack.asked == [
        (2.0, 3.0, 1.0, 1.0, 1.0),
        (6.0, 5.0, 7.0, 1.0, 6.0),
        (6.0, 5.0, 1.0, 1.0, 6.0),
        (4.0, 5.0, 1.0, 1.0, 5.0),
        (4.0, 3.0, 1.0, 1.0, 4.0),
        (2.0, 3.0, 1.0, 1.0, 3.0),
        (2.0, 3.0, 1.0, 1.0, 2.0),
    ]


def test_no_more_nests_than_a_bound_where_each_change_is_better() -> None:
    """Every choice costs less than those nested before it: it would go on for hours."""
    costs = itertools.count(10_000, -1)
    rack = Rack(lambda widths: float(next(costs)))
    _, layout = rack.best(*[[float(w) for w in range(1, 6)]] * 4)
    # The narrowest, all alike at four other widths, and 36 more.
    assert len(rack.asked) == 1 + 4 + 36
    assert layout.value == 10_000 - 40 and layout.bound == 0.0


def test_once_the_least_cost_is_met_no_job_is_changed_by_itself() -> None:
    widths = [1.0, 2.0, 3.0, 4.0, 5.0]
    rack = Rack(lambda chosen: 20.0 + sum(abs(w - 3.0) for w in chosen), bound=20.0)
    assert rack.best(widths, widths, widths)[0] == (3.0, 3.0, 3.0)
    assert len(rack.asked) == 5


@pytest.mark.parametrize("at", [1, 2, 3])
@pytest.mark.parametrize("how", ["in the nest", "with a layout"])
def test_ctrl_c_keeps_the_best_of_what_was_nested(at: int, how: str) -> None:
    end: BaseException | str = KeyboardInterrupt() if how == "in the nest" else "stopped"
    rack = Rack(lambda widths: 20.0 - widths[0], bound=8.0, ends={at: end})
    if at == 1 and how == "in the nest":
        with pytest.raises(KeyboardInterrupt):
            rack.best([1.0, 2.0, 3.0, 4.0])
        return
    widths, layout = rack.best([1.0, 2.0, 3.0, 4.0])
    assert layout.stopped and layout.bound == 8.0
    assert len(rack.asked) == at
    # The narrowest, then from the widest on: the fourth costs 16.
    last = at if how == "with a layout" else at - 1
    assert (widths, layout.value) == {1: ((1.0,), 19.0), 2: ((4.0,), 16.0), 3: ((4.0,), 16.0)}[last]


def test_ctrl_c_before_there_is_any_layout_ends_it() -> None:
    with pytest.raises(KeyboardInterrupt):
        Rack(lambda widths: None, ends={2: KeyboardInterrupt()}).best([1.0, 2.0])
    with pytest.raises(KeyboardInterrupt):
        Rack(lambda widths: None, ends={0: "least"}).best([1.0, 2.0])
    rack = Rack(lambda widths: 5.0, ends={0: "least"})
    _, layout = rack.best([1.0, 2.0])
    assert layout.stopped and rack.asked == [(1.0,)]


def test_where_no_choice_fails_fewest_and_has_a_layout_the_others_are_looked_through() -> None:
    """What was found out before is not nested again, and the bound is over those that were looked through too."""
    rack = Rack({(1.0,): None, (2.0,): None, (3.0,): 9.0, (4.0,): 8.0, (5.0,): 7.0}.__getitem__)
    widths, layout = rack.best({1.0: 0, 2.0: 0, 3.0: 1, 4.0: 1, 5.0: 2})
    assert (widths, layout.value) == ((4.0,), 8.0)
    assert layout.bound == 7.0
    assert rack.over[-1] == ([[1.0, 2.0, 3.0, 4.0, 5.0]], None)


def test_the_fault_is_that_of_the_narrowest() -> None:
    with pytest.raises(NoNest, match=r"none for \(1\.0, 2\.0\)"):
        Rack(lambda widths: None).best({1.0: 1, 3.0: 0}, {4.0: 0, 2.0: 1})
    rack = Rack(lambda widths: None)
    with pytest.raises(NoNest, match=r"none for \(1\.0, 2\.0\)"):
        rack.best([3.0, 1.0], [2.0, 4.0])
    assert len(rack.over) == 1, "there are no others to look through"

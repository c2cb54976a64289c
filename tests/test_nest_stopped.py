"""Ctrl-C while boards are chosen: the best layout so far is kept, with a bound that holds, and people are told."""

from __future__ import annotations

import json
import random
import signal
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace

import cutpath.nest
from cutpath.cli import steps
from cutpath.cli.main import run
from cutpath.design.stair import Stair
from cutpath.job.piece_values import SawSpec
from cutpath.job.values import Job, StockBoards
from cutpath.nest import Layout, PartKind, nest_parts, verify_layout
from cutpath.nest.boards import nest_boards as nest_plan
from cutpath.nest.boards.choose import Entry, Filling
from cutpath.nest.boards.integer import best_fillings
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.lumber.nest_lumber import nest_lumber
from cutpath.nest.lumber.verify import verify_lumber
from cutpath.plan import stages
from cutpath.plan.lumber_values import Lumber, LumberSection
from cutpath.plan.values import Design
from cutpath.rules.values import RuleSet
from cutpath.units import Show
from tests.jobs import FIXTURES, job_with, plan_anew
from tests.lumber import SIZE, line, lumber
from tests.stairs import mm
from tests.test_nest_shapes import board, kind, slanted

GAP, TRIM, WIDE = 12.7, 6.35, 285.75


def work(parts: int, kinds: int, seed: int, quantity: int | None = None) -> tuple[list[PartKind], list[StockBoards]]:
    """Parts with leaning ends, and boards of six lengths."""
    draw = random.Random(seed)
    shapes = [
        slanted(draw.uniform(150, 1500), draw.uniform(150, 1500), draw.uniform(0, 60), WIDE) for _ in range(kinds)
    ]
    counts = Counter(draw.randrange(kinds) for _ in range(parts))
    lengths = ((8, 19.2), (10, 24.6), (12, 30.1), (14, 36.4), (16, 43.0), (20, 57.1))
    stock = [board(feet * 304.8, price=price, quantity=quantity) for feet, price in lengths]
    return [kind(shapes[k], n, str(k)) for k, n in sorted(counts.items())], stock


@pytest.fixture(autouse=True)
def ctrl_c_raises() -> Iterator[None]:
    """Where the tests run in the background, a shell has had Ctrl-C ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture
def stop_at(monkeypatch: pytest.MonkeyPatch) -> Callable[[int], list[bool]]:
    """Send this process a Ctrl-C, a real one, at the n-th word of how far the nest is.

    What it gives says of each word whether there was no layout yet.
    """
    plain = SoFar.tick

    def at(number: int) -> list[bool]:
        told: list[bool] = []

        def tick(self: SoFar) -> None:
            whole = self
            while hasattr(whole, "_whole"):
                whole = whole._whole
            told.append(whole.choice is None)
            plain(self)
            if len(told) == number:
                signal.raise_signal(signal.SIGINT)

        monkeypatch.setattr(SoFar, "tick", tick)
        monkeypatch.setattr("cutpath.nest.boards.so_far._Rest.tick", tick)
        return told

    return at


@pytest.mark.slow
@pytest.mark.parametrize(
    ("parts", "kinds", "seed", "quantity"),
    [(16, 6, 1, None), (20, 8, 3, 6), (90, 6, 2, 6)],
)
def test_whatever_is_stopped_keeps_the_best_so_far(
    parts: int, kinds: int, seed: int, quantity: int | None, stop_at: Callable[[int], list[bool]]
) -> None:
    wanted, stock = work(parts, kinds, seed, quantity)

    def nested() -> Layout:
        layout = nest_parts(wanted, stock, gap=GAP, end_trim=TRIM)
        verify_layout(layout, wanted, GAP, TRIM, stock)
        return layout

    told = stop_at(0)
    full = nested()
    assert not full.stopped
    early, late = told.count(True), told.count(False)
    assert early and late
    kept: list[float] = []
    for number in sorted({1, early, early + 1, *(early + late * k // 6 for k in (1, 3, 5, 6))}):
        told = stop_at(number)
        try:
            layout = nested()
        except KeyboardInterrupt:
            assert all(told), "there was a layout, and it is lost"
        else:
            # Where there was none, the solver was stopped with one in hand.
            assert layout.stopped == (len(told) >= number)
            # Whatever was cut short, no layout costs less than either bound.
            assert layout.bound <= full.value + 1e-6 and full.bound <= layout.value + 1e-6
            kept.append(layout.value)
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    assert kept and kept[-1] <= kept[0]


@pytest.mark.slow
def test_the_solver_itself_is_stopped_and_keeps_what_it_found() -> None:
    draw = random.Random(3)
    stock = [Entry(192, 96, 60), Entry(301, 144, 60), Entry(430, 192, 60)]
    fillings = [
        Filling(draw.randrange(3), tuple(draw.choice((0, 0, 0, 0, 1, 1, 2)) for _ in range(16))) for _ in range(300)
    ]
    fillings = list(dict.fromkeys(fillings))
    wanted = [draw.randrange(1, 9) for _ in range(16)]
    full = best_fillings(stock, fillings, wanted, nodes=400, ties=False)
    assert full is not None

    class Pressed(SoFar):
        """Ctrl-C comes once the solver has something."""

        count = 0

        def tick(self) -> None:
            self.count += 1
            if self.count == 8:
                signal.raise_signal(signal.SIGINT)

    so_far = Pressed(stock)
    part = best_fillings(stock, fillings, wanted, nodes=400, ties=False, so_far=so_far)
    assert so_far.stopped and so_far.count < 20
    if part is not None:
        held = [sum(n * filling.counts[k] for filling, n in part.boards) for k in range(len(wanted))]
        assert all(h >= w for h, w in zip(held, wanted, strict=True))
        assert part.bound <= full.cost(stock) and full.bound <= part.cost(stock)
    with pytest.raises(KeyboardInterrupt):
        so_far.go_on()
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_a_layout_that_only_has_to_be_set_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    wanted, stock = work(12, 5, 1)
    full = nest_parts(wanted, stock, gap=GAP, end_trim=TRIM)
    plain, calls = nest_plan.tightest_row, [0]

    def row(*arguments: object, **more: object) -> object:
        calls[0] += 1
        if calls[0] in (1, *again):
            raise KeyboardInterrupt
        return plain(*arguments, **more)  # type: ignore[arg-type]

    again: tuple[int, ...] = ()
    monkeypatch.setattr(nest_plan, "tightest_row", row)
    assert nest_parts(wanted, stock, gap=GAP, end_trim=TRIM) == replace(full, stopped=True)
    calls[0], again = 0, (3,)
    with pytest.raises(KeyboardInterrupt):
        nest_parts(wanted, stock, gap=GAP, end_trim=TRIM)


def interrupted_nest(monkeypatch: pytest.MonkeyPatch, at: int) -> list[int]:
    """The nest of one width is stopped before it has a layout: the first one, the second one..."""
    plain, calls = cutpath.nest.nest_parts, [0]

    def nest(*arguments: object, **more: object) -> Layout:
        calls[0] += 1
        if calls[0] == at:
            raise KeyboardInterrupt
        return plain(*arguments, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(cutpath.nest, "nest_parts", nest)
    return calls


WIDTHS = [{"size": "2x12", "length": 192, "widths": [w], "quantity": 6} for w in (11.25, 11.1, 11)]


def test_layouts_of_widths_that_are_done_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    read = job_with(stock=WIDTHS)
    calls = interrupted_nest(monkeypatch, 2)
    planned = plan_anew(read)
    assert planned.layout.stopped and calls == [2]
    assert planned.design.board_width == pytest.approx(11 * 25.4)  # the narrowest, which tell most, go first
    interrupted_nest(monkeypatch, 1)
    with pytest.raises(KeyboardInterrupt):
        plan_anew(read)


@pytest.mark.parametrize("at", [1, 2, 3])
def test_widths_that_are_drawn_are_laid_when_the_others_are_stopped(monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    """From the first width that is drawn on there is something to keep, and of the others nothing is claimed."""
    plain, drawn = stages.drawn_for, list[float]()

    def design(job: Job, rules: RuleSet, stair: Stair, width: float, show: Show) -> Design:
        if len(drawn) == at - 1:
            raise KeyboardInterrupt
        drawn.append(width)
        return plain(job, rules, stair, width, show)

    monkeypatch.setattr(stages, "drawn_for", design)
    read = job_with(stock=WIDTHS)
    if at == 1:
        with pytest.raises(KeyboardInterrupt):
            plan_anew(read)
        return
    layout = plan_anew(read).layout
    assert drawn[0] == pytest.approx(11 * 25.4) and len(drawn) == at - 1
    assert layout.boards and layout.stopped and layout.bound == 0.0


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    text = (FIXTURES / "orchard-steps.toml").read_text()
    head, _, _ = text.partition("[[stock]]")
    boards = "".join(
        f'[[stock]]\nsize = "2x12"\nlength = {length}\nprice = {price}\nwidths = [{width}]\n'
        for length, price, width in ((192, 43, 11.25), (144, 30, 11.25), (192, 41, 11))
    )
    (tmp_path / "a.toml").write_text(head + boards)
    other = head.replace('"Orchard steps"', '"Pump house"').replace("count = 3", "count = 5")
    (tmp_path / "b.toml").write_text(other + boards)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    status = run([str(a) for a in arguments])
    out, err = capsys.readouterr()
    return status, out, err


@pytest.mark.slow
def test_several_jobs_keep_what_there_is(
    yard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = (yard / "a.toml", yard / "b.toml")
    calls = interrupted_nest(monkeypatch, 2)
    status, out, err = said(capsys, "export", *jobs, "-o", yard / "out")
    assert (status, calls) == (0, [2])
    assert "the nest was stopped; the best layout so far is kept" in err
    result = json.loads((yard / "out/result.json").read_text())
    assert result["nest"]["stopped"] is True and len(result["nest"]["boards"]) >= 2
    interrupted_nest(monkeypatch, 1)
    status, out, err = said(capsys, "nest", *jobs)
    assert (status, out, err.strip()) == (130, "", "cutpath: stopped; nothing was changed")


@pytest.mark.slow
def test_people_are_told(yard: Path, stop_at: Callable[[int], list[bool]], capsys: pytest.CaptureFixture[str]) -> None:
    jobs = (yard / "a.toml", yard / "b.toml")
    told = stop_at(0)
    status, out, err = said(capsys, "nest", *jobs)
    assert (status, err) == (0, "") and "stopped" not in out
    stop_at(told.index(False) + 1)
    status, out, err = said(capsys, "nest", *jobs)
    assert status == 0 and "; stopped early" in out
    assert err.startswith("cutpath: the nest was stopped; the best layout so far is kept, on ")
    stop_at(1)
    status, out, err = said(capsys, "nest", *jobs)
    assert (status, out, err.strip()) == (130, "", "cutpath: stopped; nothing was changed")


def test_one_job_of_two_kinds_is_kept_too(
    tmp_path: Path, stop_at: Callable[[int], list[bool]], capsys: pytest.CaptureFixture[str]
) -> None:
    job = FIXTURES / "closed-string.toml"
    told = stop_at(0)
    assert said(capsys, "nest", job)[0] == 0
    stop_at(told.index(False) + 1)
    status, _, err = said(capsys, "export", job, "-o", tmp_path / "out")
    assert status == 0 and "the best layout so far is kept" in err
    assert json.loads((tmp_path / "out/result.json").read_text())["nest"]["stopped"] is True


@pytest.mark.slow
def test_how_far_it_is_is_told() -> None:
    wanted, stock = work(16, 6, 1)
    lines: list[str] = []
    nest_parts(wanted, stock, gap=GAP, end_trim=TRIM, tell=lambda what, done, of: lines.append(f"{what} {done} {of}"))
    assert lines[0].startswith("looking for boards, second 0")
    assert any("over the least (Ctrl-C keeps them), second" in line for line in lines)


def test_a_nest_of_lumber_that_is_stopped_keeps_the_best_so_far(
    stop_at: Callable[[int], list[bool]], capsys: pytest.CaptureFixture[str]
) -> None:
    draw = random.Random(2)
    ends = ((0.0, 0.0), (35.0, 0.0), (35.0, 35.0))
    lines = [line(f"piece {i}", draw.uniform(300, 1500), draw.randint(1, 3), draw.choice(ends)) for i in range(9)]
    stock = [lumber(length, price) for length, price in ((2438.4, 5.2), (3048.0, 7.1), (3657.6, 8.3))]
    saw = SawSpec(3.0, 0.0, 1.0)

    def nested() -> Layout:
        layout = nest_lumber(lines, stock, saw, "2x4", mm)
        verify_lumber(layout, lines, SIZE, stock, saw)
        return layout

    told = stop_at(0)
    full = nested()
    first = told.count(True) + 1
    stop_at(first)
    stopped = nested()
    assert not full.stopped and stopped.stopped and stopped.bound <= full.value <= stopped.value
    section = LumberSection(SIZE, tuple(lines), tuple(stock), stopped, False, None)
    plain = plan_anew(job_with())
    with_lumber = replace(plain, lumber=Lumber((section,), saw, ()))
    steps.say_if_stopped(with_lumber)
    assert "the nest of 2x4 was stopped; the best layout so far is kept, on" in capsys.readouterr().err

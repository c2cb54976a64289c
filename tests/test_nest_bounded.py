"""Many kinds on a board: the nest ends, in bounded memory, and Ctrl-C ends it sooner."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from itertools import permutations, product
from pathlib import Path

import pytest

from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest import Keep, PartKind, nest_parts, verify_layout
from cutpath.nest.boards.fitting import Fitter
from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.rows import TooManyRows, arranged, beam, levels
from cutpath.nest.boards.slack import slack_of, tightest_row
from tests.test_nest_shapes import board, kind, slanted, stringer

GAP, TRIM = 12.7, 6.35
ROOT = Path(__file__).parents[1]


def many(kinds: int, risers: int, seed: int = 1) -> list[PartKind]:
    """So many stairs with one stringer each, of two to `risers` risers."""
    draw = random.Random(seed)
    return [
        kind(
            stringer(risers=draw.randint(2, risers), rise=draw.uniform(165, 196), run=draw.uniform(254, 292)),
            1,
            name=str(k),
        )
        for k in range(kinds)
    ]


def long_boards(price: float = 50.0) -> list[StockBoards]:
    return [board(20 * 304.8, price=price)]


def apart(kinds: int, *, ctrl_c: bool) -> tuple[float, float, bool, bool]:
    """Nest so many kinds in a process of its own; press Ctrl-C once there is a layout.

    Returns:
        Its peak of memory, MB; the seconds of work from then to its end; whether it was stopped, and is proved least.
    """
    code = (
        "import json, resource, signal, time\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from cutpath.nest import nest_parts, verify_layout\n"
        "from tests.test_nest_bounded import GAP, TRIM, long_boards, many\n"
        "at = []\n"
        "def tell(what, done, of):\n"
        f"    if {ctrl_c} and 'Ctrl-C keeps them' in what and not at:\n"
        "        at.append(time.process_time())\n"
        "        signal.raise_signal(signal.SIGINT)\n"
        f"wanted, stock = many({kinds}, 4), long_boards()\n"
        "layout = nest_parts(wanted, stock, gap=GAP, end_trim=TRIM, tell=tell)\n"
        "seconds = time.process_time() - at[0] if at else 0.0\n"
        "verify_layout(layout, wanted, GAP, TRIM, stock)\n"
        "peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024\n"
        "print(json.dumps([peak, seconds, layout.stopped, layout.bound == layout.value]))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True, timeout=120
    )
    peak, seconds, stopped, proved = json.loads(done.stdout)
    return float(peak), float(seconds), bool(stopped), bool(proved)


@pytest.mark.slow
@pytest.mark.parametrize("kinds", [18, 60])
def test_one_stringer_each_of_many_kinds_is_proved_within_a_gigabyte(kinds: int) -> None:
    peak, _, stopped, proved = apart(kinds, ctrl_c=False)
    assert peak < 1000 and not stopped and proved


def test_short_rows_are_rows_and_shortest_ones_where_they_can_be_told() -> None:
    draw = random.Random(4)
    for _ in range(6):
        kinds = [
            kind(slanted(draw.uniform(200, 500), draw.uniform(200, 500), draw.uniform(0, 60), 100.0), 1, str(k))
            for k in range(4)
        ]
        rack, stretches = Racks(kinds, 5.0).rack(100.0), ((0.0, 5000.0),)
        counts = (1, 2, 1, 2)
        best = arranged(rack, stretches, counts)
        slack = slack_of(rack, stretches)
        assert best is not None and slack is not None
        for most in (0, 20, 10**6):
            order = slack.tightest(counts, 5000.0, most)
            assert sorted(rack.kind_of[c] for c in order) == [0, 1, 1, 2, 3, 3]
            assert slack.length(order) >= best.end - 1e-6
            assert most < 10**6 or slack.length(order) == pytest.approx(best.end)
        late = tightest_row(rack, stretches, counts, slack, most=0)
        assert late is not None and best.end - 1e-6 <= late.end <= 1.1 * best.end
        # The slack's own account of a row is what setting its parts one by one comes to.
        assert late.end == pytest.approx(slack.length(late.order))
        assert slack.order(counts, best.end - 1.0) == ()
        held = slack.order(counts, best.end + 1e-6)
        assert held and slack.length(held) <= best.end + 1e-6


def test_a_few_rows_at_a_time_make_a_row() -> None:
    draw = random.Random(9)
    kinds = [kind(slanted(draw.uniform(30, 300), draw.uniform(30, 300), 150.0, 100.0), 1, str(k)) for k in range(5)]
    rack, stretches = Racks(kinds, 5.0).rack(100.0), clear_stretches(board(2000.0, defects=((400.0, 450.0),)), 2.0)
    counts = (1, 1, 1, 1, 1)
    best = arranged(rack, stretches, counts)
    row = beam(rack, stretches, counts, 8)
    assert best is not None and row is not None
    assert sorted(rack.kind_of[c] for c in row.order) == [0, 1, 2, 3, 4]
    assert best.end - 1e-6 <= row.end <= 1.2 * best.end
    # With room for all, every order of every turn is looked at, and nothing is shorter than the best row.
    wide = beam(rack, stretches, counts, len(list(permutations(range(5)))) * len(list(product((0, 1), repeat=5))))
    assert wide is not None and wide.end >= best.end - 1e-6
    with pytest.raises(TooManyRows):
        list(levels(rack, stretches, counts, tidy=True, most=50))
    assert beam(rack, ((0.0, 310.0),), counts, 8) is None


@pytest.mark.slow
@pytest.mark.parametrize("what", ["passing", "defects", "offcuts"])
def test_where_more_than_neighbours_decide_the_nest_ends_too(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    draw, met = random.Random(5), []
    least_end = Fitter._least_end

    def counted(fitter: Fitter, counts: tuple[int, ...]) -> float:
        try:
            return least_end(fitter, counts)
        except TooManyRows:
            met.append(counts)
            raise

    monkeypatch.setattr(Fitter, "_least_end", counted)
    wanted, stock, keep = many(14, 3), long_boards(), None
    if what == "passing":
        shapes = [
            slanted(draw.uniform(30, 400), draw.uniform(30, 400), draw.uniform(-300, 300), 285.75) for _ in "x" * 18
        ]
        wanted = [kind(shape, 1, str(k)) for k, shape in enumerate(shapes)]
    elif what == "defects":
        defects = ((2000.0, 2050.0),)
        stock = [board(feet * 304.8, price=p, defects=defects) for feet, p in ((20, 50.0), (12, 31.0))]
    else:
        stock, keep = [*stock, board(12 * 304.8, price=31.0)], Keep(400.0, 0.5, 9.0)
    layout = nest_parts(wanted, stock, gap=GAP, end_trim=TRIM, keep=keep)
    verify_layout(layout, wanted, GAP, TRIM, stock, keep)
    assert layout.bound <= layout.value
    assert met or what == "passing", "as few kinds as come to where rows are not all looked at any more"


@pytest.mark.slow
def test_ctrl_c_ends_a_nest_of_many_kinds_within_moments() -> None:
    _, seconds, stopped, _ = apart(60, ctrl_c=True)
    assert stopped and seconds < 5  # one on a quiet machine

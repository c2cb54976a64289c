"""Files of a job's laid in one, made by hand: which they are, when a file is none of that, which boards it draws."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.program import Operation
from cutpath.inspect.against import several
from cutpath.inspect.against.lacking import miscounted
from cutpath.inspect.against.program import WantedCuts
from cutpath.inspect.against.several import several_files
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, LayerSeen, Seen
from cutpath.job.values import Layers
from cutpath.outline import Chain, Point, straight

Run = tuple[Point, ...]
#: What three boards of 1000 by 200 are cut by: two whose parts share cuts, the third in set-ups.
RUNS: tuple[tuple[Run, ...], ...] = (
    (((0.0, 60.0), (900.0, 60.0)), ((300.0, 0.0), (300.0, 200.0)), ((700.0, 60.0), (700.0, 200.0))),
    (((0.0, 140.0), (500.0, 90.0), (950.0, 90.0)), ((500.0, 0.0), (500.0, 90.0))),
    (((200.0, 0.0), (400.0, 180.0), (420.0, 200.0)), ((100.0, 0.0), (100.0, 80.0), (180.0, 80.0))),
)
PROGRAMS = tuple(
    WantedCuts(
        board,
        1 if board == 2 else 0,
        2 if board == 2 else 0,
        tuple(Operation("outline", 0, straight(run, closed=False)) for run in runs),
        (),
        (),
        board < 2,
        (),
    )
    for board, runs in enumerate(RUNS)
)
EDGE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0))


def laid(*boards: int, size: float = 1.0, texts: tuple[str, ...] = (), left_out: int = 0) -> Looked:
    """Boards laid in one file, each 300 mm above the last one; of the last one some cuts are left out."""
    items: list[tuple[Chain, str]] = []
    for place, board in enumerate(boards):
        runs = RUNS[board][: -left_out or None] if place == len(boards) - 1 else RUNS[board]
        for run, closed in ((EDGE, True), *((run, False) for run in runs)):
            points = tuple((x * size, (y + 300.0 * place) * size) for x, y in run)
            items.append((straight(points, closed=closed), "STOCK" if closed else "CUT"))
    elements = tuple(
        Element(str(k), "LWPOLYLINE", layer, "model", chain, None) for k, (chain, layer) in enumerate(items)
    )
    layers = tuple(LayerSeen(name, frozen=False, off=False) for name in ("CUT", "STOCK"))
    seen = Seen("x.dxf", "R2000", "mm", 1.0, False, True, elements, layers, texts)
    return Looked(seen, roles_of(seen, Layers()), Layers())


@pytest.mark.parametrize(
    ("boards", "words"),
    [
        ((0, 1), "board 1 and board 2"),
        ((1, 0), "board 2 and board 1"),
        ((0, 0), "board 1 more than once"),
        ((2, 2), "set-up 1 of board 3 more than once"),
        ((0, 1, 2), "board 1, board 2 and set-up 1 of board 3"),
        ((1,), ""),
    ],
    ids=["two", "the other way", "one twice", "a set-up twice", "three", "one alone"],
)
def test_boards_whose_parts_share_cuts_laid_in_one_file_are_known(boards: tuple[int, ...], words: str) -> None:
    assert several_files(laid(*boards), PROGRAMS) == (words, frozenset({1.0} if words else ()))
    assert several_files(laid(*boards), ()) == ("", frozenset())


def test_so_many_boards_are_looked_at_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(several, "_MOST", 3)
    assert several_files(laid(1, 1, 1), PROGRAMS)[0] == "board 2 more than once"
    assert several_files(laid(1, 1, 1, 1), PROGRAMS)[0] == ""


@pytest.mark.parametrize("size", [25.4, 1 / 25.4])
def test_of_files_laid_in_one_in_another_unit_the_size_is_known(size: float) -> None:
    assert several_files(laid(0, 1, size=size), PROGRAMS) == ("board 1 and board 2", frozenset({size}))


def test_a_board_that_is_none_of_the_job_s_makes_it_another_file() -> None:
    assert several_files(laid(0, 1), PROGRAMS[:1]) == ("", frozenset())
    # A third of its cuts is too much to lack.
    assert several_files(laid(1, 0, left_out=2), PROGRAMS) == ("", frozenset())
    assert several_files(laid(1, 0, left_out=1), PROGRAMS)[0] == "board 2 and board 1"


def test_what_lies_off_every_board_belongs_to_none() -> None:
    look = laid(0, 1)
    far = Element("far", "LWPOLYLINE", "CUT", "model", straight(((0.0, 900.0), (3000.0, 1500.0)), closed=False), None)
    text = Element("note", "TEXT", "CUT", "model", None, (5.0, 5.0))
    more = replace(look.seen, items=(*look.seen.items, far, text))
    assert several_files(Looked(more, look.roles, look.layers), PROGRAMS)[0] == "board 1 and board 2"


def test_notes_of_several_set_ups_say_what_it_is() -> None:
    notes = tuple(f"Set-up {k} of 2, board 3 of 3: 2x12. Steps." for k in (2, 1, 2))
    assert several_files(laid(2, texts=notes), ())[0] == "set-up 1 of board 3 and set-up 2 of board 3"
    assert several_files(laid(2, texts=notes[:1]), PROGRAMS)[0] == ""


#: A board of 3000 by 200, or ripped to 180, and a sheet of 2440 by 1220, with two parts each.
STOCKS = ((3000.0, 200.0, 180.0, "board"), (2440.0, 1220.0, 1220.0, "sheet"))
PLAN: Any = SimpleNamespace(
    layout=SimpleNamespace(
        boards=[
            SimpleNamespace(
                parts=(SimpleNamespace(name=kind),) * 2,
                stock=SimpleNamespace(length=long, width=wide, least_width=least, kind=kind),
            )
            for long, wide, least, kind in STOCKS
        ]
    )
)


def test_what_a_board_is_called_is_what_it_is_and_its_size_says_which() -> None:
    for number, (long, wide, least, kind) in enumerate(STOCKS, 1):
        words = f"by the size of its boards it is {kind} {number}, on which the job has 2 parts; 1 of them found"
        for size in [(long, wide), (long + 1.9, wide + 1.9), (long - 1.9, least - 1.9), (wide, long)]:
            assert miscounted((), [shapely.box(0, 0, *size)], PLAN, [kind]) == ("part-lacking", words)
        for size in [(long + 2.1, wide), (long - 2.1, wide), (long, wide + 2.1), (long, least - 2.1)]:
            assert miscounted((), [shapely.box(0, 0, *size)], PLAN, [kind]) is None
        assert miscounted((), [shapely.box(0, 0, long, wide)], PLAN, [kind] * 2) is None


@pytest.mark.parametrize(
    ("notes", "it_is"),
    [
        (("Board 1 of 2: x",), "by its note it is board 1"),
        (("Sheet 2 of 2: x",), "by its note it is sheet 2"),
        # Of another number of boards, or beyond it, they are of another job, or the plan is another one now.
        (("Board 1 of 3: x",), None),
        (("Board 1 of 1: x",), None),
        (("Board 3 of 2: x",), None),
        (("Board 3 of 3: x",), None),
        (("Board 1 of 2: x", "Board 1 of 3: x"), None),
    ],
)
def test_notes_of_as_many_boards_as_the_job_has_say_which_it_is(notes: tuple[str, ...], it_is: str | None) -> None:
    told = miscounted(notes, (), PLAN, ["board"])
    words = f"{it_is}, on which the job has 2 parts; 1 of them found"
    assert told == (None if it_is is None else ("part-lacking", words))

"""Which boards an export finds on a stock list that says what earlier exports took, and who is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import OutputRefused
from cutpath.job.compound import Key
from cutpath.job.kinds import BAD, Context
from cutpath.nest import Board
from cutpath.stockfile.keys import OFFCUT, PRICE, STOCK_FILE, TAKEN, ShareOfOne, _without_quantity, stock_schema
from cutpath.stockfile.shelf import Used, no_shelf, shelf_before, shelf_for
from cutpath.stockfile.update import Whose, updated_text
from cutpath.stockfile.values import Stock
from tests.test_stock_by_hand import LIST, quantities, read


def taken(*whose: tuple[str, tuple[str, ...]]) -> Stock:
    """The list after each export took one of its doors."""
    text = LIST
    for folder, jobs in whose:
        stock = read(text)
        text, _ = updated_text(text, stock, [stock.boards[0]], [], Whose(folder, jobs))
    return read(text)


NONE = read(LIST)
BOTH = taken(("out", ("Deck", "Porch")), ("later", ("Shed",)))
SAME = taken(("out", ("Deck",)), ("later", ("Deck",)))


@pytest.mark.parametrize("update", [False, True])
@pytest.mark.parametrize(
    ("folder", "jobs", "doors"),
    [
        # What the same jobs took counts as there, one of them alone too; of 4 doors 2 are gone.
        ("out", ("Deck", "Porch"), 3),
        ("out", ("Porch",), 3),
        ("out", ("Garage", "Deck"), 3),
        ("later", ("Shed",), 3),
        # A folder that nothing was taken for.
        ("new", ("Garage",), 2),
    ],
    ids=["same", "one of them", "with another", "second record", "new folder"],
)
def test_what_the_same_jobs_took_counts_as_there(
    tmp_path: Path, folder: str, jobs: tuple[str, ...], doors: int, update: bool
) -> None:
    path = tmp_path / "rack.toml"
    found = shelf_for(path, BOTH, tmp_path / folder, update=update)(jobs)
    assert found is not None and quantities(found)[0] == doors
    assert (found is BOTH) == (doors == 2) and len(found.taken) == (1 if doors == 3 else 2)
    before = shelf_for(path, NONE, tmp_path / folder, update=update)(jobs)
    assert before is NONE and no_shelf(jobs) is None


def test_who_would_take_boards_a_second_time_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    for out, jobs, told in (
        ("new", ("Porch", "Garage"), f'{path}: "Porch" took boards for out already: give them back first with cutpath'),
        ("new", ("Porch", "Deck"), f'{path}: "Porch" and "Deck" took boards for out already: give them back first'),
        ("out", ("Shed",), f'{path}: "Shed" took boards for later already: give them back first with cutpath '),
        ("out", ("Deck", "Shed"), f'{path}: "Shed" took boards for later already: give them back first'),
        ("out", ("Garage",), f'{tmp_path / "out"}: "Deck" and "Porch" took boards off {path} for it: choose another '
         "folder with -o, or, once those boards are cut, delete its [[taken]] table in rack.toml"),
    ):  # fmt: skip
        shelf = shelf_for(path, BOTH, tmp_path / out, update=True)
        with pytest.raises(OutputRefused) as caught:
            shelf(jobs)
        assert str(caught.value).startswith(told)
        # Who only looks changes nothing.
        found = shelf_for(path, BOTH, tmp_path / out, update=False)(jobs)
        assert found is not None and quantities(found)[0] == (3 if out == "out" and "Deck" in jobs else 2)


@pytest.mark.parametrize(
    ("stock", "jobs", "file", "doors"),
    [
        # Where one export of the jobs took boards it matters not where the file lies.
        (BOTH, ("Deck",), "elsewhere/boards/1.dxf", 3),
        (BOTH, ("Garage", "Porch"), "later/1.dxf", 3),
        (BOTH, ("Garage",), "out/1.dxf", 2),
        (NONE, ("Deck",), "out/1.dxf", 4),
        (SAME, ("Deck",), "out/boards/1.dxf", 3),
        (SAME, ("Deck",), "later/boards/deep/1.dxf", 3),
        # Neither of two folders.
        (SAME, ("Deck",), "outer/1.dxf", None),
        (SAME, ("Deck",), "out", None),
    ],
    ids=["one", "another's folder", "other job", "nothing taken", "first", "second", "neither", "beside"],
)
def test_a_file_of_an_export_is_held_against_the_boards_that_it_had(
    tmp_path: Path, stock: Stock, jobs: tuple[str, ...], file: str, doors: int | None
) -> None:
    path = tmp_path / "rack.toml"
    shelf = shelf_before(path, stock, tmp_path / file)
    if doors is None:
        with pytest.raises(OutputRefused) as caught:
            shelf(jobs)
        assert str(caught.value) == (
            f'{path}: "Deck" took boards for out and later, and {tmp_path / file} lies in neither: inspect it where it '
            "was exported to"
        )
        return
    found = shelf(jobs)
    assert found is not None and quantities(found)[0] == doors
    assert found.back is None if found is stock else (found.back and found.back in stock.taken)
    if stock is SAME:
        assert found.back and found.back.folder == file.partition("/")[0]


def used(stock: Stock, tmp_path: Path, *lefts: float, **more: Any) -> Used:
    """Boards of the list's first entry, of which so much is left."""
    door = stock.boards[0]
    boards = tuple(Board(door, (), door.length - left, left) for left in lefts)
    return Used(tmp_path / "rack.toml", stock, boards, 3.0, "Deck", ("Deck",), tmp_path / "out", **more)


def test_an_export_takes_off_and_puts_on(tmp_path: Path) -> None:
    """Offcuts of 600 and 700, less 3 for the saw that cuts boards and 2 for the one that cuts lumber."""
    whole = used(
        NONE, tmp_path, 600.0, 400.0, 700.0, cut_up={2}, lumber_saw=2.0, lumber=used(NONE, tmp_path, 700.0).boards
    )
    path = tmp_path / "rack.toml"
    path.write_text(LIST)
    with whole.held() as update:
        assert (update.change.taken, update.change.added) == (4, ("Deck, board 1", "Deck, lumber 1"))
        update.write()
    text = path.read_text()
    assert "quantity = 0\n" in text and "length = 597\n" in text and "length = 698\n" in text
    assert read(text).taken[0].folder == "out" and read(text).taken[0].jobs == ("Deck",)


def test_a_list_that_says_what_an_earlier_export_took_is_outdated_by_another(tmp_path: Path) -> None:
    before = used(NONE, tmp_path, 600.0)
    assert not before.outdated, "no export took anything yet"
    after, _ = updated_text(LIST, NONE, [NONE.boards[0]], before._kept, before._whose)
    back = shelf_for(tmp_path / "rack.toml", read(after), tmp_path / "out", update=True)(("Deck",))
    assert back is not None and back.back is not None
    assert not used(back, tmp_path, 600.0).outdated
    for lefts in ((600.0, 100.0), (700.0,), (600.0, 600.0), ()):
        assert used(back, tmp_path, *lefts).outdated, lefts


# The keys of a list.


def test_a_share_is_none_to_one() -> None:
    for raw, wanted in ((0, 0.0), (1, 1.0), (0.25, 0.25), (-0.0, 0.0)):
        ctx = Context()
        found = ShareOfOne().read(raw, "k", ctx)
        assert found == wanted and str(found) == str(wanted) and not ctx.faults
    for raw, shown in ((-0.01, "-0.01"), (1.01, "1.01"), (True, "true"), ("1", '"1"'), (None, "nothing")):
        ctx = Context()
        assert ShareOfOne().read(raw, "k", ctx) is BAD
        assert [str(fault) for fault in ctx.faults] == [f"k: {shown} is not accepted: write a number, 0 to 1"]
    assert ShareOfOne().schema() == {"type": "number", "minimum": 0, "maximum": 1}


def names(keys: tuple[Key, ...]) -> list[str]:
    return [key.name for key in keys]


def test_what_was_taken_states_all_of_an_entry_but_its_quantity() -> None:
    boards, offcuts = (key.kind.item for key in TAKEN.keys if key.name in ("boards", "offcuts"))  # type: ignore[attr-defined]
    assert names(boards.keys) == [
        *("at", "took", "left", "size", "length", "kind", "grain", "price", "widths", "defects")
    ]
    assert (
        names(_without_quantity(PRICE)) == names(PRICE.keys) and len(_without_quantity(OFFCUT)) == len(OFFCUT.keys) - 1
    )
    own = [name for name in names(OFFCUT.keys) if name != "quantity"]
    assert names(offcuts.keys)[-len(own) :] == own and "quantity" not in names(offcuts.keys)
    assert "quantity" in names(OFFCUT.keys) and "quantity" not in names(PRICE.keys)


def test_bounds_of_bare_numbers_are_in_the_unit_of_the_list() -> None:
    """keep_over is 25 to 20000 mm: 0.984251969 to 787.401574803 in."""
    schema = stock_schema()
    assert schema["if"] == {"properties": {"units": {"const": "mm"}}, "required": ["units"]}
    assert schema["then"]["properties"]["keep_over"] == {"minimum": 25, "maximum": 20000}
    assert schema["else"]["properties"]["keep_over"] == {"minimum": 0.984251969, "maximum": 787.401574803}
    assert names(STOCK_FILE.keys) == [*("units", "keep_over", "offcut_worth", "stock", "offcut", "price", "taken")]

"""Stock lists changed by hand: what goes off them, what comes back, and every line of text that stays where it was."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.faults import JobFaults, OutputRefused
from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest import Board
from cutpath.stockfile.kept import Kept, offcut_tables, offcuts_to_keep
from cutpath.stockfile.read import boards_for, digest_of, read_stock, stock_of
from cutpath.stockfile.taken import folder_of, put_back, read_back, record_of, taken_by
from cutpath.stockfile.text import edited, with_offcut
from cutpath.stockfile.update import BEFORE, Change, Whose, give_back, update_stock, updated_text, updating
from cutpath.stockfile.values import Left, Stock, Taken, Took, place_of

OUT = Whose("out", ("Deck", "Porch"))

LIST = """units = "mm"
keep_over = 500
# boards
[[stock]]
size = [38, 235]
length = 3600
quantity = 4

[[stock]] # as many as wanted
size = [38, 235]
length = 4800

# offcuts
[[offcut]]
name = "A"
size = [38, 235]
length = 900

[[offcut]]
name = "B"
size = [38, 235]
length = 1100
quantity = 3
note = "dry"

[[price]]
size = [38, 235]
length = 2400
price = 9
"""


def read(text: str) -> Stock:
    return replace(stock_of(tomllib.loads(text), "rack.toml"), digest=digest_of(text), text=text)


STOCK = read(LIST)
DOOR, ANY, A, B, YARD = STOCK.boards


def quantities(stock: Stock) -> list[int | None]:
    return [board.quantity for board in stock.boards]


# Offcuts that are kept.


def cut_off(*lefts: float, stock: Stock = STOCK, board: StockBoards = DOOR, saw: float = 3.0, **more: Any) -> list[Any]:
    boards = [Board(board, (), board.length - left, left) for left in lefts]
    return [(each.length, each.start, each.left_of) for each in offcuts_to_keep(boards, stock, saw, "Deck", **more)]


def test_offcuts_from_a_length_on_are_kept() -> None:
    """Of 503 the saw takes 3, and 500 are worth keeping; whole millimetres are measured."""
    assert cut_off(502.9, 503.0, 1400.9) == [(500, 3100, "Deck, board 2"), (1397, 2203, "Deck, board 3")]
    assert cut_off(700.0, 701.0, 702.0, used=[1]) == [(697, 2903, "Deck, board 1"), (699, 2901, "Deck, board 3")]
    assert cut_off(700.0, word="lumber") == [(697, 2903, "Deck, lumber 1")]
    # By the sixteenth of an inch: 25 1/16 in are 636.5875.
    inch = replace(STOCK, units="in", keep_over=600.0)
    assert cut_off(639.0, 639.5875, 641.1, saw=3.0, stock=inch) == [
        *((635.0, 2965.0, "Deck, board 1"), (636.5875, 2963.4125, "Deck, board 2")),
        (pytest.approx(636.5875), pytest.approx(2963.4125), "Deck, board 3"),
    ]


def entry(piece: Kept, stock: Stock = STOCK) -> dict[str, Any]:
    (made,) = offcut_tables(stock, [piece])
    return made


def test_an_offcut_is_what_its_board_was() -> None:
    assert entry(Kept(DOOR, 900.0, 2700.0, "Deck, board 1")) == {
        "name": "Deck, board 1", "size": [38, 235], "length": 900, "from": "Deck, board 1"
    }  # fmt: skip
    # A third of the length, a third of the price, to the cent.
    priced = replace(DOOR, price=20.0)
    assert entry(Kept(priced, 1200.0, 2400.0, "x"))["price"] == 6.67
    assert entry(Kept(replace(DOOR, price=0.0), 1200.0, 2400.0, "x"))["price"] == 0
    narrow = entry(Kept(replace(DOOR, least_width=233.5), 900.0, 2700.0, "x"))
    assert narrow["widths"] == [233.5] and "widths" not in entry(Kept(priced, 900.0, 2700.0, "x"))
    named = replace(DOOR, size="2x10", thickness=38.1, width=234.95, least_width=234.95)
    assert entry(Kept(named, 900.0, 2700.0, "x"))["size"] == "2x10"
    inch = entry(Kept(replace(named, size="1 1/2 x 9 1/4"), 927.1, 2700.0, "x"), replace(STOCK, units="in"))
    assert (inch["size"], inch["length"]) == ([1.5, 9.25], 36.5)
    sheet = replace(DOOR, kind="sheet")
    assert entry(Kept(sheet, 900.0, 2700.0, "x"))["kind"] == "sheet" and "grain" not in entry(
        Kept(sheet, 900.0, 0.0, "x")
    )
    assert entry(Kept(replace(sheet, grain="free"), 900.0, 2700.0, "x"))["grain"] == "free"


def test_defects_move_with_the_offcut() -> None:
    """An offcut from 2700 on: what ends before it is not on it, and what begins before it begins with it."""
    knots = replace(DOOR, defects=((100.0, 200.0), (2600.0, 2750.0), (3000.0, 3100.0), (3550.0, 3600.0)))
    assert entry(Kept(knots, 900.0, 2700.0, "x"))["defects"] == [[0, 50], [300, 400], [850, 900]]
    ends = replace(DOOR, defects=((100.0, 2700.0),))
    assert "defects" not in entry(Kept(ends, 900.0, 2700.0, "x"))


@pytest.mark.parametrize("sixteenths", range(600, 660))
def test_a_defect_that_ends_where_an_offcut_begins_is_not_on_it(sixteenths: int) -> None:
    """A board of 12 ft with a flaw up to so many sixteenths, and what is left behind it."""
    end = sixteenths / 16
    text = f"[[stock]]\nsize = '2x12'\nlength = 144\nquantity = 3\ndefects = [[10, {end}]]\n"
    stock = read(text)
    (board,) = stock.boards
    left = (144 - end) * 25.4
    (kept,) = offcuts_to_keep([Board(board, (), board.length - left, left)], stock, 0.0, "Deck")
    new, _ = updated_text(text, stock, [board], [kept])
    (offcut,) = read(new).boards[1:]
    assert offcut.defects == () and offcut.length == pytest.approx(left)


def test_every_offcut_has_a_name_of_its_own() -> None:
    same = [Kept(DOOR, 900.0, 2700.0, "A"), Kept(DOOR, 800.0, 2800.0, "A"), Kept(DOOR, 700.0, 2900.0, "C")]
    assert [each["name"] for each in offcut_tables(STOCK, same)] == ["A (2)", "A (3)", "C"]
    # Of a long one the end, without what the cut leaves in front of it.
    long = [Kept(DOOR, 900.0, 0.0, "x" * 30 + "y" * 80), Kept(DOOR, 900.0, 0.0, "x" * 9 + ", " + "y" * 78)]
    assert [each["name"] for each in offcut_tables(STOCK, long)] == ["y" * 80, "y" * 78]
    assert [each["from"] for each in offcut_tables(STOCK, long)] == [each.left_of for each in long]
    (blank,) = offcut_tables(STOCK, [Kept(DOOR, 900.0, 0.0, "x" + "," + " " * 80)])
    assert blank["name"] == "offcut"


def test_an_offcut_of_an_export_made_anew_is_called_as_it_was() -> None:
    """By the name that may be written on it: its own, or that with a number; and never another's."""
    added = (Left("Porch, board 1", 900.0), Left("Deck, board 1", 800.0), Left("Deck, board 1 (7)", 900.0))
    stock = replace(STOCK, back=Taken("out", ("Deck",), (), added))
    for length, left_of, name in (
        (900.0, "Deck, board 1", "Deck, board 1 (7)"),
        (800.0, "Deck, board 1", "Deck, board 1"),
        (700.0, "Deck, board 1", "Deck, board 1"),
        (900.0, "Deck, board", "Deck, board"),
        (900.0, "Porch, board 1", "Porch, board 1"),
    ):
        (entry,) = offcut_tables(stock, [Kept(DOOR, length, 0.0, left_of)])
        assert entry["name"] == name, (length, left_of)
    both = offcut_tables(stock, [Kept(DOOR, 900.0, 0.0, "Deck, board 1")] * 2)
    assert [entry["name"] for entry in both] == ["Deck, board 1 (7)", "Deck, board 1"]


# What is taken off.


def test_boards_go_off_the_list_and_offcuts_on() -> None:
    kept = [Kept(DOOR, 900.0, 2700.0, "Deck, board 1"), Kept(YARD, 600.0, 1800.0, "Deck, board 3")]
    own = replace(DOOR, source="")
    text, change = updated_text(LIST, STOCK, [DOOR, DOOR, ANY, A, B, YARD, own], kept, OUT)
    assert change == Change(4, ("Deck, board 1", "Deck, board 3"))
    new = read(text)
    # Two of four, as many as wanted, one of three, two offcuts, and the price list.
    assert [(board.source, board.quantity, board.length) for board in new.boards] == [
        *(("stock[0]", 2, 3600), ("stock[1]", None, 4800), ("offcut[0]", 2, 1100)),
        *(("offcut[1]", 1, 900), ("offcut[2]", 1, 600), ("price[0]", None, 2400)),
    ]
    (taken,) = new.taken
    assert (taken.folder, taken.jobs) == ("out", ("Deck", "Porch"))
    assert [(each.count, each.at, each.left) for each in taken.boards] == [(2, 0, 2), (1, 0, 0), (1, 1, 2)]
    assert [each.board for each in taken.boards] == [replace(each, quantity=None, source="") for each in (DOOR, A, B)]
    assert taken.boards[2].spelt == {"name": "B", "size": [38, 235], "length": 1100, "note": "dry"}
    assert taken.added == (Left("Deck, board 1", 900), Left("Deck, board 3", 600))
    assert taken_by(new, "out") == taken and taken_by(new, "elsewhere") is None
    assert text.startswith(
        LIST.replace("quantity = 4", "quantity = 2")
        .replace("quantity = 3", "quantity = 2")
        .replace('[[offcut]]\nname = "A"\nsize = [38, 235]\nlength = 900\n', "")
    )


def test_all_of_a_board_leaves_its_entry_and_all_of_an_offcut_none() -> None:
    text, change = updated_text(LIST, STOCK, [DOOR] * 4 + [B] * 3, [])
    assert change == Change(7, ()) and quantities(read(text)) == [0, None, 1, None] and not read(text).taken
    for used in ([DOOR] * 5, [A, A], [B] * 4):
        with pytest.raises(OutputRefused, match=f"{len(used)} were used where there are {len(used) - 1}"):
            updated_text(LIST, STOCK, used, [])


def test_what_changes_nothing_changes_nothing() -> None:
    for used in ([], [ANY], [YARD], [replace(A, source="")]):
        assert updated_text(LIST, STOCK, used, [], OUT) == (LIST, Change(0, ()))


def test_an_export_made_anew_takes_the_same_or_something_else() -> None:
    kept = [Kept(DOOR, 900.0, 2700.0, "Deck, board 1")]
    text, _ = updated_text(LIST, STOCK, [DOOR, DOOR, A, B], kept, OUT)
    back = put_back(read(text), read(text).taken[0])
    assert (back.text, back.taken, back.back, back.digest) == (LIST, (), read(text).taken[0], digest_of(text))
    door, _, a, b, _ = back.boards
    assert quantities(back) == quantities(STOCK)
    again, change = updated_text(back.text, back, [door, door, a, b], kept, OUT)
    assert again == text and change == Change(4, ("Deck, board 1",), 4, True)
    assert updated_text(back.text, back, [door, door, a, b], [], OUT)[1] == Change(4, (), 4, False)
    assert updated_text(back.text, back, [door, a, b], kept, OUT)[1] == Change(3, ("Deck, board 1",), 4, False)
    assert updated_text(back.text, back, [], [], OUT)[1] == Change(0, (), 4, False)


# What comes back.


def taken(*used: StockBoards, kept: tuple[Kept, ...] = (), text: str = LIST, whose: Whose = OUT) -> str:
    return updated_text(text, read(text), used, kept, whose)[0]


def refused(text: str, number: int = 0) -> str:
    stock = read(text)
    with pytest.raises(OutputRefused) as caught:
        put_back(stock, stock.taken[number], "do it by hand")
    assert str(caught.value).startswith("rack.toml: what the last export to out took can't be put back: ")
    assert str(caught.value).endswith("; do it by hand")
    return str(caught.value)


def test_what_somebody_changed_meanwhile_is_not_put_back() -> None:
    left = taken(DOOR, A, kept=(Kept(DOOR, 900.0, 2700.0, "C"),))
    table = '[[offcut]]\nname = "C"\nsize = [38, 235]\nlength = 900\nfrom = "C"\n'
    assert table in left
    for other in ("", table.replace("900", "899"), table + "quantity = 2\n", table + "quantity = 0\n"):
        assert 'its offcut "C" is no longer there as it was left' in refused(left.replace(table, other, 1))
    # The same length, to what a file holds.
    assert put_back(read(left.replace(table, table.replace("900", "900.0000005"))), read(left).taken[0])
    again = left.replace("[[price]]", '[[offcut]]\nname = "A"\nsize = [38, 235]\nlength = 900\n\n[[price]]', 1)
    assert 'offcut "A", which was used up, is on the list again' in refused(again)
    other = left.replace("length = 3600\nquantity = 3", "length = 3601\nquantity = 3")
    assert other != left and "the entry of 38 x 235 mm x 3600 mm, of which it took 1, is no longer there" in refused(
        other
    )


def test_an_offcut_that_another_export_used_is_told_with_that_export() -> None:
    one = taken(DOOR, kept=(Kept(DOOR, 900.0, 2700.0, "C"),))
    door, offcut = (next(b for b in read(one).boards if b.offcut == name) for name in ("", "C"))
    for used in ((offcut,), (door, offcut), (offcut, door)):
        two = taken(*used, text=one, whose=Whose("later", ("Shed",)))
        told = 'its offcut "C" was used by the export to later, which has to be given back first'
        assert told in refused(two), used
    beside = taken(door, text=one, whose=Whose("later", ("Shed",)))
    assert quantities(put_back(read(beside), read(beside).taken[0]))[0] == 3


def test_boards_come_back_to_the_entry_that_they_were_of() -> None:
    """Two entries alike: the one at its place; where that is another by now, the first that is alike."""
    twice = LIST.replace(
        "\n[[stock]] # as", "\n[[stock]]\nsize = [38, 235]\nlength = 3600\nquantity = 7\n\n[[stock]] # as"
    )
    stock = read(twice)
    text = taken(stock.boards[1], stock.boards[1], text=twice)
    assert quantities(read(text))[:2] == [4, 5]
    assert quantities(put_back(read(text), read(text).taken[0])) == quantities(stock)
    moved = text.replace("# boards\n", "# boards\n[[stock]]\nsize = [38, 235]\nlength = 3000\nquantity = 1\n\n")
    assert quantities(put_back(read(moved), read(moved).taken[0]))[:3] == [1, 6, 5]
    # A count that somebody let go: as many as wanted.
    unbounded = taken(DOOR).replace("quantity = 3\n\n[[stock]]", "\n[[stock]]")
    assert quantities(put_back(read(unbounded), read(unbounded).taken[0]))[0] is None
    # Sorts don't mix: an offcut of the same sides is no whole board.
    gone = taken(DOOR).replace("length = 3600\nquantity = 3", "length = 3500\nquantity = 3")
    gone = gone.replace('"A"\nsize = [38, 235]\nlength = 900', '"A"\nsize = [38, 235]\nlength = 3600', 1)
    assert "the entry of" in refused(gone)


def test_offcuts_come_back_with_what_is_left_of_them_or_to_their_places() -> None:
    text = taken(B, B)
    assert quantities(read(text)) == [4, None, 1, 1, None]
    assert put_back(read(text), read(text).taken[0]).text == LIST
    # The last one has gone meanwhile: two come back, in a table of their own.
    used = taken(read(text).boards[3], text=text, whose=Whose("later", ("Shed",)))
    assert [board.offcut for board in read(used).boards] == ["", "", "A", ""]
    first, later = read(used).taken
    back = put_back(read(used), first)
    assert [(board.offcut, board.quantity) for board in back.boards[2:4]] == [("A", 1), ("B", 2)]
    # The later one took the last there was; now it left two.
    assert back.taken == (replace(later, boards=(replace(later.boards[0], left=2),)),)
    assert tomllib.loads(back.text)["offcut"][1]["note"] == "dry"
    assert quantities(put_back(read(back.text), read(back.text).taken[0])) == [4, None, 1, 3, None]
    one = put_back(read(used), later)
    assert one.boards[3].quantity == 1 and "quantity" not in tomllib.loads(one.text)["offcut"][1]
    # All of both.
    both = taken(A, B, B, B)
    assert [board.offcut for board in read(both).boards] == ["", "", ""]
    assert put_back(read(both), read(both).taken[0]).boards[2:4] == STOCK.boards[2:4]
    # Beside one that somebody put on since, the second is second, and behind the last at most.
    fresh = '[[offcut]]\nname = "N"\nsize = [38, 235]\nlength = 700\n\n'
    new = taken(B, B, B).replace("# offcuts\n", f"# offcuts\n{fresh}", 1)
    assert [board.offcut for board in put_back(read(new), read(new).taken[0]).boards[2:5]] == ["N", "B", "A"]
    assert "A" in new
    alone = taken(A, B, B, B).replace("[[price]]", f"{fresh}[[price]]", 1)
    assert [board.offcut for board in put_back(read(alone), read(alone).taken[0]).boards[2:5]] == ["A", "B", "N"]


def test_offcuts_come_back_in_their_order_where_another_has_gone() -> None:
    """The second and the third of a list, whose first somebody took out since."""
    fresh = '[[offcut]]\nname = "N"\nsize = [38, 235]\nlength = 700\n\n'
    text = LIST.replace("# offcuts\n", f"# offcuts\n{fresh}", 1)
    _, _, _, a, b, _ = read(text).boards
    off = taken(a, b, b, b, text=text).replace(fresh, "", 1)
    assert [board.offcut for board in read(off).boards] == ["", "", ""]
    back = put_back(read(off), read(off).taken[0])
    assert [(board.offcut, board.quantity) for board in back.boards[2:4]] == [("A", 1), ("B", 3)]


def test_a_list_of_offcuts_alone_gets_them_back() -> None:
    text = '[[offcut]]\nname = "A"\nsize = "2x12"\nlength = 40\n'
    off = taken(*read(text).boards, text=text)
    assert not read(off).boards
    assert put_back(read(off), read(off).taken[0]).boards == read(text).boards


def test_several_records_stand_side_by_side() -> None:
    one = taken(DOOR)
    two = taken(read(one).boards[0], read(one).boards[0], text=one, whose=Whose("later", ("Shed",)))
    first, later = read(two).taken
    assert (first.folder, later.folder) == ("out", "later")
    assert put_back(read(two), later).text == one and put_back(read(two), later).taken == (first,)
    back = put_back(read(two), first)
    assert (quantities(back)[0], back.taken) == (2, (later,))


def test_a_record_says_what_was_taken_and_no_more() -> None:
    spelt = {"size": "2x12", "length": 144}
    board = replace(DOOR, quantity=None, source="")
    heading, record = record_of("out", ("Deck",), [Took(board, 2, 0, 1, spelt)], [])
    assert heading.startswith("[[taken]]  # ")
    assert record == {"folder": "out", "jobs": ["Deck"], "boards": [{"at": 0, "took": 2, "left": 1, **spelt}]}
    offcut = Took(replace(board, offcut="A"), 1, 3, 0, {"name": "A", **spelt})
    _, record = record_of("out", ("Deck",), [offcut], [{"name": "C", "length": 50, "from": "x"}])
    assert record == {
        "folder": "out", "jobs": ["Deck"], "offcuts": [{"at": 3, "took": 1, "left": 0, "name": "A", **spelt}],
        "added": [{"name": "C", "length": 50}],
    }  # fmt: skip


def test_a_text_is_read_back_and_held_against_what_was_meant() -> None:
    boards = STOCK.boards
    assert read_back(LIST, STOCK, boards, ()).boards == boards
    fewer = LIST.replace("quantity = 4", "quantity = 3")
    record = Taken("out", ("Deck",), (), ())
    for text, meant, records in (
        *((fewer, boards, ()), (LIST, boards[1:], ()), (LIST, boards, (record,))),
        *(("units = 3", boards, ()), ("[[", boards, ())),
    ):
        with pytest.raises(OutputRefused, match="one key a line"):
            read_back(text, STOCK, meant, records)


def test_a_list_that_is_no_tables_is_left_as_it_is() -> None:
    inline = "stock = [{size = '2x12', length = 144, quantity = 3}]\n"
    with pytest.raises(OutputRefused, match="one key a line"):
        updated_text(inline, read(inline), list(read(inline).boards), [])


def test_folders_are_named_as_seen_from_the_list(tmp_path: Path) -> None:
    stock = tmp_path / "shop" / "rack.toml"
    assert folder_of(tmp_path / "shop" / "may", stock) == "may" and folder_of(tmp_path, stock) == ".."
    assert folder_of(tmp_path / "shop" / "a\u2028b\t", stock) == "a%2028b%09"


# The text, line by line.


@pytest.mark.parametrize(
    ("text", "gone", "left"),
    [
        # Of the blank lines round a table one goes with it; comments behind its last key stay.
        ("[[offcut]]\na = 1\n\n[[offcut]]\nb = 1\n\n[[offcut]]\n", 1, "[[offcut]]\na = 1\n\n[[offcut]]\n"),
        ("[[offcut]]\na = 1\n[[offcut]]\nb = 1\n", 0, "[[offcut]]\nb = 1\n"),
        ("[[offcut]]\na = 1\n[[offcut]]\nb = 1\n", 1, "[[offcut]]\na = 1\n"),
        ("[[offcut]]\na = 1\n\n[[offcut]]\nb = 1\n", 1, "[[offcut]]\na = 1\n"),
        ("[[offcut]]\na = 1\n\n[[offcut]]\n# in\nb = 1\n# after\n", 1, "[[offcut]]\na = 1\n\n# after\n"),
        ("# top\n\n[[offcut]]\nb = 1\n\n# next\n[[stock]]\n", 0, "# top\n\n# next\n[[stock]]\n"),
        ("# top\n[[offcut]]\nb = 1\n\n# next\n[[stock]]\n", 0, "# top\n\n# next\n[[stock]]\n"),
        # What begins like a comment inside a text of several lines goes with its key, and a heading there is none.
        ('[[offcut]]\nb = """\\\n# no"""\n# yes\n', 0, "# yes\n"),
        ("[[offcut]]\nb = '''\n[[offcut]]\n#'''\n\n[[stock]]\n", 0, "\n[[stock]]\n"),
        ("[[offcut]]\nb = '#' # [[offcut]]\n# yes\n", 0, "# yes\n"),
        ("[[offcut]]\nb = \"\"\"\\\n\n  # no\n\"\"\" # no\n\t# yes '\n", 0, "\t# yes '\n"),
        (" [[ offcut ]] # one\nb = 1\n\t[[offcut]]\nc = 1\n", 1, " [[ offcut ]] # one\nb = 1\n"),
    ],
)  # fmt: skip
def test_a_table_goes_and_its_surroundings_stay(text: str, gone: int, left: str) -> None:
    assert edited(text, {}, [("offcut", gone)], ()) == left
    assert edited(text, {}, (), ()) == text


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_quantities_change_and_tables_are_added_at_the_end(newline: str) -> None:
    text = (
        "# top\n[[stock]]\nsize = '2x12'\nquantity = 3 # now\n# end\n[[offcut]]\nquantity = 0x2\nnote = '''\\\n# x'''\n"
    )
    text = text.replace("\n", newline)
    new = edited(text, {("stock", 0): 1, ("offcut", 0): 12}, (), [("[[offcut]]", {"name": "C", "length": 5.5})])
    assert new == text.replace("= 3", "= 1").replace("0x2", "12") + '\n[[offcut]]\nname = "C"\nlength = 5.5\n'.replace(
        "\n", newline
    )
    bare = edited(
        "units = 'mm'", {}, (), [("[[offcut]]", {"a": 1}), ("[[taken]] # x", {"b": [{"c": 1}, {"d": [1, 2]}]})]
    )
    assert bare == ("units = 'mm'\n\n[[offcut]]\na = 1\n\n[[taken]] # x\nb = [\n    {c = 1},\n    {d = [1, 2]},\n]\n")
    assert edited("", {}, (), [("[[offcut]]", {"a": []})]) == "\n[[offcut]]\na = []\n"


def test_what_was_left_is_set_in_the_record_that_is_meant() -> None:
    record = "[[taken]] # x\nfolder = 'a'\noffcuts = [\n    {at = 0, left = 3}, # one\n    {at = 1, left = 4},\n]\n"
    text = "[[offcut]]\na = 1\n\n[[offcut]]\na = 2\n\n" + record + "\n" + record
    first, second = text[: -len(record)], record.replace("left = 4", "left = 7")
    assert edited(text, {}, (), (), {1: {1: 7}}) == first + second
    assert edited(text, {}, (), (), {0: {0: 5}}) == text.replace("left = 3", "left = 5", 1)
    assert edited(text, {}, (), (), {}) == text == edited(text, {}, (), (), {2: {0: 5}})
    assert with_offcut("", 0, {"b": 1}) == "\n[[offcut]]\nb = 1\n"


def back_in(text: str, at: int, newline: str = "\n") -> str:
    return with_offcut(text.replace("\n", newline), at, {"b": 1})


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("text", "at", "meant"),
    [
        # Between two, before the first, behind the last; where there is none behind the boards; else at the end.
        ("[[offcut]]\na = 1\n\n[[offcut]]\nc = 1\n", 1, "[[offcut]]\na = 1\n\n+\n\n[[offcut]]\nc = 1\n"),
        ("# x\n\n[[offcut]]\na = 1\n", 0, "# x\n+\n\n[[offcut]]\na = 1\n"),
        ("[[offcut]]\na = 1\n", 0, "+\n\n[[offcut]]\na = 1\n"),
        ("[[offcut]]\na = 1\n", 1, "[[offcut]]\na = 1\n\n+\n"),
        ("[[offcut]]\na = 1\n", 7, "[[offcut]]\na = 1\n\n+\n"),
        ("[[offcut]]\na = 1", 1, "[[offcut]]\na = 1\n\n+\n"),
        ("[[offcut]]\na = 1\nc = 2", 1, "[[offcut]]\na = 1\nc = 2\n\n+\n"),
        ("[[stock]]\na = 1\n\n[[price]]\nc = 1\n", 0, "[[stock]]\na = 1\n\n+\n\n[[price]]\nc = 1\n"),
        ("[[stock]]\na = 1\n[[stock]]\nc = 1\n[[price]]\nd = 1\n", 3,
         "[[stock]]\na = 1\n[[stock]]\nc = 1\n\n+\n\n[[price]]\nd = 1\n"),
        ("[[price]]\na = 1\n", 0, "[[price]]\na = 1\n\n+\n"),
        ("[[price]]\na = 1", 0, "[[price]]\na = 1\n\n+\n"),
        ("[[price]]\na = 1\nb = 2", 0, "[[price]]\na = 1\nb = 2\n\n+\n"),
        # Under the comment that stood above it; one right above the next table is that one's.
        ("[[offcut]]\na = 1\n\n# b\n\n# c\n[[offcut]]\n", 1, "[[offcut]]\na = 1\n\n# b\n+\n\n# c\n[[offcut]]\n"),
        ("[[offcut]]\na = 1\n\n# c\n[[offcut]]\nc = 1\n", 1, "[[offcut]]\na = 1\n\n+\n\n# c\n[[offcut]]\nc = 1\n"),
        ("[[offcut]]\na = 1\n# b\n", 1, "[[offcut]]\na = 1\n# b\n+\n"),
        ("[[offcut]]\n# b\n# c\n\n# d\n# e\n[[stock]]\n", 1, "[[offcut]]\n# b\n# c\n+\n\n# d\n# e\n[[stock]]\n"),
        ("[[offcut]]\na = 1\n\n# b\n\n\n[[stock]]\n", 1, "[[offcut]]\na = 1\n\n# b\n+\n\n\n[[stock]]\n"),
    ],
)  # fmt: skip
def test_an_offcut_comes_back_to_its_place(text: str, at: int, meant: str, newline: str) -> None:
    assert back_in(text, at, newline) == meant.replace("+", "[[offcut]]\nb = 1").replace("\n", newline)


# The file.


def kept_file(tmp_path: Path, text: str = LIST) -> Path:
    path = tmp_path / "rack.toml"
    path.write_bytes(text.encode())
    return path


def test_a_file_is_changed_with_a_copy_beside_it(tmp_path: Path) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)
    change = update_stock(path, stock, [stock.boards[0]], [])
    assert change == Change(1, ()) and path.read_text() == LIST.replace("quantity = 4", "quantity = 3")
    assert {each.name: each.read_text() for each in tmp_path.iterdir() if each != path} == {f"rack.toml{BEFORE}": LIST}
    # A second change keeps what was there before it alone.
    once = path.read_text()
    update_stock(path, read_stock(path), [stock.boards[0]], [])
    assert (tmp_path / f"rack.toml{BEFORE}").read_text() == once


def test_what_changes_nothing_touches_no_file(tmp_path: Path) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)
    before = path.stat().st_mtime_ns
    assert update_stock(path, stock, [stock.boards[1]], []) == Change(0, (), 0, True)
    assert path.stat().st_mtime_ns == before and [each.name for each in tmp_path.iterdir()] == ["rack.toml"]
    with updating(path, stock, [], []) as held:
        assert held.change.same
        held.write()()
        held.put_back()
    assert path.stat().st_mtime_ns == before and [each.name for each in tmp_path.iterdir()] == ["rack.toml"]


def test_what_was_written_is_brought_back_while_it_is_held(tmp_path: Path) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)
    with updating(path, stock, [stock.boards[0]], []) as held:
        held.put_back()
        assert path.read_text() == LIST, "not written yet"
        undo = held.write()
        assert path.read_text() != LIST
        undo()
        assert path.read_text() == LIST
        undo()
        assert path.read_text() == LIST, "a second time there is nothing to bring back"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["rack.toml", f"rack.toml{BEFORE}"]


def test_a_list_changed_since_it_was_read_is_left_alone(tmp_path: Path) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)
    path.write_text(LIST + "# more\n")
    with pytest.raises(OutputRefused, match="was changed since it was read"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == LIST + "# more\n" and [each.name for each in tmp_path.iterdir()] == ["rack.toml"]


@pytest.mark.parametrize(("fault", "told"), [
    (OSError(28, "No space left on device"), "No space left on device"), (OSError("odd"), "odd")
])  # fmt: skip
def test_what_the_system_refuses_is_told_in_its_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: OSError, told: str
) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)

    def fails(*arguments: object, **more: object) -> None:
        raise fault

    with monkeypatch.context() as broken:
        broken.setattr("cutpath.stockfile.update.write_new", fails)
        with pytest.raises(OutputRefused) as caught:
            update_stock(path, stock, [stock.boards[0]], [])
    assert f"can't be brought up to date ({told}), and is left as it is" in str(caught.value)
    with (
        pytest.raises(OutputRefused) as caught,
        monkeypatch.context() as broken,
        updating(path, stock, [stock.boards[0]], []) as held,
    ):
        undo = held.write()
        broken.setattr("cutpath.stockfile.update.os.replace", fails)
        undo()
    assert f"can't be put back ({told}); what it was is in rack.toml{BEFORE}" in str(caught.value)
    assert path.read_text() != LIST and (tmp_path / f"rack.toml{BEFORE}").read_text() == LIST


@pytest.mark.parametrize("mode", [0o445, 0o555])
def test_rights_to_run_a_list_are_none_to_write_it(tmp_path: Path, mode: int) -> None:
    path = kept_file(tmp_path)
    path.chmod(mode)
    stock = read_stock(path)
    with pytest.raises(OutputRefused, match="is read-only"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == LIST


def test_what_an_export_took_is_given_back_for_good(tmp_path: Path) -> None:
    path = kept_file(tmp_path)
    stock = read_stock(path)
    update_stock(path, stock, [stock.boards[0], stock.boards[0], stock.boards[2]], [], OUT)
    with pytest.raises(OutputRefused, match=r"for .*elsewhere; there is for out, as seen from rack\.toml"):
        give_back(path, read_stock(path), tmp_path / "elsewhere")
    assert give_back(path, read_stock(path), tmp_path / "out") == 3
    assert path.read_text() == LIST
    with pytest.raises(OutputRefused, match="there is for no folder"):
        give_back(path, read_stock(path), tmp_path / "out")


# What a list says.


def faults(text: str) -> list[str]:
    with pytest.raises(JobFaults) as caught:
        read(text)
    return [line.removeprefix("rack.toml: ") for line in caught.value.lines]


def test_each_fault_of_a_list_is_told_once() -> None:
    """Entries that are no tables, names that are no texts, and records of one folder, beside sound ones."""
    for table in ("stock", "offcut", "price", "taken"):
        assert [line.partition(":")[0] for line in faults(f"{table} = [3, 4]")] == [f"{table}[0]", f"{table}[1]"]
        assert [line.partition(":")[0] for line in faults(f"{table} = 3")] == [table]
    sides = "size = [38, 235], length = 900"
    unnamed = f"units = 'mm'\noffcut = [{{name = 3, {sides}}}, {{name = 3, {sides}}}, {{name = 'A', {sides}}}]"
    assert [line.partition(":")[0] for line in faults(unnamed)] == ["offcut[0].name", "offcut[1].name"]
    record = "{folder = 'out', jobs = ['Deck']}"
    (twice,) = faults(f"taken = [{record}, {record}]")
    assert twice == 'taken[1].folder: "out" is the folder of taken[0] too: keep the later one'


def test_a_job_has_the_boards_that_are_as_thick_as_one_of_its_own() -> None:
    """Half a millimetre is another thickness; of two thicknesses both are its own."""
    thin, other = replace(DOOR, thickness=30.0, source="stock[2]"), replace(DOOR, thickness=38.5, source="stock[3]")
    near = replace(DOOR, thickness=38.4, source="stock[4]")
    stock = replace(STOCK, boards=(DOOR, thin, other, near))
    own = replace(DOOR, source="")
    assert boards_for(stock, (own,), stated=False) == (DOOR, near)
    both = (own, replace(thin, source=""))
    assert boards_for(stock, both, stated=False) == (DOOR, thin, near)
    assert boards_for(stock, both, stated=True) == (*both, DOOR, thin, near)


@pytest.mark.parametrize(
    ("defects", "trim", "clear"),
    [
        ((), 0.0, [(0, 1000)]),
        ((), 15.0, [(15, 985)]),
        (((300.0, 350.0),), 10.0, [(10, 300), (350, 990)]),
        (((350.0, 300.0), (100.0, 320.0)), 0.0, [(0, 100), (350, 1000)]),
        (((0.0, 100.0), (900.0, 1000.0)), 0.0, [(100, 900)]),
        (((950.0, 1000.0),), 60.0, [(60, 940)]),
        (((100.0, 600.0), (200.0, 300.0)), 0.0, [(0, 100), (600, 1000)]),
        (((0.0, 1000.0),), 0.0, []),
    ],
)  # fmt: skip
def test_parts_stand_on_what_is_clear(defects: Any, trim: float, clear: list[tuple[float, float]]) -> None:
    assert clear_stretches(replace(DOOR, length=1000.0, defects=defects), trim) == tuple(clear)


def test_the_place_of_a_board() -> None:
    assert [place_of(board) for board in STOCK.boards] == [
        ("stock", 0), ("stock", 1), ("offcut", 0), ("offcut", 1), ("price", 0)
    ]  # fmt: skip

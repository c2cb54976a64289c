"""Boards and offcuts of a list that several exports share: made anew and given back in any order, by hand."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from functools import cache
from itertools import permutations

import pytest
from msgspec.structs import replace

from cutpath.faults import OutputRefused
from cutpath.job.values import StockBoards
from cutpath.stockfile.kept import Kept
from cutpath.stockfile.read import digest_of, stock_of
from cutpath.stockfile.taken import put_back, taken_by
from cutpath.stockfile.text import edited, lines_of
from cutpath.stockfile.update import Change, Whose, updated_text
from cutpath.stockfile.values import Stock

LIST = """# the rack
units = "mm"
keep_over = 300
offcut_worth = 0.5

[[stock]]  # by the door
size = [38, 235]
length = 3600
quantity = 3  # counted in spring
price = 20

# the same, from the other yard
[[stock]]
size = [38, 235]
length = 3600
quantity = 2
price = 20

[[stock]]
size = [38, 235]
length = 4800
# never counted

[[stock]]
size = [38, 235]
length = 4200
quantity = 2
price = 30

# in the shed
[[offcut]]  # blue
name = "A"
size = [38, 235]
length = 1500  # measured twice
quantity = 2  # two of them
price = 5

[[offcut]]
name = "B"
# knot near the end
size = [38, 235]
length = 1200
defects = [[30, 60]]

# the yard's list
[[price]]
size = [38, 235]
length = 2400
price = 9
"""


@cache
def read(text: str) -> Stock:
    return replace(stock_of(tomllib.loads(text), "rack.toml"), digest=digest_of(text), text=text)


def named(board: StockBoards) -> str:
    """What the model calls a piece: an offcut by its name, others by their entry."""
    return board.offcut or board.source


def on(text: str) -> Counter[str]:
    """How many pieces the list has, by name, where it counts them; none of what has gone."""
    return +Counter({named(b): b.quantity for b in read(text).boards if b.quantity is not None})


def exported(stock: Stock, folder: str, used: Counter[str], kept: int, yard: bool) -> tuple[str, Change]:
    """What an export makes of a list: boards by name off it; half of the first few, and of one of the yard, on it."""
    boards = sorted((b for b in stock.boards for _ in range(used[named(b)])), key=named)
    assert len(boards) == used.total(), "everything it uses is on the list"
    cut = [*boards[:kept], *([stock.boards[-1]] if yard else [])]
    halves = [Kept(b, b.length // 2, b.length - b.length // 2, f"Job of {folder}, board 1") for b in cut]
    halves = [half for half in halves if half.length >= 300 and not half.board.defects]
    return updated_text(stock.text, stock, boards, halves, Whose(folder, (f"Job of {folder}",)))


def taken(text: str, folder: str, used: dict[str, int], kept: int = 0) -> str:
    """A list after an export to a folder, whose boards of an earlier one there are put back first."""
    stock = read(text)
    record = taken_by(stock, folder)
    return exported(stock if record is None else put_back(stock, record), folder, Counter(used), kept, yard=False)[0]


def given_back(text: str, folder: str) -> str:
    stock = read(text)
    record = taken_by(stock, folder)
    assert record is not None
    return put_back(stock, record, "do it by hand").text


def refused(text: str, folder: str) -> str:
    with pytest.raises(OutputRefused) as caught:
        given_back(text, folder)
    told = str(caught.value).removeprefix(f"rack.toml: what the last export to {folder} took can't be put back: ")
    return told.removesuffix("; do it by hand")


ORDERS = list(permutations(("may", "june", "july")))


@pytest.mark.parametrize("order", ORDERS, ids=["-".join(order) for order in ORDERS])
@pytest.mark.parametrize("last", ["may", "june", "july"])
def test_an_offcut_that_exports_share_comes_back_in_any_order(order: tuple[str, ...], last: str) -> None:
    """Three of A; whoever took the last of it saw its table go."""
    whole = LIST.replace("quantity = 2  # two", "quantity = 3  # two")
    text = whole
    for folder in (*(f for f in order if f != last), last):
        text = taken(text, folder, {"A": 1, "stock[0]": 1})
    assert on(text)["A"] == 0
    for number, folder in enumerate(order, 1):
        text = given_back(text, folder)
        assert (on(text)["A"], on(text)["stock[0]"]) == (number, number)
    assert tomllib.loads(text) == tomllib.loads(whole) and text.count("#") == whole.count("#")


def test_an_offcut_comes_back_though_what_was_given_back_of_it_is_used_again() -> None:
    text = taken(taken(LIST, "may", {"A": 1}), "june", {"A": 1})
    text = taken(given_back(text, "may"), "july", {"A": 1})
    assert on(text)["A"] == 0
    for first, second in (("june", "july"), ("july", "june")):
        assert tomllib.loads(given_back(given_back(text, first), second)) == tomllib.loads(LIST)
    # Likewise where the first is made anew with something else, or with both.
    other = taken(taken(taken(LIST, "may", {"A": 1}), "june", {"A": 1}), "may", {"B": 1})
    assert on(other) == on(LIST) - Counter({"A": 1, "B": 1})
    assert tomllib.loads(given_back(given_back(other, "june"), "may")) == tomllib.loads(LIST)
    both = taken(given_back(taken(taken(LIST, "may", {"A": 1}), "june", {"A": 1}), "june"), "may", {"A": 2})
    assert tomllib.loads(given_back(both, "may")) == tomllib.loads(LIST)


def test_an_offcut_that_another_export_used_is_given_back_first() -> None:
    """The half of a board of 3600, and the half of that: each is used by the next export."""
    one = taken(LIST, "may", {"stock[0]": 1}, 1)
    two = taken(one, "june", {"Job of may, board 1": 1}, 1)
    three = taken(two, "july", {"Job of june, board 1": 1})
    first = "was used by the export to {}, which has to be given back first"
    assert refused(three, "may") == f'its offcut "Job of may, board 1" {first.format("june")}'
    assert refused(three, "june") == f'its offcut "Job of june, board 1" {first.format("july")}'
    for text, folder, before in ((three, "july", two), (two, "june", one), (one, "may", LIST)):
        assert tomllib.loads(given_back(text, folder)) == tomllib.loads(before)
    # Whatever else it used.
    other = taken(one, "june", {"Job of may, board 1": 1, "A": 1})
    assert refused(other, "may") == f'its offcut "Job of may, board 1" {first.format("june")}'
    # Listed by hand though its user's record stands: it would come back twice.
    table = '[[offcut]]\nname = "Job of june, board 1"\nsize = [38, 235]\nlength = 900\n'
    assert first.format("july") in refused(f"{three}\n{table}", "june")


def test_an_offcut_listed_by_hand_is_not_counted_twice() -> None:
    text = taken(taken(LIST, "may", {"A": 1}), "june", {"A": 1})
    table = '[[offcut]]\nname = "A"\nsize = [38, 235]\nlength = 1500\nprice = 5\n'
    shorter = f"\n{table.replace('1500', '1400')}"
    for folder in ("may", "june"):
        assert refused(f"{text}\n{table}", folder) == 'offcut "A", which was used up, is on the list again'
        assert refused(text + shorter, folder) == 'another offcut is called "A" by now, which needs another name first'
        renamed = text + shorter.replace('"A"', '"C"')
        assert (on(given_back(renamed, folder))["A"], on(renamed)["C"]) == (1, 1)


def test_no_name_is_given_twice_while_its_piece_may_come_back() -> None:
    """Two jobs of one name: the first is cut and its offcut used, and that use is called off after the second."""
    text = taken(LIST, "may", {"stock[0]": 1}, 1)
    text = taken(text, "june", {"Job of may, board 1": 1})
    cut = edited(text, {}, [("taken", 0)], ())
    again = taken(cut, "may", {"stock[0]": 1}, 1)
    assert on(again)["Job of may, board 1 (2)"] == 1
    back = given_back(again, "june")
    assert (on(back)["Job of may, board 1"], on(back)["Job of may, board 1 (2)"]) == (1, 1)
    # What is written on a piece stays its name, though another would be free by now.
    gone = edited(again, {}, [("taken", 0)], ())
    stock = put_back(read(gone), read(gone).taken[0])
    _, change = exported(stock, "may", Counter({"stock[0]": 1}), 1, yard=False)
    assert change.same and change.added == ("Job of may, board 1 (2)",)
    # Two alike keep theirs, each its own.
    twice = taken(LIST, "may", {"stock[0]": 2}, 2)
    alike = put_back(read(twice), read(twice).taken[0])
    _, change = exported(alike, "may", Counter({"stock[0]": 2}), 2, yard=False)
    assert change.same and change.added == ("Job of may, board 1", "Job of may, board 1 (2)")
    # Of another length it is another piece.
    _, change = exported(stock, "may", Counter({"stock[3]": 1}), 1, yard=False)
    assert change.added == ("Job of may, board 1",)


@pytest.mark.parametrize("used", [{"stock[0]": 1}, {"A": 1}, {"A": 1, "B": 1, "stock[1]": 2}], ids=["a", "b", "c"])
def test_an_export_made_anew_changes_nothing_though_others_took_boards_since(used: dict[str, int]) -> None:
    text = taken(taken(LIST, "may", used), "june", {"stock[0]": 1, "A": 1})
    stock = put_back(read(text), read(text).taken[0])
    _, change = exported(stock, "may", Counter(used), 0, yard=False)
    assert change.same and change.back == sum(used.values())
    assert not exported(stock, "may", Counter({**used, "stock[3]": 1}), 0, yard=False)[1].same


def test_boards_come_back_to_an_entry_of_another_price() -> None:
    """A delivery cost more; of two entries alike the one at the old price is theirs."""
    text = taken(LIST, "may", {"stock[3]": 2}).replace("price = 30", "price = 34", 1)
    assert given_back(text, "may") == LIST.replace("price = 30", "price = 34")
    back = given_back(taken(LIST, "may", {"stock[0]": 1}).replace("price = 20", "price = 22", 1), "may")
    assert (on(back)["stock[0]"], on(back)["stock[1]"]) == (2, 3)


def test_a_record_says_what_is_left_by_now() -> None:
    """Of the second record, the second offcut; everything round it stays, tables of that number too."""
    rows = "offcuts = [\n  {left = 0, at = 1},  # a\n  {at = 2, left = 0},  # b\n]\n"
    text = f"[[stock]]\na = 1\n\n[[stock]]\nb = 1\n\n[[taken]]\n{rows}\n[[taken]]  # mine\n{rows}# end\n"
    head, _, tail = text.rpartition("{at = 2, left = 0}")
    assert edited(text, {}, (), (), {1: {1: 3}}) == f"{head}{{at = 2, left = 3}}{tail}"
    assert edited(text, {}, (), (), {}) == edited(text, {}, (), ()) == text


def test_a_list_keeps_its_line_ends() -> None:
    """What comes back, the record that changes with it, and quantities: all of them as the list's other lines end."""
    text = LIST.replace("\n", "\r\n")
    for folder in ("may", "june", "july"):
        text = taken(text, folder, {"stock[0]": 1} if folder == "july" else {"A": 1})
    back = given_back(given_back(text, "may"), "june")
    assert back.count("\n") == back.count("\r\n") and "quantity = 2  # two of them" in back
    whole = given_back(back, "july")
    assert whole.count("\n") == whole.count("\r\n") and tomllib.loads(whole) == tomllib.loads(LIST)


def test_comments_inside_an_offcut_s_table_come_back_with_it() -> None:
    text = taken(LIST, "may", {"A": 2, "B": 1})
    assert text.count("# knot near the end") == 1 and "[[offcut]]\n" not in text.partition("[[taken]]")[0]
    back = given_back(text, "may")
    assert tomllib.loads(back) == tomllib.loads(LIST) and back.count("#") == LIST.count("#")
    # Half of them with one export: its table says how many, with what was said of that.
    half = given_back(taken(taken(LIST, "may", {"A": 1}), "june", {"A": 1}), "may")
    assert "quantity = 1  # two of them" in half and "[[offcut]]  # blue" in half
    # A text of several lines that looks like a comment is left to its key; tabs come as spaces.
    odd = "[[offcut]]\nname = 'A'\nsize = [38, 235]\n\nlength = 700\t# cut\n"
    text = taken(f"units = 'mm'\n{odd}", "may", {"A": 1})
    assert tomllib.loads(given_back(text, "may")) == tomllib.loads(f"units = 'mm'\n{odd}")
    assert re.search("length = 700 +# cut\n", given_back(text, "may"))
    assert lines_of(odd.replace("\t# cut", "\nnote = '''# no\n'''"), ("offcut", 0)) == ()
    # A blank line in a text can't be done without.
    assert lines_of(odd.replace("'A'", "'''A\n\nB'''"), ("offcut", 0)) == ()
    assert lines_of(odd, ("offcut", 1)) == ()

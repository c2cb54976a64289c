"""Exports that share boards and offcuts of a list, made anew and given back in any order, beside a plain count.

The model knows what is on the rack and what each export took and left. It has no rows, no text and no records.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections import Counter
from functools import cache
from itertools import permutations
from operator import itemgetter

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from msgspec import Struct
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
#: Comments inside an offcut's table go with it, once it is cut; all others stay.
INSIDE = {"A": ("# blue", "# measured twice", "# two of them"), "B": ("# knot near the end",)}
STAY = [line[line.index("#") :] for line in LIST.splitlines() if "#" in line]
STAY = [comment for comment in STAY if not any(comment in inside for inside in INSIDE.values())]
FOLDERS = ("may", "june", "july", "august")


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


class Export(Struct, frozen=True):
    """What the model knows of an export: the pieces it used, the names of those it left, and how it was made."""

    used: Counter[str]
    left: tuple[str, ...]
    kept: int
    yard: bool


class Rack(RuleBasedStateMachine):
    """One list, and four folders that take boards off it."""

    def __init__(self) -> None:
        super().__init__()
        self.text = LIST
        self.shelf = on(LIST)
        self.exports: dict[str, Export] = {}
        #: Folders whose boards the list has at another price by now.
        self.repriced: set[str] = set()
        #: Whether only exports changed the list.
        self.as_it_was = True

    def put_back(self, folder: str) -> Stock | None:
        """The list with an export's boards put back, where the model says that can be; None where it is refused."""
        stock = read(self.text)
        record = taken_by(stock, folder)
        assert record is not None
        left = self.exports[folder].left
        users = [f for f, other in self.exports.items() if any(other.used[name] for name in left)]
        if not users:
            back = put_back(stock, record, "do it by hand")
            assert on(back.text) == +(self.shelf + self.exports[folder].used - Counter(left))
            return back
        with pytest.raises(OutputRefused) as caught:
            put_back(stock, record, "do it by hand")
        assert any(f"used by the export to {f}, which has to be given back first" in str(caught.value) for f in users)
        return None

    def forget(self, folder: str) -> None:
        """Note that an export's boards are back."""
        export = self.exports.pop(folder)
        self.repriced.discard(folder)
        self.shelf = self.shelf + export.used - Counter(export.left)

    def names(self) -> set[str]:
        """All names that a piece has which is on the list or may come back to it."""
        return {*self.shelf, *(name for export in self.exports.values() for name in (*export.used, *export.left))}

    @rule(folder=st.sampled_from(FOLDERS), data=st.data(), kept=st.integers(0, 2), yard=st.booleans())
    def export(self, folder: str, data: st.DataObject, kept: int, yard: bool) -> None:
        stock = read(self.text)
        if folder in self.exports:
            found = self.put_back(folder)
            if found is None:
                return
            stock = found
            self.forget(folder)
        there = sorted(self.shelf.elements())
        picks = st.lists(st.integers(0, len(there) - 1), max_size=3, unique=True) if there else st.just([])
        used = Counter(there[number] for number in data.draw(picks))
        self.text, change = exported(stock, folder, used, kept, yard)
        assert change.taken == used.total()
        assert not self.names() & set(change.added), "no two pieces are called alike"
        self.shelf = self.shelf - used + Counter(change.added)
        if used or change.added:
            self.exports[folder] = Export(used, change.added, kept, yard)

    @precondition(lambda self: self.exports)
    @rule(data=st.data())
    def give_back(self, data: st.DataObject) -> None:
        folder = data.draw(st.sampled_from(sorted(self.exports)))
        found = self.put_back(folder)
        if found is not None:
            self.text, _ = updated_text(found.text, found, (), ())
            self.forget(folder)

    @precondition(lambda self: self.exports)
    @rule(data=st.data())
    def export_the_same_again(self, data: st.DataObject) -> None:
        folder = data.draw(st.sampled_from(sorted(self.exports)))
        found, same = self.put_back(folder), self.exports[folder]
        if found is not None:
            _, change = exported(found, folder, same.used, same.kept, same.yard)
            assert change.same == (folder not in self.repriced) and change.back == same.used.total()

    @rule(row=st.sampled_from([0, 1, 3]), count=st.integers(1, 2))
    def buy(self, row: int, count: int) -> None:
        self.shelf[f"stock[{row}]"] += count
        self.text = edited(self.text, {("stock", row): self.shelf[f"stock[{row}]"]}, (), ())
        self.as_it_was = False

    @rule(price=st.integers(31, 99))
    def reprice(self, price: int) -> None:
        head, length, rest = self.text.partition("length = 4200\n")
        changed = re.sub(r"price = \d+", f"price = {price}", rest, count=1)
        self.repriced |= {f for f, export in self.exports.items() if export.used["stock[3]"] and changed != rest}
        self.text = head + length + changed
        self.as_it_was = False

    @precondition(lambda self: self.exports)
    @rule(data=st.data())
    def cut(self, data: st.DataObject) -> None:
        folder = data.draw(st.sampled_from(sorted(self.exports)))
        number = [record.folder for record in read(self.text).taken].index(folder)
        self.text = edited(self.text, {}, [("taken", number)], ())
        del self.exports[folder]
        self.repriced.discard(folder)
        self.as_it_was = False

    @precondition(lambda self: self.exports)
    @rule(data=st.data())
    def cancel_all(self, data: st.DataObject) -> None:
        """In some order of all that there are everything comes back, whatever was refused before."""
        while self.exports:
            free = [f for f in sorted(self.exports) if not set(self.exports[f].left) & self.used_by_others(f)]
            folder = data.draw(st.sampled_from(free))
            found = self.put_back(folder)
            assert found is not None
            self.text, _ = updated_text(found.text, found, (), ())
            self.forget(folder)
        if self.as_it_was:
            was, now = tomllib.loads(LIST), tomllib.loads(self.text)
            was["offcut"].sort(key=itemgetter("name"))
            now["offcut"].sort(key=itemgetter("name"))
            assert now == was

    def used_by_others(self, folder: str) -> set[str]:
        return {name for other, export in self.exports.items() if other != folder for name in export.used}

    @invariant()
    def the_list_counts_what_is_there(self) -> None:
        assert on(self.text) == +self.shelf
        stock = read(self.text)
        assert {each.folder for each in stock.taken} == set(self.exports)
        for record in stock.taken:
            counts = Counter({took.board.offcut: took.count for took in record.boards if took.board.offcut})
            used = self.exports[record.folder].used
            assert counts == Counter({name: count for name, count in used.items() if "[" not in name})
            assert sum(took.count for took in record.boards) == used.total()

    @invariant()
    def comments_stay(self) -> None:
        there = [comment for name, inside in INSIDE.items() if name in self.names() for comment in inside]
        assert [comment for comment in (*STAY, *there) if comment not in self.text] == []


def test_any_history_of_exports_counts_each_piece_once() -> None:
    few = settings(
        max_examples=int(os.environ.get("CUTPATH_HISTORIES", "6")),
        stateful_step_count=12,
        suppress_health_check=list(HealthCheck),
        deadline=None,
    )
    run_state_machine_as_test(Rack, settings=few)  # type: ignore[no-untyped-call]

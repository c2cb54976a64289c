"""Exports that share boards and offcuts of a list, made anew and given back in any order, beside a plain count.

The model knows what is on the rack and what each export took and left. It has no rows, no text and no records.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections import Counter
from operator import itemgetter

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from msgspec import Struct

from cutpath.faults import OutputRefused
from cutpath.stockfile.taken import put_back, taken_by
from cutpath.stockfile.text import edited
from cutpath.stockfile.update import updated_text
from cutpath.stockfile.values import Stock
from tests.test_stock_shared_by_hand import LIST, exported, on, read

#: Comments inside an offcut's table go with it, once it is cut; all others stay.
INSIDE = {"A": ("# blue", "# measured twice", "# two of them"), "B": ("# knot near the end",)}
STAY = [line[line.index("#") :] for line in LIST.splitlines() if "#" in line]
STAY = [comment for comment in STAY if not any(comment in inside for inside in INSIDE.values())]
FOLDERS = ("may", "june", "july", "august")


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

"""Bringing a stock file up to date: used boards off, offcuts on, the rest of its text as it was.

The new file is written beside the old one and moved into its place in one step, after a copy of the old one has been
kept. So whatever goes wrong, either the old file or the new one stands there, whole.
"""

from __future__ import annotations

import codecs
import contextlib
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from cutpath.faults import OutputRefused
from cutpath.job.read import parsed, text_of
from cutpath.job.values import StockBoards
from cutpath.lock import release, take
from cutpath.stockfile.kept import Kept, offcut_tables
from cutpath.stockfile.read import digest_of, stock_of
from cutpath.stockfile.taken import read_back, record_of
from cutpath.stockfile.text import Entry, edited
from cutpath.stockfile.values import Stock, Took, place_of

#: What the copy's name ends in.
BEFORE: Final = ".before"


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose boards are taken: the export's folder as the stock file names it, and the names of its jobs."""

    folder: str
    jobs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """What an update does.

    Attributes:
        taken: how many boards it takes off.
        added: the names of the offcuts that it puts on.
        back: how many boards of the last export to the same folder it puts back first.
        same: nothing changes: they are the very boards and offcuts of that export, or none.
    """

    taken: int
    added: tuple[str, ...]
    back: int = 0
    same: bool = False


def updated_text(
    text: str, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept], whose: Whose | None = None
) -> tuple[str, Change]:
    """A stock file's text with boards taken off and offcuts added.

    Args:
        text: as it is.
        stock: as it was read from that text.
        used: one for each board used; only those whose `source` is an entry of the stock file count.
        kept: offcuts to add.
        whose: for the record of what is taken; None: there is none.

    Returns:
        The new text, comments and order kept, and what was changed. An offcut that is used up goes; whole boards
        stay, with a quantity of 0.

    Raises:
        OutputRefused: there are fewer of a board than were used, or the text is written in a way that can't be kept.
    """
    counts = Counter(board.source for board in used if board.source)
    tables = parsed(text, stock.source, "stock")
    quantities: dict[Entry, int] = {}
    gone: list[Entry] = []
    took: list[Took] = []
    left: list[StockBoards] = []
    for board in stock.boards:
        count, have = counts[board.source], board.quantity
        table, index = place_of(board)
        if have is None or not count:
            left.append(board)
            continue
        if count > have:
            raise OutputRefused(f"{stock.source}: {board.source}: {count} were used where there are {have}")
        spelt = {key: value for key, value in tables[table][index].items() if key != "quantity"}
        took.append(Took(replace(board, quantity=None, source=""), count, index, have - count, spelt))
        if table == "offcut" and count == have:
            gone.append((table, index))
        else:
            quantities[table, index] = have - count
            left.append(replace(board, quantity=have - count))
    added = offcut_tables(stock, kept)
    new: list[tuple[str, dict[str, Any]]] = [("[[offcut]]", entry) for entry in added]
    if whose is not None and (took or added):
        new.append(record_of(whose.folder, whose.jobs, took, added))
    # What was added is read as it is meant, and then has to be in the text.
    meant = stock_of(
        {"units": stock.units, "offcut": added, "taken": [values for heading, values in new[len(added) :]]},
        stock.source,
    )
    first = sum(place_of(board)[0] != "price" for board in left)
    boards = [*left[:first], *meant.boards, *left[first:]]
    changed = edited(text, quantities, gone, new)
    read_back(changed, stock, boards, [*stock.taken, *meant.taken])
    before = sum(one.count for one in stock.back.boards) if stock.back else 0
    same = stock.back is not None and meant.taken == (stock.back,)
    names = tuple(entry["name"] for entry in added)
    return changed, Change(sum(one.count for one in took), names, before, same)


def update_stock(
    path: Path, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept], whose: Whose | None = None
) -> Change:
    """Bring a stock file up to date, with a copy of what it was beside it (its name and ".before").

    Where that changes nothing, neither file is touched.

    Args:
        path: the file.
        stock: as it was read from there, with what the last export to the same folder took put back.
        used: as for `updated_text`.
        kept: as for `updated_text`.
        whose: as for `updated_text`.

    Raises:
        OutputRefused: the file was changed since it was read, or can't be written; it is as it was then.
    """
    target = path.resolve()
    try:
        with _locked(target):
            text = text_of(path, "stock")
            if digest_of(text) != stock.digest:
                raise OutputRefused(
                    f"{path}: was changed since it was read, and is left as it is; run the export again"
                )
            new, change = updated_text(stock.text, stock, used, kept, whose)
            if change.same or new == text:
                return replace(change, same=True)
            before = target.read_bytes()
            bom = codecs.BOM_UTF8 if before.startswith(codecs.BOM_UTF8) else b""
            _put(target.with_name(target.name + BEFORE), before, target)
            _put(target, bom + new.encode(), target)
            return change
    except OSError as why:
        reason = why.strerror or str(why)
        raise OutputRefused(
            f"{path}: can't be brought up to date ({reason}), and is left as it is; mend that and run the export again"
        ) from why


@contextlib.contextmanager
def _locked(target: Path) -> Iterator[None]:
    """Keep other exports from changing the file between reading and writing it."""
    path = target.with_name(f".{target.name}.lock")
    lock = take(path)
    if lock is None:
        raise OutputRefused(f"{target}: another export is changing it, and it is left as it is; run the export again")
    try:
        yield
    finally:
        release(lock, path)


def _put(target: Path, data: bytes, like: Path) -> None:
    """Write a file and move it into its place in one step."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        shutil.copymode(like, name)
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise

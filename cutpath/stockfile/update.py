"""Bringing a stock file up to date: used boards off, offcuts on, the rest of its text as it was.

The new file is written beside the old one and moved into its place in one step, after a copy of the old one has been
kept. So whatever goes wrong, either the old file or the new one stands there, whole. An export holds the file while it
puts its own files in place, so that who doesn't get the boards places none.
"""

from __future__ import annotations

import codecs
import contextlib
import os
import shutil
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.disk import release, sync_folder, take, write_new
from cutpath.faults import OutputRefused
from cutpath.job.values import StockBoards
from cutpath.stockfile.kept import Kept, offcut_tables
from cutpath.stockfile.read import digest_of, stock_of
from cutpath.stockfile.taken import folder_of, put_back, read_back, record_of, taken_by
from cutpath.stockfile.text import NumberedTable, edited, lines_of
from cutpath.stockfile.values import Stock, Took, place_of
from cutpath.tomlfile.read import bytes_of, decoded, parsed

#: What the copy's name ends in.
BEFORE: Final = ".before"


class Whose(Struct, frozen=True):
    """Whose boards are taken: the export's folder as the stock file names it, and the names of its jobs."""

    folder: str
    jobs: tuple[str, ...]


class Change(Struct, frozen=True):
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
    quantities: dict[NumberedTable, int] = {}
    gone: list[NumberedTable] = []
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
        lines: tuple[str, ...] = ()
        if table == "offcut" and count == have:
            gone.append((table, index))
            lines = lines_of(text, (table, index))
        else:
            quantities[table, index] = have - count
            left.append(replace(board, quantity=have - count))
        took.append(Took(replace(board, quantity=None, source=""), count, index, have - count, spelt, lines))
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
    same = stock.back is not None and [each.told for each in meant.taken] == [stock.back.told]
    names = tuple(entry["name"] for entry in added)
    return changed, Change(sum(one.count for one in took), names, before, same)


class Update:
    """A stock file that is held, and what is to become of it; everything is written beside it already.

    Attributes:
        change: what `write` does.
    """

    def __init__(self, path: Path, target: Path, change: Change, before: bytes | None = None) -> None:
        """Take what `updating` made ready.

        Args:
            path: the file as the user named it.
            target: where it is.
            change: what is done.
            before: what the file holds; None: nothing is to be done.
        """
        self.change = change
        self._path, self._target, self._before = path, target, before
        self._new, self._copy, self._back = drafts_of(target)

    def write(self) -> Callable[[], None]:
        """Move the new file into its place, after a copy of the old one.

        Returns:
            What brings the old one back, as long as the file is held.

        Raises:
            OutputRefused: somebody changed the file meanwhile, or it can't be moved; it is as it was.
        """
        if self._before is None:
            return lambda: None
        try:
            with _told(self._path):
                if self._target.read_bytes() != self._before:
                    raise _changed(self._path)
                os.replace(self._copy, self._target.with_name(self._target.name + BEFORE))
                os.replace(self._new, self._target)
                sync_folder(self._target.parent)
        except BaseException:
            self.put_back()
            raise
        return self.put_back

    def put_back(self) -> None:
        """Bring back what the file was, where it was written.

        Raises:
            OutputRefused: it can't be.
        """
        # Looked at, not remembered: an interrupt may fall between a move and its being noted.
        if self._before is None or self._new.exists() or not self._back.exists():
            return
        try:
            os.replace(self._back, self._target)
        except OSError as why:
            raise OutputRefused(
                f"{self._path}: says already what this export would have taken, and can't be put back "
                f"({why.strerror or why}); what it was is in {self._path.name}{BEFORE}"
            ) from why


@contextlib.contextmanager
def updating(
    path: Path, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept], whose: Whose | None = None
) -> Iterator[Update]:
    """Hold a stock file for an update, written beside it and ready to be moved into its place.

    Whatever there is to refuse is refused here, before anything is done in reliance on the boards.

    Args:
        path: the file.
        stock: as it was read from there, with what the last export to the same folder took put back.
        used: as for `updated_text`.
        kept: as for `updated_text`.
        whose: as for `updated_text`.

    Raises:
        OutputRefused: the file was changed since it was read, another export holds it, it is read-only, or can't be
            written; it is as it was.
    """
    target = path.resolve()
    with _locked(path, target):
        with _told(path):
            _clear(target)
        # Read once: what is compared is what is written over.
        before = bytes_of(path, "stock")
        text = decoded(before, str(path))
        if digest_of(text) != stock.digest:
            raise _changed(path)
        new, change = updated_text(stock.text, stock, used, kept, whose)
        if change.same or new == text:
            yield Update(path, target, replace(change, same=True))
            return
        try:
            with _told(path):
                bom = codecs.BOM_UTF8 if before.startswith(codecs.BOM_UTF8) else b""
                for draft, data in zip(drafts_of(target), (bom + new.encode(), before, before), strict=True):
                    write_new(draft, data, mode=0o600)
                    _keep_rights(path, target, draft)
            yield Update(path, target, change, before)
        finally:
            with contextlib.suppress(OSError):
                _clear(target)


def update_stock(
    path: Path, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept], whose: Whose | None = None
) -> Change:
    """Bring a stock file up to date, with a copy of what it was beside it (its name and ".before").

    Where that changes nothing, neither file is touched. Arguments and errors as for `updating`.
    """
    with updating(path, stock, used, kept, whose) as update:
        update.write()
    return update.change


def give_back(path: Path, stock: Stock, folder: Path) -> int:
    """Put back what an export took, and leave no record of it: its boards are not cut after all.

    Args:
        path: the stock file.
        stock: as it was read from there.
        folder: the export's.

    Returns:
        How many boards came back.

    Raises:
        OutputRefused: nothing is written down as taken for that folder, it can't be put back, or as for `updating`.
    """
    taken = taken_by(stock, folder_of(folder, path))
    if taken is None:
        others = ", ".join(one.folder for one in stock.taken)
        raise OutputRefused(
            f"{path}: nothing is written down as taken for {folder}"
            + (f"; there is for {others}, as seen from {path.name}" if others else "; there is for no folder")
        )
    by_hand = "put back by hand what is not cut, and delete its [[taken]] table"
    update_stock(path, put_back(stock, taken, by_hand), (), ())
    return sum(one.count for one in taken.boards)


def drafts_of(target: Path) -> tuple[Path, Path, Path]:
    """Where the new file, the copy, and what is put back on trouble are written; a killed run may leave them there."""
    new, copy, back = (target.with_name(f".{target.name}.cutpath-{what}") for what in ("new", "copy", "back"))
    return new, copy, back


def _clear(target: Path) -> None:
    """Remove the drafts, a killed run's as our own."""
    for draft in drafts_of(target):
        draft.unlink(missing_ok=True)


def _changed(path: Path) -> OutputRefused:
    return OutputRefused(f"{path}: was changed since it was read, and is left as it is; run that again")


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Tell what the system refuses in a line."""
    try:
        yield
    except OSError as why:
        reason = why.strerror or str(why)
        raise OutputRefused(
            f"{path}: can't be brought up to date ({reason}), and is left as it is; mend that and run it again"
        ) from why


@contextlib.contextmanager
def _locked(path: Path, target: Path) -> Iterator[None]:
    """Keep other exports from changing the file between reading and writing it."""
    guard = target.with_name(f".{target.name}.lock")
    with _told(path):
        _refuse_read_only(path, target)
        lock = take(guard)
    if lock is None:
        raise OutputRefused(f"{path}: another export is changing it, and it is left as it is; run that again")
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            release(lock, guard)


def _refuse_read_only(path: Path, target: Path) -> None:
    """Take a file's being read-only as meant, though moving another into its place needs no such right."""
    if not target.stat().st_mode & 0o222 or not os.access(target, os.W_OK):
        raise OutputRefused(
            f"{path}: is read-only, and is left as it is; make it writable (an export without --update-stock may leave "
            "it so)"
        )


def _keep_rights(path: Path, target: Path, draft: Path) -> None:
    """Give a draft the owner and the rights of the file whose place it takes."""
    if hasattr(os, "chown"):
        old, new = target.stat(), draft.stat()
        if (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid):
            try:
                os.chown(draft, old.st_uid, old.st_gid)
            except PermissionError:
                raise OutputRefused(
                    f"{path}: belongs to another user or group, which writing it anew would change, and is left as it "
                    "is; have its owner run the export, or use a copy of your own"
                ) from None
    # Rights with what the system keeps beside them, but not the times.
    shutil.copystat(target, draft)
    os.utime(draft)

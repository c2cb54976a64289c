"""Changing a folder's files all together: staged beside them, moved by renames, and put back on any trouble.

The staging folder holds `new/` and `old/`, files numbered in the order of `journal.json`. As long as there is a
journal, the change is not done and is to be undone; removing the journal is the moment from which it holds. Undoing
looks at which file is where and nothing else, so it works for an exception as for a process that was killed, and twice
over.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from cutpath.disk import is_link, move_beside, release, sync_files, sync_folder, take
from cutpath.faults import OutputRefused
from cutpath.place.inside import leading_out, parents
from cutpath.place.journal import Journal
from cutpath.place.record import digest, digest_of

STAGING: Final = ".cutpath-staging"
_LOCK: Final = "lock"
_JOURNAL: Final = "journal.json"
_DRAFT: Final = "journal.draft"
#: A journal lists some hundred files; one cut off here is none.
_MOST_BYTES: Final = 1 << 26
First = Callable[[], Callable[[], object]]
"""What is done before files take their places; it gives what undoes it."""

#: How often the folder may be taken away by others that end just then.
_TRIES: Final = 100


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a folder against other exports, cleared of what a killed one left in it.

    Only who holds it knows what is in it: look after this, not before.

    Args:
        folder: an existing folder.

    Raises:
        OutputRefused: if another export is at work there, or what stands in the staging folder's place is none of ours.
        OSError: if it can't be written, or a file that is to be put back can't be moved.
    """
    root, lock = folder / STAGING, _locked(folder)
    try:
        if not _is_ours(root):
            raise _in_the_way(root)
    except BaseException:
        with contextlib.suppress(OSError):
            release(lock, root / _LOCK)
        with contextlib.suppress(OSError):
            root.rmdir()
        raise
    try:
        _undo(folder)
        _sweep(root)
        yield
    finally:
        # What can't be removed now is cleared away by the next export.
        try:
            with contextlib.suppress(OSError):
                _sweep(root)
        finally:
            with contextlib.suppress(OSError):
                release(lock, root / _LOCK)
        with contextlib.suppress(OSError):
            root.rmdir()


def recover(folder: Path) -> None:
    """Clear away what a killed export left: put the files that it had moved back in their places.

    Args:
        folder: an existing folder.

    Raises:
        OutputRefused: as `held`.
        OSError: likewise.
    """
    if os.path.lexists(folder / STAGING):
        with held(folder):
            pass


def is_pending(folder: Path) -> bool:
    """Whether old files are still to be put back."""
    return os.path.lexists(folder / STAGING / _JOURNAL)


def change(
    folder: Path,
    files: Mapping[str, bytes],
    old: Mapping[str, str],
    homes: Sequence[str],
    first: First,
) -> None:
    """Put files in a folder in place of others, all or none.

    Args:
        folder: a folder that is `held`.
        files: what comes, by relative path; the last one is the last to appear.
        old: the files that go, each with the SHA-256 that it is to have.
        homes: the old files' folders; those left empty are removed.
        first: called once everything is written and before the first file is moved; if it raises, none is. What it
            gives back is called if the change is undone.

    Raises:
        OSError: if something can't be written or moved; the folder is as it was.
        OutputRefused: if somebody changed an old file meanwhile, or put something where a new one belongs; likewise.
    """
    undo_first: Callable[[], object] = _nothing
    try:
        journal = _stage(folder, files, old, homes)
        undo_first = first()
        _move(folder, journal, old)
        (folder / STAGING / _JOURNAL).unlink()
    except BaseException:
        # An interrupt may come right after the change has come to hold: the journal says so.
        if is_pending(folder):
            try:
                _undo(folder)
            finally:
                undo_first()
        raise


def _nothing() -> None:
    """What undoes what was not done."""


def _locked(folder: Path) -> int:
    """Take the lock in the staging folder, which is made where it is missing."""
    root = folder / STAGING
    for tries_left in reversed(range(_TRIES)):
        try:
            if os.path.lexists(root) and (is_link(root) or not root.is_dir()):
                raise _in_the_way(root)
            root.mkdir(exist_ok=True)
            lock = take(root / _LOCK)
        except FileNotFoundError:
            # An export that just ended took the folder away, or this one's parent, which it had made for itself.
            if not tries_left:
                raise
            folder.mkdir(parents=True, exist_ok=True)
            continue
        except BaseException:
            with contextlib.suppress(OSError):
                root.rmdir()
            raise
        if lock is not None:
            return lock
        break
    raise OutputRefused(f"{folder}: another export is writing there; wait for it to end")


def _in_the_way(root: Path) -> OutputRefused:
    return OutputRefused(f"{root}: not written by cutpath, but in its way; move it, or choose another folder with -o")


def _stage(folder: Path, files: Mapping[str, bytes], old: Iterable[str], homes: Sequence[str]) -> Journal:
    """Write the new files, and then the journal into its place, so that both outlast a loss of power."""
    root = folder / STAGING
    for name in ("new", "old"):
        (root / name).mkdir()
    above = {parent for path in files for parent in parents(path)}
    journal = Journal(
        new=tuple((path, digest(data)) for path, data in files.items()),
        old=tuple(old),
        made=tuple(sorted(p for p in above if not (folder / p).exists())),
        homes=tuple(sorted(h for h in homes if (folder / h).is_dir())),
    )
    draft = root / _DRAFT
    staged = [(root / "new" / str(n), data) for n, data in enumerate(files.values())]
    with contextlib.ExitStack() as opened:
        streams = []
        for path, data in (*staged, (draft, journal.to_bytes())):
            stream = opened.enter_context(path.open("xb"))
            stream.write(data)
            stream.flush()
            streams.append(stream)
        # All are written before the first is waited for: the disk then takes them together.
        sync_files(streams)
    sync_folder(root / "new")
    os.replace(draft, root / _JOURNAL)
    sync_folder(root)
    return journal


def _move(folder: Path, journal: Journal, shas: Mapping[str, str]) -> None:
    """Take the old files out and put the new ones in."""
    root = folder / STAGING
    _refuse_link(folder, [*journal.old, *(path for path, _ in journal.new)], journal.homes)
    for n, path in enumerate(journal.old):
        _refuse_link(folder, [path])
        kept = root / "old" / str(n)
        os.replace(folder / path, kept)
        if digest_of(kept) != shas[path]:
            raise OutputRefused(f"{folder / path}: was changed while the export ran, and is kept; export again")
    for made in journal.made:
        _refuse_link(folder, [], [made])
        try:
            (folder / made).mkdir()
        except FileExistsError:
            raise _appeared(folder / made) from None
    for n, (path, _) in enumerate(journal.new):
        _refuse_link(folder, [path])
        try:
            move_beside(root / "new" / str(n), folder / path)
        except FileExistsError:
            raise _appeared(folder / path) from None
    for home in reversed(journal.homes):
        # A folder that still holds something stays.
        with contextlib.suppress(OSError):
            (folder / home).rmdir()
    moved = [*(path for path, _ in journal.new), *journal.old]
    for place in sorted({(folder / path).parent for path in moved}):
        if place.is_dir():
            sync_folder(place)


def _appeared(path: Path) -> OutputRefused:
    return OutputRefused(f"{path}: appeared while the export ran, and is kept; export again")


def _refuse_link(folder: Path, files: Iterable[str], folders: Iterable[str] = ()) -> None:
    """Go nowhere through a link: what is written, moved or removed stays in the folder."""
    link = leading_out(folder, files, folders)
    if link is not None:
        raise OutputRefused(f"{folder / link}: a link that leads out of the folder; move it, and export again")


def _undo(folder: Path) -> None:
    """Bring the folder back to what it was before the change, if there is one that is not done.

    Raises:
        OutputRefused: if something else stands where an old file belongs, or a link where a folder was; files are kept.
        OSError: if a file can't be moved; the next export tries again.
    """
    root = folder / STAGING
    if not (root / _JOURNAL).exists():
        return
    journal = _journal_in(root)
    # The other way round than they came and went, so that no record stands beside files that it does not describe.
    for n, (path, sha) in reversed(list(enumerate(journal.new))):
        staged, target = root / "new" / str(n), folder / path
        if not os.path.lexists(staged):
            _refuse_link(folder, [path])
            # Moved back, not removed: an old file of the same content may already stand here on a second try.
            if digest_of(target) == sha:
                os.replace(target, staged)
        elif _same(staged, target):
            # Killed between giving it its place and taking it from here: one file of two names.
            _refuse_link(folder, [path])
            target.unlink()
    for made in reversed(journal.made):
        _refuse_link(folder, [made])
        with contextlib.suppress(OSError):
            (folder / made).rmdir()
    gone = [(root / "old" / str(n), path) for n, path in reversed(list(enumerate(journal.old)))]
    gone = [(kept, path) for kept, path in gone if os.path.lexists(kept)]
    for home in journal.homes if gone else ():
        _refuse_link(folder, [], [home])
        (folder / home).mkdir(exist_ok=True)
    for kept, path in gone:
        _refuse_link(folder, [path])
        if _same(kept, folder / path):
            kept.unlink()
            continue
        try:
            move_beside(kept, folder / path)
        except FileExistsError:
            raise OutputRefused(
                f"{folder / path}: stands where {kept} is to be put back; move one of the two away"
            ) from None
    (root / _JOURNAL).unlink()


def _same(one: Path, other: Path) -> bool:
    """Whether two paths name one file."""
    try:
        return os.path.samestat(os.lstat(one), os.lstat(other))
    except OSError:
        return False


def _sweep(root: Path) -> None:
    """Empty the staging folder of what is no longer needed, but for the lock."""
    if (root / _JOURNAL).exists():
        return
    for name in ("new", "old"):
        part = root / name
        if part.is_dir() and not is_link(part):
            for entry in list(part.iterdir()):
                entry.unlink()
            part.rmdir()
    (root / _DRAFT).unlink(missing_ok=True)


def _journal_in(root: Path) -> Journal:
    with (root / _JOURNAL).open("rb") as stream:
        return Journal.from_bytes(stream.read(_MOST_BYTES))


def _is_ours(root: Path) -> bool:
    """Whether a staging folder holds what an export leaves there, and nothing else."""
    for entry in root.iterdir():
        plain = not is_link(entry)
        if plain and entry.is_dir() and entry.name in ("new", "old"):
            if not all(e.name.isdecimal() and e.is_file() and not is_link(e) for e in entry.iterdir()):
                return False
        elif not (plain and entry.is_file() and entry.name in (_LOCK, _JOURNAL, _DRAFT)):
            return False
    try:
        return not (root / _JOURNAL).exists() or _journal_in(root) is not None
    except ValueError:
        return False

"""Changing a folder's files all together: staged beside them, moved by renames, and put back on any trouble.

The staging folder holds `new/` and `old/`, files numbered in the order of `journal.json`. As long as there is a
journal, the change is not done and is to be undone; removing the journal is the moment from which it holds. Undoing
looks at which file is where and nothing else, so it works for an exception as for a process that was killed, and twice
over.
"""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from cutpath.faults import OutputRefused
from cutpath.lock import release, take
from cutpath.place.journal import Journal
from cutpath.place.record import digest, digest_of

STAGING: Final = ".cutpath-staging"
_LOCK: Final = "lock"
_JOURNAL: Final = "journal.json"
_DRAFT: Final = "journal.draft"


def recover(folder: Path) -> None:
    """Clear away what a killed export left: put the files that it had moved back in their places.

    Args:
        folder: an existing folder.

    Raises:
        OutputRefused: if another export is at work there, or the leftover is none of ours.
        OSError: if a file can't be moved.
    """
    root = folder / STAGING
    if not os.path.lexists(root):
        return
    if not _is_ours(root):
        raise OutputRefused(
            f"{root}: not written by cutpath, but in its way; move it, or choose another folder with -o"
        )
    with _locked(folder):
        _undo(folder)


def is_pending(folder: Path) -> bool:
    """Whether old files are still to be put back."""
    return os.path.lexists(folder / STAGING / _JOURNAL)


def change(folder: Path, files: Mapping[str, bytes], old: Sequence[str], homes: Sequence[str]) -> None:
    """Put files in a folder in place of others, all or none.

    Args:
        folder: an existing folder without a staging folder.
        files: what comes, by relative path; the last one is the last to appear.
        old: the files that go.
        homes: the old files' folders; those left empty are removed.

    Raises:
        OSError: if something can't be written or moved; the folder is as it was.
        OutputRefused: if another export is at work there.
    """
    with _locked(folder):
        try:
            journal = _stage(folder, files, old, homes)
            _move(folder, journal)
            (folder / STAGING / _JOURNAL).unlink()
        except BaseException:
            _undo(folder)
            raise


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Hold the staging folder, made where it is missing; it is gone afterwards unless it still holds old files."""
    root = folder / STAGING
    root.mkdir(exist_ok=True)
    try:
        lock = take(root / _LOCK)
    except BaseException:
        with contextlib.suppress(OSError):
            root.rmdir()
        raise
    if lock is None:
        raise OutputRefused(f"{folder}: another export is writing there; wait for it to end")
    try:
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


def _stage(folder: Path, files: Mapping[str, bytes], old: Sequence[str], homes: Sequence[str]) -> Journal:
    """Write the new files, and then the journal, so that both outlast a loss of power."""
    root = folder / STAGING
    for name in ("new", "old"):
        (root / name).mkdir(exist_ok=True)
    with contextlib.ExitStack() as opened:
        streams = []
        for n, data in enumerate(files.values()):
            stream = opened.enter_context((root / "new" / str(n)).open("wb"))
            stream.write(data)
            stream.flush()
            streams.append(stream)
        # All are written before the first is waited for: the disk then takes them together.
        for stream in streams:
            os.fsync(stream.fileno())
    parents = {"/".join(p.split("/")[:k]) for p in files for k in range(1, p.count("/") + 1)}
    journal = Journal(
        new=tuple((path, digest(data)) for path, data in files.items()),
        old=tuple(old),
        made=tuple(sorted(p for p in parents if not (folder / p).exists())),
        homes=tuple(sorted(h for h in homes if (folder / h).is_dir())),
    )
    draft = root / _DRAFT
    with draft.open("wb") as stream:
        stream.write(journal.to_bytes())
        stream.flush()
        os.fsync(stream.fileno())
    _sync(root / "new")
    os.replace(draft, root / _JOURNAL)
    _sync(root)
    return journal


def _move(folder: Path, journal: Journal) -> None:
    """Take the old files out and put the new ones in."""
    root = folder / STAGING
    for n, path in enumerate(journal.old):
        os.replace(folder / path, root / "old" / str(n))
    for made in journal.made:
        (folder / made).mkdir()
    for n, (path, _) in enumerate(journal.new):
        os.replace(root / "new" / str(n), folder / path)
    for home in reversed(journal.homes):
        # A folder that still holds something stays.
        with contextlib.suppress(OSError):
            (folder / home).rmdir()
    moved = [*(path for path, _ in journal.new), *journal.old]
    for place in sorted({(folder / path).parent for path in moved}):
        if place.is_dir():
            _sync(place)


def _undo(folder: Path) -> None:
    """Bring the folder back to what it was before the change, if there is one that is not done.

    Raises:
        OutputRefused: if something else stands where an old file belongs; the file is kept.
        OSError: if a file can't be moved; the next export tries again.
    """
    root = folder / STAGING
    if not (root / _JOURNAL).exists():
        return
    journal = Journal.from_bytes((root / _JOURNAL).read_bytes())
    for n, (path, sha) in enumerate(journal.new):
        staged, target = root / "new" / str(n), folder / path
        # Moved back, not removed: an old file of the same content may already stand here on a second try.
        if not staged.exists() and digest_of(target) == sha:
            os.replace(target, staged)
    for made in reversed(journal.made):
        with contextlib.suppress(OSError):
            (folder / made).rmdir()
    for home in journal.homes:
        (folder / home).mkdir(exist_ok=True)
    for n, path in enumerate(journal.old):
        kept, target = root / "old" / str(n), folder / path
        if kept.exists():
            if os.path.lexists(target):
                raise OutputRefused(f"{target}: stands where {kept} is to be put back; move one of the two away")
            os.replace(kept, target)
    (root / _JOURNAL).unlink()


def _sweep(root: Path) -> None:
    """Empty the staging folder of what is no longer needed, but for the lock."""
    if (root / _JOURNAL).exists():
        return
    for name in ("new", "old"):
        part = root / name
        if part.is_dir():
            for entry in list(part.iterdir()):
                entry.unlink()
            part.rmdir()
    (root / _DRAFT).unlink(missing_ok=True)


def _is_ours(root: Path) -> bool:
    """Whether a staging folder holds what an export leaves there, and nothing else."""
    if root.is_symlink() or not root.is_dir():
        return False
    for entry in root.iterdir():
        plain = not entry.is_symlink()
        if plain and entry.is_dir() and entry.name in ("new", "old"):
            if not all(e.name.isdecimal() and e.is_file() and not e.is_symlink() for e in entry.iterdir()):
                return False
        elif not (plain and entry.is_file() and entry.name in (_LOCK, _JOURNAL, _DRAFT)):
            return False
    try:
        return not (root / _JOURNAL).exists() or bool(Journal.from_bytes((root / _JOURNAL).read_bytes()))
    except ValueError:
        return False


def _sync(folder: Path) -> None:
    """Make renames in a folder outlast a loss of power, where the system can."""
    if os.name != "posix":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        # Network disks know no such thing for folders, and a folder may be open to writing alone.
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.EBADF, errno.EACCES):
            raise

"""Putting an export's files in a folder: all of them or none, and never over anything that we did not write."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from pathlib import Path

from cutpath.faults import OutputRefused
from cutpath.names import is_plain_path
from cutpath.place.inside import parents
from cutpath.place.record import RECORD, Found, digest, lists_all, scan
from cutpath.place.stage import STAGING, First, change, held, is_pending

_ELSEWHERE = "choose another folder with -o"


def nothing_first() -> Callable[[], object]:
    """Do nothing before files take their places, and nothing to undo it."""
    return lambda: None


def place(folder: Path, files: Mapping[str, bytes], *, force: bool, first: First = nothing_first) -> bool:
    """Put files in a folder, in place of those of the last export.

    The folder is made where it is missing. Files of the last export that are as it wrote them are replaced or removed;
    `result.json`, which lists them, is the last file to appear. Whatever goes wrong, the folder is left, or on the next
    call put back, as it was.

    Args:
        folder: where to.
        files: content by relative path with slashes, such as "parts/stringer.dxf"; a `result.json` that lists all the
            others with their SHA-256 is one of them.
        force: write beside files that are not ours. They stay as they are in any case.
        first: called once, when the files are written and nothing is left to refuse, before the first takes its place;
            if it raises, none does. It gives what is called if they are put back. It is called where nothing changes,
            too.

    Returns:
        Whether anything was changed; not where the folder holds these very files already.

    Raises:
        OutputRefused: if the folder holds anything that is not ours (with `force`: in the way of a file), or can't be
            written; nothing is changed then.
        ValueError: if the files are none that can be placed: a fault of the caller.
    """
    _check(files)
    made: list[Path] = []
    try:
        made = _make(folder)
        with held(folder):
            found = scan(folder, STAGING)
            _refuse_foreign(folder, found, files, force)
            if set(found.ours) == set(files) and found.ours[RECORD] == digest(files[RECORD]):
                # The record lists every file's hash, and all of ours are as the one that is there lists them.
                first()
                return False
            ordered = {path: files[path] for path in sorted(files, key=lambda p: (p == RECORD, p))}
            # The old record goes first, so that no record stands beside files that it does not describe.
            old = {path: found.ours[path] for path in sorted(found.ours, key=lambda p: (p != RECORD, p))}
            change(folder, ordered, old, found.folders, first)
    except BaseException as error:
        for path in reversed(made):
            try:
                path.rmdir()
            except OSError:
                break
        if isinstance(error, OSError):
            reason = error.strerror or str(error)
            state = "the former files are put back by the next export" if is_pending(folder) else "nothing was changed"
            raise OutputRefused(f"{folder}: can't be written ({reason}); {state}; {_ELSEWHERE}") from error
        raise
    return True


def _check(files: Mapping[str, bytes]) -> None:
    taken: dict[str, str] = {}
    for path in sorted(files):
        if not is_plain_path(path):
            raise ValueError(f"{path!r} is no plain relative path")
        other = taken.setdefault(path.casefold(), path)
        if other != path:
            raise OutputRefused(f"{path}: differs from {other} in case alone, and many disks take them for one file")
    for path in taken:
        if any(parent in taken for parent in parents(path)):
            raise ValueError(f"{path!r} lies below a file")
    if not lists_all(files):
        raise ValueError(f"the files hold no {RECORD} that lists the others")


def _make(folder: Path) -> list[Path]:
    """Make the folder and those above it that are missing; those made, outermost first."""
    if folder.exists() and not folder.is_dir():
        raise OutputRefused(f"{folder}: is a file, not a folder; {_ELSEWHERE}")
    missing = []
    for path in (folder, *folder.parents):
        if path.is_dir():
            break
        missing.append(path)
    made: list[Path] = []
    try:
        for path in reversed(missing):
            try:
                path.mkdir()
            except FileExistsError:
                if not path.is_dir():
                    raise
                continue  # another export made it just now, and it is that one's
            made.append(path)
    except BaseException:
        for path in reversed(made):
            with contextlib.suppress(OSError):
                path.rmdir()
        raise
    return made


def _refuse_foreign(folder: Path, found: Found, files: Mapping[str, bytes], force: bool) -> None:
    """Refuse what would change, or without `force` stand beside, something that is not ours."""
    if found.foreign and not force:
        first, more = found.foreign[0], len(found.foreign) - 1
        what = "changed since cutpath wrote it" if first in found.edited else "not written by cutpath"
        others = f", and so are {more} more" if more > 1 else ", and so is 1 more" if more else ""
        raise OutputRefused(f"{folder / first}: {what}{others}; {_ELSEWHERE}, or write beside it with --force")
    ours = {path.casefold(): path for path in files}
    above = {parent.casefold() for path in files for parent in parents(path)}
    for path in found.foreign:
        key = path.casefold()
        target = folder / path
        blocks = key in above and (target.is_symlink() or not target.is_dir())
        below = next((parent for parent in parents(key) if parent in ours), None)
        if key in ours or blocks or below is not None:
            what = "changed since cutpath wrote it" if path in found.edited else "not written by cutpath"
            raise OutputRefused(f"{target}: {what}, and in the way of this export; move it, or {_ELSEWHERE}")

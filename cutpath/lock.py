"""A lock that ends with the process that holds it, so that a killed export blocks nobody."""

from __future__ import annotations

import errno
import os
import stat
import sys
from pathlib import Path
from typing import Final

#: A link in the lock's place is none of ours; Windows has no such flag, and is asked before.
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0)


def take(path: Path) -> int | None:
    """Take the lock in a file that is made where it is missing.

    Args:
        path: the file, in an existing folder. A link is not followed, and a file that holds anything is no lock.

    Returns:
        What to give to `release`, or None where another process holds the lock.

    Raises:
        OSError: if the file can't be made, or something that is no lock stands in its place.
    """
    while True:
        if path.is_symlink():
            raise _no_lock(path)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | _NO_LINK, 0o666)
        try:
            found = os.fstat(handle)
            if not stat.S_ISREG(found.st_mode) or found.st_size:
                raise _no_lock(path)
            free = _lock(handle)
            if free and _is_still(path, handle):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)
        if not free:
            return None
        # Removed between opening and locking it, by an export that just ended: the next file is free to take.


def _no_lock(path: Path) -> OSError:
    return FileExistsError(errno.EEXIST, f"{path.name} is in the way, and no lock of cutpath's")


def _is_still(path: Path, handle: int) -> bool:
    """Whether the file is the one that stands there."""
    try:
        return os.path.samestat(os.lstat(path), os.fstat(handle))
    except FileNotFoundError:
        return False


if sys.platform == "win32":

    def _lock(handle: int) -> bool:
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def release(handle: int, path: Path) -> None:
        """Let the lock go and remove its file; an open file can't be removed here."""
        import contextlib

        os.close(handle)
        # Another export may hold it open by now; the file goes with the last of them.
        with contextlib.suppress(PermissionError):
            path.unlink(missing_ok=True)

else:

    def _lock(handle: int) -> bool:
        import fcntl

        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            # Some network file systems know no locks; two exports at a time into one folder are the user's to avoid.
            return True
        return True

    def release(handle: int, path: Path) -> None:
        """Remove the lock's file and let the lock go, in this order, so that nobody locks a file on its way out."""
        try:
            path.unlink(missing_ok=True)
        finally:
            os.close(handle)

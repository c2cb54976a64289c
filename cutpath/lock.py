"""A lock that ends with the process that holds it, so that a killed export blocks nobody."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def take(path: Path) -> int | None:
    """Take the lock in a file that is made where it is missing.

    Args:
        path: the file, in an existing folder.

    Returns:
        What to give to `release`, or None where another process holds the lock.

    Raises:
        OSError: if the file can't be made.
    """
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        if _lock(handle) and _is_still(path, handle):
            return handle
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    return None


def _is_still(path: Path, handle: int) -> bool:
    """Whether the file was not removed between opening and locking it, by an export that just ended."""
    try:
        return os.path.samestat(os.stat(path), os.fstat(handle))
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
        os.close(handle)
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

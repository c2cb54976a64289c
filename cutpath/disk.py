"""What is asked of a disk that others use too: a lock, a file written whole, a move that meets nothing, links told."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import BinaryIO, Final

#: What a disk says that knows no second name for a file.
_NO_SECOND_NAME: Final = frozenset(
    {errno.EPERM, errno.ENOSYS, errno.EINVAL, errno.EXDEV, errno.EMLINK, errno.ENOTSUP, errno.EOPNOTSUPP}
)

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


def is_link(path: Path) -> bool:
    """Whether something leads elsewhere: a symbolic link, or a junction as Windows has them."""
    if path.is_symlink():
        return True
    if os.name != "nt":
        return False
    try:
        # A junction is no symbolic link there, but a reparse point like one.
        return bool(getattr(os.lstat(path), "st_reparse_tag", 0))
    except OSError:
        return False


def write_new(path: Path, data: bytes, *, mode: int = 0o666) -> None:
    """Write a file where nothing stands, so that it outlasts a loss of power; it is there whole, or not at all.

    Args:
        path: where; a link that stands there is not followed.
        data: what it is to hold.
        mode: its rights, less what the user's mask takes away.

    Raises:
        FileExistsError: if something stands there.
        OSError: if it can't be written.
    """
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags, mode)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(path)
        raise


def put_new(path: Path, data: bytes) -> None:
    """Put a file where nothing stands: whatever breaks off, and however, it is there whole or not at all.

    Args:
        path: where. Meanwhile it is written beside it, under a name of our own that the next try clears away.
        data: what it is to hold.

    Raises:
        FileExistsError: if something stands there; it is left as it is.
        OSError: if it can't be written.
    """
    if os.path.lexists(path):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    draft = path.with_name(f".{path.name}.cutpath-new")
    draft.unlink(missing_ok=True)
    write_new(draft, data)
    written = os.lstat(draft)
    try:
        move_beside(draft, path)
    except BaseException as why:
        with contextlib.suppress(OSError):
            draft.unlink()
        with contextlib.suppress(OSError):
            # It has its name: only the draft's could not be taken away, or the move was done and told as failed.
            if isinstance(why, OSError) and os.path.samestat(os.lstat(path), written):
                return
        raise
    # There it is; a disk that can't say so for good takes nothing back.
    with contextlib.suppress(OSError):
        sync_folder(path.parent)


def move_beside(source: Path, target: Path) -> None:
    """Move a file to a place where nothing stands; what appears there meanwhile is never written over.

    Raises:
        FileExistsError: if something stands there; the file is where it was.
        OSError: if it can't be moved.
    """
    if os.name == "nt":
        os.rename(source, target)  # refuses by itself
        return
    try:
        if os.link in os.supports_follow_symlinks:
            os.link(source, target, follow_symlinks=False)
        else:
            os.link(source, target)
    except OSError as why:
        if why.errno not in _NO_SECOND_NAME:
            raise
        # Looked at, then moved: all that such a disk allows.
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        os.rename(source, target)
    else:
        os.unlink(source)


def sync_files(streams: Sequence[BinaryIO]) -> None:
    """Wait until what was written to files outlasts a loss of power.

    Args:
        streams: open for writing, and flushed.

    Raises:
        OSError: if one can't be written.
    """
    if hasattr(os, "posix_fadvise"):
        # Said to need them no more, Linux sends all on their way; waiting then finds most of them there. A file system
        # whose places are given out so late (ext4) would else write its own journal once for each file.
        for stream in streams:
            with contextlib.suppress(OSError):
                os.posix_fadvise(stream.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
    for stream in streams:
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
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

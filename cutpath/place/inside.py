"""Whether a path stays in its folder, and files moved there without writing over what they meet."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Final

#: What a disk says that knows no second name for a file.
_NO_SECOND_NAME: Final = frozenset(
    {errno.EPERM, errno.ENOSYS, errno.EINVAL, errno.EXDEV, errno.EMLINK, errno.ENOTSUP, errno.EOPNOTSUPP}
)


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


def parents(path: str) -> list[str]:
    """The folders that a relative path with slashes goes through, outer ones first."""
    parts = path.split("/")
    return ["/".join(parts[:k]) for k in range(1, len(parts))]


def leading_out(folder: Path, files: Iterable[str], folders: Iterable[str] = ()) -> str | None:
    """The first link that stands where a folder is wanted; what is written through it would land elsewhere.

    Args:
        folder: itself it may be one: it is what the user named.
        files: relative paths with slashes; a file may be a link, its folders may not.
        folders: relative paths of folders, which may not be links either.
    """
    wanted = {above for path in files for above in parents(path)}
    wanted |= {path for inner in folders for path in (*parents(inner), inner)}
    return next((path for path in sorted(wanted) if is_link(folder / path)), None)


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

"""Whether a path stays in its folder."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from cutpath.disk import is_link


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

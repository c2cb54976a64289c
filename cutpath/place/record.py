"""What in a folder is ours: known from the `result.json` that an export leaves there, and from nothing else."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct

from cutpath.disk import is_link
from cutpath.names import is_plain_path

RECORD: Final = "result.json"
WRITTEN_BY: Final = "cutpath"
#: A record lists some hundred files, with the whole job; one cut off here is none.
_MOST_BYTES: Final = 1 << 28

#: macOS, Windows and KDE on how a folder is shown; macOS on disks of others; locks of two families of office programs
#: and of a drawing program for files that are open. Common practice, no source.
_STRAY: Final = re.compile(
    r"\.ds_store|thumbs\.db|desktop\.ini|\.directory|\._.*|~\$.*|\.~lock\..*#|.*\.dwl2?", re.IGNORECASE | re.DOTALL
)


class Found(Struct, frozen=True):
    """What a folder holds. All paths are relative, with slashes, in order.

    What the system and office programs leave by themselves (`is_stray`) is left out: it is nobody's work, and stays.

    Attributes:
        ours: files that an export wrote and nobody changed, each with its SHA-256.
        foreign: everything else, empty folders and links included.
        edited: those of `foreign` that an export wrote and somebody changed since.
        folders: folders that hold, or held, files of ours.
    """

    ours: Mapping[str, str]
    foreign: tuple[str, ...]
    edited: frozenset[str]
    folders: tuple[str, ...]


def digest(data: bytes) -> str:
    """The SHA-256 of some bytes as `result.json` gives it."""
    return hashlib.sha256(data).hexdigest()


def digest_of(path: Path) -> str | None:
    """The SHA-256 of a file, or None where there is no plain file."""
    if path.is_symlink() or not path.is_file():
        return None
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def recorded(data: bytes) -> dict[str, str] | None:
    """The files that a `result.json` of ours lists, as path to SHA-256; None where it is not one of ours."""
    try:
        record = json.loads(data)
        if record["written_by"] != WRITTEN_BY or "schema_version" not in record:
            return None
        listed = {str(entry["path"]): str(entry["sha256"]) for entry in record["files"]}
    except (ValueError, TypeError, KeyError, RecursionError):
        return None
    # A path that leads elsewhere is none that we wrote, whatever the file says.
    return {path: sha for path, sha in listed.items() if is_plain_path(path)}


def scan(folder: Path, ignore: str) -> Found:
    """Look through a folder.

    Args:
        folder: an existing folder.
        ignore: the name of the entry to leave out, our own staging.

    Raises:
        OSError: if something can't be read.
    """
    record = folder / RECORD
    listed: dict[str, str] | None = None
    if record.is_file() and not record.is_symlink():
        with record.open("rb") as stream:
            data = stream.read(_MOST_BYTES)
        listed = recorded(data)
    ours = {RECORD: digest(data)} if listed is not None else {}
    listed = listed or {}
    homes = {"/".join(path.split("/")[:k]) for path in listed for k in range(1, path.count("/") + 1)}
    foreign: list[str] = []
    edited: set[str] = set()
    for path, is_folder in _entries(folder, ignore):
        if is_folder:
            if path not in homes:
                foreign.append(path)
        elif path in listed and digest_of(folder / path) == listed[path]:
            ours[path] = listed[path]
        elif path != RECORD or not ours:
            foreign.append(path)
            if path in listed:
                edited.add(path)
    return Found(ours, tuple(sorted(foreign)), frozenset(edited), tuple(sorted(homes)))


def _entries(top: Path, ignore: str) -> list[tuple[str, bool]]:
    """Files, links and empty folders below a folder as (relative path, whether it is an empty folder)."""
    found: list[tuple[str, bool]] = []
    # A list of what is still to be looked through, since folders may lie deeper than calls can.
    waiting = [(top, "")]
    while waiting:
        folder, prefix = waiting.pop()
        empty = True
        with os.scandir(folder) as entries:
            for entry in entries:
                path = prefix + entry.name
                empty = False
                if path == ignore or is_stray(entry):
                    continue
                if entry.is_dir(follow_symlinks=False) and not is_link(Path(entry.path)):
                    waiting.append((Path(entry.path), path + "/"))
                else:
                    found.append((path, False))
        if empty and prefix:
            found.append((prefix[:-1], True))
    return found


def is_stray(entry: os.DirEntry[str]) -> bool:
    """Whether a file is one that systems and programs leave in any folder that somebody looks at."""
    return _STRAY.fullmatch(entry.name) is not None and entry.is_file(follow_symlinks=False)


def lists_all(files: Mapping[str, bytes]) -> bool:
    """Whether the `result.json` among some files lists all the others, so that a later export knows them for ours."""
    listed = recorded(files.get(RECORD, b""))
    return listed == {path: digest(data) for path, data in files.items() if path != RECORD}

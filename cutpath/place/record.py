"""What in a folder is ours: known from the `result.json` that an export leaves there, and from nothing else."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from cutpath.names import is_plain_path

RECORD: Final = "result.json"
WRITTEN_BY: Final = "cutpath"


@dataclass(frozen=True, slots=True)
class Found:
    """What a folder holds. All paths are relative, with slashes, in order.

    Attributes:
        ours: files that an export wrote and nobody changed.
        foreign: everything else, empty folders and links included.
        edited: those of `foreign` that an export wrote and somebody changed since.
        folders: folders that hold, or held, files of ours.
    """

    ours: tuple[str, ...]
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
        listed = recorded(record.read_bytes())
    ours = [RECORD] if listed is not None else []
    listed = listed or {}
    homes = {"/".join(path.split("/")[:k]) for path in listed for k in range(1, path.count("/") + 1)}
    foreign: list[str] = []
    edited: set[str] = set()
    for path, is_folder in _entries(folder, "", ignore):
        if is_folder:
            if path not in homes:
                foreign.append(path)
        elif path in listed and digest_of(folder / path) == listed[path]:
            ours.append(path)
        elif path != RECORD or not ours:
            foreign.append(path)
            if path in listed:
                edited.add(path)
    return Found(tuple(sorted(ours)), tuple(sorted(foreign)), frozenset(edited), tuple(sorted(homes)))


def _entries(folder: Path, prefix: str, ignore: str) -> list[tuple[str, bool]]:
    """Files, links and empty folders below a folder as (relative path, whether it is an empty folder)."""
    found: list[tuple[str, bool]] = []
    with os.scandir(folder) as entries:
        for entry in entries:
            path = prefix + entry.name
            if path == ignore:
                continue
            if entry.is_dir(follow_symlinks=False):
                below = _entries(Path(entry.path), path + "/", ignore)
                found += below or [(path, True)]
            else:
                found.append((path, False))
    return found


def lists_all(files: Mapping[str, bytes]) -> bool:
    """Whether the `result.json` among some files lists all the others, so that a later export knows them for ours."""
    listed = recorded(files.get(RECORD, b""))
    return listed == {path: digest(data) for path, data in files.items() if path != RECORD}

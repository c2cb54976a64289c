"""The journal of a change to a folder's files: what it does, so that it can be undone by whoever finds it."""

from __future__ import annotations

import json

from msgspec import Struct
from msgspec.structs import asdict

from cutpath.names import is_plain_path
from cutpath.place.record import WRITTEN_BY


class Journal(Struct, frozen=True):
    """What a change does; paths relative to the folder, with slashes.

    Attributes:
        new: the files that come, each with its SHA-256; the n-th is staged as `new/n`.
        old: the files that go; the n-th is kept as `old/n` until the change is done.
        made: folders that are made for it, outer ones first.
        homes: folders of the old files, outer ones first; those left empty go.
    """

    new: tuple[tuple[str, str], ...]
    old: tuple[str, ...]
    made: tuple[str, ...]
    homes: tuple[str, ...]

    def to_bytes(self) -> bytes:
        """The journal as JSON."""
        return json.dumps({"written_by": WRITTEN_BY, **asdict(self)}).encode()

    @classmethod
    def from_bytes(cls, data: bytes) -> Journal:
        """A journal read back.

        Raises:
            ValueError: if it is none of ours, or names a place outside the folder.
        """
        try:
            read = json.loads(data)
            journal = cls(
                tuple((str(path), str(sha)) for path, sha in read["new"]),
                tuple(map(str, read["old"])),
                tuple(map(str, read["made"])),
                tuple(map(str, read["homes"])),
            )
            writer = read["written_by"]
        except (TypeError, KeyError, RecursionError) as error:
            raise ValueError("no journal") from error
        paths = [*(path for path, _ in journal.new), *journal.old, *journal.made, *journal.homes]
        if writer != WRITTEN_BY or not all(map(is_plain_path, paths)):
            raise ValueError("no journal of ours")
        return journal

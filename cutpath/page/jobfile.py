"""The job file under the page: read with what tells its state, saved whole or not at all, never over what is newer."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from pathlib import Path

from msgspec import Struct

from cutpath.disk import is_link, sync_folder, write_new
from cutpath.faults import JobFaults, OutputRefused
from cutpath.tomlfile.read import MOST_BYTES, bytes_of, decoded

_MARK = b"\xef\xbb\xbf"


class OnDisk(Struct, frozen=True):
    """A job file as it stands.

    Attributes:
        text: its text, lines ended by a line feed alone, without a byte order mark; "" where there is no file.
        state: tells one content from another; "" where there is no file.
    """

    text: str
    state: str


class ChangedMeanwhile(Exception):
    """The file is not what the page last knew.

    Attributes:
        found: what it holds now.
    """

    def __init__(self, found: OnDisk) -> None:
        super().__init__()
        self.found = found


def read_file(path: Path) -> OnDisk:
    """The job file; one that is missing is empty.

    Raises:
        JobFaults: it is there and can't be read.
    """
    return _read(path)[0]


def _read(path: Path) -> tuple[OnDisk, bytes]:
    """The file and its bytes, read once, so that its state is that of its text whoever changes it meanwhile."""
    if is_link(path):
        raise JobFaults(str(path), "is a link: name the file that it leads to")
    if not os.path.lexists(path):
        return OnDisk("", ""), b""
    data = bytes_of(path, "job")
    return OnDisk(_lines(decoded(data, str(path))), _state(data)), data


def save_file(path: Path, text: str, known: str) -> OnDisk:
    """Put a text in the place of the job file, if that is still what the page knows.

    Line ends and byte order mark are kept as the file has them.

    Args:
        path: the file.
        text: its new text, lines ended by a line feed.
        known: the file's state when it was last read or saved.

    Returns:
        What the file holds now.

    Raises:
        ChangedMeanwhile: it holds something else; it is left as it is.
        OutputRefused: it can't be written; it is left as it is.
    """
    found, before = _read(path)
    if found.state != known:
        raise ChangedMeanwhile(found)
    try:
        data = _mark_of(before) + text.replace("\n", _line_end(before)).encode()
    except UnicodeEncodeError:
        raise OutputRefused(f"{path}: the text holds half a character, which no file can; nothing was saved") from None
    try:
        if len(data) > MOST_BYTES:
            raise OutputRefused(f"{path}: over 1 MiB, which no job file is; nothing was saved")
        mode = stat.S_IMODE(path.stat().st_mode) if found.state else 0o666
        draft = path.with_name(f".{path.name}.cutpath-page")
        draft.unlink(missing_ok=True)
        write_new(draft, data, mode=mode)
        try:
            if found.state:
                os.chmod(draft, mode)
            os.replace(draft, path)
        except BaseException:
            with contextlib.suppress(OSError):
                draft.unlink()
            raise
        # Saved it is; a disk that can't say so for good takes nothing back.
        with contextlib.suppress(OSError):
            sync_folder(path.parent)
    except OSError as why:
        # Over a network a move may be done and told as failed.
        with contextlib.suppress(JobFaults):
            if _read(path)[1] == data:
                return OnDisk(text, _state(data))
        raise OutputRefused(f"{path}: can't be written ({why.strerror}); nothing was saved") from None
    return OnDisk(text, _state(data))


def _state(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n")


def _mark_of(data: bytes) -> bytes:
    return _MARK if data.startswith(_MARK) else b""


def _line_end(data: bytes) -> str:
    """The line end of most of a file's lines."""
    return "\r\n" if data.count(b"\r\n") * 2 > data.count(b"\n") else "\n"

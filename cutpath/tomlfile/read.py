"""Reading a TOML file that anybody may have written: bounded in size, in depth and in time."""

from __future__ import annotations

import re
import stat
import tomllib
from pathlib import Path
from typing import Any, Final

from cutpath.faults import JobFaults
from cutpath.units import quoted

#: A file of ours is a page of text, or a rack's list; more than this is another file.
MOST_BYTES: Final = 1 << 20

#: tomllib's time and memory grow with the square of a dotted key's parts; no key of ours has more than five.
_MOST_PARTS: Final = 8
_PART: Final = r"""(?:[\w-]++|"(?:\\.|[^"\\\n])*+"|'[^'\n]*+')[ \t]*+"""
#: Goes through a text once: comments, texts over several lines, keys that are too long, texts, words, all else.
_SCAN: Final = re.compile(
    r'#[^\n]*+|"""(?:\\.|[^\\])*?(?:"""|\Z)|\'\'\'.*?(?:\'\'\'|\Z)'
    rf"|(?P<endless>(?:{_PART}\.[ \t]*+){{{_MOST_PARTS}}})"
    r"""|"(?:\\.|[^"\\\n])*+"?+|'[^'\n]*+'?+|[\w-]++|.""",
    re.DOTALL,
)


def text_of(path: Path, what: str, source: str = "") -> str:
    """The text of a file: `decoded` of its `bytes_of`, arguments and faults as theirs."""
    return decoded(bytes_of(path, what, source), source or str(path))


def bytes_of(path: Path, what: str, source: str = "") -> bytes:
    """What a file holds.

    Args:
        path: where it is.
        what: what kind of file it is, for messages: "job", "stock".
        source: what messages call it; "": its path.

    Raises:
        JobFaults: it can't be read, is no plain file, or is too large.
    """
    source = source or str(path)
    hint = "; `cutpath init` writes a job to start from" if what == "job" else ", so it can't be read: check the path"
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise JobFaults(source, f"is a folder: name the {what} file in it")
        if not stat.S_ISREG(mode):
            # Reading a pipe that nobody writes to would never end.
            raise JobFaults(source, f"is a pipe or a device: give a {what} file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise JobFaults(source, f"no such file{hint}") from None
    except OSError as why:
        reason = (why.strerror or "the system gave no reason").lower()
        raise JobFaults(source, f"can't be read: {reason}") from None
    except ValueError:
        raise JobFaults(ascii(source), "is no file's name") from None
    if len(data) > MOST_BYTES:
        raise JobFaults(source, f"is over 1 MiB, which no {what} file is")
    return data


def decoded(data: bytes, source: str) -> str:
    """The text that a file's bytes stand for, without a byte order mark.

    Args:
        data: what it holds.
        source: what messages call it.

    Raises:
        JobFaults: it is not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        line = data.count(b"\n", 0, why.start) + 1
        raise JobFaults(source, f"is not UTF-8 text (line {line}): save it as UTF-8") from None


def parsed(text: str, source: str, what: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Args:
        text: the text.
        source: what messages call it.
        what: what kind of file it is, for messages.

    Raises:
        JobFaults: it is no TOML; each line in which a slip of the pen is found is shown mended.
    """
    if len(text) > MOST_BYTES:
        raise JobFaults(source, f"is over 1 MiB, which no {what} file is")
    deep = f"is nested too deeply: a {what} file holds tables of plain values"
    if text.count(".") >= _MOST_PARTS and any(match["endless"] for match in _SCAN.finditer(text)):
        raise JobFaults(source, deep)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobFaults(source, deep) from None
    except ValueError as why:
        # Of tomllib, and for numbers of thousands of digits and dates that no calendar has.
        from cutpath.tomlfile.slips import slips

        raise JobFaults(source, *slips(text, why)) from None


def given(raw: object) -> str:
    """A value as it was given, short enough for a message."""
    match raw:
        case None:
            return "nothing"
        case bool():
            return str(raw).lower()
        case str():
            return quoted(raw)
        case int():
            return str(raw) if abs(raw) < 10**18 else f"a whole number of {raw.bit_length()} bits"
        case float():
            return f"{raw!r}"
        case list():
            return f"an array of {len(raw)}"
        case dict():
            return "a table"
    return "a date or time"

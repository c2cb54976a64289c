"""The one place where the program prints: what it prints is clean, and a stream that fails costs no status.

What a run has changed is noted here, too, so that whoever ends it says what is so.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import sys
from collections.abc import Sequence
from typing import Any, TextIO

import click

from cutpath.screen import clean, is_unseen


class _State:
    """What a run has done so far."""

    def __init__(self) -> None:
        self.changed: list[str] = []
        self.fault: OSError | None = None


_STATE = _State()


def begin() -> None:
    """Begin a run: nothing is changed yet, and the streams are as good as they look."""
    _STATE.changed.clear()
    _STATE.fault = None
    for stream in (sys.stdout, sys.stderr):
        if stream is not None and hasattr(stream, "reconfigure"):
            # A job's name may hold what the terminal can't show; that is no reason to stop.
            stream.reconfigure(errors="backslashreplace")


def note_changed(what: str) -> None:
    """Note a change that stays, in words that go on from "stopped": "the files are in place in may"; told once."""
    if what not in _STATE.changed:
        _STATE.changed.append(what)


def changed() -> str:
    """What the run has changed, in words."""
    return ", and ".join(_STATE.changed) or "nothing was changed"


def put(text: str, *, end: str = "\n") -> None:
    """Print for people on standard output."""
    _write(clean(text) + end)


def put_square(lines: Sequence[str]) -> None:
    """Show lines of blocks, light on dark whatever the colours, where standard output is a terminal that can."""
    try:
        "".join(lines).encode(getattr(sys.stdout, "encoding", None) or "ascii")
        if not sys.stdout.isatty():
            return
    except (UnicodeEncodeError, AttributeError, ValueError):
        return
    light_on_dark, as_before = ("", "") if "NO_COLOR" in os.environ else ("\x1b[97;40m", "\x1b[0m")
    _write("".join(f"{light_on_dark}{line}{as_before}\n" for line in lines))


def put_json(text: str) -> None:
    """Print JSON, which ends its own lines, on standard output: what can't be seen, or shown, as JSON spells it."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"

    def spelt(match: re.Match[str]) -> str:
        c = match[0]
        if not is_unseen(c):
            try:
                c.encode(encoding)
            except UnicodeEncodeError:
                pass
            else:
                return c
        units = c.encode("utf-16-be", "surrogatepass")
        return "".join(f"\\u{units[i]:02x}{units[i + 1]:02x}" for i in range(0, len(units), 2))

    _write(re.sub(r"[^\n -~]", spelt, text))


def say(line: str) -> None:
    """A line on standard error. Where that is closed or full, nobody is there to be told."""
    with contextlib.suppress(OSError, ValueError):
        click.echo(f"cutpath: {clean(line, line_ends=False)}", err=True)


def put_aside(text: str) -> None:
    """Print what is no answer, such as the help that was not asked for, on standard error."""
    with contextlib.suppress(OSError, ValueError):
        click.echo(clean(text), err=True)


def status_after(status: int, failed: int) -> int:
    """The status to end with, once standard output has taken all that was printed.

    Args:
        status: what the command came to.
        failed: instead, if it was printed for nothing.
    """
    if _STATE.fault is None and sys.stdout is not None:
        try:
            sys.stdout.flush()
        except (OSError, ValueError) as why:
            note_not_printed(why if isinstance(why, OSError) else OSError(errno.EBADF, os.strerror(errno.EBADF)))
    fault = _STATE.fault
    # The reader of a pipe went away, as `head` does: what it wanted it has.
    if fault is None or fault.errno == errno.EPIPE or (os.name == "nt" and fault.errno == errno.EINVAL):
        return status
    say(f"standard output can't be written ({fault.strerror or fault}), and lacks what was printed; {changed()}")
    return failed


def _write(text: str) -> None:
    if _STATE.fault is None:
        try:
            click.echo(text, nl=False)
        except OSError as why:
            note_not_printed(why)


def note_not_printed(why: OSError) -> None:
    """Note that standard output takes no more, and let what is left in its buffer go nowhere."""
    _STATE.fault = why
    stream: TextIO | Any = sys.stdout
    with contextlib.suppress(OSError, ValueError, AttributeError):
        if stream.fileno() == 1:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.close(nowhere)


def open_streams() -> None:
    """Open what the caller closed of the three standard streams, on nothing.

    Otherwise the next file that is opened would be the standard output of whatever prints.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            # The lowest free number is taken, and that is this one.
            os.open(os.devnull, os.O_RDWR)

"""Progress of long work on a terminal: one line on standard error, gone when the work is done."""

from __future__ import annotations

import sys
import time
from types import TracebackType

from cutpath.screen import clean

# Work that is done sooner needs no line, and more lines a second than this nobody reads.
_QUIET_SECONDS, _EVERY_SECONDS = 0.5, 0.1


class TerminalProgress:
    """A `Tell` for people; writes nothing where standard error is no terminal."""

    def __init__(self) -> None:
        """Start the clock."""
        self._shown = 0
        self._start = self._last = time.monotonic()
        self._wanted = sys.stderr is not None and sys.stderr.isatty()

    def __call__(self, what: str, done: int, of: int) -> None:
        """Show where the work stands, if it has taken long enough to ask."""
        now = time.monotonic()
        if not self._wanted or now - self._start < _QUIET_SECONDS or now - self._last < _EVERY_SECONDS:
            return
        self._last = now
        what = clean(what, line_ends=False)
        line = f"{what} {done + 1} of {of}" if of else f"{what} {done + 1}"
        self._show("\r" + line.ljust(self._shown))
        self._shown = len(line)

    def __enter__(self) -> TerminalProgress:
        """Itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the line away again."""
        if self._shown:
            self._show("\r" + " " * self._shown + "\r")

    def _show(self, text: str) -> None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except (OSError, ValueError):
            # The terminal went away: nobody is there to be told.
            self._wanted = False

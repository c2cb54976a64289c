"""Progress is for terminals only, and leaves nothing behind."""

import io
import sys

import pytest

from cutpath.cli import progress
from cutpath.cli.progress import TerminalProgress
from cutpath.progress import counted


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def run(stream: io.StringIO, monkeypatch: pytest.MonkeyPatch, seconds: float) -> str:
    clock = iter(i * seconds for i in range(100))
    monkeypatch.setattr(progress.time, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", stream)
    with TerminalProgress() as tell:
        assert list(counted("abcd", "board", 4, tell)) == list("abcd")
    return stream.getvalue()


def test_long_work_is_counted_on_a_terminal_and_the_line_goes(monkeypatch) -> None:
    said = run(Terminal(), monkeypatch, 1.0)
    assert "board 1 of 4" in said and "board 4 of 4" in said
    assert said.endswith("\r") and "\n" not in said


def test_work_whose_end_nobody_knows_is_counted_without_it(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(float(i) for i in range(9))
    monkeypatch.setattr(progress.time, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", stream := Terminal())
    with TerminalProgress() as tell:
        tell("looking, second", 3, 0)
    assert "looking, second 4" in stream.getvalue() and " of " not in stream.getvalue()


def test_short_work_and_pipes_are_left_alone(monkeypatch) -> None:
    assert run(Terminal(), monkeypatch, 0.01) == ""
    assert run(io.StringIO(), monkeypatch, 1.0) == ""

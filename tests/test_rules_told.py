"""`cutpath rules`: every set fits a terminal, and a set that is not there is told without a job's key."""

from __future__ import annotations

import pytest

from cutpath.cli.main import run
from cutpath.rules.load import shipped
from cutpath.screen import WIDTH


@pytest.mark.parametrize("name", ["", *shipped()])
def test_no_line_is_wider_than_a_terminal(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rules", *([name] if name else [])]) in (0, None)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 8 and max(map(len, lines)) <= WIDTH


@pytest.mark.parametrize("name", ["irc-1800", "no/such.toml"])
def test_a_set_that_is_not_there_is_told_without_a_job_s_key(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rules", name]) == 2
    told = capsys.readouterr().err
    assert name in told and "stair.rules" not in told and told.count("\n") == 1

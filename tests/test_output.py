"""What is printed does nothing to a terminal, and whatever becomes of the streams, status and words are true."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

import cutpath
from cutpath.cli import output
from cutpath.cli.interrupts import held_off
from cutpath.cli.main import run
from cutpath.screen import clean, facts, table
from cutpath.tables.csv_text import csv_text
from tests.test_place import tree
from tests.test_stock_taken import SHELF, Yard

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "fixtures" / "orchard-steps.toml"
FULL = Path("/dev/full")
PROGRAM = [sys.executable, "-m", "cutpath"]


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    """A stair that takes a process of its own half as long to export as a demo: two stringers and nothing with them."""
    job = tmp_path / "plain.toml"
    job.write_text('[site]\ntotal_rise = 42\n\n[stair]\nunit_run = "10 1/2"\n')
    return job


@pytest.fixture
def yard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Yard:
    return Yard(tmp_path, capsys)


# One place.


def test_everything_is_printed_and_written_as_csv_at_one_place() -> None:
    allowed = {"cli/output.py": "click.echo", "tables/csv_text.py": "csv.writer", "nest/sheets/worker.py": "print("}
    for path in Path(cutpath.__file__).parent.rglob("*.py"):
        name = path.relative_to(Path(cutpath.__file__).parent).as_posix()
        found = set(re.findall(r"click\.echo|csv\.writer|(?<![\w.])print\(|sys\.stdout\.write", path.read_text()))
        if name != "__init__.py":  # the library's example in its docstring
            assert found <= {allowed.get(name, "")}, name


# Text.

HOSTILE = ["\x1b[31m", "\x1b]0;title\x07", "\r", "\b", "\x7f", "\x9b2J", "\u202e", "\u2066", "\u200f", "\u061c"]
HOSTILE += ["\ufeff", "\u00ad", "\u2028", "\U000e0041", "\x00"]


@pytest.mark.parametrize("text", HOSTILE)
def test_controls_and_marks_of_direction_are_spelt_out(text: str) -> None:
    shown = clean(f"a{text}b")
    assert shown.startswith("a\\") and shown.endswith("b")
    assert all(unicodedata.category(c) not in ("Cc", "Cf", "Zl", "Zp") for c in shown)


@pytest.mark.parametrize("text", ["Orchard steps", 'Käfer ½ ⅝ "x" \\', "شرفة", "می‌خواهم", "👩‍🔧", "二階", "two\nlines"])
def test_what_people_write_stays(text: str) -> None:
    assert clean(text) == text


@given(st.text())
def test_any_text_comes_out_seen(text: str) -> None:
    shown = clean(text, line_ends=False)
    assert not set(shown) & set("\n\r\x1b\x07\x08\x7f") and all(ord(c) not in range(0x80, 0xA0) for c in shown)
    shown.encode()


def test_a_cell_takes_one_line() -> None:
    assert table(["a", "b"], [["x\ny", "1"]]).count("\n") == 1
    assert facts([("a", "x\ny\x1b")]) == "a  x\\ny\\x1b"


@given(st.text(), st.sampled_from(["utf-8", "ascii", "latin-1", "cp437"]))
def test_json_holds_the_same_values_on_every_terminal(text: str, encoding: str) -> None:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding, newline="\n")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdout", stream)
        output.begin()
        output.put_json(json.dumps({"name": text}, ensure_ascii=False) + "\n")
        stream.flush()
    shown = raw.getvalue().decode(encoding)
    assert json.loads(shown) == {"name": text}
    assert clean(shown) == shown


def test_names_and_rule_sets_reach_no_terminal_raw(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever lets them in: keys that are unknown, names of files, what the rule set says of itself."""
    job = tmp_path / "a\x1b[31m.toml"
    text = DEMO.read_text()
    text = re.sub(r'\nrules = "[^"]*"', '\nrules = "./own.rules.toml"', text)
    assert "own.rules" in text
    job.write_text(text)
    (tmp_path / "own.rules.toml").write_text(
        'title = "t"\n[limit."\\u001b]0;pwn\\u0007\\u202e"]\nleast = 1\nsource = "s"\nbasis = "memory"\n'
    )
    for arguments in (
        ["check", str(job)],
        ["check", f"{tmp_path}/none\x1b[0m.toml"],
        ["no\x1b[0m"],
        ["check", "--\x9b"],
    ):
        run(arguments)
        said = capsys.readouterr()
        assert said.err and "\x1b" not in said.out + said.err
        assert "\u202e" not in said.out + said.err and "\x9b" not in said.out + said.err


# Spreadsheets.


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "＋", "－", "＠", " =", "  @", "\u3000="])
def test_a_name_starts_no_formula(start: str) -> None:
    (row,) = csv.reader(io.StringIO(csv_text([(f"{start}1+1", -1.5, "porch")]), newline=""))
    assert row == [f"'{start}1+1", "-1.5", "porch"]


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")), min_size=1, max_size=3))
def test_every_other_cell_is_read_back_as_it_was(cells: list[str]) -> None:
    (row,) = csv.reader(io.StringIO(csv_text([cells]), newline=""))
    for cell, read in zip(cells, row, strict=True):
        assert read.removeprefix("'") == clean(cell, line_ends=False).removeprefix("'")
        assert read[:1] not in tuple("=+-@\t\r\n")


def test_a_tab_or_a_line_s_end_starts_no_cell() -> None:
    assert csv_text([("\t=1", "\r=1", "\n=1")]) == "\\t=1,\\r=1,\\n=1\n"


# Streams.


def program(*arguments: object, redirect: str = "") -> subprocess.CompletedProcess[str]:
    """The program, its streams as a shell puts them."""
    words = [*PROGRAM, *map(str, arguments)]
    return subprocess.run(
        ["sh", "-c", f'"$@" {redirect}', "sh", *words], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.slow
@pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("arguments", [["schema"], ["solve", DEMO, "--json"], ["--version"]])
def test_a_full_disk_behind_standard_output_is_told(arguments: list[object]) -> None:
    done = program(*arguments, redirect=">/dev/full")
    assert done.returncode == 74
    assert done.stderr.startswith("cutpath: standard output can't be written (No space left on device)")
    assert "nothing was changed" in done.stderr and len(done.stderr.splitlines()) == 1


@pytest.mark.slow
@pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
def test_files_in_place_are_told_where_the_words_for_it_can_t_be_printed(tmp_path: Path, plain: Path) -> None:
    done = program("export", plain, "-o", tmp_path / "out", redirect=">/dev/full")
    assert done.returncode == 74 and f"the files are in place in {tmp_path / 'out'}" in done.stderr
    assert (tmp_path / "out" / "result.json").exists()


@pytest.mark.parametrize("redirect", [">&-", "2>&-", "<&-", "<&- >&- 2>&-", "2>/dev/full", ">&- 2>/dev/full"])
def test_a_closed_stream_costs_no_status_and_gets_into_no_file(tmp_path: Path, redirect: str) -> None:
    job = tmp_path / "new.toml"
    assert program("init", job, redirect=redirect).returncode == 0
    first = job.read_bytes()
    done = program("init", job, redirect=redirect)
    assert done.returncode == 2 and job.read_bytes() == first
    assert "Traceback" not in done.stdout + done.stderr


@pytest.mark.slow
def test_an_export_with_every_stream_closed_writes_what_any_other_does(tmp_path: Path) -> None:
    assert run(["export", str(DEMO), "-o", str(tmp_path / "a")]) == 0
    assert program("export", DEMO, "-o", tmp_path / "b", redirect="<&- >&- 2>&-").returncode == 0
    assert tree(tmp_path / "a") == tree(tmp_path / "b")


@pytest.mark.slow
def test_a_reader_that_goes_away_costs_no_status(tmp_path: Path) -> None:
    thin = tmp_path / "thin.toml"
    thin.write_text(DEMO.read_text().replace("throat_least = 5\n", "throat_least = 6\n"))
    for arguments, status in ((["check", thin], 1), (["solve", DEMO], 0), (["--help"], 0), (["schema"], 0)):
        reader, writer = os.pipe()
        os.close(reader)
        try:
            done = subprocess.run(
                [*PROGRAM, *map(str, arguments)],
                cwd=ROOT,
                stdout=writer,
                stderr=subprocess.PIPE,
                text=True,
                check=False,
            )
        finally:
            os.close(writer)
        assert (done.returncode, done.stderr) == (status, ""), arguments


# Faults of ours.


def broken(*arguments: object, **more: object) -> None:
    raise ZeroDivisionError("by\nzero\x1b[31m")


def test_a_fault_of_the_program_is_one_line_and_status_70(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutpath.cli.main.read", broken)
    assert run(["check", str(DEMO)]) == 70
    (line,) = capsys.readouterr().err.splitlines()
    assert "a fault of the program" in line and "ZeroDivisionError: by zero\\x1b[31m at " in line
    assert "test_output.py, line " in line and line.endswith("nothing was changed")
    monkeypatch.setenv("CUTPATH_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        run(["check", str(DEMO)])


@pytest.mark.parametrize("fault", [MemoryError(), RecursionError("too deep"), OSError(5, "Input/output error")])
def test_nothing_gets_by_the_last_resort(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def struck(*arguments: object) -> None:
        raise fault

    monkeypatch.setattr("cutpath.cli.main.read", struck)
    assert run(["check", str(DEMO)]) == 70
    assert type(fault).__name__ in capsys.readouterr().err


@pytest.mark.slow
def test_a_fault_after_the_files_are_in_place_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutpath.cli.export.put", broken)
    assert run(["export", str(DEMO), "-o", str(tmp_path / "out")]) == 70
    assert capsys.readouterr().err.rstrip().endswith(f"the files are in place in {tmp_path / 'out'}")


@pytest.mark.slow
def test_a_browser_that_does_not_start_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(click, "launch", lambda url: 1)
    assert run(["export", str(DEMO), "-o", str(tmp_path / "out"), "--open"]) == 0
    assert "no browser could be started" in capsys.readouterr().err


# Ctrl-C.


@pytest.fixture
def ctrl_c() -> Iterator[None]:
    """Ctrl-C heard as in a terminal, since a shell starts what runs in the background deaf to it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("ctrl_c")
def test_a_signal_waits_until_what_is_under_way_is_done() -> None:
    done: list[str] = []
    with pytest.raises(KeyboardInterrupt):
        with held_off():
            signal.raise_signal(signal.SIGINT)
            done.append("all of it")
        done.append("not this")
    assert done == ["all of it"] and signal.getsignal(signal.SIGINT) is signal.default_int_handler


@pytest.mark.slow
@pytest.mark.usefixtures("ctrl_c")
@pytest.mark.parametrize("when", ["before", "meanwhile", "after"])
def test_ctrl_c_says_what_is_so_and_files_and_list_agree(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    from cutpath.cli import export as command

    real_place, real_put = command.place, command.put

    def placed(*arguments: object, **more: object) -> object:
        found = real_place(*arguments, **more)  # type: ignore[arg-type]
        if when == "meanwhile":
            signal.raise_signal(signal.SIGINT)
        return found

    def stopped(*arguments: object, **more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "place", placed)
    monkeypatch.setattr(command, "put", stopped if when == "after" else real_put)
    if when == "before":
        monkeypatch.setattr(command, "planned", stopped)
    status, out, err = yard.export("--update-stock")
    assert status == 130 and len(err.split("cutpath: ")) == 2
    if when == "before":
        assert "stopped; nothing was changed" in err
        assert yard.rack.read_text() == SHELF and not yard.out.exists()
    else:
        assert f"stopped; the files are in place in {yard.out}, and the boards are off {yard.rack}" in err
        assert yard.counts()[0] == 2 and (yard.out / "result.json").exists() and not out


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs signals between processes")
def test_being_told_to_end_while_files_are_moved_leaves_all_of_them(tmp_path: Path, plain: Path) -> None:
    code = (
        "import os, signal, cutpath.cli.export as e\n"
        "real = e.place\n"
        "def place(*a, **k):\n"
        "    os.kill(os.getpid(), signal.SIGTERM)\n"
        "    return real(*a, **k)\n"
        "e.place = place\n"
        "from cutpath.__main__ import run\n"
        "run()\n"
    )
    words = [sys.executable, "-c", code, "export", str(plain), "-o", str(tmp_path / "out")]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGTERM and (tmp_path / "out" / "result.json").exists()
    assert not (tmp_path / "out" / ".cutpath-staging").exists()

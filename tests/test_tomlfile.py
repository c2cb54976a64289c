"""Files that anybody may have written: slips of the pen are shown mended, and nothing costs more than it should."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
import tomllib
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cli.main import run
from cutpath.faults import Fault, JobFaults, KeyFault
from cutpath.job.read import job_from_text, read_job
from cutpath.rules.load import load_rules
from cutpath.stockfile.read import read_stock
from cutpath.tomlfile.read import MOST_BYTES, parsed

READERS: tuple[Callable[[Path], object], ...] = (read_job, load_rules, read_stock)


def faults(text: str) -> tuple[KeyFault, ...]:
    with pytest.raises(JobFaults) as caught:
        job_from_text(text, Path("porch.toml"))
    assert all("\n" not in line for line in caught.value.lines)
    return caught.value.faults


# A line as it slipped, the key that it gives, and the line as it was meant.
SLIPS = [
    ("profile = [[0, 52 1/4], [40, 54]]", "profile", 'profile = [[0, "52 1/4"], [40, 54]]'),
    ("total_rise = 270,5", "total_rise", "total_rise = 270.5"),
    ("profile = [[0, 31 1/2], [9,5, 30], [14, 38,5]]", "profile", 'profile = [[0, "31 1/2"], [9.5, 30], [14, 38.5]]'),
    ("total_rise = 8 ft", "total_rise", 'total_rise = "8 ft"'),
    ("total_rise = 8'", "total_rise", 'total_rise = "8\'"'),
    ("total_rise = 3' 4 1/2\"  # by tape", "total_rise", 'total_rise = "3\' 4 1/2\\""  # by tape'),
    ('total_rise = "4\' 6""', "total_rise", 'total_rise = "4\' 6\\""'),
    ("total_rise = “190 mm”", "total_rise", 'total_rise = "190 mm"'),
    ("total_rise = ‘190 mm’", "total_rise", "total_rise = '190 mm'"),
    ("total_rise: 40", "total_rise", "total_rise = 40"),
    ("pad_reveal = {least = 0,5, most = 3}", "pad_reveal", "pad_reveal = {least = 0.5, most = 3}"),
    (
        "profile = [[0, 39], {along = 86 5/8, down = 48}]",
        "profile",
        'profile = [[0, 39], {along = "86 5/8", down = 48}]',
    ),
]


@pytest.mark.parametrize(("line", "key", "meant"), SLIPS)
def test_a_slip_of_the_pen_is_quoted_and_shown_mended(line: str, key: str, meant: str) -> None:
    (fault,) = faults(f"[site]\n{line}\n")
    assert fault.key == f"site.{key}"
    was, _, now = fault.text.removeprefix("line 2 is no TOML: ").partition("; write it as: ")
    assert was[1:-1] == line
    assert now == meant
    assert tomllib.loads(now)[key] is not None, "what is shown reads"


def test_every_slip_of_a_file_is_told_with_its_key_and_line() -> None:
    told = faults(
        "units = mm\n[job]\nname = “Bob’s porch”\n[site]\nprofile = [\n  [0, 810],\n  [600, 842 mm],\n]\n"
        "[cutter]\nkind = laser  # the shop's\n[stringer]\nturn_over = True\n"
    )
    assert [fault.key for fault in told] == ["units", "job.name", "", "cutter.kind", "stringer.turn_over"]
    assert [re.match(r"line (\d+) ", fault.text)[1] for fault in told] == ["1", "3", "7", "10", "12"]
    assert [fault.text.split("write it as: ")[1] for fault in told] == [
        'units = "mm"',
        'name = "Bob’s porch"',
        '[600, "842 mm"],',
        'kind = "laser"  # the shop\'s',
        "turn_over = true",
    ]


def test_a_line_that_can_t_be_mended_is_quoted() -> None:
    (fault,) = faults("[site\ntotal_rise = 3")
    assert fault.key == "" and fault.text.endswith('(at line 1, column 6): "[site"')


def test_a_decimal_comma_that_makes_a_reading_of_three_is_told() -> None:
    (fault,) = faults("[site]\nprofile = [[0, 270,5], [100, 280]]")
    assert fault.key == "site.profile[0]" and "a decimal takes a point, as in 270.5" in fault.text
    (fault,) = faults("[site]\ntotal_rise = 40\n[machine]\nbed = [120,5, 48]")
    assert fault.key == "machine.bed" and "a decimal takes a point" in fault.text


@given(st.text("[]{}=,.#\"'“”‘’ \n0123456789/ftinm-", max_size=60))
@settings(max_examples=300, deadline=None)
def test_any_text_reads_or_has_faults_on_one_line_each(text: str) -> None:
    try:
        parsed(text, "a", "job")
    except JobFaults as fault:
        assert fault.faults and all("\n" not in line for line in fault.lines)


@pytest.mark.parametrize("word", ["laser", "plasma", "waterjet", "water jet"])
def test_beams_go_by_their_own_names(word: str) -> None:
    read = job_from_text(f'[site]\ntotal_rise = 40\n[cutter]\nkind = "{word}"\npath = "center"')
    assert (read.job.cutter.kind, read.job.cutter.path) == ("beam", "centre")
    assert read.job.cutter.width == pytest.approx(25.4 / 64)
    assert read.values["cutter"]["kind"] == "beam"


def peak(action: Callable[[], object]) -> tuple[float, float]:
    """Seconds and megabytes that an action takes, which ends in a fault."""
    tracemalloc.start()
    # Of this process alone: what else the machine does is no fault of a text.
    began = time.process_time()
    try:
        with pytest.raises(Fault) as caught:
            action()
        assert all(len(line) < 2000 for line in caught.value.lines)
        return time.process_time() - began, tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


#: What reads every kind of file takes such texts apart in one place: each kind gets the first, and a job all of them.
HOSTILE = {
    "escaped": '"\\"".' * 20_000,
    "dotted": "a." * 20_000 + "a = 1",
    "quoted": "'a' . " * 20_000,
    "heading": "[" + "a." * 20_000 + "a]",
    "unclosed": 'a = "' + '\\"' * 100_000,
    "unclosed lines": 'a = """' + '\\"' * 100_000,
    "nested": "a = " + "[" * 100_000,
    "mixed": '"a".a.a.a.' + '"\\"' * 50_000,
}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("read", "text"),
    [(read, text) for read in READERS for text in (HOSTILE if read is read_job else ["escaped"])],
    ids=lambda each: each if isinstance(each, str) else each.__name__,
)
def test_hostile_texts_cost_little(tmp_path: Path, read: Callable[[Path], object], text: str) -> None:
    path = tmp_path / "hostile.toml"
    path.write_text(HOSTILE[text])
    seconds, megabytes = peak(lambda: read(path))
    assert seconds < 10 and megabytes < 60, "it was 2.4 GB"


@pytest.mark.parametrize("text", ["a = 'b.c.d.e.f.g.h.i.j.k'", "# a.b.c.d.e.f.g.h.i.j", "a.b.c.d.e = 1"])
def test_points_that_are_no_dotted_key_are_let_be(text: str) -> None:
    assert parsed(text, "a", "job") == tomllib.loads(text)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes by name here")
@pytest.mark.parametrize("read", READERS, ids=lambda read: read.__name__)
def test_a_pipe_is_no_file(tmp_path: Path, read: Callable[[Path], object]) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    # In a process of its own, since one that waits for a writer never ends.
    code = (
        "import sys, importlib\nfrom pathlib import Path\nfrom cutpath.faults import Fault\n"
        f"read = importlib.import_module({read.__module__!r}).{read.__name__}\n"
        "try: read(Path(sys.argv[1]))\nexcept Fault as fault: print(fault.lines)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(pipe)], capture_output=True, text=True, timeout=30, check=True
    )
    assert "is a pipe or a device" in done.stdout


def test_a_file_over_a_mebibyte_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    path.write_text("#" * (MOST_BYTES + 1))
    for read in READERS:
        with pytest.raises(Fault, match="is over 1 MiB"):
            read(path)


HUGE = "1" + "0" * 400
HEX = "0x" + "f" * 90_000


@pytest.mark.parametrize("number", [HUGE, HEX, "inf", "-inf", "nan"])
def test_numbers_beyond_all_bounds_are_one_plain_line(tmp_path: Path, number: str) -> None:
    path = tmp_path / "a.toml"
    keys = {
        read_job: (
            f'[site]\ntotal_rise = 40\n[pad]\nbag_source = "x"\nbag_yield = {number}',
            f"[site]\ntotal_rise = {number}",
            f'[site]\ntotal_rise = 40\n[[stock]]\nsize = "2x12"\nlength = 96\nprice = {number}',
            f"[site]\ntotal_rise = 40\n[stair]\nrisers = {number}",
        ),
        read_stock: (f"offcut_worth = {number}", f"keep_over = {number}"),
        load_rules: (
            f'[limit.risers]\nleast = 3\nmost = {number}\nsource = "s"',
            f'[limit.rise]\nmost = {number}\nsource = "s"',
            f'[limit.rise]\nmost = "7 in"\nsource = {number}',
            f"title = {number}",
        ),
    }
    for read, texts in keys.items():
        for text in texts:
            path.write_text(text)
            with pytest.raises(Fault) as caught:
                read(path)  # type: ignore[operator]
            (line,) = caught.value.lines
            assert len(line) < 400 and line.isprintable(), text[:60]


@pytest.mark.parametrize(
    "text",
    [
        'title = "x"\n[limit."\\u001b[31m\\u001b]0;pwn\\u0007"]\nmost = "10 in"',
        '[limit.rise]\nmost = "10 in"\nsource = "\\u001b[31;7mPWN\\u0007\\u0000 \\n R311"',
        'title = "\\u202Etxt.exe"\n[limit.rise]\nmost = "10 in"\nsource = "s"',
        '[limit.rise]\nmost = "10 in"\nsource = "s"\n"\\u001b[2J" = 1',
        '"\\u202E" = 1',
    ],
)
def test_a_rule_set_brings_no_command_to_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    (tmp_path / "own.toml").write_text(text)
    job = tmp_path / "job.toml"
    job.write_text('[site]\ntotal_rise = 40\n[stair]\nrules = "own.toml"')
    assert run(["check", str(job)]) == 2
    out, err = capsys.readouterr()
    assert err.count("\n") == 1 and err.rstrip("\n").isprintable() and "own.toml" in err and out == ""


@pytest.mark.slow
def test_a_name_brings_no_command_to_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    name = "\u202eshed\u2069 👩‍🔧 שביל"
    job.write_text(f'[job]\nname = "{name}"\n[site]\ntotal_rise = 42\n', encoding="utf-8")
    for command in (["solve"], ["check"], ["site"], ["nest"], ["export", "-o", str(tmp_path / "out")]):
        run([command[0], str(job), *command[1:]])
        out, err = capsys.readouterr()
        assert not re.search("[\u202a-\u202e\u2066-\u2069\x1b]", out + err), command
    assert "\\u202eshed\\u2069 👩‍🔧 שביל" in out
    run(["export", str(job), "-o", str(tmp_path / "out"), "--json"])
    out = capsys.readouterr().out
    assert "\u202e" not in out and json.loads(out)["job"]["job"]["name"] == name

"""Every key of a job with what nobody would write there: one plain line each, or a value that does no harm.

The keys are those of the one table, so that a new one is tried as soon as it is there.
"""

from __future__ import annotations

import copy
import csv
import io
import re
import tomllib
from collections.abc import Iterator
from itertools import cycle, islice, pairwise
from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import Fault, JobFaults
from cutpath.job.compound import Key, ListOf, Pair, Record
from cutpath.job.keys import JOB
from cutpath.job.kinds import Text
from cutpath.job.read import job_of
from cutpath.screen import is_unseen
from tests.jobs import FIXTURES, export_of

#: What is written for every key. None of it is to be told in more than a line, nor to change what a terminal shows.
HOSTILE: tuple[Any, ...] = (
    *(float("nan"), float("inf"), 1e308, -0.0, 10**400, True, "", "\x1b[31mred\x07", "a\nb", "\u202egnp.exe"),
    *("../../etc/passwd", "x" * 20_000, "<script>alert(1)</script>", [], {}, [float("nan")] * 2),
)
#: And of these every key gets a few, one after the other.
MORE: tuple[Any, ...] = (
    *(
        float("-inf"),
        -1e308,
        5e-324,
        0,
        -1,
        -(10**400),
        " ",
        "\t",
        "\x00",
        "a\r\nb",
        "\u2066x\u2069",
        "\ufeff",
        "\ud83d",
    ),
    *("/etc/passwd", "..\\..\\x", "C:\\CON", "~", "$(id)", "`id`", "%s%n", "{0}", "{{7*7}}", "9" * 5000, "1/" * 3000),
    *("nan", "inf", "1e999", "\u0661\u0662", "\U0001f9d7" * 400, "=cmd|' /C calc'!A0", "'; DROP TABLE x; --"),
    *("tip 1 \x1b]0;x\x07", [[]], {"": {}}, {"x" * 300: 1}, [None], ["\x1b[0m"] * 2, [1] * 5000, [[[[[]]]]]),
    tomllib.loads("a = 1979-05-27T07:32:00Z")["a"],
)
#: Reads as some text everywhere, and is to come out of an export as text alone.
PAYLOAD = "=1+1<script>alert(1)</script>\"'&"

#: Texts that name what there is, which is looked for before anything is written.
NAMES = {("stair", "rules"), ("wood", "species"), ("wood", "grade")}

Path_ = tuple[str | int, ...]


def keys(record: Record, at: Path_ = ()) -> Iterator[tuple[Path_, Key]]:
    """Every key of a table and of the tables in it, the first of an array."""
    for key in record.keys:
        here = (*at, key.name)
        yield here, key
        kind = key.kind
        if isinstance(kind, ListOf):
            here, kind = (*here, 0), kind.item
        if isinstance(kind, Record):
            yield from keys(kind, here)
        elif isinstance(kind, Pair):
            yield (*here, 0), key


def placed(base: dict[str, Any], path: Path_, value: Any) -> dict[str, Any]:
    """A job's data with one value set, tables made on the way."""
    raw = copy.deepcopy(base)
    there: Any = raw
    for step, then in pairwise(path):
        if isinstance(step, int):
            there[:] = there or [None]
            if not isinstance(there[0], list if isinstance(then, int) else dict):
                there[0] = [] if isinstance(then, int) else {}
            there = there[0]
            continue
        own = there.get(step)
        fits = isinstance(own, list) if isinstance(then, int) else isinstance(own, dict)
        if not fits:
            there[step] = [] if isinstance(then, int) else {}
        there = there[step]
    last = path[-1]
    if isinstance(last, int):
        there[:] = [value, *there[1:]]
    else:
        there[last] = value
    return raw


def base() -> dict[str, Any]:
    return tomllib.loads((FIXTURES / "orchard-steps.toml").read_text())


TABLES = sorted({str(path[0]) for path, _ in keys(JOB)})


@pytest.mark.parametrize("table", TABLES)
def test_each_key_takes_it_or_tells_it_in_one_plain_line(table: str) -> None:
    start: dict[str, Any] = {"site": {"total_rise": 43.5}, "stock": [{"size": "2x12", "length": 192}]}
    tried, more = 0, cycle(MORE)
    for path, _ in keys(JOB):
        if path[0] != table:
            continue
        for value in (*HOSTILE, *islice(more, 4)):
            raw = placed(start, path, value)
            tried += 1
            try:
                read = job_of(raw, Path("shed.toml"))
            except JobFaults as faults:
                assert faults.lines
                for line in faults.lines:
                    shown = (path, str(value)[:40], line[:300])
                    assert line.startswith("shed.toml: ") and line.isprintable() and len(line) < 1500, shown
            else:
                # Compared as they read: a NaN is none of its own.
                assert job_of(read.values, Path("shed.toml")) == read, (path, str(value)[:40])
    assert tried >= len(HOSTILE)


def test_the_keys_that_came_late_are_among_them() -> None:
    there = {str(path[0]) for path, _ in keys(JOB)}
    assert there >= {"treads", "riser_boards", "rail", "lumber", "saw", "as_cut", "wood", "loads"}
    assert sum(1 for _ in keys(JOB)) > 150


@pytest.mark.slow  # one export of everything that a job can have
def test_a_text_of_any_key_comes_out_of_an_export_as_text() -> None:
    raw = base()
    taken = []
    for path, key in keys(JOB):
        kind = key.kind.item if isinstance(key.kind, ListOf) else key.kind
        if not isinstance(kind, Text) or path[0] == "layers" or path in NAMES:
            continue
        given = placed(raw, path, PAYLOAD if kind is key.kind else [PAYLOAD])
        try:
            job_of(given, Path("a.toml"))
        except JobFaults:
            continue
        raw = given
        taken.append(path)
    assert ("job", "name") in taken and len(taken) >= 2
    try:
        made = export_of(job_of(raw, Path("a.toml")))
    except Fault as fault:
        raise AssertionError(str(fault)) from fault
    for path, data in made.files.items():
        assert not re.search(r"[<>&\"'=]", path), path
        if path.endswith((".html", ".svg")):
            assert "<script>alert" not in data.decode(), path
        if path.endswith(".csv"):
            for row in csv.reader(io.StringIO(data.decode())):
                assert not any(cell[:1] in "=+@" for cell in row if cell), row
        if not path.endswith(".pdf"):
            text = data.decode()
            assert not any(is_unseen(c) for c in set(text) - {"\n", "\r"}), path

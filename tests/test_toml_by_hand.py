"""Texts that are TOML or nearly, and the very line that is told of each."""

from __future__ import annotations

import datetime
import os
import tomllib
from pathlib import Path

import pytest

from cutpath.faults import JobFaults
from cutpath.tomlfile.read import MOST_BYTES, bytes_of, decoded, given, parsed, text_of

NO_TOML = "is no TOML: "
UNCLEAR = "Expected newline or end of document after a statement"


def faults(text: str) -> list[str]:
    with pytest.raises(JobFaults) as caught:
        parsed(text, "f", "job")
    return [str(fault) for fault in caught.value.faults]


def mended(text: str) -> str:
    """What a text of one line is shown as; it reads."""
    (told,) = faults(text)
    shown = told.partition("; write it as: ")[2]
    assert shown and tomllib.loads(shown)
    return shown


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        (None, "nothing"),
        (False, "false"),
        ("a\nb", '"a\\nb"'),
        (10**18 - 1, "9" * 18),
        (1 - 10**18, "-" + "9" * 18),
        (10**18, "a whole number of 60 bits"),
        (-(10**18), "a whole number of 60 bits"),
        (0.1, "0.1"),
        (float("nan"), "nan"),
        ([1, 2], "an array of 2"),
        ({"a": 1}, "a table"),
        (datetime.date(2024, 5, 1), "a date or time"),
        (datetime.time(4, 5), "a date or time"),
    ],
    ids=lambda value: None if isinstance(value, str) else "raw",
)
def test_a_value_as_it_was_given(raw: object, shown: str) -> None:
    assert given(raw) == shown


#: A line as it slipped, and as it was likely meant.
SLIPS = (
    ("a = 5 ft # x", 'a = "5 ft" # x'),
    ("a = -1 1/2", 'a = "-1 1/2"'),
    # Letters that look like digits, among digits; an octal number has one of its own.
    ("a = 4O", "a = 40"),
    ("a = 1O.5", "a = 10.5"),
    ("a = [[0, 3l], [24, 34 l/2]]", 'a = [[0, 31], [24, "34 1/2"]]'),
    ("a = [0o17, 4O]", "a = [0o17, 40]"),
    ("a = Oil", 'a = "Oil"'),
    ("a = 3' 4\"", 'a = "3\' 4\\""'),
    ("a = 7½", 'a = "7½"'),
    ('a = "7""', 'a = "7\\""'),
    ('a = ["7"", 3]', 'a = ["7\\"", 3]'),
    ('a = {x = "7""}', 'a = {x = "7\\""}'),
    ('a = "7"" # x', 'a = "7\\"" # x'),
    ("a = “7”", 'a = "7"'),
    ("a = „7‟", 'a = "7"'),
    ("a = “Bob’s”", 'a = "Bob’s"'),
    ("a = ‘7’", "a = '7'"),
    ("a = ‘Bob's’", 'a = "Bob\'s"'),
    ("a = [“7”, ‘8’]", "a = [\"7\", '8']"),
    ("a = laser", 'a = "laser"'),
    ("a = water jet  # x", 'a = "water jet"  # x'),
    ("a = [x, y-z]", 'a = ["x", "y-z"]'),
    ("a = {x = y, z = 1 1/2}", 'a = {x = "y", z = "1 1/2"}'),
    ("a = {x = 1 1/2, y = 'b'}", "a = {x = \"1 1/2\", y = 'b'}"),
    ("a = True", "a = true"),
    ("a = FALSE", "a = false"),
    ("a = Inf", "a = inf"),
    ("a = NaN", "a = nan"),
    ("a: 3", "a = 3"),
    ("a :  3 ft", 'a = "3 ft"'),
    ("  a-b.c_d=x", '  a-b.c_d = "x"'),
    ("a = 1,5", "a = 1.5"),
    ("a = -1,5  # x", "a = -1.5  # x"),
    ("a = {x = 1,5, y = -2,25}", "a = {x = 1.5, y = -2.25}"),
    ("a = {x = 1,5} # y", "a = {x = 1.5} # y"),
    ("a = {x = [0, 2,5], y = 1 1/2}", 'a = {x = [0, 2.5], y = "1 1/2"}'),
    ("a = [[2,5, 3], [14, 8 1/2]]", 'a = [[2.5, 3], [14, "8 1/2"]]'),
    ("a = [[2, 3,5], [1.5, -8,5], [14, 8 1/2]]", 'a = [[2, 3.5], [1.5, -8.5], [14, "8 1/2"]]'),
    # Without a space behind either comma it can't be told, and is let be.
    ("a = [[2,5,3], [14, 8 1/2]]", 'a = [[2,5,3], [14, "8 1/2"]]'),
)


def test_a_line_is_shown_as_it_was_likely_meant() -> None:
    for line, meant in SLIPS:
        assert mended(line) == meant.strip(), line


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a = 1 1/2 \\", [f'{NO_TOML}{UNCLEAR} (at line 1, column 7): "a = 1 1/2 \\"']),
        ("a = 2024-13-01", [f'{NO_TOML}{UNCLEAR} (at line 1, column 9): "a = 2024-13-01"']),
        ("a = 1\na = 2\n\n", [f'{NO_TOML}Cannot overwrite a value (at line 2, column 6): "a = 2"']),
        ("a = 1\na = 2", [f'{NO_TOML}Cannot overwrite a value (at line 2, column 6, where the file ends): "a = 2"']),
        ("a = '''\n x\n\n", [f"{NO_TOML}Expected \"'''\" (at line 2, column 3, where the file ends): \"x\""]),
        ("a = 1979-02-30", [f'{NO_TOML}Invalid date or datetime (at line 1, column 5): "a = 1979-02-30"']),
        # Where its reader names no line none is quoted.
        (
            f"a = 1\nb = {'9' * 5000}",
            [f"{NO_TOML}Exceeds the limit (4300 digits) for integer string conversion: value has 5000 digits"],
        ),
        # The key is told by its full name, and by the table above it.
        ("\n[t]\r\na = 1 1/2\r\n", ['t.a: line 3 is no TOML: "a = 1 1/2"; write it as: a = "1 1/2"']),
        ("[x]\n[[ t.u ]] # c\nv.a = b c", ['t.u.v.a: line 3 is no TOML: "v.a = b c"; write it as: v.a = "b c"']),
        ("[x]\n'[y]' = 1\na = b c", ['x.a: line 3 is no TOML: "a = b c"; write it as: a = "b c"']),
        ("a = [1,\n  2 ft,\n  3]", ['line 2 is no TOML: "2 ft,"; write it as: "2 ft",']),
        # Every line of which a mended form reads, up to the first that can't be mended.
        (
            "a = 1 1/2\nb = 3\nc = x\nd = !\ne = 1 1/2",
            [
                'a: line 1 is no TOML: "a = 1 1/2"; write it as: a = "1 1/2"',
                'c: line 3 is no TOML: "c = x"; write it as: c = "x"',
                f'{NO_TOML}Invalid value (at line 4, column 5): "d = !"',
            ],
        ),
        ("a = x\nb = [[", [
            'a: line 1 is no TOML: "a = x"; write it as: a = "x"',
            f'{NO_TOML}Invalid value (at line 2, column 7, where the file ends): "b = [["',
        ]),
    ],
    ids=[
        *("backslash", "month", "twice", "twice at the end", "open text", "date", "digits", "heading", "array"),
        *("quoted", "no key", "several", "two"),
    ],
)  # fmt: skip
def test_what_is_no_toml_is_told(text: str, told: list[str]) -> None:
    assert faults(text) == told


def test_twenty_lines_are_shown_mended_and_of_the_next_what_is_wrong() -> None:
    found = faults("\n".join(f"a{n} = {n} 1/2" for n in range(1, 25)))
    assert found[:20] == [
        f'a{n}: line {n} is no TOML: "a{n} = {n} 1/2"; write it as: a{n} = "{n} 1/2"' for n in range(1, 21)
    ]
    assert found[20:] == [f'{NO_TOML}{UNCLEAR} (at line 21, column 10): "a21 = 21 1/2"']


def test_long_texts_and_long_lines() -> None:
    line = f"a = 1 1/2 # {'x' * 188}"
    assert len(line) == 200 and mended(line) == line.replace("1 1/2", '"1 1/2"')[:199] + "…"
    (told,) = faults(f"a = 1 1/2 # {'x' * 189}")
    assert told.startswith(f'a: line 1 is no TOML: "a = 1 1/2 # {"x" * 187}…"; write it as: a = "1 1/2" # ')
    for spare, shown in ((0, True), (1, False)):
        text = "a = 1 1/2\n#" + "x" * ((1 << 16) - 11 + spare)
        assert len(text) == (1 << 16) + spare and (" write it as: " in faults(text)[0]) == shown


def test_texts_of_a_mebibyte_and_keys_of_eight_parts_are_read() -> None:
    assert parsed("#" * MOST_BYTES, "f", "job") == {} and MOST_BYTES == 1024 * 1024
    assert faults("#" * (MOST_BYTES + 1)) == ["is over 1 MiB, which no job file is"]
    deep = ["is nested too deeply: a job file holds tables of plain values"]
    for key in ("a.b.c.d.e.f.g.h", "'a.x'.\"b\".c . d.e.f.g.h"):
        assert parsed(f"{key} = 1", "f", "job") == tomllib.loads(f"{key} = 1")
        assert faults(f"{key}.i = 1") == deep == faults(f"[{key}.i]")
    assert faults("a = " + "[" * 3000) == deep
    # Points in texts, numbers and comments are no parts.
    for text in ("b = ['1.2.3.4.5.6.7.8.9']", 'c = """1.2.3.4.5.6.7.8.9"""', "# a.b.c.d.e.f.g.h.i"):
        assert parsed(text, "f", "job") == tomllib.loads(text)


def test_a_file_of_bytes(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(b"\xef\xbb\xbfa = 1\n")
    assert text_of(path, "job") == "a = 1\n" and bytes_of(path, "job") == path.read_bytes()
    for data, line in ((b"\xff", 1), (b"a\n\xff", 2), (b"\n\n\xc3\n", 3)):
        with pytest.raises(JobFaults) as caught:
            decoded(data, "f")
        assert caught.value.lines == (f"f: is not UTF-8 text (line {line}): save it as UTF-8",)
    path.write_bytes(b"#" * MOST_BYTES)
    assert len(text_of(path, "job")) == MOST_BYTES
    path.write_bytes(b"#" * (MOST_BYTES + 1))
    missing, check = tmp_path / "none.toml", ", so it can't be read: check the path"
    for where, what, source, told in (
        (path, "stock", "", f"{path}: is over 1 MiB, which no stock file is"),
        (path, "job", "mine", "mine: is over 1 MiB, which no job file is"),
        (tmp_path, "stock", "", f"{tmp_path}: is a folder: name the stock file in it"),
        (Path(os.devnull), "job", "", f"{os.devnull}: is a pipe or a device: give a job file"),
        (missing, "job", "", f"{missing}: no such file; `cutpath init` writes a job to start from"),
        (missing, "stock", "mine", f"mine: no such file{check}"),
        (path / "b", "job", "", f"{path / 'b'}: can't be read: not a directory"),
        (Path("a\0b"), "job", "", "'a\\x00b': is no file's name"),
    ):
        with pytest.raises(JobFaults) as caught:
            text_of(where, what, source)
        assert caught.value.lines == (told,)


def test_what_the_system_gives_no_reason_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*arguments: object, **more: object) -> None:
        raise OSError

    (tmp_path / "a").write_text("")
    monkeypatch.setattr(Path, "open", fails)
    with pytest.raises(JobFaults, match=r"can't be read: the system gave no reason$"):
        bytes_of(tmp_path / "a", "job")

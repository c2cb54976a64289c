"""Changing a stock file's text in place, so that the user's comments, order and spelling stay as they are.

Only tables written as `[[stock]]`, `[[offcut]]` and `[[taken]]` are changed; whoever calls reads the text back and
compares.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

Entry = tuple[str, int]
"""A table's name, and a number among those of that name, from 0."""

_HEADING: Final = re.compile(r"\s*\[\[\s*(stock|offcut|price|taken)\s*\]\]\s*(#.*)?\s*")
_NOTHING: Final = re.compile(r"\s*(#.*)?\s*")
_QUANTITY: Final = re.compile(r"(\s*quantity\s*=\s*)[+0-9_.a-fox]+(.*)", re.DOTALL)


def edited(
    text: str,
    quantities: Mapping[Entry, int],
    gone: Iterable[Entry],
    added: Sequence[tuple[str, Mapping[str, Any]]],
) -> str:
    """A stock file's text with quantities set, tables taken out and others added at its end.

    Args:
        text: as it is.
        quantities: by table and index there.
        gone: tables that go, with the comments inside them; those after a table's last key stay.
        added: for each new table its heading, with a remark behind it if need be, and its keys and values.
    """
    newline = _newline(text)
    lines = text.splitlines(keepends=True)
    out = frozenset(gone)
    removed: set[int] = set()
    for entry, start, stop in _tables(lines):
        if entry in out:
            removed |= set(range(start, stop))
            # Of the blank lines round it one goes too, so that they don't pile up.
            if start and not lines[start - 1].strip() and not "".join(lines[stop : stop + 1]).strip():
                removed.add(start - 1)
        elif entry in quantities:
            for i in range(start, stop):
                match = _QUANTITY.fullmatch(lines[i])
                if match:
                    lines[i] = f"{match[1]}{quantities[entry]}{match[2]}"
    new = "".join(line for i, line in enumerate(lines) if i not in removed)
    for heading, values in added:
        new += ("" if not new or new.endswith("\n") else newline) + newline
        new += "".join(line + newline for line in _written(heading, values))
    return new


def with_offcut(text: str, at: int, values: Mapping[str, Any]) -> str:
    """A stock file's text with an offcut put in, so that it is number `at` of the offcuts, or the last.

    Where one was taken out it comes back to its place, under the comment that stood above it.
    """
    newline = _newline(text)
    lines = text.splitlines(keepends=True)
    tables = _tables(lines)
    offcuts = [i for i, ((name, _), _, _) in enumerate(tables) if name == "offcut"]
    # Where there is no other it stands behind the boards.
    before = offcuts or [i for i, ((name, _), _, _) in enumerate(tables) if name == "stock"]
    if not before:
        return edited(text, {}, (), [("[[offcut]]", values)])
    following = offcuts[at] if at < len(offcuts) else before[-1] + 1
    first = tables[following - 1][2] if following else 0
    last = tables[following][1] if following < len(tables) else len(lines)
    # A comment right above the next table is that one's.
    while following < len(tables) and last > first and lines[last - 1].lstrip().startswith("#"):
        last -= 1
    place = last
    while place > first and not lines[place - 1].strip():
        place -= 1
    new = [line + newline for line in _written("[[offcut]]", values)]
    if place and not lines[place - 1].endswith("\n"):
        lines[place - 1] += newline
    if place and not lines[place - 1].lstrip().startswith("#"):
        if place < last:
            place += 1
        else:
            new = [newline, *new]
    if place == last and last < len(lines):
        new.append(newline)
    return "".join([*lines[:place], *new, *lines[place:]])


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _tables(lines: Sequence[str]) -> list[tuple[Entry, int, int]]:
    """Every table with its index among those of its name, its first line and the line past its last key."""
    starts = [(i, match[1]) for i, line in enumerate(lines) if (match := _HEADING.fullmatch(line))]
    counts: dict[str, int] = {}
    found: list[tuple[Entry, int, int]] = []
    stops = [*(start for start, _ in starts[1:]), len(lines)]
    for (start, name), stop in zip(starts, stops, strict=False):
        while stop > start + 1 and _NOTHING.fullmatch(lines[stop - 1]):
            stop -= 1
        found.append(((name, counts.get(name, 0)), start, stop))
        counts[name] = counts.get(name, 0) + 1
    return found


def _written(heading: str, values: Mapping[str, Any]) -> list[str]:
    """A table's lines: a key each, but for an array of tables, whose tables have a line each."""
    lines = [heading]
    for key, value in values.items():
        if isinstance(value, list) and value and isinstance(value[0], Mapping):
            lines += [f"{key} = [", *(f"    {_plain(item)}," for item in value), "]"]
        else:
            lines.append(f"{key} = {_plain(value)}")
    return lines


def _plain(value: Any) -> str:
    """A text, a number, an array or a table as TOML, which writes the first three as JSON does but for DEL."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key} = {_plain(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_plain(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")

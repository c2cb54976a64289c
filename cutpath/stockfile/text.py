"""Changing a stock file's text in place, so that the user's comments, order and spelling stay as they are.

Only tables written as `[[stock]]` and `[[offcut]]` are changed; whoever calls reads the text back and compares.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

_HEADING: Final = re.compile(r"\s*\[\[\s*(stock|offcut|price)\s*\]\]\s*(#.*)?\s*")
_NOTHING: Final = re.compile(r"\s*(#.*)?\s*")
_QUANTITY: Final = re.compile(r"(\s*quantity\s*=\s*)[+0-9_.a-fox]+(.*)", re.DOTALL)


def edited(
    text: str, quantities: Mapping[tuple[str, int], int], gone: Iterable[int], added: Sequence[Mapping[str, Any]]
) -> str:
    """A stock file's text with quantities set, offcuts taken out and others added at its end.

    Args:
        text: as it is.
        quantities: by table and index there.
        gone: indices of offcuts that go, with the comments inside their tables; those after a table's last key stay.
        added: keys and values of new offcuts.
    """
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines(keepends=True)
    removed: set[int] = set()
    for (table, index), start, stop in _tables(lines):
        if table == "offcut" and index in gone:
            removed |= set(range(start, stop))
        elif (table, index) in quantities:
            for i in range(start, stop):
                match = _QUANTITY.fullmatch(lines[i])
                if match:
                    lines[i] = f"{match[1]}{quantities[table, index]}{match[2]}"
    new = "".join(line for i, line in enumerate(lines) if i not in removed)
    for entry in added:
        new += ("" if not new or new.endswith("\n") else newline) + newline
        new += newline.join(["[[offcut]]", *(f"{key} = {_plain(value)}" for key, value in entry.items()), ""])
    return new


def _tables(lines: Sequence[str]) -> list[tuple[tuple[str, int], int, int]]:
    """Every table with its index among those of its name, its first line and the line past its last key."""
    starts = [(i, match[1]) for i, line in enumerate(lines) if (match := _HEADING.fullmatch(line))]
    counts: dict[str, int] = {}
    found: list[tuple[tuple[str, int], int, int]] = []
    stops = [*(start for start, _ in starts[1:]), len(lines)]
    for (start, name), stop in zip(starts, stops, strict=False):
        while stop > start + 1 and _NOTHING.fullmatch(lines[stop - 1]):
            stop -= 1
        found.append(((name, counts.get(name, 0)), start, stop))
        counts[name] = counts.get(name, 0) + 1
    return found


def _plain(value: Any) -> str:
    """A text, a number or an array of numbers as TOML, which writes them as JSON does but for DEL."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")

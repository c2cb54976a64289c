"""Changing a stock file's text in place, so that the user's comments, order and spelling stay as they are.

A table's keys are changed and written by tomlkit, which keeps what stands round a value. It gathers tables of one name
in one place, though, so the text is taken apart into its tables first. Only tables written as `[[stock]]`,
`[[offcut]]` and `[[taken]]` are changed; whoever calls reads the text back and compares.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from itertools import dropwhile, takewhile
from typing import TYPE_CHECKING, Any, Final, NamedTuple

if TYPE_CHECKING:
    from tomlkit.items import Item

NumberedTable = tuple[str, int]
"""A table's name, and a number among those of that name, from 0."""

#: A table's heading, or a text or comment, in which there is none.
_HEADING: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*'
    r"|^[ \t]*\[\[[ \t]*(?P<name>stock|offcut|price|taken)[ \t]*\]\]",
    re.MULTILINE | re.DOTALL,
)


class _Block(NamedTuple):
    """A stretch of the text: what stands before the first table, or one table.

    Attributes:
        entry: which table it is; None before the first.
        keys: its lines from the heading to the last key.
        after: the blank and comment lines that follow.
    """

    entry: NumberedTable | None
    keys: tuple[str, ...]
    after: tuple[str, ...]


def edited(
    text: str,
    quantities: Mapping[NumberedTable, int],
    gone: Iterable[NumberedTable],
    added: Sequence[tuple[str, Mapping[str, Any]]],
    lefts: Mapping[int, Mapping[int, int]] | None = None,
) -> str:
    """A stock file's text with quantities set, tables taken out and others added at its end.

    Args:
        text: as it is.
        quantities: by table and index there.
        gone: tables that go, with the comments inside them; those after a table's last key stay.
        added: for each new table its heading, with a remark behind it if need be, and its keys and values.
        lefts: by number of a `[[taken]]` and of an offcut there, how many of that were left.
    """
    out = frozenset(gone)
    lines: list[str] = []
    for block in _blocks(text):
        keys, after = block.keys, block.after
        if block.entry in out:
            # Of the blank lines round it one goes too, so that they don't pile up.
            if lines and not lines[-1].strip() and not "".join(after[:1]).strip():
                lines.pop()
            keys = ()
        elif block.entry and block.entry in quantities:
            keys = (_with_quantity("".join(keys), block.entry[0], quantities[block.entry]),)
        elif lefts and block.entry and block.entry[0] == "taken" and block.entry[1] in lefts:
            keys = (_with_lefts("".join(keys), lefts[block.entry[1]]),)
        lines += [*keys, *after]
    new, newline = "".join(lines), _newline(text)
    for heading, values in added:
        new += ("" if not new or new.endswith("\n") else newline) + newline + _table(heading, values, newline)
    return new


def lines_of(text: str, entry: NumberedTable) -> tuple[str, ...]:
    """The lines of a table with comments in it, without blank ones; none where it has no comment, or can't do without.

    Tabs come as spaces, since a record holds plain text alone.
    """
    table = "".join("".join(block.keys) for block in _blocks(text) if block.entry == entry)
    if not any(found[0].startswith("#") for found in _HEADING.finditer(table)):
        return ()
    lines = tuple(line.expandtabs().rstrip() for line in table.splitlines() if line.strip())
    try:
        same = tomllib.loads("\n".join(lines)) == tomllib.loads(table)
    except tomllib.TOMLDecodeError:
        return ()
    return lines if same else ()


def with_offcut(text: str, at: int, values: Mapping[str, Any], as_written: Sequence[str] = ()) -> str:
    """A stock file's text with an offcut put in, so that it is number `at` of the offcuts, or the last.

    Where one was taken out it comes back to its place, under the comment that stood above it, and with those inside
    it where its lines were kept (`as_written`).
    """
    newline = _newline(text)
    table = _offcut(values, as_written, newline)
    blocks = _blocks(text)
    offcuts = [i for i, block in enumerate(blocks) if block.entry and block.entry[0] == "offcut"]
    # Where there is no other it stands behind the boards.
    before = offcuts or [i for i, block in enumerate(blocks) if block.entry and block.entry[0] == "stock"]
    if not before:
        return text + ("" if not text or text.endswith("\n") else newline) + newline + table
    following = offcuts[at] if at < len(offcuts) else before[-1] + 1
    head = [line for block in blocks[:following] for line in block.keys + block.after]
    tail = [line for block in blocks[following:] for line in block.keys + block.after]
    gap = blocks[following - 1].after
    head = head[: len(head) - len(gap)]
    # A comment right above the next table is that one's.
    own = list(takewhile(lambda line: line.strip(), reversed(gap))) if tail else []
    comments = list(dropwhile(lambda line: not line.strip(), reversed(gap[: len(gap) - len(own)])))[::-1]
    blanks = list(gap[len(comments) : len(gap) - len(own)])
    head += comments
    if head and not head[-1].endswith("\n"):
        head[-1] += newline
    if head and not comments:
        head.append(blanks.pop(0) if blanks else newline)
    rest = [*blanks, *own[::-1], *tail]
    return "".join([*head, table, *([newline] if rest and not blanks else []), *rest])


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _blocks(text: str) -> list[_Block]:
    """The text taken apart; the first block stands before all tables, and may be empty."""
    found = [match for match in _HEADING.finditer(text) if match["name"]]
    stops = [*(match.start() for match in found), len(text)]
    blocks = [_block(None, text[: stops[0]])]
    counts: dict[str, int] = {}
    for match, stop in zip(found, stops[1:], strict=True):
        name = match["name"]
        blocks.append(_block((name, counts.get(name, 0)), text[match.start() : stop]))
        counts[name] = counts.get(name, 0) + 1
    return blocks


def _block(entry: NumberedTable | None, text: str) -> _Block:
    lines = re.findall(r"[^\n]*\n|[^\n]+", text)
    # What begins like a comment inside a text of several lines is none.
    bare = _HEADING.sub(_uncommented, text).split("\n")
    last = len(lines)
    while last > (entry is not None) and not bare[last - 1].strip():
        last -= 1
    return _Block(entry, tuple(lines[:last]), tuple(lines[last:]))


def _uncommented(found: re.Match[str]) -> str:
    """Nothing for a comment; of a text of several lines something in every one."""
    return "" if found[0].startswith("#") else found[0].replace("\n", "x\n")


def _with_quantity(table: str, name: str, quantity: int) -> str:
    """A table's text with another quantity."""
    import tomlkit

    document: Any = tomlkit.parse(table)
    document[name][0]["quantity"] = quantity
    return tomlkit.dumps(document)


def _with_lefts(table: str, lefts: Mapping[int, int]) -> str:
    """A `[[taken]]` table's text, that says of some of its offcuts how many were left."""
    import tomlkit

    document: Any = tomlkit.parse(table)
    for number, left in lefts.items():
        document["taken"][0]["offcuts"][number]["left"] = left
    return tomlkit.dumps(document)


def _offcut(values: Mapping[str, Any], as_written: Sequence[str], newline: str) -> str:
    """An offcut's table, new or as it was written before."""
    if not as_written:
        return _table("[[offcut]]", values, newline)
    table = "".join(f"{line}{newline}" for line in as_written)
    quantity = values.get("quantity", 1)
    if quantity == tomllib.loads(table)["offcut"][0].get("quantity", 1):
        return table
    return _with_quantity(table, "offcut", quantity)


def _table(heading: str, values: Mapping[str, Any], newline: str) -> str:
    """A table's text: a line for each key, and for each table of an array of them."""
    import tomlkit

    document = tomlkit.document()
    for key, value in values.items():
        document.add(key, _item(value))
    return f"{heading}\n{tomlkit.dumps(document)}".replace("\n", newline)


def _item(value: Any) -> Item:
    """A value, its tables written inline, and those of an array each on a line of its own."""
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table.add(key, _item(inner))
        return table
    array = tomlkit.array()
    if not isinstance(value, list):
        item: Item = tomlkit.item(value)
        return item
    for inner in value:
        (array.add_line if isinstance(inner, Mapping) else array.append)(_item(inner))
    if value and isinstance(value[0], Mapping):
        array.add_line(indent="")
    return array

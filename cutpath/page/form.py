"""The page's form, from the one table of keys: same names, help, defaults and bounds as in reader and reference."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutpath.job.compound import Absent, Derived, Fixed, Key, ListOf, Record
from cutpath.job.keys import JOB
from cutpath.job.kinds import Kind, OneOf, YesNo
from cutpath.job.special import Reading


class Field(Struct, frozen=True):
    """One place to type in.

    Attributes:
        key: its full name; of a row, with [] for the row's number.
        label: what is written over it.
        unit: the key in its last step, as it stands in the file.
        help: what it means.
        left_out: what holds where nothing is typed.
        accepted: what it takes.
        choices: the words to choose from; empty where anything is typed.
    """

    key: str
    label: str
    unit: str
    help: str
    left_out: str
    accepted: str
    choices: tuple[str, ...] = ()


class Group(Struct, frozen=True):
    """Fields and rows under one heading.

    Attributes:
        key: of the table, or of the list whose rows it holds; "" for what has no key.
        label: its heading.
        help: what it is.
        fields: in order; groups and rows among them.
        kind: "group", "rows" of tables, or "readings".
        optional: whether it can be taken out as a whole.
        none: of rows, what holds where there is none.
        row: what one of its rows is called.
        more: of rows, fields that few need.
    """

    key: str
    label: str
    help: str
    fields: tuple[Field | Group, ...]
    kind: str = "group"
    optional: bool = False
    none: str = ""
    row: str = ""
    more: tuple[Field | Group, ...] = ()


#: What one row of a list is called.
_ROWS: Final = {
    "site.profile": "Reading",
    "site.above": "Point",
    "stock": "Board",
    "holes": "Hole",
    "support": "Support",
    "lumber": "Board",
    "as_cut": "Reading",
}
#: Said letter by letter.
_LETTERS: Final = ("dxf",)
#: Of a board, what a shopping list needs; the rest is for a rack.
_OF_A_BOARD: Final = ("stock[].size", "stock[].length", "stock[].quantity", "stock[].price")
#: What a first stair needs, in the order in which one gets to it.
_FIRST: Final = (
    ("Name and units", ("units", "job.name")),
    ("Readings", ("site.profile", "site.total_rise")),
    ("The stair", ("stair.unit_run", "stair.risers", "stair.top_tread")),
    ("Boards", ("stock",)),
    ("The tool", ("cutter.kind", "cutter.width")),
)


def first() -> tuple[Group, ...]:
    """What a first stair needs, under headings."""
    return tuple(
        Group("", heading, "", tuple(_shown(key, _key(key)) for key in keys), optional=False)
        for heading, keys in _FIRST
    )


def rest() -> tuple[Group, ...]:
    """All other keys, a group for each table of the file."""
    taken = {key for _, keys in _FIRST for key in keys}
    found: list[Group] = []
    for key in JOB.keys:
        if key.name in taken:
            continue
        group = _shown(key.name, key, taken)
        if isinstance(group, Group) and group.fields:
            found.append(group)
    return tuple(found)


def _key(name: str) -> Key:
    record, key = JOB, None
    for step in name.split("."):
        key = next(each for each in record.keys if each.name == step)
        if isinstance(key.kind, Record):
            record = key.kind
    assert key is not None
    return key


def _shown(name: str, key: Key, taken: set[str] | frozenset[str] = frozenset()) -> Field | Group:
    label, doc = _label(key.name), f"{key.doc[0].upper()}{key.doc[1:]}"
    kind = key.kind
    optional = isinstance(key.default, Absent | Derived)
    if isinstance(kind, Record):
        return Group(name, label, doc, _inner(name, kind, taken), optional=optional)
    if isinstance(kind, ListOf) and isinstance(kind.item, Record):
        inner = _inner(f"{name}[]", kind.item, taken)
        first = tuple(part for part in inner if name != "stock" or part.key in _OF_A_BOARD)
        more = tuple(part for part in inner if part not in first)
        return Group(name, label, doc, first, "rows", none=_none(key), row=_ROWS[name], more=more)
    if isinstance(kind, ListOf) and isinstance(kind.item, Reading):
        return Group(name, label, doc, (), "readings", none=_none(key), row=_ROWS[name])
    return Field(name, label, key.name, doc, key.left_out(), kind.accepted(), _choices(kind))


def _inner(name: str, record: Record, taken: set[str] | frozenset[str]) -> tuple[Field | Group, ...]:
    return tuple(_shown(f"{name}.{k.name}", k, taken) for k in record.keys if f"{name}.{k.name}" not in taken)


def _choices(kind: Kind) -> tuple[str, ...]:
    return kind.words if isinstance(kind, OneOf) else ("true", "false") if isinstance(kind, YesNo) else ()


def _none(key: Key) -> str:
    """What holds where a list has no rows."""
    if isinstance(key.default, Fixed) and key.default.inch:
        rows = ", ".join(" x ".join(map(str, row.values())) for row in key.default.inch)
        return f"None in the file, so these count: {rows}."
    if isinstance(key.default, Absent):
        return f"None in the file: {key.default.says}."
    return "None."


def _label(name: str) -> str:
    """A key's name as words."""
    words = name.replace("_", " ")
    return words.upper() if words in _LETTERS else words if words.isupper() else f"{words[0].upper()}{words[1:]}"

"""The one table of a stock file's keys, of the same kinds as a job file's."""

from __future__ import annotations

from typing import Any, Final

from cutpath.job.compound import Absent, Fixed, Key, ListOf, Record, Required
from cutpath.job.keys import BOARDS
from cutpath.job.kinds import Context, Kind, Length, Money, OneOf, Schema, Text, Whole
from cutpath.tomlfile.read import given

#: Most entries of one sort.
_MOST: Final = 2000
#: Longest line of a table that is kept as it was written.
_LINE: Final = 4096


class ShareOfOne(Kind):
    """A share of a whole, 0 to 1."""

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A float."""
        plain = isinstance(raw, int | float) and not isinstance(raw, bool)
        if not plain or not 0 <= raw <= 1:  # type: ignore[operator]
            return ctx.bad(at, f"{given(raw)} is not accepted: write a {self.accepted()}")
        return float(raw) + 0.0  # type: ignore[arg-type]

    def accepted(self) -> str:
        """Its bounds."""
        return "number, 0 to 1"

    def schema(self) -> Schema:
        """A number."""
        return {"type": "number", "minimum": 0, "maximum": 1}


_OF_BOARDS: Final = {key.name: key for key in BOARDS.keys}
_SIZE, _LENGTH, _KIND, _GRAIN = (_OF_BOARDS[key] for key in ("size", "length", "kind", "grain"))

OFFCUT: Final = Record(
    Key("name", Text(100), Required(), "what is written on it; no two offcuts share one"),
    _SIZE,
    _LENGTH._replace(kind=Length(25, 20000), doc="clear length, both ends square; of a sheet the way its grain runs"),
    _KIND,
    _GRAIN,
    Key("quantity", Whole(0, 10000), Fixed(1, 1), "how many of it there are"),
    Key(
        "price",
        Money(1_000_000),
        Absent("nothing is reckoned for it"),
        "its share, by length, of what its board cost; `offcut_worth` of that counts",
    ),
    _OF_BOARDS["widths"],
    _OF_BOARDS["defects"],
    Key("from", Text(400), Absent("not said"), "the job and board that it is left of"),
    Key("note", Text(400), Absent("none"), "anything else"),
)

PRICE: Final = Record(
    _SIZE,
    _LENGTH,
    _KIND,
    _GRAIN,
    Key("price", Money(1_000_000), Required(), "price of one, in your money"),
    Key("note", Text(400), Absent("none"), "where from, or anything else"),
)

_COUNTED: Final = (
    Key("at", Whole(0, _MOST), Required(), "the entry's number in its table, from 0"),
    Key("took", Whole(1, 10000), Required(), "how many of it were taken"),
    Key("left", Whole(0, 10000), Required(), "how many of it were left"),
)


def _without_quantity(record: Record) -> tuple[Key, ...]:
    return tuple(key for key in record.keys if key.name != "quantity")


TAKEN: Final = Record(
    Key("folder", Text(4096), Required(), "the export's folder, as seen from this file"),
    Key("jobs", ListOf(Text(400), 1, _MOST), Required(), "the names of its jobs"),
    Key("boards", ListOf(Record(*_COUNTED, *_without_quantity(BOARDS)), 0, _MOST), Fixed([], []), "boards it took"),
    Key(
        "offcuts",
        ListOf(
            Record(
                *_COUNTED,
                Key(
                    "as_written",
                    ListOf(Text(_LINE), 1, _MOST),
                    Absent("it held no comments"),
                    "the lines of a used up offcut's table with comments in it",
                ),
                *_without_quantity(OFFCUT),
            ),
            0,
            _MOST,
        ),
        Fixed([], []),
        "offcuts it took",
    ),
    Key(
        "added",
        ListOf(
            Record(
                Key("name", Text(100), Required(), "of the offcut"),
                Key("length", Length(25, 20000), Required(), "as it was put on the list"),
            ),
            0,
            _MOST,
        ),
        Fixed([], []),
        "offcuts it put on the list",
    ),
)

STOCK_FILE: Final = Record(
    Key("units", OneOf("in", "mm"), Fixed("in", "in"), "what bare numbers mean"),
    Key("keep_over", Length(25, 20000), Fixed(36, 900), "offcuts at least this long are worth keeping"),
    Key(
        "offcut_worth",
        ShareOfOne(),
        Fixed(0, 0),
        "what an offcut of a board worth keeping counts for: a share of the board's price by length",
    ),
    Key("stock", ListOf(BOARDS, 0, _MOST), Fixed([], []), "boards on the rack, one table a kind"),
    Key("offcut", ListOf(OFFCUT, 0, _MOST), Fixed([], []), "offcuts of earlier jobs, one table each"),
    Key("price", ListOf(PRICE, 0, _MOST), Fixed([], []), "price list: lengths that can be bought, as many as needed"),
    Key(
        "taken",
        ListOf(TAKEN, 0, _MOST),
        Fixed([], []),
        "what exports took off this list, one table a folder; written by them, and read when one is made anew",
    ),
)


def stock_schema() -> Schema:
    """The JSON Schema of a stock file, draft 2020-12."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:cutpath:stock-file:1",
        "title": "cutpath stock file",
        **STOCK_FILE.schema(),
        "if": {"properties": {"units": {"const": "mm"}}, "required": ["units"]},
        "then": STOCK_FILE.limits("mm"),
        "else": STOCK_FILE.limits("in"),
    }

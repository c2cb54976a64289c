"""What each kind of value is read as, from its least to its greatest, and what is told just beyond."""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from cutpath.faults import JobFaults
from cutpath.job.as_cut_values import AsCutReading
from cutpath.job.between import merged
from cutpath.job.build import added_up
from cutpath.job.compound import Absent, Key, ListOf, Pair, Record, Required
from cutpath.job.form_keys import Treads
from cutpath.job.form_values import Bracket, HoleSpec, Housing, Plate
from cutpath.job.kinds import (
    BAD,
    Context,
    Kind,
    Length,
    Money,
    OneOf,
    Text,
    Whole,
    YesNo,
    YesOrCount,
    dotted,
    settled,
    span,
)
from cutpath.job.load_keys import LOADS, Load
from cutpath.job.piece_values import LumberSize
from cutpath.job.read import UNNAMED, job_from_text, job_of, read_jobs
from cutpath.job.special import BoardSize, LayerName, Reading, Size, Volume
from cutpath.job.values import Cutter, Job, Loads, StockBoards
from cutpath.units import Unit

INCH = Fraction(254, 10)
LANDING = "[site]\ntotal_rise = 40\n"
_LIVE, _POINT, _DEAD, _ = (key.kind for key in LOADS.keys)
_SIZE = BoardSize(Pair(("thickness", Length(5, 300)), ("width", Length(5, 1000))))
_READING = Reading(
    Pair(("out", Length(0, 1000)), ("down", Length(-500, 500))),
    Record(Key("along", Length(0, 1200), Required(), "x"), Key("down", Length(-500, 500), Required(), "y")),
)
_WORDS = OneOf("a", "b", "c", same={"A": "a"}, instead={"d": "write b"})
_PAIR = Pair(("a", Whole(1, 2)), ("b", Whole(3, 4)))
_TABLE = Record(
    *(Key(name, Whole(1, 2), default, f"what {name} is") for name, default in (("a", Absent("")), ("b", Required()))),
    Key("c", Length(1, 2), Absent(""), "what c is"),
)
_EITHER = Record(
    Key("LONG", Length(3, 4), Absent(""), "x"),
    Key("SHORT", Length(1, 2), Absent(""), "x"),
    case="either",
    together={"not": {"required": ["LONG", "long"]}},
)
_ALL = 'write "all", the number of a tread counted from the top, or an array of numbers'


class Told(str):
    """A line of fault."""


def read(kind: Kind, raw: object, unit: Unit = "mm") -> Any:
    """The value; or the lines of fault, each with its key where that is not the whole's."""
    ctx = Context(unit)
    value = kind.read(raw, "k", ctx)
    told = "; ".join(str(fault).removeprefix("k: ") for fault in ctx.faults)
    # Tables and lists mark what is at fault inside them.
    assert (value is BAD) == (bool(told) and not isinstance(value, dict | list))
    return Told(told) if told else value


OUT = "k is out of bounds: 10 to 20 mm is accepted"
NO = "write a whole number, 3 to 5"
YES = "write true or false, or a whole number, 1 to 3"
SUM = "write an amount, a number without a currency, 0 to 50"
TOLD_LENGTH = 'write a length like 10.5, "10 1/2", "3\' 4 1/2\\"" or "190 mm"'

#: A kind, what is written, and what it comes to in a job in millimetres; a text from "!" on is the fault's.
VALUES: dict[str, list[tuple[Kind, object, object]]] = {
    "lengths": [
        (Length(10, 20), 10, 10),
        (Length(10, 20), 20.0, 20),
        (Length(10, 20), "20 mm", 20),
        (Length(10, 20), "1/2 in", Fraction(127, 10)),
        (Length(10, 20), 9.999999999, "!9.999999999 is out of bounds: 10 to 20 mm is accepted"),
        (Length(10, 20), "20.000000001", '!"20.000000001" is out of bounds: 10 to 20 mm is accepted'),
        (Length(0.01, 2), 0.01, Fraction(1, 100)),
        (Length(-2, 2), -2, -2),
        (Length(-2, 2), -2.1, "!-2.1 is out of bounds: -2 to 2 mm is accepted"),
        (Length(10, 20), True, "!true is no length, which is a number or a text"),
        (Length(10, 20), None, "!nothing is no length, which is a number or a text"),
        (Length(10, 20), [10], "!an array of 1 is no length, which is a number or a text"),
        (Length(10, 20), math.inf, f"!inf is no length; {TOLD_LENGTH}"),
        # No float holds it.
        (Length(10, 20), 10**400, "!a whole number of 1329 bits is out of bounds: 10 to 20 mm is accepted"),
        (Length(10, 20), 10**18, "!a whole number of 60 bits is out of bounds: 10 to 20 mm is accepted"),
        (Length(10, 20), 10**18 - 1, f"!{10**18 - 1} is out of bounds: 10 to 20 mm is accepted"),
    ],
    "counts": [
        (Whole(3, 5), 3, 3),
        (Whole(3, 5), 5.0, 5),
        (Whole(3, 5), 2, f"!2 is not accepted: {NO}"),
        (Whole(3, 5), 6, f"!6 is not accepted: {NO}"),
        (Whole(3, 5), 4.5, f"!4.5 is not accepted: {NO}"),
        (Whole(3, 5), math.inf, f"!inf is not accepted: {NO}"),
        (Whole(0, 5), False, "!false is not accepted: write a whole number, 0 to 5"),
        (Whole(3, 5), "4", f'!"4" is not accepted: {NO}'),
        (YesOrCount(3), True, True),
        (YesOrCount(3), False, False),
        (YesOrCount(3), 1, 1),
        (YesOrCount(3), 3.0, 3),
        (YesOrCount(3), 0, f"!0 is not accepted: {YES}"),
        (YesOrCount(3), 4, f"!4 is not accepted: {YES}"),
        (YesOrCount(3), 2.5, f"!2.5 is not accepted: {YES}"),
        (YesOrCount(3), "2", f'!"2" is not accepted: {YES}'),
        (YesNo(), True, True),
        (YesNo(), False, False),
        (YesNo(), 1, "!1 is not accepted: write true or false"),
    ],
    "money": [
        (Money(50), 0, 0.0),
        (Money(50), 50, 50.0),
        (Money(50), 49.995, 49.995),
        (Money(50), -0.01, f"!-0.01 is not accepted: {SUM}"),
        (Money(50), 50.01, f"!50.01 is not accepted: {SUM}"),
        (Money(50), math.nan, f"!nan is not accepted: {SUM}"),
        (Money(50), True, f"!true is not accepted: {SUM}"),
        (Money(50), "5", f'!"5" is not accepted: {SUM}'),
    ],
    "words": [
        (_WORDS, "a", "a"),
        (_WORDS, "A", "a"),
        (_WORDS, "D", '!"D" is not accepted: write b'),
        (OneOf("a", "b"), "B", '!"B" is not accepted: write "a" or "b"'),
        (_WORDS, 3, '!3 is not accepted: write "a", "b" or "c"'),
        (_WORDS, [], '!an array of 0 is not accepted: write "a", "b" or "c"'),
        (Text(3), "abc", "abc"),
        (Text(3), "a", "a"),
        (Text(3), "a\u00a0\U0001fa9c", "a\u00a0\U0001fa9c"),
        (Text(3), "abcd", '!"abcd" has 4 characters: at most 3 are accepted'),
        (Text(3), " \t ", '!" \\t " is blank: write something, or leave the key out'),
        (Text(3), "", '!"" is blank: write something, or leave the key out'),
        (Text(3), 3, "!3 is no text: put it in quotes"),
        *(
            (Text(3), f"a{sign}b", f'!"a{shown}b" holds a line break or a control character: write plain text')
            for sign, shown in (
                *(("\x00", "\\x00"), ("\n", "\\n"), ("\x1f", "\\x1f"), ("\x7f", "\\x7f"), ("\x80", "\\x80")),
                *(("\x9f", "\\x9f"), ("\u2028", "\\u2028"), ("\u2029", "\\u2029")),
            )
        ),
        (LayerName(5), "Ü x-1", "Ü x-1"),
        (LayerName(5), "", '!"" is blank: write something, or leave the key out'),
        (LayerName(5), "a b c d", '!"a b c d" has 7 characters: at most 5 are accepted'),
        *((LayerName(5), f"a{c}", f"!{q}a{c}{q} holds {c}, which no layer's name may") for c, q in zip(
            '<>/:;?*|=`,"', '"""""""""""\'', strict=True)),
        (LayerName(5), "a\\", '!"a\\" holds \\, which no layer\'s name may'),
        (LayerName(5), "*a|", '!"*a|" holds * |, which no layer\'s name may'),
        (LayerName(5), " a", '!" a" starts or ends with a space, which shops can\'t see'),
        (LayerName(5), "a ", '!"a " starts or ends with a space, which shops can\'t see'),
        (LayerName(9), "0", '!"0" is a layer with a meaning of its own: write another name'),
        (LayerName(9), "defPoints", '!"defPoints" is a layer with a meaning of its own: write another name'),
        (LayerName(9), "00", "00"),
    ],
    "pairs and lists": [
        (_PAIR, [1, 4], (1, 4)),
        (_PAIR, [0, 5],
         "!k.a: 0 is not accepted: write a whole number, 1 to 2; k.b: 5 is not accepted: write a whole number, 3 to 4"),
        (_PAIR, [1, 5], "!k.b: 5 is not accepted: write a whole number, 3 to 4"),
        (_PAIR, [1], "!an array of 1 is not accepted: write [a, b]"),
        (_PAIR, [1, 5, 3],
         "!an array of 3 is not accepted: write [a, b]; a decimal takes a point, as in 5.3"),
        (_PAIR, [1, 5, 3, 7],
         "!an array of 4 is not accepted: write [a, b]; a decimal takes a point, as in 3.7"),
        (_PAIR, [1, 5, 3.5], "!an array of 3 is not accepted: write [a, b]"),
        (_PAIR, [1, 2, 3, 4, 5], "!an array of 5 is not accepted: write [a, b]"),
        (_PAIR, (1, 4), "!a date or time is not accepted: write [a, b]"),
        (ListOf(Whole(1, 2), 2, 3), [1, 2], [1, 2]),
        (ListOf(Whole(1, 2), 2, 3), [1, 2, 1], [1, 2, 1]),
        (ListOf(Whole(1, 2), 2, 3), [1], "!an array of 1 is not accepted: 2 to 3 items are"),
        (ListOf(Whole(1, 2), 2, 3), [1] * 4, "!an array of 4 is not accepted: 2 to 3 items are"),
        (ListOf(Whole(1, 2), 2, 3), 1, "!1 is not accepted: write an array"),
        (ListOf(Record(Key("x", Whole(1, 2), Absent(""), "x")), 2, 3), {}, "!a table is not accepted: write [[k]]"),
    ],
    "bounds inside": [
        (ListOf(Length(1, 2), 1, 2), [2, 3], "!k[1]: 3 is out of bounds: 1 to 2 mm is accepted"),
        (Pair(("a", Length(1, 2)), ("b", Whole(1, 2))), [3, 1], "!k.a: 3 is out of bounds: 1 to 2 mm is accepted"),
        (Pair(("a", Whole(1, 2)), ("b", Length(1, 2))), [1, 0], "!k.b: 0 is out of bounds: 1 to 2 mm is accepted"),
        (_TABLE, {"b": 1, "c": 3}, "!k.c: 3 is out of bounds: 1 to 2 mm is accepted"),
    ],
    "tables": [
        (_TABLE, {"a": 1, "b": 2}, {"a": 1, "b": 2}),
        (_TABLE, {"b": 2}, {"b": 2}),
        (_TABLE, {"b": 2, "c": None}, {"b": 2}),
        (_TABLE, {"a": 3}, "!k.a: 3 is not accepted: write a whole number, 1 to 2; k.b: missing: what b is; whole "
         "number, 1 to 2"),
        (_TABLE, {"a": 1}, "!k.b: missing: what b is; whole number, 1 to 2"),
        (_TABLE, {"b": None}, "!k.b: missing: what b is; whole number, 1 to 2"),
        (_TABLE, {"b": "x"}, '!k.b: "x" is not accepted: write a whole number, 1 to 2'),
        (_TABLE, 3, "!3 is not accepted: write a table with a, b, c"),
        (_TABLE, [{"b": 1}], "!an array of 1 is not accepted: write [k]"),
        (_EITHER, {"LONG": 4, "short": 2}, {"LONG": 4, "SHORT": 2}),
        (_EITHER, {"long": 5}, "!k.long: 5 is out of bounds: 3 to 4 mm is accepted"),
        (_EITHER, {"LONG": 4, "long": 3}, "!k.long: given twice, as LONG and long: keep one"),
        (_EITHER, {"long": 4, "LONG": None}, {"LONG": 4}),
        (_EITHER, {}, {}),
        (_EITHER, 3, "!3 is not accepted: write a table with LONG, SHORT"),
        (Pair(("x", _TABLE), ("y", _TABLE)), [[], {"b": 1}], "!k.x: an array of 0 is not accepted: write a table with "
         "a, b, c"),
        (ListOf(_TABLE, 1, 2), [[]], "!k[0]: an array of 0 is not accepted: write a table with a, b, c"),
    ],
    "treads": [
        (Treads(), "all", "all"),
        (Treads(), 1, (1,)),
        (Treads(), 60.0, (60,)),
        (Treads(), [5], (5,)),
        (Treads(), [5, 2, 5], (2, 5)),
        (Treads(), [1] * 60, (1,)),
        (Treads(), 0, "!0 is not accepted: write a whole number, 1 to 60"),
        (Treads(), [1, 61], "!61 is not accepted: write a whole number, 1 to 60"),
        (Treads(), "ALL", f'!"ALL" is not accepted: {_ALL}'),
        (Treads(), [], f"!an array of 0 is not accepted: {_ALL}"),
        (Treads(), [1] * 61, f"!an array of 61 is not accepted: {_ALL}"),
    ],
    "sizes": [
        (_SIZE, " 2 X 12", Size("2x12", Fraction("1.5") * INCH, Fraction("11.25") * INCH)),
        (_SIZE, "5/4x6", Size("5/4x6", INCH, Fraction("5.5") * INCH)),
        (_SIZE, [38, "140 mm"], Size(None, Fraction(38), Fraction(140))),
        (_SIZE, [38], "!an array of 1 is not accepted: write [thickness, width]"),
        (_SIZE, [4, 1001], "!k.thickness: 4 is out of bounds: 5 to 300 mm is accepted; k.width: 1001 is out of "
         "bounds: 5 to 1000 mm is accepted"),
        (_SIZE, 12, '!12 is no size: write one like "2x12", or [thickness, width]'),
    ],
    "readings": [
        (_READING, [1000, -500], (1000, -500)),
        (_READING, [1001, 501], "!k.out: 1001 is out of bounds: 0 to 1000 mm is accepted; k.down: 501 is out of "
         "bounds: -500 to 500 mm is accepted"),
        # 3, 4 and 5; straight down; and to nine decimals, 100 by 50: 86.602540378.
        (_READING, {"along": 500, "down": 400}, (300, 400)),
        (_READING, {"along": 500, "down": -400}, (300, -400)),
        (_READING, {"along": 400, "down": 400}, (0, 400)),
        (_READING, {"along": 400, "down": -400}, (0, -400)),
        (_READING, {"along": 100, "down": 50}, (Fraction("86.602540378"), 50)),
        (_READING, {"along": 399, "down": "-40 cm"}, '!along = 399 is shorter than down = "-40 cm", which no taut tape '
         "can be: measure both again"),
        (_READING, {"along": 1201, "down": 3}, "!k.along: 1201 is out of bounds: 0 to 1200 mm is accepted"),
        (_READING, {"along": 1201, "down": 501}, "!k.along: 1201 is out of bounds: 0 to 1200 mm is accepted; k.down: "
         "501 is out of bounds: -500 to 500 mm is accepted"),
        (_READING, {"along": 2, "down": 501}, "!k.down: 501 is out of bounds: -500 to 500 mm is accepted"),
        (_READING, [1, 2, 3], "!an array of 3 is not accepted: write [out, down] or {along = ..., down = ...}; a "
         "decimal takes a point, as in 2.3"),
        (_READING, 3, "!3 is not accepted: write [out, down] or {along = ..., down = ...}"),
    ],
    "volumes and loads": [
        (Volume(0.5, 20), 0.5, Fraction(500_000)),
        (Volume(0.5, 20), 20, Fraction(20_000_000)),
        (Volume(0.5, 20), 0.49, "!0.49 is out of bounds: 0.5 to 20 litres is accepted"),
        (Volume(0.5, 20), 20.1, "!20.1 is out of bounds: 0.5 to 20 litres is accepted"),
        (Volume(0.5, 20), True, "!true is no volume: write a number of litres, without a unit"),
        (Volume(0.5, 20), 1e30, "!1e+30 is no volume: write a number of litres, without a unit"),
        (Volume(0.5, 20), "1 l", '!"1 l" is no volume: write a number of litres, without a unit'),
        (Volume(0.5, 20), -10**40, f"!a whole number of {(10**40).bit_length()} bits is no volume: write a number of "
         "litres, without a unit"),
        (_LIVE, "3 kN/m2", Fraction(3, 1000)),
        (_LIVE, "3000 N/m^2", Fraction(3, 1000)),
        (_LIVE, "3 kPa", Fraction(3, 1000)),
        (_LIVE, "100 kN/m2", Fraction(1, 10)),
        (_LIVE, "0 psf", Fraction(0)),
        # 40 pounds-force of 4.4482216152605 N on 0.3048 m squared.
        (_LIVE, "40 PSF", Fraction("0.001915210359")),
        (_LIVE, "100.01 kN/m2", '!"100.01 kN/m2" is out of bounds: at most 100 kN/m2 is accepted'),
        (_LIVE, 40, '!40 has no unit: write a load like "40 psf" or "3 kN/m2"'),
        (_LIVE, "40 lb", '!"40 lb" can\'t be read: write a load like "40 psf" or "3 kN/m2"'),
        (_POINT, "300 lb", Fraction("1334.466485")),
        (_POINT, "100 kN", Fraction(100_000)),
        (_POINT, "101 kN", '!"101 kN" is out of bounds: at most 100 kN is accepted'),
        (_POINT, "2", '!"2" can\'t be read: write a force like "300 lb" or "2 kN"'),
    ],
}  # fmt: skip


@pytest.mark.parametrize("about", VALUES)
def test_a_value_is_read_from_its_least_to_its_greatest(about: str) -> None:
    for kind, raw, wanted in VALUES[about]:
        found = read(kind, raw)
        if isinstance(wanted, str) and wanted.startswith("!"):
            assert isinstance(found, Told) and found == wanted[1:], raw
        else:
            assert not isinstance(found, Told), (raw, found)
            assert found == wanted and type(found) in (type(wanted), Fraction), raw


#: What JSON Schema can't see: numbers inside texts, and how two go together.
READERS_OWN = (
    *((Length, "20.000000001"), (Reading, {"along": 399, "down": "-40 cm"})),
    *((Load, text) for text in ("100.01 kN/m2", "40 lb", "101 kN", "2")),
)


@pytest.mark.parametrize("about", VALUES)
def test_the_schema_of_a_kind_takes_what_reads_and_no_more(about: str) -> None:
    for kind, raw, _ in VALUES[about]:
        try:
            same = json.loads(json.dumps(raw, allow_nan=False)) == raw
        except ValueError:
            continue
        if not same or (isinstance(raw, dict) and None in raw.values()):
            continue  # no JSON, or what only plain data has
        schema = Draft202012Validator({**kind.schema(), "allOf": [kind.limits("mm")]})
        reads = not isinstance(read(kind, raw), Told)
        assert schema.is_valid(raw) == (reads or (type(kind), raw) in READERS_OWN), raw


def test_no_amount_is_less_than_nothing_by_its_sign() -> None:
    assert math.copysign(1, read(Money(50), -0.0)) == 1


def test_bounds_in_inches_are_shown_such_that_they_are_accepted() -> None:
    """10 and 20 mm are 0.3937 and 0.7874 in; a tenth is 0.003937, which rounds inward to 0.004."""
    assert span(10, 20, "in") == "0.394 to 0.787 in" and span(10, 20, "mm") == "10 to 20 mm"
    assert span(-20, 0.1, "in") == "-0.787 to 0.003 in" and span(0.1, 25.4, "in") == "0.004 to 1 in"
    assert span(0, 600_000, "mm") == "0 to 600000 mm"
    for written in (0.394, 0.787):
        assert read(Length(10, 20), written, "in") == Fraction(str(written)) * INCH
    assert Length(10, 20).accepted() == "length, 10 to 20 mm (0.394 to 0.787 in)"
    # Half a litre is 0.01766 cubic feet, and 2000 are 70.6293.
    assert read(Volume(0.5, 2000), 0.018, "in") == Fraction("0.018") * (12 * INCH) ** 3
    assert read(Volume(0.5, 2000), 70.629, "in") == Fraction("70.629") * (12 * INCH) ** 3
    for beyond in (0.0179, 70.6291):
        told = read(Volume(0.5, 2000), beyond, "in")
        assert told == f"{beyond} is out of bounds: 0.018 to 70.629 cubic feet is accepted"


def test_a_size_that_is_none_is_shown_as_it_may_be_meant() -> None:
    """Measures, as they are written in an array; a nominal size that is none in the list is not taken for them."""
    for raw, inches, mm in (
        ("1.5 x 5.5", "[1.5, 5.5]", ""),
        ("1 1/2 X 5 1/2 in", '["1 1/2", "5 1/2 in"]', ""),
        ("38 × 140 mm", "", '[38, "140 mm"]'),
        ("38mm x 140mm", '["38mm", "140mm"]', '["38mm", "140mm"]'),
        ("50x150", "", "[50, 150]"),
        ("¾x11", '["¾", 11]', ""),
        ("2x13", "", ""),
        ("5/4x7", "", ""),
        ("5/4x7.25", '["5/4", 7.25]', ""),
        ("1.5x5.5x8", "", ""),
        ("1.5", "", ""),
        ("0.1x5.5", "", ""),
    ):
        for unit, meant in (("in", inches), ("mm", mm)):
            told = read(_SIZE, raw, unit)  # type: ignore[arg-type]
            start = f'"{raw}" is no nominal size: write '
            if meant:
                assert told == f"{start}what it measures as {meant}", (raw, unit)
            else:
                assert told.startswith(f"{start}[thickness, width] as they measure, or one of 1x4, 1x6, "), (raw, unit)


def test_volumes_in_cubic_feet_are_shown_such_that_they_are_accepted() -> None:
    """25 litres are 0.882867 cubic feet, and 30 are 1.05944."""
    assert read(Volume(25, 30), 0.882, "in") == "0.882 is out of bounds: 0.883 to 1.059 cubic feet is accepted"


def test_what_kinds_are_made_of() -> None:
    words = OneOf("a", "b", same={"A": "a"}, instead={"c": "write b"})
    assert (read(words, "A"), read(words, "c")) == ("a", '"c" is not accepted: write b')
    assert read(OneOf("a", "b"), "c") == '"c" is not accepted: write "a" or "b"'
    assert [read(YesOrCount(2), count) for count in (1, 2)] == [1, 2]
    key = Key("a", Whole(1, 2), Absent(""), "x")
    assert "oneOf" not in Record(key).schema() and Record(key, together={"oneOf": [1]}).schema()["oneOf"] == [1]


def test_lengths_are_what_their_nine_decimals_stand_for() -> None:
    third = INCH / 3
    for length, unit, wanted in (
        (third, "in", third),
        (Fraction(190), "in", Fraction(190)),
        (Fraction("0.1234"), "in", Fraction("0.1234")),
        (INCH * Fraction(5, 64), "mm", INCH * Fraction(5, 64)),
        (INCH * 68 / 3, "mm", INCH * 68 / 3),
        (INCH * 3 / 64, "in", INCH * 3 / 64),
        (INCH * 2 / 65, "mm", Fraction("0.781538462")),
        (Fraction("1.2345678"), "mm", Fraction("1.2345678")),
        (Fraction("1.23456789049"), "mm", Fraction("1.23456789")),
        (Fraction(10**12), "mm", Fraction(10**12)),
        (-Fraction(10**30) - Fraction(4, 10**10), "mm", Fraction(-(10**30))),
    ):
        assert settled(length, unit) == wanted, length  # type: ignore[arg-type]


def test_keys_of_odd_names_are_quoted() -> None:
    assert dotted("a", "b-C_9") == "a.b-C_9" and dotted("", "b") == "b"
    assert dotted("a", "b.c") == 'a."b.c"' and dotted("", "") == '""'
    assert dotted("a", "x" * 60) == "a." + "x" * 60 and dotted("", "x" * 61) == f'"{"x" * 59}…"'


def test_faults_past_a_hundred_are_counted() -> None:
    ctx = Context()
    for n in range(102):
        assert ctx.bad(f"k{n}", "x") is BAD
    assert (len(ctx.faults), ctx.faults[-1].key, ctx.untold) == (100, "k99", 2)


#: A key that nobody knows, as it stands in a job, and what is told of it.
UNKNOWN = {
    "units": ("Unit = 'in'", "Unit: unknown key; did you mean units?"),
    "dashes and case": ("stair = {Unit-Run = 3}", "stair.Unit-Run: unknown key; did you mean unit_run?"),
    "spaces": ("stair = {'unit run' = 3}", 'stair."unit run": unknown key; did you mean unit_run?'),
    "upper case": ("layers = {Cutt = 'x'}", "layers.Cutt: unknown key; did you mean CUT?"),
    "elsewhere": ("dxf = {sill_notches = 3}", "dxf.sill_notches: unknown key; did you mean stringer.sill_notch?"),
    "inside": ("dxf = {deep = 3}", "dxf.deep: unknown key; did you mean stringer.sill_notch.deep?"),
    "deep inside": ("dxf = {spacing = 3}", "dxf.spacing: unknown key; did you mean stringer.plate.bracket.spacing?"),
    "of a list": ("dxf = {from_edge = 3}", "dxf.from_edge: unknown key; did you mean as_cut.from_edge?"),
    "of many tables": ("cutter = {size = 3}", "cutter.size: unknown key; did you mean stock.size?"),
    "of the top": ("nosing = 3", "nosing: unknown key; did you mean stair.nosing?"),
    "a table": (
        "dxf = {holez = 3}",
        "dxf.holez: unknown key; did you mean holes, a table of its own? known here: version",
    ),
    "nothing near": ("dxf = {q = 3}", "dxf.q: unknown key; nearest is version; known here: version"),
    "without a name": ("dxf = {'' = 3}", 'dxf."": unknown key; nearest is version; known here: version'),
    **{
        word: (
            f"stair = {{{word} = 3}}",
            f"stair.{word}: unknown key; a job is one straight flight: write a job for each flight between landings, "
            "its heights from its own upper floor, and export them together",
        )
        for word in ("landing", "Landings", "flights", "winder", "turns")
    },
}


@pytest.mark.parametrize("about", UNKNOWN)
def test_a_key_that_nobody_knows(about: str) -> None:
    text, wanted = UNKNOWN[about]
    with pytest.raises(JobFaults) as caught:
        job_from_text(f"site = {{total_rise = 40}}\n{text}")
    assert caught.value.lines == (f"job: {wanted}",)


def test_faults_past_a_hundred_of_a_job_are_told_as_a_number() -> None:
    """A hundred of either sort are told, unknown keys first."""

    def told(unknown: int, wrong: int) -> tuple[str, ...]:
        site = {"profile": [[0, "x"]] * wrong} if wrong else {"total_rise": 40}
        with pytest.raises(JobFaults) as caught:
            job_of({"site": site, "dxf": {f"version{n}": "r12" for n in range(unknown)}})
        return tuple(fault.key or fault.text for fault in caught.value.faults)

    keys = tuple(f"dxf.version{n}" for n in range(100))
    downs = tuple(f"site.profile[{n}].down" for n in range(100))
    assert told(100, 2) == (*keys, *downs[:2]) and told(1, 100) == (*keys[:1], *downs)
    assert told(104, 103) == (*keys, *downs, "and 7 more faults")
    assert told(0, 103) == (*downs, "and 3 more faults") and told(101, 0) == (*keys, "and 1 more faults")


# What tables come to.


def job(text: str) -> Job:
    return job_from_text(text).job


def test_the_form_says_what_is_left_out() -> None:
    metric = "units = 'mm'\n[site]\ntotal_rise = 900\n[stringer]\nform = "
    bracket = Bracket(diameter=14, slot=0, count=2, at=(75, 38), spacing=100, edge_least=28)
    for form, count, throat, margin, housing, plate in (
        ("'notched'", 3, 127, 0, None, None),
        ("'housed'", 2, 25, 50, Housing(12, 0, 0, None), None),
        ("'plate'", 2, 50, 50, None, Plate("straight", bracket)),
        ("'plate'\nplate = {profile = 'saw-tooth'}", 2, 50, 0, None, Plate("saw-tooth", bracket)),
    ):
        made = job(metric + form).stringer
        assert (made.count, made.throat_least, made.margin) == (count, throat, margin), form
        assert (made.housing, made.plate) == (housing, plate), form
        assert made.toothed == (margin == 0) and made.kind.notched == (form == "'notched'")
    for form, throat in (("notched", 5), ("housed", 1), ("plate", 2)):
        made = job(LANDING + f"[stringer]\nform = '{form}'").stringer
        assert made.throat_least == throat * 25.4 and made.margin == (0 if form == "notched" else 50.8)
    inches = job(LANDING + "[stringer]\nform = 'plate'").stringer.plate
    assert inches and inches.bracket == Bracket(0.5625 * 25.4, 0, 2, (76.2, 38.1), 101.6, 1.125 * 25.4)


def test_holes() -> None:
    text = (
        "units = 'mm'\nsite = {total_rise = 900}\nholes = [{what = 'post', diameter = 11, near = 'tread', at = [-5, 6]"
        "}, {what = 'x', diameter = 4, near = 'tread', tread = [4, 1, 4], at = [5, 6], edge_least = 0}, "
        "{what = 'y', diameter = 4, near = 'tread', tread = 'all', at = [5, 6]}]"
    )
    whole = job_from_text(text)
    assert whole.job.holes == (
        HoleSpec("post", 11.0, "tread", None, (-5.0, 6.0), 22.0),
        HoleSpec("x", 4.0, "tread", (1, 4), (5.0, 6.0), 0.0),
        HoleSpec("y", 4.0, "tread", None, (5.0, 6.0), 8.0),
    )
    assert [hole["tread"] for hole in whole.values["holes"]] == [None, [1, 4], "all"]


def test_posts_stand_at_treads_in_their_order() -> None:
    rail = job(LANDING + "[rail]\nposts = [5, 2, 5]\ntop_rail = [1.5, 4]\npast = [3, 2]").rail
    assert rail and (rail.posts, rail.past) == ((2, 5), (76.2, 50.8))
    assert rail.post == LumberSize("4x4", 88.9, 88.9) and rail.top_rail == LumberSize(None, 38.1, 101.6)
    assert (rail.bottom_rail.name, rail.baluster.name, rail.sides) == ("2x4", "2x2", ("left", "right"))
    plain = job(LANDING + "[rail]\nside = 'right'").rail
    assert plain and plain.posts is None and plain.past is None and plain.sides == ("right",)


def test_loads_are_written_back_as_they_read_again() -> None:
    both = job_from_text(LANDING + "[loads]\nlive = '40 psf'\npoint = '300 lb'\nduration = 'permanent'")
    assert both.job.loads == Loads(0.001915210359, 1334.466485, None, "permanent")
    assert both.values["loads"] == {
        "live": "1.915210359 kN/m2", "point": "1.334466485 kN", "dead": None, "duration": "permanent"
    }  # fmt: skip
    assert job_of({"site": {"total_rise": 40}, "loads": both.values["loads"]}).job.loads == both.job.loads


def test_extras_that_are_asked_for() -> None:
    notch = LANDING + "[stringer]\nsill_notch = {deep = 5, high = 1.5}\n[extras]\n"
    for given, plates, any_asked in (("", 0, False), ("sill_plate = true", 1, True), ("sill_plate = 7", 7, True)):
        extras = job(notch + given).extras
        assert (extras.sill_plate, extras.any) == (plates, any_asked)
    for key in ("pitch_gauge", "trial_piece"):
        assert job(LANDING + f"[extras]\n{key} = true").extras.any


def test_tabs_that_are_asked_for() -> None:
    for given, asked in (("", False), ("count = 1", True), ("waste = 'tabbed'", True), ("count = 2\nwidth = 1", True)):
        assert job(f"{LANDING}[tabs]\n{given}").tabs.any == asked, given


BOARD = StockBoards("x", 38.0, 286.0, 286.0, 3000.0, 2, 10.0, ())


def test_entries_alike_add_up_in_the_place_of_the_first() -> None:
    other, open_ended = replace(BOARD, length=4000.0), replace(BOARD, quantity=None)
    assert added_up([BOARD, other, BOARD]) == (replace(BOARD, quantity=4), other)
    assert added_up([BOARD, open_ended, BOARD]) == (open_ended,) == added_up([open_ended, BOARD])
    assert added_up([replace(BOARD, quantity=0)]) == (replace(BOARD, quantity=0),) and added_up([]) == ()


def test_stretches_that_touch_are_one() -> None:
    found = merged([(Fraction(n), Fraction(m)) for n, m in ((30, 33), (5, 9), (9, 10), (31, 32), (40, 41), (6, 7))])
    assert found == [(5, 10), (30, 33), (40, 41)]


def test_a_board_is_as_wide_as_its_narrowest_reading() -> None:
    text = "units = 'mm'\nsite = {total_rise = 900}\n"
    board = "size = [38, 286], length = 3000"
    read_off = f"{board}, widths = [285, 283, 298.6], defects = [[20, 30], [0, 20]]"
    two = job(f"{text}stock = [{{{read_off}}}, {{{board}}}]").stock
    assert [(each.width, each.least_width, each.defects) for each in two] == [
        (286.0, 283.0, ((0.0, 30.0),)), (286.0, 286.0, ())
    ]  # fmt: skip
    lumber = job(f"{text}lumber = [{{{board}, quantity = 3}}, {{{board}, quantity = 2, price = 4}}]").lumber
    assert lumber == (
        StockBoards("38 x 286 mm", 38.0, 286.0, 286.0, 3000.0, 3, None, ()),
        StockBoards("38 x 286 mm", 38.0, 286.0, 286.0, 3000.0, 2, 4.0, ()),
    )


def test_readings_of_what_was_cut() -> None:
    assert job(LANDING).as_cut == ()
    text = LANDING + "[[as_cut]]\nmark = 'tip 1'\nalong = 10\nfrom_edge = '1/2'\n[[as_cut]]\nlength = 60"
    assert job(text).as_cut == (AsCutReading("tip 1", along=254.0, from_edge=12.7), AsCutReading(length=1524.0))


def test_lumber_is_of_a_section_up_to_half_a_millimetre() -> None:
    size = LumberSize(None, 38.0, 140.0)
    for thickness, width, alike in ((38.0, 140.0, 1), (38.49, 139.51, 1), (38.5, 140.0, 0), (38.0, 139.5, 0)):
        assert size.is_section_of(LumberSize("2x6", thickness, width)) == bool(alike), (thickness, width)
    assert (size.label("mm"), LumberSize("2x6", 38.1, 139.7).label("mm")) == ("38 x 140 mm", "2x6")
    for each in (LumberSize(None, 38.1, 139.7), Size(None, 3 * INCH / 2, 11 * INCH / 2)):
        assert each.label("in") == "1.5 x 5.5 in"


def test_parts_keep_clear_of_each_other() -> None:
    """A quarter more than the cutter's width; half as much again with centre lines, and a lead besides."""
    base = job(LANDING)
    for cutter, gap, edges, part, loose in (
        (Cutter("router", 10.0, "relieved", "design", 0.0), 5.0, "factory", 12.5, 12.5),
        (Cutter("beam", 0.4, "relieved", "design", 0.0), 0.0, "factory", 0.5, 0.5),
        (Cutter("beam", 0.4, "relieved", "centre", 0.0), 0.0, "trimmed", 0.6, 0.6),
        (Cutter("router", 10.0, "relieved", "design", 0.0, lead=9.0), 5.0, "trimmed", 12.5, 12.5),
        (Cutter("router", 10.0, "relieved", "centre", 0.0), 5.0, "trimmed", 15.0, 15.0),
        (Cutter("router", 10.0, "relieved", "centre", 0.0, lead=9.0), 5.0, "trimmed", 24.0, 24.0),
        (Cutter("router", 10.0, "relieved", "centre", 0.0, lead=9.0), 5.0, "factory", 15.0, 24.0),
        (Cutter("router", 10.0, "relieved", "centre", 0.0, lead=9.0), 30.0, "factory", 30.0, 30.0),
    ):
        machine, stringer = replace(base.machine, part_gap=gap), replace(base.stringer, edges=edges)
        made = replace(base, cutter=cutter, machine=machine, stringer=stringer)
        assert (made.part_gap, made.loose_gap) == pytest.approx((part, loose)), (cutter, gap, edges)
        assert made.cutter.radius * 2 == cutter.width


def test_what_a_job_s_stock_is() -> None:
    sheet = replace(BOARD, kind="sheet")
    base = job(LANDING)
    for trim, end, stock, side in ((3.0, 6.0, BOARD, 3.0), (3.0, 6.0, sheet, 6.0), (7.0, 6.0, sheet, 7.0)):
        made = replace(
            base,
            stock=(stock,),
            machine=replace(base.machine, end_trim=end),
            stringer=replace(base.stringer, edge_trim=trim),
        )
        assert made.side_trim == side
        assert made.stock_word == stock.kind and made.on_sheets == (stock is sheet)


def test_whether_a_job_lists_more_than_stringers() -> None:
    assert not job(LANDING).lists_pieces
    for table in ("treads]\nsize = '2x6'", "rail]", "riser_boards]\nsize = '1x8'\n[stair]\nriser_board = 0.75"):
        assert job(f"{LANDING}[{table}").lists_pieces, table
    usual, own = job(LANDING).sawing, job(LANDING + "[saw]\nwidth = 0.25").sawing
    assert (usual.width, usual.end_trim, usual.nearest) == (3.175, 0.0, 1.5875) and own.width == 6.35
    assert job("units = 'mm'\n[site]\ntotal_rise = 900").sawing.width == 3.0


# The whole.


def test_a_job_is_a_table() -> None:
    for raw, shown in ((None, "nothing"), ([1], "an array of 1"), ("a", '"a"')):
        with pytest.raises(JobFaults) as caught:
            job_of(raw)  # type: ignore[arg-type]
        (line,) = caught.value.lines
        assert line.startswith(f"job: {shown} is no job: give a table with units, job, site, stair,")


def test_what_is_none_is_left_out() -> None:
    site = {"total_rise": 40, "profile": None}
    whole = job_of({"units": None, "site": site, "stock": None, "stair": {"nosing": None}})
    same = job_from_text(LANDING)
    assert (whole == same, whole != same, whole.own_stock) == (True, False, False)
    assert job_of({"site": {"total_rise": 40}, "stock": whole.values["stock"]}).own_stock
    other = job_from_text(LANDING + "[stair]\nnosing = 2")
    assert (whole == other, whole != other) == (False, True) and "treads" not in whole.values
    assert whole != whole.job and whole.job.name == UNNAMED.name


def test_jobs_are_read_as_many_as_can_be(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(LANDING)
    bad.write_text("units = 3")
    found, faults = read_jobs([bad, good, tmp_path / "none.toml"])
    assert [(name, each.job.name) for name, each in found] == [(str(good), "good")]
    assert [name for name, _ in faults] == [str(bad), str(tmp_path / "none.toml")]
    assert not isinstance(faults[1][1], OSError)

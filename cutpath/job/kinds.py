"""What one value of a job file can be: each kind reads it, writes it plainly and describes it.

These are plain classes, one for each way of reading, and not values: none is compared, and none is changed once made.
"""

from __future__ import annotations

import math
import re
from abc import ABC, abstractmethod
from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from cutpath.faults import KeyFault
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.tomlfile.read import given
from cutpath.units import LONGEST_TEXT, MM_PER_INCH, parse_length, quoted, written

if TYPE_CHECKING:
    from cutpath.units import Unit

#: A JSON Schema, or a part of one.
Schema = dict[str, Any]

#: Stands for a value that was given and is at fault.
BAD: Final = object()

#: More faults than this are counted and not told: nobody reads them.
MOST_FAULTS: Final = 100

#: What a text needs to be a length by JSON Schema: a digit or a fraction sign, and no comma.
_LENGTH_PATTERN: Final = "^[^,]*[0-9０-９⁰¹²³⁴-⁹¼-¾⅐-⅞][^,]*$"

Values = dict[str, Any]
"""What was read, by key."""


class Context:
    """One reading of one job: the unit in force and the faults found so far."""

    def __init__(self, unit: Unit = "in", known: bool = True) -> None:
        """Start with no faults.

        Args:
            unit: what bare numbers mean.
            known: whether the unit is; where it is at fault itself, no length is known, and none is told as wrong.
        """
        self.unit: Unit = unit
        self.known = known
        self.faults: list[KeyFault] = []
        self.untold = 0
        #: Unknown keys: the table they stand in, their name, the names known there.
        self.unknown: list[tuple[str, str, tuple[str, ...]]] = []

    def bad(self, at: str, fault: str) -> Any:
        """Note a fault at a key; gives `BAD`."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(KeyFault(at, fault))
        else:
            self.untold += 1
        return BAD


def dotted(table: str, name: str) -> str:
    """A key's full name, quoted where it is not made of plain letters, digits, _ and -."""
    shown = name if re.fullmatch(r"[A-Za-z0-9_-]{1,60}", name) else quoted(name)
    return f"{table}.{shown}" if table else shown


def span(low: float, high: float, unit: Unit) -> str:
    """Bounds in millimetres, in the job's unit, rounded inward so that what is shown is accepted."""
    factor = MM_PER_INCH if unit == "in" else 1
    least = math.ceil(Fraction(str(low)) / factor * 1000) / 1000
    most = math.floor(Fraction(str(high)) / factor * 1000) / 1000
    return f"{least:g} to {most:.10g} {unit}"


#: Past the bounds of every length, millimetres.
_BEYOND: Final = 10**12


def settled(length: Fraction, unit: Unit) -> Fraction:
    """The length that its nine decimals in files stand for, so that what is written reads back as the very same.

    Of all lengths that are written alike it is the simplest: tenths of a micrometre, else inches in sixty-fourths or
    coarser fractions, thirds too, else the decimals themselves. So "1/3 in" and "190 mm" stay exact in any job.

    Args:
        length: millimetres.
        unit: of the job.
    """
    step = (MM_PER_INCH if unit == "in" else 1) * Fraction(1, 10**WRITTEN_DECIMALS)
    # By the very rounding that files go through, which at a tie isn't the fraction's own. What no float holds is out of
    # every bound and is never written.
    if abs(length) < _BEYOND:
        count = round(Fraction(repr(written(length, unit))) * 10**WRITTEN_DECIMALS)
    else:
        count = round(length / step)
    plain = count * step
    # A number of fewer decimals is what somebody wrote.
    if count % 100:
        simple = (Fraction(round(plain * 10**4), 10**4), (plain / MM_PER_INCH).limit_denominator(64) * MM_PER_INCH)
        return next((near for near in simple if round(near / step) == count), plain)
    return plain


class Kind(ABC):
    """What a value can be."""

    @abstractmethod
    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """The value of what stands in the file, lengths in exact millimetres; `BAD` with a fault noted."""

    def plain(self, value: Any, unit: Unit) -> Any:
        """A value as JSON-able data in the job's unit, such as a job file could hold."""
        return value

    def frozen(self, value: Any) -> Any:
        """A value as the frozen job holds it: lengths as floats of millimetres, arrays as tuples, tables as objects."""
        return value

    @abstractmethod
    def accepted(self) -> str:
        """What is accepted, in a few words."""

    @abstractmethod
    def schema(self) -> Schema:
        """JSON Schema, without the bounds that depend on the job's unit."""

    def limits(self, unit: Unit) -> Schema:
        """JSON Schema of the bounds on bare numbers in `unit`; empty where there are none."""
        return {}


class Length(Kind):
    """A length from `low` to `high` millimetres, both included."""

    def __init__(self, low: float, high: float) -> None:
        self.low = low
        self.high = high

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """Exact millimetres, as `settled`; `BAD` without a fault of its own where the job's unit is at fault."""
        if isinstance(raw, bool) or not isinstance(raw, int | float | str):
            return ctx.bad(at, f"{given(raw)} is no length, which is a number or a text")
        try:
            length = settled(parse_length(raw, ctx.unit), ctx.unit)
        except ValueError as why:
            return ctx.bad(at, str(why))
        if not ctx.known:
            return BAD
        if not Fraction(str(self.low)) <= length <= Fraction(str(self.high)):
            return ctx.bad(at, f"{given(raw)} is out of bounds: {span(self.low, self.high, ctx.unit)} is accepted")
        return length

    def plain(self, value: Any, unit: Unit) -> Any:
        """A number in the job's unit."""
        return written(value, unit)

    def frozen(self, value: Any) -> Any:
        """A float."""
        return float(value)

    def accepted(self) -> str:
        """Bounds in both units."""
        return f"length, {span(self.low, self.high, 'mm')} ({span(self.low, self.high, 'in')})"

    def schema(self) -> Schema:
        """A number, or a text that holds one."""
        return {"type": ["number", "string"], "pattern": _LENGTH_PATTERN, "maxLength": LONGEST_TEXT}

    def limits(self, unit: Unit) -> Schema:
        """Bounds, which JSON Schema holds against numbers only."""
        # Rounded as files are, so that a length at its bound is accepted there as well.
        low, high = (written(Fraction(str(end)), unit) for end in (self.low, self.high))
        return {"minimum": low, "maximum": high}


class YesOrCount(Kind):
    """True, false, or a whole number from 1 to `high`."""

    def __init__(self, high: int) -> None:
        self._count: Final = Whole(1, high)

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """What stands there; 2.0 is 2."""
        if isinstance(raw, bool):
            return raw
        if isinstance(raw, float) and raw.is_integer():
            raw = int(raw)
        if not isinstance(raw, int) or not self._count.low <= raw <= self._count.high:
            return ctx.bad(at, f"{given(raw)} is not accepted: write {self.accepted()}")
        return raw

    def frozen(self, value: Any) -> Any:
        """A count: 1 for true, 0 for false."""
        return int(value)

    def accepted(self) -> str:
        """All forms."""
        return f"true or false, or a {self._count.accepted()}"

    def schema(self) -> Schema:
        """Either."""
        return {"anyOf": [{"type": "boolean"}, self._count.schema()]}


class Whole(Kind):
    """A whole number from `low` to `high`, both included."""

    def __init__(self, low: int, high: int) -> None:
        self.low = low
        self.high = high

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """An int; 8.0 is 8."""
        if isinstance(raw, float) and raw.is_integer():
            raw = int(raw)
        if isinstance(raw, bool) or not isinstance(raw, int) or not self.low <= raw <= self.high:
            return ctx.bad(at, f"{given(raw)} is not accepted: write a {self.accepted()}")
        return raw

    def accepted(self) -> str:
        """Its bounds."""
        return f"whole number, {self.low} to {self.high}"

    def schema(self) -> Schema:
        """An integer."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


class Money(Kind):
    """An amount in the user's money, 0 to `high`."""

    def __init__(self, high: float) -> None:
        self.high = high

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A float, never a negative zero."""
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw <= self.high:
            return ctx.bad(at, f"{given(raw)} is not accepted: write an {self.accepted()}")
        return float(raw) + 0.0

    def accepted(self) -> str:
        """Its bounds."""
        return f"amount, a number without a currency, 0 to {self.high:.0f}"

    def schema(self) -> Schema:
        """A number."""
        return {"type": "number", "minimum": 0, "maximum": self.high}


class OneOf(Kind):
    """One of a few words."""

    def __init__(
        self, *words: str, same: Mapping[str, str] | None = None, instead: Mapping[str, str] | None = None
    ) -> None:
        """Name the words.

        Args:
            words: those that are written back.
            same: other words that are understood, each with the one it means.
            instead: words that can't be had, each with what to write instead.
        """
        self.words = words
        self.same = same or {}
        self.instead = instead or {}

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """The word, for another that means the same too."""
        if raw in self.words:
            return raw
        if isinstance(raw, str) and raw in self.same:
            return self.same[raw]
        way_out = self.instead.get(raw.lower()) if isinstance(raw, str) else None
        return ctx.bad(at, f"{given(raw)} is not accepted: {way_out or f'write {self.accepted()}'}")

    def accepted(self) -> str:
        """The words."""
        words = [f'"{word}"' for word in self.words]
        return ", ".join(words[:-1]) + " or " + words[-1]

    def schema(self) -> Schema:
        """The words."""
        return {"enum": [*self.words, *self.same]}


class YesNo(Kind):
    """Whether or not."""

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A bool."""
        return raw if isinstance(raw, bool) else ctx.bad(at, f"{given(raw)} is not accepted: write {self.accepted()}")

    def accepted(self) -> str:
        """Both."""
        return "true or false"

    def schema(self) -> Schema:
        """A boolean."""
        return {"type": "boolean"}


class Text(Kind):
    """Any text of one line, up to `longest` characters, emoji and slashes too."""

    #: Control characters and the line breaks of Unicode.
    _UNFIT: Final = "\x00-\x1f\x7f-\x9f\u2028\u2029"

    def __init__(self, longest: int) -> None:
        self.longest = longest

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """The text as it stands."""
        if not isinstance(raw, str):
            return ctx.bad(at, f"{given(raw)} is no text: put it in quotes")
        if not raw.strip():
            return ctx.bad(at, f"{given(raw)} is blank: write something, or leave the key out")
        if len(raw) > self.longest:
            return ctx.bad(at, f"{given(raw)} has {len(raw)} characters: at most {self.longest} are accepted")
        if re.search(f"[{self._UNFIT}]", raw):
            return ctx.bad(at, f"{given(raw)} holds a line break or a control character: write plain text")
        return raw

    def accepted(self) -> str:
        """Its length."""
        return f"text of one line, up to {self.longest} characters"

    def schema(self) -> Schema:
        """A text without control characters that is not blank."""
        unfit = r"\u0000-\u001f\u007f-\u009f\u2028\u2029"
        return {
            "type": "string",
            "minLength": 1,
            "maxLength": self.longest,
            "pattern": rf"^[^{unfit}]*[^\s{unfit}][^{unfit}]*$",
        }

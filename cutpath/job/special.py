"""The kinds of value that only one key takes: a tape reading, a board's size, a bag's yield, a layer's name."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from cutpath.job.compound import Pair, Record, comma_hint
from cutpath.job.kinds import BAD, Context, Kind, Schema, Text
from cutpath.job.sizes import nominal_sizes, plain_name
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.tomlfile.read import given
from cutpath.units import quoted, written
from cutpath.volume import MM3_PER_CUBIC_FOOT, MM3_PER_LITRE, VOLUME_NAMES, to_volume, volume_factor

if TYPE_CHECKING:
    from cutpath.units import Unit


_TIMES: Final = re.compile("[xX×]")
_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?")
#: A fraction, decimals or a unit: no nominal size has them, but for five-quarter boards.
_MEASURED: Final = re.compile('[./¼-¾⅐-⅞"″]|[cm]m|in')
#: Numbers from here on are not looked into: a float could not hold a whole one of hundreds of digits.
_ENDLESS: Final = 1e30


class Reading(Kind):
    """One tape reading: a pair (out, down), or a table of a taut tape's length and the drop."""

    def __init__(self, level: Pair, taut: Record) -> None:
        self.level = level
        self.taut = taut

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """The pair (out, down), out worked out from the taut tape where that was read and held to the same bounds."""
        if not isinstance(raw, dict):
            if not isinstance(raw, list) or len(raw) != 2:
                return ctx.bad(at, f"{given(raw)} is not accepted: write {self.accepted()}{comma_hint(raw)}")
            return self.level.read(raw, at, ctx)
        taut = self.taut.read(raw, at, ctx)
        along, down = taut["along"], taut["down"]
        if along is BAD or down is BAD:
            return BAD
        if along < abs(down):
            return ctx.bad(
                at,
                f"along = {given(raw['along'])} is shorter than down = {given(raw['down'])}, "
                "which no taut tape can be: measure both again",
            )
        out = written(math.sqrt(along * along - down * down), ctx.unit)
        both = (self.level.items[0][1].read(out, f"{at}.out", ctx), down)
        return BAD if BAD in both else both

    def plain(self, value: Any, unit: Unit) -> Any:
        """An array [out, down]."""
        return self.level.plain(value, unit)

    def frozen(self, value: Any) -> Any:
        """A tuple (out, down)."""
        return self.level.frozen(value)

    def accepted(self) -> str:
        """Both forms."""
        return f"{self.level.shape()} or {self.taut.accepted()}"

    def schema(self) -> Schema:
        """Either form."""
        return {"anyOf": [self.level.schema(), self.taut.schema()]}

    def limits(self, unit: Unit) -> Schema:
        """Bounds of both; each is held against values of its own type only."""
        return {**self.level.limits(unit), **self.taut.limits(unit)}


class Size(NamedTuple):
    """A board's dressed thickness and width in exact millimetres; `name` the nominal size, if by that."""

    name: str | None
    thickness: Fraction
    width: Fraction

    def label(self, unit: Unit) -> str:
        """What the size is called, for people."""
        if self.name:
            return self.name
        return f"{written(self.thickness, unit):g} x {written(self.width, unit):g} {unit}"


class BoardSize(Kind):
    """A nominal size by name, or a pair (thickness, width)."""

    def __init__(self, pair: Pair) -> None:
        self.pair = pair

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A `Size`."""
        if isinstance(raw, str):
            name = plain_name(raw)
            sizes = nominal_sizes()
            if name in sizes:
                return Size(name, sizes[name].thickness, sizes[name].width)
            return ctx.bad(at, f"{quoted(raw)} is no nominal size: {self._meant(raw, ctx) or self._sizes()}")
        if not isinstance(raw, list):
            return ctx.bad(at, f'{given(raw)} is no size: write one like "2x12", or {self.pair.shape()}')
        pair = self.pair.read(raw, at, ctx)
        return BAD if pair is BAD else Size(None, *pair)

    def _meant(self, raw: str, ctx: Context) -> str:
        """How measures written as one text are written; empty where a nominal size may be meant by it."""
        both = [part.strip() for part in _TIMES.split(raw)]
        if len(both) != 2 or (ctx.unit == "in" and not _MEASURED.search(raw.replace("5/4", ""))):
            return ""
        if self.pair.read(both, "", Context(ctx.unit)) is BAD:
            return ""
        items = ", ".join(part if _NUMBER.fullmatch(part) else quoted(part) for part in both)
        return f"write what it measures as [{items}]"

    def _sizes(self) -> str:
        return f"write {self.pair.shape()} as they measure, or one of {', '.join(nominal_sizes())}"

    def plain(self, value: Any, unit: Unit) -> Any:
        """The name, or an array [thickness, width]."""
        return value.name or self.pair.plain((value.thickness, value.width), unit)

    def accepted(self) -> str:
        """Both forms."""
        return f'a nominal size like "2x12", or {self.pair.accepted()}'

    def schema(self) -> Schema:
        """Either form."""
        names = "|".join(name.replace("x", r"\s*[xX×]\s*") for name in nominal_sizes())
        return {"anyOf": [{"type": "string", "pattern": rf"^\s*({names})\s*$"}, self.pair.schema()]}

    def limits(self, unit: Unit) -> Schema:
        """Bounds of the pair."""
        return self.pair.limits(unit)


class Volume(Kind):
    """A volume from `low` to `high` litres, both included: a number of cubic feet, or of litres in a metric job."""

    def __init__(self, low: float, high: float) -> None:
        self.low = low
        self.high = high

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """Exact cubic millimetres, to nine decimals of what it is given in; without the job's unit as a length."""
        name = VOLUME_NAMES[ctx.unit]
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) < _ENDLESS:
            return ctx.bad(at, f"{given(raw)} is no volume: write a number of {name}, without a unit")
        low, high = self._bounds(ctx.unit)
        if not ctx.known:
            return BAD
        if not low <= raw <= high:
            return ctx.bad(at, f"{given(raw)} is out of bounds: {low:g} to {high:g} {name} is accepted")
        return Fraction(repr(round(raw, WRITTEN_DECIMALS))) * volume_factor(ctx.unit)

    def plain(self, value: Any, unit: Unit) -> Any:
        """A number of cubic feet or litres."""
        return to_volume(value, unit)

    def frozen(self, value: Any) -> Any:
        """Cubic millimetres, a float."""
        return float(value)

    def accepted(self) -> str:
        """Bounds in both."""
        (low, high), (litre, litres) = self._bounds("in"), self._bounds("mm")
        return f'number, {low:g} to {high:g} cubic feet with units = "in", {litre:g} to {litres:g} litres with "mm"'

    def schema(self) -> Schema:
        """A number."""
        return {"type": "number"}

    def limits(self, unit: Unit) -> Schema:
        """Bounds."""
        low, high = self._bounds(unit)
        return {"minimum": low, "maximum": high}

    def _bounds(self, unit: Unit) -> tuple[float, float]:
        """In the unit that numbers are in, rounded inward to what a person would write."""
        if unit == "mm":
            return self.low, self.high
        feet = MM3_PER_LITRE / MM3_PER_CUBIC_FOOT
        return math.ceil(self.low * feet * 1000) / 1000, math.floor(self.high * feet * 1000) / 1000


class LayerName(Text):
    """A layer's name for every DXF version but R12, whose narrower rules are a check between keys."""

    #: What no layer may be called with: AutoCAD's rules for symbol table names (memory).
    _REFUSED: Final = '<>/\\":;?*|=`,'

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """The name as it stands."""
        name = super().read(raw, at, ctx)
        if name is BAD:
            return BAD
        wrong = sorted(set(self._REFUSED) & set(name))
        if wrong:
            return ctx.bad(at, f"{quoted(name)} holds {' '.join(wrong)}, which no layer's name may")
        if name != name.strip():
            return ctx.bad(at, f"{quoted(name)} starts or ends with a space, which shops can't see")
        if name.upper() in ("0", "DEFPOINTS"):
            return ctx.bad(at, f"{quoted(name)} is a layer with a meaning of its own: write another name")
        return name

    def accepted(self) -> str:
        """Its length; what it may hold is for the page around the reference."""
        return f"a layer's name, up to {self.longest} characters"

    def schema(self) -> Schema:
        """A text with none of the characters that are refused."""
        refused = re.escape(self._REFUSED) + r"\u0000-\u001f\u007f-\u009f\u2028\u2029"
        own = rf"^[^\s{refused}]([^{refused}]*[^\s{refused}])?$"
        taken = "^(0|[Dd][Ee][Ff][Pp][Oo][Ii][Nn][Tt][Ss])$"
        return {"type": "string", "maxLength": self.longest, "pattern": own, "not": {"pattern": taken}}

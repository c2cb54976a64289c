"""The keys of what the stair is made of, what it carries and what stands under it: part of the one table in `keys`."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from cutpath.job.compound import Absent, Fixed, Key, Pair, Record, Required
from cutpath.job.kinds import Context, Kind, Length, OneOf, Schema, Text, Whole, YesNo
from cutpath.job.loads import AREA_LOAD_FORMS, FORCE_FORMS, NEWTON_PER_POUND, area_load, force
from cutpath.job.values import Loads, Support, Tolerance, Wood
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.tomlfile.read import given
from cutpath.units import LONGEST_TEXT

if TYPE_CHECKING:
    from cutpath.units import Unit


class Load(Kind):
    """A load as a text with its unit, from 0 to `most` in N or N/mm2."""

    def __init__(self, read: Callable[[str], Fraction], most: float, forms: str, plain: tuple[float, str]) -> None:
        """A kind of load.

        Args:
            read: gives N or N/mm2 of a text, or raises ValueError.
            most: greatest load accepted.
            forms: how it is written, for people.
            plain: N or N/mm2 in one of the unit that it is written back in, and that unit's name.
        """
        self.reader, self.most, self.forms, self.unit = read, most, forms, plain

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """Newtons, or N/mm2."""
        if not isinstance(raw, str):
            return ctx.bad(at, f"{given(raw)} has no unit: {self.forms}")
        try:
            found = self.reader(raw)
        except ValueError as why:
            return ctx.bad(at, str(why))
        if found > self.most:
            return ctx.bad(at, f"{given(raw)} is out of bounds: at most {self._most()} is accepted")
        # What its nine decimals stand for, so that what is written reads back as the very same.
        return Fraction(repr(self._written(found))) * Fraction(repr(self.unit[0]))

    def plain(self, value: Any, unit: Unit) -> Any:
        """The load with its unit, so that it reads back as itself."""
        return f"{self._written(value):.12g} {self.unit[1]}"

    def frozen(self, value: Any) -> Any:
        """A float."""
        return float(value)

    def _written(self, value: Fraction) -> float:
        """A load in the unit that it is written in."""
        return round(float(value / Fraction(repr(self.unit[0]))), WRITTEN_DECIMALS)

    def _most(self) -> str:
        return f"{self.most / self.unit[0]:g} {self.unit[1]}"

    def accepted(self) -> str:
        """The forms."""
        return f"a text, 0 to {self._most()}: {self.forms}"

    def schema(self) -> Schema:
        """A text that starts with a digit."""
        return {"type": "string", "pattern": r"^\s*[0-9.]", "maxLength": LONGEST_TEXT}


#: 100 kN/m2 and 100 kN are far past any stair (common practice, no source).
_AREA: Final = Load(area_load, 0.1, AREA_LOAD_FORMS, (1e-3, "kN/m2"))
_POINT: Final = Load(force, 1e5, FORCE_FORMS, (1e3, "kN"))
assert _POINT.most > NEWTON_PER_POUND

WOOD: Final = Record(
    Key(
        "species",
        Text(80),
        Required(),
        'species as on the grade stamp, such as "Southern Pine" or "SPF", or a strength class such as "C24"',
    ),
    Key("grade", Text(40), Absent("a strength class has none"), 'grade as on the stamp, such as "No. 2"'),
    Key("wet", YesNo(), Fixed(True, True), "over 19 percent moisture in service, or service class 3, as out of doors"),
    Key("treated", YesNo(), Fixed(False, False), "incised for treatment, which takes strength"),
    into=Wood,
)

LOADS: Final = Record(
    Key("live", _AREA, Absent("40 psf, or 3 kN/m2 in a metric job"), "uniform live load on the level"),
    Key("point", _POINT, Absent("300 lb, or 2 kN"), "concentrated live load on a tread, apart from the uniform one"),
    Key("dead", _AREA, Absent("10 psf, or 0.5 kN/m2"), "weight of the stair itself on the level"),
    Key(
        "duration",
        OneOf("normal", "permanent", "two months", "seven days"),
        Fixed("normal", "normal"),
        "how long the live load lasts, which the strength of wood hangs on",
    ),
    into=Loads,
)

STEEL: Final = Record(
    Key("grade", Text(40), Required(), 'grade of a steel plate, such as "A36" or "S235"'),
    into=lambda grade: grade,
)

#: Moisture for which the formula of `design.stack_up.width_change` holds, percent.
_MOISTURE: Final = Whole(8, 19)

TOLERANCE: Final = Record(
    Key("cut", Length(0, 20), Fixed("1/32", 0.8), "a cut line off its place, either way"),
    Key("board_width", Length(0, 30), Fixed("1/16", 1.5), "boards of one stair off the width that was measured"),
    Key("pad", Length(0, 100), Fixed("1/4", 6), "the pad's top off its level"),
    Key(
        "moisture",
        Pair(("cut", _MOISTURE), ("service", _MOISTURE)),
        Absent("no drying is reckoned with"),
        "percent of moisture in the boards when they are cut and in service; the width changes with it",
    ),
    into=Tolerance,
)

SUPPORT: Final = Record(
    Key("at", Length(50, 20000), Required(), "middle of the support, level, out from the header face"),
    Key("length", Length(10, 2000), Fixed("3 1/2", 90), "how much of the flight bears on it, level"),
    into=Support,
)

"""The keys of a stringer's form and of drilled holes: part of the one table in `keys.py`, whose bounds they share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from cutpath.job.compound import Absent, Derived, Fixed, Key, Pair, Record, Required
from cutpath.job.form_values import Bracket, HoleSpec, Housing, Plate
from cutpath.job.kinds import BAD, Context, Kind, Length, OneOf, Schema, Text, Whole
from cutpath.tomlfile.read import given
from cutpath.units import parse_length

if TYPE_CHECKING:
    from cutpath.units import Unit

#: Required wood behind a notch, or between a housing and the board's edge, by form (common practice, no source; the
#: notched one is AWC DCA 6's, memory).
_THROAT: Final[dict[str, dict[Unit, str]]] = {
    "notched": {"in": "5", "mm": "127"},
    "housed": {"in": "1", "mm": "25"},
    "plate": {"in": "2", "mm": "50"},
}


def count_of(stringer: dict[str, Any], unit: Unit) -> Any:
    """Default count of stringers: notched ones stand under the treads, the others beside them."""
    form = stringer["form"]
    return BAD if form is BAD else 3 if form == "notched" else 2


def throat_of(stringer: dict[str, Any], unit: Unit) -> Any:
    """Default of the required throat."""
    form = stringer["form"]
    return BAD if form is BAD else parse_length(_THROAT[form][unit], unit)


def _housing(stringer: dict[str, Any], unit: Unit) -> Any:
    return {} if stringer["form"] == "housed" else None


def _plate(stringer: dict[str, Any], unit: Unit) -> Any:
    return {} if stringer["form"] == "plate" else None


def _two_diameters(hole: dict[str, Any], unit: Unit) -> Any:
    return BAD if hole["diameter"] is BAD else 2 * hole["diameter"]


class Treads(Kind):
    """The treads that something is at: "all", a number from the top, or an array of numbers."""

    _NUMBER: Final = Whole(1, 60)

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A tuple of numbers in order, or "all"."""
        if raw == "all":
            return "all"
        if isinstance(raw, str) or (isinstance(raw, list) and not 1 <= len(raw) <= 60):
            return ctx.bad(at, f"{given(raw)} is not accepted: write {self.accepted()}")
        items = raw if isinstance(raw, list) else [raw]
        numbers = [self._NUMBER.read(item, at, ctx) for item in items]
        return BAD if BAD in numbers else tuple(sorted(set(numbers)))

    def plain(self, value: Any, unit: Unit) -> Any:
        """The word, or an array of numbers."""
        return value if value == "all" else list(value)

    def frozen(self, value: Any) -> Any:
        """A tuple of numbers; None for all."""
        return None if value == "all" else value

    def accepted(self) -> str:
        """All forms."""
        return '"all", the number of a tread counted from the top, or an array of numbers'

    def schema(self) -> Schema:
        """Any form."""
        number = self._NUMBER.schema()
        return {"anyOf": [{"const": "all"}, number, {"type": "array", "items": number, "minItems": 1, "maxItems": 60}]}


HOUSING: Final = Record(
    Key("depth", Length(1, 150), Fixed("1/2", 12), "depth of the housings into the face"),
    Key("play", Length(0, 10), Fixed(0, 0), "how much wider a housing is than its tread or riser board is thick"),
    Key(
        "tread_length_play",
        Length(0, 20),
        Fixed(0, 0),
        "how much shorter the treads are cut than the distance between the bottoms of two housings",
    ),
    Key(
        "behind_least",
        Length(1, 150),
        Absent("half the board's thickness"),
        "required wood behind a housing, square to the face",
    ),
    into=Housing,
)

BRACKET: Final = Record(
    Key("diameter", Length(2, 100), Fixed("9/16", 14), "diameter of the holes, or width of the slots"),
    Key("slot", Length(0, 300), Fixed(0, 0), "overall length of level slots in place of holes; 0: round holes"),
    Key("count", Whole(0, 6), Fixed(2, 2), "holes for each tread; 0: none"),
    Key(
        "at",
        Pair(("level", Length(0, 1000)), ("plumb", Length(0, 600))),
        Fixed([3, "1 1/2"], [75, 38]),
        "first hole level back from the tread's front, which is its nosing, or the tooth's tip of a saw-tooth plate; "
        "and down from the seat, the tread's lower face",
    ),
    Key("spacing", Length(5, 600), Fixed(4, 100), "from one hole level back to the next"),
    Key(
        "edge_least",
        Length(0, 500),
        Derived("two diameters", _two_diameters),
        "required from a hole's rim to any edge of the part",
    ),
    into=Bracket,
)

PLATE: Final = Record(
    Key(
        "profile",
        OneOf("straight", "saw-tooth"),
        Fixed("straight", "straight"),
        "both edges straight, the treads beside the plate; or notched, the treads on its teeth",
    ),
    Key("bracket", BRACKET, Fixed({}, {}), "holes for the bracket or seat angle of every tread"),
    into=Plate,
)

FORM_KEYS: Final = (
    Key(
        "margin",
        Length(0, 400),
        Fixed(2, 50),
        "with no teeth to cut: from the nosings square up to the board's upper edge",
    ),
    Key(
        "level_cut",
        Length(-1000, 600),
        Absent("one tread thickness down; with the top tread at the floor, margin above it"),
        "with no teeth to cut: from the finished floor down to the level cut at the upper end; less than 0 is above it",
    ),
    Key(
        "housing",
        HOUSING,
        Derived("all at their defaults where the form is housed", _housing),
        'with form = "housed": the housings for treads and riser boards',
    ),
    Key(
        "plate",
        PLATE,
        Derived("all at their defaults where the form is plate", _plate),
        'with form = "plate": the plate\'s profile and its holes',
    ),
)

#: What JSON Schema can say of the forms: each one's table goes with it alone, and housed stringers are a pair whose
#: faces matter.
FORMS_TOGETHER: Final = [
    *(
        {
            "if": {"required": [key]},
            "then": {"properties": {"form": {"const": form}}, "required": ["form"]},
        }
        for key, form in (("housing", "housed"), ("plate", "plate"))
    ),
    {
        "if": {"properties": {"form": {"const": "housed"}}, "required": ["form"]},
        "then": {"properties": {"count": {"const": 2}, "turn_over": {"const": False}}},
    },
]


def _hole(*, tread: tuple[int, ...] | None, **rest: Any) -> HoleSpec:
    return HoleSpec(treads=tread, **rest)


_FROM = Length(-3000, 20000)
HOLES: Final = Record(
    Key("what", Text(80), Required(), "what the hole is for, as it is called on lists"),
    Key("diameter", Length(1, 200), Required(), "its diameter"),
    Key(
        "near",
        OneOf("tread", "header", "foot", "edge"),
        Required(),
        "what its place is measured from: a tread's front and seat; plumb cut and first seat; toe and seat cut; or "
        "the board's upper end and lower edge",
    ),
    Key("tread", Treads(), Absent('all treads, with near = "tread"'), 'with near = "tread": which ones'),
    Key(
        "at",
        Pair(("level", _FROM), ("plumb", _FROM)),
        Required(),
        "its centre: from a tread's front level back, from its seat down; from the plumb cut level out, from the first "
        "seat down; from the toe level back, from the seat cut up; or along the board from its upper end, and across "
        "from its lower edge",
    ),
    Key(
        "edge_least",
        Length(0, 500),
        Derived("two diameters", _two_diameters),
        "required from its rim to any edge of the part (the default: common practice, no source)",
    ),
    into=_hole,
    together={
        "if": {"required": ["tread"]},
        "then": {"properties": {"near": {"const": "tread"}}},
    },
)

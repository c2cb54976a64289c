"""Values made of others: pairs, lists, tables of keys, and what a key is.

A table of keys is a kind like any other, so the whole job file is one `Record`, and reading, schema and
reference are each one walk over it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple

from cutpath.job.kinds import BAD, Context, Kind, Length, OneOf, Schema, dotted
from cutpath.tomlfile.read import given

if TYPE_CHECKING:
    from cutpath.units import Unit


class Required(NamedTuple):
    """No default: the key must be given."""


class Absent(NamedTuple):
    """Left out, there is none of it; `says` what that means.

    `unwritten`: it isn't written as absent either, so that results of jobs without it are as they were before the key.
    """

    says: str
    unwritten: bool = False


class Fixed(NamedTuple):
    """A default as it would stand in the file, for a job in inches and one in millimetres."""

    inch: Any
    mm: Any

    def raw(self, unit: Unit) -> Any:
        """The one for a unit."""
        return self.inch if unit == "in" else self.mm


class Derived(NamedTuple):
    """A default that follows from other keys of its table.

    Attributes:
        says: what it is.
        value: from the table's values so far and the unit, the value, lengths in exact millimetres; `BAD`
            where it would follow from a value at fault.
    """

    says: str
    value: Callable[[dict[str, Any], Unit], Any]


class Elsewhere(NamedTuple):
    """A default that comes from outside the job file's text; `says` what it is."""

    says: str


Default = Required | Absent | Fixed | Derived | Elsewhere


class Key(NamedTuple):
    """One key of a table: its name, what it takes, what it is when left out, what it means in one line."""

    name: str
    kind: Kind
    default: Default
    doc: str

    @property
    def unwritten(self) -> bool:
        """Whether nothing is written where it is absent."""
        return isinstance(self.default, Absent) and self.default.unwritten

    def left_out(self) -> str:
        """What the value is when the key is left out, for people; empty for tables, whose keys have their own."""
        match self.default:
            case Required():
                return "required"
            case Fixed(inch, mm):
                if isinstance(self.kind, Record | ListOf) or inch == []:
                    return ""
                if isinstance(self.kind, Length) and (inch, mm) != (0, 0):
                    return f"{inch} in, or {mm} mm"
                return str(inch).lower() if isinstance(inch, bool) else str(inch)
            case Absent(says=says) | Derived(says=says) | Elsewhere(says=says):
                return says

    def told(self) -> str:
        """The key's meaning, the words it takes and its default, in a few sentences."""
        default = self.left_out()
        meaning = f"{self.doc[0].upper()}{self.doc[1:]}."
        if isinstance(self.kind, OneOf):
            meaning += f" Takes {self.kind.accepted()}."
        if not default:
            return meaning
        return f"{meaning} {'Required' if default == 'required' else f'Left out: {default}'}."


def comma_hint(raw: object) -> str:
    """What to add where an array has an item too many, since a decimal was written with a comma."""
    whole = isinstance(raw, list) and len(raw) in (3, 4) and all(type(item) is int for item in raw)
    return f"; a decimal takes a point, as in {raw[-2]}.{raw[-1]}" if whole else ""  # type: ignore[index]


class Pair(Kind):
    """Two values in an array, each with a name for messages."""

    def __init__(self, first: tuple[str, Kind], second: tuple[str, Kind]) -> None:
        self.items: Final = (first, second)

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A tuple of both."""
        if not isinstance(raw, list) or len(raw) != 2:
            return ctx.bad(at, f"{given(raw)} is not accepted: write {self.shape()}{comma_hint(raw)}")
        both = tuple(kind.read(item, f"{at}.{name}", ctx) for item, (name, kind) in zip(raw, self.items, strict=True))
        return BAD if BAD in both else both

    def plain(self, value: Any, unit: Unit) -> Any:
        """An array of both."""
        return [kind.plain(item, unit) for item, (_, kind) in zip(value, self.items, strict=True)]

    def frozen(self, value: Any) -> Any:
        """A tuple of both."""
        return tuple(kind.frozen(item) for item, (_, kind) in zip(value, self.items, strict=True))

    def shape(self) -> str:
        """How it is written, by names."""
        return f"[{self.items[0][0]}, {self.items[1][0]}]"

    def accepted(self) -> str:
        """How it is written, and what each takes."""
        return f"{self.shape()}; " + "; ".join(f"{name}: {kind.accepted()}" for name, kind in self.items)

    def schema(self) -> Schema:
        """An array of two."""
        items = [kind.schema() for _, kind in self.items]
        return {"type": "array", "prefixItems": items, "minItems": 2, "maxItems": 2}

    def limits(self, unit: Unit) -> Schema:
        """Bounds of both."""
        bounds = [kind.limits(unit) for _, kind in self.items]
        return {"prefixItems": bounds} if any(bounds) else {}


class ListOf(Kind):
    """An array of `least` to `most` values of one kind."""

    def __init__(self, item: Kind, least: int, most: int) -> None:
        self.item = item
        self.least = least
        self.most = most

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A list, the items at fault in it `BAD`; a wrong count is at fault as a whole."""
        if not isinstance(raw, list):
            table = isinstance(self.item, Record)
            return ctx.bad(at, f"{given(raw)} is not accepted: write {f'[[{at}]]' if table else 'an array'}")
        if not self.least <= len(raw) <= self.most:
            return ctx.bad(at, f"{given(raw)} is not accepted: {self.least} to {self.most} items are")
        return [self.item.read(item, f"{at}[{index}]", ctx) for index, item in enumerate(raw)]

    def plain(self, value: Any, unit: Unit) -> Any:
        """An array."""
        return [self.item.plain(item, unit) for item in value]

    def frozen(self, value: Any) -> Any:
        """A tuple."""
        return tuple(self.item.frozen(item) for item in value)

    def accepted(self) -> str:
        """The count and the item."""
        return f"array of {self.least} to {self.most}: {self.item.accepted()}"

    def schema(self) -> Schema:
        """An array."""
        return {
            "type": "array",
            "items": self.item.schema(),
            "minItems": self.least,
            "maxItems": self.most,
        }

    def limits(self, unit: Unit) -> Schema:
        """Bounds of every item."""
        bounds = self.item.limits(unit)
        return {"items": bounds} if bounds else {}


class Record(Kind):
    """A table: its keys in order, and what JSON Schema can say of how they go together."""

    def __init__(
        self,
        *keys: Key,
        into: Callable[..., Any] = dict,
        together: Schema | None = None,
        case: Literal["own", "either"] = "own",
    ) -> None:
        """Name the keys.

        Args:
            keys: in the order in which their defaults are found.
            into: what makes the frozen object of the table, called with every key by its name; what is absent is None.
            together: more JSON Schema.
            case: "either": the keys' names are accepted in lower case too, and their values never left out.
        """
        self.keys = keys
        self.into = into
        self.together = together or {}
        self.case = case

    def read(self, raw: object, at: str, ctx: Context) -> Any:
        """A dict of what was given, `BAD` for the values at fault; no defaults yet. None means left out."""
        if not isinstance(raw, dict):
            single = isinstance(raw, list) and "." not in at and "[" not in at
            how = f"write [{at}]" if single else f"write a table with {', '.join(k.name for k in self.keys)}"
            return ctx.bad(at, f"{given(raw)} is not accepted: {how}")
        known = {spelling: key for key in self.keys for spelling in self.spellings(key)}
        values: dict[str, Any] = {}
        for name, item in raw.items():
            key = known.get(name)
            if key is None:
                ctx.unknown.append((at, str(name), tuple(key.name for key in self.keys)))
            elif key.name in values and item is not None:
                values[key.name] = ctx.bad(
                    dotted(at, name), f"given twice, as {' and '.join(self.spellings(key))}: keep one"
                )
            elif item is not None:
                values[key.name] = key.kind.read(item, dotted(at, name), ctx)
        for key in self.keys:
            if isinstance(key.default, Required) and key.name not in values:
                values[key.name] = ctx.bad(dotted(at, key.name), f"missing: {key.doc}; {key.kind.accepted()}")
        return values

    def spellings(self, key: Key) -> tuple[str, ...]:
        """The names by which a key may be given."""
        return (key.name, key.name.lower()) if self.case == "either" else (key.name,)

    def plain(self, value: Any, unit: Unit) -> Any:
        """A dict in the table's order, of values with their defaults; what is absent is None, or isn't written."""
        return {
            key.name: None if value[key.name] is None else key.kind.plain(value[key.name], unit)
            for key in self.keys
            if not (value[key.name] is None and key.unwritten)
        }

    def frozen(self, value: Any) -> Any:
        """What `into` makes of it."""
        return self.into(
            **{
                key.name: None if value[key.name] is None else key.kind.frozen(value[key.name])
                for key in self.keys
                if key.name in value
            }
        )

    def accepted(self) -> str:
        """How it is written inline."""
        return "{" + ", ".join(f"{key.name} = ..." for key in self.keys) + "}"

    def schema(self) -> Schema:
        """An object with these keys and no others."""
        properties = {
            spelling: {"description": key.told(), **key.kind.schema()}
            for key in self.keys
            for spelling in self.spellings(key)
        }
        required = [key.name for key in self.keys if isinstance(key.default, Required)]
        return {
            "type": "object",
            "properties": properties,
            **({"required": required} if required else {}),
            "additionalProperties": False,
            **self.together,
        }

    def limits(self, unit: Unit) -> Schema:
        """Bounds of every key that has some."""
        bounds = {name: key.kind.limits(unit) for key in self.keys for name in self.spellings(key)}
        told = {name: bound for name, bound in bounds.items() if bound}
        return {"properties": told} if told else {}


def fill(record: Record, values: dict[str, Any], unit: Unit) -> None:
    """Put every default into a table's values as read, and into the tables inside it."""
    for key in record.keys:
        if key.name not in values:
            match key.default:
                case Fixed():
                    values[key.name] = key.kind.read(key.default.raw(unit), key.name, Context(unit))
                case Derived():
                    values[key.name] = key.default.value(values, unit)
                case Absent():
                    values[key.name] = None
        value = values.get(key.name)
        if isinstance(key.kind, Record) and isinstance(value, dict):
            fill(key.kind, value, unit)
        elif isinstance(key.kind, ListOf) and isinstance(key.kind.item, Record) and isinstance(value, list):
            for item in value:
                if isinstance(item, dict):
                    fill(key.kind.item, item, unit)

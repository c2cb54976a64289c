"""The tags of a DXF text: pairs of a group code and a value, in sections, in entities (DXF reference)."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.outline import Point

Tag = tuple[int, str]
"""A group code and its value, as the file has it."""

Sections = dict[str, list[Tag]]
"""The tags of each section, by its name."""


def tags_of(text: str) -> list[Tag]:
    """All tags of a file, its end (0, "EOF") included.

    Raises:
        ValueError: if a group code is no number, or the file does not end as it should.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    tags = list(zip(map(int, lines[:-1:2]), lines[1::2], strict=True))
    if not tags or tags[-1] != (0, "EOF"):
        raise ValueError("it has no end")
    return tags


def sections_of(tags: Sequence[Tag]) -> Sections:
    """The tags of each section, without the ones that open and close it.

    Args:
        tags: of a whole file, from `tags_of`.

    Raises:
        ValueError: if sections are not opened and closed in turn, or one is there twice.
    """
    sections: Sections = {}
    at = 0
    while tags[at] != (0, "EOF"):
        if tags[at] != (0, "SECTION") or tags[at + 1][0] != 2:
            raise ValueError("a section does not begin where it should")
        end = at + 2
        while tags[end] != (0, "ENDSEC"):
            if tags[end] in ((0, "SECTION"), (0, "EOF")):
                raise ValueError("a section does not end")
            end += 1
        if tags[at + 1][1] in sections:
            raise ValueError("a section is there twice")
        sections[tags[at + 1][1]] = list(tags[at + 2 : end])
        at = end + 1
    return sections


def variables(header: Sequence[Tag]) -> dict[str, dict[int, str]]:
    """The header's variables by name, each with its values by group code."""
    found: dict[str, dict[int, str]] = {}
    values: dict[int, str] = {}
    for code, value in header:
        if code == 9:
            values = found[value] = {}
        else:
            values[code] = value
    return found


class Entity:
    """One entity.

    Attributes:
        kind: its name in the format, such as "LWPOLYLINE".
        tags: what follows the name.
        parts: of a POLYLINE its vertices; else empty.
    """

    __slots__ = ("kind", "parts", "tags")

    def __init__(self, kind: str, tags: list[Tag]) -> None:
        """Take what was read."""
        self.kind, self.tags = kind, tags
        self.parts: list[Entity] = []

    def text(self, code: int, default: str | None = None) -> str:
        """The first value with a group code.

        Args:
            code: the group code.
            default: the value where there is none; None: one has to be there.

        Raises:
            KeyError: if there is none and no default.
        """
        for c, value in self.tags:
            if c == code:
                return value
        if default is None:
            raise KeyError(f"a {self.kind} without group code {code}")
        return default

    def number(self, code: int, default: float | None = None) -> float:
        """The first value with a group code, as a number.

        Args:
            code: the group code.
            default: the value where there is none; None: one has to be there.

        Raises:
            KeyError: if there is none and no default.
            ValueError: if it is no number.
        """
        return float(self.text(code, None if default is None else str(default)))

    def point(self) -> Point:
        """The point that group codes 10 and 20 give, in the file's unit."""
        return (self.number(10), self.number(20))

    def vertices(self) -> tuple[tuple[Point, ...], tuple[float, ...], bool]:
        """An LWPOLYLINE's points and bulges, and whether any has a width."""
        xs: list[float] = []
        ys: list[float] = []
        bulges: list[float] = []
        wide = False
        for code, value in self.tags:
            if code == 10:
                xs.append(float(value))
                bulges.append(0.0)
            elif code == 20:
                ys.append(float(value))
            elif code == 42:
                bulges[-1] = float(value)
            elif code in (40, 41):
                wide = wide or bool(float(value))
        return tuple(zip(xs, ys, strict=True)), tuple(bulges), wide


def entities(tags: Sequence[Tag]) -> list[Entity]:
    """The entities of a section; vertices come with their POLYLINE.

    Raises:
        ValueError: if a POLYLINE's vertices don't end.
    """
    found: list[Entity] = []
    owner: Entity | None = None
    current: Entity | None = None
    for code, value in tags:
        if code != 0:
            if current is not None:
                current.tags.append((code, value))
            continue
        current = Entity(value, [])
        if owner is None:
            found.append(current)
            owner = current if value == "POLYLINE" else None
        elif value == "VERTEX":
            owner.parts.append(current)
        elif value == "SEQEND":
            owner = None
        else:
            raise ValueError("a POLYLINE does not end")
    if owner is not None:
        raise ValueError("a POLYLINE does not end")
    return found

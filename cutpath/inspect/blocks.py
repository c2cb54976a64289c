"""Inserts of blocks taken apart, whatever they are nested in: cycles told, depth and number bounded."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from cutpath.inspect.entities import FROM_BEHIND, IGNORED, ODD, is_stored, item_of, layer_of, raised_words, with_article
from cutpath.inspect.values import Element, Space, Trait

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: Blocks nested deeper than this are none that anybody drew (common practice, no source).
MOST_DEEP: Final = 16
#: Vertices of all lines together, curves as chords: a cut file has thousands (common practice, no source).
MOST_VERTICES: Final = 500_000


class TooMuch(Exception):
    """Blocks unfold to more than is looked at; the message says to what."""


class Blocks:
    """A document's blocks: how much each unfolds to, and which hold themselves."""

    def __init__(self, document: Document, per: float, most: int) -> None:
        """Take the document.

        Args:
            document: of ezdxf.
            per: millimetres of one unit.
            most: entities that all inserts together may unfold to.
        """
        self.document, self.per, self.most = document, per, most
        self.cycles: set[str] = set()
        #: Handles of inserts of blocks that hold what the library can't place: bodies, regions.
        self.unplaced: set[str] = set()
        self._sizes: dict[str, int] = {}
        self._whole: dict[str, bool] = {}
        self._damaged: dict[str, dict[Any, Trait]] = {}
        self._made = self._vertices = 0

    def counted(self, item: Element) -> Element:
        """An item of the drawing, its vertices added to those there are.

        Raises:
            TooMuch: there are more than are looked at.
        """
        self._vertices += 0 if item.chain is None else len(item.chain.points)
        if self._vertices > MOST_VERTICES:
            raise TooMuch(f"draws over {MOST_VERTICES:,} vertices, which no cut file does")
        return item

    def _size(self, name: str, above: tuple[str, ...] = ()) -> int:
        """Entities that a block unfolds to; one of nothing counts as one."""
        key = name.casefold()
        if key in above:
            self.cycles.add(name)
            return 1
        if key not in self._sizes:
            if len(above) > MOST_DEEP:
                raise TooMuch(f"nests blocks over {MOST_DEEP} deep")
            count = 0
            block = self.document.blocks.get(name)
            for entity in block if block is not None else ():
                nested = entity.dxftype() == "INSERT"
                count += self._size(name_of(entity), (*above, key)) * _copies(entity) if nested else 1
            self._sizes[key] = max(count, 1)
        return self._sizes[key]

    def whole(self, name: str, above: tuple[str, ...] = ()) -> bool:
        """Whether a block is there with all that it is made of, and holds itself nowhere; its size is known."""
        key = name.casefold()
        if key in above:
            return False
        if key not in self._whole:
            block = self.document.blocks.get(name)
            inner = [] if block is None else [name_of(e) for e in block if e.dxftype() == "INSERT"]
            self._whole[key] = block is not None and all(self.whole(each, (*above, key)) for each in inner)
        return self._whole[key]

    def items(self, insert: Any, space: Space) -> Iterator[Element]:
        """The items of an insert of the drawing, and one for the insert itself on each layer that they lie on.

        Args:
            insert: of ezdxf, in a layout.
            space: of the layout.

        Raises:
            TooMuch: there are more than is looked at.
        """
        handle, layer = insert.dxf.get("handle", "") or "", insert.dxf.get("layer", "0")
        name = name_of(insert)
        at = insert.dxf.get("insert")
        place = None
        if at is not None and math.isfinite(at.x * self.per) and math.isfinite(at.y * self.per):
            place = (at.x * self.per, at.y * self.per)
        traits = _traits(insert, name)
        if place is None or any(t.kind == "not-finite" for t in traits):
            yield Element(handle, "INSERT", layer, space, None, place, (*traits, Trait("not-finite", "an INSERT")))
            return
        self._made += self._size(name) * _copies(insert)
        if self._made > self.most:
            raise TooMuch(f"unfolds its blocks to over {self.most:,} entities")
        if self.document.blocks.get(name) is None:
            yield Element(handle, "INSERT", layer, space, None, place, (Trait("block", f"{name}, which is nowhere"),))
            return
        within = tuple(self._within(insert, handle, layer, space, (name.casefold(),)))
        for each in dict.fromkeys((*(item.layer for item in within), *(() if within else (layer,)))):
            yield Element(handle, "INSERT", each, space, None, place, traits)
        yield from within

    def _flawed(self, insert: Any) -> dict[Any, Trait]:
        """What is damaged in the block of an insert, as it is written: copied, the library gives it what it lacks."""
        name = name_of(insert)
        if name.casefold() not in self._damaged:
            found: dict[Any, Trait] = {}
            for entity in insert.block() or ():
                if entity.dxftype() in IGNORED or entity.dxftype() == "INSERT":
                    continue
                for trait in item_of(entity, "", "", "model", self.per).traits:
                    if trait.kind in ("unreadable", "not-finite"):
                        found[entity] = Trait(trait.kind, f"{trait.detail} of block {name}")
            self._damaged[name.casefold()] = found
        return self._damaged[name.casefold()]

    def _apart(self, insert: Any, skipped: dict[Any, str]) -> tuple[list[Any], dict[Any, Trait]]:
        """What an insert without rows and columns shows, and what is damaged: one entity, or the insert as a whole.

        One that is damaged leaves the others as they are. What the library can't place is added to what is skipped.
        """
        from ezdxf.explode import virtual_block_reference_entities as shown_by

        damaged = dict(self._flawed(insert))
        with suppress(Exception):
            if not damaged:
                return list(insert.virtual_entities(skipped_entity_callback=skipped.__setitem__)), {}
        try:
            place = insert.matrix44()
        except Exception as why:
            return [], {insert: Trait("unreadable", f"block {name_of(insert)} ({raised_words(why)})")}
        shown: list[Any] = []
        for entity in insert.block() or ():
            if entity in damaged:
                continue
            alone: Any = _InsertOfOne(place, entity)
            try:
                shown += list(shown_by(alone, skipped_entity_callback=skipped.__setitem__))
            except Exception as why:
                what = f"{with_article(entity.dxftype())} ({raised_words(why)}) of block {name_of(insert)}"
                damaged[entity] = Trait("unreadable", what)
        return shown, damaged

    def _within(self, insert: Any, handle: str, layer: str, space: Space, above: tuple[str, ...]) -> Iterator[Element]:
        none = no_grid(insert)
        if none:
            insert = insert.copy()
            for each in none:
                insert.dxf.discard(each)
        copies = insert.multi_insert() if _copies(insert) > 1 else (insert,)
        told: set[str | None] = set()
        for one in copies:
            # What the library can't place it passes over, or shows a picture of; a kind that it doesn't know is both.
            skipped: dict[Any, str] = {e: "" for e in insert.block() or () if is_stored(e)}
            inside, damaged = self._apart(one, skipped)
            for entity, trait in damaged.items():
                own = handle if entity is one else entity.dxf.get("handle") or handle
                lies_on = layer if entity is one else _layer(entity, layer)
                if own not in told:
                    yield Element(own, entity.dxftype(), lies_on, space, None, None, (trait,))
            told |= {entity.dxf.get("handle") for entity in damaged}
            for entity in inside:
                kind, lies_on = entity.dxftype(), _layer(entity, layer)
                if kind == "INSERT":
                    name = name_of(entity)
                    if self.document.blocks.get(name) is None:
                        yield Element(
                            handle, "INSERT", lies_on, space, None, None, (Trait("block", f"{name}, which is nowhere"),)
                        )
                    elif name.casefold() not in above:
                        yield from self._within(entity, handle, lies_on, space, (*above, name.casefold()))
                elif kind not in IGNORED:
                    # A mirrored insert shows what is in it from behind, and is told as mirrored itself.
                    item = self.counted(item_of(entity, handle, lies_on, space, self.per))
                    yield replace(item, traits=tuple(t for t in item.traits if t.detail != FROM_BEHIND))
            for entity in skipped:
                self.unplaced.add(handle)
                kind, lies_on = entity.dxftype(), _layer(entity, layer)
                if kind not in IGNORED:
                    odd = Trait(ODD.get(kind, "unknown-kind"), kind)
                    yield Element(handle, kind, lies_on, space, None, None, (odd,))
        for attrib in insert.attribs:
            yield item_of(attrib, handle, _layer(attrib, layer), space, self.per)


class _InsertOfOne:
    """An insert as the library takes it apart, whose block holds one entity alone."""

    def __init__(self, place: Any, entity: Any) -> None:
        self.matrix44 = lambda: place
        self.block = lambda: (entity,)
        self.dxftype = lambda: "INSERT"


def name_of(insert: Any) -> str:
    """The name of the block that an insert sets; "": it names none."""
    return str(insert.dxf.get("name") or "")


def no_grid(insert: Any) -> tuple[str, ...]:
    """Which of the numbers of rows and columns that an insert says are none, and stand for one."""
    return tuple(name for name in ("row_count", "column_count") if insert.dxf.get(name, 1) < 1)


def _layer(entity: Any, layer: str) -> str:
    """The layer that something of a block lies on: of "0" its insert's."""
    own = layer_of(entity)
    return layer if own == "0" else own


def _copies(insert: Any) -> int:
    """How many times an insert sets its block, in rows and columns."""
    return max(1, int(insert.dxf.get("row_count", 1))) * max(1, int(insert.dxf.get("column_count", 1)))


def _traits(insert: Any, name: str) -> tuple[Trait, ...]:
    dxf = insert.dxf
    scales = [float(dxf.get(f"{axis}scale", 1.0)) for axis in "xyz"]
    traits = [Trait("block", name)]
    if not all(map(math.isfinite, (*scales, float(dxf.get("rotation", 0.0))))):
        return (*traits, Trait("not-finite", "an INSERT"))
    normal = dxf.get("extrusion")
    behind = normal is not None and normal.z < 0
    if normal is not None and math.hypot(normal.x, normal.y) > 1e-9 * abs(normal.z):
        traits.append(Trait("tilted", f"along ({normal.x:g}, {normal.y:g}, {normal.z:g})"))
    if (scales[0] * scales[1] < 0) != behind:
        traits.append(Trait("mirrored-insert", name))
    across, up = abs(scales[0]), abs(scales[1])
    if max(abs(across - 1), abs(up - 1)) > 1e-9:
        by = f"{across:.6g}" if abs(across - up) <= 1e-9 else f"{across:.6g} along and {up:.6g} across"
        traits.append(Trait("scaled-insert", f"{name} by {by}"))
    return tuple(traits)

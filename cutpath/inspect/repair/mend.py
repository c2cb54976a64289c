"""A document under repair: how it looks now, what was done to it, and what puts one polyline in place of others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from cutpath.inspect.find.looked import Looked
from cutpath.inspect.read import seen as seen_of
from cutpath.inspect.repair.values import Allowed, Mended
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, Seen
from cutpath.job.values import Layers
from cutpath.outline import Chain

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: What an entity that takes another's place keeps of it, and what each is where it isn't said (DXF reference, common
#: group codes). Lasers go by colours, so that two that differ are no more one than two layers are.
_KEPT: Final = {
    "color": 256,
    "true_color": None,
    "linetype": "BYLAYER",
    "lineweight": -1,
    "ltscale": 1.0,
}
#: What a plain polyline in an entity's place would not have, by the trait that tells it.
_LOST: Final = {
    "tilted": "it is tilted",
    "not-flat": "it lies at a height, or has a thickness",
    "wide-line": "it has a width",
    "hidden-layer": "it is flagged invisible",
}


class Repairing:
    """One repair under way: every step looks anew, so that it sees what the ones before it left."""

    def __init__(self, document: Document, before: Seen, allowed: Allowed) -> None:
        self.document, self.allowed = document, allowed
        self.before = before
        self.model = document.modelspace()
        # What a layer is taken for is settled once, whatever is deleted then.
        self.roles = roles_of(before, Layers(), allowed.cut_layers)
        self.changes: list[Mended] = []
        #: Handles of what was changed, and of nothing else.
        self.touched: set[str] = set()

    def look(self) -> Looked:
        """The document as it is now."""
        return Looked(seen_of(self.before.name, self.document), self.roles, Layers())

    def note(self, words: str, *elements: Element, left: bool = False) -> None:
        """List something that was done, or was left."""
        at = next((e.at for e in elements if e.at is not None), None)
        handles = tuple(dict.fromkeys(e.handle for e in elements))
        self.changes.append(Mended("left" if left else "changed", words, at, handles))
        if not left:
            self.touched |= set(handles)

    def own(self, element: Element) -> Any | None:
        """The entity of the drawing that an element is; None of one that came with a block."""
        entity = self.document.entitydb.get(element.handle)
        return entity if entity is not None and entity.dxftype() == element.kind else None

    def delete(self, element: Element) -> bool:
        """Delete an entity; False: it came with a block, and stays."""
        entity = self.own(element)
        if entity is not None:
            self.model.delete_entity(entity)
        return entity is not None

    def style(self, element: Element) -> tuple[object, ...]:
        """What tells an entity from another at the same place: its layer, its colours and lines."""
        entity = self.own(element)
        return (element.layer.casefold(), *(entity and entity.dxf.get(name, usual) for name, usual in _KEPT.items()))

    def why_left(self, *elements: Element) -> str:
        """Why no plain polyline can take the place of elements; "": one can."""
        if any(self.own(e) is None for e in elements):
            return "it is in a block that stays"
        if len({e.layer.casefold() for e in elements}) > 1:
            return "ends of several layers meet, and whose the contour is would be a guess"
        if len({self.style(e) for e in elements}) > 1:
            return "ends of several colours or kinds of line meet, and whose the contour is would be a guess"
        kinds = {t.kind for e in elements for t in e.traits}
        return next((f"{why}, and how it was meant would be a guess" for k, why in _LOST.items() if k in kinds), "")

    def replace(self, elements: Sequence[Element], chain: Chain, per: float, words: str) -> None:
        """Put one polyline in the place of entities, and list it.

        Args:
            elements: of one style, none in a block.
            chain: what it is to be, millimetres.
            per: millimetres of one unit.
            words: what was done.
        """
        sources = [self.own(e) for e in elements]
        first = sources[0]
        assert first is not None
        attribs = {name: first.dxf.get(name) for name in _KEPT if first.dxf.hasattr(name)}
        attribs["layer"] = elements[0].layer
        rows = [(x / per, y / per, b) for (x, y), b in zip(chain.points, chain.bulges, strict=True)]
        add = self.model.add_lwpolyline if self.document.dxfversion >= "AC1015" else self.model.add_polyline2d
        add(rows, format="xyb", close=chain.closed, dxfattribs=attribs)
        # What another program hung on them means nothing on what they are now.
        more = sorted({name for s in sources if s is not None and s.xdata is not None for name in s.xdata.data})
        for element in elements:
            self.delete(element)
        self.note(words + (f"; extended data of {', '.join(more)} is dropped" if more else ""), *elements)

"""Inserts with anything on cut layers become what is in them."""

from __future__ import annotations

from typing import Any, Final

from cutpath.inspect.blocks import Blocks, name_of, no_grid
from cutpath.inspect.load import MOST_ENTITIES
from cutpath.inspect.repair.mend import Repairing
from cutpath.units import many

_DAMAGED: Final = frozenset(("unreadable", "not-finite"))
#: Kinds that are drawn in a plane of their own; the library turns round others, too, and ends up with none of them.
_FLAT: Final = frozenset(("ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE"))


def explode(mend: Repairing) -> None:
    """Explode inserts of the model space that have anything on cut layers.

    Raises:
        Exception: whatever the library raises at what a block holds.
    """
    look = mend.look()
    blocks = Blocks(mend.document, look.seen.per_unit, MOST_ENTITIES)
    found = {e.handle: e for e in look.model if e.kind == "INSERT" and look.role(e) == "cut"}
    for element in found.values():
        insert = mend.own(element)
        assert insert is not None
        # Asked before anything is changed: taken apart in the mind, what can't be shows here.
        odd = {t.kind for item in blocks.items(insert, "model") for t in item.traits}
        name = name_of(insert)
        if odd & _DAMAGED:
            mend.note("a block that is damaged can't be exploded", element, left=True)
        elif not blocks.whole(name):
            mend.note("a block that holds itself, or is nowhere, can't be exploded", element, left=True)
        elif element.handle in blocks.unplaced:
            mend.note(f"block {name} holds what only a CAD program can explode", element, left=True)
        elif _is_clipped(mend, insert):
            mend.note(f"block {name} is clipped, and what is meant of it would be a guess", element, left=True)
        else:
            count = _exploded(insert)
            mend.note(f"block {name} is exploded into {many(count, 'entity', 'entities')}", element)


def _exploded(insert: Any) -> int:
    """Explode an insert and what is nested in it: how many entities came of it."""
    from ezdxf.upright import upright

    for each in no_grid(insert):
        insert.dxf.discard(each)
    layer, color, linetype = insert.dxf.layer, insert.dxf.color, insert.dxf.linetype
    count = 0
    for part in list(insert.explode()):
        # What a block leaves to its insert (layer "0", colour and linetype by block) is the insert's to say.
        if part.dxf.layer == "0":
            part.dxf.layer = layer
        if part.dxf.color == 0:
            part.dxf.color = color
        if part.dxf.linetype.upper() == "BYBLOCK":
            part.dxf.linetype = linetype
        if part.dxftype() == "INSERT":
            count += _exploded(part)
            continue
        count += 1
        # Of a mirrored insert parts come seen from behind; the same is drawn from above.
        if part.dxftype() in _FLAT:
            upright(part)
    return count


def _is_clipped(mend: Repairing, insert: Any) -> bool:
    """Whether an insert, or one nested in it, shows only a part of its block."""
    from ezdxf.xclip import XClip

    block = mend.document.blocks.get(name_of(insert))
    inner = () if block is None else [e for e in block if e.dxftype() == "INSERT"]
    return XClip(insert).is_clipping_enabled or any(_is_clipped(mend, each) for each in inner)

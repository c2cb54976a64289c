"""Holes and slots of a part in words, each by its centre: what a tape or a drill press is set to."""

from __future__ import annotations

import math
from typing import Final

from cutpath.cut.relief import CutPart
from cutpath.outline import Point
from cutpath.pictures.canvas import Canvas
from cutpath.pictures.titleblock import add_columns, add_notes
from cutpath.pictures.words import size_text
from cutpath.units import Unit

#: More of one kind than these are counted and not listed.
_MOST_LISTED: Final = 60


def list_openings(canvas: Canvas, part: CutPart, unit: Unit) -> None:
    """Below what is drawn, every hole and slot by its centre; nothing where there are none.

    Args:
        canvas: with the part and its notes on it.
        part: board frame.
        unit: that sizes are written in.
    """

    def size(mm: float) -> str:
        return size_text(mm, unit)

    found: dict[str, list[Point]] = {}
    for hole in part.holes:
        found.setdefault(f"{hole.what}, diameter {size(hole.diameter)}", []).append(hole.centre)
    for slot in part.slots:
        x0, y0, x1, y1 = slot.extents()
        width = math.dist(slot.points[0], slot.points[3])
        long = math.dist(slot.points[0], slot.points[1]) + width
        found.setdefault(f"slot {size(width)} × {size(long)}", []).append(((x0 + x1) / 2, (y0 + y1) / 2))
    if found:
        add_notes(canvas, ["Holes by their centres, along from the leftmost point and across from the lower edge:"])
    for what, centres in found.items():
        add_notes(canvas, [f"{what}:"])
        shown = sorted(centres)[:_MOST_LISTED]
        add_columns(canvas, [f"{size(x)}, {size(y)}" for x, y in shown])
        if len(centres) > len(shown):
            add_notes(canvas, [f"{len(centres) - len(shown)} more in result.json."])

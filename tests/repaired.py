"""Drawings of a few entities, in memory or whole, under a repair and after it."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.document import Drawing

from cutpath.inspect.load import load
from cutpath.inspect.read import seen as seen_of
from cutpath.inspect.repair.mend import Repairing
from cutpath.inspect.repair.values import Allowed, Repaired
from cutpath.inspect.repair.whole import repair
from cutpath.outline import Chain, Point

ON = {"layer": "PART"}
SQUARE: tuple[Point, ...] = ((0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0))
SIDES = (*pairwise(SQUARE), (SQUARE[3], SQUARE[0]))
QUARTER = math.tan(math.pi / 8)
TWICE = "it or a part of it is there twice, and which to delete would be a guess"
GUESS = "would be a guess"


def new(version: str = "R2000", units: int = 4) -> Drawing:
    doc = ezdxf.new(version, units=units if version != "R12" else 0)
    doc.header["$MEASUREMENT"] = int(units == 4)
    return doc


def under(doc: Drawing, *steps: Callable[[Repairing], None], **allowed: Any) -> Repairing:
    """A document after some steps of a repair."""
    mend = Repairing(doc, seen_of("x.dxf", doc), Allowed(**allowed))
    for step in steps:
        step(mend)
    return mend


def said(mend: Repairing) -> list[tuple[str, str]]:
    return [(c.kind, c.words) for c in mend.changes]


def held(doc: Drawing) -> list[tuple[Any, ...]]:
    """What the model space holds: kind, layer, whether it is closed, points and bulges to nine digits."""
    found = []
    for entity in doc.modelspace():
        kind, layer = entity.dxftype(), entity.dxf.layer
        rows: list[tuple[float, ...]] = []
        closed = False
        if kind == "LINE":
            rows = [tuple(entity.dxf.start)[:2], tuple(entity.dxf.end)[:2]]
        elif kind == "LWPOLYLINE":
            rows, closed = list(entity.get_points("xyb")), entity.closed  # type: ignore[attr-defined]
        elif kind == "POLYLINE":
            rows = [(*tuple(v.dxf.location)[:2], v.dxf.bulge) for v in entity.vertices]  # type: ignore[attr-defined]
            closed = entity.is_closed  # type: ignore[attr-defined]
        found.append((kind, layer, closed, [tuple(round(float(v), 9) + 0.0 for v in row) for row in rows]))
    return found


def bytes_of(doc: Drawing) -> bytes:
    stream = io.StringIO()
    doc.write(stream)
    return doc.encode(stream.getvalue())


def whole(doc: Drawing | bytes, folder: Path, **allowed: Any) -> tuple[Repaired, Drawing]:
    """A file repaired, and what it then holds."""
    path = folder / "sent.dxf"
    path.write_bytes(doc if isinstance(doc, bytes) else bytes_of(doc))
    found = repair(path, Allowed(**allowed))
    if found.data is not None:
        path.write_bytes(found.data)
    return found, load(path)[0]


def lines(doc: Drawing, rows: Sequence[tuple[Point, Point]], **more: Any) -> None:
    for a, b in rows:
        doc.modelspace().add_line(a, b, {**ON, **more})


def chain_of(doc: Drawing, per: float = 1.0) -> Chain:
    ((_, _, closed, rows),) = held(doc)
    return Chain(tuple((x * per, y * per) for x, y, _ in rows), tuple(b for _, _, b in rows), closed)

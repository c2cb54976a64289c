"""A rail's faces laid down with the balusters' places on them, bay by bay. The upper post is at the left."""

from __future__ import annotations

import itertools
import math
from typing import Final

from msgspec import Struct

from cutpath.job.piece_values import RailSpec
from cutpath.pictures.canvas import Canvas, View
from cutpath.pictures.dimension import PITCH, horizontal, running
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.titleblock import add_columns, add_key, add_notes, add_title
from cutpath.pictures.words import size_text, span, wrapped
from cutpath.pieces.values import Bay, Rail
from cutpath.plan.values import Plan
from cutpath.units import many

_LEFT: Final = 40.0
_RIGHT: Final = 40.0
#: The most that a face takes up; its true width where that is less.
_FACE: Final = 86.0
_STEP: Final = 24.0
#: Kinds of bays on one page.
_ROWS: Final = 3
#: As many figures as find room side by side along a face.
_MOST: Final = int((WIDTH - _LEFT - _RIGHT) / PITCH)


class _BayKind(Struct, frozen=True):
    """Bays that are alike: between which treads, and one of them."""

    between: tuple[str, ...]
    bay: Bay


def rail_marks_svgs(plan: Plan, rail: Rail) -> dict[str, str]:
    """Where balusters stand along the rails.

    Args:
        plan: the whole job.
        rail: its rail.

    Returns:
        SVG documents by name: `rail-marks`, and `rail-marks-2` and so on where there are many kinds of bays; none where
        no balusters are needed.
    """
    rows, found = _rows(rail), {}
    for start in range(0, len(rows), _ROWS):
        shown = rows[start : start + _ROWS]
        name = "rail-marks" + (f"-{start // _ROWS + 1}" if start else "")
        found[name] = _svg(plan, rail, shown)
    return found


def _svg(plan: Plan, rail: Rail, rows: list[_BayKind]) -> str:
    unit = plan.job.units
    told = " ".join(
        f"{_where(row)}: {', '.join(size_text(along, unit) for along in row.bay.along)} from the upper post."
        for row in rows
    )
    return _canvas(plan, rail, rows).svg(f"{plan.job.name}: balusters along the rails", told)


def _rows(rail: Rail) -> list[_BayKind]:
    groups: dict[tuple[float, ...], list[tuple[str, Bay]]] = {}
    for bay, (above, below) in zip(rail.bays, itertools.pairwise(rail.posts), strict=True):
        if bay.along:
            key = (round(bay.clear[1] - bay.clear[0], 3), *(round(x, 3) for x in bay.along))
            groups.setdefault(key, []).append((f"{above.tread} and {below.tread}", bay))
    return [_BayKind(tuple(between for between, _ in alike), alike[0][1]) for alike in groups.values()]


def _where(row: _BayKind) -> str:
    return f"Between treads {'; '.join(row.between)}"


def _canvas(plan: Plan, rail: Rail, rows: list[_BayKind]) -> Canvas:
    spec = plan.job.rail
    assert spec is not None
    canvas = Canvas()
    cosine = math.cos(plan.stair.pitch)
    longest = max(row.bay.clear[1] - row.bay.clear[0] for row in rows) / cosine
    scale = (WIDTH - _LEFT - _RIGHT) / longest
    top = 0.0
    for row in rows:
        top = _draw(canvas, plan, spec, row, scale, top)
    sides = "; the same on both sides" if len(rail.sides) == 2 else ""
    add_notes(
        canvas,
        [
            "From the upper post's face along the slope to each baluster's edge nearest to it, on the bottom rail's "
            f"upper face and on the top rail's lower face alike{sides}.",
            "Gaps are level, as a sphere meets them; along the slope they are longer.",
        ],
    )
    add_key(canvas, [("work", "baluster on the bottom rail, from above")])
    add_title(canvas, plan, "Balusters along the rails, the upper post at the left", scale)
    return canvas


def _draw(canvas: Canvas, plan: Plan, spec: RailSpec, row: _BayKind, scale: float, top: float) -> float:
    """One row: words, the face with its balusters, their places; gives the next row's top."""
    bay, unit, cosine = row.bay, plan.job.units, math.cos(plan.stair.pitch)

    def size(mm: float) -> str:
        return size_text(mm, unit)

    count = many(len(bay.along), "baluster")
    words = f"{_where(row)}: {count}, gaps {size(bay.gap)} level, {size(bay.gap / cosine)} along the slope"
    y = top
    for line in wrapped(words, WIDTH - 2 * EDGE, TEXT, 4, bold=True):
        y += _STEP
        canvas.add(Marks(texts=(TextLine(EDGE, y, line, bold=True),)))
    figures = [size(along) for along in bay.along]
    fits = len(figures) <= _MOST
    high = min(_FACE, scale * spec.bottom_rail.width)
    low = y + (64.0 + max(span(words, TEXT) for words in figures) if fits else 30.0) + high
    view = View(scale, _LEFT, low)
    long = (bay.clear[1] - bay.clear[0]) / cosine
    (x0, _), (x1, _) = view((0.0, 0.0)), view((long, 0.0))
    canvas.polygon([(x0, low - high), (x1, low - high), (x1, low), (x0, low)], "thin", "#f0f0f0")
    across = high * spec.baluster.thickness / spec.bottom_rail.width
    for along in bay.along:
        a, b = view((along, 0.0))[0], view((along + spec.baluster.width / cosine, 0.0))[0]
        up, down = low - (high + across) / 2, low - (high - across) / 2
        canvas.polygon([(a, up), (b, up), (b, down), (a, down)], "work", "#fff")
    if fits:
        points = [(view((along, 0.0))[0], low - high - 4) for along in bay.along]
        canvas.add(running(x0, points, low - high - 26, figures, EDGE, WIDTH - EDGE))
    canvas.add(horizontal(x0, x1, low + 34, size(long), low + 4, low + 4))
    if not fits:
        add_columns(canvas, [f"{n}: {words}" for n, words in enumerate(figures, 1)])
    return canvas.bottom + 30

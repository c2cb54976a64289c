"""What a stringer carries, drawn under it: where it bears, the moment, the share of what is allowed. Board frame."""

from __future__ import annotations

from typing import Final

from cutpath.design.strength.values import Strength
from cutpath.outline import Point, shift
from cutpath.pictures.canvas import Canvas, View
from cutpath.pictures.inner import draw_inner
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text, span
from cutpath.plan.strength_words import UNITS, StrengthUnits, verdict, whose
from cutpath.plan.values import Plan

_LEFT: Final = 150.0
_RIGHT: Final = 96.0
_WOOD: Final = "#f0f0f0"
_SHADE: Final = "#dfe7f2"
#: Height of a diagram, and clear space over one, canvas units.
_HIGH: Final = 150.0
_OVER: Final = 62.0
#: A bearing's wedge.
_WEDGE: Final = 16.0


def strength_svg(plan: Plan) -> str:
    """The stringer with its bearings, and under it the greatest moment and the share of what is allowed.

    Args:
        plan: whose design was judged.

    Returns:
        An SVG document.
    """
    found = plan.design.strength
    assert found is not None
    description = (
        f"A stringer on {len(found.bearings)} bearings, spans "
        f"{', '.join(size_text(s, plan.job.units) for s in found.spans)}. {verdict(found).capitalize()}."
    )
    return strength_canvas(plan, found).svg(f"{plan.job.name}: strength", description)


def strength_canvas(plan: Plan, found: Strength) -> Canvas:
    """The canvas of `strength_svg`."""
    view = View((WIDTH - _LEFT - _RIGHT) / plan.design.stringer.length, _LEFT, 0.0)
    names = UNITS[plan.job.units]
    canvas = Canvas()
    canvas.chain(view, plan.design.part.outline, "work", _WOOD)
    draw_inner(canvas, view, plan.design.part, shift(0.0, 0.0))
    places = _bearings(canvas, found, view, names)
    _moment(canvas, found, view, names)
    _share(canvas, found, view, places)
    add_key(canvas, [("work", "the part as cut"), ("cut", "moment, and share"), ("tool", "all that is allowed")])
    unit = plan.job.units
    shares = [f"{row.id} {row.share:.0%}, {size_text(row.at, unit)} out" for row in found.rows]
    add_notes(
        canvas,
        [
            f"{verdict(found).capitalize()}. By {found.material.method}: {found.material.name}.",
            f"Shares of what is allowed, and where, level from the header face: {'; '.join(shares)}.",
            "Not looked at: sideways loads, fastenings, rails, posts, treads, decay, corrosion.",
        ],
    )
    add_title(canvas, plan, f"{whose(plan.job)}, upper end at the left", view.scale)
    return canvas


def _bearings(canvas: Canvas, found: Strength, view: View, names: StrengthUnits) -> list[float]:
    """Wedges under the stringer with what bears on each; gives where they stand."""
    base = canvas.bottom + 6
    places = []
    for bearing, reaction in zip(found.bearings, found.reactions, strict=True):
        along = min(found.sections, key=lambda s: abs(s.at - bearing.at)).along
        x = view((along, 0.0))[0]
        places.append(x)
        canvas.polygon([(x, base), (x - _WEDGE / 2, base + _WEDGE), (x + _WEDGE / 2, base + _WEDGE)], "thin", "#fff")
        told = f"{reaction / names.force:.{0 if names.force_name == 'lb' else 2}f} {names.force_name}"
        for line, words in enumerate((bearing.what, told)):
            half = span(words, TEXT) / 2
            middle = min(max(x, EDGE + half), WIDTH - EDGE - half)
            canvas.add(Marks(texts=(TextLine(middle, base + _WEDGE + 22 + 22 * line, words, "middle"),)))
    return places


def _moment(canvas: Canvas, found: Strength, view: View, names: StrengthUnits) -> None:
    """The moment, sagging drawn down, as beams bend: between the least and the greatest of all load cases."""
    low, high = min(least for _, least, _, _ in found.curve), max(most for _, _, most, _ in found.curve)
    scale = _HIGH / (high - low)
    base = canvas.bottom + _OVER - scale * low

    def across(column: int) -> list[Point]:
        return [(view((point[0], 0.0))[0], base + scale * point[column]) for point in found.curve]

    sides = [(across(2), 2, 22.0)] + ([(across(1), 1, -8.0)] if low < -1e-9 * high else [])
    for points, _, _ in sides:
        _diagram(canvas, points, base, "moment")
    for points, column, beside in sides:
        worst = max(range(len(points)), key=lambda i: abs(found.curve[i][column]))
        value = found.curve[worst][column] / names.moment
        told = f"{abs(value):,.0f}" if abs(value) >= 100 else f"{abs(value):.2f}"
        x, y = points[worst]
        # Where it hogs the edge that is notched is the one that is stretched, which is what a sign stands for.
        way = ", upper edge stretched" if value < 0 else ""
        text = TextLine(x, y + beside, f"{told} {names.moment_name}{way}", "middle")
        canvas.add(Marks(texts=(text,), dots=((x, y, 3.2, True),)))


def _share(canvas: Canvas, found: Strength, view: View, places: list[float]) -> None:
    """The share of what is allowed, upward, with the line at which all of it is used."""
    values = [share for *_, share in found.curve]
    most = max(1.1, *values)
    base = canvas.bottom + _OVER + _HIGH
    xs = [view((point[0], 0.0))[0] for point in found.curve]
    points = [(x, base - _HIGH * v / most) for x, v in zip(xs, values, strict=True)]
    _diagram(canvas, points, base, "share")
    allowed = base - _HIGH / most
    canvas.strokes([(places[0], allowed, places[-1], allowed)], "tool")
    canvas.add(Marks(texts=(TextLine(places[-1] + 8, allowed + TEXT / 3, "100%"),)))
    worst = max(range(len(values)), key=values.__getitem__)
    x, y = points[worst]
    canvas.add(Marks(texts=(TextLine(x, y - 10, f"{values[worst]:.0%}", "middle"),), dots=((x, y, 3.2, True),)))


def _diagram(canvas: Canvas, points: list[Point], base: float, name: str) -> None:
    canvas.polygon([(points[0][0], base), *points, (points[-1][0], base)], "none", _SHADE)
    canvas.polyline(points, "cut")
    canvas.strokes([(points[0][0], base, points[-1][0], base)], "thin")
    canvas.add(Marks(texts=(TextLine(EDGE, base + TEXT / 3, name),)))

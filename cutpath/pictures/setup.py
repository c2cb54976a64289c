"""One set-up of a board that is longer than the bed. Bed frame: x along the reach, y across it from the fence."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final, Literal

from cutpath.cut.setups.values import SetUp, moved
from cutpath.outline import Chain, shift
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import horizontal
from cutpath.pictures.inner import draw_fence, draw_operations
from cutpath.pictures.marks import EDGE, OVER, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.room import free, hatch
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text, span
from cutpath.plan.values import Plan
from cutpath.units import many, numbered_parts
from cutpath.work.boards import tab_stretches
from cutpath.work.registration import fence_of, fence_words
from cutpath.work.setups import hand_lettered, setup_of
from cutpath.work.values import BoardWork

_SIDE: Final = 24.0
_WOOD: Final = "#f0f0f0"
#: How far the reach's ends are drawn past the board, and how thick the fence and the stop, canvas units.
_PAST: Final = 34.0
_FENCE: Final = 12.0


def setup_svg(plan: Plan, index: int, done: BoardWork, number: int) -> str:
    """One set-up: the board on the bed, what is cut now, what was cut before and what comes later.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: what is done on the board, with its set-ups.
        number: of the set-up, 1 for the first.

    Returns:
        An SVG document.
    """
    made, unit = done.set_ups, plan.job.units
    one = made[number - 1]
    what = f"{plan.job.name}: board {index + 1}, set-up {number} of {len(made)}"
    description = (
        f"The bed reaches from 0 to {size_text(_reach(plan), unit)}; the board lies from "
        f"{size_text(one.board[0], unit)} to {size_text(one.board[1], unit)}. {' '.join(_words(plan, index, one))}"
    )
    return setup_canvas(plan, index, done, number).svg(what, description)


def setup_canvas(plan: Plan, index: int, done: BoardWork, number: int) -> Canvas:
    """The canvas of `setup_svg`."""
    made = done.set_ups
    one, width = made[number - 1], plan.layout.boards[index].stock.least_width
    low, high = min(one.board[0], 0.0), max(one.board[1], _reach(plan))
    stop = _FENCE if one.stop is not None else 0.0
    scale = (WIDTH - 2 * _SIDE - stop) / (high - low)
    view = View(scale, _SIDE - scale * low, 0.0)
    canvas = Canvas()
    _board(canvas, plan, index, one, view)
    tabs = [
        tab
        for tab in tab_stretches(plan.job, plan.layout.boards[index].parts, done)
        if (cut_by := setup_of(tab, made)) is not None and cut_by.number <= number
    ]
    _cuts(canvas, done, one, tabs, view)
    _bed(canvas, plan, index, one, view, width)
    _holes(canvas, plan, one, view)
    _dimensions(canvas, plan, one, view)
    entries: list[tuple[Line, str]] = [("cut", "cut now")]
    if any(o.kind == "pocket" for o in one.operations):
        entries.append(("pocket", "pocket milled now, not through"))
    if any(o.kind == "mark" for o in one.operations):
        entries.append(("mark", "marked now, not cut"))
    if tabs:
        entries.append(("tab", "tab, left standing"))
    if number > 1:
        entries.append(("thin", "cut before"))
    if number < len(made):
        entries.append(("tool", "cut later"))
    entries += [("kept", "the board's edges"), ("centre", "ends of the reach"), ("fence", "fence")]
    add_key(canvas, entries)
    add_notes(canvas, _words(plan, index, one))
    stock = plan.layout.boards[index].stock
    add_title(
        canvas, plan, f"Board {index + 1}, {stock.size}, {size_text(stock.length, plan.job.units)} long: "
        f"set-up {number} of {len(made)}", scale,
    )  # fmt: skip
    return canvas


def _reach(plan: Plan) -> float:
    assert plan.job.machine.bed is not None
    return plan.job.machine.bed[0]


def _board(canvas: Canvas, plan: Plan, index: int, one: SetUp, view: View) -> None:
    board, to_bed = plan.layout.boards[index], shift(-one.offset, 0.0)
    for placed in board.parts:
        canvas.chain(view, plan.part_of(placed).outline.moved(placed.motion).moved(to_bed), "none", _WOOD)
    (low, high), width = one.board, board.stock.least_width
    canvas.polygon([view(p) for p in ((low, 0.0), (high, 0.0), (high, width), (low, width))], "kept")


def _cuts(canvas: Canvas, done: BoardWork, one: SetUp, tabs: Sequence[Chain], view: View) -> None:
    """Later cuts first, so that what is cut now lies on top where they overlap."""
    to_bed = shift(-one.offset, 0.0)
    for other in sorted(done.set_ups, key=lambda s: (s is one, -s.number)):
        line: Line = "cut" if other is one else "thin" if other.number < one.number else "tool"
        draw_operations(canvas, view, [moved(o, to_bed) for o in other.moved_back()], line)
    for operation in one.operations:
        for lead in done.leads(operation):
            canvas.chain(view, lead.moved(to_bed), "lead")
    for tab in tabs:
        canvas.chain(view, tab.moved(to_bed), "tab")


def _bed(canvas: Canvas, plan: Plan, index: int, one: SetUp, view: View, width: float) -> None:
    reach = _reach(plan)
    top = view((0.0, max(width, one.extents[3])))[1] - _PAST
    low = view((0.0, min(0.0, one.extents[1])))[1] + _FENCE
    (left, _), (right, _) = view((0.0, 0.0)), view((reach, 0.0))
    for x in (left, right):
        canvas.strokes([(x, top, x, low + _PAST)], "centre")
    # The board meets it along its edge; cuts that run past it are drawn over it, and must be clear of it.
    fence = fence_of(plan, index)
    edge = view((0.0, fence.y(width)))[1]
    far = edge - _FENCE if fence.edge == "upper" else edge + _FENCE
    canvas.strokes(hatch((left, min(edge, far), right, max(edge, far)), 9.0), "hatch")
    draw_fence(canvas, view, fence, 0.0, reach, width)
    canvas.add(
        Marks(texts=(TextLine((left + right) / 2, top + 8, f"reach {size_text(reach, plan.job.units)}", "middle"),))
    )
    if one.stop is not None:
        x, y0 = view((one.stop, width))
        y1 = view((0.0, 0.0))[1]
        canvas.polygon([(x, y0), (x + _FENCE, y0), (x + _FENCE, y1), (x, y1)], "thin")
        canvas.strokes(hatch((x, y0, x + _FENCE, y1), 6.0), "hatch")


def _holes(canvas: Canvas, plan: Plan, one: SetUp, view: View) -> None:
    radius = max(view.scale * plan.job.machine.index_hole / 2, 4.0)
    for point in one.drilled:
        canvas.circle(view(point), radius, "cut")
    dots = tuple((*view(point), radius, True) for point in one.pins)
    if dots:
        canvas.add(Marks(dots=dots))


def _dimensions(canvas: Canvas, plan: Plan, one: SetUp, view: View) -> None:
    unit = plan.job.units
    spans = [(one.extents[0], one.extents[2], f"used {size_text(one.extents[2] - one.extents[0], unit)}")]
    if one.number > 1:
        # From where the board's left end lies now to where it lay before.
        spans.append((one.board[0], one.board[0] + one.slide, f"slide {size_text(one.slide, unit)}"))
    if one.stop is not None:
        spans.append((0.0, one.stop, f"stop {size_text(one.stop, unit)}"))
    y, base = canvas.bottom + 34, view((0.0, 0.0))[1] + 4
    ways = [
        [_level(view, span_, y + 40 * k, base) for k, span_ in enumerate(order)]
        for order in itertools.permutations(spans)
    ]
    for marks in next((way for way in ways if _is_clear(way)), ways[0]):
        canvas.add(marks)


def _level(view: View, dimension: tuple[float, float, str], y: float, base: float) -> Marks:
    """One dimension, its extension lines from the board down."""
    x0, x1, words = dimension
    a, b = sorted((view((x0, 0.0))[0], view((x1, 0.0))[0]))
    beside: Literal["left", "right"] = "left" if b + span(words, TEXT) + 4 * OVER > WIDTH - EDGE else "right"
    return horizontal(a, b, y, words, base, base, beside)


def _is_clear(way: Sequence[Marks]) -> bool:
    """Whether no dimension's lines run through another's text."""
    return all(
        free(text.box(), (), other.lines)
        for marks in way
        for other in way
        if other is not marks
        for text in marks.texts
    )


def _words(plan: Plan, index: int, one: SetUp) -> list[str]:
    unit = plan.job.units
    lines = [fence_words(plan, index, lambda mm: size_text(mm, unit))]
    if one.number > 1:
        lines.append(f"Slide the board {size_text(one.slide, unit)} to the left.")
    if one.stop is not None:
        lines.append(f"Right end against the stop at {size_text(one.stop, unit)}.")
    if one.pins:
        lines.append("Filled circles: pins, in the index holes of the last set-up. Clamp, then draw them.")
    if one.drilled:
        lines.append("Open circles: index holes drilled now, for the next set-up.")
    if one.divisions:
        places = many(len(one.divisions), "place")
        overlap = size_text(plan.job.machine.overlap, unit)
        lines.append(f"Meets cuts of the set-up before in {places}, with {overlap} of overlap.")
    if one.frees:
        lines.append(f"Cut free here, counted from the left: {numbered_parts(one.frees)}.")
    return [*lines, *hand_lettered(plan, index, one)]

"""One board with its parts, cut and marked as its cut file has it. Stock coordinates: x from the left end, y across."""

from __future__ import annotations

import math
from typing import Final

from cutpath.cut.relief import CutPart
from cutpath.nest.shopping import stock_name
from cutpath.nest.values import Board, Placed
from cutpath.outline import Box, Chain, Point
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import PITCH, horizontal, running, vertical
from cutpath.pictures.inner import draw_fence, draw_operations
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.room import Segment, hatch, spread
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import cut_to, size_text, span
from cutpath.plan.values import Plan
from cutpath.units import show as shown
from cutpath.work.boards import tab_stretches
from cutpath.work.registration import fence_of, fence_words
from cutpath.work.values import BoardWork

_LEFT: Final = 66.0
_RIGHT: Final = 30.0
_WOOD: Final = "#f0f0f0"
#: Where along a stringer its number points, as shares of its length, the best first.
_BESIDE: Final = (0.75, 0.7, 0.25, 0.3)


def board_svg(plan: Plan, index: int, done: BoardWork) -> str:
    """One board's layout, with the lines that its cut file has.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: what is done on it.

    Returns:
        An SVG document.
    """
    board, unit = plan.layout.boards[index], plan.job.units
    parts = "; ".join(
        f"{placed.name} from {size_text(placed.x, unit)}{f', {placed.how}' if placed.how else ''}"
        for placed in board.parts
    )
    shared = "".join(f" Parts {a + 1} and {b + 1} share a cut." for a, b in board.pairs)
    length, width = size_text(board.stock.length, unit), size_text(board.stock.least_width, unit)
    description = (
        f"{stock_name(board.stock)}, {length} long, {width} wide."
        f" Parts, from the left end: {parts}.{shared} Offcut {size_text(board.offcut, unit)}."
    )
    return board_canvas(plan, index, done).svg(f"{plan.job.name}: board {index + 1}", description)


def board_canvas(plan: Plan, index: int, done: BoardWork) -> Canvas:
    """The canvas of `board_svg`."""
    board = plan.layout.boards[index]

    def size(mm: float) -> str:
        return size_text(mm, plan.job.units)

    view = board_view(plan, index)
    canvas = Canvas()
    paths = _work(canvas, plan, index, done, view)
    crowded = _labels(canvas, plan, board, view, paths)
    _dimensions(canvas, plan, board, view, paths)
    entries: list[tuple[Line, str]] = [
        ("cut", "cut"),
        ("kept", f"the {plan.job.stock_word}'s edges"),
        ("fence", "edge on the fence"),
    ]
    if board.common:
        entries.insert(1, ("shared", "cut once for two parts"))
    if any(cut.leads for cut in done.cuts):
        entries.append(("lead", "onto a cut and off it"))
    if tab_stretches(plan.job, board.parts, done):
        entries.append(("tab", "tab, left standing"))
    if any(o.kind == "pocket" for o in done.program.operations):
        entries.append(("pocket", "pocket, not through"))
    if any(o.kind == "mark" for o in done.program.operations):
        entries.append(("mark", "marked, not cut"))
    side = _side_trim(plan)
    if board.stock.defects or plan.job.machine.end_trim or side:
        entries.append(("hatch", f"kept clear: end trim, {'sides, ' if side else ''}defects"))
    add_key(canvas, entries)
    path = "the design line" if plan.job.cutter.path == "design" else "the tool's centre line"
    notes = [
        f"Cut lines are {path}. Parts at least {size(plan.job.part_gap)} apart; "
        f"end trim {size(plan.job.machine.end_trim)}.",
        fence_words(plan, index, size),
    ]
    if board.common:
        pairs = ", ".join(f"{a + 1} and {b + 1}" for a, b in board.pairs)
        wide = shown(plan.job.cutter.width, plan.job.units)
        notes.append(f"Shared cuts, {wide} between the parts and made once: parts {pairs}.")
    for start, end in board.stock.defects:
        notes.append(f"Defect from {size(start)} to {size(end)}.")
    add_notes(canvas, [*crowded, *notes])
    which = f"{plan.job.stock_word.capitalize()} {index + 1} of {len(plan.layout.boards)}"
    title = f"{which}: {stock_name(board.stock)}, {size(board.stock.length)} long"
    add_title(canvas, plan, title, view.scale)
    return canvas


def board_view(plan: Plan, index: int) -> View:
    """From stock coordinates to the canvas of `board_svg`."""
    return View((WIDTH - _LEFT - _RIGHT) / plan.layout.boards[index].stock.length, _LEFT, 0.0)


def _work(canvas: Canvas, plan: Plan, index: int, done: BoardWork, view: View) -> tuple[Chain, ...]:
    """Draws what lies on the board and what is cut; gives the cuts that free parts."""
    board = plan.layout.boards[index]
    length, width = board.stock.length, board.stock.least_width
    for placed in board.parts:
        canvas.chain(view, plan.part_of(placed).outline.moved(placed.motion), "none", _WOOD)
    trim, side = plan.job.machine.end_trim, _side_trim(plan)
    for start, end in (*board.stock.defects, (0.0, trim), (length - trim, length)):
        if end > start:
            _cross_out(canvas, view, (start, 0.0, end, width))
    for low in (0.0, width - side) if side else ():
        _cross_out(canvas, view, (trim, low, length - trim, low + side))
    canvas.polygon([view(p) for p in ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))], "kept")
    draw_fence(canvas, view, fence_of(plan, index), 0.0, length, width)
    for placed in board.parts:
        for slot in plan.part_of(placed).slots:
            canvas.chain(view, slot.moved(placed.motion), "none", "#fff")
    draw_operations(canvas, view, done.program.operations)
    for lead in (lead for cut in done.cuts for lead in cut.leads):
        canvas.chain(view, lead, "lead")
    for tab in tab_stretches(plan.job, board.parts, done):
        canvas.chain(view, tab, "tab")
    for cut in board.common:
        for line in cut.lines:
            canvas.polyline([view(p) for p in line], "shared")
    return tuple(o.chain for o in done.program.operations if o.kind == "outline" and o.chain is not None)


def _side_trim(plan: Plan) -> float:
    """What is kept clear along both long sides of a sheet; of boards parts may use the whole width."""
    return max(s.part.edge_trim for s in plan.design.parts) if plan.job.on_sheets else 0.0


def _cross_out(canvas: Canvas, view: View, area: Box) -> None:
    (x0, y1), (x1, y0) = view(area[:2]), view(area[2:])
    tall: list[Segment] = [(x0, y0, x0, y1), (x1, y0, x1, y1)]
    long: list[Segment] = [(x0, y0, x1, y0), (x0, y1, x1, y1)]
    strokes = tall if y1 - y0 >= x1 - x0 else long
    strokes += hatch((x0, y0, x1, y1), 7.0)
    canvas.strokes(strokes, "hatch")


def _labels(canvas: Canvas, plan: Plan, board: Board, view: View, paths: tuple[Chain, ...]) -> list[str]:
    """What each part is and which way it lies, above the board; where that is too much, numbers there and notes."""
    if not board.parts:
        return []
    unit = plan.job.units
    spots = [view(placed.motion(_inside(plan.part_of(placed)))) for placed in board.parts]
    whole = [_part_words(plan, board, number) for number in range(1, len(board.parts) + 1)]
    if plan.job.on_sheets:
        # Parts lie one above the other, and a line from outside would cross the others: numbers stand in the wood.
        for number, (x, y) in enumerate(spots, 1):
            canvas.add(Marks(texts=(TextLine(x, y + TEXT / 3, f"{number}", "middle"),)))
        where = [f"from left {size_text(p.x, unit)}, up {size_text(p.y, unit)}" for p in board.parts]
        return [", ".join((*pair, at)) for pair, at in zip(whole, where, strict=True)]
    crowded = sum(max(span(w, TEXT) for w in pair) + 16 for pair in whole) > WIDTH - 2 * EDGE
    words = [(f"{number}",) for number in range(1, len(whole) + 1)] if crowded else whole
    wide = [max(span(w, TEXT) for w in lines) + 16 for lines in words]
    places = spread([x for x, _ in spots], wide, EDGE, WIDTH - EDGE)
    top = min(view((0.0, path.extents()[3]))[1] for path in paths)
    top = min(top, view((0.0, board.stock.least_width))[1]) - 18
    for (x, y), place, lines in zip(spots, places, words, strict=True):
        texts = tuple(TextLine(place, top - 12 - 22 * k, w, "middle") for k, w in enumerate(reversed(lines)))
        canvas.add(Marks(((place, top - 4, x, y),), dots=((x, y, 3.2, True),), texts=texts))
    return [", ".join(pair) for pair in whole] if crowded else []


def _inside(part: CutPart) -> Point:
    """A place in a part's wood behind its notches, board frame; beside the middle, where a stringer's lettering is."""
    import shapely

    x0, y0, x1, y1 = part.outline.extents()
    wood, y = part.outline.polygon(), (part.throat or (y1 - y0) / 2) / 2
    places = [(x0 + share * (x1 - x0), y) for share in (() if part.small else _BESIDE)]
    shapely.prepare(wood)
    found = next((p for p in places if wood.contains(shapely.Point(p).buffer(y / 2))), ((x0 + x1) / 2, y))
    # Of a part with one step the middle of its box's lower half may lie outside it.
    on = wood.point_on_surface()
    return found if wood.contains(shapely.Point(found)) else (on.x, on.y)


def _part_words(plan: Plan, board: Board, number: int) -> tuple[str, str]:
    """A part's name, and which way it lies."""
    placed = board.parts[number - 1]
    room = WIDTH - 2 * EDGE - 360
    if plan.part(placed.name).small is not None:
        cut = f"cut all round, {placed.how}" if placed.how else "cut all round"
        return (cut_to(f"{number}: {placed.name}", room, TEXT), cut)
    end = _upper_end(placed, plan.part_of(placed))
    return (
        cut_to(f"{number}: {placed.name}", room, TEXT),
        f"{placed.how}, upper end {end}" if placed.how else f"upper end {end}",
    )


def _upper_end(placed: Placed, part: CutPart) -> str:
    """Where the stair's upper end lies as the board is seen."""
    way = 1 if part.mirrored else -1
    x, y = way * placed.motion.cos, way * placed.motion.sin
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return "at the top" if y > 0 else "at the bottom"


def _dimensions(canvas: Canvas, plan: Plan, board: Board, view: View, paths: tuple[Chain, ...]) -> None:
    def size(mm: float) -> str:
        return size_text(mm, plan.job.units)

    length, width = board.stock.length, board.stock.least_width
    marks: set[float] = set()
    for placed in board.parts:
        x0, _, x1, _ = plan.part_of(placed).outline.moved(placed.motion).extents()
        marks |= {round(placed.x, 6), round(placed.x + x1 - x0, 6)}
    (left, low), (right, high) = view((0.0, 0.0)), view((length, width))
    canvas.add(vertical(high, low, left - 26, size(width), left - 3, left - 3, "down"))
    # A value next to the datum's own line would be struck through by it; end trims stand in a note as well.
    marks = {v for v in marks if not 2.0 < view((v, 0.0))[0] - left < PITCH}
    step = max(1, math.ceil(len(marks) * PITCH / (right - left)))
    shown = sorted(marks)[::step]
    words = [size(v) for v in shown]
    bottom = max([low, *(view((0.0, path.extents()[1]))[1] for path in paths)]) + 26
    if shown:
        points = [(view((v, 0.0))[0], low + 4) for v in shown]
        canvas.add(running(left, points, bottom, words, EDGE, WIDTH - EDGE, "below"))
        canvas.add(Marks(((left, low + 4, left, bottom - 4),)))
    y = canvas.bottom + 40
    used = view((board.used, 0.0))[0]
    if board.parts:
        canvas.add(horizontal(used, right, y, f"offcut {size(board.offcut)}", y - 24, low + 4, "left"))
        y += 38
    canvas.add(horizontal(left, right, y, f"{plan.job.stock_word} {size(length)}", low + 4, y - 30))

"""Each kind of tread: its boards from above, as they lie on the stringers, and the step in section.

From above x runs across the stair from the left, as one goes up, and y back from the nosing. The section is in the
stair frame. Millimetres.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from cutpath.outline import Box, Chain
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import horizontal, leaders, running, vertical
from cutpath.pictures.marks import EDGE, WIDTH, Marks, TextLine
from cutpath.pictures.pages import on_a_page
from cutpath.pictures.room import hatch
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.pieces.values import Pieces, StairPiece, Stand, TreadPlace
from cutpath.pieces.words import in_runs
from cutpath.plan.values import Plan
from cutpath.tolerances import SAME_POINT
from cutpath.units import Show

_LEFT: Final = 64.0
_RIGHT: Final = 150.0
#: The most that the two views take upward.
_HIGH: Final = 220.0
_SECTION: Final = 320.0
_SIDES: Final[tuple[Literal["left", "right"], ...]] = ("left", "right")
_PAST: Final[tuple[Literal["up", "down"], ...]] = ("up", "down")
_WOOD: Final = "#f0f0f0"
#: How much of what is behind, before, above and below a step the section shows, millimetres.
_ROUND: Final = 70.0


class TreadKind(Struct, frozen=True):
    """Treads that are alike: their numbers, one of them, and its boards where they lie, from the front one back."""

    numbers: tuple[int, ...]
    place: TreadPlace
    boards: tuple[tuple[StairPiece, Stand], ...]


def kinds_of(pieces: Pieces) -> tuple[TreadKind, ...]:
    """The kinds of treads, from the top."""
    if pieces.treads is None:
        return ()
    found: dict[object, list[tuple[TreadPlace, tuple[tuple[StairPiece, Stand], ...]]]] = {}
    for place in pieces.treads.places:
        boards = _boards_of(pieces, place)
        lengths = (place.room, *place.widths, place.open, *place.bearing)
        key = (tuple(round(v, 3) for v in lengths), tuple(piece.name for piece, _ in boards))
        found.setdefault(key, []).append((place, boards))
    # The second one has a tread above it, which the uppermost has not.
    return tuple(TreadKind(tuple(place.number for place, _ in alike), *alike[:2][-1]) for alike in found.values())


def _boards_of(pieces: Pieces, place: TreadPlace) -> tuple[tuple[StairPiece, Stand], ...]:
    """A tread's boards, from the front one back, in each bay from the left."""
    top = place.nosing[1]
    there = [
        (piece, stand)
        for piece in pieces.of("tread")
        for stand in piece.stands
        if abs(stand.elevation.extents()[3] - top) < SAME_POINT
    ]
    return tuple(sorted(there, key=lambda one: (-one[1].elevation.extents()[2], one[1].across)))


def tread_svgs(plan: Plan, pieces: Pieces) -> dict[str, str]:
    """A drawing of each kind of tread, by its name.

    Args:
        plan: the whole job.
        pieces: its other pieces.

    Returns:
        SVG documents: `tread`, or `tread-1`, `tread-2` and so on; none where the job has no treads listed.
    """
    kinds = kinds_of(pieces)
    names = ["tread"] if len(kinds) == 1 else [f"tread-{i}" for i in range(1, len(kinds) + 1)]
    return {name: _svg(plan, pieces, kind) for name, kind in zip(names, kinds, strict=True)}


def _svg(plan: Plan, pieces: Pieces, kind: TreadKind) -> str:
    unit = plan.job.units
    which = in_runs(kind.numbers, "tread")
    widths = ", ".join(size_text(wide, unit) for wide in kind.place.widths)
    left_open = size_text(kind.place.open, unit)
    description = f"{which.capitalize()}: boards {widths} wide from the front one back, {left_open} open behind."
    return tread_canvas(plan, pieces, kind).svg(f"{plan.job.name}: {which}", description)


def tread_canvas(plan: Plan, pieces: Pieces, kind: TreadKind) -> Canvas:
    """The canvas of one kind of tread."""
    return on_a_page(lambda share: _canvas(plan, pieces, kind, share))


def _canvas(plan: Plan, pieces: Pieces, kind: TreadKind, share: float) -> Canvas:
    canvas = Canvas()
    scale = _from_above(canvas, plan, pieces, kind, share * _HIGH)
    _section(canvas, plan, pieces, kind, canvas.bottom + 56, share * _SECTION)
    add_notes(canvas, _notes(plan, pieces, kind))
    key: list[tuple[Line, str]] = [("tool", "stringer under the boards" if plan.job.stringer.toothed else "stringer")]
    if plan.job.stringer.toothed:
        key.append(("cut", "stringer as cut"))
    if kind.place.number == 1:
        key.append(("hatch", "header"))
    add_key(canvas, key)
    which = in_runs(kind.numbers, "tread")
    add_title(canvas, plan, f"{which.capitalize()}: from above, front edge below, and in section", scale)
    return canvas


# From above


def _from_above(canvas: Canvas, plan: Plan, pieces: Pieces, kind: TreadKind, tall: float) -> float:
    """The boards on their stringers; gives the scale."""
    place, size = kind.place, _size(plan)
    assert pieces.treads is not None
    low, high = pieces.treads.across[0][0], pieces.treads.across[-1][1]
    low, high = min(low, 0.0), max(high, pieces.overall)
    front = place.nosing[0]
    scale = min((WIDTH - _LEFT - _RIGHT) / (high - low), tall / place.room)
    view = View(scale, _LEFT - scale * low, scale * place.room)
    canvas.add(Marks(texts=(TextLine(EDGE, -150.0, "From above", bold=True),)))
    for _, stand in kind.boards:
        canvas.chain(view, _turned(stand, front), "work", _WOOD)
    for a, b in pieces.stringers:
        corners = [view(p) for p in ((a, 0.0), (b, 0.0), (b, place.room), (a, place.room))]
        canvas.strokes([(*corners[0], *corners[3]), (*corners[1], *corners[2])], "tool")
    left = pieces.treads.across[0][0]
    faces = sorted({round(z, 6) for pair in pieces.stringers for z in pair if z - left > SAME_POINT})
    top = view((0.0, place.room))[1]
    points = [(view((z, 0.0))[0], top - 4) for z in faces]
    canvas.add(running(view((left, 0.0))[0], points, top - 30, [size(z - left) for z in faces], EDGE, WIDTH - EDGE))
    _widths(canvas, plan, kind, view, view((high, 0.0))[0])
    notches = _notch_edges(kind)
    base = view((0.0, 0.0))[1]
    if notches:
        points = [(view((left + x, 0.0))[0], base + 4) for x in notches]
        words = [size(x) for x in notches]
        canvas.add(running(view((left, 0.0))[0], points, base + 26, words, EDGE, WIDTH - EDGE, "below"))
    length = pieces.treads.length
    y = canvas.bottom + 34
    # Below the notches' figures, which may stand close to the boards' ends.
    start = y - 14 if notches else base + 4
    canvas.add(horizontal(view((left, 0))[0], view((left + length, 0))[0], y, f"boards {size(length)}", start, start))
    return scale


def _turned(stand: Stand, front: float) -> Chain:
    """A board from above as this picture lies: z to the right, back from the nosing up."""
    if stand.plan is not None:
        points = stand.plan.points
        return Chain(tuple((z, front - x) for x, z in points), stand.plan.bulges, True)
    x0, _, x1, _ = stand.elevation.extents()
    (z0, z1) = stand.across
    corners = ((z0, front - x1), (z1, front - x1), (z1, front - x0), (z0, front - x0))
    return Chain(corners, (0.0,) * 4, True)


def _notch_edges(kind: TreadKind) -> list[float]:
    """From the boards' left end to both sides of every notch that the first bay's boards have."""
    first = min(stand.across for _, stand in kind.boards)
    found = {
        round(x, 6)
        for piece, stand in kind.boards
        if piece.shape is not None and stand.across == first
        for x, _ in piece.shape.points
    }
    length = kind.boards[0][0].length
    return sorted(x for x in found if SAME_POINT < x < length - SAME_POINT)


def _widths(canvas: Canvas, plan: Plan, kind: TreadKind, view: View, right: float) -> None:
    """Each board's width, and how deep a notch goes from the front edge, at the right."""
    size, place = _size(plan), kind.place
    back = 0.0
    x = right + 40
    for wide in place.widths:
        y1, y0 = view((0.0, back))[1], view((0.0, back + wide))[1]
        canvas.first_with_room([vertical(y0, y1, x, size(wide), right + 4, right + 4)])
        back += wide + (plan.job.treads.gap if plan.job.treads else 0.0)
    for y in _notch_depths(kind):
        canvas.first_with_room(_deep(kind, view, y, size(y)))


def _deep(kind: TreadKind, view: View, deep: float, words: str) -> Iterator[Marks]:
    """How far a notch keeps off the front edge: in the notch, through the wood before it, or left of the board."""
    y1, y0 = view((0.0, 0.0))[1], view((0.0, deep))[1]
    sides = _notch_edges(kind)
    left = min(stand.across[0] for _, stand in kind.boards)
    for a, b in itertools.pairwise((0.0, *sides, kind.boards[0][0].length)):
        line = vertical(y0, y1, view((left + (a + b) / 2, 0.0))[0] + 8, words, None, None)
        yield _through(line)
    x = view((left, 0.0))[0]
    for beside in _PAST:
        yield vertical(y0, y1, x - 22, words, x - 4, x - 4, beside)


def _notch_depths(kind: TreadKind) -> list[float]:
    """How far from the tread's front edge the notches' sides along the boards are, the nearest first."""
    front = kind.place.nosing[0]
    found = set()
    for piece, stand in kind.boards:
        own, wide = front - stand.elevation.extents()[2], piece.section[1]
        shape = () if piece.shape is None else piece.shape.points
        found |= {round(own + y, 6) for _, y in shape if SAME_POINT < y < wide - SAME_POINT}
    return sorted(found)


# In section


def _section(canvas: Canvas, plan: Plan, pieces: Pieces, kind: TreadKind, top: float, tall: float) -> None:
    """The step, seen from the stair's side."""
    place, stair, size = kind.place, plan.stair, _size(plan)
    x, y = place.nosing
    low = max(y - stair.unit_rise - stair.tread_thickness, plan.design.built.landing)
    box = (x - place.room - _ROUND, low - 0.3 * _ROUND, x + 0.6 * _ROUND, y + _ROUND)
    scale = min(560.0 / (box[2] - box[0]), tall / (box[3] - box[1]))
    canvas.add(Marks(texts=(TextLine(EDGE, top, "In section", bold=True),)))
    view = View(scale, 190.0 - scale * box[0], top + 30 + scale * box[3])
    wood = plan.design.part.outline.moved(plan.design.stringer.to_board.inverse())
    _clipped(canvas, view, wood, box, "cut", _WOOD)
    for outline in (*_risers(plan, pieces), *_unique(s.elevation for p in pieces.of("tread") for s in p.stands)):
        _clipped(canvas, view, outline, box, "work", "#fff")
    if place.number == 1:
        _header(canvas, plan, view, box)
    for piece in pieces.of("sill plate"):
        _clipped(canvas, view, piece.stands[0].elevation, box, "work", "#fff")
    _over(canvas, plan, kind, view)
    _under(canvas, plan, kind, view)
    _riser(canvas, plan, pieces, kind, view)
    spot = view((x - place.widths[0] / 2, y - stair.tread_thickness / 2))
    canvas.first_with_room(leaders(spot, f"tread {size(stair.tread_thickness)}", "dot", "up", sides=("right",)))


def _header(canvas: Canvas, plan: Plan, view: View, box: Box) -> None:
    """The header behind the uppermost tread, as far as it is shown."""
    low = max(box[1], -(plan.job.stair.header_depth or 1e6))
    high = min(box[3], -plan.stair.tread_thickness)
    if low < high:
        (x0, y0), (x1, y1) = view((box[0], high)), view((0.0, low))
        canvas.strokes(hatch((x0, y0, x1, y1), 14), "hatch")
        canvas.polyline([(x1, y0), (x1, y1)], "work")


def _over(canvas: Canvas, plan: Plan, kind: TreadKind, view: View) -> None:
    """Above the tread: from the nosing back to what is behind, and what stays open there."""
    place, size = kind.place, _size(plan)
    x, y = place.nosing
    up = view((x, y))[1]
    (x0, _), (x1, _) = view((x - place.room, y)), view((x, y))
    level = view((x, y + _ROUND))[1] - 30
    canvas.add(horizontal(x0, x1, level, f"room {size(place.room)}", up - 4, up - 4))
    if place.open > SAME_POINT:
        end = view((x - place.room + place.open, y))[0]
        canvas.first_with_room([horizontal(x0, end, up - 26, f"open {size(place.open)}", up - 4, up - 4, "right")])


def _under(canvas: Canvas, plan: Plan, kind: TreadKind, view: View) -> None:
    """Under the tread: what each board bears, in the stringer's wood; the nosing."""
    place, stair, size = kind.place, plan.stair, _size(plan)
    x, y = place.nosing
    gap = plan.job.treads.gap if plan.job.treads else 0.0
    under = view((x, y - stair.tread_thickness))[1]
    front, seat = x, x - stair.riser_board - stair.nosing
    for wide, bears in zip(place.widths, place.bearing, strict=False):
        if bears > SAME_POINT:
            end = min(front, seat)
            (x0, _), (x1, _) = view((end - bears, y)), view((end, y))
            canvas.first_with_room(
                _through(horizontal(x0, x1, under + down, f"bears {size(bears)}", under, under, side))
                for down in (34, 62, 90)
                for side in _SIDES
            )
        front -= wide + gap
    if stair.nosing > SAME_POINT:
        (x0, _), (x1, _) = view((x - stair.nosing, y)), view((x, y))
        words = f"nosing {size(stair.nosing)}"
        canvas.first_with_room(
            _through(horizontal(x0, x1, under + down, words, None, under + 4)) for down in (26, 40, 60)
        )


def _through(marks: Marks) -> Marks:
    """Marks whose lines may cross the work."""
    return replace(marks, lines=(), through=marks.lines)


def _riser(canvas: Canvas, plan: Plan, pieces: Pieces, kind: TreadKind, view: View) -> None:
    """The riser board under the tread: its height."""
    size, stair = _size(plan), plan.stair
    face = kind.place.nosing[0] - stair.nosing
    for board in pieces.riser_boards:
        if abs(board.face - face) < SAME_POINT:
            (x, y1), (_, y0) = view((board.face, board.bottom)), view((board.face, board.bottom + board.height))
            words = f"riser {board.riser}: {size(board.height)}"
            beside = view((kind.place.nosing[0], 0.0))[0]
            canvas.first_with_room(vertical(y0, y1, beside + out, words, x + 4, x + 4) for out in (110, 140, 60))


def _risers(plan: Plan, pieces: Pieces) -> list[Chain]:
    """The riser boards from the side: as listed, or where none are down to the seat of the tread below."""
    listed = list(_unique(s.elevation for p in pieces.of("riser board") for s in p.stands))
    stair, thick = plan.stair, plan.stair.riser_board
    if listed or not thick:
        return listed
    treads, built = plan.design.built.treads, plan.design.built
    below = [*(y - stair.tread_thickness for _, y in treads[1:]), built.landing]
    found = []
    for (x, y), low in zip(treads, below, strict=True):
        a, b = x - stair.nosing - thick, x - stair.nosing
        top = y - stair.tread_thickness
        found.append(Chain(((a, low), (b, low), (b, top), (a, top)), (0.0,) * 4, True))
    return found


def _unique(outlines: Iterable[Chain]) -> Iterator[Chain]:
    """Outlines without those that hide one another exactly."""
    yield from {tuple((round(x, 4), round(y, 4)) for x, y in o.points): o for o in outlines}.values()


def _clipped(canvas: Canvas, view: View, outline: Chain, box: Box, line: Line, fill: str) -> None:
    """A closed outline as far as it lies in a box; no line where the box cuts it off."""
    import shapely

    frame = shapely.box(*box)
    shape = outline.polygon()
    inside = shape.intersection(frame)
    for area in shapely.get_parts(inside).tolist():
        if area.geom_type == "Polygon" and not area.is_empty:
            canvas.polygon([view(p) for p in area.exterior.coords[:-1]], "none", fill)
    edges = shapely.line_merge(shape.exterior.intersection(frame))
    for run in shapely.get_parts(edges).tolist():
        if run.geom_type == "LineString" and run.length > SAME_POINT:
            canvas.polyline([view(p) for p in run.coords], line)


# Words


def _notes(plan: Plan, pieces: Pieces, kind: TreadKind) -> list[str]:
    size, place, spec, laid = _size(plan), kind.place, plan.job.treads, pieces.treads
    assert spec is not None and laid is not None
    found = []
    if laid.boards > 1:
        found.append(f"{laid.boards} boards {size(laid.gap)} apart; {size(place.open)} open behind the rear one.")
    else:
        found.append(f"One board; {size(place.open)} open behind it.")
    if place.ripped < spec.size.width - SAME_POINT:
        found.append(f"Rear board ripped from {size(spec.size.width)} to {size(place.ripped)}, off its back edge.")
    for piece in {piece.name: piece for piece, _ in kind.boards}.values():
        notes = [note.text(size) for note in piece.notes if "ripped" not in note.words]
        told = f": {'; '.join(notes)}" if notes else ""
        found.append(f"{piece.name.capitalize()}, {piece.count} in all, {piece.where}{told}.")
    above = "Above: from the boards' left end to the stringers' faces."
    notches = _notch_depths(kind)
    if notches:
        above += f" Below: to the notches' sides; they are {' and '.join(map(size, notches))} back from the front edge."
    found.append(above)
    if laid.span is not None:
        where = "face to face" if laid.between_faces else "middle to middle"
        found.append(f"The boards span {size(laid.span)}, {where}.")
    return found


def _size(plan: Plan) -> Show:
    return partial(size_text, unit=plan.job.units)

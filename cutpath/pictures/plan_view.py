"""The stair in plan: header, stringers, treads with their boards, posts, rails. Stair frame: x out, z across."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from cutpath.outline import Point
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import running, vertical
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.pages import on_a_page
from cutpath.pictures.room import hatch
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.pieces.values import Pieces, Range, StairPiece, Stand
from cutpath.pieces.words import in_runs
from cutpath.plan.values import Plan
from cutpath.tolerances import SAME_POINT
from cutpath.units import many

_LEFT: Final = 40.0
#: Room right of the stair: the word "up", the stringers' spacing, the whole across.
_RIGHT: Final = 190.0
_TALL: Final = 520.0
#: How far the header is drawn inward and past the stair's sides, not dimensioned, millimetres.
_HEADER: Final = 90.0
_PAST: Final = 60.0
_WOOD: Final = "#f0f0f0"


class _Ground(Struct, frozen=True):
    """What the picture starts from: the plan, its pieces, what is shown across, the view of (x, z)."""

    plan: Plan
    pieces: Pieces
    across: Range
    view: View

    def size(self, mm: float) -> str:
        """A dimension in the job's unit."""
        return size_text(mm, self.plan.job.units)

    def box(self, x: Range, z: Range) -> list[Point]:
        """A rectangle on the canvas."""
        return [self.view(p) for p in ((x[0], z[0]), (x[1], z[0]), (x[1], z[1]), (x[0], z[1]))]


def plan_svg(plan: Plan, pieces: Pieces) -> str:
    """The stair seen from above.

    Args:
        plan: the whole job.
        pieces: its other pieces.

    Returns:
        An SVG document.
    """
    unit, stair = plan.job.units, plan.stair
    description = (
        f"{many(len(pieces.stringers), 'stringer')} {size_text(pieces.overall, unit)} across their outer faces, "
        f"{many(stair.treads, 'tread')}, foot {size_text(stair.foot_out, unit)} out from the header face."
    )
    return plan_canvas(plan, pieces).svg(f"{plan.job.name}: stair in plan", description)


def plan_canvas(plan: Plan, pieces: Pieces) -> Canvas:
    """The canvas of `plan_svg`."""
    return on_a_page(lambda share: _canvas(plan, pieces, share))


def _canvas(plan: Plan, pieces: Pieces, share: float) -> Canvas:
    ground = _ground(plan, pieces, share)
    canvas = Canvas()
    _header(canvas, ground)
    for piece in pieces.of("tread"):
        for stand in piece.stands:
            _tread_board(canvas, ground, stand)
    _stringers(canvas, ground)
    for piece in pieces.of("top rail"):
        for stand in piece.stands:
            _box(canvas, ground, stand, "thin")
    for piece in pieces.of("post"):
        _posts(canvas, ground, piece)
    notes = [*_outward(canvas, ground), *_posts_out(canvas, ground), *_across(canvas, ground)]
    _numbers(canvas, ground)
    add_notes(canvas, [*notes, *_treads(ground), *_more(ground)])
    key: list[tuple[Line, str]] = [("hatch", "header"), ("centre", "the floor's edge over it")]
    key.append(("tool", "stringer under the treads" if pieces.treads else "stringer"))
    if pieces.rail is not None:
        key.append(("thin", "top rail over them"))
    add_key(canvas, key)
    what = f"Stair in plan: {many(plan.stair.treads, 'tread')}, {many(len(pieces.stringers), 'stringer')}"
    add_title(canvas, plan, f"{what}; left and right as one goes up", ground.view.scale)
    return canvas


def _ground(plan: Plan, pieces: Pieces, share: float) -> _Ground:
    z = [(0.0, pieces.overall)] + [stand.across for piece in pieces.all for stand in piece.stands]
    low, high = min(a for a, _ in z), max(b for _, b in z)
    right = _right_of(plan, pieces)
    left = min([-_HEADER, *(_extent(s)[0] for piece in pieces.of("top rail") for s in piece.stands)])
    scale = min((WIDTH - _LEFT - _RIGHT) / (right - left), share * _TALL / (high - low + 2 * _PAST))
    return _Ground(plan, pieces, (low, high), View(scale, _LEFT - scale * left, 0.0))


def _header(canvas: Canvas, ground: _Ground) -> None:
    low, high = ground.across[0] - _PAST, ground.across[1] + _PAST
    corners = ground.box((-_HEADER, 0.0), (low, high))
    canvas.polygon(corners, "work", "#fff")
    canvas.strokes(hatch((*corners[3], *corners[1]), 14), "hatch")
    edge = ground.plan.design.built.nosings[0][0] if ground.plan.design.built.floor_first else 0.0
    if edge > 0:
        canvas.polyline([ground.view((edge, low)), ground.view((edge, high))], "centre")


def _stringers(canvas: Canvas, ground: _Ground) -> None:
    start = ground.plan.job.stringer.top_gap
    for z in ground.pieces.stringers:
        canvas.polygon(ground.box((start, ground.plan.stair.foot_out), z), "tool")


def _extent(stand: Stand) -> Range:
    x0, _, x1, _ = stand.elevation.extents()
    return x0, x1


def _box(canvas: Canvas, ground: _Ground, stand: Stand, line: Line, fill: str = "none") -> None:
    """A piece seen from above."""
    if stand.plan is not None:
        canvas.chain(ground.view, stand.plan, line, fill)
    else:
        canvas.polygon(ground.box(_extent(stand), stand.across), line, fill)


def _tread_board(canvas: Canvas, ground: _Ground, stand: Stand) -> None:
    """A tread's board as far as the nosing of the tread above does not lie over it."""
    import shapely

    (x0, x1), level = _extent(stand), stand.elevation.extents()[3]
    above = [x for x, y in ground.plan.design.built.treads if y > level + SAME_POINT]
    seen = shapely.box(max([x0, *above]), stand.across[0], x1, stand.across[1])
    if stand.plan is not None:
        seen = seen.intersection(stand.plan.polygon())
    for area in shapely.get_parts(seen).tolist():
        if area.geom_type == "Polygon" and area.area > 0:
            canvas.polygon([ground.view(p) for p in area.exterior.coords[:-1]], "work", _WOOD)


def _posts(canvas: Canvas, ground: _Ground, piece: StairPiece) -> None:
    for stand in piece.stands:
        corners = ground.box(_extent(stand), stand.across)
        canvas.polygon(corners, "work", "#fff")
        canvas.strokes([(*corners[0], *corners[2]), (*corners[1], *corners[3])], "hatch")


def _outward(canvas: Canvas, ground: _Ground) -> list[str]:
    """Where each nosing is, running from the header face, above the stair."""
    treads = ground.plan.design.built.treads
    top = ground.pieces.treads.across[-1][1] if ground.pieces.treads else ground.pieces.overall
    words = [f"{n}: {ground.size(x)}" for n, (x, _) in enumerate(treads, 1)]
    points = [(ground.view((x, top))[0], ground.view((x, top))[1] - 4) for x, _ in treads]
    origin, high = ground.view((0.0, ground.across[1] + _PAST))
    y = high - 24
    canvas.add(running(origin, points, y, words, EDGE + TEXT, WIDTH - EDGE))
    canvas.add(Marks(((origin, high - 4, origin, y),)))
    return ["Above: each tread's nosing, out from the header face."]


def _posts_out(canvas: Canvas, ground: _Ground) -> list[str]:
    """Where each post is, and the foot, running from the header face, below the stair."""
    rail, foot = ground.pieces.rail, ground.plan.stair.foot_out
    low = ground.view((0.0, ground.across[0] - _PAST))[1]
    origin = ground.view((0.0, 0.0))[0]
    found = [(foot, f"foot: {ground.size(foot)}", 0.0)]
    told = "the stringers' foot"
    if rail is not None:
        if rail.posts[0].back > 0:
            z = rail.across[0][0]
            found += [(post.back, f"post, tread {post.tread}: {ground.size(post.back)}", z) for post in rail.posts]
            told = "each post's face nearest to the header face, and the stringers' foot,"
        found.sort()
    points = []
    for x, _, z in found:
        at = ground.view((x, z))
        points.append((at[0], at[1] + 4))
    y = low + 24
    words = [text for _, text, _ in found]
    canvas.add(running(origin, points, y, words, EDGE + TEXT, WIDTH - EDGE, "below"))
    canvas.add(Marks(((origin, low + 4, origin, y),)))
    return [f"Below: {told} out from it."] if rail is not None else [f"Below: {told}, out from it."]


def _across(canvas: Canvas, ground: _Ground) -> list[str]:
    """How wide the stair is, and where stringers and posts are across it. Gives notes."""
    view, size, pieces = ground.view, ground.size, ground.pieces
    end = view((_right_of(ground.plan, pieces), 0.0))[0]
    x = end + 52
    middles = [(a + b) / 2 for a, b in pieces.stringers]
    for low, high in itertools.pairwise(middles):
        (_, y1), (_, y0) = view((0.0, low)), view((0.0, high))
        canvas.first_with_room([vertical(y0, y1, x, size(high - low), end + 4, end + 4)])
    (_, y1), (_, y0) = view((0.0, 0.0)), view((0.0, pieces.overall))
    canvas.first_with_room([vertical(y0, y1, x + 44, f"stringers {size(pieces.overall)}", end + 4, end + 4)])
    if pieces.treads is not None and len(pieces.treads.across) == 1:
        z0, z1 = pieces.treads.across[0]
        (_, y1), (_, y0) = view((0.0, z0)), view((0.0, z1))
        canvas.first_with_room([vertical(y0, y1, x + 88, f"treads {size(z1 - z0)}", end + 4, end + 4)])
    _up(canvas, ground, end)
    faces = "; ".join(f"{size(a)} to {size(b)}" for a, b in pieces.stringers)
    notes = [f"Stringers, across from the left one's outer face: {faces}."]
    if pieces.rail is not None:
        outside = all(b <= 0 or a >= pieces.overall for a, b in pieces.rail.across)
        notes[0] += f" Posts against the {'outer' if outside else 'inner'} faces of the outer ones."
    return notes


def _up(canvas: Canvas, ground: _Ground, end: float) -> None:
    """The way up, as an arrow over the treads."""
    start = end - 60 if ground.pieces.treads is None else _on_last(ground)
    head = ground.view((0.3 * ground.plan.stair.foot_out, 0.0))[0]

    def tries() -> Iterator[Marks]:
        for share in (0.6, 0.65, 0.4, 0.7, 0.3):
            y = ground.view((0.0, share * ground.pieces.overall))[1]
            words = TextLine(start, y + 6, "up", "middle")
            left = words.box()[0] - 6
            yield Marks(arrows=((head, y, -1.0, 0.0),), texts=(words,), through=((head, y, left, y),))

    if head < start - 60:
        canvas.first_with_room(tries())


def _on_last(ground: _Ground) -> float:
    """The middle of the lowest tread's front board."""
    assert ground.pieces.treads is not None
    place = ground.pieces.treads.places[-1]
    return ground.view((place.nosing[0] - place.widths[0] / 2, 0.0))[0]


def _right_of(plan: Plan, pieces: Pieces) -> float:
    """X of the rightmost thing that is drawn."""
    ends = [_extent(stand)[1] for piece in pieces.all for stand in piece.stands]
    return max([plan.stair.foot_out, *(x for x, _ in plan.design.built.nosings), *ends])


def _numbers(canvas: Canvas, ground: _Ground) -> None:
    """Each tread's number on it; on none where one has no room, since they stand at the nosings as well."""
    if ground.pieces.treads is None:
        return
    found: list[Marks] = []
    for place in ground.pieces.treads.places:
        x = place.nosing[0] - place.widths[0] / 2
        spots = [ground.view((x, share * ground.pieces.overall)) for share in (0.25, 0.3, 0.2, 0.7, 0.75, 0.35, 0.65)]
        tries = (Marks(texts=(TextLine(x, y + 6, str(place.number), "middle", bold=True),)) for x, y in spots)
        room = next(filter(canvas.has_room, tries), None)
        if room is None:
            return
        found.append(room)
    for marks in found:
        canvas.add(marks)


def _treads(ground: _Ground) -> list[str]:
    """How the boards of the treads lie."""
    laid, size = ground.pieces.treads, ground.size
    if laid is None:
        return []
    spec = ground.plan.job.treads
    assert spec is not None
    found = f"Treads: {many(laid.boards, 'board')} of {spec.size.label(ground.plan.job.units)} each"
    if laid.boards > 1:
        found += f", {size(laid.gap)} apart"
    found += f"; every board {size(laid.length)} long"
    if spec.side_overhang and ground.plan.job.stringer.toothed:
        found += f", {size(spec.side_overhang)} past the outer faces"
    notes = [f"{found}."]
    ripped: dict[float, list[int]] = {}
    for place in laid.places:
        if place.ripped < spec.size.width - 1e-6:
            ripped.setdefault(round(place.ripped, 3), []).append(place.number)
    for wide, numbers in ripped.items():
        notes.append(f"Rear board of {in_runs(numbers, 'tread')} ripped to {size(wide)}.")
    return notes


def _more(ground: _Ground) -> list[str]:
    """Riser boards, and what holds the stringers."""
    pieces, size = ground.pieces, ground.size
    notes = [
        f"{piece.name.capitalize()}: {piece.count}, {size(piece.section[1])} high, {size(piece.length)} long; "
        f"{piece.where}."
        for piece in pieces.of("riser board")
    ]
    for piece in pieces.of("sill plate"):
        thick, wide = piece.section
        notes.append(f"Sill plate: {size(thick)} by {size(wide)}, {size(piece.length)} long, {piece.where}.")
    return notes

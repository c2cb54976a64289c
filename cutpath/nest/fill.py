"""Small parts laid where boards or sheets that are used anyway leave room. Stock coordinates, millimetres.

Nothing that lies there is moved. Where a small part may lie is worked out exactly but for chords and a hair: the places
at which it comes too near to an outline are that outline's Minkowski sum with the small part's convex hull, seen from
its other side, grown by the gap. (The no-fit polygon of irregular cutting; memory.) What they leave of the board is
free, and its leftmost corner is chosen.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.nest.costs import kept_worth
from cutpath.nest.values import Board, Keep, Layout, PartKind, Placed, is_half_turn
from cutpath.outline import Chain, Motion, Point
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: Chords that stand for arcs are this near to them, and places are rounded to `_PLACED` decimals; both go on the gap,
#: and what rounding moves a part by goes on defects, too.
_CHORD: Final = 0.05
_PLACED: Final = 3
_ROUNDED: Final = 10**-_PLACED

_ALONG: Final = (Motion(1.0, 0.0, 0.0, 0.0), Motion(-1.0, 0.0, 0.0, 0.0))
_ACROSS: Final = (Motion(0.0, 1.0, 0.0, 0.0), Motion(0.0, -1.0, 0.0, 0.0))


class _Spot(Struct, frozen=True):
    """A board with one more part on it, and what of an offcut worth keeping that takes, millimetres."""

    number: int
    board: Board
    lost: float


def fill_leftovers(
    layout: Layout,
    kinds: Sequence[PartKind],
    small: Sequence[PartKind],
    *,
    gap: float,
    end_trim: float,
    keep: Keep | None = None,
) -> Layout:
    """Lay small parts on the boards of a layout, as many as have room.

    Each goes on the board with the shortest leftover that has room for it, rather than on one whose offcut is worth
    keeping and would be worth less.

    Args:
        layout: of the other parts.
        kinds: those parts.
        small: the small parts, by shape; the first ones are laid first.
        gap: least clear distance of a small part from all others; from the board's edges, too, where it is not so
            high that there is less room.
        end_trim: kept clear at each end of a board.
        keep: what offcuts are worth; None: nothing.

    Returns:
        The layout with them: the same boards at the same cost and with the same bound, `left_out` saying what found no
        room. Its value is more where an offcut that counted has become shorter.
    """
    filler = _Filler(kinds, small, gap, end_trim, keep)
    boards = list(layout.boards)
    left_out: Counter[str] = Counter()
    area = layout.yield_share * _area(boards)
    for kind in small:
        for laid in range(kind.count):
            spot = filler.best(boards, kind)
            if spot is None:
                left_out[kind.name] = kind.count - laid
                break
            boards[spot.number] = spot.board
            area += abs(kind.outline.area())
    worth = round(math.fsum(kept_worth(b, layout.measure == "money", keep) for b in boards), 6)
    return replace(
        layout,
        boards=tuple(boards),
        value=round(layout.value + layout.kept_worth - worth, 6) if worth != layout.kept_worth else layout.value,
        kept_worth=worth,
        yield_share=area / _area(boards) if boards else layout.yield_share,
        left_out=tuple(left_out.items()),
    )


def _area(boards: Sequence[Board]) -> float:
    return math.fsum(board.stock.length * board.stock.least_width for board in boards)


class _View(Struct, frozen=True):
    """A small part turned one way.

    Attributes:
        motion: from its own frame to that of its box, lower left at the origin.
        hull: the corners of its convex hull there.
        long: of the box, along the board.
        tall: of the box, across.
    """

    motion: Motion
    hull: tuple[Point, ...]
    long: float
    tall: float


class _Filler:
    """Finds room; what was found is kept for boards, parts and outlines that are alike."""

    def __init__(
        self, kinds: Sequence[PartKind], small: Sequence[PartKind], gap: float, end_trim: float, keep: Keep | None
    ) -> None:
        self.kinds = {kind.name: kind for kind in (*kinds, *small)}
        self.gap, self.end_trim, self.keep = gap, end_trim, keep
        self.found: dict[tuple[Board, object], tuple[Motion, float] | None] = {}
        self.views: dict[tuple[Chain, bool], tuple[_View, ...]] = {}
        self.near: dict[tuple[str, bool, float, float, float, _View], Geometry] = {}

    def best(self, boards: Sequence[Board], kind: PartKind) -> _Spot | None:
        """Where a small part does best, or None where no board has room."""
        best: _Spot | None = None
        for number in sorted(range(len(boards)), key=lambda n: (boards[n].offcut, n)):
            board = boards[number]
            key = (board, (kind.outline, kind.edge_trim))
            if key not in self.found:
                self.found[key] = self._room(board, kind)
            place = self.found[key]
            if place is None:
                continue
            filled = _with(board, kind, *place)
            lost = self._kept(board) - self._kept(filled)
            if best is None or lost < best.lost - LIMIT_SLACK:
                best = _Spot(number, filled, lost)
            if lost <= LIMIT_SLACK:
                break
        return best

    def _kept(self, board: Board) -> float:
        """The length of a board's offcut that goes back on the rack."""
        if self.keep is None:
            return 0.0
        left = board.offcut - self.keep.saw
        return left if left >= self.keep.over - LIMIT_SLACK else 0.0

    def _room(self, board: Board, kind: PartKind) -> tuple[Motion, float] | None:
        """The motion that lays a small part farthest left on a board, and its right end there."""
        stock = board.stock
        found = []
        for view in self._views(kind, stock.kind == "sheet" and stock.grain == "free"):
            place = self._leftmost(board, kind, view)
            if place is not None:
                found.append((view.motion.then(*place), place[0] + view.long))
        # Equal places go to the part as drawn.
        return min(found, key=lambda p: round(p[1], 6), default=None)

    def _views(self, kind: PartKind, any_way: bool) -> tuple[_View, ...]:
        """A small part as drawn, turned end for end and, where it may be, by a quarter."""
        key = (kind.outline, any_way)
        if key not in self.views:
            turned = [_view(kind, turn) for turn in ((*_ALONG, *_ACROSS) if any_way else _ALONG)]
            alike = {tuple(sorted((round(x, 6), round(y, 6)) for x, y in view.hull)): view for view in turned[::-1]}
            self.views[key] = tuple(view for view in turned if view in alike.values())
        return self.views[key]

    def _leftmost(self, board: Board, kind: PartKind, view: _View) -> Point | None:
        """Where the lower left of a small part's box may lie farthest left."""
        import shapely

        stock = board.stock
        inset = max(kind.edge_trim, min(self.gap, (stock.least_width - view.tall) / 2))
        low, high = (
            (self.end_trim, inset),
            (stock.length - self.end_trim - view.long, stock.least_width - inset - view.tall),
        )
        if high[0] < low[0] - LIMIT_SLACK or high[1] < low[1] - LIMIT_SLACK:
            return None
        off = [self._near(board, placed, view) for placed in board.parts]
        for start, stop in stock.defects:
            left, right = min(start, stop) - view.long - _ROUNDED, max(start, stop) + _ROUNDED
            off.append(shapely.box(left, low[1] - 1.0, right, high[1] + 1.0))
        window = shapely.box(*(v - LIMIT_SLACK for v in low), *(v + LIMIT_SLACK for v in high))
        corners = shapely.get_coordinates(shapely.difference(window, _united(off), grid_size=SAME_POINT))
        if not len(corners):
            return None
        x, y = min((round(float(x), _PLACED), round(float(y), _PLACED)) for x, y in corners)
        return min(max(x, low[0]), high[0]), min(max(y, low[1]), high[1])

    def _near(self, board: Board, placed: Placed, view: _View) -> Geometry:
        """Where the lower left of a small part's box may not lie, for one part on the board."""
        import numpy as np
        import shapely

        motion, kind = placed.motion, self.kinds[placed.name]
        surplus = 0.0 if kind.edges == "trimmed" else max(0.0, board.stock.least_width - kind.width)
        key = (placed.name, placed.over, motion.cos, motion.sin, surplus, view)
        if key not in self.near:
            taken = _taken(kind.face(placed.over), Motion(motion.cos, motion.sin, 0.0, 0.0), surplus)
            reach = (self.gap + 2 * _CHORD) / math.cos(math.pi / 64)
            self.near[key] = _summed(taken, view.hull).buffer(reach, quad_segs=16)
        there = np.array((motion.dx, motion.dy))
        return shapely.transform(self.near[key], lambda xy: xy + there)


def _view(kind: PartKind, turn: Motion) -> _View:
    import shapely

    left, low, right, high = kind.outline.moved(turn).extents()
    motion = turn.then(-left, -low)
    hull = shapely.convex_hull(kind.outline.moved(motion).polygon(_CHORD))
    corners = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(hull)[:-1])
    return _View(motion, corners, right - left, high - low)


def _taken(part: Chain, motion: Motion, surplus: float) -> Polygon:
    """What a part takes of its board: its outline, and the board's surplus width under it where it keeps its edges."""
    import shapely

    outline = part.moved(motion).polygon(_CHORD)
    if surplus <= SAME_POINT:
        return outline
    edge = [x for x, y in part.points if y <= SAME_POINT]
    # The cuts at its ends run on through the surplus as they are slanted.
    ends = [(a, b) for a, b, _ in part.segments() if (a[1] <= SAME_POINT) != (b[1] <= SAME_POINT)]
    aside = surplus * max(abs((b[0] - a[0]) / (b[1] - a[1])) for a, b in ends)
    corners: list[Point] = [(min(edge) - aside, -surplus), (max(edge) + aside, 0.0)]
    (x0, y0), (x1, y1) = map(motion, corners)
    return _united([outline, shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))])


def _summed(outline: Polygon, hull: tuple[Point, ...]) -> Geometry:
    """Where a convex shape's origin lies when the shape touches or overlaps an outline: their Minkowski sum.

    It is the outline moved by one point of the shape, and each of its sides swept over by the shape.
    """
    import numpy as np
    import shapely

    mirrored = -np.array(hull)
    areas = []
    for ring in shapely.get_parts(outline).tolist():
        points = shapely.get_coordinates(ring.exterior)
        swept = np.concatenate([points[:-1, None, :] + mirrored, points[1:, None, :] + mirrored], axis=1)
        areas += shapely.convex_hull(shapely.linestrings(swept)).tolist()
        areas.append(shapely.transform(shapely.Polygon(points), lambda xy: xy + mirrored[0]))
    return _united(areas)


def _united(areas: Sequence[Geometry]) -> Geometry:
    """All areas in one, on a grid: without, sides that differ by rounding alone have cost a union one of its areas."""
    import shapely

    return shapely.union_all(areas, grid_size=SAME_POINT)


def _with(board: Board, kind: PartKind, motion: Motion, right: float) -> Board:
    """A board with one more part."""
    left, low, _, _ = kind.outline.moved(motion).extents()
    placed = Placed(kind.name, motion, is_half_turn(motion), left, low)
    used = max(board.used, right)
    parts = tuple(sorted((*board.parts, placed), key=lambda p: p.x))
    now = [parts.index(before) for before in board.parts]
    common = tuple(replace(cut, first=now[cut.first], second=now[cut.second]) for cut in board.common)
    return replace(board, parts=parts, used=used, offcut=max(0.0, board.stock.length - used), common=common)

"""The treads: how their boards lie, what is ripped, what bears, and the boards that posts stand through.

Stair frame and z across; a board's shape in its own frame, x from its left end, y from its front edge back. In mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.throat import InsideCorner
from cutpath.faults import ImpossiblePiece
from cutpath.job.piece_values import TreadSpec
from cutpath.job.values import Job
from cutpath.names import free_name
from cutpath.outline import Chain, straight
from cutpath.pieces.across import boards_at, span_of
from cutpath.pieces.faces import behind_treads
from cutpath.pieces.values import Range, Remark, StairPiece, Stand, TreadPlace, TreadsLaid
from cutpath.pieces.words import in_runs
from cutpath.rules.built import Built
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

MOST_BOARDS = 6
"""Boards that one tread has at most."""

#: Least bearing of a tread's board on a seat, level, millimetres: 1 1/2 in (common practice, no source).
BEARING_LEAST: Final = 38.1

#: Wood between a notch and a board's edge or end that is narrower than this goes with the notch, millimetres: 1 in
#: (common practice, no source).
FINGER: Final = 25.4


class Standing(Struct, frozen=True):
    """A post that treads may have to be cut round. Millimetres.

    Attributes:
        x: its back and its front, stair frame.
        y: its lower end and its top, stair frame.
        z: where it is across the stair.
    """

    x: Range
    y: Range
    z: Range


def lay_treads(
    job: Job,
    spec: TreadSpec,
    stair: Stair,
    built: Built,
    posts: Sequence[Standing],
    corners: Sequence[InsideCorner] = (),
) -> TreadsLaid:
    """How the treads lie.

    Args:
        job: the job.
        spec: its treads.
        stair: the stair.
        built: its finished surfaces.
        posts: of the rail.
        corners: the stringer's inside corners; what their reliefs take off a seat bears nothing.

    Raises:
        ImpossiblePiece: the boards are too deep together, or six of them not deep enough.
    """
    rooms = [
        x - (behind.back if _under_risers(job) else behind.face)
        for (x, _), behind in zip(built.treads, behind_treads(stair, built), strict=True)
    ]
    wide, gap = spec.size.width, spec.gap
    count = spec.boards or _fewest(spec, max(rooms))
    across = boards_at(job, spec.side_overhang)
    places = []
    behind_seat = [job.stringer.top_gap, *(x - stair.riser_board - stair.nosing for x, _ in built.treads)]
    opened = {corner.tread: _off_the_seat(corner) for corner in corners}
    for n, ((x, y), room) in enumerate(zip(built.treads, rooms, strict=True), start=1):
        before = (count - 1) * (wide + gap)
        rear = min(wide, room - before)
        if rear <= SAME_POINT:
            raise ImpossiblePiece(
                f"{count} boards {{}} wide and {{}} apart leave no room for the last of them on tread {n}, {{}} deep",
                wide,
                gap,
                room,
                key="treads.boards",
                way_out="use fewer treads.boards, or a narrower treads.size",
            )
        widths = (*[wide] * (count - 1), rear)
        seat = (behind_seat[n - 1] + opened.get(n, 0.0), x - stair.riser_board - stair.nosing)
        bearing = _bearing(x, widths, gap, seat) if job.stringer.toothed else ()
        through = any(_meets(post, x, y, room, stair.tread_thickness, across) for post in posts)
        places.append(TreadPlace(n, (x, y), room, widths, room - before - rear, bearing, through))
    return TreadsLaid(
        places=tuple(places),
        boards=count,
        gap=gap,
        depth=count * wide + (count - 1) * gap,
        length=across[0][1] - across[0][0],
        across=across,
        span=span_of(job),
        between_faces=not job.stringer.toothed,
    )


def _under_risers(job: Job) -> bool:
    """Whether the riser boards stand on the treads, which so go back under them."""
    return job.riser_boards is not None and job.riser_boards.foot == "standing"


def _fewest(spec: TreadSpec, room: float) -> int:
    """The fewest boards that leave little open; one fewer where the last would be a strip that nobody can fasten."""
    for count in range(1, MOST_BOARDS + 1):
        if room - count * spec.size.width - (count - 1) * spec.gap <= spec.back_gap_most + LIMIT_SLACK:
            before = (count - 1) * (spec.size.width + spec.gap)
            return count - 1 if count > 1 and room - before < BEARING_LEAST - LIMIT_SLACK else count
    raise ImpossiblePiece(
        f"{MOST_BOARDS} boards {{}} wide do not fill a tread {{}} deep",
        spec.size.width,
        room,
        key="treads.size",
        way_out="use a wider treads.size, or give treads.boards",
    )


def _off_the_seat(corner: InsideCorner) -> float:
    """How much of a tread's seat its corner's relief opens, from the corner on: up to the arc's mouth on the seat."""
    return 0.0 if corner.relief is None else math.dist(corner.corner, corner.relief.at(0))


def _bearing(nosing: float, widths: Sequence[float], gap: float, seat: Range) -> tuple[float, ...]:
    found, front = [], nosing
    for wide in widths:
        found.append(max(0.0, min(front, seat[1]) - max(front - wide, seat[0])))
        front -= wide + gap
    return tuple(found)


def _meets(post: Standing, nosing: float, level: float, room: float, thick: float, across: Sequence[Range]) -> bool:
    return (
        _overlap(post.x, (nosing - room, nosing))
        and _overlap(post.y, (level - thick, level))
        and any(_overlap(post.z, bay) for bay in across)
    )


def _overlap(a: Range, b: Range) -> bool:
    return min(a[1], b[1]) - max(a[0], b[0]) > SAME_POINT


class _Alike(Struct, frozen=True):
    """Boards that are all alike; `stands`, and the treads that a board's place has them on, are gathered."""

    wide: float
    shape: Chain | None
    notes: tuple[Remark, ...]
    stands: list[Stand]
    where: dict[str, list[int]]


def tread_pieces(laid: TreadsLaid, spec: TreadSpec, stair: Stair, posts: Sequence[Standing]) -> tuple[StairPiece, ...]:
    """The boards of the treads, those alike together.

    Args:
        laid: from `lay_treads`.
        spec: what is asked of them.
        stair: gives the treads' thickness.
        posts: that stand through boards or beside them.

    Raises:
        ImpossiblePiece: a post cuts a board in two.
    """
    groups: dict[tuple[object, ...], _Alike] = {}
    for place in laid.places:
        front = place.nosing[0]
        for i, wide in enumerate(place.widths):
            for bay in laid.across:
                y = (place.nosing[1] - stair.tread_thickness, place.nosing[1])
                x = (front - wide, front)
                shape, notes = _shape(x, y, bay, posts, place.number, spec.post_play)
                if place.widths[-1] < spec.size.width - SAME_POINT and i == laid.boards - 1:
                    notes = (*notes, Remark("{} ripped off its back edge", (spec.size.width - wide,)))
                key = (round(wide, 6), _points(shape))
                group = groups.setdefault(key, _Alike(wide, shape, notes, [], {}))
                plan = None if shape is None else _seen_from_above(shape, front, bay[0])
                box = straight(((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])), closed=True)
                group.stands.append(Stand(box, bay, plan))
                numbers = group.where.setdefault(_named(i, laid.boards), [])
                if place.number not in numbers:
                    numbers.append(place.number)
            front -= wide + laid.gap
    pieces: list[StairPiece] = []
    for group in groups.values():
        ripped = group.wide < spec.size.width - SAME_POINT
        name = "tread board" + (", ripped" if ripped else "") + (", notched" if group.shape else "")
        pieces.append(
            StairPiece(
                kind="tread",
                name=free_name(name, [piece.name for piece in pieces]),
                where=_where(group.where, laid.boards),
                section=(spec.size.thickness, group.wide),
                stock=spec.size,
                length=laid.length,
                stands=tuple(group.stands),
                ripped=group.wide if ripped else None,
                shape=group.shape,
                notes=group.notes,
            )
        )
    return tuple(pieces)


def _where(boards: dict[str, list[int]], count: int) -> str:
    """Which boards of which treads, for people."""
    numbers = [*boards.values()]
    if len(boards) == count > 1 and all(n == numbers[0] for n in numbers):
        return f"{in_runs(numbers[0], 'tread')}, every board"
    return "; ".join(f"{in_runs(n, 'tread')}{board}" for board, n in boards.items())


def _named(index: int, count: int) -> str:
    """Which of a tread's boards it is, for people."""
    if count == 1:
        return ""
    return ", front board" if index == 0 else ", rear board" if index == count - 1 else f", board {index + 1}"


def _points(shape: Chain | None) -> tuple[tuple[float, float], ...] | None:
    return None if shape is None else tuple((round(x, 6), round(y, 6)) for x, y in shape.points)


def _seen_from_above(shape: Chain, front: float, left: float) -> Chain:
    """A board's shape where it lies, (x, z)."""
    return straight(tuple((front - y, left + x) for x, y in shape.points), closed=True)


def _finger(strip: float) -> bool:
    """Whether wood so wide, between a notch and a board's edge or end, is a mere finger."""
    return SAME_POINT < strip < FINGER


def _shape(
    x: Range, y: Range, bay: Range, posts: Sequence[Standing], number: int, play: float
) -> tuple[Chain | None, tuple[Remark, ...]]:
    """A board's outline in its own frame where posts stand in it, and what to know of it; None where none does."""
    through = [p for p in posts if _overlap(p.x, x) and _overlap(p.y, y) and _overlap(p.z, bay)]
    if not through:
        return None, ()
    import shapely

    long, wide = bay[1] - bay[0], x[1] - x[0]
    board, notes = shapely.box(0.0, 0.0, long, wide), []
    for post in through:
        left, right = post.z[0] - bay[0] - play, post.z[1] - bay[0] + play
        near, far = x[1] - post.x[1] - play, x[1] - post.x[0] + play
        strips: list[float] = []
        inside = near > SAME_POINT and far < wide - SAME_POINT and left > SAME_POINT and right < long - SAME_POINT
        if inside:
            # A board with a hole can't be laid round a post that stands: the notch is cut in from the nearer edge, and
            # where both are as near from the back, which keeps the nosing.
            strips.append(min(near, wide - far))
            near, far = (0.0, far) if near < wide - far - SAME_POINT else (near, wide)
        if _finger(left):
            strips, left = [*strips, left], 0.0
        if _finger(long - right):
            strips, right = [*strips, long - right], long
        if left <= SAME_POINT or right >= long - SAME_POINT:
            if _finger(near):
                strips, near = [*strips, near], 0.0
            if _finger(wide - far):
                strips, far = [*strips, wide - far], wide
        told = (Remark("the strip of {} beside the post goes with the notch", (strip,)) for strip in strips)
        stays = wide - (min(far, wide) - max(near, 0.0))
        bridge = [Remark("no more than {} of the board stays beside the post", (stays,))] if _finger(stays) else []
        notes += [note for note in (*told, *bridge) if note not in notes]
        # A notch that reaches an edge to the last bit is open there, and no hole behind a wall of nothing.
        left, near = (side - 1.0 if side <= SAME_POINT else side for side in (left, near))
        right, far = (side + 1.0 if side >= end - SAME_POINT else side for side, end in ((right, long), (far, wide)))
        board = board.difference(shapely.box(left, near, right, far))
    if board.geom_type != "Polygon" or board.is_empty:
        raise ImpossiblePiece(
            f"posts cut a board of tread {number} in two",
            key="rail.place",
            way_out='use rail.place = "outside", another rail.set_back, or a wider treads.size',
        )
    # Collinear points go, the outline runs counter-clockwise and starts at its lowest point on the left.
    points = [(float(x), float(y)) for x, y in shapely.orient_polygons(board.simplify(0.0)).exterior.coords[:-1]]
    start = min(range(len(points)), key=lambda i: (points[i][1], points[i][0]))
    return straight((*points[start:], *points[:start]), closed=True), tuple(notes)

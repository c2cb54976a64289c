"""Housings as the cutter mills them, the pair of stringers that they make, and the cuts that free straight boards.

Board frame, as seen on the housed face; millimetres. The right one of a pair has the stair's upper end at its left, the
left one, its mirror image, at its right: right and left as one goes up the stair.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.cut.features import Hole, Pocket
from cutpath.cut.paths import meeting, outline_path, run_past
from cutpath.cut.relief import CutPart, behind, fillet_in, relieved
from cutpath.cut.relief_kinds import DIAGONAL, RELIEF_KINDS
from cutpath.design.holes import Opening
from cutpath.design.housed import Housed
from cutpath.design.stringer import Stringer
from cutpath.design.throat import InsideCorner, Rim, throats
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Corner, Cutter
from cutpath.outline import Arc, Chain, Motion, Point, arc_of
from cutpath.tolerances import CUT, SAME_POINT

if TYPE_CHECKING:
    from shapely import Polygon

# How far beside a cut a housing's side is said to run in line with it, millimetres; it is bent aside by twice that.
_ASIDE = 0.025
RUN_OUT = 1.25
"""How far a housing's contour goes on past an edge that it runs out through, in radii of the tool: over one, so that
the tool's own corners stay off the part, and not one, where the tool's centre line round the part runs; under two,
which is the least gap between parts."""


def housed_part(
    stringer: Stringer,
    found: tuple[Housed, ...],
    depth: float,
    corner: Corner,
    radius: float,
    rims: tuple[Rim, ...] = (),
) -> CutPart:
    """The right one of a pair of housed stringers.

    Args:
        stringer: its outline.
        found: its housings, stair frame.
        depth: of the housings.
        corner: "relieved": housings opened on the diagonal at every corner that a board's corner seats in, and the sill
            notch's corner as in `relieved`; "rounded": square in the design, for the tool to round.
        radius: half the cutter's width.
        rims: of holes and slots, board frame, that throats are measured to as well.

    Returns:
        The part; its throats are the distances from the housings' back corners, at the seats, to what lies behind.

    Raises:
        ImpossibleStringer: the tool is too wide for a housing.
    """
    part = relieved(stringer, "none" if corner == "rounded" else DIAGONAL, radius, rims)
    inside = part.outline.polygon()
    pockets: list[Pocket] = []
    corners: list[InsideCorner] = []
    for housed in found:
        chain, arcs, fillets = _opened(
            _beside_notch(housed.points, stringer, radius), stringer.to_board, inside, corner, radius
        )
        first, last = housed.treads[0], housed.treads[-1]
        through = "and" if last == first + 1 else "to"
        what = f"tread {first}" if first == last else f"treads {first} {through} {last} and their riser boards"
        pockets.append(Pocket(chain, depth, what))
        corners += [InsideCorner(n, stringer.to_board(p), arcs.get(p), fillets.get(p)) for n, p in housed.backs]
    notches = throats(corners, (behind(part.outline, part.roles),), rims)
    return replace(part, notches=notches, pockets=tuple(pockets))


def _beside_notch(points: tuple[Point, ...], stringer: Stringer, radius: float) -> tuple[Point, ...]:
    """A housing whose plumb sides bend a hair aside where they would go on in line with a sill notch's upright face.

    Below the notch's level face there is no wood, so that the bend takes and leaves nothing. A side in line with the
    cut, or with the tool's centre line beside it, would be there twice in the file.

    Args:
        points: closed, counter-clockwise, stair frame.
        stringer: its sill notch is read.
        radius: half the cutter's width.
    """
    corner = next((v.point for v in stringer.vertices if v.role == "sill-corner"), None)
    if corner is None:
        return points
    face, over = corner
    found: list[Point] = []
    for i, (x, y) in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % len(points)]
        in_line = min(abs(x - face), abs(x - face - radius)) < _ASIDE
        if not (in_line and y < over):
            found.append((x, y))
            continue
        aside = (x + 2 * _ASIDE, y)
        if abs(before[0] - x) <= SAME_POINT and before[1] > over:
            found += [(x, over), aside]
        elif abs(after[0] - x) <= SAME_POINT and after[1] > over:
            found += [aside, (x, over)]
        else:
            found.append((x, y))
    return tuple(found)


def _opened(
    points: tuple[Point, ...], to_board: Motion, inside: Polygon, corner: Corner, radius: float
) -> tuple[Chain, dict[Point, Arc], dict[Point, Arc | None]]:
    """A housing's outline in the board frame, and by their places in the stair's its corners' reliefs and fillets."""
    import shapely

    places = [to_board(p) for p in points]
    within = [bool(shapely.contains_xy(inside, x, y)) for x, y in places]
    _tool_fits(points, radius)
    kind = RELIEF_KINDS[DIAGONAL]
    out: list[Point] = []
    bulges: list[float] = []
    arcs: dict[Point, Arc] = {}
    fillets: dict[Point, Arc | None] = {}
    count = len(points)
    for i, here in enumerate(places):
        before, after = places[i - 1], places[(i + 1) % count]
        turn = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
        if corner == "rounded" or turn <= 0 or not within[i]:
            out.append(here)
            bulges.append(0.0)
            # As the part is walked round, not the housing.
            fillets[points[i]] = fillet_in(after, here, before, radius)
            continue
        start, end = kind.mouths(here, _toward(here, before), _toward(here, after), radius)
        out += [start, end]
        # Walked round the housing, not round the part: the other way past the corner.
        bulges += [-kind.bulge, 0.0]
        arcs[points[i]] = arc_of(start, end, -kind.bulge)
    _room_for_mouths(places, arcs, points, radius)
    return Chain(tuple(out), tuple(bulges), True), arcs, fillets


def _toward(start: Point, end: Point) -> Point:
    """The unit vector from one point towards another."""
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def _tool_fits(points: tuple[Point, ...], radius: float) -> None:
    """Raise where the tool is wider than a housing: than the nearest two sides that face each other."""
    import shapely

    drawn = shapely.Polygon(points)
    eroded = drawn.buffer(-radius + 1e-6, join_style="mitre")
    # What a square tool of this width reaches must be all of it.
    reached = eroded.buffer(radius - 1e-6, join_style="mitre")
    missed = drawn.difference(reached.buffer(1e-3, join_style="mitre"))
    if not missed.is_empty:
        raise ImpossibleStringer(
            "cutter.width {} is wider than the housing of a tread or riser board",
            2 * radius,
            key="cutter.width",
            way_out="use a narrower one",
        )


def _room_for_mouths(places: list[Point], arcs: dict[Point, Arc], points: tuple[Point, ...], radius: float) -> None:
    """Raise where two reliefs on one side of a housing, or one and the side's other end, would meet."""
    count, reach = len(places), max(RELIEF_KINDS[DIAGONAL].reaches(radius))
    for i in range(count):
        opened = (points[i] in arcs) + (points[(i + 1) % count] in arcs)
        side = math.dist(places[i], places[(i + 1) % count])
        if opened and side <= opened * reach + SAME_POINT:
            raise ImpossibleStringer(
                "cutter.width {} is too wide to relieve the corners of a housing on its side of {}",
                2 * radius,
                side,
                key="cutter.width",
                way_out='use a narrower cutter or corner = "rounded"',
            )


def with_openings(part: CutPart, openings: tuple[Opening, ...]) -> CutPart:
    """A part with its holes drilled and its slots cut.

    Args:
        part: as it is without.
        openings: all of them, board frame; holes and slots that the part had are replaced.
    """
    holes = tuple(Hole(o.ends[0], o.width, o.what) for o in openings if len(o.ends) == 1)
    slots = tuple(_slot(o) for o in openings if len(o.ends) > 1)
    return replace(part, holes=holes, slots=slots)


def _slot(opening: Opening) -> Chain:
    (x0, y0), (x1, y1) = opening.ends
    length = math.dist(*opening.ends)
    nx, ny = -(y1 - y0) / length * opening.radius, (x1 - x0) / length * opening.radius
    points = ((x0 - nx, y0 - ny), (x1 - nx, y1 - ny), (x1 + nx, y1 + ny), (x0 + nx, y0 + ny))
    return Chain(points, (0.0, 1.0, 0.0, 1.0), True)


def mirrored(part: CutPart) -> CutPart:
    """The part's mirror image along the board: the left one of a pair, its upper edge still up."""
    length = part.outline.extents()[2]

    def flip(p: Point) -> Point:
        return (length - p[0], p[1])

    def turned(chain: Chain) -> Chain:
        return chain.mirrored(length / 2)

    outline, roles = turned(part.outline), part.roles[::-1]
    # The first segment is the lower edge again, run the other way; without one the seat's back comes first.
    start = roles.index("heel" if part.mirrored and "heel" in roles else "seat-back")
    outline = Chain(
        (*outline.points[start:], *outline.points[:start]), (*outline.bulges[start:], *outline.bulges[:start]), True
    )

    def arc(there: Arc | None) -> Arc | None:
        return there and arc_of(flip(there.at(1)), flip(there.at(0)), math.tan(there.sweep / 4))

    corners = tuple(replace(c, corner=flip(c.corner), relief=arc(c.relief), fillet=arc(c.fillet)) for c in part.corners)
    return replace(
        part,
        outline=outline,
        roles=(*roles[start:], *roles[:start]),
        corners=corners,
        notches=tuple(replace(n, corner=flip(n.corner)) for n in part.notches),
        holes=tuple(replace(h, centre=flip(h.centre)) for h in part.holes),
        slots=tuple(turned(s) for s in part.slots),
        pockets=tuple(replace(p, outline=turned(p.outline)) for p in part.pockets),
        mirrored=not part.mirrored,
    )


def is_straight(part: CutPart) -> bool:
    """Whether the part's upper edge is one straight, without teeth."""
    return "front" in part.roles


def end_cuts(part: CutPart, cutter: Cutter, surplus: float) -> tuple[Chain, ...]:
    """The cuts that free a straight part from a board whose edges are kept: one at each end.

    Args:
        part: one with `is_straight`.
        cutter: its width, whether the file carries the design line or the tool's centre line, the direction.
        surplus: how much the board is wider than the part, below its lower edge.

    Returns:
        Open chains in the part frame, from one edge of the board across to the other and `cutter.overrun` past both:
        level and plumb cut at the upper end, seat and front at the foot; a single one where the seat reaches the plumb
        cut. On a short part cuts may meet before they are so far past an edge: they are joined there, to one that is
        closed where they meet at both edges. Climb cuts run clockwise round the part.

    Raises:
        ToolTooWide: the tool's centre can't follow a cut.
    """
    outline, roles = part.outline.reversed(), part.roles[::-1]
    count = len(roles)
    kept = [
        i
        for i in range(count)
        if {roles[i], roles[(i + 1) % count]} in ({"heel", "seat-back"}, {"front", "level"}, {"front", "top"})
    ]
    designs = []
    for j, edge in enumerate(kept):
        stop = kept[(j + 1) % len(kept)]
        order = [(edge + 1 + i) % count for i in range((stop - edge - 1) % count + 1)]
        bulges = (*(outline.bulges[i] for i in order[:-1]), 0.0)
        designs.append(Chain(tuple(outline.points[i] for i in order), bulges, False))
    cuts = _joined(designs, [_past_both_edges(design, part.width, surplus, cutter) for design in designs])
    cuts = [
        outline_path(cut, cutter) if cut.closed else _past_both_edges(cut, part.width, surplus, cutter) for cut in cuts
    ]
    return tuple(cuts if cutter.direction == "climb" else (cut.reversed() for cut in cuts))


def _joined(designs: Sequence[Chain], paths: Sequence[Chain]) -> list[Chain]:
    """Cuts run one after another round a part, those whose paths meet past the board's edge joined to one."""
    count = len(designs)
    meets = [_meet(paths[j], paths[(j + 1) % count]) for j in range(count)]
    first = next((j for j in range(count) if not meets[j - 1]), None)
    if first is None:
        # From the first corner past an edge round to it again.
        whole = designs[0]
        for design in designs[1:]:
            whole = _join(whole, design)
        corner = _corner(whole, whole)
        return [Chain((corner, *whole.points[1:-1]), (0.0, *whole.bulges[1:-1]), True)]
    found: list[Chain] = []
    for j in (*range(first, count), *range(first)):
        if found and meets[j - 1]:
            found[-1] = _join(found[-1], designs[j])
        else:
            found.append(designs[j])
    return found


def _corner(first: Chain, second: Chain) -> Point:
    """Where the lines of one cut's end and of the next one's start meet; they are square to each other."""
    return meeting(first.points[-2], first.points[-1], second.points[1], second.points[0])


def _join(first: Chain, second: Chain) -> Chain:
    points = (*first.points[:-1], _corner(first, second), *second.points[1:])
    return Chain(points, (*first.bulges[:-1], 0.0, *second.bulges[1:]), False)


def _meet(first: Chain, second: Chain) -> bool:
    """Whether the end of one path and the start of the next cross or touch."""
    corner = _corner(first, second)
    for inner, end in ((first.points[-2], first.points[-1]), (second.points[1], second.points[0])):
        length = math.dist(inner, end)
        along = ((corner[0] - inner[0]) * (end[0] - inner[0]) + (corner[1] - inner[1]) * (end[1] - inner[1])) / length
        if along > length + CUT:
            return False
    return True


def _past_both_edges(design: Chain, width: float, surplus: float, cutter: Cutter) -> Chain:
    path = design
    if cutter.path == "centre":
        from cutpath.cut.offset.chain import offset_chain

        # Clockwise round the part its waste lies on the left.
        path = offset_chain(design, -cutter.radius, outside=cutter.outside)
    ends = []
    for inner, end, true in (
        (path.points[1], path.points[0], design.points[0]),
        (path.points[-2], path.points[-1], design.points[-1]),
    ):
        edge = width if true[1] > width / 2 else -surplus
        ends.append(run_past(inner, end, true, edge, cutter))
    return Chain((ends[0], *path.points[1:-1], ends[1]), path.bulges, False)

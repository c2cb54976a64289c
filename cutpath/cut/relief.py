"""Inside corners opened so that square boards seat: the part as the cutter will leave it, board frame."""

from __future__ import annotations

import math
from typing import Final, Literal

from msgspec import Struct

from cutpath.cut.features import Hole, Pocket
from cutpath.cut.relief_kinds import DIAGONAL, RELIEF_KINDS, RELIEFS, Relief
from cutpath.design.stringer import EdgeRole, Stringer
from cutpath.design.throat import InsideCorner, NotchThroat, Rim, throats
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Corner, Edges, ReliefChoice
from cutpath.outline import Arc, Chain, Point, arc_of

#: Bulge of a quarter circle run clockwise, as a part's outline is through a hollow.
_QUARTER: Final = -math.tan(math.pi / 8)

Small = Literal["pitch gauge", "trial piece", "sill plate"]
"""The small parts that lie in what room the stringers leave."""


class CutPart(Struct, frozen=True):
    """A part ready for the cutter.

    Attributes:
        outline: closed design outline with its reliefs, counter-clockwise, board frame.
        roles: what each vertex of the outline is; both ends of a relief's arc bear their corner's role.
        corners: the inside corners.
        relief: how the notches' corners are opened.
        notches: throat behind each notch, from the top; of housings behind each back corner.
        keeps_edge: whether any of the board's lower edge is left between heel and seat.
        width: the part's width, millimetres.
        holes: drilled through it.
        slots: closed contours cut through inside it, counter-clockwise.
        pockets: milled into the face that lies up.
        mirrored: whether the stair's upper end lies at the right, as on the left one of a pair.
        rims: of the holes and slots that throats were measured to as well; as they lie on an unmirrored part.
        edges: "factory": the board's own edges are the part's and never cut; "trimmed": it is cut all round.
        edge_trim: how far a trimmed part keeps off the board's edges, millimetres.
        small: which small part it is, that lies anywhere on a board; None: a stringer.
    """

    outline: Chain
    roles: tuple[EdgeRole, ...]
    corners: tuple[InsideCorner, ...]
    relief: Relief
    notches: tuple[NotchThroat, ...]
    keeps_edge: bool
    width: float
    holes: tuple[Hole, ...] = ()
    slots: tuple[Chain, ...] = ()
    pockets: tuple[Pocket, ...] = ()
    mirrored: bool = False
    rims: tuple[Rim, ...] = ()
    edges: Edges = "factory"
    edge_trim: float = 0.0
    small: Small | None = None

    @property
    def throat(self) -> float | None:
        """The least throat, millimetres; None without an inside notch or a housing's back corner."""
        return min((n.throat for n in self.notches), default=None)

    @property
    def upper_edge(self) -> str:
        """What people call its upper edge: a part with one step alone has a tooth and no notch."""
        return "notched edge" if "corner" in self.roles else "upper edge"


def cut_part(
    stringer: Stringer,
    corner: Corner,
    radius: float,
    choice: ReliefChoice = "most-throat",
    rims: tuple[Rim, ...] = (),
) -> CutPart:
    """Open the inside corners of a stringer.

    Args:
        stringer: with square corners.
        corner: "relieved": one relief for all notches; a sill notch's corner on the diagonal. "rounded": corners stay
            square in the design, for the tool to round.
        radius: half the cutter's width, millimetres.
        choice: the relief that is asked for; "most-throat": the one that leaves the greatest least throat.
        rims: of holes and slots, board frame, that throats are measured to as well.

    Raises:
        ImpossibleStringer: the tool is too wide for a notch, whichever way its corner is opened.
    """
    if corner == "rounded":
        return relieved(stringer, "none", radius, rims)
    if choice != "most-throat":
        return relieved(stringer, choice, radius, rims)
    parts: list[CutPart] = []
    first: ImpossibleStringer | None = None
    for relief in RELIEFS:
        try:
            parts.append(relieved(stringer, relief, radius, rims))
        except ImpossibleStringer as fault:
            first = first or fault
    if first is not None and not parts:
        raise first
    # Without a notch to measure, all leave the same; the first of the list is then as good as another.
    return max(parts, key=lambda part: part.throat if part.throat is not None else 0.0)


def relieved(stringer: Stringer, relief: Relief, radius: float, rims: tuple[Rim, ...] = ()) -> CutPart:
    """The stringer with one kind of relief in all its notches.

    Args:
        stringer: with square corners.
        relief: where the tool goes at the notches' corners; "none" leaves every corner square.
        radius: half the cutter's width, millimetres.
        rims: of holes and slots, board frame.

    Raises:
        ImpossibleStringer: the relief does not fit the notch's sides.
    """
    placed = [(stringer.to_board(v.point), v) for v in stringer.vertices]
    points: list[Point] = []
    bulges: list[float] = []
    roles: list[EdgeRole] = []
    corners: list[InsideCorner] = []
    for i, (point, vertex) in enumerate(placed):
        if vertex.role not in ("corner", "sill-corner"):
            points.append(point)
            bulges.append(0.0)
            roles.append(vertex.role)
            continue
        before, after = placed[i - 1][0], placed[(i + 1) % len(placed)][0]
        opened = RELIEF_KINDS[relief].opens
        name = DIAGONAL if vertex.role == "sill-corner" and opened else relief
        if not opened:
            points.append(point)
            bulges.append(0.0)
            roles.append(vertex.role)
            corners.append(InsideCorner(vertex.tread, point, None, fillet_in(before, point, after, radius)))
            continue
        start, end = relief_mouths(before, point, after, name, radius, vertex.role)
        bulge = RELIEF_KINDS[name].bulge
        points += [start, end]
        bulges += [bulge, 0.0]
        roles += [vertex.role, vertex.role]
        corners.append(InsideCorner(vertex.tread, point, arc_of(start, end, bulge)))
    outline = Chain(tuple(points), tuple(bulges), True)
    measured = throats(corners, (behind(outline, tuple(roles)),), rims)
    return CutPart(
        outline, tuple(roles), tuple(corners), relief, measured, stringer.keeps_edge, stringer.width, rims=rims
    )


def behind(outline: Chain, roles: tuple[EdgeRole, ...]) -> Chain:
    """What lies behind the notches: the open chain between the plumb cut's top and the front of the foot.

    Args:
        outline: closed, counter-clockwise; of a mirrored part too.
        roles: of its vertices.

    Returns:
        The chain as the outline runs: from the top to the foot, of a mirrored part from the foot to the top.
    """
    count = len(roles)
    top = roles.index("top")
    foot = roles.index("sill-face") if "sill-face" in roles else roles.index("toe")
    # Mirrored, the plumb cut is run up to its top and not down from it, and what lies behind from the foot to there.
    mirrored = roles[top - 1] in ("heel", "seat-back")
    start, end = (foot, top) if mirrored else (top, foot)
    order = [(start + i) % count for i in range((end - start) % count + 1)]
    bulges = (*(outline.bulges[i] for i in order[:-1]), 0.0)
    return Chain(tuple(outline.points[i] for i in order), bulges, False)


def fillet_in(before: Point, corner: Point, after: Point, radius: float) -> Arc | None:
    """The arc that a round tool leaves in a square inside corner; None where the corner's sides are too short for it.

    Args:
        before: the vertex before the inside corner, walking counter-clockwise round the part.
        corner: the square inside corner.
        after: the vertex after it.
        radius: half the cutter's width, millimetres.

    Returns:
        In the frame of the points, tangent to both sides, as the part is walked round.
    """
    (a, room_a), (b, room_b) = _direction(corner, before), _direction(corner, after)
    if not 0 < radius < min(room_a, room_b):
        return None
    start, end = ((corner[0] + radius * way[0], corner[1] + radius * way[1]) for way in (a, b))
    return arc_of(start, end, _QUARTER)


def relief_mouths(
    before: Point, corner: Point, after: Point, relief: Relief, radius: float, role: EdgeRole
) -> tuple[Point, Point]:
    """Where a relief's arc starts and ends.

    Args:
        before: the vertex before the inside corner, walking counter-clockwise round the part.
        corner: the square inside corner.
        after: the vertex after it.
        relief: a kind that opens the corner.
        radius: half the cutter's width, millimetres.
        role: of the corner, for the fault.

    Returns:
        The arc's start on the side before the corner and its end on the side after it, in the frame of the points.

    Raises:
        ImpossibleStringer: the relief does not fit the corner's sides.
    """
    a, room_a = _direction(corner, before)
    b, room_b = _direction(corner, after)
    # Counter-clockwise, a notch is entered along its tread seat and left up its riser cut.
    reach_a, reach_b = RELIEF_KINDS[relief].reaches(radius)
    if reach_a >= room_a or reach_b >= room_b:
        what = "the sill notch" if role == "sill-corner" else "a notch"
        raise ImpossibleStringer(
            f"cutter.width {{}} is too wide to relieve the corner of {what}, whose sides are {{}} and {{}}",
            2 * radius,
            room_a,
            room_b,
            key="cutter.width",
            way_out='use a narrower cutter or corner = "rounded"',
        )
    return RELIEF_KINDS[relief].mouths(corner, a, b, radius)


def _direction(start: Point, end: Point) -> tuple[Point, float]:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length), length

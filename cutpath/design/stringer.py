"""The notched stringer as one closed outline with square inside corners.

It is drawn in the stair frame, and its `to_board` takes it to the board frame: x along the board with the stair's upper
end at the left, y across it with the notched edge up, lower edge at y = 0, leftmost point at x = 0. Millimetres.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import SillNotch, StringerSpec
from cutpath.outline import Chain, Motion, Point, straight
from cutpath.tolerances import SAME_POINT
from cutpath.units import Show

EdgeRole = Literal[
    "heel",
    "seat-back",
    "sill-seat",
    "sill-corner",
    "sill-face",
    "toe",
    "tip",
    "corner",
    "front",
    "level",
    "top",
    "side",
]
"""What a vertex of the outline is, counter-clockwise from the plumb cut's lower end:

heel (or, where the seat reaches the plumb cut, the seat's back), seat-back (seat cut meets lower edge), the sill
notch's sill-seat, sill-corner and sill-face or else the toe, then tip and inside corner in turn up to the top of the
plumb cut. Without teeth: the front, where the upper edge starts at the foot, and level, where the level cut ends it.
A small part has heel and seat-back at its lower side's ends, and plain sides above.
"""


class Vertex(Struct, frozen=True):
    """A vertex of the outline.

    Attributes:
        point: where it is, stair frame, millimetres.
        role: what it is.
        tread: of an inside corner: the number, from the top, of the tread whose back it is; None for any other vertex.
    """

    point: Point
    role: EdgeRole
    tread: int | None = None


class Stringer(Struct, frozen=True):
    """A stringer with square inside corners.

    Attributes:
        vertices: closed outline, counter-clockwise, stair frame.
        to_board: takes the stair frame to the board frame.
        width: w, the part's width.
        length: least board length, the outline's spread along the slope.
        notch_depth: d, square to the edge; 0 without teeth.
        heel: height of the plumb cut.
        seat_bearing: level length of the seat on the pad, less the sill notch.
        sill_depth: from the last tread seat down to the sill notch, or None without one.
        keeps_edge: whether any of the board's lower edge is left between heel and seat.
        treads: without teeth, x of the riser's back and y of the seat of every tread as it is placed, from the top
            down; stair frame.
    """

    vertices: tuple[Vertex, ...]
    to_board: Motion
    width: float
    length: float
    notch_depth: float
    heel: float
    seat_bearing: float
    sill_depth: float | None
    keeps_edge: bool
    treads: tuple[Point, ...] = ()

    def outline(self) -> Chain:
        """The outline in the board frame."""
        return straight(tuple(self.to_board(v.point) for v in self.vertices), closed=True)


def board_motion(stair: Stair, width: float, points: tuple[Point, ...]) -> Motion:
    """The motion from stair frame to board frame of a stringer with teeth: a turn by the pitch, and a shift.

    Args:
        stair: gives the pitch and the line of the tooth tips.
        width: the part's width, millimetres.
        points: the outline's vertices, stair frame.

    Returns:
        The motion that puts the tips at y = `width` and the leftmost point at x = 0.
    """
    cos, sin = stair.unit_run / stair.step_length, stair.unit_rise / stair.step_length
    k = stair.steps[0]
    tips = sin * stair.riser_cut(k) + cos * stair.seat(k)
    left = min(cos * x - sin * y for x, y in points)
    return Motion(cos, sin, -left, width - tips)


def build_stringer(stair: Stair, spec: StringerSpec, width: float, show: Show) -> Stringer:
    """Draw the stringer of a stair on a board.

    Args:
        stair: the stair.
        spec: top gap and sill notch are read from it.
        width: the part's width: the board's least width with factory edges, less two trims when trimmed.
        show: writes millimetres as text in the job's unit, for the faults.

    Raises:
        ImpossibleStringer: the inputs leave no stringer; the message names the numbers.
    """
    r, t, c, H = stair.unit_rise, stair.unit_run, stair.tread_thickness, stair.total_rise
    g = spec.top_gap
    cos, sin = t / stair.step_length, r / stair.step_length
    depth = r * t / stair.step_length
    steps = stair.steps
    first, last = steps[0], steps[-1]
    toe, y_top = stair.riser_cut(last), stair.seat(first)
    if width <= 0:
        raise ImpossibleStringer(
            "nothing is left of the board: stringer.edge_trim takes its whole width", key="stringer.edge_trim"
        )
    if depth >= width:
        raise ImpossibleStringer(
            f"a notch {show(depth)} deep leaves nothing of a part {show(width)} wide",
            key="stock",
            way_out="use wider stock, a lower rise or a shorter run",
        )
    if c >= r:
        raise ImpossibleStringer(
            f"stair.tread_thickness {show(c)} is not less than the unit rise {show(r)}, so the lowest riser cut is "
            "gone",
            key="stair.tread_thickness",
        )
    if stair.riser_cut(first) - g <= SAME_POINT:
        raise ImpossibleStringer(
            f"the first notch is gone: its riser cut stands {show(stair.riser_cut(first))} out from the header "
            f"face and the plumb cut {show(g)}",
            key="stair.floor_overhang",
            way_out="change stair.floor_overhang, stair.nosing, stair.riser_board or stringer.top_gap",
        )
    tips = sin * toe + cos * stair.seat(last)
    y_heel = (tips - width - g * sin) / cos
    if y_heel >= y_top:
        raise ImpossibleStringer(
            f"the heel is gone: at the plumb cut the first seat lies {show(y_heel - y_top)} under "
            "the board's lower edge",
            key="stock",
            way_out="use wider stock or a smaller stair.floor_overhang",
        )
    keeps_edge = y_heel > -H + SAME_POINT
    x_back = (tips - width + H * cos) / sin if keeps_edge else g
    lower = (
        [Vertex((g, y_heel), "heel"), Vertex((x_back, -H), "seat-back")]
        if keeps_edge
        else [Vertex((g, -H), "seat-back")]
    )
    teeth: list[Vertex] = []
    for k in reversed(steps):
        teeth.append(Vertex((stair.riser_cut(k), stair.seat(k)), "tip"))
        if k > first:
            teeth.append(Vertex((stair.riser_cut(k - 1), stair.seat(k)), "corner", k - first + 1))
    foot = foot_vertices(spec.sill_notch, toe, H, toe - x_back, r - c, show)
    vertices = (*lower, *foot, *teeth, Vertex((g, y_top), "top"))
    points = tuple(v.point for v in vertices)
    to_board = board_motion(stair, width, points)
    xs = [to_board(p)[0] for p in points]
    deep = spec.sill_notch.deep if spec.sill_notch else 0.0
    return Stringer(
        vertices=vertices,
        to_board=to_board,
        width=width,
        length=max(xs) - min(xs),
        notch_depth=depth,
        heel=y_top - max(y_heel, -H),
        seat_bearing=toe - x_back - deep,
        sill_depth=r - c - spec.sill_notch.high if spec.sill_notch else None,
        keeps_edge=keeps_edge,
    )


def foot_vertices(
    notch: SillNotch | None, toe: float, total_rise: float, seat: float, riser_cut: float, show: Show
) -> list[Vertex]:
    """The outline's vertices at the toe, in the order of the outline, stair frame.

    Args:
        notch: for the sill plate; None for none.
        toe: x of the toe, millimetres.
        total_rise: from the landing up to the finished floor.
        seat: the seat's level length before notching.
        riser_cut: from the landing up to the lowest tread's seat.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: the board's lower edge or the notch leaves no seat, or the notch reaches the lowest tread.
    """
    if seat <= SAME_POINT:
        raise ImpossibleStringer(
            f"the seat is gone: the board's lower edge reaches the landing {show(-seat)} past the toe",
            key="stock",
            way_out="use wider stock",
        )
    if notch is None:
        return [Vertex((toe, -total_rise), "toe")]
    if notch.deep >= seat - SAME_POINT:
        raise ImpossibleStringer(
            f"stringer.sill_notch.deep {show(notch.deep)} takes the whole seat, which is {show(seat)} long",
            key="stringer.sill_notch.deep",
            way_out="make it shallower or use wider stock",
        )
    if notch.high >= riser_cut - SAME_POINT:
        raise ImpossibleStringer(
            f"stringer.sill_notch.high {show(notch.high)} reaches the last tread's seat, "
            f"{show(riser_cut)} above the landing",
            key="stringer.sill_notch.high",
        )
    back, over = toe - notch.deep, -total_rise + notch.high
    return [
        Vertex((back, -total_rise), "sill-seat"),
        Vertex((back, over), "sill-corner"),
        Vertex((toe, over), "sill-face"),
    ]

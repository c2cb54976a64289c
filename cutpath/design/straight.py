"""A stringer whose edges stay straight: outline of the housed board and of the straight plate.

Stair frame: origin where the header's face meets the finished floor, x level and outward, y up. The upper edge runs
parallel to the line of the nosings, `margin` square above it; the lower edge a part's width under it. At the upper end
a plumb cut bears on the header and a level cut keeps the board below the floor; at the foot a level seat lies on the
landing and a plumb cut stands `margin` in front of the lowest nosing, so that no sharp toe lies in the way of feet.
Millimetres.
"""

from __future__ import annotations

from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, Vertex, foot_vertices
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import StringerSpec
from cutpath.outline import Motion, Point
from cutpath.tolerances import SAME_POINT
from cutpath.units import Show


def front(stair: Stair, k: int) -> float:
    """X of the nosing of the tread k rises below the floor, stair frame."""
    return stair.riser_cut(k) + stair.riser_board + stair.nosing


def upper_edge(stair: Stair, margin: float, x: float) -> float:
    """Y of the upper edge at an x, stair frame.

    Args:
        stair: gives pitch and nosings.
        margin: from the line of the nosings to the edge, square to the slope, millimetres.
        x: stair frame.
    """
    k = stair.steps[0]
    slope = stair.unit_rise / stair.unit_run
    cos = stair.unit_run / stair.step_length
    return -k * stair.unit_rise - (x - front(stair, k)) * slope + margin / cos


def level_cut(stair: Stair, spec: StringerSpec) -> float:
    """Y of the level cut at the upper end, stair frame.

    Left to itself it lies one tread's thickness under the floor, whose boards are taken to be as thick as the treads
    (common practice, no source); with the top tread at the floor, `margin` above it, so that its housing is covered.
    """
    if spec.level_cut is not None:
        return -spec.level_cut
    return spec.margin if stair.top_tread == "at-floor" else -stair.tread_thickness


def build_straight(stair: Stair, spec: StringerSpec, width: float, show: Show) -> Stringer:
    """Draw a stringer without teeth.

    Args:
        stair: the stair.
        spec: top gap, margin, level cut and sill notch are read from it.
        width: the part's width.
        show: writes millimetres as text in the job's unit, for the faults.

    Returns:
        Its outline; `treads` is left empty, for whoever places the treads on it.

    Raises:
        ImpossibleStringer: the inputs leave no stringer; the message names the numbers.
    """
    r, c, H, g = stair.unit_rise, stair.tread_thickness, stair.total_rise, spec.top_gap
    cos, sin = stair.unit_run / stair.step_length, r / stair.step_length
    first, last = stair.steps[0], stair.steps[-1]
    if width <= spec.margin:
        raise ImpossibleStringer(
            f"stringer.margin {show(spec.margin)} is not less than the part's width {show(width)}, so its lower edge "
            "lies above the nosings",
            key="stringer.margin",
        )
    if c >= r:
        raise ImpossibleStringer(
            f"stair.tread_thickness {show(c)} is not less than the unit rise {show(r)}, so treads would touch",
            key="stair.tread_thickness",
        )
    lower = width / cos
    toe = front(stair, last) + spec.margin
    ceiling = level_cut(stair, spec)
    corner = upper_edge(stair, spec.margin, g)
    top = min(ceiling, corner)
    y_heel = corner - lower
    # From the upper edge down to the landing, then less the vertical depth of the board.
    x_back = g + (y_heel + H) * cos / sin
    if top <= -first * r:
        raise ImpossibleStringer(
            f"stringer.level_cut takes the stringer off at {show(-top)} below the floor, where its first tread lies "
            f"{show(first * r)} below it",
            key="stringer.level_cut",
            way_out="use a smaller stringer.level_cut",
        )
    if y_heel >= top - SAME_POINT:
        raise ImpossibleStringer(
            f"the plumb cut is gone: the board's lower edge passes {show(y_heel - top)} over its upper end",
            key="stringer.level_cut",
            way_out="use wider stock or a smaller stringer.level_cut",
        )
    keeps_edge = y_heel > -H + SAME_POINT
    if not keeps_edge:
        x_back = g
    over = upper_edge(stair, spec.margin, toe)
    vertices = [Vertex((g, y_heel), "heel")] if keeps_edge else []
    vertices.append(Vertex((x_back, -H), "seat-back"))
    vertices += foot_vertices(spec.sill_notch, toe, H, toe - x_back, r - c, show)
    vertices.append(Vertex((toe, over), "front"))
    if corner > ceiling + SAME_POINT:
        level = g + (corner - ceiling) * cos / sin
        if level >= toe:
            raise ImpossibleStringer(
                f"stringer.level_cut takes the whole upper edge: it lies {show(-ceiling)} below the floor",
                key="stringer.level_cut",
            )
        vertices.append(Vertex((level, ceiling), "level"))
    vertices.append(Vertex((g, top), "top"))
    points = tuple(v.point for v in vertices)
    to_board = _board_motion(stair, spec.margin, width, points)
    xs = [to_board(p)[0] for p in points]
    notch = spec.sill_notch
    return Stringer(
        vertices=tuple(vertices),
        to_board=to_board,
        width=width,
        length=max(xs) - min(xs),
        notch_depth=0.0,
        heel=top - max(y_heel, -H),
        seat_bearing=toe - x_back - (notch.deep if notch else 0.0),
        sill_depth=r - c - notch.high if notch else None,
        keeps_edge=keeps_edge,
    )


def _board_motion(stair: Stair, margin: float, width: float, points: tuple[Point, ...]) -> Motion:
    """The turn by the pitch and the shift that put the upper edge at y = `width` and the leftmost point at x = 0."""
    cos, sin = stair.unit_run / stair.step_length, stair.unit_rise / stair.step_length
    left = min(cos * x - sin * y for x, y in points)
    return Motion(cos, sin, -left, width - cos * upper_edge(stair, margin, 0.0))

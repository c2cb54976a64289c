"""The housed stringer: where its housings lie, and the wood round them.

A tread lies in a housing as wide as it is thick, from its nosing back to the face of the riser board behind it, or,
with open risers, to where that riser would stand. Seats lie where a notched stringer has them, so any play is over
the tread and the rises stay true. A riser board stands in a housing of its own from the tread's underside down to the
seat below it. So with riser boards the whole flight is one housing, and with open risers every tread has its own.

Housings run out where there is no wood to stop them: the top tread's at the plumb cut, the lowest riser's at the seat.
There their outlines go on past the part by a run-out, so that a round tool clears them to the very edge.

Wedges are left out: a wedged tread bears on the housing's upper face, and the taper of a housing is made to the wedges
at hand. Stair frame unless a name says otherwise; millimetres.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.straight import front, level_cut
from cutpath.design.stringer import Stringer
from cutpath.faults import ImpossibleStringer
from cutpath.job.form_values import Housing
from cutpath.job.values import StringerSpec
from cutpath.outline import Point
from cutpath.rules.check import within
from cutpath.rules.values import Check
from cutpath.tolerances import CUT, SAME_POINT
from cutpath.units import Show

if TYPE_CHECKING:
    from shapely import Polygon


class Housed(Struct, frozen=True):
    """One connected housing.

    Attributes:
        points: its outline with square corners, counter-clockwise, stair frame; run-outs lie past the part.
        backs: each tread's number from the top, with the lower back corner of its housing where it has one.
        treads: numbers of the treads it takes, from the top.
    """

    points: tuple[Point, ...]
    backs: tuple[tuple[int, Point], ...]
    treads: tuple[int, ...]


def housings(stair: Stair, spec: StringerSpec, run_out: float, show: Show) -> tuple[Housed, ...]:
    """Lay out a flight's housings.

    Args:
        stair: the stair.
        spec: housing, margin, level cut and top gap are read from it.
        run_out: how far an outline goes on past an edge that its housing runs out through, more than 0.
        show: writes millimetres as text in the job's unit, for the faults.

    Raises:
        ImpossibleStringer: the housings of neighbouring steps run together.
    """
    assert spec.housing is not None
    play = spec.housing.play
    if stair.unit_rise - stair.tread_thickness <= play:
        raise ImpossibleStringer(
            f"stringer.housing.play {show(play)} leaves no wood between one tread and the next",
            key="stringer.housing.play",
            way_out="use less",
        )
    return (
        _one_for_all(stair, spec, play, run_out) if stair.riser_board > 0 else _one_a_tread(stair, spec, play, run_out)
    )


def _one_a_tread(stair: Stair, spec: StringerSpec, play: float, run_out: float) -> tuple[Housed, ...]:
    found = []
    for n, k in enumerate(stair.steps, 1):
        seat, top = stair.seat(k), -k * stair.unit_rise + play
        back = stair.riser_cut(k - 1) if n > 1 else spec.top_gap - run_out
        tip = front(stair, k)
        points = ((back, seat), (tip, seat), (tip, top), (back, top))
        found.append(Housed(points, ((n, points[0]),) if n > 1 else (), (n,)))
    return tuple(found)


def _one_for_all(stair: Stair, spec: StringerSpec, play: float, run_out: float) -> tuple[Housed, ...]:
    steps, b, g = stair.steps, stair.riser_board, spec.top_gap
    first, last = steps[0], steps[-1]
    # The uppermost riser board stands against the header; where it is hidden behind the plumb cut there is none.
    face = stair.riser_cut(first - 1) + b
    riser_on_top = stair.top_tread == "one-below" and face > g + SAME_POINT
    back = face - b - play
    closed = riser_on_top and back > g + SAME_POINT
    if not closed:
        back = g - run_out
    lower: list[Point] = [(back, stair.seat(first))]
    backs = [(1, lower[0])] if closed else []
    for n, k in enumerate(steps[1:], 2):
        x = stair.riser_cut(k - 1) - play
        lower += [(x, stair.seat(k - 1)), (x, stair.seat(k))]
        backs.append((n, lower[-1]))
    x, foot = stair.riser_cut(last), -stair.total_rise - run_out
    lower += [(x - play, stair.seat(last)), (x - play, foot)]
    upper: list[Point] = [(x + b, foot)]
    for k in reversed(steps):
        x, tip, seat, top = stair.riser_cut(k) + b, front(stair, k), stair.seat(k), -k * stair.unit_rise + play
        upper += [(x, seat), (tip, seat), (tip, top), (stair.riser_cut(k - 1) + b, top)]
    if riser_on_top:
        # The floor's own edge is a nosing, and so the upper edge lies above the level cut there.
        ceiling = level_cut(stair, spec) + run_out
        upper += [(face, ceiling), (back, ceiling)]
    else:
        upper[-1] = (back, top)
    return (Housed(_tidy([*lower, *upper]), tuple(backs), tuple(range(1, len(steps) + 1))),)


def _tidy(points: list[Point]) -> tuple[Point, ...]:
    """A closed outline of level and plumb lines, less doubled points and those in the middle of a straight line."""
    kept: list[Point] = []
    for p in points:
        if not kept or max(abs(p[0] - kept[-1][0]), abs(p[1] - kept[-1][1])) > SAME_POINT:
            kept.append(p)
    count = len(kept)
    return tuple(
        p
        for i, p in enumerate(kept)
        if not any(
            abs(kept[i - 1][axis] - p[axis]) <= SAME_POINT and abs(p[axis] - kept[(i + 1) % count][axis]) <= SAME_POINT
            for axis in (0, 1)
        )
    )


def treads_placed(stair: Stair, play: float, found: tuple[Housed, ...]) -> tuple[Point, ...]:
    """Where every tread lies, from the top down: its seat and the back of its riser, read off the housings' outlines.

    Args:
        stair: gives treads, riser boards and nosings.
        play: of the housings.
        found: the flight's housings.

    Returns:
        One point a tread: where a notched stringer's tooth tip would be.
    """
    highest = -stair.steps[0] * stair.unit_rise + play + SAME_POINT
    tips = []
    for housing in found:
        count = len(housing.points)
        for i, (x, y) in enumerate(housing.points):
            (x0, y0), (x1, y1) = housing.points[i - 1], housing.points[(i + 1) % count]
            # A nosing's upper corner: up its front, then back along its top.
            if abs(x0 - x) <= SAME_POINT and y0 < y <= highest and x1 < x and abs(y1 - y) <= SAME_POINT:
                tips.append((x - stair.riser_board - stair.nosing, y - play - stair.tread_thickness))
    return tuple(sorted(tips))


def runs_out(stringer: Stringer, spec: StringerSpec, outline: Polygon, show: Show) -> None:
    """Refuse housings that leave the part anywhere but where they have to run out.

    Args:
        stringer: the part's outline, stair frame.
        spec: its sill notch.
        outline: all housings with their relieved corners, stair frame.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: naming by how much and where.
    """
    import shapely

    places = {v.role: v.point for v in stringer.vertices}
    far = 4 * stringer.length
    (g, top), (back, floor) = places["top"], places["seat-back"]
    heel = places.get("heel", places["seat-back"])[1]
    toe = places["front"][0]
    part = shapely.Polygon([v.point for v in stringer.vertices])
    # An edge that a housing touches holds no wood either: less than the cut's own tolerance is none.
    allowed = [
        part.buffer(-CUT, join_style="mitre"),
        shapely.box(g - far, heel, g + CUT, top + far),
        shapely.box(back, floor - far, toe, floor + CUT),
    ]
    if "level" in places:
        allowed.append(shapely.box(g - far, top - CUT, places["level"][0], top + far))
    if spec.sill_notch is not None:
        sill = places["sill-face"]
        allowed.append(shapely.box(sill[0] - spec.sill_notch.deep - CUT, floor, sill[0], sill[1] + CUT))
    left = outline.difference(shapely.unary_union(allowed).buffer(1e-6, join_style="mitre"))
    if left.is_empty:
        return
    past = max(shapely.distance(shapely.Point(p), part) for p in shapely.get_coordinates(left))
    runs = f"runs {show(past)} out past" if past > CUT else "leaves no wood at"
    x, y = left.representative_point().coords[0]
    above = y > upper_middle(stringer, x)
    word = "upper" if above else "lower"
    way = "a larger stringer.margin" if above else "wider stock or a smaller stringer.margin"
    raise ImpossibleStringer(
        f"a housing {runs} the board's {word} edge, {show(x)} out from the header face and {show(-y)} below the floor",
        key="stringer.housing",
        way_out=f"use {way}",
    )


def upper_middle(stringer: Stringer, x: float) -> float:
    """Y of the line midway between the two edges at an x, stair frame."""
    back = stringer.to_board.inverse()
    (x0, y0), (x1, y1) = back((0.0, stringer.width / 2)), back((1.0, stringer.width / 2))
    return y0 + (x - x0) * (y1 - y0) / (x1 - x0)


def behind_check(housing: Housing, thickness: float, show: Show) -> Check:
    """Check the wood behind a housing, square to the face.

    Args:
        housing: its depth and what is required behind it.
        thickness: of the thinnest board in stock.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: the housings go through the board.
    """
    left = thickness - housing.depth
    if left <= 0:
        raise ImpossibleStringer(
            f"stringer.housing.depth {show(housing.depth)} goes through a board {show(thickness)} thick",
            key="stringer.housing.depth",
            way_out="use less",
        )
    asked = housing.behind_least
    least = thickness / 2 if asked is None else asked
    source = (
        "half the board's thickness (common practice, no source)"
        if asked is None
        else "stringer.housing.behind_least of the job"
    )
    note = f"wood behind a housing {show(housing.depth)} deep in a board {show(thickness)} thick"
    ok = within(left, least, None)
    mend = "" if ok else "thicker boards, or a shallower stringer.housing.depth"
    return Check("behind-housing", ok, True, "length", left, least, None, source, note, mend=mend)

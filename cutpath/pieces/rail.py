"""The rail as it stands: posts, its lines, balusters at equal gaps. Stair frame and z across; millimetres.

Top rail and bottom rail lie flat and run with the line of the nosings. The top rail lies on the posts, whose tops are
cut to its slope; the bottom rail fits between them. Balusters stand plumb from the one to the other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer
from cutpath.faults import ImpossiblePiece
from cutpath.job.piece_values import RailSpec
from cutpath.job.values import Job
from cutpath.outline import Point
from cutpath.pieces.across import overall, stringers_at, thickness_of
from cutpath.pieces.faces import behind_treads
from cutpath.pieces.splice import bays_within_reach, joints_of
from cutpath.pieces.treads import Standing
from cutpath.pieces.triangle import slot_sphere, triangle_sphere
from cutpath.pieces.values import Bay, Rail, RailLine, RailPost, Range
from cutpath.rules.built import Built, BuiltRail
from cutpath.rules.provided import height_bounds
from cutpath.rules.values import RuleSet
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT
from cutpath.units import MM_PER_INCH, Unit

#: Height that a rail is given where the job states none and the rule set allows it: 36 in, 915 mm (common practice, no
#: source).
USUAL_HEIGHT: dict[Unit, float] = {"in": float(36 * MM_PER_INCH), "mm": 915.0}

#: Clearance under the bottom rail where the job states none: 1/2 in, 12 mm (common practice, no source).
USUAL_CLEAR: dict[Unit, float] = {"in": 12.7, "mm": 12.0}


def stand_rail(job: Job, spec: RailSpec, rules: RuleSet, stair: Stair, stringer: Stringer, built: Built) -> Rail:
    """Stand a rail at the sides of a stair.

    Args:
        job: the job.
        spec: its rail.
        rules: give height and sphere where the job states none.
        stair: the stair.
        stringer: its stringer, whose lower edge posts reach down to.
        built: its finished surfaces.

    Raises:
        ImpossiblePiece: it can't stand as it is asked for.
    """
    slope, cosine = stair.unit_rise / stair.unit_run, math.cos(stair.pitch)
    x1, y1 = built.treads[0]

    def nose(x: float) -> float:
        return y1 - (x - x1) * slope

    height, height_from = _height(job.units, spec, rules, built)
    opening, opening_from = _opening(spec, rules, built.least_going)
    clear = _clear(job, spec, cosine)
    under = height - spec.top_rail.thickness / cosine
    over = clear + spec.bottom_rail.thickness / cosine
    if under - over <= SAME_POINT:
        raise ImpossiblePiece(
            "a rail {} high leaves no room for balusters over its bottom rail, whose top is {} over the nosings and "
            "the top rail's underside {}",
            height,
            over,
            under,
            key="rail.height",
            way_out="use a greater rail.height, or a smaller rail.bottom_clear",
        )
    posts = _posts(job, spec, stair, stringer, built, lambda x: nose(x) + under)
    over_all = built.nosings[0][0], built.nosings[-1][0]
    # No post stands in front of its nosing.
    start, end = min(posts[0].back, over_all[0]), over_all[1]
    if spec.past is not None:
        start, end = posts[0].back - spec.past[0], posts[-1].front + spec.past[1]

    def line(up: float, a: float = start, b: float = end) -> RailLine:
        return (a, nose(a) + up), (b, nose(b) + up)

    between = posts[0].back, posts[-1].front
    bays = tuple(_bay(spec, a, b, opening, cosine) for a, b in pairwise(posts))
    bays_within_reach(job, spec, stair, posts, bays)
    across = _across(job, spec)
    return Rail(
        sides=spec.sides,
        nosings=line(0.0),
        height=height,
        height_from=height_from,
        top=line(height),
        top_under=line(under),
        bottom=line(over, *between),
        bottom_under=line(clear, *between),
        posts=posts,
        bays=bays,
        baluster_plumb=under - over,
        opening_most=opening,
        opening_from=opening_from,
        triangle=triangle_sphere(stair, clear)
        if job.stringer.toothed
        else slot_sphere(stair, clear, job.stringer.margin),
        triangular=job.stringer.toothed,
        across=across,
        short_of_top=max(0.0, start - over_all[0]),
        short_of_foot=max(0.0, over_all[1] - end),
        joints=joints_of(job, spec, stair, posts, (start, end)),
        reaches=_reaches(job, spec, across),
    )


def posts_standing(rail: Rail) -> tuple[Standing, ...]:
    """Where a rail's posts stand on all its sides, for whatever is cut round them."""
    return tuple(
        Standing((post.back, post.front), (post.bottom, post.top_back), z) for post in rail.posts for z in rail.across
    )


def rail_as_built(rail: Rail, clear_width: float, rules: RuleSet, going: float) -> BuiltRail:
    """What a rule set can limit of a rail.

    Args:
        rail: as it stands.
        clear_width: of the stair, millimetres.
        rules: say how high a handrail may stand.
        going: the stair's least, as built, millimetres.
    """
    handrail = rules.limit("handrail", going)
    most = None if handrail is None else handrail.height_most
    return BuiltRail(
        sides=rail.sides,
        height=rail.height,
        opening=rail.opening if rail.triangular else max(rail.opening, rail.triangle),
        triangle=rail.triangle if rail.triangular else None,
        reach=max(rail.reaches),
        clear=clear_width - sum(rail.reaches),
        over=most is not None and rail.height > most + LIMIT_SLACK,
    )


def _height(units: Unit, spec: RailSpec, rules: RuleSet, built: Built) -> tuple[float, str]:
    """The rail's height over the nosings, and where it comes from."""
    if spec.height is not None:
        return spec.height, "rail.height of the job"
    low, high = height_bounds(rules, built)
    usual = USUAL_HEIGHT[units]
    chosen = max(low, min(high, usual))
    where = "the usual height (common practice, no source)"
    return chosen, where if chosen == usual else f"the nearest to the usual height that {rules.title} allows"


def _clear(job: Job, spec: RailSpec, cosine: float) -> float:
    """From the nosings plumb up to the bottom rail."""
    if spec.bottom_clear is not None:
        return spec.bottom_clear
    return USUAL_CLEAR[job.units] + (0.0 if job.stringer.toothed else job.stringer.margin / cosine)


def _opening(spec: RailSpec, rules: RuleSet, going: float) -> tuple[float, str]:
    """What balusters may leave open, and where that comes from."""
    if spec.opening_most is not None:
        return spec.opening_most, "rail.opening_most of the job"
    guard = rules.limit("guard", going)
    if guard is None or guard.opening is None:
        raise ImpossiblePiece(
            f"{rules.title} states no sphere for a guard, so how far apart balusters stand at most is yours to say",
            key="rail.opening_most",
            way_out="give rail.opening_most",
        )
    return guard.opening, guard.source


def _posts(
    job: Job, spec: RailSpec, stair: Stair, stringer: Stringer, built: Built, top: Callable[[float], float]
) -> tuple[RailPost, ...]:
    count = len(built.treads)
    numbers = spec.posts or (1, count)
    if numbers[-1] > count:
        raise ImpossiblePiece(
            f"a post at tread {numbers[-1]}, and the stair has {count}",
            key="rail.posts",
            way_out=f"use numbers from 1 to {count} in rail.posts",
        )
    if len(set(numbers)) < 2:
        raise ImpossiblePiece(
            "a rail needs posts at two treads", key="rail.posts", way_out="give two in rail.posts, or leave [rail] out"
        )
    back_by = stair.nosing + stair.riser_board if spec.set_back is None else spec.set_back
    found = []
    for number in numbers:
        x, y = built.treads[number - 1]
        front = x - back_by
        back = front - spec.post.width
        low = _standing_level(job, spec, stringer, built, back, front)
        bottom = max(lower_edge_at(stringer, back), low) if spec.post_below is None else y - spec.post_below
        if low > built.landing and bottom < low - SAME_POINT:
            raise ImpossiblePiece(
                f"the post at tread {number} stands in the sill plate, whose top is {{}} under that tread's",
                y - low,
                key="rail.post_below",
                way_out='leave rail.post_below out, or use rail.place = "outside"',
            )
        found.append(RailPost(number, back, front, bottom, top(back), top(front)))
    for a, b in pairwise(found):
        if b.back - a.front <= SAME_POINT:
            raise ImpossiblePiece(
                f"the posts at treads {a.tread} and {b.tread} stand in one another, {{}} wide each",
                spec.post.width,
                key="rail.posts",
                way_out="leave one out of rail.posts",
            )
    _clear_of_floor(built, found)
    if spec.place == "inside":
        _beside_risers(stair, built, found)
    return tuple(found)


def _standing_level(job: Job, spec: RailSpec, stringer: Stringer, built: Built, back: float, front: float) -> float:
    """Y of what a post can reach down to: the landing, or the sill plate, which runs across between the stringers."""
    notch = job.stringer.sill_notch
    if notch is None or spec.place == "outside":
        return built.landing
    face = next(v.point[0] for v in stringer.vertices if v.role == "sill-face")
    over = min(front, face) - max(back, face - notch.deep)
    return built.landing + (notch.high if over > SAME_POINT else 0.0)


def lower_edge_at(stringer: Stringer, x: float) -> float:
    """Y of the board's lower edge at an x, stair frame."""
    motion = stringer.to_board
    return -(motion.sin * x + motion.dy) / motion.cos


def _clear_of_floor(built: Built, posts: Sequence[RailPost]) -> None:
    """Refuse posts that stand in the floor's edge or the header, whichever side of the stringers they are on."""
    edge = built.nosings[0][0] if built.floor_first else 0.0
    for post in posts:
        if post.back < edge - SAME_POINT:
            raise ImpossiblePiece(
                f"the post at tread {post.tread} stands in the floor's edge or the header, which are {{}} behind that "
                "tread's nosing; the post's back is {} behind it",
                built.treads[post.tread - 1][0] - edge,
                built.treads[post.tread - 1][0] - post.back,
                key="rail.set_back",
                way_out="use a smaller rail.set_back, or a narrower rail.post",
            )


def _beside_risers(stair: Stair, built: Built, posts: Sequence[RailPost]) -> None:
    """Refuse posts between the stringers that stand where riser boards are."""
    board = stair.riser_board
    for post, behind in ((post, behind_treads(stair, built)[post.tread - 1]) for post in posts):
        x, y = built.treads[post.tread - 1]
        in_own = post.front > x - stair.nosing - board + SAME_POINT and post.bottom < y - stair.tread_thickness
        if board > 0 and (in_own or post.back < behind.face - SAME_POINT):
            raise ImpossiblePiece(
                f"the post at tread {post.tread} stands in a riser board: there are {{}} from the nosing back to what "
                "is behind the tread, and the first {} of them are in front of the riser cut",
                x - behind.face,
                stair.nosing + board,
                key="rail.set_back",
                way_out='use another rail.set_back, a narrower rail.post, or rail.place = "outside"',
            )


def _across(job: Job, spec: RailSpec) -> tuple[Range, ...]:
    """Where each side's posts are across the stair."""
    stringers, wide, thick = stringers_at(job), overall(job), spec.post.thickness
    if len(stringers) < 2:
        raise ImpossiblePiece(
            "posts stand on two outer stringers, and there is one",
            key="rail",
            way_out="give stringer.count 2 or more, or leave [rail] out",
        )
    if spec.place == "outside":
        sides = {"left": (-thick, 0.0), "right": (wide, wide + thick)}
    else:
        left, right = stringers[0][1], stringers[-1][0]
        sides = {"left": (left, left + thick), "right": (right - thick, right)}
        others = {"left": stringers[1:], "right": stringers[:-1]}
        beside = [(sides[side], z) for side in spec.sides for z in others[side]]
        if spec.side == "both":
            beside.append((sides["left"], sides["right"]))
        if any(min(a[1], b[1]) - max(a[0], b[0]) > SAME_POINT for a, b in beside):
            raise ImpossiblePiece(
                "posts {} thick inside the outer stringers stand in one another or in the next stringer",
                thick,
                key="rail.place",
                way_out='use rail.place = "outside", or a smaller stringer.count',
            )
    return tuple(sides[side] for side in spec.sides)


def _reaches(job: Job, spec: RailSpec, across: Sequence[Range]) -> tuple[float, ...]:
    """How far each side's rail reaches into the stair's clear width, by its widest piece, post or baluster."""
    edge = thickness_of(job) if job.stringer.kind.between else 0.0
    low, high = edge, overall(job) - edge
    wide = max(spec.post.thickness, spec.top_rail.width, spec.bottom_rail.width, spec.baluster.thickness)
    return tuple(
        max(0.0, mid(z, wide)[1] - low if side == "left" else high - mid(z, wide)[0])
        for side, z in zip(spec.sides, across, strict=True)
    )


def _bay(spec: RailSpec, above: RailPost, below: RailPost, opening: float, cosine: float) -> Bay:
    """Balusters between two posts: the fewest, all gaps equal and none over the opening; refuse what finds no room."""
    clear, wide = below.back - above.front, spec.baluster.width
    count = math.ceil((clear - opening - LIMIT_SLACK) / (wide + opening))
    gap = (clear - count * wide) / (count + 1)
    if gap < -SAME_POINT:
        raise ImpossiblePiece(
            f"between the posts at treads {above.tread} and {below.tread} are {{}}, where balusters {{}} wide that "
            "left no more than {} open would stand in one another or in the posts",
            clear,
            wide,
            opening,
            key="rail.baluster",
            way_out="use a narrower rail.baluster, other rail.posts, or a greater rail.opening_most where the rules "
            "have room for it",
        )
    backs = tuple(above.front + gap + i * (wide + gap) for i in range(count))
    return Bay((above.front, below.back), gap, backs, tuple((x - above.front) / cosine for x in backs))


def mid(z: Range, wide: float) -> Range:
    """A range of a width in the middle of another one."""
    centre = (z[0] + z[1]) / 2
    return centre - wide / 2, centre + wide / 2


def at(segment: RailLine, x: float) -> Point:
    """The point of a straight line at an x."""
    (x0, y0), (x1, y1) = segment
    return x, y0 + (x - x0) * (y1 - y0) / (x1 - x0)

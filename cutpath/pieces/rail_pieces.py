"""A rail's pieces: posts, rails and balusters with lengths and end cuts. Stair frame and z across; millimetres."""

from __future__ import annotations

import math

from cutpath.design.stair import Stair
from cutpath.job.piece_values import LumberSize, RailSpec
from cutpath.names import free_name
from cutpath.outline import Chain, Point, straight
from cutpath.pieces.rail import at, mid
from cutpath.pieces.values import SQUARE, EndCut, Rail, RailPost, Remark, SeenOn, Segment, StairPiece, Stand
from cutpath.pieces.words import in_runs
from cutpath.tolerances import SAME_POINT


def rail_pieces(rail: Rail, spec: RailSpec, stair: Stair) -> tuple[StairPiece, ...]:
    """Everything that a rail is made of, those alike together.

    Args:
        rail: as it stands.
        spec: what it is made of.
        stair: gives the pitch.
    """
    return (
        *_posts(rail, spec, stair),
        _top_rail(rail, spec, stair),
        *_bottom_rails(rail, spec, stair),
        *_balusters(rail, spec, stair),
    )


def _sides(rail: Rail) -> str:
    return "both sides" if len(rail.sides) == 2 else f"{rail.sides[0]} side"


def _upright(size: LumberSize, stair: Stair) -> EndCut:
    """The cut of an upright whose width lies along the stair, seen from the stair's side."""
    seen: SeenOn = "face" if size.width >= size.thickness - SAME_POINT else "edge"
    return EndCut(math.degrees(stair.pitch), seen)


def _lying(size: LumberSize, stair: Stair) -> EndCut:
    """The plumb cut of a rail that lies flat: from the stair's side its thickness is seen."""
    seen: SeenOn = "edge" if size.width >= size.thickness - SAME_POINT else "face"
    return EndCut(math.degrees(stair.pitch), seen)


def _posts(rail: Rail, spec: RailSpec, stair: Stair) -> list[StairPiece]:
    groups: dict[float, list[RailPost]] = {}
    for post in rail.posts:
        groups.setdefault(round(post.length, 6), []).append(post)
    pieces: list[StairPiece] = []
    for alike in groups.values():
        stands = [
            Stand(
                straight(
                    (
                        (post.back, post.bottom),
                        (post.front, post.bottom),
                        (post.front, post.top_front),
                        (post.back, post.top_back),
                    ),
                    closed=True,
                ),
                z,
            )
            for post in alike
            for z in rail.across
        ]
        pieces.append(
            StairPiece(
                kind="post",
                name="post" if len(groups) == 1 else f"post, {in_runs([post.tread for post in alike], 'tread')}",
                where=f"{in_runs([post.tread for post in alike], 'tread')}, {_sides(rail)}",
                section=(spec.post.thickness, spec.post.width),
                stock=spec.post,
                length=alike[0].length,
                stands=tuple(stands),
                ends=(_upright(spec.post, stair), SQUARE),
                parallel=False,
                notes=(Remark("top cut to the rail's slope, its long point towards the header"),),
            )
        )
    return pieces


def _top_rail(rail: Rail, spec: RailSpec, stair: Stair) -> StairPiece:
    (x0, _), (x1, _) = rail.top
    along = (x1 - x0) / math.cos(stair.pitch)
    plumb = spec.ends == "plumb"
    long = along + (spec.top_rail.thickness * math.tan(stair.pitch) if plumb else 0.0)
    cut = _lying(spec.top_rail, stair) if plumb else SQUARE
    outline = _plumb_ended(rail.top_under, rail.top) if plumb else _square_ended(rail.top_under, spec, stair)
    return StairPiece(
        kind="top rail",
        name="top rail",
        where=_sides(rail),
        section=(spec.top_rail.thickness, spec.top_rail.width),
        stock=spec.top_rail,
        length=long,
        stands=tuple(Stand(outline, mid(z, spec.top_rail.width)) for z in rail.across),
        ends=(cut, cut),
        notes=(Remark("{} along its upper face", (along,)),) if plumb else (),
    )


def _bottom_rails(rail: Rail, spec: RailSpec, stair: Stair) -> list[StairPiece]:
    size, cut = spec.bottom_rail, _lying(spec.bottom_rail, stair)
    groups: dict[float, list[int]] = {}
    for i, bay in enumerate(rail.bays):
        groups.setdefault(round(bay.clear[1] - bay.clear[0], 6), []).append(i)
    pieces: list[StairPiece] = []
    for alike in groups.values():
        x0, x1 = rail.bays[alike[0]].clear
        along = (x1 - x0) / math.cos(stair.pitch)
        outlines = []
        for i in alike:
            a, b = rail.bays[i].clear
            under = at(rail.bottom_under, a), at(rail.bottom_under, b)
            outlines.append(_plumb_ended(under, (at(rail.bottom, a), at(rail.bottom, b))))
        pieces.append(
            StairPiece(
                kind="bottom rail",
                name=free_name("bottom rail", [piece.name for piece in pieces]),
                where=f"{_bays(rail, alike)}, {_sides(rail)}",
                section=(size.thickness, size.width),
                stock=size,
                length=along + size.thickness * math.tan(stair.pitch),
                stands=tuple(Stand(outline, mid(z, size.width)) for outline in outlines for z in rail.across),
                ends=(cut, cut),
                notes=(Remark("{} along its upper face, post to post", (along,)),),
            )
        )
    return pieces


def _balusters(rail: Rail, spec: RailSpec, stair: Stair) -> list[StairPiece]:
    size, cut = spec.baluster, _upright(spec.baluster, stair)
    stands = []
    for bay in rail.bays:
        for x in bay.balusters:
            low = at(rail.bottom, x), at(rail.bottom, x + size.width)
            high = at(rail.top_under, x), at(rail.top_under, x + size.width)
            outline = straight((low[0], low[1], high[1], high[0]), closed=True)
            stands += [Stand(outline, mid(z, size.thickness)) for z in rail.across]
    if not stands:
        return []
    numbers = [i for i, bay in enumerate(rail.bays) if bay.balusters]
    return [
        StairPiece(
            kind="baluster",
            name="baluster",
            where=f"{_bays(rail, numbers)}, {_sides(rail)}",
            section=(size.thickness, size.width),
            stock=size,
            length=rail.baluster_plumb + size.width * math.tan(stair.pitch),
            stands=tuple(stands),
            ends=(cut, cut),
            notes=(Remark("{} along each edge", (rail.baluster_plumb,)),),
        )
    ]


def _bays(rail: Rail, numbers: list[int]) -> str:
    """Which bays, by the treads that their posts stand at."""
    if len(numbers) == len(rail.bays) > 1:
        return "every bay"
    return "; ".join(f"between treads {rail.posts[i].tread} and {rail.posts[i + 1].tread}" for i in numbers)


def _plumb_ended(under: Segment, over: Segment) -> Chain:
    return straight((under[0], under[1], over[1], over[0]), closed=True)


def _square_ended(under: Segment, spec: RailSpec, stair: Stair) -> Chain:
    """A rail whose lower face is as long as the posts reach, its ends square to it."""
    x, y = spec.top_rail.thickness * math.sin(stair.pitch), spec.top_rail.thickness * math.cos(stair.pitch)

    def over(p: Point) -> Point:
        return p[0] + x, p[1] + y

    return straight((under[0], under[1], over(under[1]), over(under[0])), closed=True)

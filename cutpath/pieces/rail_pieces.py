"""A rail's pieces: posts, rails and balusters with lengths and end cuts. Stair frame and z across; millimetres."""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.job.piece_values import LumberSize, RailSpec
from cutpath.names import free_name
from cutpath.outline import Chain, straight
from cutpath.pieces.rail import at, mid
from cutpath.pieces.splice import middle_of
from cutpath.pieces.values import SQUARE, EndCut, Rail, RailLine, RailPost, Remark, SeenOn, StairPiece, Stand
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
        *_top_rails(rail, spec, stair),
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


class _Stretch(Struct, frozen=True):
    """A piece of the top rail: x of its ends along its lower face, whether they are plumb, what it reaches between."""

    x: tuple[float, float]
    plumb: tuple[bool, bool]
    between: str
    which: str


def _top_rails(rail: Rail, spec: RailSpec, stair: Stair) -> list[StairPiece]:
    (x0, _), (x1, _) = rail.top_under
    stops = [(x0, "upper end"), *((middle_of(p), f"tread {p.tread}") for p in rail.joints), (x1, "lower end")]
    groups: dict[tuple[float, tuple[bool, bool]], list[_Stretch]] = {}
    for i, ((a, over), (b, under)) in enumerate(pairwise(stops)):
        plumb = i > 0 or spec.ends == "plumb", i < len(rail.joints) or spec.ends == "plumb"
        groups.setdefault((round(b - a, 6), plumb), []).append(
            _Stretch((a, b), plumb, f"{over} to {under}", _which(i, len(rail.joints)))
        )
    pieces: list[StairPiece] = []
    for (_, plumb), alike in groups.items():
        outlines = [_rail_outline(rail, stretch, spec, stair) for stretch in alike]
        along = (alike[0].x[1] - alike[0].x[0]) / math.cos(stair.pitch)
        both = all(plumb)
        between = "; ".join(stretch.between for stretch in alike)
        stretch = f", {between}" if rail.joints else ""
        notes = [Remark(f"{{}} along its upper face{stretch}", (along,))] if both else []
        if rail.joints:
            notes.append(Remark(f"cut plumb at {_joints(rail)}, over the middle of the post"))
        pieces.append(
            StairPiece(
                kind="top rail",
                name=free_name(
                    "top rail" + (alike[0].which if len(groups) > 1 else ""), [piece.name for piece in pieces]
                ),
                where=f"{between}, {_sides(rail)}" if rail.joints else _sides(rail),
                section=(spec.top_rail.thickness, spec.top_rail.width),
                stock=spec.top_rail,
                length=_spread(outlines[0], stair),
                stands=tuple(Stand(outline, mid(z, spec.top_rail.width)) for outline in outlines for z in rail.across),
                ends=(_end(spec, stair, plumb[0]), _end(spec, stair, plumb[1])),
                notes=tuple(notes),
            )
        )
    return pieces


def _which(index: int, joints: int) -> str:
    """Which piece of a spliced rail it is, for people."""
    return ", upper" if index == 0 else ", lower" if index == joints else ", middle"


def _joints(rail: Rail) -> str:
    return ("joints at " if len(rail.joints) > 1 else "the joint at ") + in_runs(
        [p.tread for p in rail.joints], "tread"
    )


def _end(spec: RailSpec, stair: Stair, plumb: bool) -> EndCut:
    return _lying(spec.top_rail, stair) if plumb else SQUARE


def _spread(outline: Chain, stair: Stair) -> float:
    """How long an outline is along the slope, from its one extreme to the other."""
    along = [x * math.cos(stair.pitch) - y * math.sin(stair.pitch) for x, y in outline.points]
    return max(along) - min(along)


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


def _plumb_ended(under: RailLine, over: RailLine) -> Chain:
    return straight((under[0], under[1], over[1], over[0]), closed=True)


def _rail_outline(rail: Rail, stretch: _Stretch, spec: RailSpec, stair: Stair) -> Chain:
    """A piece of the top rail seen from the side; a square end stands on the end of its lower face."""
    thick = spec.top_rail.thickness
    under = at(rail.top_under, stretch.x[0]), at(rail.top_under, stretch.x[1])
    square = thick * math.sin(stair.pitch), thick * math.cos(stair.pitch)
    over = [
        (x, y + thick / math.cos(stair.pitch)) if plumb else (x + square[0], y + square[1])
        for (x, y), plumb in zip(under, stretch.plumb, strict=True)
    ]
    return straight((*under, over[1], over[0]), closed=True)

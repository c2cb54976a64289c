"""The keys of the stair's other pieces, and of what they are cut from: part of the one table in `keys.py`."""

from __future__ import annotations

from typing import Any, Final

from cutpath.job.compound import Absent, Fixed, Key, ListOf, Pair, Record, Required
from cutpath.job.kinds import Length, Money, OneOf, Text, Whole
from cutpath.job.piece_values import LumberSize, RailSpec, RiserBoardSpec, SawSpec, TreadSpec
from cutpath.job.special import BoardSize, Size

#: Most entries of lumber, and most posts on a side.
_MOST = 200


def _lumber_size(size: Size) -> LumberSize:
    return LumberSize(size.name, float(size.thickness), float(size.width))


def _treads(*, size: Size, **rest: Any) -> TreadSpec:
    return TreadSpec(size=_lumber_size(size), **rest)


def _riser_boards(*, size: Size, **rest: Any) -> RiserBoardSpec:
    return RiserBoardSpec(size=_lumber_size(size), **rest)


def _rail(*, posts: tuple[int, ...] | None, **rest: Any) -> RailSpec:
    rest |= {name: _lumber_size(rest[name]) for name in ("post", "top_rail", "bottom_rail", "baluster")}
    return RailSpec(posts=None if posts is None else tuple(sorted(set(posts))), **rest)


#: Balusters may be bars far narrower than any board.
_SIZE: Final = BoardSize(Pair(("thickness", Length(5, 300)), ("width", Length(5, 1000))))

TREADS: Final = Record(
    Key(
        "boards",
        Whole(1, 6),
        Absent("the fewest that leave no more than back_gap_most open, the last no strip under 1 1/2 in"),
        "boards side by side in each tread; the rear one is ripped where they are too deep together",
    ),
    Key("size", _SIZE, Required(), "what they are cut from; its thickness is stair.tread_thickness"),
    Key("gap", Length(0, 50), Fixed("1/8", 3), "gap between two boards of a tread"),
    Key(
        "back_gap_most",
        Length(0, 300),
        Fixed("1/2", 12),
        "what may stay open between the rear board and what is behind it, before it is told",
    ),
    Key(
        "side_overhang",
        Length(0, 300),
        Fixed(0, 0),
        "treads beyond the outer faces of the outer stringers, where they lie on teeth",
    ),
    Key(
        "span_most",
        Length(50, 3000),
        Absent("the span between stringers is not judged"),
        "greatest span of the treads, between the stringers' middles, or between their faces where the treads end "
        "there: decking differs, so it is yours; goes with span_source",
    ),
    Key(
        "span_source",
        Text(200),
        Absent("span_most must be left out too"),
        "where that span comes from, as the decking maker's sheet; goes with span_most",
    ),
    Key(
        "post_play",
        Length(0, 25),
        Fixed("1/8", 3),
        "kept open all round a post that a tread is notched for, so that the board seats (common practice, no source)",
    ),
    into=_treads,
    together={"dependentRequired": {"span_most": ["span_source"], "span_source": ["span_most"]}},
)

RISER_BOARDS: Final = Record(
    Key("size", _SIZE, Required(), "what they are ripped from; its thickness is stair.riser_board"),
    Key("gap", Length(0, 100), Fixed(0, 0), "kept open at the lower edge of each, for water"),
    Key(
        "foot",
        OneOf("behind", "standing"),
        Fixed("behind", "behind"),
        "each runs down behind the tread below it to that tread's seat, or stands on that tread",
    ),
    Key(
        "floor_thickness",
        Length(3, 300),
        Absent("the treads' thickness"),
        "thickness of the floor's boards, whose underside the uppermost one reaches up to",
    ),
    into=_riser_boards,
)

RAIL: Final = Record(
    Key("side", OneOf("both", "left", "right"), Fixed("both", "both"), "where it stands, seen going up"),
    Key(
        "posts",
        ListOf(Whole(1, 60), 2, 60),
        Absent("the first tread and the last"),
        "the treads at which posts stand, counted from the top",
    ),
    Key("post", _SIZE, Fixed("4x4", "4x4"), "size of the posts; the width lies along the stair"),
    Key(
        "place",
        OneOf("outside", "inside"),
        Fixed("outside", "outside"),
        "posts on the outer faces of the outer stringers, or on their inner ones, the treads notched round them",
    ),
    Key(
        "set_back",
        Length(0, 600),
        Absent("nosing + riser_board: the post's front over the riser cut"),
        "level, from the tread's nosing back to the post's front",
    ),
    Key(
        "post_below",
        Length(0, 3000),
        Absent("to the stringer's lower edge, and at most to the landing, or a sill plate"),
        "from the tread's top down to the post's lower end",
    ),
    Key(
        "height",
        Length(300, 2000),
        Absent("36 in or 915 mm, or the nearest to it that the rule set allows"),
        "plumb, from the line of the nosings to the top of the rail",
    ),
    Key("top_rail", _SIZE, Fixed("2x4", "2x4"), "size of the rail on the posts, which lies flat"),
    Key(
        "past",
        Pair(("top", Length(0, 3000)), ("foot", Length(0, 3000))),
        Absent("up to over the nosings of the uppermost riser and the lowest"),
        "how far it runs past the uppermost and the lowest post, level",
    ),
    Key("ends", OneOf("plumb", "square"), Fixed("plumb", "plumb"), "how its ends are cut"),
    Key("bottom_rail", _SIZE, Fixed("2x4", "2x4"), "size of the rail between the posts, which lies flat"),
    Key(
        "bottom_clear",
        Length(0, 600),
        Absent("1/2 in, or 12 mm; beside a stringer without teeth as much over its upper edge"),
        "plumb, from the line of the nosings to the bottom rail's lower face",
    ),
    Key("baluster", _SIZE, Fixed("2x2", "2x2"), "size of the balusters; the width lies along the stair"),
    Key(
        "opening_most",
        Length(10, 1000),
        Absent("the sphere of the rule set's guard"),
        "greatest clear opening between balusters, level",
    ),
    into=_rail,
)

LUMBER: Final = ListOf(
    Record(
        Key("size", _SIZE, Required(), "nominal size (PS 20, dry), or dressed thickness and width"),
        Key("length", Length(300, 20000), Required(), "length as bought"),
        Key(
            "quantity",
            Whole(0, 10000),
            Absent("as many as needed: the list is a shopping list"),
            "how many there are",
        ),
        Key("price", Money(1_000_000), Absent("told apart by length alone"), "price of one, in your money"),
    ),
    1,
    _MOST,
)

SAW: Final = Record(
    Key("width", Length(0, 20), Fixed("1/8", 3), "what the saw takes out at every cut"),
    Key(
        "end_trim",
        Length(0, 300),
        Fixed(0, 0),
        "taken off each end of a piece of lumber first, as where ends are split or out of square",
    ),
    Key(
        "nearest",
        Length(0.1, 10),
        Fixed("1/16", 1),
        "what lengths on the list for the saw are rounded to",
    ),
    into=SawSpec,
)

"""The stair's other pieces as frozen values. Millimetres; angles in degrees.

Three frames, named wherever coordinates are given. The stair frame: origin where the header's face meets the finished
floor, x level and outward, y up. Across: z level across the stair from the left outer stringer's outer face, left and
right those of somebody going up, more to the right; the plan is (x, z). A piece's own frame: seen on its upper face, x
along it from its left end, y from its front edge back.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from cutpath.job.piece_values import LumberSize
from cutpath.outline import Chain, Point
from cutpath.rules.values import Check
from cutpath.units import Show

PieceKind = Literal["tread", "riser board", "post", "top rail", "bottom rail", "baluster", "sill plate"]
Side = Literal["left", "right"]
"""Of the stair, as somebody going up sees it."""

SeenOn = Literal["face", "edge"]
"""Where an end cut's angle is seen: on the piece's broad face, or on its narrow edge."""

Range = tuple[float, float]
"""From and to, from the lesser on."""

RailLine = tuple[Point, Point]
"""Two points in the stair frame, the one at the stair's upper end first."""


class EndCut(Struct, frozen=True):
    """How a piece's end is cut.

    Attributes:
        angle: of the cut from a square one, degrees, 0 up to 90.
        seen_on: where that angle is seen and laid out: on the piece's broad face (a mitre, the saw swung), or on its
            narrow edge (a bevel, the blade tilted). Of a square section either.
    """

    angle: float = 0.0
    seen_on: SeenOn = "face"


SQUARE = EndCut()
"""The end of a piece that is cut square."""


class Remark(Struct, frozen=True):
    """Something to know of a piece.

    Attributes:
        words: with a `{}` for each length.
        lengths: in their order, millimetres.
    """

    words: str
    lengths: tuple[float, ...] = ()

    def text(self, show: Show) -> str:
        """The words with their lengths, which `show` writes."""
        return self.words.format(*map(show, self.lengths))


class Stand(Struct, frozen=True):
    """Where one piece is in the stair, for drawings.

    Attributes:
        elevation: closed outline seen from the side, stair frame.
        across: where it is across the stair, z.
        plan: closed outline seen from above, (x, z), where it isn't the box that the other two give; else None.
    """

    elevation: Chain
    across: Range
    plan: Chain | None = None


class StairPiece(Struct, frozen=True):
    """Pieces that are all alike.

    Attributes:
        kind: what it is.
        name: what it is called on lists; no other piece of the stair is called the same.
        where: where it goes, for people: "treads 1 to 4, rear board".
        section: thickness and width as cut.
        stock: the section that it is cut from, as bought.
        length: from its one extreme end to the other, along it: long point to long point.
        ends: its cuts, the upper or left end first.
        parallel: whether the ends lean the same way, so that the piece is a parallelogram; of square ends no matter.
        ripped: the width that it is ripped to; None: it keeps its full width.
        shape: closed outline in the piece's own frame, where it is not straight; else None.
        notes: what to know of it.
        stands: where each is, one a piece.
    """

    kind: PieceKind
    name: str
    where: str
    section: tuple[float, float]
    stock: LumberSize
    length: float
    stands: tuple[Stand, ...]
    ends: tuple[EndCut, EndCut] = (SQUARE, SQUARE)
    parallel: bool = True
    ripped: float | None = None
    shape: Chain | None = None
    notes: tuple[Remark, ...] = ()

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.stands)


class TreadPlace(Struct, frozen=True):
    """One tread.

    Attributes:
        number: from the top.
        nosing: its front upper edge, stair frame.
        room: from its nosing back to what is behind it, level.
        widths: of its boards as laid, from the front one back.
        open: what stays open behind the rear board.
        bearing: how much of each board lies on a seat, level, from the front one back; empty where treads don't lie on
            teeth.
        posts: whether posts stand through it.
    """

    number: int
    nosing: Point
    room: float
    widths: tuple[float, ...]
    open: float
    bearing: tuple[float, ...]
    posts: bool

    @property
    def ripped(self) -> float:
        """The rear board's width."""
        return self.widths[-1]


class TreadsLaid(Struct, frozen=True):
    """The treads of a stair as they lie.

    Attributes:
        places: from the top tread down.
        boards: side by side in each.
        gap: between two of them.
        depth: of the boards together with their gaps, before any is ripped.
        length: of each board.
        across: where they lie, z: one range a bay where they end between plates, else one in all.
        span: the greatest between stringers; None over a single one.
        between_faces: whether that is from face to face, and not from middle to middle.
    """

    places: tuple[TreadPlace, ...]
    boards: int
    gap: float
    depth: float
    length: float
    across: tuple[Range, ...]
    span: float | None
    between_faces: bool


class RiserBoard(Struct, frozen=True):
    """One riser board.

    Attributes:
        riser: its number from the top; the floor's own riser is 1 where the top tread lies below it.
        height: that it is ripped to.
        bottom: y of its lower edge, stair frame.
        face: x of its face, stair frame.
        why: why its height is what it is.
    """

    riser: int
    height: float
    bottom: float
    face: float
    why: Remark


class RailPost(Struct, frozen=True):
    """One post, seen from the side; the posts of both sides are alike. Stair frame.

    Attributes:
        tread: that it stands at, from the top.
        back: x of its face towards the header.
        front: x of its face towards the foot.
        bottom: y of its square lower end.
        top_back: y of its top at its back, the long point.
        top_front: y of its top at its front.
    """

    tread: int
    back: float
    front: float
    bottom: float
    top_back: float
    top_front: float

    @property
    def length(self) -> float:
        """From the square lower end to the long point, plumb."""
        return self.top_back - self.bottom


class Bay(Struct, frozen=True):
    """Between two neighbouring posts of a rail.

    Attributes:
        clear: x of the upper post's front and the lower one's back, stair frame.
        gap: clear opening between balusters, and between one and a post, level.
        balusters: x of each one's back, towards the header, from the top down.
        along: how far along the slope the back of each is from the upper post: what a tape on the rail reads.
    """

    clear: Range
    gap: float
    balusters: tuple[float, ...]
    along: tuple[float, ...]


class Rail(Struct, frozen=True):
    """A rail as it stands; both sides are alike. Stair frame.

    Attributes:
        sides: that have one.
        nosings: the line through the nosings, which its height is measured from, as long as the rail.
        height: plumb from there to the rail's top.
        height_from: where the height comes from.
        top: the rail's upper face.
        top_under: its lower face, which the posts' tops bear.
        bottom: the bottom rail's upper face, as long as from the first post to the last; it is cut out at posts.
        bottom_under: its lower face.
        posts: from the top down.
        bays: between them.
        baluster_plumb: from rail to rail, plumb: the length of a baluster's edges.
        opening_most: greatest clear opening that the balusters were spaced for.
        opening_from: where that comes from.
        triangle: diameter of the greatest sphere through the triangle of riser, tread and bottom rail, or between the
            bottom rail and a stringer without teeth.
        triangular: whether it is the triangle's.
        across: z of each side's posts, by side as in `sides`.
        short_of_top: how far, level, its upper end ends short of the nosing of the uppermost riser; 0 where it reaches.
        short_of_foot: likewise at the lowest riser's nosing.
        joints: the posts over whose middles the top rail is spliced, from the top down; empty where it is one piece.
        reaches: how far it reaches into the stair's clear width, by side as in `sides`.
    """

    sides: tuple[Side, ...]
    nosings: RailLine
    height: float
    height_from: str
    top: RailLine
    top_under: RailLine
    bottom: RailLine
    bottom_under: RailLine
    posts: tuple[RailPost, ...]
    bays: tuple[Bay, ...]
    baluster_plumb: float
    opening_most: float
    opening_from: str
    triangle: float
    triangular: bool
    across: tuple[Range, ...]
    short_of_top: float
    short_of_foot: float
    joints: tuple[RailPost, ...]
    reaches: tuple[float, ...]

    @property
    def opening(self) -> float:
        """The greatest clear opening between balusters, or between one and a post, level."""
        return max(bay.gap for bay in self.bays)


class Hangers(Struct, frozen=True):
    """The hangers at the header: which to use is for their maker's tables and a licensed professional.

    Attributes:
        count: one a stringer.
        seat: breadth of the wood in it, the stringer's thickness.
        height: of the plumb cut that it holds.
        slope: of the stringer down from level, degrees.
    """

    count: int
    seat: float
    height: float
    slope: float


class Concrete(Struct, frozen=True):
    """The pad's concrete.

    Attributes:
        volume: cubic millimetres, nothing added for waste.
        bags: whole bags; None: the job states no bag's yield.
        bag_yield: of one, cubic millimetres; None likewise.
        bag_source: where the yield comes from.
    """

    volume: float
    bags: int | None
    bag_yield: float | None
    bag_source: str | None


class Pieces(Struct, frozen=True):
    """A stair's other pieces; what the job doesn't ask for is None or not among them.

    Attributes:
        all: every piece to be cut, treads first.
        overall: across the stringers, outer face to outer face.
        stringers: z of each stringer, from the left.
        treads: how the treads lie.
        riser_boards: from the top one down; empty without any.
        rail: how the rail stands.
        hangers: at the header.
        concrete: None with an existing landing.
        checks: of what no rule set limits.
        remarks: what to know that is of no piece.
    """

    all: tuple[StairPiece, ...]
    overall: float
    stringers: tuple[Range, ...]
    treads: TreadsLaid | None
    riser_boards: tuple[RiserBoard, ...]
    rail: Rail | None
    hangers: Hangers
    concrete: Concrete | None
    checks: tuple[Check, ...]
    remarks: tuple[Remark, ...] = ()

    def of(self, kind: PieceKind) -> tuple[StairPiece, ...]:
        """The pieces of one kind."""
        return tuple(piece for piece in self.all if piece.kind == kind)

"""What a job asks of the stair's other pieces, as frozen values: treads, riser boards, rail. Lengths in millimetres."""

from __future__ import annotations

from typing import Final, Literal, Protocol

from msgspec import Struct

from cutpath.tolerances import ONE_THICKNESS
from cutpath.units import Unit, written

RiserFoot = Literal["behind", "standing"]
RailSide = Literal["both", "left", "right"]
PostPlace = Literal["outside", "inside"]
RailEnds = Literal["plumb", "square"]


class Sided(Protocol):
    """What has a section: lumber, or its size."""

    @property
    def thickness(self) -> float:
        """Millimetres."""

    @property
    def width(self) -> float:
        """Millimetres."""


class LumberSize(Struct, frozen=True):
    """The section of a piece of lumber as bought: `name` is the nominal size, None where it goes by its sides."""

    name: str | None
    thickness: float
    width: float

    def is_section_of(self, other: Sided) -> bool:
        """Whether lumber has this section; as bought, to what boards of one size may differ by."""
        off = max(abs(other.thickness - self.thickness), abs(other.width - self.width))
        return off < ONE_THICKNESS

    def label(self, unit: Unit) -> str:
        """What it is called, for people; as `StockBoards.size` has it."""
        if self.name:
            return self.name
        return f"{written(self.thickness, unit):g} x {written(self.width, unit):g} {unit}"


class TreadSpec(Struct, frozen=True):
    """What is asked of the treads.

    Attributes:
        boards: side by side in each tread; None: the fewest that leave no more open than `back_gap_most`.
        size: what they are cut from.
        gap: between two boards of a tread.
        back_gap_most: what may stay open behind the boards before it is told.
        side_overhang: beyond the outer stringers' outer faces.
        span_most: between stringers' middles, or between their faces where the treads end there; None: not judged.
        span_source: where that number comes from; None without it.
        post_play: kept open between a notch and the post in it.
    """

    boards: int | None
    size: LumberSize
    gap: float
    back_gap_most: float
    side_overhang: float
    span_most: float | None
    span_source: str | None
    post_play: float


class RiserBoardSpec(Struct, frozen=True):
    """What is asked of the riser boards.

    Attributes:
        size: what they are ripped from.
        gap: kept open at the lower edge.
        foot: "behind": they run down behind the tread below, to its seat; "standing": they stand on it.
        floor_thickness: of the floor's boards over the uppermost one; None: the treads'.
    """

    size: LumberSize
    gap: float
    foot: RiserFoot
    floor_thickness: float | None


class RailSpec(Struct, frozen=True):
    """What is asked of the rail.

    Attributes:
        side: as seen going up.
        posts: numbers from the top of the treads at which posts stand; None: the first and the last.
        post: its thickness lies across the stair, its width along it.
        place: outside or inside the outer stringers.
        set_back: level, from the tread's nosing back to the post's front; None: to the riser cut.
        post_below: from the tread's top down to the post's lower end; None: to the stringer's lower edge, and at most
            to the landing.
        height: plumb, from the line of the nosings to the top of the rail; None: inside the rule set's bounds.
        top_rail: lies on the posts, its thickness square to the slope.
        past: how far it runs past the uppermost and the lowest post, level; None: to over the nosings of the uppermost
            riser and the lowest, where these are beyond the posts.
        ends: how its ends are cut.
        bottom_rail: between the posts, its thickness square to the slope.
        bottom_clear: plumb, from the line of the nosings to its lower face; None: a little over the nosings, or over
            the upper edge of a stringer without teeth.
        baluster: its thickness lies across the stair, its width along it.
        opening_most: between balusters; None: the rule set's sphere.
    """

    side: RailSide
    posts: tuple[int, ...] | None
    post: LumberSize
    place: PostPlace
    set_back: float | None
    post_below: float | None
    height: float | None
    top_rail: LumberSize
    past: tuple[float, float] | None
    ends: RailEnds
    bottom_rail: LumberSize
    bottom_clear: float | None
    baluster: LumberSize
    opening_most: float | None

    @property
    def sides(self) -> tuple[Literal["left", "right"], ...]:
        """The sides that have one."""
        return ("left", "right") if self.side == "both" else (self.side,)


class SawSpec(Struct, frozen=True):
    """The saw that cuts the stair's other pieces to length.

    Attributes:
        width: what it takes out at every cut.
        end_trim: taken off each end of a piece of lumber first.
        nearest: what lengths on its list are rounded to.
    """

    width: float
    end_trim: float
    nearest: float


#: What is reckoned with where a job says nothing: 1/8 in and sixteenths, or 3 mm and whole millimetres (common
#: practice, no source).
USUAL_SAW: dict[Unit, SawSpec] = {"in": SawSpec(25.4 / 8, 0.0, 25.4 / 16), "mm": SawSpec(3.0, 0.0, 1.0)}

#: Lengths that yards keep, millimetres: 8 to 16 feet, 2.4 to 4.8 m (common practice, no source).
YARD: Final[dict[Unit, tuple[float, ...]]] = {
    "in": tuple(feet * 304.8 for feet in (8, 10, 12, 14, 16)),
    "mm": (2400.0, 3000.0, 3600.0, 4200.0, 4800.0),
}

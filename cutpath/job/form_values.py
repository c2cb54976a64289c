"""The forms of stringer and the holes that a job asks for, as frozen values. Lengths in millimetres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

Form = Literal["notched", "housed", "plate"]
StringerProfile = Literal["straight", "saw-tooth"]
Near = Literal["tread", "header", "foot", "edge"]


class FormKind(Struct, frozen=True):
    """What is to be known of a form of stringer wherever checks tell one from another; `plan.forms` draws it.

    Attributes:
        notched: whether wood is cut away for the treads, so that what is said of notched wooden stringers is about it.
        wood: whether it is a board, which carries as wood does and dries.
        between: whether the treads run between the stringers' faces, so that the clear width lies between them.
        throat: what its throat is, for people.
        span: which guidance on spans is about it, by its name in the file of guidance; "": none.
    """

    notched: bool
    wood: bool
    between: bool
    throat: str
    span: str


FORM_KINDS: Final[Mapping[Form, FormKind]] = {
    "notched": FormKind(
        notched=True,
        wood=True,
        between=False,
        throat="least wood left behind a notch, after reliefs",
        span="notched_span",
    ),
    "housed": FormKind(
        notched=False,
        wood=True,
        between=True,
        throat="least wood between a housing's back corner and the board's edge or a hole, after reliefs",
        span="solid_span",
    ),
    "plate": FormKind(
        notched=False,
        wood=False,
        between=False,
        throat="least of the plate left behind a notch or beside a hole, after reliefs",
        span="",
    ),
}
"""Every form."""


class Housing(Struct, frozen=True):
    """Housings for treads and riser boards, milled into one face.

    Attributes:
        depth: into the face.
        play: how much wider a housing is than its board is thick.
        tread_length_play: how much shorter than the distance between two housings' bottoms a tread is cut.
        behind_least: required wood behind a housing, square to the face; None: half the board's thickness.
    """

    depth: float
    play: float = 0.0
    tread_length_play: float = 0.0
    behind_least: float | None = None


class Bracket(Struct, frozen=True):
    """Holes or slots for the bracket of every tread.

    Attributes:
        diameter: of the holes, or the slots' width.
        slot: overall length of a slot, which lies level; 0: round holes.
        count: holes a tread; 0: none.
        at: first hole's centre level back from the tread's front, and down from its seat.
        spacing: from one hole's centre level back to the next.
        edge_least: required from a rim to any edge of the part.
    """

    diameter: float
    slot: float
    count: int
    at: tuple[float, float]
    spacing: float
    edge_least: float


class Plate(Struct, frozen=True):
    """A stringer of plate or panel.

    Attributes:
        profile: its upper edge: cut into teeth, or straight.
        bracket: the holes for its tread brackets.
    """

    profile: StringerProfile
    bracket: Bracket


class HoleSpec(Struct, frozen=True):
    """Holes placed by a feature of the stair.

    Attributes:
        what: what they are for.
        diameter: of each.
        near: the feature that `at` starts from.
        treads: numbers from the top of the treads with one; None: all of them. Only with `near` "tread".
        at: level and plumb distance from the feature; with "edge" along the board and across it.
        edge_least: required from the rim to any edge of the part.
    """

    what: str
    diameter: float
    near: Near
    treads: tuple[int, ...] | None
    at: tuple[float, float]
    edge_least: float

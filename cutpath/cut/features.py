"""What a part has beside its outline: holes, slots, pockets. Board frame, millimetres."""

from __future__ import annotations

from msgspec import Struct

from cutpath.outline import Chain, Motion, Point


class Hole(Struct, frozen=True):
    """A round hole through the part.

    Attributes:
        centre: where it is.
        diameter: of the hole.
        what: what it is for.
    """

    centre: Point
    diameter: float
    what: str

    def moved(self, motion: Motion) -> Hole:
        """The hole after a rigid motion."""
        return Hole(motion(self.centre), self.diameter, self.what)


class Pocket(Struct, frozen=True):
    """A pocket milled into the face that lies up.

    Attributes:
        outline: closed, counter-clockwise.
        depth: from the face down.
        what: what it is for.
    """

    outline: Chain
    depth: float
    what: str

    def moved(self, motion: Motion) -> Pocket:
        """The pocket after a rigid motion."""
        return Pocket(self.outline.moved(motion), self.depth, self.what)

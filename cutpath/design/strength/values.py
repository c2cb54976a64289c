"""What is known of a stringer's strength, as frozen values. Millimetres, newtons, N/mm2."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

from msgspec import Struct

from cutpath.tolerances import LIMIT_SLACK

Method = Literal["NDS", "EN 1995-1-1", "steel"]
"""By which rules a material is judged: the US National Design Specification (ASD), Eurocode 5, or steel's own."""


class Material(Struct, frozen=True):
    """What a stringer is made of, and what it is held to.

    Attributes:
        method: by which rules it is judged.
        name: species and grade, or class, for people.
        bending: adjusted bending strength of a section, N/mm2.
        shear: adjusted shear strength along the grain, N/mm2.
        bearing: adjusted strength square to the grain, N/mm2; None where bearing isn't judged.
        stiffness: mean modulus of elasticity, adjusted, N/mm2.
        crack: share of the breadth that carries shear (EN 1995-1-1 6.1.7, kcr); 1 where the rules know none.
        dead_factor: what dead load is multiplied by for strength.
        live_factor: likewise, what live load is multiplied by.
        factors: every factor that was applied, in words.
        source: of the values, with how well it was seen.
        relieving_factor: what dead load is multiplied by where it relieves what live load does.
        lasting: what bending and shear strength are under dead load alone, as a share of those above: it lasts, and
            they are for the shortest load of a combination, the live one.
        lasting_bearing: likewise of the strength square to the grain.
        lasting_said: the factor of dead load alone, in words.
    """

    method: Method
    name: str
    bending: float
    shear: float
    bearing: float | None
    stiffness: float
    crack: float
    dead_factor: float
    live_factor: float
    factors: tuple[str, ...]
    source: str
    relieving_factor: float = 1.0
    lasting: float = 1.0
    lasting_bearing: float = 1.0
    lasting_said: str = ""


class LoadsOnStair(Struct, frozen=True):
    """What the stair carries.

    Attributes:
        live: uniform, on the level, N/mm2.
        point: concentrated, N.
        dead: of the stair itself, on the level, N/mm2.
        sources: where each comes from, in words.
    """

    live: float
    point: float
    dead: float
    sources: tuple[str, ...]


class Bearing(Struct, frozen=True):
    """Where a stringer is held. Millimetres.

    Attributes:
        what: "header", "seat", or a support with its number.
        at: level, out from the header face.
        length: of the bearing, level; None: not known.
    """

    what: str
    at: float
    length: float | None


class AtSection(Struct, frozen=True):
    """The greatest demand on one section, of all load cases.

    Attributes:
        at: level, out from the header face.
        along: x along the board.
        depth: of the wood there.
        moment: the greatest, N mm; negative where the upper edge is stretched.
        shear: the greatest, N, square to the board.
        bending_stress: N/mm2.
        shear_stress: N/mm2.
        share: of what is allowed, bending or shear, whichever is more.
    """

    at: float
    along: float
    depth: float
    moment: float
    shear: float
    bending_stress: float
    shear_stress: float
    share: float


class Share(Struct, frozen=True):
    """One thing that was judged.

    Attributes:
        id: bending, shear, bearing, deflection.
        share: of what is allowed; over 1: over.
        at: where, level, out from the header face.
        note: what it comes to, in one line.
        source: of what is allowed.
    """

    id: str
    share: float
    at: float
    note: str
    source: str


class Strength(Struct, frozen=True):
    """What the wood of one inner stringer carries.

    Attributes:
        material: what it is judged by.
        loads: what it carries.
        tributary: width of stair that it carries, mm.
        bearings: from the header down.
        reactions: the greatest upright reaction at each bearing, unfactored, N.
        lifts: how hard it is lifted off each bearing where other spans alone are loaded, unfactored, N; 0: nowhere.
        sections: down the stringer.
        rows: bending, shear, bearing, deflection.
        deflection: the greatest under live load, by the true depth, mm.
        deflection_bound: the same if the whole stringer were as shallow as its least section.
        assumptions: what was assumed, and what was not looked at, a line each.
        curve: down the stringer: x along the board, least and greatest moment in N mm, the share of what is allowed.
    """

    material: Material
    loads: LoadsOnStair
    tributary: float
    bearings: tuple[Bearing, ...]
    reactions: tuple[float, ...]
    lifts: tuple[float, ...]
    sections: tuple[AtSection, ...]
    rows: tuple[Share, ...]
    deflection: float
    deflection_bound: float
    assumptions: tuple[str, ...]
    curve: tuple[tuple[float, float, float, float], ...]

    @property
    def spans(self) -> tuple[float, ...]:
        """Level spans from bearing to bearing."""
        at = [bearing.at for bearing in self.bearings]
        return tuple(b - a for a, b in pairwise(at))

    @property
    def holds(self) -> bool:
        """Whether nothing is over what is allowed."""
        return all(row.share <= 1.0 + LIMIT_SLACK for row in self.rows)

"""The share of what is allowed that each thing comes to, where it is greatest and under which load."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from cutpath.design.strength.materials import deflection_limit, notch_factor
from cutpath.design.strength.member import Member
from cutpath.design.strength.sections import Section, sections
from cutpath.design.strength.values import Material, Share
from cutpath.units import Show

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Two depths nearer than this are one, millimetres.
_SAME: Final = 1e-6


def stress_row(
    name: str, shares: Floats, dead_shares: Floats, xs: Sequence[float], member: Member, material: Material
) -> Share:
    """Bending or shear: the greatest share of all places.

    Args:
        name: of what is judged.
        shares: at each node, of dead load with live load.
        dead_shares: likewise, of dead load alone.
        xs: the nodes, board x.
        member: the stringer.
        material: what it is judged by.
    """
    dead = float(dead_shares.max()) > float(shares.max())
    found = dead_shares if dead else shares
    worst = int(found.argmax())
    note = f"greatest stress, {_lasts(material)}" if dead else "greatest stress"
    return Share(name, float(found[worst]), member.level(xs[worst]), note, material.source)


def shear_row(
    member: Member,
    material: Material,
    plain: Share,
    reactions: tuple[Floats, Floats],
    xs: Sequence[float],
    at: Sequence[Section],
) -> Share:
    """Shear at every section, or at the seat where that is more.

    Args:
        member: the stringer.
        material: what it is judged by.
        plain: the greatest of the sections.
        reactions: square to the board, of dead load with live load and of dead load alone, (cases, bearings) each.
        xs: the nodes, board x.
        at: the sections there.
    """
    # At the foot the seat takes the lower corner: a notch on the stretched side, at a support.
    live, dead = (float(abs(each[:, -1]).max()) for each in reactions)
    push = max(live, dead)
    inner = sections(member.wood, [member.seat_back])[0]
    left = at[-1].depth
    if material.method == "steel" or inner is None or left >= inner.depth - _SAME:
        return plain
    strength = material.shear * end_notch(
        material.method, inner.depth, left, math.pi / 2 - member.pitch, xs[-1] - member.seat_back
    )
    # What a crack or a hole takes of the section, it takes over a notch, too. Whether EN 1995-1-1, 6.5.2, has the
    # whole breadth there or what kcr leaves of it is from memory; less is the cautious reading.
    share = 1.5 * push / (member.breadth * material.crack * at[-1].wood) / strength
    if share <= plain.share:
        return plain
    note = "at the seat, as an end notch" + (f", {_lasts(material)}" if dead > live else "")
    return Share("shear", share, member.bearings[-1].at, note, material.source)


def end_notch(method: str, depth: float, left: float, slant: float, reach: float) -> float:
    """What an end notch on the stretched side leaves of the shear strength of the wood above it.

    Args:
        method: "NDS": (dn/d)2 (NDS 3.4.3.2, second hand); "EN 1995-1-1": kv of 6.62, as in a European LVL
            handbook, with kn 5 for solid timber (memory).
        depth: of the whole section, millimetres.
        left: of the wood at the bearing, millimetres.
        slant: between the notch's face and a section square to the board, radians; 0: cut square.
        reach: from the reaction to the notch's corner along the board, millimetres.

    Returns:
        A share of the strength, 0 to 1.
    """
    share = left / depth
    if method == "NDS":
        return share**2
    slope = math.tan(slant)
    top: float = notch_factor() * (1 + 1.1 * slope**1.5 / math.sqrt(depth))
    below = math.sqrt(depth) * (math.sqrt(share * (1 - share)) + 0.8 * reach / depth * math.sqrt(1 / share - share**2))
    return top / max(top, below)


def bearing_row(member: Member, material: Material, reactions: tuple[Floats, Floats], show: Show) -> Share | None:
    """The bearing that is pressed hardest; None where bearing isn't judged, or none has a length.

    Args:
        member: the stringer.
        material: what it is judged by.
        reactions: upright, of dead load with live load and of dead load alone, (cases, bearings) each.
        show: writes millimetres as text in the job's unit.
    """
    if material.bearing is None:
        return None
    found = [
        (float(greatest[i]) / (member.breadth * b.length) / material.bearing, b, said)
        for greatest, said in zip((each.max(axis=0) for each in reactions), ("", _lasts(material)), strict=True)
        for i, b in enumerate(member.bearings)
        if b.length
    ]
    if not found:
        return None
    share, where, said = max(found, key=lambda f: f[0])
    note = f"{where.what}, {show(where.length or 0.0)} long, by the strength square to the grain"
    note += f", {said}" if said else ""
    return Share("bearing", share, where.at, note, material.source)


def deflection_row(
    member: Member, material: Material, sag: Floats, bound: float, held: Sequence[int], xs: Sequence[float], show: Show
) -> Share:
    """The deepest sag of a span, held against the span.

    Args:
        member: the stringer.
        material: what it is judged by.
        sag: at each node, the greatest.
        bound: the greatest there could be.
        held: which nodes are bearings.
        xs: the nodes, board x.
        show: writes millimetres as text in the job's unit.
    """
    part, source = deflection_limit(material.method)
    lowest = [(a + int(sag[a:b].argmax()), xs[b] - xs[a]) for a, b in pairwise(held)]
    share, worst = max((float(sag[node]) * part / span, node) for node, span in lowest)
    note = f"{show(float(sag[worst]))} square to the board; {show(bound)} if it were all as shallow as at its least"
    return Share("deflection", share, member.level(xs[worst]), note, source)


def _lasts(material: Material) -> str:
    return f"dead load alone, {material.lasting_said}"

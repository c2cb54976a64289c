"""What one stringer carries, and the share of what its material is allowed.

An inclined member on upright bearings: loads are upright and counted on the level, as are spans, so that moments are
those of a level beam (w L2 / 8). Forces square to the board are the upright ones times cos(pitch). The member is solved
on an axis along its board, behind the notches, with the depth that it has at every place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.design.strength.beam import moved, respond
from cutpath.design.strength.materials import deflection_limit, notch_factor
from cutpath.design.strength.sections import Section, sections
from cutpath.design.strength.values import AtSection, Bearing, LoadsOnStair, Material, Share, Strength
from cutpath.units import Show

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    from cutpath.outline import Motion

    Floats = NDArray[np.float64]

#: Pieces that a flight is divided into at least; the concentrated load is tried at every end of one.
_ELEMENTS: Final = 240
#: Spans of which every set is loaded; with more, alternate spans and neighbouring pairs.
_EVERY_SET: Final = 4
#: Two places nearer than this are one, millimetres.
_SAME: Final = 1e-6


class Member(Struct, frozen=True):
    """A stringer as a beam.

    Attributes:
        wood: its outline less holes and slots, board frame.
        to_board: takes the stair frame to the board frame.
        pitch: radians.
        breadth: that carries, millimetres.
        strip: depth behind the notches, or of the board where there are none; its middle is the axis.
        first: x in the board frame of the plumb cut's lower end, from where on its whole depth stands.
        seat_back: x in the board frame where the seat meets the lower edge.
        bearings: header, supports in their order, seat; levels out from the header face.
    """

    wood: Polygon
    to_board: Motion
    pitch: float
    breadth: float
    strip: float
    first: float
    seat_back: float
    bearings: tuple[Bearing, ...]

    def level(self, x: float) -> float:
        """How far out from the header face the axis is at a place along the board: level, stair x, millimetres."""
        return self.to_board.inverse()((x, self.strip / 2))[0]

    def along(self, level: float) -> float:
        """The inverse of `level`: the place along the board, board x, where the axis is so far out, millimetres."""
        return (level - self.level(0.0)) / math.cos(self.pitch)


def judge(member: Member, material: Material, loads: LoadsOnStair, tributary: float, show: Show) -> Strength:
    """Judge one stringer: bending, shear, bearing and deflection under all load cases.

    Args:
        member: the stringer.
        material: adjusted strengths.
        loads: uniform live load and concentrated load, each apart with the dead load.
        tributary: width of stair that it carries, millimetres.
        show: writes millimetres as text in the job's unit.
    """
    import numpy as np

    xs = _nodes(member)
    cos = math.cos(member.pitch)
    held = [int(np.argmin(np.abs(np.asarray(xs) - member.along(b.at)))) for b in member.bearings]
    # Before the plumb cut's lower end the cut takes the lower corner; the wood bears on its face there.
    places = [*xs, *((a + b) / 2 for a, b in pairwise(xs))]
    standing = sections(member.wood, [max(x, member.first) for x in places])
    at_nodes, middles = _filled(standing[: len(xs)]), _filled(standing[len(xs) :])
    ei = [material.stiffness * member.breadth * s.inertia for s in middles]
    # Loads counted on the level, square to the board and along it: times cos twice.
    dead, live = (load * tributary * cos * cos for load in (loads.dead, loads.live))
    patterns = _patterns(len(held) - 1)
    spread = np.zeros((1 + len(patterns), len(xs) - 1))
    spread[0] = dead
    for row, loaded in enumerate(patterns, 1):
        for span in loaded:
            spread[row, held[span] : held[span + 1]] = live
    points = np.zeros((len(spread), len(xs)))
    found = respond(xs, ei, held, spread, points)
    # The concentrated load at every node. What it does at worst is two cases more, since each thing is judged apart.
    worst = moved(xs, ei, held, loads.point * cos)
    moments, shears, reactions = (
        np.concatenate([getattr(found, each), getattr(worst, each)]) for each in ("moments", "shears", "reactions")
    )
    moment, shear = (_combined(each, material) for each in (moments, shears))
    # At each node the greatest of all cases, either way.
    across = np.abs(shear, out=shear).max(axis=0).max(axis=1)
    bending = _bending(moment, at_nodes, member.breadth)
    stress = across * np.asarray([1.5 / (member.breadth * material.crack * s.wood) for s in at_nodes])
    upright = reactions / cos
    rows = [
        _row("bending", bending / material.bending, xs, member, material, "greatest stress"),
        _shear_row(member, material, stress, _combined(reactions, material), xs, at_nodes),
    ]
    seat = _bearing_row(member, material, _combined(upright, material), show)
    if seat is not None:
        rows.append(seat)
    sag = found.deflections[1:].max(axis=0)
    least = min(s.inertia for s in at_nodes)
    flat = respond(xs, [material.stiffness * member.breadth * least] * len(ei), held, spread, points)
    bound = float(flat.deflections[1:].max())
    rows.append(_deflection_row(member, material, sag, bound, held, xs, show))
    service = replace(material, dead_factor=1.0, live_factor=1.0)
    plain = _combined(upright, service)
    return Strength(
        material,
        loads,
        tributary,
        member.bearings,
        tuple(float(r) for r in plain.max(axis=0)),
        tuple(max(0.0, float(-r)) for r in plain.min(axis=0)),
        _told(xs, at_nodes, moment, across, bending, stress, material, member, held),
        tuple(rows),
        float(sag.max()),
        bound,
        _assumptions(member, material, loads, at_nodes, across, show),
        _curve(xs, moment, bending, stress, material),
    )


def _nodes(member: Member) -> list[float]:
    start, end = (member.along(member.bearings[i].at) for i in (0, -1))
    held = {member.along(b.at) for b in member.bearings}
    rings = [member.wood.exterior, *member.wood.interiors]
    others = [*(x for ring in rings for x, _ in ring.coords), member.first, member.seat_back]
    fixed = {*held, *(x for x in others if start < x < end)}
    step = (end - start) / _ELEMENTS
    kept: list[float] = []
    for x in sorted(fixed):
        if kept and x - kept[-1] < max(_SAME, step / 50):
            # A bearing keeps its place, anything else beside a node adds nothing but a needle of an element.
            if x in held:
                kept[-1] = x
            continue
        kept.append(x)
    found = [kept[0]]
    for a, b in pairwise(kept):
        parts = math.ceil((b - a) / step)
        found += [a + (b - a) * i / parts for i in range(1, parts + 1)]
    return found


def _filled(found: Sequence[Section | None]) -> list[Section]:
    return [s for s in found if s is not None]


def _patterns(spans: int) -> list[tuple[int, ...]]:
    if spans <= _EVERY_SET:
        return [some for n in range(1, spans + 1) for some in combinations(range(spans), n)]
    every = tuple(range(spans))
    pairs = [(i, i + 1, *range(i + 3, spans, 2), *range(i - 2, -1, -2)) for i in range(spans - 1)]
    return [every, every[::2], every[1::2], *pairs]


def _combined(cases: Floats, material: Material) -> Floats:
    """Dead load with each live case, by the material's factors."""
    total: Floats = material.live_factor * cases[1:]
    total += material.dead_factor * cases[:1]
    return total


def _bending(moment: Floats, at: Sequence[Section], breadth: float) -> Floats:
    import numpy as np

    modulus = np.asarray([breadth * min(s.modulus_below, s.modulus_above) for s in at])
    stress: Floats = np.abs(moment).max(axis=0) / modulus
    return stress


def _row(name: str, share: Floats, xs: Sequence[float], member: Member, material: Material, what: str) -> Share:
    worst = int(share.argmax())
    return Share(name, float(share[worst]), member.level(xs[worst]), what, material.source)


def _shear_row(
    member: Member, material: Material, stress: Floats, reactions: Floats, xs: Sequence[float], at: Sequence[Section]
) -> Share:
    plain = _row("shear", stress / material.shear, xs, member, material, "greatest stress")
    # At the foot the seat takes the lower corner: a notch on the stretched side, at a support.
    push = float(abs(reactions[:, -1]).max())
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
    return Share("shear", share, member.bearings[-1].at, "at the seat, as an end notch", material.source)


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


def _bearing_row(member: Member, material: Material, reactions: Floats, show: Show) -> Share | None:
    if material.bearing is None:
        return None
    greatest = reactions.max(axis=0)
    found = [
        (float(greatest[i]) / (member.breadth * b.length) / material.bearing, b)
        for i, b in enumerate(member.bearings)
        if b.length
    ]
    if not found:
        return None
    share, where = max(found, key=lambda f: f[0])
    note = f"{where.what}, {show(where.length or 0.0)} long, by the strength square to the grain"
    return Share("bearing", share, where.at, note, material.source)


def _deflection_row(
    member: Member, material: Material, sag: Floats, bound: float, held: Sequence[int], xs: Sequence[float], show: Show
) -> Share:
    part, source = deflection_limit(material.method)
    lowest = [(a + int(sag[a:b].argmax()), xs[b] - xs[a]) for a, b in pairwise(held)]
    share, worst = max((float(sag[node]) * part / span, node) for node, span in lowest)
    note = f"{show(float(sag[worst]))} square to the board; {show(bound)} if it were all as shallow as at its least"
    return Share("deflection", share, member.level(xs[worst]), note, source)


def _told(
    xs: Sequence[float],
    at: Sequence[Section],
    moment: Floats,
    across: Floats,
    bending: Floats,
    stress: Floats,
    material: Material,
    member: Member,
    held: Sequence[int],
) -> tuple[AtSection, ...]:
    """Sections worth telling: ends, bearings, every place shallower than both its neighbours, tenths of the flight."""
    import numpy as np

    depth = [s.wood for s in at]
    around = zip(depth, depth[1:], depth[2:], strict=False)
    kept = {*held, *(i for i, (before, here, after) in enumerate(around, 1) if here < min(before, after) - _SAME)}
    kept |= set(np.linspace(held[0], held[-1], 11).round().astype(int).tolist())
    found = []
    for i in sorted(kept):
        greatest = float(moment[int(np.abs(moment[:, i]).argmax()), i])
        shares = (bending[i] / material.bending, stress[i] / material.shear)
        found.append(
            AtSection(
                member.level(xs[i]),
                xs[i],
                at[i].wood,
                greatest,
                float(across[i]),
                float(bending[i]),
                float(stress[i]),
                float(max(shares)),
            )
        )
    return tuple(found)


def _curve(
    xs: Sequence[float], moment: Floats, bending: Floats, stress: Floats, material: Material
) -> tuple[tuple[float, float, float, float], ...]:
    import numpy as np

    share = np.maximum(bending / material.bending, stress / material.shear)
    least, greatest = np.minimum(moment.min(axis=0), 0.0), np.maximum(moment.max(axis=0), 0.0)
    return tuple(zip(xs, least.tolist(), greatest.tolist(), share.tolist(), strict=True))


def _assumptions(
    member: Member, material: Material, loads: LoadsOnStair, at: Sequence[Section], across: Floats, show: Show
) -> tuple[str, ...]:
    import numpy as np

    tangent = math.tan(member.pitch)
    push = float((across * tangent / np.asarray([member.breadth * s.wood for s in at])).max())
    said = [
        f"loads: {'; '.join(loads.sources)}; uniform and concentrated load each apart, with the dead load",
        f"{material.name}: {'; '.join(material.factors)}",
        f"force along the board, at most {push / material.bending:.1%} of what bending is allowed, is not added",
    ]
    if material.method != "steel":
        said.append(
            "the grain runs along the board; the notches cut it at the pitch, where a taper as steep would add shear "
            f"of {tangent:.2f} times the bending stress (Wood Handbook, chapter 9): the teeth are taken to carry "
            "nothing, and what is judged is the strip behind them"
        )
        if len(member.bearings) > 2:
            said.append(
                "over a support between the ends the notched edge is stretched, and a notch there can split: keep the "
                "support under the middle of a tread, or have it looked at"
            )
    said.append(
        "not looked at: sideways loads and buckling, the hanger and fastenings, rails and posts, treads, decay, "
        "corrosion; the local code and a licensed professional decide"
    )
    return tuple(said)

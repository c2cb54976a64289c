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

from msgspec.structs import replace

from cutpath.design.strength.beam import moved, respond
from cutpath.design.strength.member import Member
from cutpath.design.strength.sections import Section, sections
from cutpath.design.strength.shares import bearing_row, deflection_row, shear_row, stress_row
from cutpath.design.strength.values import AtSection, LoadsOnStair, Material, Strength
from cutpath.units import Show

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Pieces that a flight is divided into at least; sections are judged at every end of one.
_ELEMENTS: Final = 240
#: Spans of which every set is loaded; with more, alternate spans and neighbouring pairs.
_EVERY_SET: Final = 4
#: Two places nearer than this are one, millimetres.
_SAME: Final = 1e-6


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
    # The concentrated load anywhere. What it does at worst is two cases more, since each thing is judged apart.
    worst = moved(xs, ei, held, loads.point * cos)
    moments, shears, reactions = (
        np.concatenate([getattr(found, each), getattr(worst, each)]) for each in ("moments", "shears", "reactions")
    )
    moment, shear = (_combined(each, material) for each in (moments, shears))
    # Dead load alone lasts: it counts for more than its size, by as much as the strength is less.
    dead_moment, dead_shear = (_alone(each, material, material.lasting) for each in (moments, shears))
    # At each node the greatest of all cases, either way.
    across, dead_across = (np.abs(each).max(axis=0).max(axis=1) for each in (shear, dead_shear))
    bending, dead_bending = (_bending(each, at_nodes, member.breadth) for each in (moment, dead_moment))
    each_stress = np.asarray([1.5 / (member.breadth * material.crack * s.wood) for s in at_nodes])
    stress, dead_stress = across * each_stress, dead_across * each_stress
    upright = reactions / cos
    rows = [
        stress_row("bending", bending / material.bending, dead_bending / material.bending, xs, member, material),
        shear_row(
            member,
            material,
            stress_row("shear", stress / material.shear, dead_stress / material.shear, xs, member, material),
            (_combined(reactions, material), _alone(reactions, material, material.lasting)),
            xs,
            at_nodes,
        ),
    ]
    pressed = (_combined(upright, material), _alone(upright, material, material.lasting_bearing))
    seat = bearing_row(member, material, pressed, show)
    if seat is not None:
        rows.append(seat)
    sag = found.deflections[1:].max(axis=0)
    least = min(s.inertia for s in at_nodes)
    flat = respond(xs, [material.stiffness * member.breadth * least] * len(ei), held, spread, points)
    bound = float(flat.deflections[1:].max())
    rows.append(deflection_row(member, material, sag, bound, held, xs, show))
    service = replace(material, dead_factor=1.0, live_factor=1.0)
    plain = _combined(upright, service)
    share = np.maximum(
        np.maximum(bending, dead_bending) / material.bending, np.maximum(stress, dead_stress) / material.shear
    )
    return Strength(
        material,
        loads,
        tributary,
        member.bearings,
        tuple(float(r) for r in plain.max(axis=0)),
        tuple(max(0.0, float(-r)) for r in plain.min(axis=0)),
        _told(xs, at_nodes, moment, across, bending, stress, share, member, held),
        tuple(rows),
        float(sag.max()),
        bound,
        _assumptions(member, material, loads, at_nodes, np.maximum(across, dead_across), show),
        _curve(xs, moment, share),
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
    """Dead load with each live case, by the material's factors; also at its least, where that differs."""
    import numpy as np

    live = material.live_factor * cases[1:]
    factors = dict.fromkeys((material.dead_factor, material.relieving_factor))
    total: Floats = np.concatenate([live + factor * cases[:1] for factor in factors])
    return total


def _alone(cases: Floats, material: Material, lasting: float) -> Floats:
    """Dead load alone, as much as would take the same share of the strength under a live load's duration.

    Nothing where it takes no more of it for lasting: live load then comes on top of it.
    """
    total: Floats = (material.dead_factor / lasting if lasting < 1.0 else 0.0) * cases[:1]
    return total


def _bending(moment: Floats, at: Sequence[Section], breadth: float) -> Floats:
    import numpy as np

    modulus = np.asarray([breadth * min(s.modulus_below, s.modulus_above) for s in at])
    stress: Floats = np.abs(moment).max(axis=0) / modulus
    return stress


def _told(
    xs: Sequence[float],
    at: Sequence[Section],
    moment: Floats,
    across: Floats,
    bending: Floats,
    stress: Floats,
    share: Floats,
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
        found.append(
            AtSection(
                member.level(xs[i]),
                xs[i],
                at[i].wood,
                greatest,
                float(across[i]),
                float(bending[i]),
                float(stress[i]),
                float(share[i]),
            )
        )
    return tuple(found)


def _curve(xs: Sequence[float], moment: Floats, share: Floats) -> tuple[tuple[float, float, float, float], ...]:
    import numpy as np

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
        "not looked at: sag of the concentrated load and of dead load, which grows with the years; sideways loads and "
        "buckling, the hanger and fastenings, rails and posts, treads, decay, "
        "corrosion; the local code and a licensed professional decide"
    )
    return tuple(said)

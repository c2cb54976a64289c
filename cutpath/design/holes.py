"""Drilled holes and bracket slots: where they lie on a stringer, and the wood round them.

What a tool leaves of a hole is its rim; a slot is a hole stretched between two centres. Board frame; millimetres.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.straight import front
from cutpath.design.stringer import Stringer
from cutpath.faults import ImpossibleStringer
from cutpath.job.form_values import HoleSpec
from cutpath.outline import Chain, Point
from cutpath.rules.check import within
from cutpath.rules.values import Check
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show


class Opening(Struct, frozen=True):
    """A hole, or a slot.

    Attributes:
        ends: the hole's centre, or the centres of the slot's two round ends.
        width: diameter, or the slot's width.
        what: what it is for.
        edge_least: required from its rim to any edge of the part.
        key: the key of the job that it comes from, for messages.
        tread: the tread it belongs to, from the top, or None.
    """

    ends: tuple[Point, ...]
    width: float
    what: str
    edge_least: float
    key: str
    tread: int | None = None

    @property
    def radius(self) -> float:
        """Half the width."""
        return self.width / 2

    @property
    def name(self) -> str:
        """What messages call it."""
        return f'{self.key} ("{self.what}")' + (f" at tread {self.tread}" if self.tread is not None else "")


def tread_front(stair: Stair, toothed: bool, k: int) -> float:
    """Where lengths back from a tread start: x of its tooth's tip, or of its nosing without teeth; stair frame.

    Args:
        stair: the stair.
        toothed: whether the treads lie on teeth.
        k: how many rises the tread lies below the floor.
    """
    return stair.riser_cut(k) if toothed else front(stair, k)


def place_holes(specs: Sequence[HoleSpec], stair: Stair, stringer: Stringer, toothed: bool) -> tuple[Opening, ...]:
    """Put a job's holes on a stringer.

    Args:
        specs: as asked for.
        stair: its treads.
        stringer: its outline.
        toothed: whether the treads lie on teeth.

    Returns:
        Board frame, in the order of the job; a hole that is asked for near treads comes once for each of them.

    Raises:
        ImpossibleStringer: a hole is asked for at a tread that the stair has not.
    """
    found: list[Opening] = []
    for i, spec in enumerate(specs):
        key = f"holes[{i}]"
        if spec.near != "tread":
            found.append(Opening((_place(spec, stringer),), spec.diameter, spec.what, spec.edge_least, key))
            continue
        for n in spec.treads or range(1, stair.treads + 1):
            if n > stair.treads:
                raise ImpossibleStringer(
                    f"{key}.tread: there is no tread {n}: this stair has {stair.treads}, counted from the top",
                    key=f"{key}.tread",
                )
            k = stair.steps[n - 1]
            place = (tread_front(stair, toothed, k) - spec.at[0], stair.seat(k) - spec.at[1])
            centre = stringer.to_board(place)
            found.append(Opening((centre,), spec.diameter, spec.what, spec.edge_least, key, n))
    return tuple(found)


def _place(spec: HoleSpec, stringer: Stringer) -> Point:
    """Where a hole that belongs to no tread lies, board frame."""
    places = {v.role: v.point for v in stringer.vertices}
    along, plumb = spec.at
    if spec.near == "edge":
        return (along, plumb)
    if spec.near == "header":
        g = places["top"][0]
        seat = stringer.treads[0][1] if stringer.treads else places["top"][1]
        return stringer.to_board((g + along, seat - plumb))
    toe = places.get("toe") or places["sill-face"]
    return stringer.to_board((toe[0] - along, places["seat-back"][1] + plumb))


def _two_diameters(opening: Opening) -> str:
    """Where a required distance comes from: what a job gives, or what it is where it gives none."""
    default = abs(opening.edge_least - 2 * opening.width) < LIMIT_SLACK
    return ", two diameters (common practice, no source)" if default else " of the job"


def opening_checks(openings: Sequence[Opening], outline: Chain, show: Show) -> tuple[Check, ...]:
    """Check the wood between the rims and the part's edges, and between rim and rim.

    Args:
        openings: holes and slots, board frame.
        outline: of the part, reliefs included.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: one breaks out of the part, or two run together.
    """
    import shapely

    if not openings:
        return ()
    part = outline.polygon()
    edge = part.exterior
    worst: tuple[float, Opening, float] | None = None
    cores = [shapely.LineString(o.ends) if len(o.ends) > 1 else shapely.Point(o.ends[0]) for o in openings]
    for opening, core in zip(openings, cores, strict=True):
        inside = bool(part.contains(core))
        rim = (float(shapely.distance(core, edge)) if inside else -float(shapely.distance(core, part))) - opening.radius
        if rim <= 0:
            raise ImpossibleStringer(f"{opening.name} breaks out of the part by {show(-rim)}", way_out="move it inward")
        if worst is None or rim - opening.edge_least < worst[0] - worst[2]:
            worst = (rim, opening, opening.edge_least)
    assert worst is not None
    rim, opening, least = worst
    checks = [
        Check(
            "hole-edge",
            within(rim, least, None),
            True,
            "length",
            rim,
            least,
            None,
            f"{opening.key}.edge_least{_two_diameters(opening)}",
            f"least from a rim to an edge of the part: {opening.name}",
            mend="" if within(rim, least, None) else f"move it {show(least - rim)} inward, or make it smaller",
        )
    ]
    pair = _nearest_pair(openings, cores)
    if pair is not None:
        gap, one, other = pair
        if gap <= 0:
            raise ImpossibleStringer(
                f"{one.name} and {other.name} run together by {show(-gap)}", way_out="move them apart"
            )
        least = max(one.width, other.width)
        checks.append(
            Check(
                "hole-apart",
                within(gap, least, None),
                True,
                "length",
                gap,
                least,
                None,
                "the greater diameter, rim to rim (common practice, no source)",
                f"least from rim to rim: {one.name} and {other.name}",
                mend="" if within(gap, least, None) else "move them apart, or make them smaller",
            )
        )
    return tuple(checks)


def _nearest_pair(openings: Sequence[Opening], cores: Sequence[object]) -> tuple[float, Opening, Opening] | None:
    """Two that run together, else those that stand nearest for their size, and how far apart; None without two."""
    import shapely

    found = (
        (float(shapely.distance(a, b)) - one.radius - other.radius, one, other)
        for (one, a), (other, b) in itertools.combinations(zip(openings, cores, strict=True), 2)
    )
    return min(found, key=lambda f: (f[0] > 0, f[0] - max(f[1].width, f[2].width)), default=None)

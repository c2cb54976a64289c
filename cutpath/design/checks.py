"""The checks of what wood is left, what bears on what, and how far guidance goes. Rule sets have their own."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from cutpath.design.stair import Stair
from cutpath.design.strength.guidance import guidance, spacing
from cutpath.design.stringer import Stringer
from cutpath.job.values import StairSpec, StringerSpec, Support, TopTread
from cutpath.rules.check import within
from cutpath.rules.values import Check
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

#: The checks of the wood that a riser count leaves, and of the ground under its treads. A count that keeps them goes
#: before one that doesn't.
WOOD: Final = frozenset({"throat", "sill-depth", "header-bearing", "ground"})


def wood_checks(
    spec: StringerSpec,
    stringer: Stringer,
    throat: float | None,
    header_depth: float | None,
    other_top: tuple[TopTread, Stringer] | None,
    show: Show,
) -> tuple[Check, ...]:
    """Check throat, depth over a sill notch and bearing on the header, as far as the stringer and the job have them.

    Args:
        spec: what is required of the stringers.
        stringer: the outline.
        throat: the least throat, after reliefs; None without an inside notch.
        header_depth: from the finished floor down to the bottom of the framing; None: not measured.
        other_top: the other `stair.top_tread`, and the same stair's stringer with it, to tell what that would change;
            None where there is none to compare with.
        show: writes millimetres as text in the job's unit.
    """
    checks = [
        Check(
            "throat",
            throat is None or within(throat, spec.throat_least, None),
            True,
            "length",
            throat,
            spec.throat_least,
            None,
            "stringer.throat_least of the job",
            _throat_note(spec, throat),
        )
    ]
    if stringer.sill_depth is not None:
        checks.append(
            Check(
                "sill-depth",
                within(stringer.sill_depth, spec.sill_depth_least, None),
                True,
                "length",
                stringer.sill_depth,
                spec.sill_depth_least,
                None,
                "stringer.sill_depth_least of the job",
                "from the last tread seat down to the sill notch",
                mend=""
                if within(stringer.sill_depth, spec.sill_depth_least, None)
                else "a lower stringer.sill_notch, or fewer and higher risers (stair.risers)",
            )
        )
    if header_depth is not None:
        checks.append(_bearing(stringer, header_depth, other_top, show))
    return tuple(checks)


def _throat_note(spec: StringerSpec, throat: float | None) -> str:
    if throat is None:
        return "no inside notch to measure"
    return spec.kind.throat


def _bearing(stringer: Stringer, header_depth: float, other: tuple[TopTread, Stringer] | None, show: Show) -> Check:
    top, bottom = heel_reach(stringer)
    # What stands above the floor, on a stringer without teeth, has nothing to bear on and needs nothing.
    top = max(0.0, top)
    bears, wanted = max(0.0, min(bottom, header_depth) - top), bottom - top
    ok = bears >= wanted - LIMIT_SLACK
    note, mend = f"the heel reaches {show(bottom)} below the floor, the header {show(header_depth)}", ""
    if not ok:
        note += f": {show(wanted - bears)} of it bears on nothing"
        mend = f"framing {show(bottom)} deep behind the stringers (stair.header_depth)"
        if other is not None:
            below = heel_reach(other[1])[1]
            if below <= header_depth + LIMIT_SLACK:
                mend += f'; or stair.top_tread "{other[0]}", whose heel reaches {show(below)} and bears whole'
            else:
                note += f'; with stair.top_tread "{other[0]}" it reaches {show(below)} and would not bear whole either'
    return Check(
        "header-bearing",
        ok,
        True,
        "length",
        bears,
        wanted,
        None,
        "stair.header_depth of the job",
        note,
        mend=mend,
    )


def heel_reach(stringer: Stringer) -> tuple[float, float]:
    """How far below the finished floor the plumb cut starts and ends, millimetres; negative: above the floor."""
    top = next(v.point[1] for v in stringer.vertices if v.role == "top")
    return -top, -top + stringer.heel


def advice(
    stair: Stair, spec: StairSpec, stringers: StringerSpec, thickness: float, supports: Sequence[Support] = ()
) -> tuple[Check, ...]:
    """Advisory checks of span and spacing, never required; none for plates, which no guidance for wood is for.

    Args:
        stair: where the foot stands.
        spec: the clear width.
        stringers: their form and count.
        thickness: of the thinnest board, millimetres.
        supports: between header and foot, in any order; the greatest span between two of them counts.
    """
    held = [0.0, *sorted(support.at for support in supports), stair.foot_out]
    span = max(b - a for a, b in pairwise(held))
    kind = stringers.kind
    if not kind.span:
        return ()
    width = spec.clear_width + 2 * thickness if kind.between else spec.clear_width
    return guidance(span, spacing(width, thickness, stringers.count), kind.span)

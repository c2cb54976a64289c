"""The checks that no rule set states: what stays open behind treads, what bears, how far they span; a rail's reach."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.job.piece_values import TreadSpec
from cutpath.pieces.treads import BEARING_LEAST
from cutpath.pieces.values import Rail, TreadsLaid
from cutpath.pieces.words import in_runs
from cutpath.rules.check import within
from cutpath.rules.values import Check
from cutpath.tolerances import SAME_POINT
from cutpath.units import Show, many

#: The widest gap between two boards of a tread that is proposed, millimetres: 1/2 in (common practice, no source).
WIDEST_GAP: Final = 12.7


def tread_checks(laid: TreadsLaid, spec: TreadSpec, show: Show) -> tuple[Check, ...]:
    """Check what stays open behind the treads, what their boards bear on, and how far they span.

    Args:
        laid: the treads.
        spec: what is asked of them.
        show: writes millimetres as text in the job's unit.
    """
    checks = [_gap(laid, spec, show)]
    if all(place.bearing for place in laid.places):
        checks.append(_bearing(laid))
    if spec.span_most is not None and laid.span is not None:
        checks.append(_span(laid, spec.span_most, spec.span_source or ""))
    return tuple(checks)


def _gap(laid: TreadsLaid, spec: TreadSpec, show: Show) -> Check:
    most = max(place.open for place in laid.places)
    ripped = [place for place in laid.places if place.ripped < spec.size.width - SAME_POINT]
    note = f"{many(laid.boards, 'board')} {show(spec.size.width)} wide"
    if laid.boards > 1:
        note += f", {show(laid.depth)} deep with gaps"
    note += "; a tread has " + " or ".join(dict.fromkeys(show(place.room) for place in laid.places))
    for wide in dict.fromkeys(round(place.ripped, 6) for place in ripped):
        numbers = [place.number for place in ripped if round(place.ripped, 6) == wide]
        note += f"; rear board of {in_runs(numbers, 'tread')} ripped to {show(wide)}"
    ok = within(most, None, spec.back_gap_most)
    mend = "" if ok else _less_open(laid, spec, show)
    return Check(
        "tread-gap",
        ok,
        False,
        "length",
        most,
        None,
        spec.back_gap_most,
        "treads.back_gap_most of the job",
        f"open behind the boards; {note}",
        mend=mend,
    )


def _less_open(laid: TreadsLaid, spec: TreadSpec, show: Show) -> str:
    """What would leave less open: boards further apart, where that does; one more, unless a mere strip; wider ones."""
    room = max(place.room for place in laid.places)
    ways = []
    if laid.boards > 1:
        wider = (room - laid.boards * spec.size.width - spec.back_gap_most) / (laid.boards - 1)
        ways = [f"treads.gap at least {show(wider)}"] if wider <= WIDEST_GAP else []
    strip = room - laid.boards * (spec.size.width + laid.gap)
    if strip >= BEARING_LEAST:
        ways.append(f"treads.boards {laid.boards + 1}")
    wide = (room - spec.back_gap_most - (laid.boards - 1) * laid.gap) / laid.boards
    return ", or ".join([*ways, f"treads.size at least {show(wide)} wide"])


def _bearing(laid: TreadsLaid) -> Check:
    least, number = min((round(min(place.bearing), 6), place.number) for place in laid.places)
    ok = within(least, BEARING_LEAST, None)
    return Check(
        "tread-bearing",
        ok,
        False,
        "length",
        least,
        BEARING_LEAST,
        None,
        "common practice, no source",
        f"the least that any one board lies on its seat, level, at tread {number}, less what reliefs open",
        mend="" if ok else "another treads.boards or treads.size, that leaves no strip so narrow",
    )


def _span(laid: TreadsLaid, most: float, source: str) -> Check:
    assert laid.span is not None
    ok = within(laid.span, None, most)
    where = "from face to face, where the treads end" if laid.between_faces else "from middle to middle"
    return Check(
        "tread-span",
        ok,
        True,
        "length",
        laid.span,
        None,
        most,
        source,
        f"of the treads between stringers, {where}; treads.span_most of the job",
        mend="" if ok else "a greater stringer.count, or thicker treads with a span_most of their own",
    )


def rail_checks(rail: Rail, country: str, show: Show) -> tuple[Check, ...]:
    """Check how far a rail reaches.

    Args:
        rail: as it stands.
        country: whose rules the stair is held to; empty: not stated.
        show: writes millimetres as text in the job's unit.
    """
    # A code of one country is no source beside another's rules.
    where = "IRC R311.7.8.4, memory" if country in ("", "US") else "common practice, no source"
    short = max(rail.short_of_top, rail.short_of_foot)
    ok = within(short, None, 0.0)
    ends = ((rail.short_of_top, "uppermost"), (rail.short_of_foot, "lowest"))
    note = "; ".join(
        f"ends {show(by)} short of the {riser} riser's nosing" for by, riser in ends if not within(by, None, 0.0)
    )
    return (
        Check(
            "rail-reach",
            ok,
            False,
            "length",
            short,
            None,
            0.0,
            f"handrails reach from over the uppermost riser to over the lowest: {where}",
            note or "reaches over the nosings of the uppermost riser and the lowest",
            mend="" if ok else "leave rail.past out, or make it longer",
        ),
    )


def infill_checks(rail: Rail, needing: Sequence[int], source: str) -> tuple[Check, ...]:
    """Tell of treads that need a guard and have none of the rail's balusters beside them.

    Whatever is there besides, a wall or another guard, is not known: so it is told, and stops nothing.

    Args:
        rail: as it stands.
        needing: the treads that need a guard, from the top.
        source: where that comes from.

    Returns:
        A check that does not hold; none where the balusters reach past all those treads.
    """
    bare = [n for n in needing if not rail.posts[0].tread <= n <= rail.posts[-1].tread]
    if not bare:
        return ()
    return (
        Check(
            "rail-infill",
            False,
            False,
            "count",
            float(len(bare)),
            None,
            0.0,
            source,
            f"{in_runs(bare, 'tread')} {'needs' if len(bare) == 1 else 'need'} a guard and no balusters stand there",
            mend=f"rail.posts from {min(rail.posts[0].tread, bare[0])} to {max(rail.posts[-1].tread, bare[-1])}",
        ),
    )

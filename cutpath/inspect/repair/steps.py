"""The steps of a repair on cut layers: units, curves, what is empty or there twice, ends that meet."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, Final

from cutpath.inspect.contours import Contour, join
from cutpath.inspect.entities import with_article
from cutpath.inspect.find.contours import length_words
from cutpath.inspect.repair.arcs import as_arcs, halved
from cutpath.inspect.repair.mend import Repairing
from cutpath.outline import Chain
from cutpath.tolerances import NO_LENGTH
from cutpath.units import many

#: `$INSUNITS` and `$MEASUREMENT` (DXF reference, header).
_UNITS: Final = {"in": (1, 0), "mm": (4, 1)}
#: A longer curve is no part of a stair, millimetres; and its arcs would take as many points.
_LONGEST: Final = 20_000.0
#: How much of what arcs may be off goes to the chords that they are fitted to.
_OF_CHORDS: Final = 0.1
_NAMES: Final = {"in": "inches", "mm": "millimetres"}
#: Points of a curve between two of its knots, at the least: an S in so short a stretch is none.
_STEPS: Final = 16
#: Gaps that are told one by one.
_TOLD: Final = 5


def set_units(mend: Repairing) -> None:
    """State the unit that was told; coordinates stay."""
    header, units = mend.document.header, mend.allowed.units
    old = mend.document.dxfversion <= "AC1009"
    if old and (units is not None or mend.look().seen.guessed):
        told = " or ".join(f'"Units: {_NAMES[each]}"' for each in _NAMES if units in (None, each))
        mend.note(f"the version (R12) has no unit to be set: write a note {told} into it", left=True)
        return
    if units is None:
        if mend.look().seen.guessed:
            mend.note("the unit is not stated, and none was told: --units in|mm", left=True)
        return
    code, metric = _UNITS[units]
    if header.get("$INSUNITS", 0) != code or header.get("$MEASUREMENT", 0) != metric:
        header["$INSUNITS"], header["$MEASUREMENT"] = code, metric
        mend.note(f"the unit is set to {units}; no coordinate was changed")


def flatten(mend: Repairing) -> None:
    """Splines and ellipses become straights and arcs."""
    look = mend.look()
    tolerance, per = mend.allowed.tolerance, look.seen.per_unit
    for element in look.cuts:
        chain, entity = element.chain, mend.own(element)
        if chain is None or entity is None or not {"spline", "ellipse"} & {t.kind for t in element.traits}:
            continue
        why = mend.why_left(element)
        if chain.length() > _LONGEST:
            why = f"it is over {_LONGEST / 1000:g} m long, which nothing of a stair is"
        within = length_words(tolerance, look.seen.told_in)
        if not element.whole and not why:
            chain = _fitted(entity, tolerance, per, closed=chain.closed)
            if chain.closed and chain.area() == 0:
                why = f"it holds no more than {within} across, and would be a line there and back"
        if why:
            mend.note(why, element, left=True)
            continue
        count = sum(1 for _ in chain.segments())
        what = f"{element.kind} made into {many(count, 'straight or arc', 'straights and arcs')}, within {within}"
        mend.replace([element], chain, per, what)


def _fitted(entity: Any, tolerance: float, per: float, *, closed: bool) -> Chain:
    """Straights and arcs within the tolerance of a curve, the chords' share of it left to them."""
    chord = _OF_CHORDS * tolerance
    points = [(p.x * per, p.y * per) for p in entity.flattening(chord / per, _STEPS)]
    return as_arcs(points[:-1] if closed else points, tolerance - chord, closed=closed)


def drop_empty(mend: Repairing) -> None:
    """Entities and segments without length go."""
    look = mend.look()
    empty = [e for e in look.model if look.role(e) == "cut" and any(t.kind == "zero-length" for t in e.traits)]
    short = []
    for element in (*look.dots, *look.cuts):
        rows = list(element.chain.segments()) if element.chain is not None else []
        kept = [(a, bulge) for a, b, bulge in rows if Chain((a, b), (bulge, 0.0), False).length() > NO_LENGTH]
        if not kept:
            empty.append(element)
        elif len(kept) < len(rows) and element.whole:
            short.append((element, kept, len(rows) - len(kept)))
    for element in empty:
        if mend.delete(element):
            mend.note(f"{with_article(element.kind)} without length is deleted", element)
    for element, kept, count in short:
        chain = element.chain
        assert chain is not None
        why = mend.why_left(element)
        if chain.closed and len(kept) < 2:
            why = "the others end where they start"
        if why:
            mend.note(f"{many(count, 'segment')} without length: {why}", element, left=True)
            continue
        points, bulges = zip(*kept, *([] if chain.closed else [(chain.points[-1], 0.0)]), strict=True)
        what = f"{many(count, 'segment')} without length {'is' if count == 1 else 'are'} dropped"
        mend.replace([element], Chain(points, bulges, chain.closed), look.seen.per_unit, what)


def drop_twice(mend: Repairing) -> None:
    """Entities all of whose segments are there already go; the first stays."""
    look = mend.look()
    course, cuts = look.course, look.cuts
    # By entity and its segment, the others that have that, too.
    twins: dict[int, dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
    for contact in look.contacts.twice:
        one, other = int(course.owner[contact.one]), int(course.owner[contact.other])
        if one != other and max(one, other) < len(cuts):
            twins[one][contact.one].add(other)
            twins[other][contact.other].add(one)
    gone: set[int] = set()
    for k in sorted(twins, reverse=True):
        element = cuts[k]
        # What is gone already went because this one stays.
        there = [others - gone for others in twins[k].values()]
        whole = all(there) and len(there) == int(course.first[k + 1] - course.first[k])
        stays = sorted(set().union(*there))
        alike = all(
            mend.style(cuts[o]) == mend.style(element) and set(cuts[o].traits) == set(element.traits) for o in stays
        )
        if whole and alike and mend.delete(element):
            gone.add(k)
            others = ", ".join(sorted({cuts[o].handle for o in stays}))
            mend.note(f"{with_article(element.kind)} that is there twice is deleted; {others} stays", element)
    for k in sorted(set(twins) - gone):
        if any(o < k and o not in gone for others in twins[k].values() for o in others):
            mend.note("it or a part of it is there twice, and which to delete would be a guess", cuts[k], left=True)


def join_ends(mend: Repairing) -> None:
    """Ends that meet, or nearly do, become one contour."""
    look = mend.look()
    # An arc of over half a circle would go further than the gap as its end is moved by that.
    chains = [halved(e.chain) for e in look.cuts if e.chain is not None]
    joined = join(chains, mend.allowed.gap)
    for contour in joined.contours:
        elements = [look.cuts[k] for k in contour.members]
        if any(max(joined.degree[k]) > 2 for k in contour.members):
            mend.note("three ends or more meet, and which belong together would be a guess", *elements, left=True)
            continue
        gaps = _gaps(contour, chains, mend.allowed.gap)
        if not gaps:
            continue
        closed = contour.closed or len(elements) == 1
        chain = Contour(contour.members, contour.backwards, closed, None).chain(chains)
        why = mend.why_left(*elements)
        if not why and closed and abs(chain.area()) <= NO_LENGTH * chain.length():
            why = "it would go there and back, and how it was meant would be a guess"
        if why:
            mend.note(why, *elements, left=True)
            continue
        told = [length_words(g, look.seen.told_in) for g in gaps if g > NO_LENGTH]
        more = f" and {len(told) - _TOLD} more" if len(told) > _TOLD else ""
        what = f"{many(len(elements), 'entity is', 'entities are')} {'a closed' if closed else 'one open'} contour"
        words = what + (f", gaps of {', '.join(told[:_TOLD])}{more} closed" if told else "")
        mend.replace(elements, chain, look.seen.per_unit, words)


def _gaps(contour: Contour, chains: Sequence[Chain], most: float) -> list[float]:
    """How far apart the ends are that a contour joins; none where it has nothing to join."""
    if len(contour.members) == 1:
        own = chains[contour.members[0]]
        gap = math.dist(own.points[0], own.points[-1])
        return [] if own.closed or len(own.points) < 3 or gap > most else [gap]
    runs = [chains[k].reversed() if b else chains[k] for k, b in zip(contour.members, contour.backwards, strict=True)]
    return [math.dist(a.points[-1], b.points[0]) for a, b in pairwise([*runs, *runs[: 1 if contour.closed else 0]])]

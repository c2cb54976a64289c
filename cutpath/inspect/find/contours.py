"""Findings on contours: what is there twice, what crosses or touches, what is too short, how it runs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from cutpath.inspect.contacts import Contact
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit
from cutpath.tolerances import NO_LENGTH, TINY
from cutpath.units import Unit


def _contact(look: Looked, found: Contact, detail: str) -> Hit:
    one, other = (look.followed[look.course.owner[k]] for k in (found.one, found.other))
    return look.at(other, detail.format(other=_called(look, one.handle)), found.at, found.length or None)


def _called(look: Looked, handle: str) -> str:
    return f"of {handle}" if handle else "before it"


def twice(look: Looked) -> Iterator[Hit]:
    """Segments that are there twice."""
    for found in look.contacts.twice:
        yield _contact(look, found, f"{length_in(look, found.length)} long, the same as one {{other}}")


def along(look: Looked) -> Iterator[Hit]:
    """Segments that run along others for a while."""
    for found in look.contacts.along:
        yield _contact(look, found, f"for {length_in(look, found.length)}, over one {{other}}")


def crossing(look: Looked) -> Iterator[Hit]:
    """Cuts that run through one another."""
    for found in look.contacts.crossing:
        yield _contact(look, found, "over one {other}")


def tangled(look: Looked) -> Iterator[Hit]:
    """More segments that meet, or contours that lie beside each other, than are looked at."""
    if not (look.contacts.complete and look.beside.complete):
        yield Hit(None, "")


def touching(look: Looked) -> Iterator[Hit]:
    """Cuts that meet without being joined."""
    for found in look.contacts.touching:
        yield _contact(look, found, "on one {other}")


def _short(look: Looked, least: float, most: float) -> Iterator[Hit]:
    course = look.course
    for k in np.flatnonzero((course.length > least) & (course.length <= most)):
        at = (float(course.start[k][0]), float(course.start[k][1]))
        length = float(course.length[k])
        yield look.at(look.followed[course.owner[k]], length_in(look, length), at, length)
    for item in look.dots:
        assert item.chain is not None
        length = item.chain.length()
        # Whichever way it turns in its place, it is too short to be cut.
        if least < min(length, TINY) <= most:
            yield look.at(item, length_in(look, length), size=length)


def zero_length(look: Looked) -> Iterator[Hit]:
    """Segments without length."""
    for item in look.seen.items:
        for trait in item.traits:
            if trait.kind == "zero-length" and look.role(item) in ("cut", "mark"):
                yield look.at(item, trait.detail)
    for hit in _short(look, -1.0, NO_LENGTH):
        yield Hit(hit.at, "a segment", hit.handle, hit.layer, hit.size)


tiny = partial(_short, least=NO_LENGTH, most=TINY)


def direction(look: Looked) -> Iterator[Hit]:
    """Contours of one polyline that run the other way from most of their kind: outlines, or what lies in them."""
    import shapely

    of, polygons = look.rings
    depth, _ = look.depth
    ccw = shapely.is_ccw(shapely.get_exterior_ring(polygons))
    for odd, kind in ((0, "outlines"), (1, "inner contours")):
        rows = [k for k in range(len(of)) if depth[k] % 2 == odd and _is_drawn_as_one(look, of[k])]
        left = [k for k in rows if ccw[k]]
        right = [k for k in rows if not ccw[k]]
        fewer = left if len(left) <= len(right) else right
        share = "most" if len(left) != len(right) else "half of the"
        way = "counter-clockwise" if fewer is left else "clockwise"
        for k in fewer if left and right else ():
            item = look.cuts[look.joined.contours[of[k]].members[0]]
            yield look.at(item, f"{way}, other than {share} {kind}")


def _is_drawn_as_one(look: Looked, contour: int) -> bool:
    members = look.joined.contours[contour].members
    return len(members) == 1 and look.cuts[members[0]].kind in ("LWPOLYLINE", "POLYLINE")


def order(look: Looked) -> Iterator[Hit]:
    """Inner contours that come after the outline that frees them, in files that are a program."""
    of, _ = look.rings
    depth, around = look.depth
    part = look.layers.part.casefold()
    for k, outer in enumerate(around):
        if depth[k] % 2 == 0:
            continue
        first, then = (look.joined.contours[of[n]].members[0] for n in (k, outer))
        inner, outline = look.cuts[first], look.cuts[then]
        # Loose lines have no order. A part's own file is a design: the order is made when it is laid on a board.
        alone = all(len(look.joined.contours[of[n]].members) == 1 for n in (k, outer))
        if alone and first > then and part not in (inner.layer.casefold(), outline.layer.casefold()):
            yield look.at(inner, f"after {outline.handle or 'its outline'}")


def length_in(look: Looked, mm: float) -> str:
    """A length as it is measured in the file."""
    return length_words(mm, look.seen.told_in)


def length_words(mm: float, unit: Unit) -> str:
    """A length as it is measured in the file: four decimals of an inch, six digits of millimetres, three under one."""
    if unit == "in":
        return f"{mm / 25.4:.4g} in ({mm:.3g} mm)" if mm < 1 else f"{mm / 25.4:.4f} in".replace(".0000", "")
    return f"{mm:.3g} mm" if mm < 1 else f"{mm:.6g} mm"

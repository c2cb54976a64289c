"""Findings on what a tool of a known width can't do: contours too near, radii too tight, slots too narrow."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from cutpath.inspect.beside import FITS
from cutpath.inspect.find.contours import length_words
from cutpath.inspect.find.ends import bare_pairs
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit

#: A corner that a tool only rounds reaches this many of its radii past it at the most: one of 54 degrees.
_CORNER: Final = 1.2


def near(look: Looked) -> Iterator[Hit]:
    """Contours that lie beside each other with less than the tool between them."""
    beside = look.beside
    # What is open by a slip is told as that, and wants closing rather than more room.
    slips = [end for pair in bare_pairs(look) for end in pair] if beside.one else []
    for one, other, gap, at in zip(beside.one, beside.other, beside.gaps, beside.places, strict=True):
        if gap > FITS and not any(math.dist(at, end.at) <= end.gap for end in slips):
            words = f"{length_words(gap, look.seen.told_in)} from {look.cuts[one].handle or 'another'}"
            yield look.at(look.cuts[other], words, at, gap)


def tight_radius(look: Looked) -> Iterator[Hit]:
    """Arcs hollow towards the waste whose radius is under the tool's."""
    if look.tool is None:
        return
    import shapely

    of, polygons = look.rings
    depth, _ = look.depth
    course = look.course
    ccw = shapely.is_ccw(shapely.get_exterior_ring(polygons))
    middle = course.at(0.5)
    small = course.curved & (np.nan_to_num(course.radius, nan=np.inf) < look.tool / 2 - FITS)
    for k, contour in enumerate(of):
        # Walked with the wood on the left: an arc that turns right is hollow.
        wood_left = bool(ccw[k]) == (depth[k] % 2 == 0)
        members = look.joined.contours[contour]
        for member, back in zip(members.members, members.backwards, strict=True):
            rows = np.arange(course.first[member], course.first[member + 1])
            for row in rows[small[rows]]:
                hollow = ((course.bulge[row] < 0) != back) == wood_left
                if hollow:
                    radius = float(course.radius[row])
                    at = (float(middle[row][0]), float(middle[row][1]))
                    yield look.at(
                        look.cuts[member], f"a radius of {length_words(radius, look.seen.told_in)}", at, radius
                    )
                    if look.cuts[member].kind == "CIRCLE":
                        break


def narrow_slot(look: Looked) -> Iterator[Hit]:
    """Places that the tool can't get into at all, other than corners that it rounds."""
    if look.tool is None:
        return
    import shapely

    of, polygons = look.rings
    depth, _ = look.depth
    radius = look.tool / 2 - FITS
    if radius <= 0:
        return
    for k, contour in enumerate(of):
        polygon = polygons[k]
        if not polygon.is_valid:
            continue
        item = look.cuts[look.joined.contours[contour].members[0]]
        if item.kind == "CIRCLE":
            continue
        if depth[k] % 2:
            reached = polygon.buffer(-radius).buffer(radius)
            rest = polygon.difference(reached)
        else:
            reached = polygon.buffer(radius).buffer(-radius)
            rest = reached.difference(polygon)
        border = reached.boundary if not reached.is_empty else None
        for piece in shapely.get_parts(rest):
            if piece.geom_type != "Polygon" or piece.area < radius * radius / 100:
                continue
            corners = shapely.get_coordinates(piece)
            deep = float("inf")
            if border is not None:
                away = shapely.distance(shapely.points(corners), border)
                deep = float(away.max())
            if deep > _CORNER * radius:
                at = piece.representative_point()
                yield look.at(item, "", (at.x, at.y))

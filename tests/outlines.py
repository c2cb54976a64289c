"""Outlines to set off, drawn at random for tests, and what measures a path against another line."""

from __future__ import annotations

import math
from typing import Literal

import shapely
from hypothesis import reject
from hypothesis import strategies as st

from cutpath.outline import Chain, straight
from tests.saw import RELIEFS, Relief, Saw, saw

Outside = Literal["sharp", "rolled"]


OUTSIDES: tuple[Outside, ...] = ("sharp", "rolled")


#: Chords this fine stand for arcs wherever a reference library needs polygons, millimetres.
CHORD = 1e-4


@st.composite
def cases(draw: st.DrawFn, reliefs: tuple[Relief, ...] = RELIEFS) -> tuple[Saw, float]:
    """A stringer and a tool radius: pitch 20 to 45 degrees, 2 to 20 steps, radius 0.05 to 7 mm."""
    pitch = draw(st.floats(20, 45))
    run = draw(st.floats(230, 300))
    radius = draw(st.floats(0.05, 7))
    sill = draw(st.none() | st.tuples(st.floats(25, 90), st.floats(25, 60)))
    width = run * math.sin(math.radians(pitch)) + draw(st.floats(130, 180))
    relief = draw(st.sampled_from(reliefs))
    try:
        return saw(pitch, draw(st.integers(2, 20)), run, width, relief, radius, sill), radius
    except ValueError:
        reject()


def ring(chain: Chain, spacing: float | None = None) -> shapely.LinearRing:
    line = shapely.LinearRing(chain.flattened(CHORD))
    return shapely.segmentize(line, spacing) if spacing else line


def within(points: object, target: object, distance: float) -> bool:
    """Whether all of the points lie within a distance of a geometry."""
    shapely.prepare(target)
    return bool(shapely.dwithin(target, shapely.points(points), distance).all())


@st.composite
def blobs(draw: st.DrawFn) -> Chain:
    """A star-shaped loop of lines and arcs that bulge out or in."""
    count = draw(st.integers(5, 12))
    radii = draw(st.lists(st.floats(60, 100), min_size=count, max_size=count))
    bulges = draw(st.lists(st.just(0.0) | st.floats(0.05, 0.4), min_size=count, max_size=count))
    signs = draw(st.lists(st.sampled_from([-1, 1]), min_size=count, max_size=count))
    points = tuple(
        (r * math.cos(math.tau * i / count), r * math.sin(math.tau * i / count)) for i, r in enumerate(radii)
    )
    blob = Chain(points, tuple(b * s for b, s in zip(bulges, signs, strict=True)), True)
    if crosses_at_a_vertex(blob) or not blob.polygon(CHORD).is_valid:
        reject()
    return blob


def crosses_at_a_vertex(chain: Chain) -> bool:
    """Whether two neighbours of a closed chain cross beside the vertex they share, which chords may hide.

    From the one arc to the next the tangent turns by the chords' turn less half of both arcs' angles; past half a turn
    the neighbours have changed sides.
    """
    count = len(chain.points)
    for i in range(count):
        (ax, ay), (bx, by), (cx, cy) = (chain.points[(i + k) % count] for k in (-1, 0, 1))
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
        if abs(turn - 2 * (math.atan(chain.bulges[i - 1]) + math.atan(chain.bulges[i]))) >= math.pi - 1e-9:
            return True
    return False


@st.composite
def convex(draw: st.DrawFn) -> Chain:
    """A convex polygon: the hull of points on and in a circle."""
    points = draw(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=5, max_size=14))
    hull = shapely.set_precision(shapely.MultiPoint(points), 5).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 1000:
        hull = shapely.box(-100, -50, 100, 50)
    hull = shapely.geometry.polygon.orient(hull)
    return straight(tuple((x, y) for x, y in list(hull.exterior.coords)[:-1]), True)

"""Cutter compensation held against another implementation of it.

Source: Clipper 6.4.2 by A. Johnson (Boost licence), ClipperOffset, through the package pyclipper. It knows polygons
alone, so arcs go in and come out as chords of a ten-thousandth of a millimetre.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutpath.cut.offset.chain import ToolTooWide, offset_chain
from cutpath.cut.offset.raw import SHARPEST_MITRE
from cutpath.outline import Chain, Point, straight
from tests.outlines import CHORD, Outside, blobs, cases, crosses_at_a_vertex, ring, within
from tests.saw import Saw

SCALE = 1_000_000
"""Whole numbers that the reference counts in, to a millimetre."""


@lru_cache(maxsize=1)
def clipper(chain: Chain, distance: float, outside: Outside) -> list[np.ndarray]:
    """All contours of Clipper's offset, to a millionth of a millimetre; what measures nothing is left out."""
    sharpest = 1 / math.sin(math.radians(SHARPEST_MITRE / 2))
    offset = pyclipper.PyclipperOffset(sharpest, CHORD * SCALE)
    join = pyclipper.JT_MITER if outside == "sharp" else pyclipper.JT_ROUND
    # It takes either way round, and turns outlines counter-clockwise.
    offset.AddPath(
        np.rint(np.array(chain.flattened(CHORD)) * SCALE).astype(int).tolist(), join, pyclipper.ET_CLOSEDPOLYGON
    )
    found = [np.array(path) / SCALE for path in offset.Execute(distance * SCALE)]
    return [path for path in found if area(path) > 1e-3]


def area(path: np.ndarray) -> float:
    return abs(float(shapely.Polygon(path).area))


def hold_against_clipper(outline: Chain, distance: float) -> None:
    """A rolled offset bounds Clipper's area and lies the distance away all along; refused only if there are several.

    Shapely's buffer drops shallow hollows, so it can't judge here.
    """
    found = clipper(outline, distance, "rolled")
    try:
        path = offset_chain(outline, distance, outside="rolled")
    except ToolTooWide:
        assert len(found) != 1
        return
    assert len(found) == 1
    # Chords lie up to CHORD from the arcs on either side, and once more where the reference rounds them in turn.
    assert abs(path.area()) == pytest.approx(area(found[0]), abs=3 * CHORD * path.length())
    border = ring(outline)
    shapely.prepare(border)
    places = shapely.points(ring(path, 4.0).coords)
    assert shapely.dwithin(border, places, abs(distance) + 2 * CHORD).all()
    assert not shapely.dwithin(border, places, abs(distance) - 2 * CHORD).any()


@pytest.mark.slow
@given(cases())
@settings(max_examples=10, deadline=None)
def test_rolled_offset_is_clippers(case: tuple[Saw, float]) -> None:
    outline, radius = case[0].outline, case[1]
    hold_against_clipper(outline, radius)
    reference = clipper(outline, radius, "rolled")[0]
    assert within(reference, ring(offset_chain(outline, radius, outside="rolled")), 4 * CHORD)


@given(cases(reliefs=("none",)))
@settings(max_examples=25, deadline=None)
def test_sharp_offset_is_clippers_vertex_for_vertex(case: tuple[Saw, float]) -> None:
    outline, radius = case[0].outline, case[1]
    path = offset_chain(outline, radius)
    (reference,) = clipper(outline, radius, "sharp")
    assert len(reference) == len(path.points) == len(outline.points)
    assert within(reference, shapely.MultiPoint(path.points), 1e-5)


@pytest.mark.slow
@given(cases(), st.floats(0.5, 2))
@settings(max_examples=12, deadline=None)
def test_another_tool_than_the_relief_was_made_for(case: tuple[Saw, float], ratio: float) -> None:
    outline, radius = case[0].outline, case[1] * ratio
    hold_against_clipper(outline, radius)


@pytest.mark.slow
@given(blobs(), st.sampled_from([-1, 1]), st.floats(0.05, 30))
@settings(max_examples=30, deadline=None)
def test_loops_of_arcs_are_set_off_like_clippers(blob: Chain, side: int, radius: float) -> None:
    """Both sides, also where lines and arcs vanish."""
    hold_against_clipper(blob, side * radius)


@pytest.mark.slow
@given(
    st.lists(st.tuples(st.floats(0.5, 30), st.floats(-25, 25)), min_size=2, max_size=9),
    st.floats(0.1, 12),
)
@example(steps=[(4.0, 10.0), (3.0, -10.0), (2.0, 10.0), (30.0, 0.0)], radius=5.0)
@settings(max_examples=90, deadline=None)
def test_steps_smaller_than_the_tool_vanish_rightly(steps: list[tuple[float, float]], radius: float) -> None:
    """A block with an uneven lower side, often finer than the tool: the path is the true offset, or refused."""
    x, y = 0.0, steps[0][1]
    points: list[Point] = [(x, y)]
    for dx, level in steps:
        if abs(level - y) > 1e-3:
            y = level
            points.append((x, y))
        x += dx
        points.append((x, y))
    points += [(x, 100.0), (0.0, 100.0)]
    block = straight(tuple(points), True)
    hold_against_clipper(block, radius)


def test_arcs_that_cross_beside_their_vertex_are_refused_though_their_chords_do_not() -> None:
    """Clipper sees chords a ten-thousandth off, which hide the crossing, and finds one contour; the outline has none.

    Chords a hundred times finer do cross, so the refusal is right.
    """
    points = (
        *((100.0, 0.0), (61.28355544951824, 51.42300877492314), (10.592538837682755, 60.07327293374469)),
        *((-30.499999999999986, 52.82754963085076), (-57.32124986794041, 20.8632287428658)),
        *((-83.7746255316798, -30.491470080328867), (-30.00000000000003, -51.961524227066306)),
        *((13.891854213354398, -78.78462024097665), (51.09303017088927, -42.87214277212286)),
    )
    blob = Chain(points, (-0.0, -0.28196819827056624, 0.25, -0.05, -0.375, -0.4, 0.4, 0.0, -0.4), True)
    assert blob.polygon(CHORD).is_valid and len(clipper(blob, -7.593105715419618, "rolled")) == 1
    assert crosses_at_a_vertex(blob) and not blob.polygon(CHORD / 100).is_valid
    with pytest.raises(ToolTooWide):
        offset_chain(blob, -7.593105715419618, outside="rolled")


@pytest.mark.parametrize("radius", [1.0, 3.0, 6.77, 8.5, 11.0])
def test_arcs_that_run_into_each_other_all_but_smoothly_are_set_off_like_clippers(radius: float) -> None:
    """Their circles lie within a hair of touching: the set-off arcs still cross, a thousand hairs from the touch."""
    points = (
        *((61.0, 0.0), (61.40919916181065, 35.45461766679071), (30.000000000000007, 51.96152422706631)),
        *((0.0, 100.0), (-30.5, 52.82754963085076), (-86.60254037844388, 50.0), (-80.0, 0.0)),
        *((-52.82754963085077, -30.5), (-34.218190379755285, -59.26764428080066), (0.0, -60.0)),
        *((30.5, -52.827549630850754), (52.82754963085074, -30.5)),
    )
    bulges = (0.09270643999117123, 0.05, -0.32507446244592614, 0, 0.05, -0.25, -0.25, -0.05, 0.25, 0, 0.05, -0.375)
    hold_against_clipper(Chain(points, bulges, True), radius)
    assert offset_chain(Chain(points, bulges, True), radius, outside="rolled").closed

"""Cutter compensation held against a geographer's buffer.

Source: GEOS, buffer of a polygon, through shapely. It drops shallow hollows, so only stringers' outlines are held here.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from cutpath.cut.offset.chain import offset_chain
from tests.outlines import CHORD, cases, ring, within
from tests.saw import Saw


@pytest.mark.slow
@given(cases())
@settings(max_examples=25, deadline=None)
def test_rolled_offset_is_shapelys_buffer(case: tuple[Saw, float]) -> None:
    outline, radius = case[0].outline, case[1]
    path = offset_chain(outline, radius, outside="rolled")
    reference = outline.polygon(CHORD).buffer(radius, quad_segs=120)
    if reference.geom_type != "Polygon":  # Dust where a relief's mouth narrows to nothing.
        reference = max(reference.geoms, key=lambda g: g.area)
    assert within(reference.exterior.coords, ring(path), 4 * CHORD)
    assert path.area() == pytest.approx(reference.area, abs=3 * CHORD * path.length())

"""Area and length of what lies within a distance of a convex shape.

Source: J. Steiner (1840), in any text on convex geometry: area A + P r + pi r2, length P + 2 pi r.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cut.offset.chain import offset_chain
from cutpath.outline import Chain
from tests.outlines import convex


@given(convex(), st.floats(0.05, 80))
@settings(max_examples=50, deadline=None)
def test_steiner_formula(shape: Chain, radius: float) -> None:
    """Area A + P r + pi r2, length P + 2 pi r (J. Steiner, 1840: any text on convex geometry)."""
    grown = offset_chain(shape, radius, outside="rolled")
    assert grown.area() == pytest.approx(shape.area() + shape.length() * radius + math.pi * radius**2, rel=1e-9)
    assert grown.length() == pytest.approx(shape.length() + math.tau * radius, rel=1e-9)

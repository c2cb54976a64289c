"""Spans and spacing of stringers.

Source: AWC DCA 6, Prescriptive Residential Wood Deck Construction Guide, stairs: cut stringers at most 6 ft 0 in, solid
ones 13 ft 3 in (both second hand), at most 18 in apart (memory).
"""

from __future__ import annotations

import pytest

from cutpath.design.checks import advice
from cutpath.job.values import StairSpec
from tests import form_jobs
from tests.stairs import IN, spec
from tests.test_housed import HOUSED
from tests.test_rules import drawn


def test_span_and_spacing_are_advice_with_their_source() -> None:
    """AWC DCA 6: notched 2x12 at most 6 ft 0 in (second hand), stringers at most 18 in apart (memory)."""
    asked = StairSpec("x", "one-below", 1, None, None, 36 * IN, 38, 0, 0, 0, None)
    stair, _ = drawn(risers=7)
    checks = {c.id: c for c in advice(stair, asked, spec(), 1.5 * IN)}
    assert checks["spacing"].value == pytest.approx(17.25 * IN) and checks["spacing"].ok
    assert checks["span"].most == pytest.approx(72 * IN) and checks["span"].ok
    assert not any(c.required for c in checks.values())
    wide = {c.id: c for c in advice(drawn(risers=8)[0], asked, spec(count=2), 1.5 * IN)}
    assert not wide["spacing"].ok and not wide["span"].ok
    assert "spacing" not in {c.id for c in advice(stair, asked, spec(count=1), 1.5 * IN)}


def test_the_span_is_that_of_a_solid_stringer() -> None:
    _, design = form_jobs.drawn(HOUSED, 18.0)
    span = next(c for c in design.checks if c.id == "span")
    assert span.most == pytest.approx(13.25 * 304.8)
    assert not span.required
    assert design.bending is None

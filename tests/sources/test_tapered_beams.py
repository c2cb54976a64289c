"""Beams whose depth varies along a straight line.

Source: USDA Wood Handbook FPL-GTR-190, chapter 9, tapered beams, equations 9-15 and 9-16, with its example of b 100 mm,
h0 200 mm and a taper of 1 in 10: under a load on the tapered stretch's end the greatest bending stress stands where the
depth is twice that at the end, and the shear stress at the tapered edge there, stress times taper, is that at the end
(figures looked up; the statement from memory). Deflection is held against the closed integral of x2/h3 (worked out
here), since the measured beams of FPL 34 (Maki and Kuenzi, 1965) could not be had.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutpath.design.strength.beam import respond
from cutpath.design.strength.sections import sections

B, H0, TAPER, P = 100.0, 200.0, 0.1, 5000.0
LENGTH = 6000.0
WOOD = shapely.Polygon([(0, 0), (LENGTH, 0), (LENGTH, H0 + TAPER * LENGTH), (0, H0)])


def test_the_greatest_stress_stands_where_the_depth_is_twice_that_at_the_end() -> None:
    xs = np.linspace(0.0, LENGTH, 1201)
    found = sections(WOOD, xs)
    assert all(s is not None for s in found)
    # The end's reaction P alone: M = P x.
    stress = np.array([P * x / (B * s.modulus_below) for x, s in zip(xs, found, strict=True) if s])
    worst = int(stress.argmax())
    assert found[worst].depth == pytest.approx(2 * H0, rel=1e-9)
    assert stress[worst] == pytest.approx(3 * P / (2 * B * H0 * TAPER), rel=1e-9)
    assert stress[worst] * TAPER == pytest.approx(1.5 * P / (B * H0), rel=1e-9)


def test_deflection_of_a_double_taper_is_the_integral() -> None:
    # Symmetrical, load at mid span: twice the integral of (P x / 2)2 / (E I) over half, over P.
    half = 2000.0
    nodes = np.linspace(0.0, 2 * half, 801)
    ridge = shapely.Polygon([(0, 0), (2 * half, 0), (2 * half, H0), (half, H0 + TAPER * half), (0, H0)])
    middles = sections(ridge, (nodes[:-1] + nodes[1:]) / 2)
    e = 11000.0
    points = np.zeros((1, 801))
    points[0, 400] = P
    found = respond(nodes, [e * B * s.inertia for s in middles if s], [0, 800], np.zeros((1, 800)), points)

    def part(h: float) -> float:
        # Integral of x2 / h3 with x = (h - h0) / taper.
        return (math.log(h) + 2 * H0 / h - H0**2 / (2 * h**2)) / TAPER**3

    exact = 12 * P / (2 * e * B) * (part(H0 + TAPER * half) - part(H0))
    assert found.deflections[0, 400] == pytest.approx(exact, rel=1e-4)

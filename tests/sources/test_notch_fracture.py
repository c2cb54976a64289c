"""Shear at a notch at a support, against the fracture mechanics that Eurocode 5's factor comes from.

Source: P. J. Gustafsson, "A study of strength of notched beams", CIB-W18 paper 21-10-1 (1988): a notched beam splits
under

    V / (b a h) = sqrt(Gc / h) / (sqrt(0.6 (a - a2) / G) + (x / h) sqrt(6 (1/a - a2) / E)),

a being the share of the depth that is left. From memory, as is the ratio E / G of 16 for softwood (EN 338), which
makes EN 1995-1-1's coefficient of 0.8 out of sqrt(10 G / E). The two were written down by different hands, so that a
slip in one of the roots or a place mixed up shows here; the factor kn, which holds Gc and the shear strength, drops out
of ratios.
"""

from __future__ import annotations

import math

import pytest

from cutpath.design.strength.shares import end_notch


def split(depth: float, left: float, reach: float, e: float = 16.0, g: float = 1.0) -> float:
    """What a notched beam carries, but for a constant, as a share of what `left` of its depth carries in shear."""
    a, b = left / depth, reach / depth
    return math.sqrt(1 / depth) / (math.sqrt(0.6 * (a - a * a) / g) + b * math.sqrt(6 * (1 / a - a * a) / e))


@pytest.mark.parametrize("depth", [220.0, 285.0, 400.0])
@pytest.mark.parametrize("share", [0.5, 0.6, 0.75, 0.85])
@pytest.mark.parametrize("reach", [0.2, 0.4, 0.8])
def test_the_factor_goes_as_the_beam_splits(depth: float, share: float, reach: float) -> None:
    ours = end_notch("EN 1995-1-1", depth, share * depth, 0.0, reach * depth)
    base = end_notch("EN 1995-1-1", 285.0, 0.75 * 285.0, 0.0, 0.4 * 285.0)
    assert base < 1 and ours < 1
    theory = split(depth, share * depth, reach * depth) / split(285.0, 0.75 * 285.0, 0.4 * 285.0)
    # sqrt(10 / 16) = 0.79 stands in the code as 0.8.
    assert ours / base == pytest.approx(theory, rel=0.01)


def test_without_a_notch_nothing_is_taken_off() -> None:
    assert end_notch("EN 1995-1-1", 285.0, 285.0, 0.0, 50.0) == 1.0

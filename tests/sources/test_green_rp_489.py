"""Width of dressed lumber against its moisture.

Source: Green, USDA FPL-RP-489 (looked up): shrinkage S = 6.031 - 0.215 M percent of green width, most species, 8 to 19
percent moisture. Wood Handbook FPL-GTR-190, chapter 13 (looked up): change = width x C x (M1 - M0) for small changes, 6
to 14 percent, with C of table 13-5 (memory: Douglas-fir tangential 0.00267, southern pines 0.0025 to 0.0027).
"""

from __future__ import annotations

import pytest

from cutpath.design.stack_up import width_change


def test_shrinkage_by_the_formula() -> None:
    """By hand: S 1.946 at 19 percent, 3.451 at 12: what is left of the green width is 98.054 and 96.549 percent."""
    assert width_change(19, 12) == pytest.approx(96.549 / 98.054 - 1, rel=1e-9)
    assert width_change(12, 19) == pytest.approx(98.054 / 96.549 - 1, rel=1e-9)
    assert width_change(15, 15) == 0


@pytest.mark.parametrize("coefficient", [0.0025, 0.00267, 0.0027])
def test_a_small_change_is_like_the_handbook_s_of_flat_sawn_boards(coefficient: float) -> None:
    """The average board lies between flat and quarter sawn, so that it moves less, and no less than 0.7 of it."""
    by_handbook = coefficient * (10 - 14)
    assert 0.7 < width_change(14, 10) / by_handbook < 1

"""Dressed sizes of lumber and their sections.

Sources: ALSC PS 20, American Softwood Lumber Standard, dressed sizes of dry dimension lumber; NDS Supplement, table 1B,
section properties of sawn lumber. Both from memory.
"""

from __future__ import annotations

import pytest

from cutpath.design.strength.guidance import section_modulus
from cutpath.job.sizes import nominal_sizes
from cutpath.units import sixteenths
from tests.stairs import IN

# PS 20; NDS Supplement Table 1B; memory.
PUBLISHED = {"2x12": "11 1/4", "2x10": "9 1/4", "2x8": "7 1/4", "2x4": "3 1/2", "2x2": "1 1/2"}


@pytest.mark.parametrize(("name", "width"), PUBLISHED.items())
def test_published_sizes(name: str, width: str) -> None:
    size = nominal_sizes()[name]
    assert (sixteenths(size.thickness), sixteenths(size.width)) == ("1 1/2", width)


def test_a_2x12_has_the_published_section() -> None:
    # A, Sxx, Ixx of a 2x12: 16.88 in2, 31.64 in3, 178.0 in4: NDS Supplement Table 1B; memory.
    size = nominal_sizes()["2x12"]
    b, d = float(size.thickness) / 25.4, float(size.width) / 25.4
    assert (round(b * d, 2), round(b * d**2 / 6, 2), round(b * d**3 / 12, 1)) == (16.88, 31.64, 178.0)


def test_every_size_is_less_than_its_name_and_says_where_it_comes_from() -> None:
    for name, size in nominal_sizes().items():
        nominal, side = name.split("x")
        wide = int(side)
        # Dressing takes 1/2 in off what is under 8 in nominal, 3/4 in off the rest; of thin boards 1/4 in off the
        # thickness: PS 20; memory. Decking of 5/4 is sold 1 in thick: common practice, no source.
        thin = {"1": "3/4", "5/4": "1"}
        assert sixteenths(size.thickness) == (thin[nominal] if nominal in thin else f"{int(nominal) - 1} 1/2")
        assert sixteenths(size.width) == (f"{wide - 1} 1/2" if wide < 8 else f"{wide - 1} 1/4")
        assert "memory" in size.source


def test_section_modulus_gives_the_handbook_value() -> None:
    """NDS Supplement Table 1B (memory): 2x12, 1 1/2 x 11 1/4 in, Sxx 31.64 in3."""
    assert section_modulus(1.5 * IN, 11.25 * IN) / IN**3 == pytest.approx(31.64, abs=0.005)

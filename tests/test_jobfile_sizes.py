"""Dressed sizes of lumber.

Against ALSC PS 20 and NDS Supplement Table 1B, values from memory: 2x12 dressed and dry is 1 1/2 x 11 1/4 in; 2x10,
2x8 and 2x4 are 9 1/4, 7 1/4 and 3 1/2 in wide.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from cutpath.job.read import job_of
from cutpath.job.sizes import nominal_sizes, plain_name
from cutpath.units import sixteenths

# PS 20; NDS Supplement Table 1B; memory.
PUBLISHED = {"2x12": "11 1/4", "2x10": "9 1/4", "2x8": "7 1/4", "2x4": "3 1/2"}


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
        thick, wide = (int(part) for part in name.split("x"))
        # Dressing takes 1/2 in off what is under 8 in nominal, 3/4 in off the rest: PS 20; memory.
        assert sixteenths(size.thickness) == f"{thick - 1} 1/2"
        assert sixteenths(size.width) == (f"{wide - 1} 1/2" if wide < 8 else f"{wide - 1} 1/4")
        assert "memory" in size.source


@pytest.mark.parametrize("text", ["2x12", "2 x 12", "2X12", "2×12", " 2 × 12 "])
def test_spellings(text: str) -> None:
    assert plain_name(text) == "2x12"
    stock = job_of({"site": {"total_rise": 40}, "stock": [{"size": text, "length": 96}]}, Path("a.toml")).job.stock
    assert (stock[0].size, stock[0].thickness, stock[0].width) == ("2x12", 38.1, 285.75)


def test_a_size_of_ones_own_is_called_by_its_measures() -> None:
    raw = {"units": "mm", "site": {"total_rise": 900}, "stock": [{"size": [38, 285.5], "length": 3600}]}
    both = job_of(raw, Path("a.toml"))
    assert both.job.stock[0].size == "38 x 285.5 mm"
    assert both.values["stock"][0]["size"] == [38.0, 285.5]

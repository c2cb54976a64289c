"""Sizes of lumber as a job names them. Their measures: `sources/test_lumber_sizes.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutpath.job.read import job_of
from cutpath.job.sizes import plain_name


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

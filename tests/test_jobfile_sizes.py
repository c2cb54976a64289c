"""Sizes of lumber as a job names them. Their measures: `sources/test_lumber_sizes.py`."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from cutpath.faults import JobFaults
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


@pytest.mark.parametrize(
    ("units", "text", "told"),
    [
        ("mm", "45x295", "write what it measures as [45, 295]"),
        ("mm", "38 mm × 286 mm", 'write what it measures as ["38 mm", "286 mm"]'),
        ("in", "3/8x12", 'write what it measures as ["3/8", 12]'),
        ("in", "1 1/2 x 11 1/4", 'write what it measures as ["1 1/2", "11 1/4"]'),
        # What may be meant as a nominal size is never taken for measures.
        ("in", "6x6", "or one of 1x4, "),
        ("in", "5/4x5", "or one of 1x4, "),
        ("in", "45x295", "or one of 1x4, "),
        ("in", "two by twelve", "or one of 1x4, "),
    ],
)
def test_measures_written_as_one_text_are_told_as_they_are_written(units: str, text: str, told: str) -> None:
    raw = {"units": units, "site": {"total_rise": "3 ft"}, "stock": [{"size": text, "length": "8 ft"}]}
    with pytest.raises(JobFaults) as caught:
        job_of(raw, Path("a.toml"))
    (fault,) = caught.value.faults
    assert "is no nominal size: write" in fault.text and told in fault.text
    way = re.search(r"as (\[.*\])$", fault.text)
    if way:
        raw["stock"] = [{**raw["stock"][0], **tomllib.loads(f"size = {way[1]}")}]
        assert job_of(raw, Path("a.toml")).job.stock[0].width > 0, "the way out is accepted"

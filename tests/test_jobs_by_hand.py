"""What a job file's keys come to, and the line that each fault is told in: written down here key by key."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import JobFaults
from cutpath.job.keys import JOB
from cutpath.job.kinds import Length
from cutpath.job.near import every_key
from cutpath.job.read import ReadJob, job_of
from cutpath.job.special import Volume
from cutpath.stockfile.read import stock_of

LANDING = "[site]\ntotal_rise = 40\n"


def read(text: str) -> ReadJob:
    return job_of(tomllib.loads(text), Path("a.toml"))


def faults(data: dict[str, Any] | str) -> list[str]:
    """Every line of fault, without the file's name; none where it reads."""
    try:
        job_of(tomllib.loads(data) if isinstance(data, str) else data, Path("a.toml"))
    except JobFaults as fault:
        return [line.removeprefix("a.toml: ") for line in fault.lines]
    return []


# Where the unit is at fault nothing is known of lengths.

NO_UNIT = 'units: "cm" is not accepted: write "in" or "mm"'


@pytest.mark.parametrize("size", [10**400, 1e300, 1e308, 38, 0], ids=["whole", "1e300", "1e308", "38", "0"])
def test_a_unit_at_fault_is_told_alone_whatever_the_lengths_are(size: float) -> None:
    """Bounds, comparisons of keys and square roots of taut tapes would each be in a unit that nobody stated."""
    jobs: list[dict[str, Any]] = [
        {"site": {"profile": [[0, 1], {"along": size, "down": 0}, {"along": 0, "down": size}]}},
        {"site": {"profile": [[size, 1], [size, 1]], "pad_reveal": {"least": size, "most": 1}}},
        {"site": {"total_rise": size, "above": [{"out": size, "up": 1}, {"out": -5, "up": 3}]}},
        {"stringer": {"edge_trim": size}},
        {"stringer": {"form": "plate", "plate": {"bracket": {"slot": size, "diameter": size}}}},
        {"support": [{"at": size, "length": size}, {"at": size, "length": size}]},
        {"stock": [{"size": [size, size], "length": size, "widths": [size], "defects": [[size, 2], [0, size]]}]},
        {"stringer": {"sill_notch": {"deep": size, "high": size}}, "extras": {"sill_plate": True}},
        {"stringer": {"form": "housed"}, "treads": {"size": [size, size], "side_overhang": size}},
        {"stair": {"nosing": size, "riser_board": size}, "riser_boards": {"size": [size, size]}},
        {"holes": [{"what": "x", "diameter": size, "near": "foot", "at": [size, size]}]},
    ]
    for raw in jobs:
        assert faults({"units": "cm", "site": {"total_rise": 1}, **raw}) == [NO_UNIT], raw
    boards = {"size": [size, size], "length": size, "widths": [size], "defects": [[size, 2], [0, size]]}
    with pytest.raises(JobFaults) as caught:
        stock_of({"units": "cm", "keep_over": size, "stock": [boards], "offcut": [{"name": "A", **boards}]}, "a.toml")
    assert caught.value.lines == (f"a.toml: {NO_UNIT}",)


def test_a_unit_at_fault_hides_no_fault_that_is_none_of_lengths() -> None:
    text = (
        "units = 'cm'\n[site]\ntotal_rise = '8 furlongs'\npad_reveal = {most = 5}\n[stair]\nrisers = 1\n"
        "[pad]\nbag_yield = true\nbag_source = 'x'"
    )
    told = faults(text)
    assert [line.split(": ")[0] for line in told] == [
        *("units", "site.total_rise", "stair.risers", "pad.bag_yield", "site.pad_reveal")
    ]

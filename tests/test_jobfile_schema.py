"""The JSON Schema against the reader: both take the same jobs."""

from __future__ import annotations

import datetime
import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator

from cutpath.faults import JobFaults
from cutpath.job.keys import JOB
from cutpath.job.near import every_key
from cutpath.job.read import job_of
from cutpath.job.schema import schema
from cutpath.job.starter import starter
from tests.test_jobfile_faults import ONE_FAULT, changed_jobs
from tests.test_jobfile_read import jobs

VALIDATOR = Draft202012Validator(schema())

GOOD = [
    starter("in"),
    starter("mm"),
    "[site]\ntotal_rise = 40",
    '[site]\ntotal_rise = "3\' 4½"',
    "units = 'mm'\n[site]\ntotal_rise = 1016",
    "[site]\ntotal_rise = 40\n[cutter]\npath = 'centre'\n[machine]\ncommon_cuts = true",
    "[site]\nprofile = [[0, -4], {along = '3′ 4½″', down = '⅞'}, ['８０', 44.5]]",
    "[site]\ntotal_rise = 40\n[stair]\nrisers = 6.0\nunit_run = 39.37\nrules = '../a b.toml'",
    "units = 'mm'\n[site]\ntotal_rise = 15000\n[stair]\nunit_run = 1000",
    "[site]\ntotal_rise = 40\n[stringer]\nedges = 'trimmed'\nedge_trim = 0.25\nsill_notch = {deep = 3, high = 1}",
    "[site]\ntotal_rise = 40\n[layers]\ncut = 'Ü 1'\nMARK = 'm'\n[dxf]\nversion = 'r12'".replace("Ü 1", "U_1"),
    "[site]\ntotal_rise = 40\n[layers]\ncut = 'Ü 1'",
    "[site]\ntotal_rise = 40\n[extras]\npitch_gauge = true\ntrial_piece = false\nsill_plate = false",
    "[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 3, high = 1.49}\n[extras]\nsill_plate = 2.0",
    "[site]\ntotal_rise = 40\n[job]\nname = '👩‍🔧 / \"x\"'",
    "[site]\ntotal_rise = 40\n[[stock]]\nsize = ' 2 × 12 '\nlength = 144\nprice = 0\nquantity = 0\ndefects = []",
    "[site]\ntotal_rise = 40\n[treads]\nsize = '2x6'\nspan_most = 16\nspan_source = 'x'\n[rail]\nposts = [1, 2.0]",
    "[site]\ntotal_rise = 40\n[[as_cut]]\nmark = 'tip 1'\nalong = '8 9/16'\n[[as_cut]]\nlength = 60\nthroat = 5",
    "[site]\ntotal_rise = 40\n[saw]\n[[lumber]]\nsize = '5/4 x 6'\nlength = 96",
    "[site]\ntotal_rise = 40\n[[stock]]\nsize = [1.5, '11 1/4']\nlength = \"12'\"\nwidths = [11, '11 1/8']",
]

# Starts of the faults that JSON Schema can't see: numbers inside texts, and how values go together.
READERS_OWN = (
    "stair.unit_run: can't read",
    'stair.unit_rise: "-7"',
    "site.profile[1].down: can't read",
    "site.profile[1]: along = 40",
    "site.profile[2]: lies",
    "site.pad_reveal.least: ",
    "site.above[1].out: ",
    "stringer.width: ",
    "stringer.turn_over: true with sheets",
    "stringer.edges: ",
    "machine.common_cuts: true with",
    "stock[0].grain: ",
    "stock[1].kind: ",
    "treads.size: 5/4x6 is",
    "riser_boards: stair.riser_board",
    "rail.place: ",
    "treads.side_overhang: ",
    "extras.sill_plate: there is",
    "as_cut[0]: holds no reading",
    "as_cut[0].mark: missing",
    "extras.sill_plate: a strip",
    "stock[0].widths[1]: 11.8125",
    "stock[0].defects",
    "layers.MARK: ",
    'layers.CUT: "Ü" is no name in R12',
    f'layers.CUT: "{"A" * 32}" is no name in R12',
)


#: What TOML has and JSON has not, and a number too long for the validator's own message.
NOT_JSON = {"nan", "1979-05-27", f"0x{'f' * 9000}"}


@pytest.mark.parametrize("text", GOOD)
def test_good_jobs_pass_both(text: str) -> None:
    data = tomllib.loads(text)
    job_of(data, Path("a.toml"))
    VALIDATOR.validate(data)


@pytest.mark.parametrize("text", [text for text, *_ in ONE_FAULT if not NOT_JSON & set(text.split())])
def test_bad_jobs_fail_both_unless_only_the_reader_can_tell(text: str) -> None:
    data = tomllib.loads(text)
    with pytest.raises(JobFaults) as caught:
        job_of(data, Path("a.toml"))
    (fault,) = caught.value.faults
    assert VALIDATOR.is_valid(data) == str(fault).startswith(READERS_OWN), fault


def has_what_json_has_not(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(has_what_json_has_not, value.values()))
    if isinstance(value, list):
        return any(map(has_what_json_has_not, value))
    return isinstance(value, datetime.date | datetime.time)


@given(changed_jobs())
@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_the_schema_refuses_nothing_that_reads(data: dict) -> None:
    try:
        job_of(data, Path("a.toml"))
    except JobFaults:
        return
    assert not has_what_json_has_not(data)
    VALIDATOR.validate(data)


@pytest.mark.slow
@given(jobs())
@settings(max_examples=60, deadline=None)
def test_the_schema_takes_every_job_within_bounds(data: dict) -> None:
    job_of(data, Path("a.toml"))
    VALIDATOR.validate(data)


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(schema())
    assert json.loads(json.dumps(schema(), allow_nan=False)) == schema()


def test_the_schema_tells_what_every_key_means() -> None:
    text = json.dumps(schema(), ensure_ascii=False)
    for name, key in every_key(JOB):
        assert json.dumps(key.told(), ensure_ascii=False) in text, name


def test_every_table_refuses_other_keys() -> None:
    found = 0

    def walk(part: object) -> None:
        nonlocal found
        if isinstance(part, dict):
            if part.get("type") == "object":
                found += 1
                assert part["additionalProperties"] is False
            for inner in part.values():
                walk(inner)
        elif isinstance(part, list):
            for inner in part:
                walk(inner)

    walk(schema())
    # The file, at least its ten tables, pad_reveal, sill_notch and a taut reading.
    assert found >= 14

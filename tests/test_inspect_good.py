"""No false alarms: sound files in other makers' styles are found sound, as they are and against their job."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutpath.inspect.read import read
from cutpath.inspect.whole import inspect_against, inspect_seen
from cutpath.units import shown_in
from tests.good_files import GOOD, Good
from tests.jobs import job_of_plan, job_with, plan_of


def test_there_are_twenty_at_the_least_each_of_its_own() -> None:
    assert len(GOOD) >= 20 and len({g.name for g in GOOD}) == len(GOOD)


@pytest.mark.parametrize("good", GOOD, ids=lambda g: g.name)
def test_a_sound_file_gives_no_alarm(good: Good, tmp_path: Path) -> None:
    found = inspect_seen(read(good.write(tmp_path)))
    assert {f.kind for f in found.findings} == good.told, [f.words for f in found.findings]
    assert found.closed >= 1 and found.open == 0


@pytest.mark.parametrize("good", [g for g in GOOD if "R2007" in g.name or "GDAL" in g.name], ids=lambda g: g.name)
def test_and_is_the_part_that_it_is(good: Good, tmp_path: Path) -> None:
    if "plate" in good.name:
        pytest.skip("the plate is no part of a job")
    plan = plan_of(job_with("orchard-steps"))
    found = inspect_against(read(good.write(tmp_path)), job_of_plan(plan), shown_in("in"))
    assert not found.spoils, [f.words for f in found.findings]
    assert found.laid[0].deviation < 0.03 and not found.laid[0].mirrored

"""The table of an export's files: for each a job that has it and one that lacks it; and nothing besides is written."""

from __future__ import annotations

from collections.abc import Iterable
from fnmatch import fnmatch
from functools import cache
from typing import Any, Final

import pytest

from cutpath.export.one import export_files
from cutpath.export.outputs import OUTPUTS, Of, made
from cutpath.export.together import export_together
from cutpath.plan.stages import plan_together
from cutpath.plan.together import Entrant
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from cutpath.work.whole import work_of
from tests.jobs import job_with, plan_of

#: Jobs: the demo that each starts from, and the keys changed in it.
JOBS: Final[dict[str, tuple[str, dict[str, Any]]]] = {
    "demo": ("orchard-steps", {}),
    "housed": ("closed-string", {}),
    "shared cuts": ("garden-room", {"machine": {"bed": None, "common_cuts": True}}),
    "short bed": ("orchard-steps", {"machine": {"bed": [96, 60]}}),
    "gauge": ("boat-landing", {}),
    "treads": ("orchard-steps", {"treads": {"size": "2x6"}, "rail": {"place": "inside"}}),
}

#: For each file the job that has it and the one that lacks it; "": each has it.
HAD_BY: Final = {
    "stair.svg": ("housed", ""),
    "stringer.svg": ("housed", ""),
    "plan.svg": ("treads", "housed"),
    "tread*.svg": ("treads", "housed"),
    "rail.svg": ("treads", "housed"),
    "rail-cuts.svg": ("treads", "housed"),
    "rail-marks*.svg": ("treads", "housed"),
    "strength.svg": ("demo", "gauge"),
    "corners.svg": ("demo", "housed"),
    "pitch-gauge.svg": ("gauge", "demo"),
    "board-*.svg": ("housed", ""),
    "board-*-shared.svg": ("shared cuts", "demo"),
    "board-*-setup-*.svg": ("short bed", "demo"),
    "lumber-*.svg": ("treads", "demo"),
    "cut-list.csv": ("housed", ""),
    "pattern.pdf": ("demo", ""),
}

#: What stands apart from the table.
APART: Final = ("parts/*.dxf", "boards/*.dxf", "trial/trial-piece.dxf", "packet.html", "result.json")


@cache
def inputs(name: str) -> Of:
    """What the files of a job are made of."""
    base, changes = JOBS[name]
    plan = plan_of(job_with(base, **changes))
    return Of(plan, work_of(plan))


def test_the_table_has_each_file_once() -> None:
    assert [output.name for output in OUTPUTS] == list(HAD_BY)


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda output: output.name)
def test_a_file_is_there_when_the_table_says(output: Any) -> None:
    has, lacks = HAD_BY[output.name]
    found = output.make(inputs(has))
    assert found, output.when
    assert all(fnmatch(name, output.name) and data for name, data in found.items())
    assert (output.when == "always") == (not lacks)
    if lacks:
        assert not output.make(inputs(lacks)), output.when


def unlisted(files: Iterable[str], folders: dict[str, str]) -> set[str]:
    """The files that neither the table nor `APART` has, given the folder of each of the table's rows."""
    known = [f"{folders[output.whose]}{output.name}" for output in OUTPUTS]
    return {path for path in files if not any(fnmatch(path, each) for each in (*known, *APART))}


def test_one_job_s_export_holds_the_table_s_files_and_no_others() -> None:
    of, read = inputs("demo"), job_with()
    files = export_files(of.plan, read.values, (), with_cuts=True).files
    assert not unlisted(files, {"job drawn": "pictures/", "boards drawn": "pictures/", "shop": "", "job's site": ""})
    for whose, folder in (("job drawn", "pictures"), ("boards drawn", "pictures"), ("shop", ""), ("job's site", "")):
        for path, data in made(whose, of, folder).items():  # type: ignore[arg-type]
            assert files[path] == data


@pytest.mark.slow
def test_an_export_of_several_holds_them_for_each_job() -> None:
    reads = [job_with(job={"name": name}) for name in ("Left", "Right")]
    show = shown_in(reads[0].job.units)
    entrants = [Entrant(r.job.name, r.job, load_rules(r.job.stair.rules), show) for r in reads]
    found = plan_together(entrants, tuple(entry for r in reads for entry in r.job.stock))
    files = export_together(found, [r.values for r in reads], [(), ()]).files
    folders = {"job drawn": "pictures/*/", "boards drawn": "pictures/", "shop": "", "job's site": "sites/*/"}
    assert {path for path in unlisted(files, folders) if not path.endswith("/packet.html")} == set()
    for name in ("left", "right"):
        for path in (f"pictures/{name}/stair.svg", f"pictures/{name}/strength.svg", f"sites/{name}/pattern.pdf"):
            assert path in files

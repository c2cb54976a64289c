"""Random jobs over the options: each is cut as designed, or refused by a line that names what to change."""

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cut.coincide import apart
from cutpath.export.cut_files import cut_files
from cutpath.faults import Fault
from cutpath.job.read import job_of
from cutpath.nest.boards.misfits import BadLayout
from cutpath.outline import straight
from cutpath.plan.laid import verify
from cutpath.progress import quiet
from cutpath.rules.values import Check
from cutpath.work.cut_check import cut_verdict
from cutpath.work.whole import work_of
from tests.jobs import job_with, plan_of

LOOSE = """title = "Looser limits, for random jobs"
[limit.rise]
least = "50 mm"
most = "400 mm"
source = "none"
"""


def eighths(low: int, high: int) -> st.SearchStrategy[float]:
    """Inches in eighths, as a tape gives them: round numbers are what makes lines fall together."""
    return st.integers(8 * low, 8 * high).map(lambda n: n / 8)


STAIRS = st.fixed_dictionaries(
    {
        "top_tread": st.sampled_from(["one-below", "at-floor"]),
        "unit_run": eighths(6, 12),
        "tread_thickness": st.sampled_from([1, 1.5, 1.75]),
        "riser_board": st.sampled_from([0, 0.625, 0.75]),
        "nosing": st.sampled_from([0, 0.75, 1]),
        "risers": st.integers(2, 7),
    }
)
STRINGERS = st.fixed_dictionaries(
    {
        "count": st.sampled_from([2, 4]),
        "edges": st.sampled_from(["factory", "trimmed"]),
        "throat_least": st.just(0),
        "sill_notch": st.none() | st.fixed_dictionaries({"deep": eighths(1, 4), "high": eighths(1, 2)}),
        "top_gap": st.sampled_from([0, 0.125]),
    }
)
FORMS: list[dict[str, Any]] = [
    {"form": "notched"},
    {"form": "notched", "turn_over": True},
    {"form": "housed", "count": 2},
    {"form": "housed", "count": 2, "housing": {"play": 0}},
    {"form": "plate", "plate": {"profile": "straight", "bracket": {"count": 0}}},
    {"form": "plate", "plate": {"profile": "saw-tooth", "bracket": {"count": 0}}, "turn_over": True},
]
CUTTERS = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(["router", "router", "beam"]),
        "width": st.sampled_from([0.006, 0.02, 0.25, 0.375, 0.5, 0.75]),
        "corner": st.sampled_from(["relieved", "rounded"]),
        "path": st.sampled_from(["design", "centre"]),
        "relief": st.sampled_from(["most-throat", "diagonal", "riser-side", "tread-side"]),
        "outside": st.sampled_from(["sharp", "rolled"]),
        "direction": st.sampled_from(["climb", "conventional"]),
        "overrun": eighths(0, 2),
        "lead": st.sampled_from([0, 0, 0.5, 1]),
    }
)
TABS = st.fixed_dictionaries(
    {
        "count": st.sampled_from([0, 0, 1, 3]),
        "waste": st.sampled_from(["free", "tabbed"]),
        "shown": st.sampled_from(["gap", "layer"]),
    }
)
MACHINES = st.fixed_dictionaries(
    {
        "part_gap": st.sampled_from([0, 0.25, 0.5]),
        "end_trim": st.sampled_from([0, 0.25]),
        "indexing": st.sampled_from(["stop", "holes"]),
        "common_cuts": st.booleans(),
    },
    optional={"bed": st.tuples(eighths(30, 150), st.just(60)).map(list)},
)
BOARDS = st.fixed_dictionaries({"size": st.tuples(st.just(1.5), eighths(9, 17)).map(list), "length": st.just(192)})


@st.composite
def jobs(draw: st.DrawFn) -> dict[str, Any]:
    """Job values whose keys go together."""
    stair, stringer = draw(STAIRS), {**draw(STRINGERS), **draw(st.sampled_from(FORMS))}
    cutter, tabs, machine = draw(CUTTERS), draw(TABS), draw(MACHINES)
    if machine["common_cuts"]:
        machine.pop("bed", None)
        cutter |= {"path": "centre", "lead": 0}
        tabs = {}
    stock = [draw(BOARDS), draw(BOARDS)]
    stock[1]["size"][1] += draw(st.sampled_from([0, 1, 2]))
    if draw(st.integers(0, 4)) == 0 and not machine["common_cuts"]:
        stringer |= {"edges": "trimmed", "turn_over": False, "width": stock[0]["size"][1]}
        machine.pop("bed", None)
        stock = [{"kind": "sheet", "grain": draw(st.sampled_from(["along", "free"])), "size": [1.5, 48], "length": 120}]
    if stringer["sill_notch"] is None:
        del stringer["sill_notch"]
    rise = draw(eighths(4, 8)) * stair["risers"]
    extras = {"pitch_gauge": draw(st.booleans())}
    return {
        "units": "in",
        "site": {"total_rise": rise},
        "stair": stair,
        "stringer": stringer,
        "cutter": cutter,
        "tabs": tabs,
        "machine": machine,
        "extras": extras,
        "stock": stock,
    }


def cut(values: dict[str, Any], folder: Path) -> Check:
    """What the simulated cut of a job's files says, its rules loosened."""
    (folder / "loose.rules.toml").write_text(LOOSE)
    loose = {**values, "stair": {**values["stair"], "rules": "loose.rules.toml"}}
    plan = plan_of(job_of(loose, folder / "random.toml"))
    verify(plan)
    _, checks = cut_files(plan, work_of(plan), quiet)
    return cut_verdict(checks)


@pytest.mark.slow
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_a_job_is_cut_as_designed_or_refused_by_name(values: dict[str, Any]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        try:
            verdict = cut(values, Path(folder))
        except BadLayout:
            raise
        except Fault as fault:
            assert "fault of the program" not in str(fault), fault
            return
    assert verdict.ok, verdict.note


#: Three risers from a plate: its upper edge is so short that the cuts of its two ends meet just past the board.
SHORT_PLATE: dict[str, Any] = {
    "units": "in",
    "site": {"total_rise": 18},
    "stair": {
        "unit_run": 6.25,
        "tread_thickness": 1.75,
        "riser_board": 0.75,
        "nosing": 0.75,
        "floor_overhang": 1.5,
        "risers": 3,
    },
    "stringer": {
        "form": "plate",
        "count": 3,
        "throat_least": 0,
        "top_gap": 0.09375,
        "margin": 1.25,
        "plate": {"profile": "straight", "bracket": {"count": 0}},
    },
    "stock": [{"size": [0.90625, 14.9375], "length": 100, "widths": [13.4375]}],
}


#: Every overrun with either path; the ways round the outside, the sense and the width take turns beside them.
MEETING = [
    (
        overrun,
        path,
        ("sharp", "rolled")[(i + j) % 2],
        ("climb", "conventional")[(i // 2 + j) % 2],
        (13.4375, 14.9375)[(i // 3 + i + j) % 2],
    )
    for i, overrun in enumerate([0, 0.3, 0.4, 0.5, 1, 2])
    for j, path in enumerate(["design", "centre"])
]


@pytest.mark.parametrize(("overrun", "path", "outside", "direction", "width"), MEETING)
def test_end_cuts_that_meet_past_the_board_are_joined(
    tmp_path: Path, overrun: float, path: str, outside: str, direction: str, width: float
) -> None:
    cutter = {"width": 0.75, "overrun": overrun, "path": path, "outside": outside, "direction": direction}
    boards = [
        {"size": [0.90625, 14.9375], "length": 100, "widths": [width]},
        {"size": [0.90625, 13.4375], "length": 20},
    ]
    verdict = cut({**SHORT_PLATE, "cutter": cutter, "stock": boards}, tmp_path)
    assert verdict.ok, verdict.note


#: The notch for a sill plate is as deep as the lowest riser's housing stands back.
HOUSED: dict[str, Any] = {
    "units": "in",
    "site": {"total_rise": 42},
    "stair": {"unit_run": 11, "tread_thickness": 1.75, "riser_board": 0.625, "nosing": 0.875, "risers": 6},
    "stringer": {"form": "housed", "count": 2, "throat_least": 0, "housing": {"depth": 0.5, "play": 0}},
    "stock": [{"size": [1.875, 14.25], "length": 265}],
}


#: In line with the housing's back and front, the tool's centre line in line with them, and beside all; every depth with
#: either path, every other time with either corner.
DEPTHS = (3.1875, 3.1875 - 0.625, 3.1875 + 0.25, 3.1875 - 0.375, 3.125, 3.25, 2)
IN_LINE = [
    (deep, ("rounded", "relieved")[(i + j) % 2], path)
    for i, deep in enumerate(DEPTHS)
    for j, path in enumerate(["design", "centre"])
]


@pytest.mark.parametrize(("deep", "corner", "path"), IN_LINE)
def test_a_notch_in_line_with_a_housing_is_cut(tmp_path: Path, deep: float, corner: str, path: str) -> None:
    stringer = {**HOUSED["stringer"], "margin": 1.6875, "sill_notch": {"deep": deep, "high": 1.375}}
    values = {**HOUSED, "stringer": stringer, "cutter": {"width": 0.5, "corner": corner, "path": path}}
    assert cut(values, tmp_path).ok


def test_a_housing_in_line_with_another_cut_is_refused_by_its_key() -> None:
    read = job_with("closed-string")
    right = plan_of(read).design.part
    pocket = right.pockets[0]
    (x0, y0), (x1, y1) = next(
        (a, b)
        for i, (a, b, _) in enumerate(right.outline.segments())
        if {right.roles[i], right.roles[(i + 1) % len(right.roles)]} == {"heel", "top"}
    )
    beside = straight(((x0, y0), (x1, y1), (x1 + 30, y1), (x0 + 30, y0)), closed=True)
    with pytest.raises(Fault, match=r"^stringer\.top_gap: the plumb cut .* change it by"):
        apart(replace(right, pockets=(replace(pocket, outline=beside),)), read.job.cutter)

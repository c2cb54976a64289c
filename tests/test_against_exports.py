"""Every cut file that an export writes, held against the job that wrote it: clean, or with true notes alone.

What is looked at is what an export writes, from `tests.jobs`; files spoilt afterwards are found.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.math import Matrix44

from cutpath.dxf.write import dxf_bytes
from cutpath.inspect.against.of_job import wanted_parts
from cutpath.inspect.read import read, seen
from cutpath.inspect.values import Inspected
from cutpath.inspect.whole import inspect_against, inspect_seen
from cutpath.job.read import ReadJob, read_job
from cutpath.plan.stages import plan_together
from cutpath.plan.together import Entrant
from cutpath.plan.values import Plan
from cutpath.report.inspect import inspect_text
from cutpath.rules.load import load_rules
from cutpath.tables.inspected import inspected_data
from cutpath.units import shown_in
from cutpath.work.whole import work_of
from tests.jobs import FIXTURES, job_of_plan, job_with, plan_of
from tests.zoo import GOLDEN

TWO = {"size": "2x12", "length": "20'"}
#: Jobs by what is special about their files: an own demo, or one with keys changed.
JOBS: dict[str, Callable[[], ReadJob]] = {
    **{path.stem: lambda path=path: read_job(path) for path in sorted(FIXTURES.glob("*.toml"))},
    "shared, kept edges": lambda: job_with(
        stock=[TWO], cutter={"path": "centre"}, machine={"common_cuts": True, "bed": None}
    ),
    "shared, millimetres": lambda: job_with("garden-room", machine={"common_cuts": True, "bed": None}),
    "set-ups, index holes, the tool's line": lambda: job_with(
        machine={"bed": [60, 60], "indexing": "holes"}, cutter={"path": "centre"}
    ),
    "set-ups of housed strings": lambda: job_with("closed-string", machine={"bed": [2000, 1000]}),
    "tabs on a layer": lambda: job_with("panel-steps", tabs={"shown": "layer"}, stringer={"count": 2}),
    "a plate, the tool's line": lambda: job_with("steel-plate", cutter={"path": "centre"}),
}
#: What is true of a file and no fault: ends that another set-up or a neighbour's line goes on from, tabs.
NOTES = {"set-up-end", "shared-end", "tab-gap"}
#: Those of a quick cycle; the others take longer.
QUICK = ("garden-room", "shared, millimetres")


def looked(data: bytes, plan: Plan, jobs: tuple[Plan, ...] = ()) -> tuple[Inspected, Inspected]:
    """A file by itself, and against a job."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sent.dxf"
        path.write_bytes(data)
        there = read(path)
    return inspect_seen(there), inspect_against(there, job_of_plan(plan, jobs), shown_in(plan.job.units))


@cache
def cut_files(name: str) -> dict[str, bytes]:
    """What an export of a job writes: of a demo the golden files, which are just that, else what boards are cut by."""
    own = GOLDEN / name
    if own.is_dir():
        return {str(path.relative_to(own)): path.read_bytes() for path in sorted(own.glob("*/*.dxf"))}
    return board_files(plan_of(JOBS[name]()))


def board_files(whole: Plan) -> dict[str, bytes]:
    """Boards' files as an export writes them; those of parts carry what the demo's do."""
    job = whole.job
    return {
        path: dxf_bytes(path, drawing, job.units, job.dxf_version, job.layers)
        for path, drawing in work_of(whole).drawings.items()
        if path.startswith("boards/")
    }


def judge(name: str, alone: Inspected, found: Inspected) -> None:
    """Whether nothing but notes is told, and all that is cut is known."""
    for each in (alone, found):
        assert {f.kind for f in each.findings} <= NOTES, (name, [f"{f.kind}: {f.words}" for f in each.findings])
    parts = found.laid if found.followed is None else found.followed.parts
    assert parts and max(part.deviation for part in parts) < 0.002, name
    for part in found.laid:
        # A board wider than the part leaves more wood, never less.
        assert all(drawn > design - 0.002 for _, drawn, design in part.throats), name
    inspect_text(found)
    inspected_data(found)


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[] if name in QUICK else pytest.mark.slow, id=name) for name in JOBS]
)
def test_every_cut_file_of_an_export_is_its_job_s(name: str) -> None:
    job = JOBS[name]()
    plan = plan_of(job)
    shares: dict[tuple[int, int], float] = {}
    files = cut_files(name)
    for path, data in files.items():
        alone, found = looked(data, plan)
        judge(path, alone, found)
        here = found.followed
        assert ("-setup-" in path) == (here is not None and bool(here.set_up)), path
        if here is not None and here.set_up:
            assert path.endswith(f"{here.board:02d}-setup-{here.set_up}.dxf") and not here.where
            assert any("DRILL: index holes" in text for text in found.seen.texts) == (here.index_holes > 0)
            for part in here.parts:
                key = (here.board, part.number)
                shares[key] = shares.get(key, 0.0) + part.share
        elif path.startswith("boards/"):
            (board,) = [b for k, b in enumerate(plan.layout.boards) if path == f"boards/{k + 1:02d}.dxf"]
            parts = found.laid if here is None else here.parts
            assert sorted(p.name for p in parts) == sorted(p.name for p in board.parts), path
    # Set-ups together cut all of a part, and a little twice where they meet.
    assert all(1 - 1e-6 <= share < 1.1 for share in shares.values()), shares
    assert ("-setup-" in "".join(files)) == bool(shares)


@pytest.mark.slow
def test_files_of_several_jobs_are_known_where_all_are_named() -> None:
    # Against a stop, the design's lines, trimmed: of one job it is no other.
    own = {"machine": {"bed": [60, 60]}, "stringer": {"edges": "trimmed"}}
    reads = [job_with(job={"name": name}, **own) for name in ("Back door", "Front door")]
    entrants = [Entrant(r.job.name, r.job, load_rules(r.job.stair.rules), shown_in("in")) for r in reads]
    together = plan_together(entrants, reads[0].job.stock)
    whole = together.whole
    for path, data in board_files(whole).items():
        judge(path, *looked(data, whole, together.plans))


def opened(path: str = "boards/01-setup-1.dxf", name: str = "set-ups, index holes, the tool's line") -> Drawing:
    return ezdxf.read(io.StringIO(cut_files(name)[path].decode()))


def kinds(doc: Drawing, name: str = "set-ups, index holes, the tool's line") -> set[str]:
    plan = plan_of(JOBS[name]())
    found = inspect_against(seen("sent.dxf", doc), job_of_plan(plan), shown_in(plan.job.units))
    return {f.kind for f in found.findings} - NOTES


def cuts(doc: Drawing) -> Iterator[Any]:
    return (e for e in doc.modelspace() if e.dxf.layer == "CUT")


def _bent(doc: Drawing, by: float) -> None:
    line = next(cuts(doc))
    points = [tuple(p) for p in line.get_points("xyb")]
    x, y, bulge = points[len(points) // 2]
    points[len(points) // 2] = (x + by, y, bulge)
    line.set_points(points, format="xyb")


def _cut_short(doc: Drawing) -> None:
    line = next(cuts(doc))
    line.set_points(list(line.get_points("xyb"))[:-6], format="xyb")


def _one_more(doc: Drawing) -> None:
    doc.modelspace().add_lwpolyline([(10, 3), (20, 3)], dxfattribs={"layer": "CUT"})


def _hole(doc: Drawing, change: Callable[[Any], None]) -> None:
    change(next(e for e in doc.modelspace() if e.dxftype() == "CIRCLE"))


def _everywhere(doc: Drawing, matrix: Matrix44) -> None:
    for entity in doc.modelspace():
        entity.transform(matrix)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("spoil", "finds"),
    [
        (lambda doc: _bent(doc, 0.1), {"deviation"}),
        (lambda doc: _bent(doc, 0.01), {"small-deviation"}),
        (_cut_short, {"missing-cut"}),
        (_one_more, {"extra-cut"}),
        (lambda doc: _hole(doc, lambda hole: setattr(hole.dxf, "radius", hole.dxf.radius * 2)), {"hole-size"}),
        (lambda doc: _hole(doc, lambda hole: hole.translate(0.05, 0, 0)), {"hole-moved"}),
        (lambda doc: _hole(doc, doc.modelspace().delete_entity), {"missing-hole"}),
        (lambda doc: doc.modelspace().add_circle((50, 1), 0.2, dxfattribs={"layer": "DRILL"}), {"extra-hole"}),
        (lambda doc: _everywhere(doc, Matrix44.translate(7, 2, 0)), {"set-up-moved"}),
        (lambda doc: _everywhere(doc, Matrix44.z_rotate(1.5707963267948966)), {"set-up-moved"}),
    ],
    ids=(
        "bent",
        "bent-a-little",
        "cut-short",
        "one-more",
        "wide-hole",
        "hole-off",
        "no-hole",
        "new-hole",
        "off",
        "turned",
    ),
)
def test_a_set_up_that_was_changed_is_found(spoil: Callable[[Drawing], None], finds: set[str]) -> None:
    doc = opened()
    assert not kinds(doc)
    spoil(doc)
    # One that is bent may run over its own relief.
    assert kinds(doc) - {"crossing"} == finds


@pytest.mark.slow
def test_a_set_up_of_another_job_is_none_of_this_one_s() -> None:
    doc = opened()
    assert "unknown-set-up" in kinds(doc, "garden-room")


def test_without_its_notes_a_set_up_is_known_by_what_it_cuts() -> None:
    doc = opened()
    for note in list(doc.modelspace().query("TEXT MTEXT")):
        doc.modelspace().delete_entity(note)
    assert not kinds(doc)


@pytest.mark.slow
def test_a_shared_cut_that_lacks_or_is_off_is_found() -> None:
    name = "shared, millimetres"
    doc = opened("boards/01.dxf", name)
    assert not kinds(doc, name)
    _bent(doc, 2.0)
    assert "deviation" in kinds(doc, name)
    doc = opened("boards/01.dxf", name)
    doc.modelspace().delete_entity(list(cuts(doc))[1])
    assert "missing-cut" in kinds(doc, name)


def test_what_a_plan_wants_is_more_than_its_stringers() -> None:
    plan = plan_of(read_job(FIXTURES / "boat-landing.toml"))
    assert [part.name for part in wanted_parts(plan)][-1] == "trial piece"

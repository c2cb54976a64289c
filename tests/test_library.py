"""The library's face, as a notebook would use it."""

import subprocess
import sys

import pytest

import cutpath
from tests.jobs import FIXTURES


def test_every_name_is_there() -> None:
    for name in cutpath.__all__:
        assert callable(getattr(cutpath, name)), name


def test_the_stages_can_be_called_one_by_one(tmp_path) -> None:
    read = cutpath.read_job(FIXTURES / "orchard-steps.toml")
    rules = cutpath.load_rules(read.job.stair.rules)
    planned = cutpath.plan_job(read.job, rules, lambda mm: cutpath.show(mm, read.job.units))
    made = cutpath.export_files(planned, read.values, (), with_cuts=planned.design.holds)
    cutpath.place_files(tmp_path / "out", made.files, force=False)
    assert sorted(p.name for p in (tmp_path / "out" / "boards").iterdir()) == ["01.dxf", "02.dxf"]


#: One process, what each step may load besides what the steps before it have.
STEPS = """
import contextlib, io, sys
from pathlib import Path
HEAVY = {"shapely", "ezdxf", "numpy", "highspy", "reportlab", "starlette", "uvicorn", "jinja2", "spyrrow", "tomlkit",
         "cutpath.page"}
def loaded():
    return sorted(HEAVY & set(sys.modules))
demo, thin, few, rack, out = sys.argv[1:]
import cutpath
read = cutpath.read_job(Path(demo))
cutpath.solve_job(read.job, cutpath.load_rules("irc-2021"), str)
print("solve_job", 0, loaded())
from cutpath.cli.main import run
for words in (
    ["--help"], ["solve", few], ["check", few], ["nest", few], ["export", thin, "-o", out + "-thin"],
    ["export", few, "-o", out], ["export", few, "--stock", rack, "-o", out + "-few"],
    ["export", few, "--stock", rack, "--update-stock", "-o", out + "-few"],
):
    with contextlib.redirect_stdout(io.StringIO()):
        status = run(words)
    print(" ".join(w for w in words if not w.startswith("/")), status, loaded())
"""


@pytest.mark.slow
def test_heavy_libraries_are_started_where_they_are_used_and_not_before(tmp_path) -> None:
    """Reading and solving need no geometry; one kind of part is settled by arithmetic; ezdxf is for cut files alone.

    Where a check fails none are written. tomlkit is for changing a stock file, the page's libraries for the page.
    """
    thin, few, rack = tmp_path / "thin.toml", tmp_path / "few.toml", tmp_path / "rack.toml"
    # Stringers alone: pieces of several kinds on lumber are nested by the solver.
    few.write_text("[site]\ntotal_rise = 42\n")
    thin.write_text("[site]\ntotal_rise = 42\n[stringer]\nthroat_least = 7\n")
    rack.write_text('[[stock]]\nsize = "2x12"\nlength = "8\'"\nquantity = 9\n')
    words = [str(w) for w in (FIXTURES / "orchard-steps.toml", thin, few, rack, tmp_path / "out")]
    done = subprocess.run([sys.executable, "-c", STEPS, *words], capture_output=True, text=True, check=True)
    geometry, files = ["numpy", "shapely"], ["ezdxf", "numpy", "reportlab", "shapely"]
    assert done.stdout.splitlines() == [
        "solve_job 0 []",
        "--help 0 []",
        f"solve 0 {geometry}",
        f"check 0 {geometry}",
        f"nest 0 {geometry}",
        f"export -o 1 {geometry}",
        f"export -o 0 {files}",
        f"export --stock -o 0 {files}",
        f"export --stock --update-stock -o 0 {[*files, 'tomlkit']}",
    ]


@pytest.mark.slow
def test_the_page_s_session_runs_and_gives_what_it_shows(tmp_path, monkeypatch) -> None:
    import doctest
    import shutil

    page = (FIXTURES.parent / "docs" / "library.md").read_text(encoding="utf-8")
    shutil.copytree(FIXTURES, tmp_path / "fixtures", ignore=shutil.ignore_patterns("golden"))
    monkeypatch.chdir(tmp_path)
    session = doctest.DocTestParser().get_doctest(page, {}, "library.md", "docs/library.md", 0)
    assert len(session.examples) > 20
    said: list[str] = []
    doctest.DocTestRunner().run(session, out=said.append)
    assert not said, "".join(said)


def test_the_session_uses_all_but_the_stages_that_the_page_only_names() -> None:
    page = (FIXTURES.parent / "docs" / "library.md").read_text(encoding="utf-8")
    assert [name for name in cutpath.__all__ if name not in page] == []


def test_what_is_wrong_says_which_key_and_the_way_out() -> None:
    from tests.jobs import job_with

    for changes, key, way_out in (
        ({"stair": {"unit_run": 9}}, "stair.unit_run", "change stair.unit_run"),
        ({"stock": [{"size": "2x6", "length": 192}]}, "stock", "use wider stock"),
        ({"stock": [{"size": "2x12", "length": 40}]}, "stock", ""),
    ):
        with pytest.raises(cutpath.Fault) as caught:
            cutpath.plan_job(job_with(**changes).job)
        fault = caught.value
        assert fault.key == key, str(fault)
        assert way_out in fault.way_out and str(fault).startswith(fault.text)

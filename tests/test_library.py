"""The library's face, as a notebook would use it."""

import subprocess
import sys

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


def test_nothing_heavy_is_loaded_to_print_help() -> None:
    """Start-up: shapely, ezdxf, numpy and the rest are loaded where they are used."""
    code = (
        "import sys, contextlib, io\nfrom cutpath.cli.main import run\n"
        "with contextlib.redirect_stdout(io.StringIO()): run(['--help'])\n"
        "heavy = {'shapely', 'ezdxf', 'numpy', 'highspy', 'reportlab', 'starlette', 'uvicorn', 'jinja2'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_reading_and_solving_need_no_geometry_library() -> None:
    code = (
        "import sys\nfrom pathlib import Path\nimport cutpath\n"
        f"read = cutpath.read_job(Path({str(FIXTURES / 'orchard-steps.toml')!r}))\n"
        "cutpath.solve_job(read.job, cutpath.load_rules('irc-2021'), str)\n"
        "print(sorted({'shapely', 'ezdxf', 'numpy', 'highspy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_heavy_libraries_are_started_by_no_command_that_does_without_them(tmp_path) -> None:
    """One kind of part is settled by arithmetic, and ezdxf is for writing cut files alone."""
    code = (
        "import sys\nfrom cutpath.cli.main import run\n"
        f"status = run([sys.argv[1], {str(FIXTURES / 'orchard-steps.toml')!r}, *sys.argv[2:]])\n"
        "others = {'ezdxf', 'highspy', 'spyrrow', 'starlette', 'uvicorn', 'jinja2', 'cutpath.page'}\n"
        "print(status, sorted(others & set(sys.modules)))"
    )
    for command, loaded in (
        (["check"], []),
        (["nest"], []),
        (["export", "-o", str(tmp_path / "out")], ["ezdxf"]),
    ):
        done = subprocess.run([sys.executable, "-c", code, *command], capture_output=True, text=True, check=True)
        assert done.stdout.splitlines()[-1] == f"0 {loaded}"


def test_an_export_without_cut_files_starts_no_dxf_library(tmp_path) -> None:
    """A required check fails here, so that only result.json is written."""
    text = (FIXTURES / "orchard-steps.toml").read_text(encoding="utf-8")
    assert "throat_least = 5" in text
    job = tmp_path / "thin.toml"
    job.write_text(text.replace("throat_least = 5", "throat_least = 7"), encoding="utf-8")
    code = (
        "import sys\nfrom cutpath.cli.main import run\n"
        "status = run(['export', sys.argv[1], '-o', sys.argv[2]])\n"
        "print(status, sorted({'ezdxf'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(job), str(tmp_path / "out")], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "1 []"


def test_what_changes_a_stock_file_is_started_only_to_change_one(tmp_path) -> None:
    rack = tmp_path / "rack.toml"
    rack.write_text('[[stock]]\nsize = "2x12"\nlength = "8\'"\nquantity = 9\n')
    job = tmp_path / "job.toml"
    job.write_text("[site]\ntotal_rise = 42\n")
    code = (
        "import sys\nfrom cutpath.cli.main import run\n"
        f"status = run(['export', {str(job)!r}, *sys.argv[1:]])\n"
        "print(status, 'tomlkit' in sys.modules)"
    )
    for more, loaded in (([], False), (["--update-stock"], True)):
        command = ["-o", str(tmp_path / "out"), "--stock", str(rack), *more]
        done = subprocess.run([sys.executable, "-c", code, *command], capture_output=True, text=True, check=True)
        assert done.stdout.splitlines()[-1] == f"0 {loaded}"


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


def test_no_module_but_the_command_line_s_prints_or_knows_click() -> None:
    import ast
    from pathlib import Path

    root = Path(cutpath.__file__).parent
    #: Ends the process with its streams flushed; and a program of its own, whose output is the pipe to the nest.
    own = {root / "__main__.py", root / "nest" / "sheets" / "worker.py"}
    looked = [path for path in root.rglob("*.py") if path.parent != root / "cli" and path not in own]
    assert len(looked) > 150
    for path in looked:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            assert "click" not in {name.split(".")[0] for name in names}, path
            assert not (isinstance(node, ast.Name) and node.id == "print"), path
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sys":
                assert node.attr not in ("stdout", "stderr", "__stdout__", "__stderr__"), path


def test_what_is_wrong_says_which_key_and_the_way_out() -> None:
    import pytest

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

"""What a run has worked out is handed out again, but not where a test has replaced something on the way."""

from __future__ import annotations

import pytest

from cutpath.export.one import export_files
from cutpath.outline import Chain
from cutpath.plan import stages
from tests import kept
from tests.jobs import job_with, plan_anew


def test_a_plan_and_its_files_are_made_once() -> None:
    read = job_with()
    plan = plan_anew(read)
    assert plan_anew(read) is plan and plan_anew(job_with(cutter={"width": 0.25})) is not plan
    one, other = (export_files(plan, read.values, (), with_cuts=True) for _ in range(2))
    assert one.files == other.files and one.files is not other.files
    assert all(one.files[path] is other.files[path] for path in one.files if path.endswith(".dxf"))


def test_where_something_is_replaced_all_is_made_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    read = job_with()
    plan, made = plan_anew(read), stages.laid
    monkeypatch.setattr("cutpath.cli.export.put", print)
    assert plan_anew(read) is plan, "what only prints changes no plan"
    monkeypatch.setattr(stages, "laid", lambda *a, **k: made(*a, **k))
    assert plan_anew(read) is not plan


def test_so_it_is_where_a_class_is_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = plan_anew(job_with())
    monkeypatch.setattr(Chain, "area", Chain.area)
    assert plan_anew(job_with()) is not plan


def test_a_test_may_ask_for_everything_anew() -> None:
    read = job_with()
    plan = plan_anew(read)
    kept.work_out_anew()
    again = plan_anew(read)
    assert again is not plan and again == plan


def test_lengths_written_with_more_digits_are_another_plan() -> None:
    """Both write a whole millimetre alike; the notes of a plan hold lengths as they are written."""
    job = job_with("closed-string").job
    assert stages.plan(job, show=lambda mm: f"{mm:.6g} mm") is not stages.plan(job)
    assert stages.plan(job) is stages.plan(job)

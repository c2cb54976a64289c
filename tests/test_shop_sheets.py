"""Several jobs on shared sheets: what they have to agree in, what adds up, and that each keeps its own."""

from __future__ import annotations

import functools
import json
from pathlib import Path

import pytest
import shapely
from msgspec.structs import replace

import cutpath.nest.sheets.nest_sheets
from cutpath.cli.main import run
from cutpath.nest.boards.misfits import BadLayout
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import PartKind
from cutpath.plan.laid import kinds, laid, verify
from cutpath.plan.stages import plan_together
from cutpath.plan.together import Entrant, JobsDiffer, shared_stock
from cutpath.plan.values import Together
from cutpath.rules.load import load_rules
from cutpath.tolerances import GAP_SLACK
from cutpath.units import show
from tests.jobs import FIXTURES, job_with

LOFT = (FIXTURES / "panel-steps.toml").read_text()
HAY = {"job": {"name": "Hay loft"}, "site": {"total_rise": 850}, "stair": {"risers": 5}, "stringer": {"count": 3}}


def sheet(**keys: object) -> list[dict[str, object]]:
    return [{"kind": "sheet", "size": [27, 1250], "length": 2500, "price": 118, **keys}]


def together(*changes: dict[str, object]) -> Together:
    """The demo on sheets beside others like it with keys changed."""
    reads = [job_with("panel-steps"), *(job_with("panel-steps", **more) for more in changes)]
    entrants = [
        Entrant(f"{i}.toml", r.job, load_rules(r.job.stair.rules), functools.partial(show, unit=r.job.units))
        for i, r in enumerate(reads)
    ]
    return plan_together(entrants, shared_stock([read.job.stock for read in reads]))


@pytest.mark.slow
def test_two_stairs_lie_among_each_other_and_keep_the_gap() -> None:
    made = together(HAY)
    verify(made.whole)
    parts = {kind.name: kind for kind in kinds(made.whole.design)}
    boards = made.whole.layout.boards
    names = [p.name for board in boards for p in board.parts]
    assert sorted(names) == ["Hay loft stringer"] * 3 + ["Shed loft stringer"] * 4
    assert any(len({p.name for p in board.parts}) == 2 for board in boards), "the two stairs share a sheet"
    # Held once more here, apart from the program's own check; 10 mm are kept clear at the ends, 12 mm between parts.
    for board in boards:
        room = shapely.box(10, 0, 2490, 1250)
        placed = [parts[p.name].outline.moved(p.motion).polygon() for p in board.parts]
        for i, polygon in enumerate(placed):
            assert room.buffer(1e-6).contains(polygon)
            assert all(polygon.distance(other) >= 12 - GAP_SLACK for other in placed[:i])


def test_shared_sheets_cost_no_more_than_separate_ones() -> None:
    """Each of the two takes a sheet by itself, and together they take one."""
    one = {**HAY, "stringer": {"count": 1}}
    alone, both = together().whole.layout, together(one).whole.layout
    assert len(alone.boards) == len(both.boards) == 1
    assert both.value == alone.value == 118


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"stock": sheet(grain="free")}, '1.toml: stock.grain is "free", and "along" in 0.toml'),
        ({"stock": sheet(size=[25, 1250])}, "sheets of 25 x 1250 mm and of 27 x 1250 mm differ in thickness"),
        ({"cutter": {"width": 8}}, "1.toml: cutter.width is 8 mm, and 6 mm in 0.toml"),
        (
            {"stock": [{"size": [27, 290], "length": 2500}], "stringer": {"width": None}},
            "1.toml: is cut from boards, and 0.toml from sheets: state sheets under [[stock]] in 1.toml too",
        ),
    ],
)
def test_what_jobs_differ_in_is_told(changes: dict[str, object], line: str) -> None:
    with pytest.raises(JobsDiffer) as caught:
        together({**HAY, **changes})
    assert line in caught.value.lines[0]


def test_sheets_that_both_jobs_state_add_up() -> None:
    one = {"stock": sheet(quantity=1)}
    reads = [job_with("panel-steps", **one), job_with("panel-steps", **{**HAY, **one})]
    (entry,) = shared_stock([read.job.stock for read in reads])
    assert entry.quantity == 2


@pytest.mark.slow
def test_like_entries_are_counted_together() -> None:
    whole = together(HAY).whole
    parts: tuple[PartKind, ...] = kinds(whole.design)
    (stock,) = whole.job.stock
    one = replace(stock, quantity=1)
    used = [replace(board, stock=one) for board in whole.layout.boards]
    layout = replace(whole.layout, boards=tuple(used))
    assert len(used) == 2
    verify_sheets(layout, parts, 12, 10, [one, one])
    verify_sheets(layout, parts, 12, 10, [replace(stock, quantity=2)])
    verify_sheets(layout, parts, 12, 10, [one, replace(stock, quantity=None)])
    for too_few in ([one], [one, replace(stock, quantity=0)], [one, replace(stock, length=2600)]):
        with pytest.raises(BadLayout, match="2 sheets of 27 x 1250 mm are used, more than there are"):
            verify_sheets(layout, parts, 12, 10, too_few)


@pytest.mark.slow
def test_what_is_left_of_a_sheet_is_used_first_and_costs_nothing() -> None:
    made = together(HAY).whole
    (stock,) = made.job.stock
    left = replace(stock, length=1300.0, quantity=1, price=None, offcut="S", source="offcut[0]")
    job = replace(made.job, stock=(stock, left))
    layout = laid(job, made.design.parts, job.stock, str)
    verify_sheets(layout, kinds(made.design), 12, 10, job.stock)
    assert sorted(board.stock.offcut for board in layout.boards) == ["", "S"]
    assert (layout.value, layout.measure) == (118, "money") and made.layout.value == 236
    with pytest.raises(BadLayout, match="value is 118, its boards' 236"):
        as_bought = tuple(replace(b, stock=replace(b.stock, offcut="", price=118)) for b in layout.boards)
        verify_sheets(replace(layout, boards=as_bought), kinds(made.design), 12, 10)


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    other = LOFT.replace('"Shed loft"', '"Hay loft"').replace("count = 4", "count = 2")
    (tmp_path / "a.toml").write_text(LOFT.replace("count = 4", "count = 1"))
    (tmp_path / "b.toml").write_text(other)
    (tmp_path / "thin.toml").write_text(other.replace("throat_least = 120", "throat_least = 200"))
    return tmp_path


@pytest.mark.slow
def test_export_writes_both_with_a_job_left_out_when_asked(yard: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = [str(yard / name) for name in ("a.toml", "thin.toml", "b.toml")]
    assert run(["export", *jobs, "-o", str(yard / "out"), "--go-on"]) == 1
    out, err = capsys.readouterr()
    assert "thin.toml: check throat fails; left out" in err and "3 stringers on 1 sheet" in out
    result = json.loads((yard / "out" / "result.json").read_text())
    assert [job["name"] for job in result["jobs"]] == ["Shed loft", "Hay loft"]
    assert all(cut["ok"] for cut in result["shop"]["simulated_cut"]) and len(result["shop"]["simulated_cut"]) == 3
    assert "Sheet 1 of 1" in (yard / "out" / "packet.html").read_text()


@pytest.mark.slow
def test_seconds_to_search_are_spent_once_and_on_jobs_that_hold(
    yard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    spent: list[tuple[int, float]] = []
    real = cutpath.nest.sheets.nest_sheets.nest_sheets

    def counted(parts, stock, *, seconds, **options):  # type: ignore[no-untyped-def]
        spent.append((sum(kind.count for kind in parts), seconds))
        return real(parts, stock, seconds=0.0, **options)

    monkeypatch.setattr(cutpath.nest.sheets.nest_sheets, "nest_sheets", counted)
    monkeypatch.setattr("cutpath.nest.sheets.search.can_search", lambda: True)
    jobs = [str(yard / name) for name in ("a.toml", "thin.toml", "b.toml")]
    assert run(["nest", *jobs, "--go-on", "--search", "7"]) == 1
    assert spent == [(5, 0.0), (3, 0.0), (3, 7.0)]
    capsys.readouterr()
    monkeypatch.setattr("cutpath.nest.sheets.search.can_search", lambda: False)
    assert run(["nest", jobs[0], jobs[2], "--search", "7"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "--search: needs spyrrow" in line

"""What jobs must agree in to share boards, and which of them go on, where what each plan comes to is made up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from msgspec.structs import asdict, replace

from cutpath.faults import Fault, NoNest, NoStairFits
from cutpath.job.read import ReadJob
from cutpath.job.values import Job, Layers, StockBoards, Wood
from cutpath.nest import PartFitsNoBoard
from cutpath.nest.values import Keep
from cutpath.plan import gather as gathering
from cutpath.plan.gather import Failed, Gathered, JobsFail, gather
from cutpath.plan.together import Entrant, JobsDiffer, agree, common_job, distinct_names, shared_stock
from cutpath.plan.values import Together
from cutpath.rules.load import load_rules
from cutpath.stockfile.values import Stock
from tests.jobs import job_with
from tests.test_nest_shapes import board

READ = job_with()
JOB = replace(READ.job, wood=None)
RULES = load_rules(JOB.stair.rules)


def entrant(source: str, job: Job) -> Entrant:
    return Entrant(source, job, RULES, lambda mm: f"{mm:g} mm")


def sheets(grain: str = "along", count: int = 1) -> Job:
    entry = replace(board(2440.0, 1220.0), kind="sheet", grain=grain, size="ply")
    return replace(JOB, stock=tuple(replace(entry, length=2440.0 + i) for i in range(count)))


def refused(*jobs: Job, stock: Sequence[StockBoards] | None = None) -> JobsDiffer:
    entrants = [entrant(f"{name}.toml", job) for name, job in zip("abcd", jobs, strict=False)]
    with pytest.raises(JobsDiffer) as fault:
        agree(entrants, jobs[0].stock if stock is None else stock)
    return fault.value


def fit(*jobs: Job, stock: Sequence[StockBoards] | None = None) -> None:
    agree([entrant(f"{i}.toml", job) for i, job in enumerate(jobs)], jobs[0].stock if stock is None else stock)


# What they must agree in.


def other(value: Any) -> Any:
    """Another value of the kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    return "other" if isinstance(value, str) else (1200.0, 2400.0)


KEYS = [
    *[(table, name) for table in ("cutter", "tabs", "machine", "layers") for name in asdict(getattr(JOB, table))],
    ("stringer", "edges"),
    ("stringer", "edge_trim"),
]


@pytest.mark.parametrize(("table", "name"), KEYS, ids=[f"{table}.{name}" for table, name in KEYS])
def test_every_key_of_what_ends_up_in_one_file_must_be_the_same(table: str, name: str) -> None:
    values = getattr(JOB, table)
    changed = replace(JOB, **{table: replace(values, **{name: other(getattr(values, name))})})
    if (table, name) in (("machine", "part_gap"), ("machine", "end_trim")):
        fit(JOB, changed)  # the greatest is chosen
        return
    key = f"{table}.{name.upper() if table == 'layers' else name}"
    for jobs, last in (((JOB, changed), "b"), ((JOB, JOB, changed), "c")):
        fault = refused(*jobs)
        assert fault.key == key and str(fault).startswith(f"{last}.toml: {key} is ")
    fit(JOB), fit(JOB, JOB, JOB), fit(changed, changed)


def test_what_differs_is_told_as_each_job_writes_it() -> None:
    wide = replace(JOB, cutter=replace(JOB.cutter, width=12.0))
    assert " cutter.width is 12 mm, and 9.525 mm in a.toml: " in str(refused(JOB, wide))
    bed = replace(JOB, machine=replace(JOB.machine, bed=(1200.0, 2400.0)))
    assert " machine.bed is 1200 mm x 2400 mm, and not stated in a.toml: " in str(
        refused(replace(JOB, machine=replace(JOB.machine, bed=None)), bed)
    )
    tabs = replace(JOB, tabs=replace(JOB.tabs, count=JOB.tabs.count + 3))
    assert f" tabs.count is {JOB.tabs.count + 3}, and {JOB.tabs.count} in " in str(refused(JOB, tabs))
    named = replace(JOB, layers=Layers(cut="PATH"))
    assert ' layers.CUT is "PATH", and "CUT" in ' in str(refused(replace(JOB, layers=Layers()), named))
    old = replace(JOB, dxf_version="r12")
    assert (fault := refused(replace(JOB, dxf_version="r2010"), old)).key == "dxf.version"
    assert ' dxf.version is "r12", and "r2010" in ' in str(fault)


PINE = Wood("Southern Pine", "No. 2")


@pytest.mark.parametrize(
    ("key", "wood"),
    [
        ("wood.species", replace(PINE, species="Douglas Fir-Larch")),
        ("wood.grade", replace(PINE, grade="No. 1")),
        ("wood.treated", replace(PINE, treated=True)),
    ],
)
def test_boards_that_jobs_share_are_of_one_wood(key: str, wood: Wood) -> None:
    """A stringer judged as of one wood may not be cut from a board that another job says is of another."""
    one, two = replace(JOB, wood=PINE), replace(JOB, wood=wood)
    assert refused(one, two).key == refused(JOB, one, JOB, two).key == key
    assert f"d.toml: {key} is " in str(fault := refused(JOB, one, JOB, two)) and " in b.toml: " in str(fault)
    # How wet each stands is its own; a job that says nothing is judged by no wood.
    fit(one, replace(JOB, wood=replace(PINE, wet=not PINE.wet)), JOB, one)


def test_plates_that_jobs_share_are_of_one_steel() -> None:
    one, two = replace(sheets(), steel="A36"), replace(sheets(), steel="S235")
    fault = refused(one, two)
    assert fault.key == "steel.grade"
    assert str(fault).startswith('b.toml: steel.grade is "S235", and "A36" in a.toml: jobs cut together share sheets')
    fit(one, sheets(), one)


def test_boards_and_sheets_are_not_cut_together() -> None:
    mixed = [*JOB.stock, *sheets().stock]
    fault = refused(JOB, sheets(), stock=mixed)
    assert fault.key == "stock"
    assert str(fault).startswith(
        "b.toml: is cut from sheets, and a.toml from boards: state sheets under [[stock]] in a"
    )
    fault = refused(sheets(), sheets(), JOB, stock=mixed)
    assert str(fault).startswith(
        "c.toml: is cut from boards, and a.toml from sheets: state sheets under [[stock]] in c"
    )
    # One job, and a stock file of the other kind.
    for job, stock in ((JOB, mixed), (sheets(), mixed), (sheets(), JOB.stock)):
        fault = refused(job, stock=stock)
        assert fault.key == "stock" and str(fault).startswith("stock: boards and sheets in one nest: ")
    fit(sheets(), sheets()), fit(JOB)


def test_sheets_are_shared_along_one_grain() -> None:
    fault = refused(sheets(), sheets("free"))
    assert fault.key == "stock.grain"
    assert str(fault).startswith('b.toml: stock.grain is "free", and "along" in a.toml: ')
    both = replace(sheets(), stock=(*sheets("free").stock, *sheets().stock))
    assert ' stock.grain is "along" and "free", and "along" in ' in str(refused(sheets(), both))
    fit(sheets("free"), sheets("free", 2))
    # Of boards nobody asks.
    fit(JOB, replace(JOB, stock=tuple(replace(entry, grain="free") for entry in JOB.stock)))


def test_boards_that_jobs_share_are_as_thick() -> None:
    """They may differ by less than half a millimetre; one job alone is held to that where it is read."""
    thin, thick = replace(board(3000), thickness=38.0, size="thin"), replace(board(3000), thickness=38.49)
    thicker = replace(board(3000), thickness=38.5, size="thicker")
    fit(JOB, JOB, stock=[thick, thin]), fit(JOB, JOB, stock=[]), fit(JOB, stock=[thin, thicker])
    fault = refused(JOB, JOB, stock=[thicker, thick, thin])
    assert fault.key == "stock"
    assert str(fault).startswith("stock: boards of thin and of thicker differ in thickness, ")


def test_shared_boards_add_up_and_a_stock_file_s_count_once() -> None:
    own, rack = board(3000, quantity=2), replace(board(3000, quantity=5), source="stock[0]")
    again = replace(rack, source="stock[1]")
    assert shared_stock([(own, rack), (rack, again), (replace(own, quantity=3), board(2400))]) == (
        replace(own, quantity=5),
        board(2400),
        rack,
        again,
    )


def test_the_machine_keeps_the_greatest_gaps_and_cuts_all_stringers() -> None:
    def of(name: str, end_trim: float, part_gap: float, count: int) -> Job:
        machine = replace(JOB.machine, end_trim=end_trim, part_gap=part_gap)
        return replace(JOB, name=name, machine=machine, stringer=replace(JOB.stringer, count=count))

    jobs = [of("A", 3.0, 20.0, 2), of("B", 7.0, 10.0, 3), of("C", 5.0, 15.0, 4)]
    found = common_job(jobs)
    assert (found.machine.end_trim, found.machine.part_gap, found.stringer.count) == (7.0, 20.0, 9)
    assert found.name == "A, B, C" and common_job(jobs[:1]) == jobs[0]
    assert common_job([*jobs, of("D", 0.0, 0.0, 1)]).name == "A, B, C and 1 more"
    assert common_job([*jobs, *jobs]).name == "A, B, C and 3 more"


def test_names_are_told_apart() -> None:
    assert distinct_names(["Porch", "Deck", "Porch", "Porch"]) == ["Porch", "Deck", "Porch (2)", "Porch (3)"]


# Which go on.


class _Design:
    def __init__(self, failing: tuple[str, ...]) -> None:
        self.failing = failing


class _Plan:
    def __init__(self, job: Job, failing: tuple[str, ...] = ()) -> None:
        self.job, self.design = job, _Design(failing)


class Yard:
    """Plans made up: by a job's name which checks fail; and what is raised where a job of a name is among them."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, failing: dict[str, tuple[str, ...]], faults: dict[str, Fault]):
        self.failing, self.faults = failing, faults
        self.asked: list[tuple[list[str], float]] = []
        self.given: list[tuple[tuple[StockBoards, ...], Keep | None]] = []
        monkeypatch.setattr(gathering, "plan_together", self.plan)
        monkeypatch.setattr(gathering, "solve", self.solve)

    def solve(self, job: Job, rules: object, show: object) -> None:
        if job.name.startswith("Steep"):
            raise NoStairFits("no riser count fits")

    def plan(
        self, entrants: Sequence[Entrant], boards: Any, keep: Keep | None, seconds: float = 0.0, *, tell: object
    ) -> Together:
        self.asked.append(([each.job.name for each in entrants], seconds))
        self.given.append((boards, keep))
        for each in entrants:
            if each.job.name in self.faults:
                raise self.faults[each.job.name]
        plans = [_Plan(each.job, self.failing.get(each.job.name, ())) for each in entrants]
        return Together(tuple(plans), plans[0])  # type: ignore[arg-type]


def read(name: str, **more: Any) -> tuple[str, ReadJob]:
    return f"{name.lower()}.toml", replace(READ, job=replace(JOB, name=name, **more))


def misfit(part: str) -> PartFitsNoBoard:
    return PartFitsNoBoard("too long", part=part, needs_length=1.0, needs_width=1.0, longest=None, widest=1.0)


def names(found: Gathered) -> list[str]:
    return [each.job.name for each in found.reads]


Made = Any


@pytest.fixture
def yard(monkeypatch: pytest.MonkeyPatch) -> Made:
    return lambda failing=None, faults=None: Yard(monkeypatch, failing or {}, faults or {})


A, B, C, STEEP = read("A"), read("B"), read("C"), read("Steep")
UNREAD = ("x.toml", Fault("x.toml: not a job"))


def test_all_go_on_where_none_fails(yard: Made) -> None:
    at = yard()
    found = gather([A, B])
    assert (names(found), found.left_out, found.stock) == (["A", "B"], (), None)
    assert at.asked == [(["A", "B"], 0.0)] and len(found.together.plans) == 2


@pytest.mark.parametrize("go_on", [False, True])
def test_jobs_that_fail_are_named_or_left_out(go_on: bool, yard: Made) -> None:
    at = yard({"B": ("throat", "span")})
    if not go_on:
        with pytest.raises(JobsFail) as fault:
            gather([A, B, C])
        assert fault.value.lines == ("b.toml: checks throat, span fail",)
        assert fault.value.jobs == (Failed("b.toml", None, ("throat", "span")),) and fault.value.checks_alone
        return
    found = gather([A, B, C], go_on=True)
    assert names(found) == ["A", "C"] and found.left_out == (Failed("b.toml", None, ("throat", "span")),)
    assert at.asked == [(["A", "B", "C"], 0.0), (["A", "C"], 0.0)]


def test_checks_that_fail_are_no_reason_where_that_was_said(yard: Made) -> None:
    at = yard({"B": ("throat",)})
    assert names(gather([A, B], despite_checks=True)) == ["A", "B"] and len(at.asked) == 1


def test_files_that_could_not_be_read_and_stairs_that_do_not_fit_fail_before_anything_is_laid(yard: Made) -> None:
    at = yard()
    with pytest.raises(JobsFail) as fault:
        gather([A, STEEP, B], [UNREAD])
    assert fault.value.lines == ("x.toml: not a job", "steep.toml: no riser count fits")
    assert not fault.value.checks_alone and at.asked == []
    found = gather([A, STEEP, B], [UNREAD], go_on=True)
    assert names(found) == ["A", "B"] and [each.source for each in found.left_out] == ["x.toml", "steep.toml"]
    assert at.asked == [(["A", "B"], 0.0)]


def test_where_none_is_left_all_are_told(yard: Made) -> None:
    yard({"A": ("throat",)})
    with pytest.raises(JobsFail) as fault:
        gather([A, STEEP], go_on=True)
    assert [each.source for each in fault.value.left_out] == ["steep.toml"]
    assert [each.source for each in fault.value.jobs] == ["a.toml"] and not fault.value.checks_alone
    with pytest.raises(JobsFail):
        gather([], [UNREAD], go_on=True)


def test_a_part_that_fits_no_board_fails_its_own_job(yard: Made) -> None:
    """By the part's name, which leads with the job's; of names of which one begins another, the longer."""
    jobs = [read("Porch"), read("Porch steps"), read("Deck")]
    at = yard(faults={"Porch steps": misfit("Porch steps stringer")})
    found = gather(jobs, go_on=True)
    assert names(found) == ["Porch", "Deck"] and at.asked[1:] == [(["Porch", "Deck"], 0.0)]
    (failed,) = found.left_out
    assert failed.source == "porch steps.toml" and failed.lines == ("porch steps.toml: too long",)
    # The second of a name is told apart from the first.
    same = [("1.toml", jobs[0][1]), ("2.toml", jobs[0][1])]
    yard(faults={"Porch": misfit("Porch (2) stringer")})
    with pytest.raises(JobsFail) as fault:
        gather(same)
    assert [each.source for each in fault.value.jobs] == ["2.toml"]
    # A part of none of them, and boards that are too few, are nobody's.
    for whose in (misfit("Shed stringer"), NoNest("too few boards")):
        yard(faults={"Deck": whose})
        with pytest.raises(NoNest) as nobody:
            gather(jobs, go_on=True)
        assert nobody.value is whose


def test_sheets_are_searched_once_all_that_is_left_holds(yard: Made) -> None:
    flat = [read("A", stock=sheets().stock), read("B", stock=sheets().stock)]
    at = yard({"B": ("throat",)})
    gather(flat, seconds=5.0, go_on=True)
    assert at.asked == [(["A", "B"], 0.0), (["A"], 0.0), (["A"], 5.0)]
    at = yard()
    gather(flat)
    assert at.asked == [(["A", "B"], 0.0)]
    at = yard()
    gather([A, B], seconds=5.0)
    assert at.asked == [(["A", "B"], 0.0)], "nothing is searched on boards"


def test_the_boards_are_those_that_jobs_state_and_a_stock_file_s(yard: Made) -> None:
    mine = (board(3000, quantity=2),)
    stating, plain = read("A", stock=mine), read("B")
    plain = (plain[0], replace(plain[1], own_stock=False))
    at = yard()
    gather([stating, plain])
    gather([plain, plain])
    assert at.given == [(mine, None), (shared_stock([JOB.stock, JOB.stock]), None)]
    rack = Stock("rack.toml", "in", 600.0, 0.5, (replace(board(3600), source="stock[0]"),))
    asked: list[list[str]] = []

    def shelf(of: Sequence[str]) -> Stock:
        asked.append(list(of))
        return rack

    found = gather([stating, plain], shelf=shelf)
    assert asked == [["A", "B"]] and found.stock is rack
    assert at.given[-1] == ((*mine, *rack.boards), Keep(600.0, 0.5, JOB.cutter.width))
    # A rack without boards as thick fails the job that states none.
    thin = Stock("rack.toml", "in", 600.0, 0.5, (replace(board(3600), thickness=19.0, source="stock[0]"),))
    found = gather([stating, plain], shelf=lambda of: thin, go_on=True)
    assert names(found) == ["A"] and [each.source for each in found.left_out] == ["b.toml"]
    assert "rack.toml" in found.left_out[0].lines[0]


def test_each_line_names_its_job_once() -> None:
    assert Failed("a.toml", Fault("a.toml: bad")).lines == ("a.toml: bad",)
    assert Failed("a.toml", Fault("bad\nluck")).lines == ("a.toml: bad luck",)
    failed = [Failed("a.toml", None, ("throat",)), Failed("b.toml", Fault("bad"))]
    assert JobsFail(failed).lines == ("a.toml: check throat fails", "b.toml: bad")
    assert not JobsFail(failed).checks_alone and JobsFail(failed[:1]).checks_alone
    assert not JobsFail(failed[:1], failed[1:]).checks_alone

"""Files, list and drawings of a board's set-ups: read back, in bed coordinates, and saying what a person has to do."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.program import Operation
from cutpath.cut.setups.places import CLEAR
from cutpath.cut.setups.union import chains_match, union_matches
from cutpath.cut.setups.values import SetUp
from cutpath.drawing import Drawing
from cutpath.dxf.read_back import read_dxf
from cutpath.dxf.write import dxf_bytes
from cutpath.faults import FileMismatch
from cutpath.job.values import Job, Tabs
from cutpath.outline import Chain, shift
from cutpath.pictures.setup import setup_svg
from cutpath.plan.values import Plan
from cutpath.tables.setups import setup_result, setup_text
from cutpath.units import show as shown
from cutpath.work import setups as setup_sheets
from cutpath.work.boards import board_drawing
from cutpath.work.setups import board_setups, setup_drawings, setup_file, whole_board_note
from cutpath.work.values import BoardWork
from tests.docs_pictures import planned
from tests.jobs import board_work
from tests.test_pictures import assert_clear, job, plan_of, words

IN = 25.4
REACH = 66 * IN


def show(mm: float) -> str:
    return shown(mm, "in")


def long_job(**changes: object) -> Job:
    """Twelve risers: a board of twelve feet on a bed of five and a half."""
    return job(
        **{"risers": 12, "total_rise": 87 * IN, "bed": (REACH, 30 * IN), "count": 1, "name": "Long porch", **changes}
    )


def done(made: Job, per_board: int = 1) -> tuple[Plan, BoardWork, tuple[SetUp, ...]]:
    plan = plan_of(made, per_board=per_board)
    program = board_work(plan)
    return plan, program, program.set_ups


CASES = [
    {},
    {"path": "centre"},
    {"edges": "trimmed", "edge_trim": 0.5 * IN, "path": "centre", "lead": 0.5 * IN},
    {"edges": "trimmed", "direction": "conventional", "indexing": "holes"},
    {"count": 2, "risers": 7, "total_rise": 51 * IN, "indexing": "holes", "bed": (80 * IN, 30 * IN)},
]


def read_back(name: str, drawing: Drawing, plan: Plan) -> Drawing:
    made = plan.job
    data = dxf_bytes(name, drawing, made.units, made.dxf_version, made.layers)
    return read_dxf(name, data, made.units, made.layers.note).drawing


def layer(drawing: Drawing, name: str) -> list[Chain]:
    return [c.chain for c in drawing.chains if c.layer == name]


@pytest.mark.parametrize("changes", CASES)
def test_files_read_back_are_within_reach_and_together_the_boards_file(changes: dict[str, object]) -> None:
    plan, program, made = done(long_job(**changes), 2)
    bed, layers = plan.job.machine.bed, plan.job.layers
    assert bed is not None
    whole = read_back("whole.dxf", board_drawing(plan, 0, program, show), plan)
    drawings = setup_drawings(plan, 0, program, show)
    assert list(drawings) == [f"boards/01-setup-{n}.dxf" for n in range(1, len(made) + 1)]
    back: dict[str, list[Chain]] = {layers.cut: [], layers.mark: []}
    drilled = []
    for one, (path, drawing) in zip(made, drawings.items(), strict=True):
        read = read_back(path, drawing, plan)
        x0, y0, x1, y1 = read.geometry()
        assert x0 >= -1e-6 and x1 <= bed[0] + 1e-6 and y1 - min(y0, 0.0) <= bed[1]
        for name, chains in back.items():
            chains += [c.moved(shift(one.offset, 0.0)) for c in layer(read, name)]
        drilled += [(c.centre, 2 * c.radius) for c in read.circles if c.layer == layers.drill]
        (stock,) = layer(read, layers.stock)
        low, high = max(one.board[0], 0.0), min(one.board[1], bed[0])
        assert stock.extents() == pytest.approx((low, 0.0, high, plan.layout.boards[0].stock.least_width))
        assert all(read.extents()[0] <= n.at[0] <= read.extents()[2] for n in read.notes)
    for name, chains in back.items():
        assert chains_match(layer(whole, name), chains, plan.job.machine.overlap, either_way=name == layers.mark).ok
    holes = [p for one in made for p in one.drilled]
    assert [c for c, _ in drilled] == [pytest.approx(p) for p in holes]
    assert all(d == pytest.approx(plan.job.machine.index_hole) for _, d in drilled)
    assert bool(holes) == (plan.job.machine.indexing == "holes")


@pytest.mark.parametrize("changes", CASES)
def test_every_file_says_where_the_board_lies(changes: dict[str, object]) -> None:
    plan, program, made = done(long_job(**changes), 2)
    for one, drawing in zip(made, setup_drawings(plan, 0, program, show).values(), strict=True):
        text = " ".join(n.text for n in drawing.notes)
        assert f"Set-up {one.number} of {len(made)}, board 1 of 1" in text and "Units: inches. Check dimension" in text
        assert ("left end at x =" in text) == (one.number == 1)
        assert (f"Slide it {show(one.slide)} to the left" in text) == (one.number > 1)
        if one.stop is not None:
            assert f"against the stop, at x = {show(one.stop)}." in text
        for point in (*one.pins, *one.drilled):
            assert f"({show(point[0])}, {show(point[1])})" in text
        assert ("then draw the pins" in text) == bool(one.pins)
        assert (f"{show(plan.job.machine.overlap)} of overlap" in text) == bool(one.divisions)
        # All parts as drawn keep the upper edge; cut all round, they lie with the lower one on the fence.
        width = plan.layout.boards[0].stock.least_width
        past = one.extents[3] - width if plan.job.stringer.edges == "factory" else -one.extents[1]
        if not any(p.rotated for p in plan.layout.boards[0].parts):
            assert ("past the fence" in text) == (past > 1e-6)
        assert ("Cut free here" in text) == bool(one.frees)


def test_leads_stay_with_contours_that_are_cut_whole() -> None:
    """Two short parts of four: those that a set-up cuts whole have their leads, the divided ones have none."""
    changes = {"count": 3, "risers": 6, "total_rise": 43.5 * IN, "bed": (100 * IN, 30 * IN)}
    made = long_job(edges="trimmed", edge_trim=0.5 * IN, path="centre", lead=0.5 * IN, **changes)
    plan, program, sets = done(made, 3)
    whole = [o for one in sets for o in one.operations if o.kind == "outline" and o.chain and o.chain.closed]
    assert 0 < len(whole) < 3
    drawings = setup_drawings(plan, 0, program, show).values()
    leads = [c for d in drawings for c in layer(d, plan.job.layers.lead)]
    assert len(leads) == 2 * len(whole)
    for d in drawings:
        names = [c.layer for c in d.chains]
        for i, c in enumerate(d.chains):
            if c.layer == plan.job.layers.cut and c.chain.closed:
                assert names[i - 1] == names[i + 1] == plan.job.layers.lead
                assert d.chains[i - 1].chain.points[-1] == pytest.approx(c.chain.points[0])


@pytest.mark.parametrize("shown_as", ["gap", "layer"])
def test_tabs_are_in_one_set_up_each_and_no_division_touches_them(shown_as: str) -> None:
    plan = plan_of(replace(long_job(path="centre", edges="trimmed"), tabs=Tabs(6, 12.0, "tabbed", shown_as)))  # type: ignore[arg-type]
    program = board_work(plan)
    made = program.set_ups
    assert made and program.cuts[0].left_out
    tabs = []
    for one, drawing in zip(made, setup_drawings(plan, 0, program, show).values(), strict=True):
        for chain in layer(drawing, plan.job.layers.tab):
            assert chain.extents()[0] >= 0 and chain.extents()[2] <= REACH
            tabs.append(chain.moved(shift(one.offset, 0.0)))
    expected = list(program.cuts[0].left_out) if shown_as == "layer" else []
    assert chains_match(expected, tabs, 0.0).ok and len(tabs) == len(expected)
    for one in made:
        for division in one.divisions:
            assert min(shapely.Point(division.at).distance(c.line()) for c in program.cuts[0].left_out) >= 3.0


def test_the_whole_boards_file_can_send_the_shop_to_the_set_ups() -> None:
    plan, _, made = done(long_job())
    (note,) = whole_board_note(plan, 0, made, show)
    assert "Longer than the stated bed, 66 in" in note and "01-setup-1.dxf to 01-setup-3.dxf" in note
    assert len(made) == 3 and setup_file(0, 120, 2) == "boards/001-setup-2.dxf"
    short, _, none = done(long_job(bed=(145 * IN, 30 * IN)))
    assert none == () and whole_board_note(short, 0, none, show) == ()


def test_the_list_is_plain_data_in_the_jobs_unit() -> None:
    plan, _, made = done(long_job(edges="trimmed", indexing="holes"))
    (board,) = json.loads(json.dumps(setup_result(plan, [made])))
    assert board["file"] == "boards/01.dxf" and board["indexing"] == "holes"
    for one, data in zip(made, board["set_ups"], strict=True):
        assert data["slide"] == pytest.approx(one.slide / IN)
        assert data["extents"] == pytest.approx([v / IN for v in one.extents])
        assert data["index_holes"] == [pytest.approx([x / IN, y / IN]) for x, y in one.drilled]
        assert data["operations"].get("outline", 0) == sum(o.kind == "outline" for o in one.operations)
        for division in data["divisions"]:
            # In bed coordinates, like all else in the list.
            assert data["extents"][0] <= division["at"][0] <= data["extents"][2]
    assert [d["frees"] for d in board["set_ups"]][-1] == ["Long porch stringer"]
    assert setup_result(plan, [()]) == []


def test_the_table_has_a_line_a_set_up() -> None:
    plan, _, made = done(long_job())
    lines = setup_text(plan, [made]).splitlines()
    # What finds no room in 80 columns stands in a second table below.
    first = lines[: lines.index("")] if "" in lines else lines
    assert len(first) == 1 + len(made)
    slides = [float(re.split(r"\s{2,}", line.strip())[2].split()[0]) for line in first[1:]]
    assert slides == pytest.approx([one.slide / IN for one in made], abs=1e-4)
    assert setup_text(plan, [()]) == ""


@pytest.mark.parametrize("changes", CASES)
def test_the_drawing_says_slide_stop_and_what_comes_free(changes: dict[str, object]) -> None:
    plan, program, made = done(long_job(**changes), 2)
    for one in made:
        svg = setup_svg(plan, 0, program, one.number)
        assert_clear(svg)
        said = " ".join(words(svg))
        assert f"set-up {one.number} of {len(made)}" in said and "reach" in said
        assert ("slide " in said and "Slide the board" in said) == (one.number > 1)
        assert ("against the stop" in said) == (one.stop is not None)
        # What is cut now is drawn as cut, a path each.
        cuts = sum(o.kind == "outline" for o in one.operations)
        assert len(re.findall(r'<path class="cut"', svg)) == cuts
        assert ("cut before" in said) == (one.number > 1) and ("cut later" in said) == (one.number < len(made))


def test_set_ups_that_are_not_the_whole_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, program, made = done(long_job())
    lost: tuple[Operation, ...] = made[0].operations[:-1]
    monkeypatch.setattr(setup_sheets, "setups", lambda *a, **k: (replace(made[0], operations=lost), *made[1:]))
    with pytest.raises(FileMismatch, match=r"boards/01\.dxf: its set-ups together do not cut"):
        board_setups(plan, 0, program)


@pytest.fixture(scope="module", params=["1200", "1500", "2000"])
def housed(request: pytest.FixtureRequest) -> tuple[Plan, BoardWork, tuple[SetUp, ...]]:
    plan = planned("closed-string", (f"machine.bed = [{request.param}, 800]",))
    program = board_work(plan)
    return plan, program, program.set_ups


def test_a_pocket_longer_than_the_bed_is_parted_in_riser_housings(
    housed: tuple[Plan, BoardWork, tuple[SetUp, ...]],
) -> None:
    plan, program, made = housed
    board, bed = plan.layout.boards[0], plan.job.machine.bed
    assert bed is not None and len(made) >= 2
    (pocket,) = [o.chain.polygon() for o in program.program.operations if o.kind == "pocket" and o.chain]
    pieces = [o.chain.polygon() for one in made for o in one.moved_back() if o.kind == "pocket" and o.chain]
    assert shapely.union_all(pieces).symmetric_difference(pocket).area < 1.0
    divisions = [d for one in made for d in one.divisions if d.on == "riser housing"]
    assert len(divisions) == len(pieces) - 1
    part = plan.part(board.parts[0].name)
    overlap, radius = plan.job.machine.overlap, plan.job.cutter.radius
    for division in divisions:
        at = shapely.Point(division.at)
        assert pocket.contains(at)
        # Along the riser, at least as far from every back corner of a tread as the tool and the clearance ask for.
        for corner in part.corners:
            x, y = board.parts[0].motion(corner.corner)
            along = (x - division.at[0]) * division.along[0] + (y - division.at[1]) * division.along[1]
            if at.distance(shapely.Point(x, y)) < 200:
                assert abs(along) >= CLEAR + radius + overlap / 2 - 1e-6
    shared = sum(a.intersection(b).area for i, a in enumerate(pieces) for b in pieces[i + 1 :])
    strip = shared / (overlap * len(divisions))
    assert strip == pytest.approx(plan.job.stair.riser_board + plan.job.stringer.housing.play, abs=0.01)  # type: ignore[union-attr]
    for one, drawing in zip(made, setup_drawings(plan, 0, program, show).values(), strict=True):
        read = read_back("pocket.dxf", drawing, plan)
        for chain in layer(read, plan.job.layers.pocket):
            assert chain.closed and chain.extents()[0] >= -1e-6 and chain.extents()[2] <= bed[0] + 1e-6
        assert len(layer(read, plan.job.layers.pocket)) == sum(o.kind == "pocket" for o in one.operations)


def test_a_lost_or_moved_pocket_is_found_out(housed: tuple[Plan, BoardWork, tuple[SetUp, ...]]) -> None:
    plan, program, made = housed
    whole, overlap = program.program.operations, plan.job.machine.overlap
    assert union_matches(whole, made, overlap).ok

    def changed(change: Callable[[Chain], Chain]) -> list[SetUp]:
        operations = tuple(
            replace(o, chain=change(o.chain)) if o.kind == "pocket" and o.chain else o for o in made[0].operations
        )
        return [replace(made[0], operations=operations), *made[1:]]

    assert union_matches(whole, changed(lambda c: c.moved(shift(0.05, 0.0))), overlap).extra
    assert union_matches(whole, changed(lambda c: c.moved(shift(-0.05, 0.0))), overlap).missing
    assert not union_matches(whole, made, overlap * 0.9).ok
    lost = replace(made[0], operations=tuple(o for o in made[0].operations if o.kind != "pocket"))
    assert union_matches(whole, [lost, *made[1:]], overlap).missing

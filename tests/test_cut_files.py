"""What the written files do to a board: right ones pass the simulated cut, each mistake is found."""

import itertools
import math

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.program import ORDER
from cutpath.drawing import Drawing, LayerChain
from cutpath.dxf.read_back import read_dxf
from cutpath.outline import Chain
from cutpath.plan.values import Plan
from cutpath.units import show
from cutpath.work.boards import board_drawing, board_program, label_places
from cutpath.work.cut_check import check_cuts, cut_verdict
from tests.jobs import FIXTURES, export_of, job_with, plan_of

IN = 25.4


def files_of(planned: Plan) -> tuple[list[Drawing], list]:
    """The boards' drawings as they go into their files, and what was cut."""
    places = label_places(planned)
    programs = [board_program(planned, i, places) for i in range(len(planned.layout.boards))]
    drawn = [board_drawing(planned, i, done, lambda v: show(v, "in")) for i, done in enumerate(programs)]
    return drawn, [done.cuts for done in programs]


def verdict(planned: Plan, drawn: list[Drawing], cuts: list):
    return cut_verdict(check_cuts(planned, drawn, cuts))


def changed_cuts(drawing: Drawing, change) -> Drawing:
    chains = tuple(replace(c, chain=change(c.chain)) if c.layer == "CUT" else c for c in drawing.chains)
    return replace(drawing, chains=chains)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("path", ["design", "centre"])
@pytest.mark.parametrize(("corner", "edges"), [("relieved", "factory"), ("rounded", "trimmed")])
def test_right_files_pass(direction: str, path: str, corner: str, edges: str) -> None:
    read = job_with(
        cutter={"direction": direction, "path": path, "corner": corner, "outside": "rolled"}, stringer={"edges": edges}
    )
    planned = plan_of(read)
    drawn, cuts = files_of(planned)
    found = verdict(planned, drawn, cuts)
    assert found.ok and found.value < 0.01
    squares = sum(len(c.cut.fillets) for c in check_cuts(planned, drawn, cuts))
    assert squares == (0 if corner == "relieved" else 3 * 5), "a tool rounds four notches and the sill notch of each"


def test_the_wrong_side_is_found() -> None:
    planned = plan_of(job_with())
    drawn, cuts = files_of(planned)
    found = verdict(planned, [changed_cuts(d, Chain.reversed) for d in drawn], cuts)
    assert not found.ok
    # The tool takes its whole width off the part, and at square corners the diagonal of it.
    assert found.value == pytest.approx(0.375 * IN * math.sqrt(2), rel=0.01)
    assert "gouge" in found.note


def test_the_wrong_width_is_found() -> None:
    """Centre lines for a 3/8 tool, cut with a 1/2 one: 1/16 too deep everywhere, by the diagonal of it at corners."""
    planned = plan_of(job_with(cutter={"path": "centre"}))
    drawn, cuts = files_of(planned)
    wider = replace(planned, job=replace(planned.job, cutter=replace(planned.job.cutter, width=0.5 * IN)))
    found = verdict(wider, drawn, cuts)
    assert not found.ok and found.value == pytest.approx(IN / 16 * math.sqrt(2), rel=0.01)


def test_double_compensation_is_found() -> None:
    """Centre lines that a shop compensates once more leave half the tool's width, and its diagonal at corners."""
    planned = plan_of(job_with(cutter={"path": "centre", "corner": "rounded"}))
    drawn, cuts = files_of(planned)
    design = replace(planned, job=replace(planned.job, cutter=replace(planned.job.cutter, path="design")))
    found = verdict(design, drawn, cuts)
    assert not found.ok and found.value == pytest.approx(0.1875 * IN * math.sqrt(2), rel=0.01)
    assert "leftover" in found.note


def test_a_moved_vertex_is_found() -> None:
    planned = plan_of(job_with())
    drawn, cuts = files_of(planned)

    def move(chain: Chain) -> Chain:
        (x, y), points = chain.points[3], list(chain.points)
        points[3] = (x + 0.1, y)
        return Chain(tuple(points), chain.bulges, chain.closed)

    assert not verdict(planned, [drawn[0], changed_cuts(drawn[1], move)], cuts).ok


def test_a_cut_left_out_is_found() -> None:
    planned = plan_of(job_with())
    drawn, cuts = files_of(planned)
    bare = replace(drawn[1], chains=tuple(c for c in drawn[1].chains if c.layer != "CUT"))
    assert not verdict(planned, [drawn[0], bare], cuts).ok


def test_a_tool_path_through_a_neighbour_is_found() -> None:
    """The check looks at what all paths do, not only a part's own."""
    planned = plan_of(job_with())
    drawn, cuts = files_of(planned)
    part = planned.layout.boards[0].parts[1]
    stray = Chain(((part.x + 300, -10.0), (part.x + 300, 60.0)), (0.0, 0.0), False)
    spoiled = replace(drawn[0], chains=(*drawn[0].chains, LayerChain("CUT", stray)))
    checks = check_cuts(planned, [spoiled, drawn[1]], cuts)
    assert [c.cut.ok for c in checks] == [True, False, True]


def test_a_failed_cut_puts_no_file_in_place(tmp_path, capsys, monkeypatch) -> None:
    from cutpath.cli import main as cli
    from cutpath.export import cut_files as export

    right = export.check_cuts
    monkeypatch.setattr(
        export,
        "check_cuts",
        lambda p, read, cuts, tell: right(p, [changed_cuts(d, Chain.reversed) for d in read], cuts),
    )
    job = FIXTURES / "orchard-steps.toml"
    assert cli.run(["export", str(job), "-o", str(tmp_path / "out")]) == 1
    err = capsys.readouterr().err
    assert "simulated cut" in err and len(err.splitlines()) == 1
    assert not (tmp_path / "out").exists()


def test_operations_come_in_the_order_that_keeps_work_held() -> None:
    planned = plan_of(job_with())
    places = label_places(planned)
    done = board_program(planned, 0, places).program
    kinds = [ORDER.index(o.kind) for o in done.operations]
    assert kinds == sorted(kinds) and len(set(kinds)) >= 2
    travel = sum(math.dist(a.end, b.start) for a, b in zip(done.operations, done.operations[1:], strict=False))
    assert done.travel == pytest.approx(travel)
    assert 0 < done.travel_bound <= done.travel


def test_a_file_holds_its_operations_in_the_order_that_is_told() -> None:
    planned = plan_of(job_with("steel-plate"))
    done = board_program(planned, 0, label_places(planned)).program
    layers = {"drill": "DRILL", "mark": "MARK", "inner": "CUT", "outline": "CUT"}
    told = [layer for layer, _ in itertools.groupby(layers[o.kind] for o in done.operations)]
    # Read line by line, apart from the program's own reader: every entity's layer is its group 8.
    file = FIXTURES / "golden" / "steel-plate" / "boards" / "01.dxf"
    lines = [line.strip() for line in file.read_text(encoding="utf-8").splitlines()]
    pairs = list(zip(lines[::2], lines[1::2], strict=True))
    pairs = pairs[pairs.index(("2", "ENTITIES")) :]
    written = (value for code, value in pairs[: pairs.index(("0", "ENDSEC"))] if code == "8")
    assert [layer for layer, _ in itertools.groupby(written) if layer in layers.values()] == told
    assert told == ["DRILL", "MARK", "CUT"]


@pytest.mark.parametrize(("direction", "turn"), [("climb", -1), ("conventional", 1)])
def test_vertex_order_is_the_direction_that_was_asked_for(direction: str, turn: int) -> None:
    """Climb is clockwise round the outside with a spindle turning clockwise (common practice, no source)."""
    planned = plan_of(job_with(cutter={"direction": direction}, stringer={"edges": "trimmed"}))
    drawn, _ = files_of(planned)
    cuts = [c.chain for d in drawn for c in d.chains if c.layer == "CUT"]
    assert len(cuts) == 3
    for chain in cuts:
        assert math.copysign(1, chain.area()) == turn
        # The lower edge, the longest straight, comes last and frees the part.
        last = math.dist(chain.points[-1], chain.points[0])
        assert last == max(math.dist(a, b) for a, b, _ in chain.segments())


def test_open_cuts_are_mirrored_in_direction_too() -> None:
    climb = [c.chain for c in files_of(plan_of(job_with()))[0][0].chains if c.layer == "CUT"]
    other = job_with(cutter={"direction": "conventional"})
    back = [c.chain for c in files_of(plan_of(other))[0][0].chains if c.layer == "CUT"]
    for a, b in zip(climb, back, strict=True):
        assert b.points == a.reversed().points


def test_relief_goes_where_it_is_asked_to_and_says_what_it_costs() -> None:
    throats = {}
    for relief in ("most-throat", "diagonal", "riser-side", "tread-side"):
        planned = plan_of(job_with(cutter={"relief": relief}))
        throats[relief] = planned.design.part.throat
        assert planned.design.part.relief == ("diagonal" if relief == "most-throat" else relief)
    assert throats["most-throat"] == max(throats.values())
    assert throats["tread-side"] < throats["riser-side"] < throats["diagonal"]


def test_tabs_stand_on_straight_edges_and_keep_off_corners_and_treads() -> None:
    planned = plan_of(
        job_with(cutter={"path": "centre"}, stringer={"edges": "trimmed"}, tabs={"count": 3, "waste": "tabbed"})
    )
    drawn, cuts = files_of(planned)
    part = planned.design.part
    tabs = cuts[0][0].tabs
    assert sum(t.holds == "part" for t in tabs) == 3
    assert sum(t.holds == "waste" for t in tabs) == 4, "one for each notch's waste"
    corners = [p for p, r in zip(part.outline.points, part.roles, strict=True) if r in ("tip", "corner", "sill-corner")]
    treads = [
        shapely.LineString([a, b])
        for (a, b, bulge), r in zip(part.outline.segments(), part.roles, strict=True)
        if r == "tip" and not bulge and abs(a[1] - b[1]) > 1
    ]
    for tab in tabs:
        assert min(math.dist(tab.middle, c) for c in corners) > planned.job.tabs.width
        assert all(t.distance(shapely.Point(tab.middle)) > planned.job.tabs.width for t in treads)
    pieces = [c.chain for c in drawn[0].chains if c.layer == "CUT"]
    assert not any(c.closed for c in pieces)
    assert len(pieces) == 7 * len(planned.layout.boards[0].parts)


def test_tabs_show_as_gaps_as_a_layer_or_as_marks() -> None:
    gap = files_of(plan_of(job_with(cutter={"path": "centre"}, tabs={"count": 2})))[0][1]
    layer = files_of(plan_of(job_with(cutter={"path": "centre"}, tabs={"count": 2, "shown": "layer"})))[0][1]
    design = files_of(plan_of(job_with(tabs={"count": 2})))[0][1]
    none = files_of(plan_of(job_with()))[0][1]

    def count(drawing: Drawing, name: str) -> int:
        return sum(c.layer == name for c in drawing.chains)

    assert count(gap, "TAB") == 0 and count(gap, "CUT") == 3
    assert count(layer, "TAB") == 2 and count(layer, "CUT") == 3
    assert count(design, "CUT") == 1 and count(design, "MARK") == count(none, "MARK") + 4
    width = 0.5 * IN + 0.375 * IN
    for c in layer.chains:
        if c.layer == "TAB":
            assert math.dist(*c.chain.points) == pytest.approx(width), "the tool rounds into a tab from both ends"


def test_leads_start_and_end_off_the_part() -> None:
    read = job_with(
        cutter={"kind": "beam", "width": 0.02, "path": "centre", "lead": 0.3},
        stringer={"edges": "trimmed", "edge_trim": 0.25},
    )
    planned = plan_of(read)
    drawn, cuts = files_of(planned)
    part = planned.design.part.outline
    for drawing, board in zip(drawn, planned.layout.boards, strict=True):
        leads = [c.chain for c in drawing.chains if c.layer == "LEAD"]
        assert len(leads) == 2 * len(board.parts)
        for lead in leads:
            assert lead.length() == pytest.approx(0.3 * IN)
            for placed in board.parts:
                polygon = part.moved(placed.motion).polygon()
                assert shapely.distance(lead.line(), polygon) >= 0.01 * IN - 1e-6
    assert verdict(planned, drawn, cuts).ok
    made = export_of(read)
    order = [c.layer for c in read_dxf("x", made.files["boards/01.dxf"], "in", "NOTE").drawing.chains]
    first = order.index("CUT")
    assert order[first - 1] == order[first + 1] == "LEAD"

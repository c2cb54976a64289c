"""Parts that may be turned over: closer rows, and everything that is made from a board with such a part on it."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely.affinity import rotate, scale, translate

from cutpath.cli.main import run
from cutpath.export.cut_files import cut_files
from cutpath.export.one import export_files
from cutpath.faults import Fault, ImpossibleStringer, NoStairFits
from cutpath.job.read import job_of
from cutpath.json_text import dumped
from cutpath.nest import BadLayout, Board, PartKind, Placed, nest_parts, verify_layout
from cutpath.nest.boards.closeness import features, least_shift
from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.rows import arranged, laid
from cutpath.nest.boards.slack import FEW, slack_of, tightest_row
from cutpath.outline import Chain
from cutpath.plan.laid import kinds, verify
from cutpath.plan.values import Plan
from cutpath.tables.result import result
from cutpath.work.boards import board_program, label_places
from cutpath.work.cut_check import cut_verdict
from cutpath.work.whole import work_of
from tests.jobs import plan_of
from tests.other_reader import read_contours
from tests.test_nest_shapes import board, box, kind, slanted, stringer

#: A straight stringer with a sill notch: three of them in a row are shorter with one turned over.
JOB: dict[str, Any] = {
    "job": {"name": "Kiln loft"},
    "site": {"total_rise": 52},
    "stair": {"unit_run": 10},
    "stringer": {"form": "plate", "count": 3, "turn_over": True, "sill_notch": {"deep": 3.5, "high": 1.5}},
    "stock": [{"size": "2x12", "length": 250}],
}


def test_wedges_that_lean_apart_close_up_when_one_is_turned_over() -> None:
    two = [kind(slanted(300, 300, 100, 200), 1, "right"), kind(slanted(300, 300, -100, 200), 1, "left")]
    used = {}
    for turn_over in (False, True):
        both = [replace(k, turn_over=turn_over) for k in two]
        layout = nest_parts(both, [board(900.0, least_width=200.0)], gap=10.0, end_trim=5.0)
        verify_layout(layout, both, 10.0, 5.0)
        used[turn_over] = layout.boards[0].used
    # As drawn or turned end for end they meet in corners; alike, their slanted ends stand 10 apart, face to face.
    assert used[False] == pytest.approx(5 + 400 + 10 + 400, abs=1e-9)
    assert used[True] == pytest.approx(5 + 300 + 10 * math.hypot(100, 200) / 200 + 400, abs=1e-9)


def test_a_part_has_no_more_ways_to_lie_than_look_different() -> None:
    shapes = [box(500, 200), slanted(500, 300, 100, 200), slanted(400, 400, 100, 200), stringer(width=200)]
    plain = [kind(shape, 1, str(i)) for i, shape in enumerate(shapes)]
    over = [replace(k, turn_over=True) for k in plain]
    # A box, a wedge that is its own mirror image, a leaning board that is its own half turn, and one that is neither.
    assert [len(c) for c in Racks(over, 10.0).rack(200.0).choices] == [1, 2, 2, 4]
    assert [len(c) for c in Racks(plain, 10.0).rack(200.0).choices] == [1, 2, 1, 2]
    assert len(Racks(plain, 10.0).rack(200.0).settings) == 2 * len(plain)
    # On a wider board the two edges are told apart.
    assert [len(c) for c in Racks(over, 10.0).rack(210.0).choices] == [2, 2, 4, 4]


@pytest.mark.parametrize("width", [285.75, 292.0])
def test_shifts_that_follow_from_others_are_right(width: float) -> None:
    several = [
        kind(stringer(relief=4.7625), 1, "A", turn_over=True),
        kind(stringer(risers=5, rise=170.0, width=280.0), 1, "B", turn_over=True),
        kind(slanted(500, 350, 60, 200.0), 1, "C"),
    ]
    rack = Racks(several, 12.7).rack(width)
    assert len(rack.settings) == 4 + 4 + 2
    outlines = [features(laid(several[s.kind], s, 0.0)[1]) for s in rack.settings]
    for a, first in enumerate(outlines):
        for b, second in enumerate(outlines):
            assert rack.shifts[a][b] == pytest.approx(least_shift(first, second, 0.0, 12.7), abs=1e-7)


def test_the_notched_edge_lies_on_the_board_s_edge_whichever_face_is_up() -> None:
    part = kind(stringer(relief=4.0), 1, turn_over=True)
    for setting in Racks([part], 10.0).rack(292.0).settings:
        outline = laid(part, setting, 0.0)[1]
        left, low, _, high = outline.extents()
        assert (low if setting.turned else high) == pytest.approx(0.0 if setting.turned else 292.0, abs=1e-9)
        assert (left, low) == pytest.approx((0.0, setting.bottom), abs=1e-9)
        # Counter-clockwise still, and of the same area.
        assert outline.area() == pytest.approx(part.outline.area(), rel=1e-12)


@settings(max_examples=20, deadline=None)
@given(st.tuples(*[st.integers(-60, 60)] * 4), st.tuples(st.booleans(), st.booleans()), st.integers(3, 4))
def test_long_rows_are_as_tight_as_all_orders_tried(leans: tuple[int, ...], over: tuple[bool, ...], many: int) -> None:
    shapes = [slanted(300 + leans[0], 300, leans[1], 100), slanted(200, 200 + leans[2], leans[3], 100)]
    both = [kind(s, 9, str(i), turn_over=may) for i, (s, may) in enumerate(zip(shapes, over, strict=True))]
    rack, stretches, counts = Racks(both, 5.0).rack(100.0), ((2.0, 5000.0),), (3, many)
    slack = slack_of(rack, stretches)
    assume(slack is not None)
    assert sum(counts) > FEW
    quick, slow = tightest_row(rack, stretches, counts, slack), arranged(rack, stretches, counts)
    assert quick is not None and slow is not None
    assert quick.end == pytest.approx(slow.end, abs=1e-6)
    assert [sum(rack.kind_of[c] == k for c in quick.order) for k in (0, 1)] == list(counts)


def test_a_spoilt_layout_is_caught() -> None:
    both = [kind(slanted(300, 300, s * 100, 200), 1, f"{s}", turn_over=True) for s in (1, -1)]
    layout = nest_parts(both, [board(900.0, least_width=200.0)], gap=10.0, end_trim=5.0)
    (only,) = layout.boards
    (at,) = [i for i, part in enumerate(only.parts) if part.over]

    def spoilt(i: int, part: Placed) -> Any:
        parts = (*only.parts[:i], part, *only.parts[i + 1 :])
        return replace(layout, boards=(replace(only, parts=parts),))

    with pytest.raises(BadLayout, match=r"apart|overlap"):
        verify_layout(spoilt(at, replace(only.parts[at], over=False)), both, 10.0, 5.0)
    with pytest.raises(BadLayout, match="its faces matter"):
        verify_layout(layout, [replace(k, turn_over=False) for k in both], 10.0, 5.0)


def laid_out(plan: Plan, ways: list[int]) -> Plan:
    """The plan with its parts one after another on one long board, each in a way of its own."""
    job, (one,) = plan.job, kinds(plan.design)
    rack = Racks([one], job.part_gap).rack(plan.layout.boards[0].stock.least_width)
    x, parts = job.machine.end_trim, []
    for way in ways:
        setting = rack.settings[way]
        parts.append(Placed(one.name, laid(one, setting, x)[0], setting.turned, x, setting.bottom, setting.over))
        x += setting.length + job.part_gap
    used, stock = x - job.part_gap, plan.layout.boards[0].stock
    made = Board(stock, tuple(parts), used, stock.length - used)
    return replace(plan, layout=replace(plan.layout, boards=(made,)))


def mirrored_there(outline: Chain, placed: dict[str, Any]) -> shapely.Polygon:
    """Where a part of `result.json` lies, by shapely alone."""
    shape = shapely.Polygon(outline.flattened(1e-5))
    shape = scale(shape, xfact=-1) if placed["turned_over"] else shape
    shape = rotate(shape, 180) if placed["rotated"] else shape
    left, low = shape.bounds[:2]
    return translate(shape, placed["x"] - left, placed["y"] - low)


jobs = st.fixed_dictionaries(
    {
        "cutter": st.fixed_dictionaries(
            {
                "path": st.sampled_from(["design", "centre"]),
                "corner": st.sampled_from(["relieved", "rounded"]),
                "direction": st.sampled_from(["climb", "conventional"]),
                "outside": st.sampled_from(["sharp", "rolled"]),
                "lead": st.sampled_from([0, 0.5]),
            }
        ),
        "tabs": st.fixed_dictionaries({"count": st.integers(0, 3), "waste": st.sampled_from(["free", "tabbed"])}),
        "machine": st.sampled_from([{}, {}, {"bed": [130, 60]}, {"bed": [150, 60], "indexing": "holes"}]),
        "holes": st.sampled_from([[], [{"what": "rail", "diameter": 0.5, "near": "tread", "at": [4, 3]}]]),
    }
)


@pytest.mark.slow
@settings(max_examples=9, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(
    jobs,
    st.sampled_from(["notched", "saw-tooth", "straight"]),
    st.sampled_from(["factory", "trimmed"]),
    st.sampled_from([11.25, 11.5]),
    st.sampled_from([None, {"deep": 3.5, "high": 1.5}]),
    st.integers(4, 6),
    st.lists(st.integers(0, 3), min_size=3, max_size=3).filter(lambda ways: max(ways) > 1),
)
def test_boards_with_parts_turned_over_come_out_as_designed(
    tables: dict[str, Any], form: str, edges: str, width: float, sill: Any, risers: int, ways: list[int]
) -> None:
    spec: dict[str, Any] = {"count": 3, "turn_over": True, "edges": edges, "throat_least": 2}
    if sill is not None:
        spec |= {"sill_notch": sill, "sill_depth_least": 0}
    if form != "notched":
        spec |= {"form": "plate", "plate": {"profile": form, "bracket": {"diameter": 0.5, "edge_least": 0}}}
    raw = {
        "job": {"name": "Lean-to"},
        "site": {"total_rise": 7 * risers},
        "stringer": spec,
        "stock": [
            {"size": "2x12", "length": 400, "widths": [11.25], "quantity": 0},
            {"size": "2x12", "length": 400, "widths": [width]},
        ],
        **tables,
    }
    try:
        planned = plan_of(job_of(raw, Path("lean-to.toml")))
        turned = laid_out(planned, ways)
        verify(turned)
        _, checks = cut_files(turned, work_of(turned))
    except (ImpossibleStringer, NoStairFits):
        assume(False)
        return
    except Fault as fault:
        # A tool too wide for a corner, or a bed on which no set-up can be had: faults that turning does not bring.
        assume("too wide" not in str(fault) and "set-up" not in str(fault))
        raise
    verdict = cut_verdict(checks)
    assert verdict.ok, verdict
    # Whichever way a part lies, as much wood is left behind its notches.
    first = pytest.approx(checks[0].cut.throats, abs=0.01)
    assert all(c.cut.throats == first for c in checks)
    assert min(checks[0].cut.throats, default=1.0) > 0
    told = json.loads(dumped(result(turned, {}, (), ())))
    (only,) = told["nest"]["boards"]
    assert [2 * p["turned_over"] + p["rotated"] for p in only["parts"]] == ways
    rows = told["stringer"]["outline"]
    outline = Chain(tuple((x, y) for x, y, _ in rows), tuple(b for *_, b in rows), True)
    for placed, said in zip(turned.layout.boards[0].parts, only["parts"], strict=True):
        lies = scale(turned.part_of(placed).outline.moved(placed.motion).polygon(), 1 / 25.4, 1 / 25.4, origin=(0, 0))
        assert mirrored_there(outline, said).symmetric_difference(lies).area < 1e-3


def lines_of(plan: Plan, number: int) -> list[list[tuple[float, float]]]:
    """A part's lettering on the first board, turned back to stand upright, its first line's corner at the origin."""
    done = board_program(plan, 0, label_places(plan))
    back = plan.layout.boards[0].parts[number].motion.inverse()
    marks = [o.chain.moved(back) for o in done.program.operations if o.kind == "mark" and o.part == number and o.chain]
    top = max(p[1] for chain in marks for p in chain.points)
    left = min(p[0] for chain in marks for p in chain.points)
    strokes = [[(round(x - left, 3) + 0.0, round(y - top, 3) + 0.0) for x, y in chain.points] for chain in marks]
    # Which way a stroke is run is the program's choice, for short ways between them.
    return sorted(min(stroke, stroke[::-1]) for stroke in strokes)


def test_lettering_is_never_mirrored_and_clear_of_cuts() -> None:
    planned = plan_of(job_of(JOB | {"holes": [{"what": "r", "diameter": 1, "near": "tread", "at": [4, 4]}]}, Path("k")))
    plan = laid_out(planned, [0, 2, 3])
    drawn, over, both = (lines_of(plan, number) for number in range(3))
    assert over == both
    # The first line is the name, the same on both faces, 24 mm high; the second one points to the upper end.
    first = [[stroke for stroke in lines if min(y for _, y in stroke) > -36.0] for lines in (drawn, over)]
    assert first[0] and first[0] == first[1]
    done = board_program(plan, 0, label_places(plan))
    marks = shapely.union_all([o.chain.line() for o in done.program.operations if o.kind == "mark" and o.chain])
    cuts = [o.chain.line() for o in done.program.operations if o.kind == "outline" and o.chain]
    holes = [shapely.Point(o.centre).buffer(o.diameter / 2) for o in done.program.operations if o.centre]
    assert holes and marks.distance(shapely.union_all([*cuts, *holes])) > 6.0


@pytest.mark.slow
def test_files_and_tables_say_what_is_turned_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = """
        [job]
        name = "Kiln loft"
        [site]
        total_rise = 52
        [stair]
        unit_run = 10
        [stringer]
        form = "plate"
        count = 3
        turn_over = true
        sill_notch = {deep = 3.5, high = 1.5}
        [[stock]]
        size = "2x12"
        length = 250
    """
    path, plain = tmp_path / "kiln.toml", tmp_path / "plain.toml"
    path.write_text(text)
    plain.write_text(text.replace("turn_over = true", "").replace("Kiln", "Other"))
    lengths = []
    for job in (path, plain):
        assert run(["nest", str(job), "--json"]) == 0
        nest = json.loads(capsys.readouterr().out)["nest"]
        lengths.append(nest["boards"][0]["used"])
    assert lengths[0] < lengths[1] - 0.08
    assert run(["nest", str(path)]) == 0
    # A narrow column breaks it over two lines.
    assert "turned over and end for end" in " ".join(capsys.readouterr().out.split())
    assert run(["export", str(path), "-o", str(tmp_path / "out")]) == 0
    told = json.loads((tmp_path / "out/result.json").read_text())
    (only,) = told["nest"]["boards"]
    said = ["yes" if p["turned_over"] else "no" for p in only["parts"]]
    assert said.count("yes") == 1
    rows = list(csv.DictReader((tmp_path / "out/cut-list.csv").read_text().splitlines()))
    assert [row["turned_over"] for row in rows] == [*said, ""]
    assert "turned over and end for end" in (tmp_path / "out/pictures/board-01.svg").read_text()
    assert ">turned over<" in (tmp_path / "out/packet.html").read_text()
    # The part's own file is as drawn, whatever lies on the boards.
    outline = told["stringer"]["outline"]
    (drawn,) = [g for layer, g in read_contours(tmp_path / "out/parts/kiln-loft-stringer.dxf") if layer == "PART"]
    assert drawn.symmetric_difference(shapely.Polygon([(x, y) for x, y, _ in outline])).area < 0.1


@pytest.mark.slow
def test_jobs_on_shared_boards_keep_their_own_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from cutpath.plan.stages import plan_together
    from cutpath.plan.together import Entrant
    from cutpath.rules.load import load_rules

    may, may_not = (
        job_of(JOB | {"stringer": JOB["stringer"] | {"turn_over": t}}, Path("k")).job for t in (True, False)
    )
    entrants = [
        Entrant(f"{i}.toml", replace(job, name=name), load_rules(job.stair.rules), str)
        for i, (job, name) in enumerate(((may_not, "Fixed"), (may, "Free")))
    ]
    together = plan_together(entrants, may.stock)
    verify(together.whole)
    parts: list[PartKind] = list(kinds(together.whole.design))
    assert [(k.name, k.turn_over) for k in parts] == [("Fixed stringer", False), ("Free stringer", True)]
    assert not any(p.over for b in together.whole.layout.boards for p in b.parts if p.name == "Fixed stringer")
    export_files(together.whole, {}, (), with_cuts=True)

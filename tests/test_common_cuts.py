"""Cuts that neighbours share, through whole jobs: what the files hold, what they leave of the board, what is said."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cut.onboard import freeing_paths
from cutpath.cut.simulate.compare import leave
from cutpath.dxf.read_back import read_dxf, verified_dxf
from cutpath.export.cut_files import cut_files
from cutpath.faults import Fault, FileMismatch
from cutpath.nest.values import Board
from cutpath.outline import Chain
from cutpath.pictures import board_svg
from cutpath.pictures.shared import shared_svg
from cutpath.plan.laid import verify
from cutpath.plan.stages import plan_together
from cutpath.plan.together import Entrant
from cutpath.plan.values import Plan
from cutpath.report.nest import nest_text
from cutpath.rules.load import load_rules
from cutpath.units import show
from cutpath.work.boards import board_drawing, board_program, label_places
from cutpath.work.cut_check import cut_verdict
from cutpath.work.whole import work_of
from tests.jobs import board_work, export_of, job_with, plan_of
from tests.test_pictures import assert_clear

IN = 25.4


def sharing(base: str = "orchard-steps", /, **changes: Any) -> Any:
    """A demo job whose parts may share cuts, on boards that hold several."""
    long = {"size": [45, 300], "length": "6 m"} if base == "garden-room" else {"size": "2x12", "length": "20'"}
    given_ = {"stock": [long]} | changes
    given_["cutter"] = {"path": "centre"} | given_.get("cutter", {})
    given_["machine"] = {"common_cuts": True, "bed": None} | given_.get("machine", {})
    return job_with(base, **given_)


def cut_lines(plan: Plan, data: bytes) -> list[Chain]:
    drawing = read_dxf("x.dxf", data, plan.job.units, plan.job.layers.note).drawing
    return [c.chain for c in drawing.chains if c.layer == plan.job.layers.cut]


def times_cut(line: tuple[tuple[float, float], tuple[float, float]], chains: list[Chain]) -> float:
    """How often a stretch is followed, by length."""
    near = shapely.LineString(line).buffer(1e-3, cap_style="flat")
    return sum(chain.line().intersection(near).length for chain in chains) / math.dist(*line)


@pytest.mark.slow
@settings(max_examples=9, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(
    form=st.sampled_from(["notched", "notched", "plate"]),
    kind=st.sampled_from([("router", 0.25), ("router", 0.375), ("router", 0.5), ("beam", 0.006), ("beam", 0.06)]),
    run=st.floats(10, 13),
    rise=st.floats(5, 7.7),
    risers=st.integers(3, 6),
    overhang=st.floats(0.5, 2.5),
    corner=st.sampled_from(["relieved", "rounded"]),
    outside=st.sampled_from(["sharp", "rolled"]),
    edges=st.sampled_from(["factory", "trimmed"]),
    direction=st.sampled_from(["climb", "conventional"]),
    sill=st.sampled_from([None, {"deep": 3.5, "high": 1.5}]),
    over=st.booleans(),
    wide=st.sampled_from([11.25, 11.25, 11.6]),
)
def test_whatever_the_job_shared_cuts_leave_what_was_designed(
    form, kind, run, rise, risers, overhang, corner, outside, edges, direction, sill, over, wide
) -> None:
    read = sharing(
        site={"profile": None, "pad_reveal": None, "total_rise": rise * risers},
        stair={
            "unit_run": run,
            "unit_rise": None,
            "risers": risers,
            "header_depth": None,
            "floor_overhang": overhang,
        },
        stringer={
            "form": form,
            "edges": edges,
            "edge_trim": 0.25 if edges == "trimmed" else 0,
            "sill_notch": sill,
            "throat_least": 0 if form == "notched" else None,
            "sill_depth_least": 0,
            "turn_over": over,
            "count": 4,
        },
        cutter={"kind": kind[0], "width": kind[1], "corner": corner, "outside": outside, "direction": direction},
        stock=[
            {"size": "2x12", "length": 30 * 12, "widths": [wide]},
            {"size": "2x12", "length": 8 * 12},
        ],
    )
    try:
        planned = plan_of(read)
    except Fault:
        assume(False)
    verify(planned)
    work = work_of(planned)
    files, checks = cut_files(planned, work)
    verdict = cut_verdict(checks)
    assert verdict.ok, verdict.note
    shared = [cut for board in planned.layout.boards for cut in board.common]
    event(f"{len(shared)} shared cuts")
    for number, board in enumerate(planned.layout.boards, 1):
        if board.common:
            chains = cut_lines(planned, files[f"boards/{number:02d}.dxf"])
            for cut in board.common:
                assert all(times_cut(line, chains) == pytest.approx(1.0, abs=0.02) for line in cut.lines)
            assert_clear(board_svg(planned, number - 1, work.boards[number - 1]))
            assert_clear(shared_svg(planned, number - 1, work.boards[number - 1]))


@pytest.fixture(scope="module")
def garden() -> tuple[Any, Plan]:
    read = sharing("garden-room")
    return read, plan_of(read)


def test_the_saved_length_is_what_trigonometry_says(garden: tuple[Any, Plan]) -> None:
    """What two parts draw nearer square to level faces counts by the sine of the pitch along the board, to plumb ones
    by its cosine."""
    planned = garden[1]
    apart = plan_of(sharing("garden-room", machine={"common_cuts": False}))
    (board,), (wide,) = planned.layout.boards, apart.layout.boards
    assert [p.rotated for p in board.parts] == [p.rotated for p in wide.parts] == [False, True, False, True]
    pitch, gap = planned.stair.pitch, planned.job.part_gap
    assert planned.job.part_gap == apart.job.part_gap == pytest.approx(12.0)
    # The seats of parts 1 and 2 face each other, and those of 3 and 4; the plumb cuts of 2 and 3.
    saved = (gap - 8.0) * (2 / math.sin(pitch) + 1 / math.cos(pitch))
    assert wide.used - board.used == pytest.approx(saved)
    assert board.offcut - wide.offcut == pytest.approx(saved)
    assert board.pairs == [(0, 1), (1, 2), (2, 3)]
    # Seats lie along each other from one's corner to the other's; the tool goes half its width further at both ends.
    for cut, role in zip(board.common, ("toe", "top", "toe"), strict=True):
        ends = [corner(planned, board, k, role) for k in (cut.first, cut.second)]
        (line,) = cut.lines
        u = ((line[1][0] - line[0][0]) / math.dist(*line), (line[1][1] - line[0][1]) / math.dist(*line))
        along = abs((ends[1][0] - ends[0][0]) * u[0] + (ends[1][1] - ends[0][1]) * u[1])
        assert math.dist(*line) == pytest.approx(along + 8.0)
        turn = pitch if role == "toe" else pitch + math.pi / 2
        assert abs(u[0] * math.sin(turn) - u[1] * math.cos(turn)) < 1e-9


def corner(planned: Plan, board: Board, number: int, role: str) -> tuple[float, float]:
    """Where the lowest riser cut meets the seat, or the plumb cut the first tread's."""
    placed = board.parts[number]
    part = planned.part_of(placed)
    return placed.motion(part.outline.points[part.roles.index(role)])


def test_each_line_is_cut_once_and_the_cut_is_that_much_shorter(garden: tuple[Any, Plan]) -> None:
    read, planned = garden
    (board,) = planned.layout.boards
    chains = cut_lines(planned, export_of(read).files["boards/01.dxf"])
    alone = [
        path
        for placed in board.parts
        for path in freeing_paths(planned.part_of(placed), planned.job.cutter, board.stock.least_width - 290.0)
    ]
    assert len(alone) == 4
    lines = [line for cut in board.common for line in cut.lines]
    assert [times_cut(line, chains) for line in lines] == pytest.approx([1.0] * 3, abs=1e-3)
    # At each line two square corners turn off, each of them half the tool's radius short.
    saved = sum(math.dist(*line) for line in lines) + 2 * 3 * 2.0
    assert sum(c.length() for c in alone) - sum(c.length() for c in chains) == pytest.approx(saved)


def test_a_line_cut_twice_is_refused(garden: tuple[Any, Plan]) -> None:
    planned = garden[1]
    (board,) = planned.layout.boards
    both = replace(planned, layout=replace(planned.layout, boards=(replace(board, common=()),)))
    drawing = board_drawing(both, 0, board_program(both, 0, label_places(both)), lambda mm: show(mm, "mm"))
    with pytest.raises(FileMismatch, match="meets"):
        verified_dxf("boards/01.dxf", drawing, "mm", planned.job.dxf_version, planned.job.layers)


@pytest.mark.parametrize("base", ["orchard-steps", "garden-room"])
@pytest.mark.parametrize("edges", ["factory", "trimmed"])
@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_nothing_is_worked_on_that_has_come_loose(base: str, edges: str, direction: str) -> None:
    planned = plan_of(sharing(base, cutter={"direction": direction}, stringer={"edges": edges, "edge_trim": 0}))
    (board,) = planned.layout.boards
    assert len(board.common) == len(board.parts) - 1
    done = board_program(planned, 0, label_places(planned))
    order = [o for o in done.program.operations if o.kind == "outline"]
    assert [o.kind for o in done.program.operations][-len(order) :] == ["outline"] * len(order)
    parts = [planned.part_of(p).outline.moved(p.motion).polygon() for p in board.parts]
    wood = shapely.box(0, 0, board.stock.length, board.stock.least_width)
    for k, operation in enumerate(order):
        pieces = leave(wood, [o.chain for o in order[:k] if o.chain is not None], planned.job.cutter.width, 0.01)
        piece = next(p for p in pieces if p.contains(parts[operation.part].centroid))
        # More of the board than parts alone holds it still.
        held = sum(part.area for part in parts if piece.contains(part.centroid))
        assert piece.area > held + 500.0
    # And in the end every part lies alone, the shared line having freed the earlier one.
    pieces = leave(wood, [o.chain for o in order if o.chain is not None], planned.job.cutter.width, 0.01)
    for part in parts:
        piece = next(p for p in pieces if p.contains(part.centroid))
        assert piece.area == pytest.approx(part.area, rel=1e-4)
    # Each part's pieces are cut one after another, parts from left to right.
    assert [o.part for o in order] == sorted(o.part for o in order)


def test_results_pictures_and_notes_say_it(garden: tuple[Any, Plan]) -> None:
    read, planned = garden
    made = export_of(read)
    (board,) = json.loads(made.files["result.json"])["nest"]["boards"]
    assert [c["parts"] for c in board["common_cuts"]] == [[1, 2], [2, 3], [3, 4]]
    for found, cut in zip(board["common_cuts"], planned.layout.boards[0].common, strict=True):
        assert found["lines"] == [[pytest.approx(p) for p in line] for line in cut.lines]
    assert "1-2, 2-3, 3-4" in nest_text(planned) and "8 mm where they share a cut" in nest_text(planned)
    picture = made.files["pictures/board-01.svg"].decode()
    assert "cut once for two parts" in picture and "parts 1 and 2, 2 and 3, 3 and 4" in picture
    enlarged = made.files["pictures/board-01-shared.svg"].decode()
    assert "Parts 1 and 2, 3 and 4<" in enlarged and "Parts 2 and 3<" in enlarged
    packet = made.files["packet.html"].decode()
    assert "board 1, parts 1 and 2, 2 and 3, 3 and 4" in packet and 'id="drawing-board-01-shared"' in packet
    note = b"Parts that share a cut, made once for both: 1 and 2, 2 and 3, 3 and 4."
    assert note in made.files["boards/01.dxf"]


def test_a_beam_s_width_is_told_to_its_decimals_and_not_as_0() -> None:
    stock = [{"size": "2x12", "length": 240}]
    plan = plan_of(sharing(cutter={"kind": "beam", "width": "1/64"}, machine={"part_gap": 1}, stock=stock))
    (shared, *_) = (i for i, board in enumerate(plan.layout.boards) if board.common)
    assert "0.0156 in between the parts" in board_svg(plan, shared, board_work(plan, shared))
    assert "0.0156 in between the parts" in shared_svg(plan, shared, board_work(plan, shared))


@pytest.mark.slow
def test_small_parts_beside_them_come_out_as_well() -> None:
    read = sharing("orchard-steps", extras={"pitch_gauge": True, "trial_piece": True})
    planned = plan_of(read)
    (board,) = planned.layout.boards
    small = [planned.part(p.name).small for p in board.parts]
    assert small == [None, None, None, "pitch gauge", "trial piece"] and board.pairs == [(0, 1), (1, 2)]
    made = export_of(read)
    assert made.cut is not None and made.cut.ok


def test_a_job_that_does_not_ask_says_nothing_of_it() -> None:
    read = sharing("garden-room", machine={"common_cuts": False})
    planned = plan_of(read)
    assert not planned.layout.boards[0].common and "share" not in nest_text(planned)
    made = export_of(read)
    assert "common_cuts" not in json.loads(made.files["result.json"])["nest"]["boards"][0]
    assert b"share a cut" not in made.files["boards/01.dxf"]


def test_boards_longer_than_the_bed_are_refused() -> None:
    with pytest.raises(Fault, match=r"machine\.common_cuts: true, and boards 240 in .* keep to boards that fit"):
        plan_of(sharing(machine={"bed": [200, 60]}))
    plan_of(sharing(machine={"bed": [240, 60]}))


def test_cuts_out_of_the_bed_s_reach_are_refused() -> None:
    read = sharing(machine={"bed": [240, 60], "end_trim": 0}, stringer={"edges": "trimmed"})
    with pytest.raises(Fault, match=r"machine\.common_cuts: true, and the cuts of board 1 run past its ends"):
        export_of(read)


def test_two_jobs_share_cuts_on_shared_boards() -> None:
    landing = {"profile": None, "pad_reveal": None}
    one = sharing(stringer={"count": 1})
    other = sharing(
        stringer={"count": 1}, site=landing | {"total_rise": 36.25}, stair={"risers": 5}, job={"name": "Low"}
    )
    reads = [one, other]
    entrants = [
        Entrant(f"{k}.toml", r.job, load_rules(r.job.stair.rules), lambda mm: show(mm, "in"))
        for k, r in enumerate(reads)
    ]
    together = plan_together(entrants, reads[0].job.stock)
    (board,) = together.whole.layout.boards
    assert board.pairs == [(0, 1)] and len({p.name for p in board.parts}) == 2
    verify(together.whole)

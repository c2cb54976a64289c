"""Random jobs with treads, riser boards and rail through `check` and `solve`: sound answers, or plain faults."""

from __future__ import annotations

import itertools
import json
import random
from pathlib import Path
from typing import Any

import pytest
import shapely

from cutpath.cli.main import run
from cutpath.job.read import job_of
from cutpath.pieces.values import Pieces, StairPiece
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.stages import solve
from cutpath.rules.load import load_rules, shipped
from cutpath.units import shown_in

FORMS: tuple[dict[str, Any], ...] = (
    {"form": "notched"},
    {"form": "notched", "sill_notch": {"deep": 3, "high": 1.5}},
    {"form": "notched", "edges": "trimmed"},
    {"form": "housed", "count": 2, "housing": {"depth": 0.5}},
    {"form": "housed", "count": 2, "housing": {"depth": 0.375, "tread_length_play": 0.125}},
    {"form": "plate", "count": 2, "plate": {"profile": "straight"}},
    {"form": "plate", "plate": {"profile": "saw-tooth"}},
)


def random_job(draw: random.Random) -> dict[str, Any]:
    """A job's values in inches, any of whose tables may ask for what can't be; rise and run suit every rule set."""

    def some(**values: Any) -> dict[str, Any]:
        return {key: value for key, value in values.items() if draw.random() < 0.5}

    def eighths(low: float, high: float) -> float:
        return draw.randint(round(8 * low), round(8 * high)) / 8

    risers, thick = draw.randint(2, 18), draw.choice([1, 1.5])
    stringer = {"count": draw.choice([1, 2, 3, 3, 4]), "throat_least": 0, **draw.choice(FORMS)}
    board = draw.choice([0, 0, 0.75])
    toothed = stringer["form"] == "notched" or draw.random() < 0.2
    job: dict[str, Any] = {
        "job": {"name": "Random"},
        "site": {"total_rise": round(risers * draw.uniform(6.2, 6.6), 3)},
        "stair": {
            "risers": risers,
            "unit_run": eighths(11, 11.75),
            "nosing": draw.choice([0, 0.75, 1.25]),
            "riser_board": board,
            "tread_thickness": thick,
            "clear_width": eighths(30, 48),
            "top_tread": draw.choice(["one-below", "at-floor"]),
            "rules": draw.choice([name for name in shipped() if name != "aba-504"]),
        },
        "stringer": stringer,
        "stock": [{"size": [1.5, 15], "length": 360}],
    }
    treads = {"size": [thick, draw.choice([3.5, 5.5, 7.25, 11.25])]} | some(
        boards=draw.randint(1, 4),
        gap=eighths(0, 0.75),
        side_overhang=eighths(0, 2) * toothed,
        post_play=eighths(0, 0.5),
        back_gap_most=eighths(0, 2),
    )
    rail = some(
        side=draw.choice(["both", "left", "right"]),
        posts=sorted({draw.randint(1, risers - draw.randint(0, 1)) for _ in range(draw.randint(2, 5))} | {1}),
        post=draw.choice(["4x4", "4x6", [1.5, 5.5], [3.5, 1.5]]),
        place=draw.choice(["inside", "outside"] if toothed else ["outside"]),
        set_back=eighths(0, 8),
        post_below=eighths(0, 40),
        height=eighths(20, 44),
        top_rail=draw.choice(["2x4", "2x6", [1.5, 1.5]]),
        past=[eighths(0, 30), eighths(0, 30)],
        ends=draw.choice(["plumb", "square"]),
        bottom_rail=draw.choice(["2x4", [1, 2]]),
        bottom_clear=eighths(0, 8),
        baluster=draw.choice(["2x2", [0.75, 0.75], [0.5, 2]]),
    ) | {"opening_most": 4}
    tables = {"treads": treads, "rail": rail}
    if board:
        tables["riser_boards"] = {"size": [board, 9.25]} | some(
            foot=draw.choice(["behind", "standing"]), gap=eighths(0, 0.5), floor_thickness=eighths(0.5, 2)
        )
    job |= {name: table for name, table in tables.items() if draw.random() < 0.8}
    if draw.random() < 0.3:
        job["lumber"] = [{"size": "2x4", "length": draw.choice([48, 96, 144])}]
    return job


def _inline(value: Any) -> str:
    """A value as TOML has it on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_inline(each)}" for key, each in value.items()) + "}"
    return f"[{', '.join(map(_inline, value))}]" if isinstance(value, list) else json.dumps(value)


def unsound(found: Pieces) -> list[str]:
    """What of a stair's pieces can't be."""
    wrong = [f"{piece.name}: {why}" for piece in found.all for why in _wrong_with(piece)]
    names = [piece.name for piece in found.all]
    wrong += [f"{name}, twice" for name in set(names) if names.count(name) > 1]
    if found.rail is not None:
        rail = found.rail
        wrong += [f"gap of {bay.gap}" for bay in rail.bays if not -1e-6 <= bay.gap <= rail.opening_most + 1e-6]
        wrong += [f"bay {bay.clear}" for bay in rail.bays if bay.clear[1] <= bay.clear[0]]
        wrong += [] if min(rail.reaches) >= 0 else ["a rail that reaches out of the stair"]
    if found.treads is not None:
        wrong += [f"tread {t.number}: open {t.open}" for t in found.treads.places if t.open < -1e-6]
    return wrong


def _wrong_with(piece: StairPiece) -> list[str]:
    wrong = [] if piece.length > 0 and piece.count > 0 and min(piece.section) > 0 else ["no size"]
    if piece.ripped is not None and not 0 < piece.ripped < piece.stock.width:
        wrong.append(f"ripped to {piece.ripped} from {piece.stock.width}")
    outlines = [stand.elevation for stand in piece.stands] + [s.plan for s in piece.stands if s.plan is not None]
    for outline in (*outlines, *([piece.shape] if piece.shape else [])):
        polygon = shapely.Polygon(outline.points)
        if not polygon.is_valid or polygon.area <= 0 or not outline.closed:
            wrong.append("an outline that crosses itself or has no area")
    for a, b in itertools.combinations(piece.stands, 2):
        across = min(a.across[1], b.across[1]) - max(a.across[0], b.across[0])
        if across > 1e-6 and a.elevation.polygon().intersection(b.elevation.polygon()).area > 1e-3:
            wrong.append("two in one place")
            break
    return wrong


def tried(values: dict[str, Any], path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """Run one job through `check`, `solve` and its own pieces; what it came to.

    Raises:
        AssertionError: with the job, where an answer isn't sound or a fault isn't told as faults are.
    """
    path.write_text("".join(f"{key} = {_inline(value)}\n" for key, value in values.items()), encoding="utf-8")
    status = run(["check", str(path)])
    said = capsys.readouterr()
    where = json.dumps(values)
    assert status in (0, 1, 2), f"{said.err}\n{where}"
    assert status != 2 or (said.err.strip() and "Traceback" not in said.err), where
    assert all(word not in said.out + said.err for word in ("-0 in", "nan", "inf ", "{}", "None")), f"{said}\n{where}"
    assert run(["solve", str(path)]) in (0, 1, 2), where
    capsys.readouterr()
    if status == 2:
        return said.err
    job = job_of(values, path).job
    rules, show = load_rules(job.stair.rules), shown_in(job.units)
    found = design(job, rules, solve(job, rules, show).stair, board_widths(job)[0], show).pieces
    assert (found is not None) is job.lists_pieces
    wrong = [] if found is None else unsound(found)
    assert not wrong, f"{wrong}\n{where}"
    return ""


@pytest.mark.slow
def test_jobs_with_pieces_are_answered_soundly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = [tried(random_job(random.Random(seed)), tmp_path / "job.toml", capsys) for seed in range(10)]
    assert answers.count("") >= 3, "faults alone would show little"

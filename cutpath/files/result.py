"""`result.json`: everything computed, lengths in the job's unit, no time stamps."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from cutpath.cautions import CAUTIONS
from cutpath.cut.paths import waste_side
from cutpath.cut.program import ORDER, Program
from cutpath.cut.relief_cost import relief_costs
from cutpath.design.stair import Candidate, Choice
from cutpath.design.stringer import nosings
from cutpath.files.sheet_data import setout_data, tape_data
from cutpath.files.small_words import left_out, small_result
from cutpath.form_words import form_result
from cutpath.job import Job
from cutpath.mend import Mend
from cutpath.nest.shopping import shopping
from cutpath.nest.values import Board, Layout
from cutpath.outline import Chain, Point
from cutpath.planned import Design, Plan
from cutpath.rules.values import Check
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import written

if TYPE_CHECKING:
    from cutpath.files.cutcheck import CutCheck

SCHEMA_VERSION = 1
WRITTEN_BY = "cutpath"

Json = dict[str, Any]


class _Unit:
    """Turns millimetres into the job's unit as written."""

    def __init__(self, job: Job) -> None:
        self.unit = job.units

    def __call__(self, mm: float | None) -> float | None:
        return None if mm is None else written(mm, self.unit)

    def point(self, p: Point) -> list[float]:
        return [written(p[0], self.unit), written(p[1], self.unit)]

    def outline(self, chain: Chain) -> list[list[float]]:
        return [
            [*self.point(p), round(b, WRITTEN_DECIMALS) + 0.0] for p, b in zip(chain.points, chain.bulges, strict=True)
        ]


def result(
    plan: Plan,
    values: Mapping[str, Any],
    mends: Sequence[Mend],
    files: Sequence[Json],
    cut: Check | None = None,
    shop: Json | None = None,
) -> Json:
    """The whole of `result.json`.

    Args:
        plan: what was computed.
        values: the job with every default, in the job's unit, as read.
        mends: what would mend a thin throat; empty where it holds.
        files: of `{path, sha256}`, those written beside it.
        cut: the check of the simulated cut; None where no cut file is written.
        shop: from `shop_result`; None likewise.
    """
    checked = check_result(plan, mends)
    if cut is not None:
        checked["checks"].append(check_json(cut, plan.job))
    return {
        "schema_version": SCHEMA_VERSION,
        "written_by": WRITTEN_BY,
        "job": dict(values),
        **checked,
        "nest": nest_result(plan),
        "shop": shop,
        "set_out": setout_data(plan),
        "tape": tape_data(plan),
        "files": list(files),
        "cautions": list(CAUTIONS),
    }


def check_result(plan: Plan, mends: Sequence[Mend]) -> Json:
    """The stair, its stringer and the checks."""
    unit = _Unit(plan.job)
    return {
        "units": plan.job.units,
        "rules": {"name": plan.rules.name, "title": plan.rules.title},
        "stair": _stair(plan, unit),
        "solve": solve_result(plan.job, plan.choice),
        "stringer": _stringer(plan.job, plan.design, unit) | form_result(plan, unit, unit.point, unit.outline),
        "checks": [check_json(check, plan.job) for check in plan.design.checks],
        "mends": [{"change": m.change, "throat": unit(m.throat), "enough": m.enough} for m in mends],
        "strength": _strength(plan, unit),
        **({"small_parts": small_result(plan)} if plan.design.small else {}),
    }


def solve_result(job: Job, choice: Choice) -> Json:
    """All riser counts that were tried and the one taken."""
    unit = _Unit(job)
    return {
        "taken": choice.taken.risers,
        "reason": choice.reason,
        "tried": [candidate_result(c, unit) for c in choice.tried],
    }


def candidate_result(candidate: Candidate, unit: Callable[[float | None], float | None]) -> Json:
    """One riser count."""
    stair = candidate.stair
    return {
        "risers": candidate.risers,
        "fits": candidate.fits,
        "unit_rise": unit(stair.unit_rise) if stair else None,
        "unit_run": unit(stair.unit_run) if stair else None,
        "total_rise": unit(stair.total_rise) if stair else None,
        "pitch_deg": _degrees(stair.pitch) if stair else None,
        "foot_out": unit(candidate.foot_out),
        "pad_reveal": unit(candidate.reveal),
        "pad_reveal_far_edge": unit(candidate.reveal_far),
        "comfort": unit(stair.comfort) if stair else None,
        "obstacles": [{"key": o.key, "text": o.text} for o in candidate.obstacles],
    }


def _degrees(radians: float) -> float:
    import math

    return round(math.degrees(radians), WRITTEN_DECIMALS)


def _stair(plan: Plan, unit: _Unit) -> Json:
    stair, taken = plan.stair, plan.choice.taken
    rises, goings = nosings(stair, plan.design.stringer)
    return {
        "risers": stair.risers,
        "treads": stair.treads,
        "unit_rise": unit(stair.unit_rise),
        "unit_run": unit(stair.unit_run),
        "total_rise": unit(stair.total_rise),
        "total_run": unit(stair.foot_out),
        "pitch_deg": _degrees(stair.pitch),
        "comfort": unit(stair.comfort),
        "foot": {"out": unit(stair.foot_out), "down": unit(stair.total_rise)},
        "pad_reveal": unit(taken.reveal),
        "pad_reveal_far_edge": unit(taken.reveal_far),
        "rises": [unit(v) for v in rises],
        "goings": [unit(v) for v in goings],
    }


def _stringer(job: Job, drawn: Design, unit: _Unit) -> Json:
    stringer, part = drawn.stringer, drawn.part
    return {
        "board_width": unit(drawn.board_width),
        "part_width": unit(part.width),
        "length": unit(stringer.length),
        "notch_depth": unit(stringer.notch_depth),
        "throat": unit(part.throat),
        "notches": [{"n": n.tread, "corner": unit.point(n.corner), "throat": unit(n.throat)} for n in part.notches],
        "heel": unit(stringer.heel),
        "seat_bearing": unit(stringer.seat_bearing),
        "sill_depth": unit(stringer.sill_depth),
        "corner": job.cutter.corner,
        "relief": part.relief,
        "reliefs": [
            {
                "relief": c.relief,
                "throat": unit(c.throat),
                "throat_loss": unit(c.throat_loss),
                "seat_loss": unit(c.seat_loss),
                "riser_loss": unit(c.riser_loss),
            }
            for c in relief_costs(stringer, job.cutter.radius, part.rims)
        ],
        "area": round(part.outline.area() / (25.4**2 if job.units == "in" else 1.0), WRITTEN_DECIMALS),
        "outline": unit.outline(part.outline),
    }


def check_json(check: Check, job: Job) -> Json:
    """One check."""

    def number(value: float | None) -> float | None:
        if value is None or check.quantity != "length":
            return None if value is None else round(value, WRITTEN_DECIMALS)
        return written(value, job.units)

    least, most = number(check.least), number(check.most)
    limit = [least, most] if least is not None and most is not None else least if least is not None else most
    unit = {"length": job.units, "angle": "deg", "count": "1"}[check.quantity]
    return {
        "id": check.id,
        "ok": check.ok,
        "required": check.required,
        "value": number(check.value),
        "limit": limit,
        "unit": unit,
        "source": check.source,
        "note": check.note,
    }


def _strength(plan: Plan, unit: _Unit) -> Json | None:
    found = plan.design.bending
    if found is None:
        return None
    psi = found.stress * 145.03773773
    return {
        "span": unit(found.span),
        "tributary_width": unit(found.tributary),
        "live_load_psf": found.load_psf,
        "bending_stress_psi": round(psi, 1),
        "bending_stress_mpa": round(found.stress, 3),
        "source": found.source,
        "note": "uniform load on a simple beam of the throat's section; a figure for judgement, not a design",
    }


def nest_result(plan: Plan) -> Json:
    """What goes on which board."""
    unit, layout = _Unit(plan.job), plan.layout
    return {
        "boards": [
            {
                "file": board_file(i, len(layout.boards)),
                "stock": board.stock.size,
                "length": unit(board.stock.length),
                "width": unit(board.stock.least_width),
                "parts": [
                    {"name": p.name, "x": unit(p.x), "y": unit(p.y), "rotated": p.rotated, "turned_over": p.over}
                    for p in board.parts
                ],
                "used": unit(board.used),
                "offcut": unit(board.offcut),
                **({"common_cuts": _common_cuts(board, unit)} if plan.job.machine.common_cuts else {}),
                **({"from_offcut": board.stock.offcut or None} if plan.keep else {}),
            }
            for i, board in enumerate(layout.boards)
        ],
        "part_gap": unit(plan.job.part_gap),
        "bought": _bought(layout, unit),
        "measure": layout.measure,
        "cost": layout.cost,
        "value": _amount(layout, layout.value, unit),
        "bound": _amount(layout, layout.bound, unit),
        "yield": round(layout.yield_share, WRITTEN_DECIMALS),
        **(_kept(plan, unit) if plan.keep else {}),
        **(_left_out(plan) if plan.design.small else {}),
        **({"stopped": True} if layout.stopped else {}),
    }


def _left_out(plan: Plan) -> Json:
    found = left_out(plan)
    return {"left_out": [{"name": parts.name, "count": count, "file": file} for parts, count, file in found]}


def _common_cuts(board: Board, unit: _Unit) -> list[Json]:
    """Which parts share a cut, counted from 1, and the stretches of the tool's centre line that both would follow."""
    return [
        {
            "parts": [cut.first + 1, cut.second + 1],
            "lines": [[unit.point(p) for p in line] for line in cut.lines],
        }
        for cut in board.common
    ]


def _amount(layout: Layout, value: float, unit: _Unit) -> float | None:
    """What a nest makes least, in the user's money, or the job's unit or its square."""
    if layout.measure == "area":
        return round(value / (25.4**2 if unit.unit == "in" else 1.0), WRITTEN_DECIMALS)
    return value if layout.measure == "money" else unit(value)


def _kept(plan: Plan, unit: _Unit) -> Json:
    keep, layout = plan.keep, plan.layout
    assert keep is not None
    worth = layout.kept_worth if layout.measure == "money" else unit(layout.kept_worth)
    return {"keep_over": unit(keep.over), "offcut_worth": keep.worth, "kept_worth": worth}


def shop_result(plan: Plan, programs: Sequence[Program], cuts: Sequence[CutCheck]) -> Json:
    """What a shop's set-up needs, the order of work on each board, and how each part comes out of the simulated cut."""
    unit, cutter = _Unit(plan.job), plan.job.cutter
    return {
        "cutter": cutter.kind,
        "width": unit(cutter.width),
        "path": cutter.path,
        "compensate": f"half the width, {waste_side(cutter)} of travel" if cutter.path == "design" else "not at all",
        "direction": cutter.direction,
        "boards": [
            {
                "file": board_file(i, len(programs)),
                "operations": [[kind, sum(o.kind == kind for o in done.operations)] for kind in ORDER],
                "travel": unit(done.travel),
                "travel_bound": unit(done.travel_bound),
            }
            for i, done in enumerate(programs)
        ],
        "simulated_cut": [
            {
                "board": c.board + 1,
                "part": c.part + 1,
                "name": c.name,
                "ok": c.cut.ok,
                "gouge": unit(c.cut.gouge),
                "leftover": unit(c.cut.leftover),
                "rounded_corners": len(c.cut.fillets),
                "throat_as_cut": unit(min(c.cut.throats, default=None)),
            }
            for c in cuts
        ],
    }


def _bought(layout: Layout, unit: _Unit) -> list[Json]:
    return [
        {"stock": b.size, "length": unit(b.length), "quantity": b.count, "price": b.price, "cost": b.total}
        | ({"origin": b.origin} if b.origin else {})
        for b in shopping(layout)
    ]


def board_number(index: int, count: int) -> str:
    """A board's number in file names, counted from 01."""
    return f"{index + 1:0{max(2, len(str(count)))}d}"


def board_file(index: int, count: int) -> str:
    """A board's cut file."""
    return f"boards/{board_number(index, count)}.dxf"


def dumped(data: Json) -> str:
    """JSON that a person can read a change of: a line a value, short lists of numbers on one line."""
    return _dump(data, 0) + "\n"


def _dump(value: Any, depth: int) -> str:
    pad, end = "  " * (depth + 1), "  " * depth
    if isinstance(value, dict) and value:
        body = ",\n".join(f"{pad}{json.dumps(k, ensure_ascii=False)}: {_dump(v, depth + 1)}" for k, v in value.items())
        return f"{{\n{body}\n{end}}}"
    if isinstance(value, list) and any(isinstance(v, dict | list) for v in value):
        body = ",\n".join(f"{pad}{_dump(v, depth + 1)}" for v in value)
        return f"[\n{body}\n{end}]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)

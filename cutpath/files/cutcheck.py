"""The simulated cut of a written file: read back, cut out of its board, and held against the design.

Nothing here is taken from memory but the design itself: paths, holes and the board come from the file's bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from cutpath.cut.onboard import PartCut
from cutpath.cut.paths import waste_side
from cutpath.cut.relief import CutPart, behind
from cutpath.cut.simulate import SimulatedCut, compare, compensated, leave
from cutpath.cut.simulate_design import Meant
from cutpath.files.drawing import Drawing
from cutpath.files.dxf_read import read_dxf
from cutpath.job import Job
from cutpath.nest.values import Placed
from cutpath.outline import Chain
from cutpath.plan import Plan
from cutpath.rules.values import Check
from cutpath.tolerances import CUT

if TYPE_CHECKING:
    from shapely import Polygon


@dataclass(frozen=True, slots=True)
class CutCheck:
    """One part of one board as the machine would leave it: board and part counted from 0, the part's name, the cut."""

    board: int
    part: int
    name: str
    cut: SimulatedCut


def check_board(plan: Plan, index: int, path: str, data: bytes, cuts: Sequence[PartCut]) -> tuple[CutCheck, ...]:
    """Cut a board's file in simulation.

    Args:
        plan: the job, for the design that is held against.
        index: of the board.
        path: the file's, for messages.
        data: its bytes.
        cuts: one a part, for the stretches that tabs leave out: tabs are cut in the end, too.

    Returns:
        One check a part.
    """
    job, board = plan.job, plan.layout.boards[index]
    drawing = read_dxf(path, data, job.units, job.layers.note).drawing
    left_out = [stretch for cut in cuts for stretch in cut.left_out] if job.tabs.shown == "gap" else []
    wood = _board(drawing, job.layers.stock)
    pieces = _pieces(wood, drawing, job, left_out)
    found = []
    for number, placed in enumerate(board.parts):
        meant = _meant(plan.part(placed.name), placed)
        found.append(CutCheck(index, number, placed.name, compare(wood, pieces, job.cutter.width, meant)))
    return tuple(found)


def _on(drawing: Drawing, layer: str) -> list[Chain]:
    return [c.chain for c in drawing.chains if c.layer == layer]


def _board(drawing: Drawing, layer: str) -> Polygon:
    (frame,) = _on(drawing, layer)
    return frame.polygon()


def _pieces(wood: Polygon, drawing: Drawing, job: Job, left_out: Sequence[Chain]) -> tuple[Polygon, ...]:
    import shapely

    layers, cutter = job.layers, job.cutter
    lines = [*_on(drawing, layers.cut), *_on(drawing, layers.tab), *left_out]
    if cutter.path == "design":
        # What a shop's software makes of the lines, told which side of travel the tool runs on.
        lines = list(compensated(lines, cutter.width, "left" if waste_side(cutter) == "left" else "right"))
    pieces = leave(wood, [*lines, *_on(drawing, layers.lead)], cutter.width)
    holes = [c for c in drawing.circles if c.layer == layers.drill]
    if not holes:
        return pieces
    drilled = shapely.union_all([Chain(*_ring(c.centre, c.radius)).polygon() for c in holes])
    rest = [part for piece in pieces for part in shapely.get_parts(piece.difference(drilled)).tolist()]
    return tuple(p for p in rest if p.geom_type == "Polygon")


def _ring(centre: tuple[float, float], radius: float) -> tuple[Any, Any, bool]:
    x, y = centre
    return ((x - radius, y), (x + radius, y)), (1.0, 1.0), True


def _meant(part: CutPart, placed: Placed) -> Meant:
    holes = (*part.slots, *(Chain(*_ring(h.centre, h.diameter / 2)) for h in part.holes))
    design = Meant(
        part.outline,
        holes,
        frozenset({0}) if part.keeps_edge else frozenset(),
        tuple(n.corner for n in part.notches),
        (behind(part.outline, part.roles),),
    )
    return design.moved(placed.motion)


def cut_verdict(checks: Sequence[CutCheck]) -> Check:
    """The required check that stands for all parts: the worst gouge or leftover against what is allowed."""
    worst = max(checks, key=lambda c: (max(c.cut.gouge, c.cut.leftover) + c.cut.error, -c.board, -c.part))
    fillets = sum(len(c.cut.fillets) for c in checks)
    note = f"{len(checks)} parts cut in simulation from the written files"
    if fillets:
        note += f"; the tool rounds {fillets} square inside corners"
    off = max(worst.cut.gouge, worst.cut.leftover) + worst.cut.error
    if off > CUT:
        what = "gouge" if worst.cut.gouge >= worst.cut.leftover else "leftover"
        note += f"; worst: a {what} on board {worst.board + 1}, part {worst.part + 1}"
    return Check("cut", off <= CUT, True, "length", off, None, CUT, "simulated cut, 0.001 in", note)

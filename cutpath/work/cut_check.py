"""The simulated cut of a written file: read back, cut out of its board, and held against the design.

Nothing here is taken from memory but the design itself: paths, holes and the board come from what was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from cutpath.cut.onboard import PartCut
from cutpath.cut.paths import waste_side
from cutpath.cut.relief import CutPart, behind
from cutpath.cut.simulate.compare import SimulatedCut, compare, compensated, leave
from cutpath.cut.simulate.meant import Meant
from cutpath.drawing import Drawing
from cutpath.job.values import Job
from cutpath.nest.values import Placed
from cutpath.outline import Chain, Motion, Point, circle
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.rules.values import Check
from cutpath.tolerances import CUT

if TYPE_CHECKING:
    from shapely import Polygon


# Chords this coarse may hide 0.008 mm of what a cut is held to; that counts against it, and leaves two thirds of it.
_CHORD = 0.004


@dataclass(frozen=True, slots=True)
class CutCheck:
    """One part of one board as the machine would leave it: board and part counted from 0, the part's name, the cut."""

    board: int
    part: int
    name: str
    cut: SimulatedCut


def check_cuts(
    plan: Plan, read: Sequence[Drawing], cuts: Sequence[Sequence[PartCut]], tell: Tell = quiet
) -> list[CutCheck]:
    """Cut every board's file in simulation.

    Where tool paths lie to a part just as they lay to one that came out right, on a board as wide, it comes out as that
    one did; so each such set of paths is cut once.

    Args:
        plan: the job, for the design that is held against.
        read: a board's drawing each, as read back from its file.
        cuts: by board and part, for the stretches that tabs leave out: tabs are cut in the end, too.
        tell: is told how far the work is.

    Returns:
        One check a part, board by board.
    """
    right: dict[object, SimulatedCut] = {}
    found: list[CutCheck] = []
    both = list(zip(read, cuts, strict=True))
    for index, (drawing, done) in enumerate(counted(both, "simulated cut", len(both), tell)):
        left_out = [s for cut in done for s in cut.left_out] if plan.job.tabs.shown == "gap" else []
        found += _check_board(plan, index, Cuts(drawing, plan.job, left_out), right)
    return found


class Cuts:
    """What a file does to its board: the board, tool paths and holes, all from what was read."""

    def __init__(self, drawing: Drawing, job: Job, left_out: Sequence[Chain] = ()) -> None:
        """Take what was read.

        Args:
            drawing: of a board, as read back.
            job: gives layers and cutter.
            left_out: stretches that tabs leave out of the cut, and that are cut in the end.
        """
        import shapely

        layers, cutter = job.layers, job.cutter
        (frame,) = _on(drawing, layers.stock)
        self.wood = frame.polygon()
        lines = [*_on(drawing, layers.cut), *_on(drawing, layers.tab), *left_out]
        if cutter.path == "design":
            # What a shop's software makes of the lines, told which side of travel the tool runs on.
            lines = list(compensated(lines, cutter.width, "left" if waste_side(cutter) == "left" else "right"))
        self.paths = [*lines, *_on(drawing, layers.lead)]
        self.width = cutter.width
        self.holes = [c for c in drawing.circles if c.layer == layers.drill]
        self._tree = shapely.STRtree([path.line() for path in self.paths])

    @cached_property
    def pieces(self) -> tuple[Polygon, ...]:
        """What the board falls into."""
        import shapely

        pieces = leave(self.wood, self.paths, self.width, _CHORD)
        if not self.holes:
            return pieces
        drilled = shapely.union_all([circle(c.centre, c.radius).polygon() for c in self.holes])
        rest = [part for piece in pieces for part in shapely.get_parts(piece.difference(drilled)).tolist()]
        return tuple(p for p in rest if p.geom_type == "Polygon")

    def compared(self, meant: Meant) -> SimulatedCut:
        """What is left of the board, held against one part's design."""
        return compare(self.wood, self.pieces, self.width, meant, chord=_CHORD)

    def beside(self, design: Polygon, back: Motion) -> object:
        """All that touches a part or comes near it, in the part's own frame, to well under what a cut is held to."""
        near = self._tree.query(design, predicate="dwithin", distance=self.width / 2 + 1.0)
        paths = []
        for path in (self.paths[i] for i in sorted(near.tolist())):
            points = tuple(_rounded(back(p)) for p in path.points)
            paths.append((points, tuple(round(b, 6) for b in path.bulges), path.closed))
        x0, y0, x1, y1 = design.bounds
        holes = [
            (_rounded(back(c.centre)), c.radius)
            for c in self.holes
            if x0 - c.radius <= c.centre[0] <= x1 + c.radius and y0 - c.radius <= c.centre[1] <= y1 + c.radius
        ]
        return (tuple(paths), tuple(sorted(holes)))


def _rounded(point: Point) -> Point:
    # A file's decimals are far finer, so what was meant to be equal is; and what is equal here cuts alike.
    return (round(point[0], 5), round(point[1], 5))


def _check_board(plan: Plan, index: int, cuts: Cuts, right: dict[object, SimulatedCut]) -> list[CutCheck]:
    board = plan.layout.boards[index]
    found = []
    for number, placed in enumerate(board.parts):
        meant = _meant(plan.part_of(placed), placed)
        key = (
            placed.name,
            placed.over,
            board.stock.least_width,
            cuts.beside(meant.outline.polygon(), placed.motion.inverse()),
        )
        cut = right.get(key) or cuts.compared(meant)
        if cut.ok:
            right[key] = cut
        found.append(CutCheck(index, number, placed.name, cut))
    return found


def _on(drawing: Drawing, layer: str) -> list[Chain]:
    return [c.chain for c in drawing.chains if c.layer == layer]


def _meant(part: CutPart, placed: Placed) -> Meant:
    design = Meant(
        part.outline,
        (*part.slots, *(circle(h.centre, h.diameter / 2) for h in part.holes)),
        frozenset({0}) if part.edges == "factory" and part.keeps_edge else frozenset(),
        tuple(n.corner for n in part.notches),
        (behind(part.outline, part.roles),) if part.small is None else (),
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

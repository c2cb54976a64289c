"""The simulated cut of a written file: read back, cut out of its board, and held against the design.

Nothing here comes from the program that wrote the file but the design itself, and which stretches tabs leave out of a
cut: paths, holes and the board come from what was read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.onboard import PartCut
from cutpath.cut.paths import waste_side
from cutpath.cut.relief import CutPart, behind
from cutpath.cut.simulate.compare import SimulatedCut, compare, compensated, leave
from cutpath.cut.simulate.meant import Meant
from cutpath.cut.tabs import MARK_FROM
from cutpath.drawing import Drawing
from cutpath.job.values import Job
from cutpath.nest.values import Placed
from cutpath.outline import Chain, Motion, Point, circle
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.rules.values import Check
from cutpath.tolerances import CUT
from cutpath.units import Show

if TYPE_CHECKING:
    from shapely import Polygon


# Chords this coarse may hide 0.008 mm of what a cut is held to; that counts against it, and leaves two thirds of it.
_CHORD = 0.004


class CutCheck(Struct, frozen=True):
    """One part of one board as the machine would leave it.

    Attributes:
        board: index of the board, 0 for the first.
        part: index of the part on it.
        name: the part's.
        cut: what would be left of it, held against its design.
        on_bearing: where tabs stand on faces that bear, stock coordinates: a stub there would keep tread, pad or header
            off.
        by_lead: whether it is not as designed, and would be without the leads.
    """

    board: int
    part: int
    name: str
    cut: SimulatedCut
    on_bearing: tuple[Point, ...] = ()
    by_lead: bool = False

    @property
    def off(self) -> float:
        """How far the cut may stand off the design, millimetres, chord errors counted against it.

        Infinite where a tab stands on a face that bears.
        """
        return math.inf if self.on_bearing else max(self.cut.gouge, self.cut.leftover) + self.cut.error


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
    """What a file does to its board, from what was read. Stock coordinates, millimetres.

    Attributes:
        wood: the board.
        lines: paths of the tool's centre, leads left out; where tabs are left out of the cut, cut as well.
        paths: the same, and the leads.
        tabs: stretches where tabs stand.
        marks: what is marked.
        width: the cutter's.
        holes: that are drilled.
    """

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
        self.lines = lines
        self.paths = [*lines, *_on(drawing, layers.lead)]
        self.tabs = [*_on(drawing, layers.tab), *left_out]
        self.marks = _on(drawing, layers.mark)
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

    def without_leads(self, meant: Meant) -> SimulatedCut:
        """What would be left had the tool come down on the contours themselves, held against one part's design."""
        return compare(self.wood, leave(self.wood, self.lines, self.width, _CHORD), self.width, meant, chord=_CHORD)

    def beside(self, design: Polygon, back: Motion) -> object:
        """All that touches a part or comes near it, in the part's own frame, as a value that equal cuts share.

        Args:
            design: the part's outline on the board.
            back: from the board to the part's own frame.

        Returns:
            Paths and holes, rounded to well under what a cut is held to.
        """
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
        by_lead = not cut.ok and len(cuts.paths) > len(cuts.lines) and cuts.without_leads(meant).ok
        found.append(CutCheck(index, number, placed.name, cut, _on_bearing(plan, placed, cuts), by_lead))
    return found


def _on_bearing(plan: Plan, placed: Placed, cuts: Cuts) -> tuple[Point, ...]:
    """Where the tabs that a file leaves or marks stand on faces of a part that bear."""
    if not plan.job.tabs.any:
        return ()
    from cutpath.cut.simulate.bearing import bearing_faces, tabs_that_bear

    faces = bearing_faces(plan.part_of(placed), placed.motion)
    marks = cuts.marks if plan.job.cutter.path == "design" else ()
    return tabs_that_bear(faces, cuts.tabs, marks, plan.job.cutter.radius, MARK_FROM)


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
    worst = max(checks, key=lambda c: (c.off, -c.board, -c.part))
    fillets = sum(len(c.cut.fillets) for c in checks)
    note = f"{len(checks)} parts cut in simulation from the written files"
    if fillets:
        note += f"; the tool rounds {fillets} square inside corners"
    if worst.off > CUT:
        note += f"; {_worst(worst)}"
    return Check("cut", worst.off <= CUT, True, "length", worst.off, None, CUT, "simulated cut, 0.001 in", note)


def _worst(check: CutCheck) -> str:
    """What is wrong with a part, where, and what to change."""
    where = f"on board {check.board + 1}, part {check.part + 1}"
    if check.on_bearing:
        return f"a tab {where} stands on a face that bears; this is a fault of the program, please report it"
    if check.by_lead:
        return f"worst: a lead cuts into the design {where}: use a shorter cutter.lead or more machine.part_gap"
    what = "gouge" if check.cut.gouge >= check.cut.leftover else "leftover"
    return f"worst: a {what} {where}: use a narrower cutter or more machine.part_gap"


def wrong_cut(check: Check, show: Show) -> str:
    """A cut that is not as designed, in words: how far it is off, where and what to change.

    Args:
        check: from `cut_verdict`, one that fails.
        show: writes millimetres as text in the job's unit.
    """
    if check.value is None or check.most is None or not math.isfinite(check.value):
        return f"the simulated cut is not as designed ({check.note})"
    return f"the simulated cut is {show(check.value)} off the design, more than {show(check.most)} ({check.note})"

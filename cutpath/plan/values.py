"""What a job comes to, as frozen values: parts, the design for one width of board, the whole plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.relief import CutPart
from cutpath.design.stair import Choice, Stair
from cutpath.design.strength.guidance import Bending
from cutpath.design.strength.values import Strength
from cutpath.design.stringer import Stringer
from cutpath.job.values import Job
from cutpath.nest.values import Keep, Layout, Placed
from cutpath.rules.built import Built
from cutpath.rules.values import Check, RuleSet

if TYPE_CHECKING:
    from cutpath.design.as_cut.values import AsCut
    from cutpath.pieces.values import Pieces
    from cutpath.plan.lumber_values import Lumber


class PartSet(Struct, frozen=True):
    """Parts of one shape.

    Attributes:
        name: what they are called.
        part: one of them, board frame.
        count: how many are wanted.
        over: the part as seen from its other face; None where it may not lie that way.
    """

    name: str
    part: CutPart
    count: int
    over: CutPart | None = None


class Design(Struct, frozen=True):
    """A stair's stringers for one width of board.

    Attributes:
        board_width: the least width of the boards they are meant for.
        stringer: with square corners.
        parts: as the cutter leaves them, the one whose throat is checked first.
        checks: of wood, ground, form, rule set, other pieces, then advice; each says whether it is required.
        bending: of a notched board at the least throat; None without an inside notch, and for other forms.
        built: the stair by its finished surfaces.
        small: parts that are laid where there is room.
        strength: what an inner stringer carries; None where that isn't judged, or not yet.
        not_judged: why it isn't, in words.
        pieces: the stair's other pieces; None where the job asks for none.
        as_cut: what the readings of the first stringer say; None where nothing was read.
    """

    board_width: float
    stringer: Stringer
    parts: tuple[PartSet, ...]
    checks: tuple[Check, ...]
    bending: Bending | None
    built: Built
    small: tuple[PartSet, ...] = ()
    strength: Strength | None = None
    not_judged: str = ""
    pieces: Pieces | None = None
    as_cut: AsCut | None = None

    @property
    def every(self) -> tuple[PartSet, ...]:
        """All parts, the small ones last."""
        return (*self.parts, *self.small)

    @property
    def part(self) -> CutPart:
        """The part whose throat is checked."""
        return self.parts[0].part

    @property
    def failing(self) -> tuple[str, ...]:
        """The ids of the required checks that fail."""
        return tuple(check.id for check in self.checks if check.required and not check.ok)

    @property
    def holds(self) -> bool:
        """Whether every required check holds: what a failure is goes by this alone."""
        return not self.failing


class Plan(Struct, frozen=True):
    """Everything that a job comes to.

    Attributes:
        job: what was asked for.
        rules: its rule set.
        choice: the riser counts that were tried, and the stair that was chosen.
        design: its stringers, their checks, its other pieces.
        layout: what lies on which board.
        keep: what offcuts are worth by a stock file; None without one.
        lumber: what the other pieces are laid on, those of all jobs that are nested together; None where none asks
            for any.
    """

    job: Job
    rules: RuleSet
    choice: Choice
    design: Design
    layout: Layout
    keep: Keep | None = None
    lumber: Lumber | None = None

    def part(self, name: str) -> CutPart:
        """The part of a name, as the layout's placements call it."""
        return next(s.part for s in self.design.every if s.name == name)

    def part_of(self, placed: Placed) -> CutPart:
        """A part of the layout as it lies: its mirror image where it is turned over."""
        over = next(s.over for s in self.design.parts if s.name == placed.name) if placed.over else None
        return over or self.part(placed.name)

    @property
    def stair(self) -> Stair:
        """The stair that was chosen."""
        return self.choice.stair


class Together(Struct, frozen=True):
    """Jobs nested together.

    Attributes:
        plans: one a job, each with the layout that they share; jobs of one name told apart.
        whole: the layout with all parts, for whatever draws boards.
    """

    plans: tuple[Plan, ...]
    whole: Plan

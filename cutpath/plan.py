"""The whole way from a job to boards, each stage in turn. Nothing is read or written here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cutpath.cut.relief import CutPart
from cutpath.cut.relief_cost import relief_in_sight
from cutpath.design.checks import advice, stair_checks, wood_checks
from cutpath.design.stair import Choice, Stair, candidates, choose
from cutpath.design.strength import Bending, bending
from cutpath.design.stringer import Stringer
from cutpath.faults import Fault, ImpossibleStringer, NoNest
from cutpath.forms import formed, outline_of
from cutpath.job import Job, StockBoards
from cutpath.nest.values import Keep, Layout, PartKind, Placed
from cutpath.progress import Tell, quiet
from cutpath.rules.values import Check, RuleSet
from cutpath.tolerances import LIMIT_SLACK

if TYPE_CHECKING:
    from cutpath.nest.common import Saw
    from cutpath.outline import Chain

Show = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class PartSet:
    """Parts of one shape: what they are called, the part, and how many are wanted.

    `over` is the part as it is seen from its other face, where it may lie that way.
    """

    name: str
    part: CutPart
    count: int
    over: CutPart | None = None


@dataclass(frozen=True, slots=True)
class Design:
    """A stair's stringers for one width of board.

    Attributes:
        board_width: the least width of the boards they are meant for.
        stringer: with square corners.
        parts: as the cutter leaves them, the one whose throat is checked first.
        checks: required ones first found, then advice.
        bending: of a notched board at the least throat; None without an inside notch, and for other forms.
        small: parts that are laid where there is room.
    """

    board_width: float
    stringer: Stringer
    parts: tuple[PartSet, ...]
    checks: tuple[Check, ...]
    bending: Bending | None
    small: tuple[PartSet, ...] = ()

    @property
    def every(self) -> tuple[PartSet, ...]:
        """All parts, the small ones last."""
        return (*self.parts, *self.small)

    @property
    def part(self) -> CutPart:
        """The part whose throat is checked."""
        return self.parts[0].part

    @property
    def holds(self) -> bool:
        """Whether every required check holds."""
        return all(check.ok for check in self.checks if check.required)


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that a job comes to; `keep` says what offcuts are worth, where a stock file does."""

    job: Job
    rules: RuleSet
    choice: Choice
    design: Design
    layout: Layout
    keep: Keep | None = None

    def part(self, name: str) -> CutPart:
        """The part of a name, as the layout's placements call it."""
        return next(s.part for s in self.design.every if s.name == name)

    def part_of(self, placed: Placed) -> CutPart:
        """A part of the layout as it lies: its mirror image where it is turned over."""
        over = next(s.over for s in self.design.parts if s.name == placed.name) if placed.over else None
        return over or self.part(placed.name)

    @property
    def stair(self) -> Stair:
        """The stair that was taken."""
        return self.choice.stair


def solve(job: Job, rules: RuleSet, show: Show) -> Choice:
    """Find the stair.

    Raises:
        NoStairFits: no riser count keeps the rules and the site's constraints.
    """
    return choose(candidates(job.site, job.stair, rules, show, job.pad), show)


def part_width(job: Job, board_width: float) -> float:
    """The part's width on boards of a least width, millimetres."""
    return board_width - (2 * job.stringer.edge_trim if job.stringer.edges == "trimmed" else 0.0)


def board_widths(job: Job) -> tuple[float, ...]:
    """The widths worth drawing a stringer for: the distinct least widths in stock, widest first; on sheets, one."""
    if job.on_sheets:
        assert job.stringer.width is not None
        return (job.stringer.width + 2 * job.stringer.edge_trim,)
    return tuple(sorted({s.least_width for s in job.stock if s.quantity != 0}, reverse=True))


def design(job: Job, rules: RuleSet, stair: Stair, board_width: float, show: Show) -> Design:
    """Draw and check a stair's stringer for one width of board.

    Raises:
        ImpossibleStringer: the inputs leave no stringer.
    """
    width = part_width(job, board_width)
    form = formed(job, stair, width, show)
    stringer = form.stringer
    parts = tuple(
        PartSet(f"{job.name} {what}", part, count, _other_face(job, part)) for what, part, count in form.parts
    )
    part = parts[0].part
    thickness = min(s.thickness for s in job.stock)
    checks = (
        *wood_checks(
            stair,
            job.stringer,
            stringer,
            part.throat,
            job.stair.header_depth,
            _other_top(job, stair, width, show),
            show,
        ),
        *form.checks,
        *stair_checks(stair, stringer, job.stair.clear_width, rules),
        *advice(stair, job.stair, job.stringer, thickness),
    )
    in_sight = relief_in_sight(part, job.cutter.radius, stair)
    if in_sight is not None:
        checks = (*checks, in_sight)
    load = (
        None
        if part.throat is None or job.stringer.form != "notched"
        else bending(stair.foot_out, job.stair.clear_width, thickness, job.stringer.count, part.throat)
    )
    return Design(board_width, stringer, parts, checks, load)


def _other_face(job: Job, part: CutPart) -> CutPart | None:
    if not job.stringer.turn_over:
        return None
    from cutpath.cut.housing import mirrored

    return mirrored(part)


def _other_top(job: Job, stair: Stair, width: float, show: Show) -> Stringer | None:
    other = replace(stair, top_tread="one-below" if stair.top_tread == "at-floor" else "at-floor")
    try:
        return outline_of(other, job.stringer, width, show)
    except ImpossibleStringer:
        return None


def kinds(drawn: Design) -> tuple[PartKind, ...]:
    """A design's stringers as the nest wants them."""
    return tuple(kind_of(s) for s in drawn.parts)


def kind_of(parts: PartSet) -> PartKind:
    """Parts of one shape as the nest wants them."""
    part = parts.part
    return PartKind(
        name=parts.name,
        outline=part.outline,
        width=part.width,
        count=parts.count,
        edges=part.edges,
        edge_trim=part.edge_trim,
        turn_over=parts.over is not None,
        loose=part.small is not None,
    )


def with_small_parts(job: Job, drawn: Design, stair: Stair) -> Design:
    """A design with the small parts that its job asks for."""
    if not job.extras.any:
        return drawn
    from cutpath.cut.small import small_parts

    found = small_parts(job, stair, drawn.part.relief)
    return replace(drawn, small=tuple(PartSet(f"{job.name} {part.small}", part, count) for part, count in found))


def filled(job: Job, designs: Sequence[Design], layout: Layout, keep: Keep | None) -> Layout:
    """A layout with the designs' small parts laid where it leaves room, kind by kind.

    Args:
        job: gap and end trim are read.
        designs: whose parts are on the boards.
        layout: of their stringers.
        keep: what offcuts are worth.
    """
    from cutpath.cut.small import SMALL

    small = [s for what in SMALL for d in designs for s in d.small if s.part.small == what]
    if not small:
        return layout
    from cutpath.nest.fill import fill_leftovers

    there = [kind for d in designs for kind in kinds(d)]
    trim = job.machine.end_trim
    return fill_leftovers(layout, there, [*map(kind_of, small)], gap=job.loose_gap, end_trim=trim, keep=keep)


def plan(
    job: Job, rules: RuleSet, show: Show, keep: Keep | None = None, seconds: float = 0.0, *, tell: Tell = quiet
) -> Plan:
    """Take a job all the way to boards.

    Boards of one nominal size differ in width, and the least of the boards used sets the part's width. So a stringer is
    drawn for each width in stock and nested on the boards that are at least as wide; of these the one is taken whose
    required checks hold, then the cheapest, then the widest.

    Args:
        job: the job.
        rules: its rule set.
        show: prints millimetres in the job's unit.
        keep: what offcuts are worth; None: nothing.
        seconds: to search for fewer or cheaper sheets; 0: the first layouts, the same on every machine.
        tell: is told how far the nest is.

    Returns:
        The plan. Where Ctrl-C ended the nest, with the best layout that there was, of the widths tried so far.

    Raises:
        NoStairFits: no riser count fits.
        ImpossibleStringer: no board in stock leaves a stringer.
        NoNest: the stringers can't be had from the boards in stock.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    if not job.on_sheets and any(entry.kind == "sheet" for entry in job.stock):
        raise NoNest("stock: boards and sheets in one nest: leave out the stock file, or the sheets")
    choice = solve(job, rules, show)
    found: list[tuple[Design, Layout]] = []
    impossible: ImpossibleStringer | None = None
    no_nest: NoNest | None = None
    stopped = False
    for width in board_widths(job):
        try:
            drawn = design(job, rules, choice.stair, width, show)
        except ImpossibleStringer as fault:
            impossible = impossible or fault
            continue
        try:
            usable = tuple(s for s in job.stock if s.least_width >= drawn.board_width)
            layout = laid(job, drawn.parts, usable, show, keep, seconds, tell)
        except NoNest as fault:
            no_nest = fault
            continue
        except KeyboardInterrupt:
            if not found:
                raise
            stopped = True
            break
        found.append((drawn, layout))
        stopped = layout.stopped
        if stopped:
            break
    if not found:
        raise no_nest or impossible or NoNest("stock: no boards (every quantity is 0)")
    drawn, layout = min(found, key=lambda f: (not f[0].holds, f[1].value, -f[0].board_width))
    drawn = with_small_parts(job, drawn, choice.stair)
    return Plan(job, rules, choice, drawn, filled(job, [drawn], replace(layout, stopped=stopped), keep), keep)


def laid(
    job: Job,
    parts: Sequence[PartSet],
    stock: Sequence[StockBoards],
    show: Show,
    keep: Keep | None = None,
    seconds: float = 0.0,
    tell: Tell = quiet,
) -> Layout:
    """Parts on boards or sheets, with what a job keeps clear.

    Args:
        job: says what is kept clear, and whether the stock is sheets.
        parts: what is wanted.
        stock: to lay them on.
        show: prints millimetres in the job's unit.
        keep: as for `plan`; likewise the others.
        seconds: for a search, on sheets.
        tell: is told how far the nest is.

    Raises:
        NoNest: the parts can't be had from the stock.
        Fault: a search is asked for without the library it takes, or shared cuts on boards longer than the bed.
    """
    gap, trim = job.part_gap, job.machine.end_trim
    wanted = [kind_of(each) for each in parts]
    if job.on_sheets:
        from cutpath.nest.sheets import nest_sheets
        from cutpath.nest.sheets_progress import SheetProgress
        from cutpath.nest.sheets_search import can_search

        if seconds and not can_search():
            raise Fault("--search: needs spyrrow, which is not installed: install cutpath[search], or leave it out")

        def progress(at: SheetProgress) -> None:
            tell(f"{at.sheets} sheets, searching second", int(at.seconds), int(seconds))

        return nest_sheets(wanted, stock, gap=gap, end_trim=trim, seconds=seconds, show=show, progress=progress)
    from cutpath.nest import nest_parts

    if job.machine.common_cuts:
        _each_in_one_set_up(job, stock, show)
    saw = saw_of(job, parts)
    return nest_parts(wanted, stock, gap=gap, end_trim=trim, show=show, keep=keep, tell=tell, saw=saw)


def saw_of(job: Job, parts: Sequence[PartSet]) -> Saw | None:
    """The tool that cuts what neighbours share; None where a job's parts share no cuts."""
    if not job.machine.common_cuts or job.on_sheets:
        return None
    from cutpath.cut.onboard import freeing_paths
    from cutpath.nest.common import Saw

    found: dict[tuple[str, bool, float], tuple[Chain, ...]] = {}
    named = {each.name: each for each in parts}

    def paths(name: str, over: bool, least_width: float) -> tuple[Chain, ...]:
        key = (name, over, least_width)
        if key not in found:
            part = (over and named[name].over) or named[name].part
            found[key] = freeing_paths(part, job.cutter, least_width - part.width)
        return found[key]

    return Saw(job.cutter, paths)


def _each_in_one_set_up(job: Job, stock: Sequence[StockBoards], show: Show) -> None:
    bed = job.machine.bed
    longest = max((board.length for board in stock if board.quantity != 0), default=0.0)
    if bed is not None and longest > bed[0] + LIMIT_SLACK:
        raise Fault(
            f"machine.common_cuts: true, and boards {show(longest)} long are cut in several set-ups on machine.bed's "
            f"{show(bed[0])}, which may each cut but a piece of what two parts share; keep to boards that fit the bed, "
            "or leave common_cuts out"
        )


def verify(plan: Plan) -> None:
    """Hold a plan's layout against all that it must keep, apart from the way it was made.

    Raises:
        BadLayout: the first thing that is wrong.
    """
    job, left_out = plan.job, dict(plan.layout.left_out)
    wanted = [replace(kind_of(s), count=s.count - left_out.get(s.name, 0)) for s in plan.design.every]
    if job.on_sheets:
        from cutpath.nest.sheets_verify import verify_sheets

        verify_sheets(plan.layout, wanted, job.part_gap, job.machine.end_trim, job.stock)
        return
    from cutpath.nest import verify_layout

    saw = saw_of(job, plan.design.parts)
    verify_layout(plan.layout, wanted, job.part_gap, job.machine.end_trim, keep=plan.keep, saw=saw)

"""A board cut in several set-ups: its files, one a set-up, in bed coordinates."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.cautions import SHORT_CAUTION
from cutpath.cut.program import Operation
from cutpath.cut.setups.places import KeepOff
from cutpath.cut.setups.share_out import NoSetUps, setups
from cutpath.cut.setups.union import union_matches
from cutpath.cut.setups.values import PartOnBoard, SetUp
from cutpath.drawing import Circle, Drawing, LayerChain, noted
from cutpath.faults import FileMismatch
from cutpath.outline import Chain, shift, straight
from cutpath.plan.values import Plan
from cutpath.tolerances import FILE_MATCH, SAME_POINT
from cutpath.units import MM_PER_INCH, Show, numbered_parts
from cutpath.units import show as shown
from cutpath.work.boards import tab_stretches
from cutpath.work.file_paths import board_file
from cutpath.work.notes import depth_lines, tab_lines, tool_lines, unit_words
from cutpath.work.registration import fence_of, fence_words
from cutpath.work.values import BoardWork

# Slides are whole numbers of these, which any tape shows.
_STEPS = {"in": float(MM_PER_INCH) / 8, "mm": 1.0}


def board_setups(plan: Plan, index: int, done: BoardWork) -> tuple[SetUp, ...]:
    """The set-ups of one board, proved to cut together what its program cuts.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: the board's program.

    Returns:
        The set-ups in order; none where the job states no bed or the board fits it.

    Raises:
        NoSetUps: the board can't be cut on the bed.
        FileMismatch: the set-ups together are not the whole cut.
    """
    job, board = plan.job, plan.layout.boards[index]
    if job.machine.bed is None:
        return ()
    parts = tuple(PartOnBoard(plan.part_of(p), p.motion) for p in board.parts)
    keep_off = [
        KeepOff(placed.motion(tab.middle), job.tabs.width / 2)
        for placed, cut in zip(parts, done.cuts, strict=True)
        for tab in cut.tabs
    ]
    operations = done.program.operations

    def shared_out(what: Sequence[Operation]) -> tuple[SetUp, ...]:
        return setups(
            what,
            parts,
            board.stock.length,
            board.stock.least_width,
            job.machine,
            job.cutter.width,
            lambda mm: shown(mm, job.units),
            step=_STEPS[job.units],
            keep_off=keep_off,
        )

    try:
        made = shared_out(operations)
    except NoSetUps as fault:
        without = [o for o in operations if o.part < 0 or parts[o.part].part.small is None]
        if len(without) == len(operations):
            raise
        # Where it is not the small parts' doing, this fails as well and says why.
        shared_out(without)
        raise NoSetUps(f"{fault}; or leave out [extras]: without small parts the board can be cut") from fault
    by_hand = {part for one in made for part in one.by_hand}
    by_machine = [o for o in operations if not (o.label and o.part in by_hand)]
    if made and not union_matches(by_machine, made, job.machine.overlap).ok:
        raise FileMismatch(
            f"{board_file(index, len(plan.layout.boards))}: its set-ups together do not cut what the board's program "
            "cuts; nothing was written; this is a fault of the program, please report it with the job"
        )
    return made


def setup_file(index: int, boards: int, number: int) -> str:
    """The cut file of a board's set-up: `index` 0 for the first of so many boards, `number` 1 for the first set-up."""
    return f"{board_file(index, boards).removesuffix('.dxf')}-setup-{number}.dxf"


def setup_drawings(plan: Plan, index: int, done: BoardWork, show: Show) -> dict[str, Drawing]:
    """The files of one board's set-ups, bed frame.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: the board's program with its set-ups.
        show: writes millimetres as text in the job's unit.

    Returns:
        Drawings by path; none where the board fits the bed.
    """
    count = len(plan.layout.boards)
    return {setup_file(index, count, one.number): _drawing(plan, index, done, one, show) for one in done.set_ups}


def whole_board_note(plan: Plan, index: int, made: Sequence[SetUp], show: Show) -> tuple[str, ...]:
    """What the file of a board that does not fit the bed has to say; nothing for one that does.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        made: its set-ups.
        show: writes millimetres as text in the job's unit.
    """
    bed = plan.job.machine.bed
    if not made or bed is None:
        return ()
    count = len(plan.layout.boards)
    first, last = (setup_file(index, count, n).removeprefix("boards/") for n in (1, len(made)))
    files = first if first == last else f"{first} to {last}"
    return (f"Longer than the stated bed, {show(bed[0])}. On that machine use {files}, never this file.",)


def _drawing(plan: Plan, index: int, done: BoardWork, one: SetUp, show: Show) -> Drawing:
    job, board = plan.job, plan.layout.boards[index]
    layers = job.layers
    by_kind = {"mark": layers.mark, "pocket": layers.pocket, "inner": layers.cut, "outline": layers.cut}
    to_bed = shift(-one.offset, 0.0)
    chains: list[LayerChain] = []
    for operation in one.operations:
        if operation.chain is None:
            continue
        # Only a contour that is cut whole still starts where its lead comes in.
        leads = done.leads(operation)
        chains += [LayerChain(layers.lead, lead.moved(to_bed)) for lead in leads[:1]]
        chains.append(LayerChain(by_kind[operation.kind], operation.chain))
        chains += [LayerChain(layers.lead, lead.moved(to_bed)) for lead in leads[1:]]
    if job.tabs.shown == "layer":
        left_out = (c for cut in done.cuts for c in cut.left_out if setup_of(c, done.set_ups) is one)
        chains += [LayerChain(layers.tab, chain.moved(to_bed)) for chain in left_out]
    circles = tuple(Circle(layers.drill, o.centre, o.diameter / 2) for o in one.operations if o.centre is not None)
    low, high = on_bed(plan, one)
    width = board.stock.least_width
    chains.append(LayerChain(layers.stock, straight(((low, 0.0), (high, 0.0), (high, width), (low, width)), True)))
    return noted(Drawing(tuple(chains), circles), _text(plan, index, done, one, show))


def on_bed(plan: Plan, one: SetUp) -> tuple[float, float]:
    """From where to where the board lies on the bed, bed x."""
    bed = plan.job.machine.bed
    assert bed is not None
    return max(one.board[0], 0.0), min(one.board[1], bed[0])


def setup_of(stretch: Chain, made: Sequence[SetUp]) -> SetUp | None:
    """The first set-up that cuts up to where a tab's stretch starts, or along it; None: none does.

    Args:
        stretch: stock coordinates.
        made: the board's set-ups.
    """
    import shapely

    start = shapely.Point(stretch.points[0])
    for one in made:
        for operation in one.moved_back():
            chain = operation.chain
            if operation.kind == "outline" and chain is not None and chain.line().distance(start) <= FILE_MATCH:
                return one
    return None


def _text(plan: Plan, index: int, done: BoardWork, one: SetUp, show: Show) -> tuple[str, ...]:
    job, board, made = plan.job, plan.layout.boards[index], done.set_ups
    low, high = on_bed(plan, one)
    lines = [
        f"Set-up {one.number} of {len(made)}, board {index + 1} of {len(plan.layout.boards)}: {board.stock.size}. "
        f"{job.name}.",
        f"Units: {unit_words(job)}. Check dimension: the board on the bed, {show(high - low)} along, "
        f"{show(board.stock.least_width)} across.",
        *placing(plan, index, one, show),
        *without_leads(plan, index, one),
        *tool_lines(job, "what of the board lies on the bed", show),
        *depth_lines(job, [board.stock.thickness], (o.depth for o in one.operations if o.kind == "pocket"), show),
        *tab_lines(job, sum(setup_of(tab, made) is one for tab in tab_stretches(job, board.parts, done)), show),
    ]
    return (*lines, SHORT_CAUTION)


def without_leads(plan: Plan, index: int, one: SetUp) -> tuple[str, ...]:
    """That contours which are divided between set-ups have lost their leads, in words; nothing where none has.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        one: the set-up.
    """
    cutter, board = plan.job.cutter, plan.layout.boards[index]
    divided = any(
        o.kind == "outline"
        and o.chain is not None
        and not o.chain.closed
        and plan.part_of(board.parts[o.part]).edges == "trimmed"
        for o in one.operations
    )
    if not (divided and cutter.lead and cutter.path == "centre"):
        return ()
    return ("Contours divided between set-ups are begun and ended without leads: pierce and lift on the line.",)


def placing(plan: Plan, index: int, one: SetUp, show: Show) -> tuple[str, ...]:
    """How the board is placed for a set-up, and what to look out for, in words.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        one: the set-up.
        show: writes millimetres as text in the job's unit.
    """
    lines = [fence_words(plan, index, show)]
    if one.number == 1:
        lines.append(f"Its left end at x = {show(one.board[0])}.")
    else:
        lines.append(f"Slide it {show(one.slide)} to the left since the last set-up.")
    if one.stop is not None:
        lines.append(f"Its right end against the stop, at x = {show(one.stop)}.")
    if one.pins:
        lines.append(f"Drop it on pins in the index holes, at {_points(one.pins, show)}; clamp, then draw the pins.")
    if one.drilled:
        hole = show(plan.job.machine.index_hole)
        lines.append(f"Layer {plan.job.layers.drill}: index holes {hole} wide at {_points(one.drilled, show)}.")
    if one.divisions:
        lines.append(f"Cuts meet the last set-up's with {show(plan.job.machine.overlap)} of overlap.")
    past = past_fence(plan, index, one)
    if past > 0:
        lines.append(f"Cuts run {show(past)} past the fence: it must clear them.")
    if one.frees:
        lines.append(f"Cut free here, counted from the left: {numbered_parts(one.frees)}.")
    return (*lines, *hand_lettered(plan, index, one))


def hand_lettered(plan: Plan, index: int, one: SetUp) -> tuple[str, ...]:
    """Which parts a hand has to letter before they are free, in words; nothing where none.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        one: the set-up.
    """
    board = plan.layout.boards[index]
    return tuple(
        f"Letter part {part + 1} from the left by hand, its label lies across set-ups: {board.parts[part].name}, "
        f"upper end, {plan.job.stock_word} {index + 1}."
        for part in one.by_hand
    )


def past_fence(plan: Plan, index: int, one: SetUp) -> float:
    """How far the cuts of a set-up run past the board's edge on the fence, millimetres; 0 where they don't.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        one: the set-up.
    """
    width = plan.layout.boards[index].stock.least_width
    past = one.extents[3] - width if fence_of(plan, index).edge == "upper" else -one.extents[1]
    return past if past > SAME_POINT else 0.0


def _points(points: Sequence[tuple[float, float]], show: Show) -> str:
    return " and ".join(f"({show(x)}, {show(y)})" for x, y in points)

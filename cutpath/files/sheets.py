"""What each DXF file holds: one drawing a part, one a board. Lengths in millimetres."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from cutpath.cautions import SHORT_CAUTION
from cutpath.cut.paths import cut_path
from cutpath.cut.relief import RELIEF_WORDS
from cutpath.files.drawing import Drawing, LayerChain
from cutpath.files.marks import label, notes
from cutpath.nest.values import Board
from cutpath.outline import Chain, straight
from cutpath.plan import PartSet, Plan

if TYPE_CHECKING:
    from shapely import Polygon

Show = Callable[[float], str]

# A label's line is cut at this many characters, so that a long name still leaves it legible.
_LONGEST_LABEL = 40
# Marks keep at least this far from cuts, millimetres, however fine the cutter: a pencil's room.
_LEAST_CLEARANCE = 6.0


def unit_words(plan: Plan) -> str:
    """The unit in words, as notes state it."""
    return "inches" if plan.job.units == "in" else "millimetres"


def part_drawing(plan: Plan, parts: PartSet, show: Show) -> Drawing:
    """A part's file, board frame: design outline, label, notes."""
    job, part = plan.job, parts.part
    strokes, left = _label(plan, parts.name)
    x0, y0, x1, y1 = part.outline.extents()
    text = (
        f"Part: {parts.name}. Cut {parts.count}.",
        f"Units: {unit_words(plan)}. Check dimension: overall length {show(x1 - x0)}, width {show(y1 - y0)}.",
        f"Layer {job.layers.part} is the design line, not compensated for any tool.",
        f"Inside corners {RELIEF_WORDS[part.relief]}, for a cutter {show(job.cutter.width)} wide.",
        SHORT_CAUTION,
    )
    chains = [LayerChain(job.layers.part, part.outline)]
    chains += [LayerChain(job.layers.mark, stroke) for stroke in strokes]
    return Drawing(tuple(chains), (), notes(left, text))


def cut_chains(plan: Plan, board: Board) -> tuple[Chain, ...]:
    """What the tool cuts on one board, stock coordinates, in the order of its parts."""
    job = plan.job
    chains = []
    for placed in board.parts:
        part = plan.part(placed.name)
        path = cut_path(part, job.cutter, job.stringer.edges, board.stock.least_width - part.width)
        chains.append(path.moved(placed.motion))
    return tuple(chains)


def board_drawing(plan: Plan, index: int, show: Show) -> Drawing:
    """One board's file, stock coordinates: what the tool cuts, labels, the board's outline, notes.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        show: prints millimetres in the job's unit.
    """
    import shapely.affinity

    job, board = plan.job, plan.layout.boards[index]
    chains = [LayerChain(job.layers.cut, chain) for chain in cut_chains(plan, board)]
    labels = {name: _label(plan, name, f"BOARD {index + 1}") for name in {p.name for p in board.parts}}
    for placed in board.parts:
        chains += [LayerChain(job.layers.mark, stroke.moved(placed.motion)) for stroke in labels[placed.name][0]]
    length, width = board.stock.length, board.stock.least_width
    frame = straight(((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)), closed=True)
    chains.append(LayerChain(job.layers.stock, frame))
    # Notes stand upright on the board, in what the first part has beside its label.
    m = board.parts[0].motion
    room = shapely.affinity.affine_transform(labels[board.parts[0].name][1], [m.cos, -m.sin, m.sin, m.cos, m.dx, m.dy])
    return Drawing(tuple(chains), (), notes(room, _board_text(plan, index, show)))


def _label(plan: Plan, name: str, *more: str) -> tuple[tuple[Chain, ...], Polygon]:
    """A part's lettering in its own frame, and the room beside it."""
    part = plan.part(name)
    clearance = max(plan.job.cutter.width, _LEAST_CLEARANCE)
    room = part.outline.polygon().buffer(-clearance, join_style="mitre")
    short = name if len(name) <= _LONGEST_LABEL else f"{name[: _LONGEST_LABEL - 3]}..."
    return label(room, (short, "< UPPER END", *more))


def _board_text(plan: Plan, index: int, show: Show) -> tuple[str, ...]:
    job, stock = plan.job, plan.layout.boards[index].stock
    width, cut = show(job.cutter.width), job.layers.cut
    return (
        f"Board {index + 1} of {len(plan.layout.boards)}: {stock.size}. {job.name}.",
        f"Units: {unit_words(plan)}. Check dimension: board length {show(stock.length)}, "
        f"width {show(stock.least_width)}.",
        (
            f"Layer {cut} is the design line: compensate by half the tool's width, to the left of travel."
            if job.cutter.path == "design"
            else f"Layer {cut} is the centre line of a tool {width} wide: do not compensate."
        ),
        f"Made for a {job.cutter.kind} {width} wide. Layer {job.layers.stock} is the board, never cut.",
        SHORT_CAUTION,
    )

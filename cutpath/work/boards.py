"""What each DXF file holds: one drawing a part, one a board. Lengths in millimetres."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from cutpath.cautions import SHORT_CAUTION
from cutpath.cut.onboard import PartCut, cut_together, part_cut
from cutpath.cut.program import Operation, program
from cutpath.cut.relief import CutPart
from cutpath.cut.relief_kinds import RELIEF_KINDS
from cutpath.drawing import Circle, Drawing, LayerChain, noted
from cutpath.job.values import Job
from cutpath.nest.shopping import stock_name
from cutpath.nest.values import Placed
from cutpath.outline import Chain, straight
from cutpath.plan.values import PartSet, Plan
from cutpath.units import Show, many
from cutpath.work.labels import LabelPlace, label, place_label
from cutpath.work.notes import depth_lines, tab_lines, tool_lines, unit_words
from cutpath.work.registration import fence_words
from cutpath.work.small_words import sizes
from cutpath.work.tab_words import no_room, tabs_missing
from cutpath.work.values import BoardWork

#: A part's name, and whether it is seen from its other face, turned over.
SeenFace = tuple[str, bool]

# A label's line is cut at this many characters, so that a long name still leaves it legible.
_LONGEST_LABEL = 40
# The same on a small part, whose lines are broken before.
_SMALL_LABEL = 20
# Marks keep at least this far from cuts, millimetres, however fine the cutter: a pencil's room.
_LEAST_CLEARANCE = 6.0


def part_drawing(plan: Plan, parts: PartSet, place: LabelPlace, show: Show) -> Drawing:
    """A part's file, board frame: design outline, label in its place, notes.

    Args:
        plan: the whole job.
        parts: the part.
        place: its label's, from `label_places`.
        show: writes millimetres as text in the job's unit.
    """
    job, part = plan.job, parts.part
    strokes = label(place, _label_lines(plan, parts.name, part))
    holes = tuple(Circle(job.layers.drill, hole.centre, hole.diameter / 2) for hole in part.holes)
    x0, y0, x1, y1 = part.outline.extents()
    text = (
        f"Part: {parts.name}. Cut {parts.count}.",
        f"Units: {unit_words(job)}. Check dimension: overall length {show(x1 - x0)}, width {show(y1 - y0)}.",
        f"Layer {job.layers.part} is the design line, not compensated for any tool.",
        *depth_lines(job, _thicknesses(plan, parts.name), (pocket.depth for pocket in part.pockets), show),
        *_about(plan, part, show),
        SHORT_CAUTION,
    )
    chains = [LayerChain(job.layers.part, part.outline)]
    chains += [LayerChain(job.layers.part, slot) for slot in part.slots]
    chains += [LayerChain(job.layers.pocket, pocket.outline) for pocket in part.pockets]
    chains += [LayerChain(job.layers.mark, stroke) for stroke in strokes]
    return noted(Drawing(tuple(chains), holes), text)


def _thicknesses(plan: Plan, name: str) -> set[float]:
    """Of the boards that a part lies on; of a part without a board, of all in stock."""
    boards = [b.stock for b in plan.layout.boards if any(p.name == name for p in b.parts)]
    return {stock.thickness for stock in boards or plan.job.stock}


def board_program(plan: Plan, index: int, places: Mapping[SeenFace, LabelPlace]) -> BoardWork:
    """What the machine does on one board, in order, with labels in their places; stock coordinates.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        places: of labels, from `label_places`.

    Raises:
        ToolTooWide: the tool's centre can't follow a contour of a part.
    """
    job, board = plan.job, plan.layout.boards[index]
    faces = {(p.name, p.over): plan.part_of(p) for p in board.parts}
    labels = {face: label(places[face], _label_lines(plan, face[0], part, index + 1)) for face, part in faces.items()}
    cuts: list[PartCut] = []
    lettering: list[list[Chain]] = []
    for number, placed in enumerate(board.parts):
        face = (placed.name, placed.over)
        part = faces[face]
        surplus = board.stock.least_width - part.width
        cuts.append(part_cut(part, job.cutter, job.tabs, surplus, placed.motion, number))
        lettering.append([stroke.moved(placed.motion) for stroke in labels[face]])
    if board.common:
        cuts = cut_together(cuts, board.pairs, job.cutter)
    operations: list[Operation] = []
    for number, (cut, strokes) in enumerate(zip(cuts, lettering, strict=True)):
        operations += [Operation("mark", number, stroke, label=True) for stroke in strokes]
        operations += [Operation("mark", number, mark) for mark in cut.marks]
        operations += cut.operations
    return BoardWork(program(operations), tuple(cuts))


def board_drawing(plan: Plan, index: int, done: BoardWork, show: Show, more: Sequence[str] = ()) -> Drawing:
    """One board's file, stock coordinates: what the tool does, the board's outline, notes.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: the board's program.
        show: writes millimetres as text in the job's unit.
        more: lines for its NOTE.
    """
    job, board = plan.job, plan.layout.boards[index]
    layers = job.layers
    by_kind = {"mark": layers.mark, "pocket": layers.pocket, "inner": layers.cut, "outline": layers.cut}
    chains: list[LayerChain] = []
    for operation in done.program.operations:
        if operation.chain is None:
            continue
        # A lead in comes right before its contour and the lead out right after it.
        leads = done.leads(operation)
        chains += [LayerChain(layers.lead, lead) for lead in leads[:1]]
        chains.append(LayerChain(by_kind[operation.kind], operation.chain))
        chains += [LayerChain(layers.lead, lead) for lead in leads[1:]]
    if job.tabs.shown == "layer":
        chains += [LayerChain(layers.tab, stretch) for cut in done.cuts for stretch in cut.left_out]
    circles = tuple(
        Circle(layers.drill, o.centre, o.diameter / 2) for o in done.program.operations if o.centre is not None
    )
    length, width = board.stock.length, board.stock.least_width
    frame = straight(((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)), closed=True)
    chains.append(LayerChain(layers.stock, frame))
    return noted(Drawing(tuple(chains), circles), _board_text(plan, index, done, show, more))


def tab_stretches(job: Job, parts: Sequence[Placed], done: BoardWork) -> tuple[Chain, ...]:
    """Where tabs hold the parts of a board, along the line that its file has, stock coordinates.

    Args:
        job: says how wide tabs are, and what line the file has.
        parts: of the board.
        done: what is done on it.
    """
    if job.cutter.path == "centre":
        return tuple(stretch for cut in done.cuts for stretch in cut.left_out)
    half = job.tabs.width / 2
    return tuple(
        straight((tab.at(-half), tab.at(half)), closed=False).moved(placed.motion)
        for placed, cut in zip(parts, done.cuts, strict=True)
        for tab in cut.tabs
    )


def label_places(plan: Plan) -> dict[SeenFace, LabelPlace]:
    """Where each part's label goes, by face; frame of that face."""
    places = {(parts.name, False): _label_place(plan, parts.name, parts.part) for parts in plan.design.every}
    for parts in plan.design.every:
        if parts.over is not None:
            places[parts.name, True] = _label_place(plan, parts.name, parts.over)
    return places


def _label_place(plan: Plan, name: str, part: CutPart) -> LabelPlace:
    import shapely

    clearance = max(plan.job.cutter.width, _LEAST_CLEARANCE)
    room = part.outline.polygon().buffer(-clearance, join_style="mitre")
    for hole in part.holes:
        room = room.difference(shapely.Point(hole.centre).buffer(hole.diameter / 2 + clearance))
    for inner in (*part.slots, *(pocket.outline for pocket in part.pockets)):
        room = room.difference(inner.polygon().buffer(clearance))
    return place_label(room, _label_lines(plan, name, part, len(plan.layout.boards)))


def _label_lines(plan: Plan, name: str, part: CutPart, board: int | None = None) -> tuple[str, ...]:

    if part.small is not None:
        # Whose it is comes first, so that it is lettered even where nothing else has room.
        lines = textwrap.wrap(name.removesuffix(f" {part.small}"), _SMALL_LABEL)
        last = 0 if part.small == "trial piece" else 1
        whose = (*lines[:last], *([_short(" ".join(lines[last:]), _SMALL_LABEL)] if lines[last:] else []))
        where = "" if board is None else f", {plan.job.stock_word.upper()} {board}"
        return (*whose, f"{part.small}{where}", *sizes(part, plan.job.units))
    short = _short(name)
    end = "UPPER END >" if part.mirrored else "< UPPER END"
    return (short, end, *(() if board is None else (f"{plan.job.stock_word.upper()} {board}",)))


def _short(name: str, longest: int = _LONGEST_LABEL) -> str:
    return name if len(name) <= longest else f"{name[: longest - 3]}..."


def _about(plan: Plan, part: CutPart, show: Show) -> tuple[str, ...]:
    """A part's inside corners, a small part's sizes."""
    lines = [f"{', '.join(sizes(part, plan.job.units)).capitalize()}."] if part.small is not None else []
    if part.small is None or part.corners:
        width = show(plan.job.cutter.width)
        lines.append(f"Inside corners {RELIEF_KINDS[part.relief].words}, for a cutter {width} wide.")
    return tuple(lines)


def _board_text(plan: Plan, index: int, done: BoardWork, show: Show, more: Sequence[str]) -> tuple[str, ...]:
    job, stock, word = plan.job, plan.layout.boards[index].stock, plan.job.stock_word
    tabs = sum(len(cut.tabs) for cut in done.cuts)
    lines = [
        f"{word.capitalize()} {index + 1} of {len(plan.layout.boards)}: {stock_name(stock)}. {job.name}.",
        f"Units: {unit_words(job)}. Check dimension: {word} length {show(stock.length)}, "
        f"width {show(stock.least_width)}.",
        fence_words(plan, index, show),
        *tool_lines(job, f"the {word}", show),
        *depth_lines(job, [stock.thickness], (o.depth for o in done.program.operations if o.kind == "pocket"), show),
        *tab_lines(job, tabs, show),
    ]
    laid = [plan.part_of(p) for p in plan.layout.boards[index].parts]
    missing = tabs_missing(laid, job)
    if missing:
        lines.append(f"{many(missing, 'tab')} fewer than asked for: {no_room(laid, job, show)}.")
    if job.cutter.lead and job.cutter.path == "centre" and any(cut.left_out for cut in done.cuts):
        lines.append("Contours with tabs begin and end at them, without leads.")
    shared = plan.layout.boards[index].pairs
    if shared:
        lines.append(
            f"Parts that share a cut, made once for both: {', '.join(f'{a + 1} and {b + 1}' for a, b in shared)}."
        )
    if not tabs and any(plan.part(p.name).small is not None for p in plan.layout.boards[index].parts):
        lines.append("Small parts come loose as they are cut through: hold them down.")
    return (*lines, *more, SHORT_CAUTION)

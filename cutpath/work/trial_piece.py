"""The trial piece's file: what the tool cuts, the sizes that a rule has to find, notes. Lengths in millimetres."""

from __future__ import annotations

from cutpath.cautions import SHORT_CAUTION
from cutpath.cut.onboard import inner_path
from cutpath.cut.paths import outline_path
from cutpath.cut.program import Operation, program
from cutpath.cut.simulate.meant import Meant
from cutpath.cut.trial import TrialPiece, blank, trial_piece
from cutpath.drawing import Circle, Drawing, LayerChain, noted
from cutpath.faults import FileMismatch
from cutpath.job.values import Job
from cutpath.outline import Chain, circle, shift
from cutpath.plan.values import Plan
from cutpath.units import Show
from cutpath.work.cut_check import Cuts
from cutpath.work.file_paths import TRIAL_FILE
from cutpath.work.lettering import stroke_text, text_width
from cutpath.work.notes import tool_lines, unit_words
from cutpath.work.small_words import trial_lines

# Wood left round the piece on its offcut, in tool widths and at least this many millimetres.
_MARGIN_WIDTHS, _LEAST_MARGIN = 2.0, 25.0
_LETTERS = 5.0


def _margin(job: Job) -> float:
    return max(_LEAST_MARGIN, _MARGIN_WIDTHS * job.cutter.width)


def piece_of(plan: Plan) -> TrialPiece:
    """The trial piece of a job: its corner opened as the job's notches are."""
    return trial_piece(plan.job.units, plan.design.part.relief, plan.job.cutter.width)


def trial_drawing(plan: Plan, show: Show) -> Drawing:
    """The file of the trial piece, the offcut's lower left corner at the origin."""
    job, piece = plan.job, piece_of(plan)
    onto = shift(_margin(job), _margin(job))
    around = outline_path(piece.outline.reversed(), job.cutter)
    if job.cutter.direction == "conventional":
        around = around.reversed()
    hole = piece.hole.moved(onto)
    done = program(
        [
            *(Operation("mark", 0, stroke.moved(onto)) for stroke in _sizes(job, piece)),
            Operation("drill", 0, centre=hole.centre, diameter=hole.diameter),
            Operation("inner", 0, inner_path(piece.slot, job.cutter).moved(onto)),
            Operation("outline", 0, around.moved(onto)),
        ]
    )
    layers = job.layers
    chains = [LayerChain(layers.mark if o.kind == "mark" else layers.cut, o.chain) for o in done.operations if o.chain]
    frame = blank(piece, _margin(job))
    chains.append(LayerChain(layers.stock, frame))
    circles = (Circle(layers.drill, hole.centre, hole.diameter / 2),)
    return noted(Drawing(tuple(chains), circles), _text(job, piece, show))


def check_trial(plan: Plan, read: Drawing) -> None:
    """Cut the trial piece in simulation, and hold it against its design.

    Args:
        plan: the whole job.
        read: the piece's file, as read back.

    Raises:
        FileMismatch: it does not come out as designed.
    """
    piece, onto = piece_of(plan), shift(_margin(plan.job), _margin(plan.job))
    hole = piece.hole.moved(onto)
    meant = Meant(piece.outline.moved(onto), (piece.slot.moved(onto), circle(hole.centre, hole.diameter / 2)))
    cut = Cuts(read, plan.job).compared(meant)
    if not cut.ok:
        raise FileMismatch(
            f"{TRIAL_FILE}: cut in simulation it is {max(cut.gouge, cut.leftover):.4f} mm off its design; nothing was "
            "put in place; this is a fault of the program, please report it with the job"
        )


def _sizes(job: Job, piece: TrialPiece) -> list[Chain]:
    (x, _), (_, high) = piece.slot.points[0], piece.outline.points[-1]
    lines = trial_lines(job.units, piece.slot_size, piece.notch, piece.hole.diameter)
    scale = high / (4 * 25.4)
    height = _LETTERS * scale
    widest = max(text_width(line, height) for line in lines)
    left = max(height, x - piece.slot_size[1] / 2)
    room = piece.hole.centre[0] - piece.hole.diameter / 2 - job.cutter.width - height - left
    height *= min(1.0, room / widest)
    return [
        stroke
        for i, line in enumerate(lines)
        for stroke in stroke_text(line, height, (left, height * (1.2 + 1.8 * (len(lines) - 1 - i))))
    ]


def _text(job: Job, piece: TrialPiece, show: Show) -> tuple[str, ...]:
    x0, y0, x1, y1 = piece.outline.extents()
    return (
        f"Trial piece of {job.name}, from an offcut.",
        f"Units: {unit_words(job)}. Check dimension: piece {show(x1 - x0)} by {show(y1 - y0)}.",
        *tool_lines(job, "the offcut", show),
        SHORT_CAUTION,
    )

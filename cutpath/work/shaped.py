"""Files of the stair's other pieces that are not straight, such as a tread notched round a post. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from cutpath.cautions import SHORT_CAUTION
from cutpath.cut.opened import opened
from cutpath.cut.simulate.compare import compare, compensated, leave
from cutpath.cut.simulate.meant import Meant
from cutpath.drawing import Drawing, LayerChain, noted
from cutpath.faults import FileMismatch
from cutpath.job.values import Job
from cutpath.names import distinct, safe_name
from cutpath.outline import Chain, straight
from cutpath.pieces.values import StairPiece
from cutpath.plan.values import Plan
from cutpath.units import Show
from cutpath.work.file_paths import part_files
from cutpath.work.notes import unit_words


class Shaped(Struct, frozen=True):
    """A piece with a file of its own.

    Attributes:
        plan: the job that it is of.
        piece: the piece.
        path: of its file in the export's folder.
        outline: what the file holds, the piece's own frame.
        by_tool: whether the job's tool can cut it, its inside corners opened for it; otherwise they stay square.
    """

    plan: Plan
    piece: StairPiece
    path: str
    outline: Chain
    by_tool: bool


def shaped_pieces(plans: Sequence[Plan]) -> tuple[Shaped, ...]:
    """The pieces of some jobs that have a shape, with the paths of their files.

    Args:
        plans: the jobs, whose names differ, in the order of the export.
    """
    found = [
        (plan, piece)
        for plan in plans
        if plan.design.pieces is not None
        for piece in plan.design.pieces.all
        if piece.shape is not None
    ]
    if not found:
        return ()
    taken = [path.removeprefix("parts/").removesuffix(".dxf") for plan in plans for path in part_files(plan).values()]
    names = distinct([*taken, *(safe_name(f"{plan.job.name} {piece.name}") for plan, piece in found)])[len(taken) :]
    return tuple(_shaped(plan, piece, f"parts/{name}.dxf") for (plan, piece), name in zip(found, names, strict=True))


def _shaped(plan: Plan, piece: StairPiece, path: str) -> Shaped:
    assert piece.shape is not None
    job = plan.job
    # Wood isn't cut with what cuts plates.
    if job.stringer.kind.wood:
        outline = opened(piece.shape, job.cutter.radius) if job.cutter.corner == "relieved" else piece.shape
        if outline is not None:
            return Shaped(plan, piece, path, outline, True)
    return Shaped(plan, piece, path, piece.shape, False)


def shaped_drawing(shaped: Shaped, show: Show) -> Drawing:
    """A piece's file: its outline, and notes. Nothing is lettered on its face, which is walked on.

    Args:
        shaped: the piece.
        show: writes millimetres as text in the job's unit.
    """
    job, piece = shaped.plan.job, shaped.piece
    x0, y0, x1, y1 = shaped.outline.extents()
    text = (
        f"Part: {job.name} {piece.name}. Cut {piece.count}: {piece.where}.",
        f"Units: {unit_words(job)}. Check dimension: overall length {show(x1 - x0)}, width {show(y1 - y0)}.",
        f"Layer {job.layers.part} is the design line, not compensated for any tool, seen on the upper face, its "
        "front edge below.",
        f"Stock {show(piece.section[0])} thick, {piece.stock.label(job.units)}; cuts go through it.",
        *(remark.text(show) for remark in piece.notes),
        _corners(shaped, show),
        _play(job, show),
        SHORT_CAUTION,
    )
    return noted(Drawing((LayerChain(job.layers.part, shaped.outline),)), text)


def _play(job: Job, show: Show) -> str:
    assert job.treads is not None
    play = job.treads.post_play
    spare = f"and {show(play)} to spare all round" if play else "without play"
    return f"The notch is the post's size {spare}: try one on the post before the others are cut."


def _corners(shaped: Shaped, show: Show) -> str:
    job = shaped.plan.job
    width = show(job.cutter.width)
    if not shaped.by_tool:
        what = f"a {job.cutter.kind} {width} wide" if job.stringer.kind.wood else "the cutter that cuts the plates"
        return f"Inside corners are square: the notch is not for {what}; cut it with a saw, and finish it by hand."
    if job.cutter.corner == "relieved":
        return f"Inside corners relieved on the diagonal, so that a square post seats, for a cutter {width} wide."
    return f"Inside corners are square in the design; a cutter {width} wide rounds them: square them by hand."


def check_shaped(shaped: Shaped, read: Drawing) -> None:
    """Cut what a file holds in simulation, as the job's tool would, and hold it against the design.

    A piece whose corners are no work for the tool is not cut.

    Args:
        shaped: the piece.
        read: its file, as read back.

    Raises:
        FileMismatch: it does not come out as designed.
    """
    if not shaped.by_tool:
        return
    job: Job = shaped.plan.job
    (line,) = [c.chain for c in read.chains if c.layer == job.layers.part]
    width = job.cutter.width
    x0, y0, x1, y1 = shaped.outline.extents()
    edge = 2 * width
    corners = ((x0 - edge, y0 - edge), (x1 + edge, y0 - edge), (x1 + edge, y1 + edge), (x0 - edge, y1 + edge))
    board = straight(corners, closed=True).polygon()
    # Counter-clockwise round the piece, its waste lies on the right.
    cut = compare(board, leave(board, compensated([line], width, "right"), width), width, Meant(shaped.outline))
    if not cut.ok:
        raise FileMismatch(
            f"{shaped.path}: cut in simulation it is {max(cut.gouge, cut.leftover):.4f} mm off its design; nothing was "
            "put in place; this is a fault of the program, please report it with the job"
        )

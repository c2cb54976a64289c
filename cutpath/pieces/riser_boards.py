"""The riser boards: how high each is ripped, and why they differ. Stair frame, millimetres."""

from __future__ import annotations

from cutpath.design.stair import Stair
from cutpath.faults import ImpossiblePiece
from cutpath.job.piece_values import RiserBoardSpec
from cutpath.job.values import Job
from cutpath.names import free_name
from cutpath.outline import straight
from cutpath.pieces.across import boards_at
from cutpath.pieces.faces import behind_treads
from cutpath.pieces.values import Remark, RiserBoard, StairPiece, Stand
from cutpath.pieces.words import in_runs
from cutpath.rules.built import Built
from cutpath.tolerances import SAME_POINT


def lay_riser_boards(spec: RiserBoardSpec, stair: Stair, built: Built) -> tuple[RiserBoard, ...]:
    """Every riser board, from the top down.

    Each reaches up to the underside of the tread, or of the floor, whose edge it stands under.

    Args:
        spec: what is asked of them.
        stair: gives treads and nosing.
        built: the nosings as built.

    Raises:
        ImpossiblePiece: one is higher than its board is wide, or has no height.
    """
    thick, floor = stair.tread_thickness, spec.floor_thickness
    floor = thick if floor is None else floor
    # Y of the upper edge, x of the face, y of what is below.
    places: list[tuple[float, float, float]] = []
    if built.floor_first:
        places.append((-floor, behind_treads(stair, built)[0].face, built.treads[0][1]))
    below = [*(y for _, y in built.treads[1:]), built.landing]
    places += [(y - thick, x - stair.nosing, low) for (x, y), low in zip(built.treads, below, strict=True)]
    found = []
    for n, (top, face, level) in enumerate(places, start=1):
        lowest, uppermost = n == len(places), n == 1 and built.floor_first
        down = thick if spec.foot == "behind" and not lowest else 0.0
        bottom = level - down + spec.gap
        height = top - bottom
        if height <= SAME_POINT:
            raise ImpossiblePiece(
                f"riser board {n} has no height: {{}} lie between what it stands on and what it reaches up to",
                top - level + down,
                key="riser_boards.gap",
                way_out="use a smaller riser_boards.gap, or a thinner riser_boards.floor_thickness",
            )
        if height > spec.size.width + SAME_POINT:
            raise ImpossiblePiece(
                f"riser board {n} is {{}} high and the board it is ripped from {{}} wide",
                height,
                spec.size.width,
                key="riser_boards.size",
                way_out="use a wider riser_boards.size" + (', or riser_boards.foot = "standing"' if down else ""),
            )
        found.append(RiserBoard(n, height, bottom, face, _why(spec, thick, floor, lowest, uppermost)))
    return tuple(found)


def _why(spec: RiserBoardSpec, thick: float, floor: float, lowest: bool, uppermost: bool) -> Remark:
    """Why a riser board is as high as it is."""
    words, lengths = [], []
    if uppermost:
        words.append("up to the underside of the floor, {} thick")
        lengths.append(floor)
    else:
        words.append("up to the underside of its tread")
    if lowest:
        words.append("down to the landing, where no tread lies")
        if spec.foot == "behind":
            words.append("a tread's thickness of {} less than behind a tread")
            lengths.append(thick)
    elif spec.foot == "behind":
        words.append("down behind the tread below to its seat, {} under that tread's top")
        lengths.append(thick)
    else:
        words.append("down to the top of the tread below")
    if spec.gap > SAME_POINT:
        words.append("{} open at the lower edge")
        lengths.append(spec.gap)
    return Remark(", ".join(words), tuple(lengths))


def riser_pieces(job: Job, spec: RiserBoardSpec, boards: tuple[RiserBoard, ...]) -> tuple[StairPiece, ...]:
    """The riser boards as pieces, those of one height together.

    Args:
        job: boards and form are read from it.
        spec: what is asked of them.
        boards: from `lay_riser_boards`.

    Raises:
        ImpossiblePiece: nothing says where they end (see `across.boards_at`).
    """
    bays, thick = boards_at(job), job.stair.riser_board
    groups: dict[float, list[RiserBoard]] = {}
    for board in boards:
        groups.setdefault(round(board.height, 6), []).append(board)
    pieces: list[StairPiece] = []
    for alike in groups.values():
        height = alike[0].height
        ripped = height < spec.size.width - SAME_POINT
        stands = [
            Stand(
                straight(
                    (
                        (board.face - thick, board.bottom),
                        (board.face, board.bottom),
                        (board.face, board.bottom + board.height),
                        (board.face - thick, board.bottom + board.height),
                    ),
                    closed=True,
                ),
                bay,
            )
            for board in alike
            for bay in bays
        ]
        pieces.append(
            StairPiece(
                kind="riser board",
                name=free_name(_named(alike, boards), [piece.name for piece in pieces]),
                where=in_runs([board.riser for board in alike], "riser"),
                section=(spec.size.thickness, height),
                stock=spec.size,
                length=bays[0][1] - bays[0][0],
                stands=tuple(stands),
                ripped=height if ripped else None,
                notes=_notes(alike),
            )
        )
    return tuple(pieces)


def _notes(alike: list[RiserBoard]) -> tuple[Remark, ...]:
    """Why boards of one height are as high as they are; each reason with its risers where there are several."""
    reasons: dict[Remark, list[int]] = {}
    for board in alike:
        reasons.setdefault(board.why, []).append(board.riser)
    if len(reasons) == 1:
        return tuple(reasons)
    return tuple(Remark(f"{in_runs(n, 'riser')}: {why.words}", why.lengths) for why, n in reasons.items())


def _named(alike: list[RiserBoard], boards: tuple[RiserBoard, ...]) -> str:
    """What riser boards of one height are called, for people."""
    if len(alike) > 1 or len(boards) == 1:
        return "riser board"
    only = alike[0].riser
    return "riser board" + (", lowest" if only == len(boards) else ", uppermost" if only == 1 else "")

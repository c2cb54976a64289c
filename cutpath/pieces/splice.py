"""Where a top rail is spliced: plumb over the middle of a post, where lumber is too short for it in one piece.

Only posts between the first and the last come into question, so that each piece bears on two. Stair frame, millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from cutpath.design.stair import Stair
from cutpath.faults import ImpossiblePiece
from cutpath.job.piece_values import YARD, LumberSize, RailSpec
from cutpath.job.stretches import clear_stretches
from cutpath.job.values import Job
from cutpath.pieces.values import Bay, RailPost, Range
from cutpath.tolerances import LIMIT_SLACK


def joints_of(job: Job, spec: RailSpec, stair: Stair, posts: Sequence[RailPost], ends: Range) -> tuple[RailPost, ...]:
    """The posts over which a top rail is spliced, so that the fewest pieces come of it that its lumber holds.

    Of as few pieces those are chosen whose longest is shortest. Where there is too little lumber of that length for all
    sides, more and shorter pieces are tried.

    Args:
        job: its lumber and its saw are read.
        spec: the rail's sections, sides and ends.
        stair: gives the pitch.
        posts: from the top down.
        ends: x of the rail's ends along its lower face.

    Returns:
        The posts, from the top down; none where the rail is one piece.

    Raises:
        ImpossiblePiece: no post lies within reach of the longest lumber.
    """
    boards = _stretches(job, spec.top_rail, len(posts) * len(spec.sides))
    longest = max(boards, default=0.0)
    x = (ends[0], *(middle_of(post) for post in posts[1:-1]), ends[1])
    size = spec.top_rail

    def long(i: int, j: int) -> float:
        plumb = i > 0 or spec.ends == "plumb"
        return (x[j] - x[i]) / math.cos(stair.pitch) + (size.thickness * math.tan(stair.pitch) if plumb else 0.0)

    for i in range(len(x) - 1):
        if long(i, i + 1) > longest + LIMIT_SLACK:
            upper = "its upper end" if i == 0 else f"the post at tread {posts[i].tread}"
            lower = "its lower end" if i == len(x) - 2 else f"the post at tread {posts[i + 1].tread}"
            raise ImpossiblePiece(
                f"the top rail is {{}} long from {upper} to {lower}, with no post between to splice it over, and "
                f"the longest lumber of {size.label(job.units)} gives {{}}",
                long(i, i + 1),
                longest,
                key="rail.posts",
                way_out="put a post between (rail.posts), or add longer [[lumber]]",
            )
    first: tuple[int, ...] | None = None
    for count in range(1, len(x)):
        cuts = _evenest([[long(i, j) for j in range(len(x))] for i in range(len(x))], count)
        lengths = [long(i, j) for i, j in pairwise((0, *cuts, len(x) - 1))]
        if max(lengths) > longest + LIMIT_SLACK:
            continue
        first = cuts if first is None else first
        if _all_held(lengths * len(spec.sides), boards, job.sawing.width):
            first = cuts
            break
    assert first is not None
    return tuple(posts[i] for i in first)


def bays_within_reach(job: Job, spec: RailSpec, stair: Stair, posts: Sequence[RailPost], bays: Sequence[Bay]) -> None:
    """Refuse bays that are too long for a bottom rail, which fits between posts in one piece.

    Args:
        job: its lumber and its saw are read.
        spec: the rail's sections.
        stair: gives the pitch.
        posts: from the top down.
        bays: between them.

    Raises:
        ImpossiblePiece: the longest lumber is shorter than a bay's bottom rail.
    """
    size = spec.bottom_rail
    longest = max(_stretches(job, size, 1), default=0.0)
    for bay, (above, below) in zip(bays, pairwise(posts), strict=True):
        long = (bay.clear[1] - bay.clear[0]) / math.cos(stair.pitch) + size.thickness * math.tan(stair.pitch)
        if long > longest + LIMIT_SLACK:
            raise ImpossiblePiece(
                f"the bottom rail between the posts at treads {above.tread} and {below.tread} is {{}} long, and the "
                f"longest lumber of {size.label(job.units)} gives {{}}",
                long,
                longest,
                key="rail.posts",
                way_out="put a post between (rail.posts), or add longer [[lumber]]",
            )


def middle_of(post: RailPost) -> float:
    """X of a post's middle, where a joint stands on it."""
    return (post.back + post.front) / 2


def _stretches(job: Job, size: LumberSize, most: int) -> list[float]:
    """Clear lengths of the lumber of a section, longest first; of each kind no more than `most`.

    As the nest has it: a yard's lengths where the job has none but offcuts, and what there is none of only where there
    is none of any.
    """
    own = [board for board in job.lumber if board.kind == "board" and size.is_section_of(board)]
    yard = YARD[job.units] if all(board.offcut for board in own) else ()
    there = [board for board in own if board.quantity != 0] or ([] if yard else own)
    trim = job.sawing.end_trim
    found = [length - 2 * trim for length in yard for _ in range(most)]
    for board in there:
        count = most if board.quantity is None else min(most, max(1, board.quantity))
        found += [stop - start for start, stop in clear_stretches(board, trim)] * count
    return sorted(found, reverse=True)


def _evenest(long: Sequence[Sequence[float]], count: int) -> tuple[int, ...]:
    """Where to cut a row of places into so many pieces that the longest is shortest: the places between.

    Args:
        long: how long a piece from one place to a later one is; what else there is is not read.
        count: of pieces, fewer than places.
    """
    last = len(long) - 1
    # The shortest longest piece from the first place to each, and the cuts that it takes.
    best: list[tuple[float, tuple[int, ...]]] = [(long[0][j], ()) for j in range(last + 1)]
    for _ in range(count - 1):
        best = [
            min(((max(best[i][0], long[i][j]), (*best[i][1], i)) for i in range(1, j)), default=(math.inf, ()))
            for j in range(last + 1)
        ]
    return best[last][1]


def _all_held(lengths: Sequence[float], boards: Sequence[float], saw: float) -> bool:
    """Whether boards hold all pieces, the longest piece set first, each on the first board that has room."""
    left = [board + saw for board in boards]
    for length in sorted(lengths, reverse=True):
        at = next((i for i, room in enumerate(left) if room >= length + saw - LIMIT_SLACK), None)
        if at is None:
            return False
        left[at] -= length + saw
    return True

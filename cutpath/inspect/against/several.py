"""Files that were laid in one: set-ups, or boards whose parts share cuts, each of which is a file of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from msgspec.structs import replace

from cutpath.inspect.against.drawn import circles_of, pockets_of
from cutpath.inspect.against.program import WantedCuts, file_lines, which
from cutpath.inspect.find.looked import Looked

#: So much of what a file is to cut has to be there for it to be known among others.
_LEAST: Final = 0.8
#: Outlines of boards that are looked at: each is held against every file of the job's.
_MOST: Final = 12


def several_files(look: Looked, programs: Sequence[WantedCuts]) -> tuple[str, frozenset[float]]:
    """Which files of a job's one file holds that is none of them by itself.

    Args:
        look: the file being looked at.
        programs: what the job's files are to cut, those that hold no part whole.

    Returns:
        The files in words, "" for none or one; and how many times their size they are drawn, where that was seen.
    """
    if len(look.all_said) > 1:
        return _words(look.all_said), frozenset()
    boards = look.boards
    if not programs or not 1 < len(boards) <= _MOST:
        return "", frozenset()
    found, sizes = [], set()
    for board in boards:
        alone = _on(look, board)
        known = which(file_lines(alone, circles_of(alone), pockets_of(alone)), programs, said=True, least=_LEAST)
        if known is None:
            return "", frozenset()
        sizes.add(known[1].size)
        found.append((known[0].board + 1, known[0].set_up))
    return _words(found), frozenset(sizes)


def _on(look: Looked, board: Any) -> Looked:
    """A file with only what lies on one of its boards, or runs over its edge."""
    import shapely

    bounds = shapely.box(*board.bounds)
    items = [i for i in look.model if i.chain is not None and i.chain.line().intersects(bounds)]
    return Looked(replace(look.seen, items=tuple(items)), look.roles, look.layers, look.tool)


def _words(found: Sequence[tuple[int, int]]) -> str:
    names = [f"set-up {set_up} of board {board}" if set_up else f"board {board}" for board, set_up in found]
    *most, last = dict.fromkeys(names)
    return f"{', '.join(most)} and {last}" if most else f"{last} more than once"

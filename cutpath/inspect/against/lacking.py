"""Parts that a board has by the job and that its file lacks: which board a file is of, its own note says."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from cutpath.plan.values import Plan
from cutpath.units import many

#: As our own files' notes have it: "Board 1 of 2: 2x12. Orchard steps."
_NOTE: Final = re.compile(r"^(?P<kind>Board|Sheet) (?P<number>[1-9]\d{0,5}) of (?P<of>[1-9]\d{0,5}):")


def lacking(texts: Sequence[str], plan: Plan, found: int) -> str:
    """In words, which parts of a board its file lacks; "": none, or it does not say which board it is.

    Args:
        texts: of the file.
        plan: of all jobs that were cut together. Where it has another number of boards, nothing is told.
        found: how many parts were found in the file.
    """
    notes = {(m["kind"], int(m["number"]), int(m["of"])) for m in map(_NOTE.match, texts) if m}
    if len(notes) != 1:
        return ""
    ((kind, number, of),) = notes
    boards = plan.layout.boards
    if of != len(boards) or number > of or len(boards[number - 1].parts) <= found:
        return ""
    meant = many(len(boards[number - 1].parts), "part")
    return f"by its note it is {kind.lower()} {number}, on which the job has {meant}; {found} of them found"

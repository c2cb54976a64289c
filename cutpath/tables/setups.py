"""The set-up lists of boards that are longer than the bed, as JSON-able data and as a table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from cutpath.cut.setups.values import SetUp
from cutpath.json_text import Json
from cutpath.outline import shift
from cutpath.plan.values import Plan
from cutpath.screen import fit, table
from cutpath.units import cell, many, written
from cutpath.work.file_paths import board_file
from cutpath.work.setups import hand_lettered, setup_file, without_leads

_WORDS = {"drill": "hole", "pocket": "pocket", "inner": "inner cut", "outline": "cut"}


def setup_result(plan: Plan, made: Sequence[Sequence[SetUp]]) -> list[Json]:
    """The set-up lists of the boards that need one, for `result.json`, lengths in the job's unit.

    Args:
        plan: the whole job.
        made: the set-ups of every board, from `board_setups`.
    """
    count = len(plan.layout.boards)
    return [
        {
            "file": board_file(i, count),
            "indexing": plan.job.machine.indexing,
            "set_ups": [_data(plan, i, one) for one in ones],
        }
        for i, ones in enumerate(made)
        if ones
    ]


def _data(plan: Plan, index: int, one: SetUp) -> Json:
    unit, board = plan.job.units, plan.layout.boards[index]

    def numbers(values: Sequence[float]) -> list[float]:
        return [written(v, unit) for v in values]

    to_bed = shift(-one.offset, 0.0)
    return {
        "file": setup_file(index, len(plan.layout.boards), one.number),
        "slide": written(one.slide, unit),
        "offset": written(one.offset, unit),
        "stop": None if one.stop is None else written(one.stop, unit),
        "pins": [numbers(p) for p in one.pins],
        "index_holes": [numbers(p) for p in one.drilled],
        "board": numbers(one.board),
        "extents": numbers(one.extents),
        "operations": dict(Counter(o.kind for o in one.operations)),
        "frees": [board.parts[part].name for part in one.frees],
        "letter_by_hand": [board.parts[part].name for part in one.by_hand],
        "without_leads": bool(without_leads(plan, index, one)),
        "divisions": [
            {
                "part": board.parts[d.part].name,
                "at": numbers(to_bed(d.at)),
                "on": d.on,
                "clear": written(d.margin, unit),
            }
            for d in one.divisions
        ],
    }


def setup_text(plan: Plan, made: Sequence[Sequence[SetUp]]) -> str:
    """The set-up lists as a table; empty where every board fits the bed.

    Args:
        plan: the whole job.
        made: the set-ups of every board, from `board_setups`.
    """
    unit = plan.job.units
    rows = []
    for i, ones in enumerate(made):
        for one in ones:
            kinds = Counter(o.kind for o in one.operations)
            rows.append(
                (
                    str(i + 1),
                    f"{one.number} of {len(ones)}",
                    cell(one.slide, unit),
                    "-" if one.stop is None else cell(one.stop, unit),
                    f"{cell(one.extents[0], unit)} to {cell(one.extents[2], unit)}",
                    ", ".join(many(n, _WORDS[kind]) for kind, n in sorted(kinds.items()) if kind != "mark"),
                    ", ".join(str(part + 1) for part in one.frees) or "-",
                )
            )
    if not rows:
        return ""
    head = ("board", "set-up", "slide", "stop", "reach used", "what is cut", "parts freed")
    lost = {line for i, ones in enumerate(made) for one in ones for line in without_leads(plan, i, one)}
    hand = [
        f"board {i + 1}: {line}" for i, ones in enumerate(made) for one in ones for line in hand_lettered(plan, i, one)
    ]
    return fit([table(head, rows, left=frozenset({5})), *sorted(lost), *hand])

"""Where an export's cut files lie in its folder."""

from __future__ import annotations

from typing import Final

from cutpath.names import distinct, safe_name
from cutpath.plan.values import Plan

TRIAL_FILE: Final = "trial/trial-piece.dxf"
"""The path of the trial piece's cut file in the export's folder."""


def part_files(plan: Plan) -> dict[str, str]:
    """The path of each part's own file in the export's folder, by the part's name."""
    parts = plan.design.every
    files = distinct([safe_name(parts.name) for parts in parts])
    return {parts.name: f"parts/{file}.dxf" for parts, file in zip(parts, files, strict=True)}


def board_number(index: int, count: int) -> str:
    """A board's number in file names, counted from 01: `index` 0 for the first of `count` boards."""
    return f"{index + 1:0{max(2, len(str(count)))}d}"


def board_file(index: int, count: int) -> str:
    """The path of a board's cut file in the export's folder: `index` 0 for the first of `count` boards."""
    return f"boards/{board_number(index, count)}.dxf"

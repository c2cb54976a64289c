"""Reads a pattern as its user would: sheets laid together by their crosses, then measured; by pdfplumber."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field
from typing import Any

import pdfplumber

MM = 25.4 / 72
Point = tuple[float, float]


@dataclass
class Sheet:
    """One page of tiles, in millimetres from its lower left corner."""

    page: Any
    row: int
    column: int
    outline: list[tuple[str, list[Point]]]
    crosses: list[Point]
    offset: Point = (0.0, 0.0)

    def placed(self, place: Point) -> Point:
        return (place[0] + self.offset[0], place[1] + self.offset[1])

    @property
    def corners(self) -> dict[str, Point]:
        """Crosses by where they stand on the sheet."""
        assert len(self.crosses) == 4
        left, right = sorted(self.crosses)[:2], sorted(self.crosses)[2:]
        (bl, tl), (br, tr) = sorted(left, key=lambda p: p[1]), sorted(right, key=lambda p: p[1])
        return {"bl": bl, "tl": tl, "br": br, "tr": tr}


@dataclass
class Pattern:
    pdf: Any
    sheets: dict[tuple[int, int], Sheet] = field(default_factory=dict)
    #: How far apart crosses lie that should meet.
    mismatch: float = 0.0


def opened(data: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(data))


def places(page: Any, points: list[Point]) -> list[Point]:
    """From the reader's points below the top to millimetres above the bottom."""
    return [(x * MM, (float(page.height) - y) * MM) for x, y in points]


def black_paths(page: Any) -> list[list[tuple[str, list[Point]]]]:
    """Paths stroked black, as segments."""
    found = []
    for curve in page.curves:
        if curve["stroking_color"] in (0, 0.0, (0,), (0.0,)):
            found.append([(op, places(page, list(points))) for op, *points in curve["path"]])
    return found


def crosses(page: Any) -> list[Point]:
    """Middles of level lines 8 mm long that an upright one of the same length halves."""
    lines = [places(page, line["pts"]) for line in page.lines]
    level = [((a[0] + b[0]) / 2, a[1]) for a, b in lines if abs(abs(a[0] - b[0]) - 8) < 1e-3]
    upright = [(a[0], (a[1] + b[1]) / 2) for a, b in lines if abs(abs(a[1] - b[1]) - 8) < 1e-3]
    return [p for p in level if any(abs(p[0] - q[0]) < 1e-2 and abs(p[1] - q[1]) < 1e-2 for q in upright)]


def read(data: bytes) -> Pattern:
    """The tiles of a pattern of one part, laid together from row 1, column 1 by their crosses."""
    pattern = Pattern(opened(data))
    for page in pattern.pdf.pages:
        label = re.search(r"row (\d+) of \d+, column (\d+) of \d+", page.extract_text())
        if label:
            (outline,) = black_paths(page)
            at = (int(label[1]), int(label[2]))
            pattern.sheets[at] = Sheet(page, *at, outline, crosses(page))
    for (row, column), sheet in sorted(pattern.sheets.items()):
        meets = []
        if column > 1:
            before = pattern.sheets[row, column - 1]
            meets += [(before, "tr", "tl"), (before, "br", "bl")]
        if row > 1:
            above = pattern.sheets[row - 1, column]
            meets += [(above, "bl", "tl"), (above, "br", "tr")]
        for i, (other, theirs, ours) in enumerate(meets):
            x, y = other.placed(other.corners[theirs])
            if i == 0:
                sheet.offset = (x - sheet.corners[ours][0], y - sheet.corners[ours][1])
            here = sheet.placed(sheet.corners[ours])
            pattern.mismatch = max(pattern.mismatch, abs(here[0] - x), abs(here[1] - y))
    return pattern

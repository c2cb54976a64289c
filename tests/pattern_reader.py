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


def crosses(page: Any, long: float = 8) -> list[Point]:
    """Middles of level lines so long that an upright one of the same length halves."""
    lines = [places(page, line["pts"]) for line in page.lines]
    level = [((a[0] + b[0]) / 2, a[1]) for a, b in lines if abs(abs(a[0] - b[0]) - long) < 1e-3]
    upright = [(a[0], (a[1] + b[1]) / 2) for a, b in lines if abs(abs(a[1] - b[1]) - long) < 1e-3]
    return [p for p in level if any(abs(p[0] - q[0]) < 1e-2 and abs(p[1] - q[1]) < 1e-2 for q in upright)]


def dashed_curves(page: Any) -> list[list[tuple[str, list[Point]]]]:
    """Paths of curves that are dashed, as segments."""
    found = [c for c in page.curves if c.get("dash") and c["dash"][0] and any(op == "c" for op, *_ in c["path"])]
    return [[(op, places(page, list(points))) for op, *points in curve["path"]] for curve in found]


def pricks(page: Any) -> list[Point]:
    """Middles of level lines 5 mm long that an upright one of the same length halves."""
    return crosses(page, 5)


def read(data: bytes) -> Pattern:
    """The tiles of a pattern of one part, laid together from the first by their crosses."""
    pattern = Pattern(opened(data))
    for page in pattern.pdf.pages:
        label = re.search(r"row (\d+) of \d+, column (\d+) of \d+", page.extract_text())
        if label:
            (outline,) = black_paths(page)
            at = (int(label[1]), int(label[2]))
            pattern.sheets[at] = Sheet(page, *at, outline, crosses(page))
    laid = [min(pattern.sheets)]
    for row, column in laid:
        here = pattern.sheets[row, column]
        for at, ours, theirs in (
            ((row, column + 1), ("tr", "br"), ("tl", "bl")),
            ((row, column - 1), ("tl", "bl"), ("tr", "br")),
            ((row + 1, column), ("bl", "br"), ("tl", "tr")),
            ((row - 1, column), ("tl", "tr"), ("bl", "br")),
        ):
            other = pattern.sheets.get(at)
            if other is None:
                continue
            if at not in laid:
                (x, y), (a, b) = here.placed(here.corners[ours[0]]), other.corners[theirs[0]]
                other.offset = (x - a, y - b)
                laid.append(at)
            for mine, its in zip(ours, theirs, strict=True):
                (x, y), (a, b) = here.placed(here.corners[mine]), other.placed(other.corners[its])
                pattern.mismatch = max(pattern.mismatch, abs(a - x), abs(b - y))
    assert set(laid) == set(pattern.sheets), "every sheet lies beside another"
    return pattern

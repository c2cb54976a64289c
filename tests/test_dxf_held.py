"""What was read from a file, wrong in one thing by just more than is allowed and right by just less."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.drawing import Circle, Drawing, LayerChain, Note
from cutpath.dxf.read_back import ReadBack, compare
from cutpath.faults import FileMismatch
from cutpath.outline import Chain

LENS = Chain(((0.0, 0.0), (40.0, 0.0)), (0.5, 1.0), True)
LINE = Chain(((0.0, 30.0), (40.0, 30.0)), (0.0, 0.0), False)
MEANT = Drawing(
    (LayerChain("PART", LENS), LayerChain("MARK", LINE)),
    (Circle("DRILL", (20.0, 5.0), 3.0), Circle("DRILL", (30.0, 5.0), 2.0)),
    (Note("barn", (0.0, 60.0), 5.0), Note("steps", (0.0, 70.0), 5.0)),
)
READ = ReadBack(MEANT, "mm", True, "r2000", MEANT.extents(), ("0", "PART", "MARK", "DRILL", "NOTE"))

#: More and less than a coordinate may stand off.
OFF, HAIR = 1.2e-6, 8e-7


def chains(second: LayerChain) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, chains=(MEANT.chains[0], second)))


def lens(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, chains=(LayerChain("PART", replace(LENS, **more)), MEANT.chains[1])))


def circle(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, circles=(MEANT.circles[0], replace(MEANT.circles[1], **more))))


def note(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, notes=(MEANT.notes[0], replace(MEANT.notes[1], **more))))


def off(by: float) -> list[ReadBack]:
    """Each length that is compared, off by so much."""
    left, low, right, high = READ.extents
    return [
        lens(points=((by, 0.0), (40.0, 0.0))),
        lens(points=((0.0, 0.0), (40.0, by))),
        circle(centre=(30.0 + by, 5.0)),
        circle(centre=(30.0, 5.0 + by)),
        circle(radius=2.0 + by),
        note(at=(by, 70.0)),
        note(at=(0.0, 70.0 + by)),
        note(height=5.0 + by),
        replace(READ, extents=(left + by, low, right, high)),
        replace(READ, extents=(left, low + by, right, high)),
        replace(READ, extents=(left, low, right + by, high)),
        replace(READ, extents=(left, low, right, high + by)),
    ]


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_every_length_is_compared(sign: float) -> None:
    compare("x", MEANT, READ, "mm", "r2000")
    for read in off(sign * HAIR):
        compare("x", MEANT, read, "mm", "r2000")
    for read in [*off(sign * OFF), *off(math.nan), *off(sign * 2.0)]:
        with pytest.raises(FileMismatch):
            compare("x", MEANT, read, "mm", "r2000")


@pytest.mark.parametrize(
    "read",
    [
        lens(bulges=(math.nextafter(0.5, 1.0), 1.0)),
        lens(bulges=(0.5, -1.0)),
        lens(closed=False),
        lens(points=(*LENS.points, (50.0, 0.0)), bulges=(0.5, 1.0, 0.0)),
        chains(replace(MEANT.chains[1], layer="PART")),
        chains(LayerChain("MARK", replace(LINE, closed=True))),
        replace(READ, drawing=replace(MEANT, chains=MEANT.chains[:1])),
        replace(READ, drawing=replace(MEANT, chains=(*MEANT.chains, MEANT.chains[1]))),
        circle(layer="PART"),
        replace(READ, drawing=replace(MEANT, circles=MEANT.circles[:1])),
        note(text="step"),
        replace(READ, drawing=replace(MEANT, notes=())),
        replace(READ, units="in"),
        replace(READ, units=None),
        replace(READ, metric=False),
        replace(READ, metric=None),
        replace(READ, version="r2010"),
        *(replace(READ, layers=tuple(n for n in READ.layers if n != lost)) for lost in ("PART", "MARK", "DRILL")),
    ],
    ids=range(20),
)
def test_whatever_else_a_file_says_is_compared(read: ReadBack) -> None:
    with pytest.raises(FileMismatch):
        compare("x", MEANT, read, "mm", "r2000")


def test_the_oldest_version_states_no_unit() -> None:
    """R12 has neither `$INSUNITS` nor `$MEASUREMENT` (DXF reference, header)."""
    compare("x", MEANT, replace(READ, units=None, metric=None, version="r12"), "in", "r12")
    compare("x", MEANT, replace(READ, units="in", metric=False), "in", "r2000")
    with pytest.raises(FileMismatch):
        compare("x", MEANT, replace(READ, units="in", metric=True), "in", "r2000")

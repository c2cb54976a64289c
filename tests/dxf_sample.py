"""A drawing with every kind of thing that a cut file holds, its figures known from plain geometry. Millimetres."""

from __future__ import annotations

import math

import pytest

from cutpath.drawing import Circle, Drawing, LayerChain, notes_beside
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Chain, straight
from cutpath.units import Unit
from cutpath.work.lettering import stroke_text

VERSIONS: tuple[DxfVersion, ...] = ("r12", "r2000", "r2010", "r2013")
UNITS: tuple[Unit, ...] = ("in", "mm")
PER: dict[Unit, float] = {"in": 25.4, "mm": 1.0}  # the inch by definition of 1959

#: For tests that take the fixture `written`.
every_file = pytest.mark.parametrize(("version", "units"), [(v, u) for v in VERSIONS for u in UNITS])

LAYERS = Layers()

# A plate 254 x 127 with a round lug of radius 10 on its right, a round bay of radius 15 in its upper edge, and its
# lower left corner rounded at 20: bulges of both signs, half circles and a quarter.
PLATE = Chain(
    (
        (20.0, 0.0),
        (254.0, 0.0),
        (254.0, 40.0),
        (254.0, 60.0),
        (254.0, 127.0),
        (155.0, 127.0),
        (125.0, 127.0),
        (0.0, 127.0),
        (0.0, 20.0),
    ),
    (0.0, 0.0, 1.0, 0.0, 0.0, -1.0, 0.0, 0.0, math.tan(math.pi / 8)),
    closed=True,
)
PLATE_AREA = 254 * 127 + math.pi * 10**2 / 2 - math.pi * 15**2 / 2 - (20**2 - math.pi * 20**2 / 4)
PLATE_BOX = (0.0, 0.0, 264.0, 127.0)
HOLE = Circle(LAYERS.drill, (60.0, 70.0), 6.35)
NAMES = (
    "Barn steps",
    "Größe ½ 中文 \U0001f642",
    "a/b\\c 100%% ^J x^ y \\U+0041 \\M+18140",
    "line\nbreak\ttab\x07 end",
)


def sample(*names: str) -> Drawing:
    """The plate, a hole, a label, an open mark and notes."""
    marks = [LayerChain(LAYERS.mark, c) for c in stroke_text("NO. 8-Ü", 12.0, (30.0, 20.0), 0.3)]
    tick = straight(((200.0, 30.0), (200.0, 36.0), (206.0, 36.0)), closed=False)
    notes = notes_beside(names or NAMES, PLATE_BOX)
    return Drawing(
        (LayerChain(LAYERS.part, PLATE), LayerChain(LAYERS.mark, tick), *marks),
        (HOLE,),
        notes,
    )

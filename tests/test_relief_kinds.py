"""Every kind of relief drawn by shapely apart from its entry, and the throat measured on that drawing.

Formulas and places of the tool's centre: the table of inside corners in docs/geometry.md, which follows from plane
geometry alone (no source).
"""

import math
from typing import get_args

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut import relief
from cutpath.cut.housing import mirrored
from cutpath.cut.relief import behind, relieved
from cutpath.cut.relief_kinds import RELIEF_KINDS, RELIEFS, Relief, reach_past
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.keys import JOB
from cutpath.job.values import ReliefChoice, SillNotch
from cutpath.outline import Arc
from tests.stairs import IN, mm, spec

#: The tool's centre from the corner, in radii, out along the seat and up the riser cut; and the throat it costs, in
#: radii, by the pitch.
APART = {
    "diagonal": ((math.sqrt(0.5), math.sqrt(0.5)), lambda theta: 1 - math.cos(math.pi / 4 - theta)),
    "riser-side": ((0.0, 1.0), lambda theta: 1 - math.cos(theta)),
    "tread-side": ((1.0, 0.0), lambda theta: 1 - math.sin(theta)),
    "none": (None, lambda theta: 0.0),
}

#: Chords in a quarter of a circle: their error is 1e-7 of the radius.
FINE = 2048


def test_every_kind_has_its_line_here_and_its_word_in_the_job() -> None:
    assert set(APART) == set(RELIEF_KINDS) == set(get_args(Relief))
    assert set(get_args(ReliefChoice)) == {"most-throat", *RELIEFS}
    (cutter,) = (key.kind for key in JOB.keys if key.name == "cutter")
    (key,) = (key for key in cutter.keys if key.name == "relief")
    assert set(key.kind.words) == set(get_args(ReliefChoice))
    words = [kind.words for kind in RELIEF_KINDS.values()] + [kind.row for kind in RELIEF_KINDS.values()]
    assert len(set(words)) == len(words)


def stair(rise: float, run: float) -> Stair:
    return Stair(9, rise * IN, run * IN, "one-below", 1.5 * IN, 0.0, IN, IN)


def wood_left(name: str, rise: float, run: float, width: float, radius: float) -> tuple[float, float]:
    """Throat behind one notch, and the area that the relief takes from it, by a drawing in the stair's frame."""
    theta = math.atan2(rise, run)
    deep = rise * run / math.hypot(rise, run)
    to_edge = width - deep
    out, up = math.cos(theta), math.sin(theta)
    corner_side = shapely.Polygon([(0, 0), (run, 0), (run, rise * 3), (0, rise * 3)])
    open_ = corner_side
    centre = APART[name][0]
    if centre is not None:
        open_ = corner_side.union(shapely.Point(centre[0] * radius, centre[1] * radius).buffer(radius, FINE))
    # The lower edge falls with the stair, `to_edge` away from the corner and square to it.
    foot = (-up * to_edge, -out * to_edge)
    edge = shapely.LineString([(foot[0] - 99 * out, foot[1] + 99 * up), (foot[0] + 99 * out, foot[1] - 99 * up)])
    return open_.distance(edge), open_.area - corner_side.area


@pytest.mark.parametrize("name", RELIEF_KINDS)
@pytest.mark.parametrize(("rise", "run"), [(7.25, 10.5), (7.75, 10), (6, 12), (4, 14), (7, 7)])
@pytest.mark.parametrize("radius", [0.1875, 0.005, 0.5])
def test_throat_as_drawn_apart(name: Relief, rise: float, run: float, radius: float) -> None:
    kind = RELIEF_KINDS[name]
    theta, width = math.atan2(rise, run), 14.0
    plain = width - rise * run / math.hypot(rise, run)
    drawn, taken = wood_left(name, rise, run, width, radius)
    by_formula = plain - radius * APART[name][1](theta)
    assert drawn == pytest.approx(by_formula, abs=1e-6)
    assert plain - kind.price(radius, theta) == pytest.approx(drawn, abs=1e-6)
    part = relieved(build_stringer(stair(rise, run), spec(), width * IN, mm), name, radius * IN)
    # Behind the notches in the middle lies nothing but the lower edge.
    assert [n.throat for n in part.notches[2:5]] == pytest.approx([drawn * IN] * 3, abs=1e-4)
    square = relieved(build_stringer(stair(rise, run), spec(), width * IN, mm), "none", radius * IN)
    lost = (square.outline.area() - part.outline.area()) / IN**2
    assert lost == pytest.approx(len(part.notches) * taken, abs=1e-5)


@pytest.mark.parametrize("name", RELIEFS)
def test_a_wrong_bulge_is_seen(name: Relief, monkeypatch: pytest.MonkeyPatch) -> None:
    """A flatter arc leaves more throat on paper than the tool does in the wood: the drawing apart must tell."""
    wrong = {**RELIEF_KINDS, name: replace(RELIEF_KINDS[name], bulge=-0.2)}
    monkeypatch.setattr(relief, "RELIEF_KINDS", wrong)
    part = relieved(build_stringer(stair(7.25, 10.5), spec(), 14 * IN, mm), name, 0.5 * IN)
    drawn, _ = wood_left(name, 7.25, 10.5, 14, 0.5)
    assert part.notches[3].throat > drawn * IN + 0.01
    assert wrong[name].price(0.5, math.atan2(7.25, 10.5)) != pytest.approx(RELIEF_KINDS[name].price(0.5, 0.6), abs=1e-3)


@pytest.mark.parametrize("name", RELIEFS)
def test_the_mouths_lie_where_the_tool_meets_the_sides(name: Relief) -> None:
    kind = RELIEF_KINDS[name]
    (x, y), (u, v) = kind.mouths((10.0, 20.0), (1.0, 0.0), (0.0, 1.0), 3.0)
    assert (x - 10, v - 20) == pytest.approx(kind.reaches(3.0))
    assert (y, u) == (20, 10)
    centre = APART[name][0]
    for px, py in ((x - 10, y - 20), (u - 10, v - 20), (0, 0)):
        assert math.dist((px, py), (3 * centre[0], 3 * centre[1])) == pytest.approx(3)


@pytest.mark.parametrize("sill", [None, SillNotch(88.9, 38.1)])
@pytest.mark.parametrize("rise", [5.0, 7.0])
def test_what_lies_behind_the_notches_has_neither_notch_nor_tooth(rise: float, sill: SillNotch | None) -> None:
    """From the plumb cut's top down it, along the lower edge and the seat to the foot: turned over, the other way."""
    part = relieved(build_stringer(stair(rise, 10.0), spec(sill), 12 * IN, mm), "diagonal", 4.0)
    assert part.outline.closed and part.throat == min(notch.throat for notch in part.notches)
    found = behind(part.outline, part.roles)
    ends = {"heel", "seat-back", "sill-seat", "sill-corner"}
    last = "toe" if sill is None else "sill-face"
    wanted = [p for p, role in zip(part.outline.points, part.roles, strict=True) if role in ends | {"top", last}]
    assert not found.closed and found.bulges[-1] == 0
    assert found.points == (wanted[-1], *wanted[:-1])
    over = mirrored(part)
    turned = behind(over.outline, over.roles)
    assert turned.points == found.mirrored(part.outline.extents()[2] / 2).points
    assert turned.length() == pytest.approx(found.length())


@pytest.mark.parametrize(("start", "sweep"), [(0.3, 1.1), (2.0, -2.5), (-1.0, math.pi), (5.0, -math.pi), (0.0, 5.0)])
def test_how_far_an_arc_reaches_is_the_farthest_of_its_points(start: float, sweep: float) -> None:
    """From the origin, in every direction: its middle and, of its points, the farthest from there."""
    arc = Arc((7.0, -4.0), 3.0, start, sweep)
    for k in range(24):
        way = k * math.tau / 24 + 0.01
        middle = 7.0 * math.cos(way) - 4.0 * math.sin(way)
        points = max(math.cos(start + sweep * i / 4000 - way) for i in range(4001))
        assert reach_past(arc, (math.cos(way), math.sin(way))) == pytest.approx(middle + 3.0 * points, abs=3e-6)

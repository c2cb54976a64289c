"""Parts found in drawings of a few lines, wherever they lie, and what is told of them: no plan, no file."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely.affinity import affine_transform

from cutpath.cut.features import Hole
from cutpath.cut.program import Operation
from cutpath.design.throat import NotchThroat
from cutpath.inspect.against.lie import lie_of
from cutpath.inspect.against.of_job import OfJob
from cutpath.inspect.against.program import WantedCuts
from cutpath.inspect.against.table import AGAINST
from cutpath.inspect.against.values import Wanted
from cutpath.inspect.contours import without_empty_arcs
from cutpath.inspect.values import Element, Finding, Inspected, LayerSeen, Seen
from cutpath.inspect.whole import inspect_against
from cutpath.job.values import Cutter, Layers
from cutpath.outline import Chain, Point, circle, straight
from cutpath.report.inspect import inspect_text

#: A plank of 1000 by 200 with two notches of unequal sides, so that no mirror image or half turn is like it.
CORNERS = ((300.0, 90.0), (620.0, 120.0))
PLANK = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (700.0, 200.0), CORNERS[1], (580.0, 200.0), (420.0, 200.0),
         CORNERS[0], (230.0, 200.0), (0.0, 160.0))  # fmt: skip
SHAPE = shapely.Polygon(PLANK)
NOTCHES = tuple(NotchThroat(n, c, c[1]) for n, c in ((2, CORNERS[0]), (1, CORNERS[1])))
SLOT = ((100.0, 40.0), (180.0, 40.0), (180.0, 70.0), (100.0, 70.0))
GAUGE = ((0.0, 0.0), (150.0, 0.0), (110.0, 60.0), (0.0, 80.0))


def wanted(points: tuple[Point, ...] = PLANK, name: str = "plank", **more: Any) -> Wanted:
    given: dict[str, Any] = {"notches": NOTCHES} if points == PLANK else {}
    return Wanted(name, straight(points, closed=True), **given | more)


def job(*parts: Wanted, width: float = 6.0, path: str = "design", least: float = 80.0) -> OfJob:
    cutter = Cutter("router", width, "rounded", path, 10.0)  # type: ignore[arg-type]
    plan: Any = SimpleNamespace(
        layout=SimpleNamespace(boards=()),
        job=SimpleNamespace(name="Steps", cutter=cutter, layers=Layers(), stringer=SimpleNamespace(throat_least=least)),
    )
    rows = tuple((p, p.outline.polygon(0.001)) for p in parts or (wanted(),))
    return OfJob(plan, rows, ())


def item(chain: Chain, layer: str = "PART", kind: str = "LWPOLYLINE") -> tuple[Chain, str, str]:
    return chain, layer, kind


def shut(points: tuple[Point, ...] | list[Point], layer: str = "PART") -> tuple[Chain, str, str]:
    return item(straight(tuple(points), closed=True), layer)


def looked(
    *items: tuple[Chain, str, str],
    held: OfJob | None = None,
    texts: tuple[str, ...] = (),
    tool: float | None = None,
    **more: Any,
) -> Inspected:
    elements = tuple(
        Element(str(k), kind, layer, "model", chain, chain.points[0]) for k, (chain, layer, kind) in enumerate(items, 1)
    )
    layers = tuple(LayerSeen(name, frozen=False, off=False) for name in dict.fromkeys(e.layer for e in elements))
    given: dict[str, Any] = {"version": "R2000", "unit": "mm", "per_unit": 1.0, "guessed": False, "metric": True}
    seen = Seen("x.dxf", items=elements, layers=layers, texts=texts, **{**given, **more})
    return inspect_against(seen, held or job(), lambda mm: f"{mm:.2f} mm", tool=tool)


def told(found: Inspected, *but: str) -> dict[str, Finding]:
    return {f.kind: f for f in found.findings if f.kind not in but}


def there(
    points: tuple[Point, ...], turn: float = 0.0, mirror: int = 1, size: float = 1.0, shift: Point = (0.0, 0.0)
) -> list[Point]:
    """Mirrored, turned, made larger and shifted."""
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return [
        ((x * mirror * cos - y * sin) * size + shift[0], (x * mirror * sin + y * cos) * size + shift[1])
        for x, y in points
    ]


@pytest.mark.parametrize("mirror", [1, -1])
@pytest.mark.parametrize(("turn", "size", "shift"), [
    (0.0, 1.0, (0.0, 0.0)), (33.0, 1.0, (900.0, -70.0)), (180.0, 1.0, (0.0, 500.0)), (271.0, 25.4, (3.0, 4.0)),
    (90.0, 1 / 25.4, (3.0, 4.0)), (10.0, 1.03, (3.0, 4.0)),
])  # fmt: skip
def test_a_part_is_found_wherever_it_lies(mirror: int, turn: float, size: float, shift: Point) -> None:
    drawn = there(PLANK, turn, mirror, size, shift)
    lie = lie_of(shapely.Polygon(drawn), SHAPE)
    assert lie is not None
    assert lie.share == 1.0 and lie.grown == 0.0 and lie.mirrored == (mirror < 0)
    assert lie.scale == pytest.approx(size, rel=1e-6) and lie.turn == pytest.approx(turn, abs=2e-3)
    back = shapely.get_coordinates(affine_transform(shapely.Polygon(drawn), list(lie.matrix)))[:-1]
    assert abs(back - shapely.get_coordinates(SHAPE)[:-1]).max() < 0.01
    assert lie.back(PLANK[4]) == pytest.approx(drawn[4], abs=0.01 * size)
    assert lie.covered(shapely.Polygon(drawn), SHAPE) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize("grown", [3.0, -3.0])
def test_a_line_beside_the_design_is_found_for_that(grown: float) -> None:
    outside = SHAPE.buffer(grown, join_style="mitre")
    lie = lie_of(affine_transform(outside, [0, -1, 1, 0, 50, 60]), SHAPE, (0.0, 3.0, -3.0))
    assert lie is not None and lie.grown == grown and lie.share > 0.99 and lie.scale == 1.0
    assert lie.turn == pytest.approx(90.0, abs=0.01)
    # Asked for the design's line alone, it is none, or one that is hardly on it.
    alone = lie_of(outside, SHAPE)
    assert alone is None or alone.share < 0.9


def test_a_line_that_stays_on_the_board_runs_along_its_edges() -> None:
    low = SHAPE.buffer(3.0, join_style="mitre").intersection(shapely.box(-100, 0, 1100, 200))
    lie = lie_of(low, SHAPE, (3.0, 0.0, -3.0), kept=True)
    assert lie is not None and lie.grown == 3.0 and lie.share == 1.0
    loose = lie_of(low, SHAPE, (3.0, 0.0, -3.0))
    assert loose is None or loose.share < 1.0


def test_where_a_notch_lacks_the_rest_is_on_the_line() -> None:
    points = (*PLANK[:4], PLANK[5], *PLANK[6:])
    lie = lie_of(shapely.Polygon(there(points, 20.0)), SHAPE)
    assert lie is not None and 0.8 < lie.share < 0.97
    assert lie.turn == pytest.approx(20.0, abs=0.01) and lie.scale == 1.0


def test_another_shape_lies_nowhere() -> None:
    assert lie_of(shapely.Point(0, 0).buffer(200), SHAPE) is None
    assert lie_of(shapely.Polygon(GAUGE), SHAPE) is None


def test_a_part_as_it_is_has_nothing_told() -> None:
    found = looked(shut(there(PLANK, 33.0, shift=(70.0, 80.0))))
    assert told(found) == {} and found.job == "Steps"
    (part,) = found.laid
    assert (part.name, part.handle, part.mirrored, part.grown) == ("plank", "1", False, 0.0)
    assert part.at == pytest.approx((70.0, 80.0), abs=0.01), "its box's lower left corner"
    assert part.throats == ((2, pytest.approx(90.0, abs=0.01), 90.0), (1, pytest.approx(120.0, abs=0.01), 120.0))


def test_a_mirror_image_is_told_and_spoils_what_has_a_face() -> None:
    mirrored = shut(there(PLANK, mirror=-1))
    assert {k: f.severity for k, f in told(looked(mirrored)).items()} == {"mirrored": "told"}
    assert {k: f.severity for k, f in told(looked(mirrored, held=job(wanted(has_face=True)))).items()} == {
        "mirrored-face": "spoils"
    }
    # Of a pair the hand that needs no mirror is meant.
    other = wanted(tuple(there(PLANK, mirror=-1))[::-1], "other", notches=())
    found = looked(mirrored, held=job(wanted(), other))
    assert told(found) == {} and found.laid[0].name == "other"


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (25.4, "25.4 times too large"),
        (0.1, "10 times too small"),
        (1.02, "1.02 times"),
        (1.5, "1.5 times"),
        (1.0003, "1.0003 times"),
        (1.0001, None),
    ],
)
def test_a_size_is_told(size: float, words: str | None) -> None:
    found = told(looked(shut(there(PLANK, size=size))), "units-at-odds", "far-from-origin")
    assert set(found) == ({"scaled"} if words else set())
    if words:
        assert words in found["scaled"].words and found["scaled"].severity == "spoils"


#: A unit that a file is read in, its millimetres, and the one that its coordinates are in, by millimetres and name.
UNITS = (
    ("mm", 1.0, 25.4, "inches"),
    ("in", 25.4, 1.0, "millimetres"),
    ("ft", 304.8, 25.4, "inches"),
    ("cm", 10.0, 1.0, "millimetres"),
)


@pytest.mark.parametrize(("unit", "per", "true", "name"), UNITS[:2])
def test_a_unit_that_was_guessed_wrong_is_what_the_job_s_parts_say(
    unit: str, per: float, true: float, name: str
) -> None:
    """The file's numbers are the part's in the other unit: no other size."""
    size = per / true
    board = shut(there(((-400.0, -30.0), (1300.0, -30.0), (1300.0, 630.0), (-400.0, 630.0)), size=size), "STOCK")
    items = (board, shut(there(PLANK, 20.0, size=size, shift=(200.0 * size, 0.0))))
    found = looked(*items, per_unit=per, guessed=True, version="R12", unit="")
    (part,) = found.laid
    assert part.scale == 1 and part.deviation < 0.01 and found.seen.per_unit == true
    assert set(told(found)) == {"units-unsaid"}
    assert told(found)["units-unsaid"].words.endswith(name)


def tabbed(points: tuple[Point, ...], gap: float) -> list[tuple[Chain, str, str]]:
    """Planks cut but for two tabs: on the lower long side a third in, and two thirds."""
    (x0, y), (x1, _) = points[:2]
    a, b = x0 + (x1 - x0) / 3, x0 + 2 * (x1 - x0) / 3
    runs = (((b + gap, y), *points[1:], points[0], (a, y)), ((a + gap, y), (b, y)))
    return [item(straight(run, closed=False)) for run in runs]


#: A sheet's cuts: two planks, 7 mm apart or nearer than the tool of 6; one with tabs of 8 mm, whose slot lacks.
BESIDE = {
    up: [shut(each) for each in (PLANK, SLOT)] + [shut(there(each, shift=(0.0, up))) for each in (PLANK, SLOT)]
    for up in (207.0, 205.0)
}
SHEETS = {
    "sound": (BESIDE[207.0], set()),
    "too near": (BESIDE[205.0], {"near-contours"}),
    "tabs, and a slot lacks": (tabbed(PLANK, 8.0), {"tab-gap", "missing-slot"}),
    "a slot twice": ([shut(PLANK), shut(SLOT), shut(SLOT)], {"duplicate"}),
}


@pytest.mark.parametrize(
    ("case", "unit", "per", "true", "name"),
    [(case, *row) for case in SHEETS for row in UNITS if row[0] in ("mm", "in") or case.startswith("tabs")],
)
def test_a_unit_stated_wrong_is_told_once_and_all_else_in_the_one_that_is_true(
    case: str, unit: str, per: float, true: float, name: str
) -> None:
    """Held against the same file with its unit stated right: one finding more, and no other."""
    cuts, kinds = SHEETS[case]
    held = job(wanted(inner=((straight(SLOT, closed=True), False),)))
    items = (shut([(-50.0, -50.0), (1300.0, -50.0), (1300.0, 700.0), (-50.0, 700.0)], "STOCK"), *cuts)
    right = looked(*items, held=held, per_unit=true, unit={1.0: "mm", 25.4: "in"}[true], metric=true == 1)
    assert set(told(right)) == kinds
    drawn = [(replace(c, points=tuple((x * per / true, y * per / true) for x, y in c.points)), *r) for c, *r in items]
    wrong = looked(*drawn, held=held, unit=unit, per_unit=per, metric=true != 1)
    assert dict(wrong.counts) == {**dict(right.counts), "other-unit": 1}
    unit_told, *others = wrong.findings
    assert (unit_told.kind, unit_told.severity, unit_told.hit.at) == ("other-unit", "spoils", None)
    assert f"coordinates are in {name}; what is stated is " in unit_told.words
    assert "cutpath repair --units" in unit_told.way_out
    assert wrong.seen.unit == unit and wrong.seen.per_unit == true
    assert [part.scale for part in wrong.laid] == [1.0] * len(right.laid) != []
    assert [f.words for f in others] == [f.words for f in right.findings]


def test_parts_of_two_units_and_sizes_that_no_unit_gives_are_told_as_sizes() -> None:
    two = (shut(PLANK), shut(there(PLANK, size=25.4, shift=(0.0, 900.0))))
    for items, per, unit in ((two, 1.0, "mm"), (two, 25.4, "in"), ([shut(there(PLANK, size=1.02))], 1.0, "mm")):
        found = looked(*items, per_unit=per, unit=unit)
        assert "scaled" in told(found) and "other-unit" not in told(found) and found.seen.per_unit == per
    # In another unit, and drawn a little too large besides: both.
    off = looked(shut(there(PLANK, size=25.4 * 1.003)), per_unit=25.4, unit="in")
    assert set(told(off)) == {"other-unit", "scaled"} and "1.003 times" in told(off)["scaled"].words


def test_a_guessed_unit_stays_where_no_other_one_is_right() -> None:
    # Twice its size; inches of inches; two parts of two sizes.
    twice = there(PLANK, size=2.0)
    tiny = there(PLANK, size=1 / 25.4)
    for items, per in (([twice], 1.0), ([tiny], 25.4), ([PLANK, there(PLANK, size=25.4, shift=(0.0, 900.0))], 25.4)):
        found = looked(*(shut(each) for each in items), per_unit=per, guessed=True, unit="")
        assert "scaled" in told(found) and found.seen.per_unit == per


@pytest.mark.parametrize(("path", "stock"), [("design", False), ("design", True), ("centre", False), ("centre", True)])
@pytest.mark.parametrize("grown", [0.0, 3.0, -3.0])
def test_compensation_that_lacks_or_is_too_much_is_told(path: str, stock: bool, grown: float) -> None:
    """A board's file of a job that asks for the centre line has that; any other file the design's."""
    line = SHAPE.buffer(grown, join_style="mitre") if grown else SHAPE
    drawn = [(x + 50.0, y + 40.0) for x, y in list(line.exterior.coords)[:-1]]
    layer = "CUT" if stock else "PART"
    items = [shut(drawn, layer)]
    if stock:
        items.append(shut([(0.0, 0.0), (2000.0, 0.0), (2000.0, 400.0), (0.0, 400.0)], "STOCK"))
    found = told(looked(*items, held=job(path=path)))
    meant = 3.0 if path == "centre" and stock else 0.0
    kinds = {0.0: "uncompensated", 3.0: "compensated", -3.0: "compensated-inside"}
    wrong = set(found) & set(kinds.values())
    assert wrong == (set() if grown == meant else {kinds[grown]})
    if wrong and grown:
        assert "3.00 mm" in found[kinds[grown]].words and found[kinds[grown]].hit.size == 3.0


@pytest.mark.parametrize(
    ("off", "kind"), [(0.02, None), (0.03, "small-deviation"), (0.49, "small-deviation"), (0.52, "deviation")]
)
def test_an_outline_off_the_design_is_told_by_how_much(off: float, kind: str | None) -> None:
    found = told(looked(shut([(0.0, 0.0), (500.0, -off), *PLANK[1:]])))
    assert set(found) == ({kind} if kind else set())
    if kind:
        hit = found[kind].hit
        assert hit.size == pytest.approx(off, abs=6e-3) and hit.at == pytest.approx((500.0, -off), abs=1.0)
        assert (hit.handle, hit.layer) == ("1", "PART") and f"{hit.size:.2f} mm" in found[kind].words


def test_what_differs_is_told_where_it_is_in_the_file() -> None:
    held = job(wanted(holes=(Hole((800.0, 80.0), 12.0, "bolt"),)))

    def of(centre: Point, diameter: float) -> dict[str, Finding]:
        hole = item(circle(there((centre,), 90.0)[0], diameter / 2), "DRILL", "CIRCLE")
        return told(looked(shut(there(PLANK, 90.0)), hole, held=held))

    assert of((800.0, 80.0), 12.0) == {}
    moved = of((800.0, 81.0), 12.0)
    assert set(moved) == {"hole-moved"} and moved["hole-moved"].words.endswith("bolt, 1.00 mm")
    assert moved["hole-moved"].hit.at == pytest.approx((-81.0, 800.0), abs=0.02)
    assert of((800.0, 80.0), 13.0)["hole-size"].words.endswith("bolt 13.00 mm wide")
    both = of((800.0, 40.0), 12.0)
    assert set(both) == {"missing-hole", "extra-hole"}
    assert both["missing-hole"].words.endswith("bolt 12.00 mm wide") and both["extra-hole"].words.endswith(
        ": 12.00 mm wide"
    )
    lacks = told(looked(shut([*PLANK[:4], *PLANK[5:]])))
    assert lacks["missing-notch"].words == "the notch of tread 1 is missing"


@pytest.mark.parametrize(("least", "thin"), [(90.03, True), (90.02, False), (120.03, True)])
def test_a_throat_under_the_least_is_told_the_least_of_all(least: float, thin: bool) -> None:
    found = told(looked(shut(PLANK), held=job(least=least)))
    assert set(found) == ({"thin-throat"} if thin else set())
    if thin:
        assert found["thin-throat"].hit.at == pytest.approx(CORNERS[0], abs=0.01)
        assert "90.00 mm behind the notch of tread 2" in found["thin-throat"].words
        assert f"under the {least:.2f} mm" in found["thin-throat"].words


def test_small_parts_are_known_in_their_own_size_alone() -> None:
    held = job(wanted(), wanted(GAUGE, "gauge", small=True))
    found = looked(shut(PLANK), shut(there(GAUGE, 12.0, shift=(0.0, -300.0))), held=held)
    assert told(found) == {} and [p.name for p in found.laid] == ["plank", "gauge"]
    found = looked(shut(PLANK), shut(there(GAUGE, 12.0, size=1.1, shift=(0.0, -300.0))), held=held)
    assert told(found) == {} and [p.name for p in found.laid] == ["plank"]
    found = looked(shut(there(GAUGE, 12.0, size=25.4)), held=held)
    assert [p.name for p in found.laid] == ["gauge"]


def test_what_is_none_of_the_parts_is_told_where_it_is_as_large_as_one() -> None:
    assert set(told(looked(shut(((0.0, 0.0), (300.0, 0.0), (0.0, 300.0)))))) == {"no-part"}
    for side, kinds in ((190.0, {"not-a-part"}), (170.0, set())):
        # A fifth of the plank's 179800 square millimetres.
        found = told(
            looked(shut(PLANK), shut(there(((0.0, 0.0), (side, 0.0), (side, side), (0.0, side)), shift=(0.0, -400.0))))
        )
        assert set(found) == kinds, SHAPE.area
        if kinds:
            assert found["not-a-part"].hit.handle == "2" and found["not-a-part"].severity == "told"
            x, y = found["not-a-part"].hit.at or (0.0, 0.0)
            assert 0 < x < side and -400 < y < side - 400


def test_a_board_that_open_cuts_part_has_pieces() -> None:
    """Two cuts across and the upper edge's: the piece between them is the plank, whose lower edge is the board's."""
    board = shut([(-200.0, 0.0), (1300.0, 0.0), (1300.0, 200.0), (-200.0, 200.0)], "STOCK")
    ends = (
        straight(((1000.0, -5.0), (1000.0, 205.0)), closed=False),
        straight(((0.0, -5.0), (0.0, 160.0), (230.0, 200.0), (232.0, 205.0)), closed=False),
    )
    notches = tuple(straight((PLANK[k - 1], PLANK[k], PLANK[k + 1]), closed=False) for k in (4, 7))
    found = looked(board, *(item(c, "CUT") for c in (*ends, *notches)), held=job(wanted(keeps_edge=True)))
    (part,) = found.laid
    assert part.deviation < 0.01 and part.name == "plank"
    assert not set(told(found)) & {"not-a-part", "no-part", "missing-notch", "deviation"}


def open_by(gap: float, *, broken: bool = False) -> list[tuple[Chain, str, str]]:
    """The plank's outline with a gap in its lower edge, in one line or in two that lack as much at the other end."""
    start, end = (500.0 + gap / 2, 0.0), (500.0 - gap / 2, 0.0)
    line = [start, *PLANK[1:], PLANK[0], end]
    if not broken:
        return [item(straight(tuple(line), closed=False))]
    corner = PLANK[4]
    at = line.index(corner)
    other = (corner[0], corner[1] + gap)
    return [item(straight(part, closed=False)) for part in ((*line[: at + 1],), (other, *line[at + 1 :]))]


@pytest.mark.parametrize("broken", [False, True], ids=["one line", "two lines"])
@pytest.mark.parametrize("gap", [0.0002, 0.005, 0.015, 0.3, 1.9])
def test_an_outline_open_by_a_slip_is_told_as_open_and_held_all_the_same(gap: float, broken: bool) -> None:
    found = looked(*open_by(gap, broken=broken))
    # Ends of two lines within 0.01 mm are one; a single line's are open.
    joined = broken and gap < 0.01
    kinds = {"deviation", "small-deviation"} if broken else set()
    assert set(told(found)) - kinds == (set() if joined else {"open-contour"})
    (part,) = found.laid
    assert part.deviation <= gap + 0.01


@pytest.mark.parametrize("gap", [10.0, 55.0])
def test_so_is_one_with_a_single_gap_as_wide_as_a_tab(gap: float) -> None:
    found = looked(*open_by(gap))
    assert set(told(found)) == {"open-contour"}
    assert [round(part.deviation, 2) for part in found.laid] == [0.0]


def test_of_what_stays_open_it_is_said_that_it_was_not_held() -> None:
    (none,) = (f for f in looked(*open_by(70.0)).findings if f.kind == "no-part")
    assert "close them first" in none.words
    (none,) = (f for f in looked(shut(GAUGE)).findings if f.kind == "no-part")
    assert "close" not in none.words


def test_a_slot_open_by_a_slip_is_no_missing_one() -> None:
    slot = ((100.0, 40.0), (180.0, 40.0), (180.0, 70.0), (100.0, 70.0))
    held = job(wanted(inner=((straight(slot, closed=True), False),)))
    lines = [item(straight((*slot, (100.0, 40.0 + gap)), closed=False)) for gap in (0.0, 0.005, 0.4)]
    for line in lines:
        assert set(told(looked(shut(PLANK), line, held=held))) <= {"open-contour", "small-inner-shape"}


STOCK = shut([(-50.0, -30.0), (1300.0, -30.0), (1300.0, 230.0), (-50.0, 230.0)], "STOCK")


@pytest.mark.parametrize(
    ("shift", "turn", "off"),
    [
        ((0.0, 0.0), 0.0, None),
        # The corner that stands highest is 200 up, that farthest right 1000 out.
        ((0.0, 30.4), 0.0, None),
        ((0.0, 30.6), 0.0, 0.6),
        ((400.0, 0.0), 0.0, 100.0),
        ((0.0, -600.0), 0.0, 570.0),
        ((0.0, 600.0), 0.0, 570.0),
        ((1000.0, 200.0), 180.0, None),
        ((0.0, 0.0), 90.0, math.hypot(150.0, 770.0)),
    ],
    ids=["on it", "past it by a hair", "by a little", "half beside its end", "below", "above", "turned", "upright"],
)
def test_a_part_off_the_board_is_told_by_how_much(shift: Point, turn: float, off: float | None) -> None:
    found = looked(STOCK, shut(there(PLANK, turn, shift=shift)))
    assert set(told(found)) == (set() if off is None else {"off-board"}) and found.spoils == (off is not None)
    if off is not None:
        one = told(found)["off-board"]
        assert one.hit.size == pytest.approx(off, abs=0.02) and f"{one.hit.size:.2f} mm" in one.words
        assert one.hit.handle == "2" and one.hit.at is not None
        x, y = one.hit.at
        beside = math.hypot(max(-50.0 - x, x - 1300.0, 0.0), max(-30.0 - y, y - 230.0, 0.0))
        assert beside == pytest.approx(off, abs=0.02), "there"


def test_the_tool_s_line_may_run_off_the_board_and_the_design_in_any_size() -> None:
    outside = list(SHAPE.buffer(40.0, join_style="mitre").exterior.coords)[:-1]
    assert "off-board" not in told(looked(STOCK, shut(outside), held=job(path="centre", width=80.0)))
    for size in (25.4, 1 / 25.4):
        board = shut(there(((-50.0, -30.0), (1300.0, -30.0), (1300.0, 230.0), (-50.0, 230.0)), size=size), "STOCK")
        assert "off-board" not in told(looked(board, shut(there(PLANK, size=size))))
        beside = told(looked(board, shut(there(PLANK, size=size, shift=(0.0, 400.0 * size)))))["off-board"]
        assert beside.hit.size == pytest.approx(370.0, abs=0.02)


def test_parts_in_a_frame_that_is_cut_are_held_and_the_frame_is_told() -> None:
    """As a shop nests anew on a sheet whose edge it draws on a layer that is cut: the parts would be holes of it."""
    held = job(wanted(inner=((straight(SLOT, closed=True), False),)))
    two = [shut(there(each, shift=(20.0, up))) for up in (20.0, 900.0) for each in (PLANK, SLOT)]
    sheet = shut([(0.0, 0.0), (2440.0, 0.0), (2440.0, 1220.0), (0.0, 1220.0)])
    found = looked(sheet, *two, held=held)
    assert set(told(found, "frame", "order")) == {"frame-cut"} and found.spoils
    assert told(found)["frame-cut"].hit.handle == "1" and len(found.laid) == 2
    assert set(told(looked(*two, held=held))) == set()
    # In a frame with nothing of the job's, or in something that is no frame, none is found.
    assert set(told(looked(sheet, shut(there(GAUGE, shift=(20.0, 20.0)))), "frame", "order")) == {"no-part"}
    disc = item(circle((700.0, 600.0), 1400.0))
    assert set(told(looked(disc, *two, held=held), "frame", "order", "units-at-odds")) == {"no-part"}


@pytest.mark.parametrize(
    ("up", "off"), [(-20.0, None), (-25.0, None), (-36.0, 11.0), (300.0, 70.0)],
    ids=["across its edge", "touching it", "below", "above"],
)  # fmt: skip
def test_an_open_cut_beside_the_board_is_told(up: float, off: float | None) -> None:
    line = straight(((1100.0, up - 5.0), (1200.0, up - 5.0), (1200.0, up)), closed=False)
    found = told(looked(STOCK, shut(PLANK), item(line, "CUT")), "open-contour")
    assert set(found) == (set() if off is None else {"off-board"})
    if off is not None:
        assert found["off-board"].hit.size == pytest.approx(off)
        assert found["off-board"].hit.handle == "3"


#: What one set-up cuts of the plank: a stretch of its outline, a hole, a pocket.
STRETCH = (*PLANK[:4], PLANK[4])
RECESS = ((100.0, 50.0), (200.0, 50.0), (200.0, 90.0), (100.0, 90.0))
SET_UP = (
    item(straight(STRETCH[:3], closed=False), "CUT"),
    item(straight(STRETCH[2:], closed=False), "CUT"),
    item(circle((800.0, 80.0), 6.0), "DRILL", "CIRCLE"),
    shut(RECESS, "POCKET"),
    shut([(-50.0, 0.0), (1300.0, 0.0), (1300.0, 200.0), (-50.0, 200.0)], "STOCK"),
)


def job_of_one_set_up() -> OfJob:
    lines = (Operation("outline", 0, straight(STRETCH, closed=False)),)
    hole = (Operation("drill", 0, centre=(800.0, 80.0), diameter=12.0), "")
    pocket = Operation("pocket", 0, straight(RECESS, closed=True))
    program = WantedCuts(0, 1, 2, lines, (pocket,), (hole,), False, (3000.0,))
    stock = SimpleNamespace(length=1300.0, width=200.0, least_width=200.0, kind="board")
    boards = (SimpleNamespace(parts=(SimpleNamespace(name="plank"),), stock=stock),)
    plain = job()
    plan = SimpleNamespace(job=plain.plan.job, layout=SimpleNamespace(boards=boards))
    return OfJob(plan, plain.parts, (program,))  # type: ignore[arg-type]


def test_a_set_up_is_known_by_its_lines_and_held_against_them() -> None:
    held = job_of_one_set_up()
    found = looked(*SET_UP, held=held)
    assert found.followed is not None and found.followed.set_up == 1 and found.laid == () and found.job == "Steps"
    assert not set(told(found)) & set(AGAINST), told(found)
    without = looked(*SET_UP[:2], held=held)
    assert {"missing-hole", "missing-pocket"} <= set(told(without))
    assert looked(shut(PLANK), held=held).followed is None
    # What is no circle is cut on whatever cut layer it lies.
    for layer in ("CUT", "DRILL"):
        more = looked(*SET_UP, shut(((900.0, 50.0), (930.0, 50.0), (930.0, 70.0), (900.0, 70.0)), layer), held=held)
        assert set(told(more)) & set(AGAINST) == {"extra-cut"} and told(more)["extra-cut"].hit.handle == "6"


def test_a_file_of_which_nothing_is_held_says_so() -> None:
    text = inspect_text(looked(shut(GAUGE)))
    assert "against Steps: no part was held against it" in text.splitlines()
    assert "against Steps:" in inspect_text(looked(shut(PLANK))).splitlines()
    assert "against Steps:" in inspect_text(looked(*SET_UP, held=job_of_one_set_up())).splitlines()


def test_a_set_up_stated_in_another_unit_is_told_as_that() -> None:
    """Without a note nothing says that it is one: it is known where it lies just as the job has it."""
    held, inches = job_of_one_set_up(), []
    for chain, layer, kind in SET_UP:
        inches.append((replace(chain, points=tuple((x / 25.4, y / 25.4) for x, y in chain.points)), layer, kind))
    for texts in ((), ("set-up 1 of 2",)):
        found = looked(*inches, held=held, texts=texts)
        assert found.followed is not None and found.followed.where == "" and "set-up-end" in told(found)
        assert set(told(found)) & set(AGAINST) == {"other-unit"}
        assert set(told(found)) == {*told(looked(*SET_UP, held=held, texts=texts)), "other-unit"}


def test_of_two_parts_the_one_whose_own_line_it_is_wins() -> None:
    """One plank is the other with a tool's radius on all sides."""
    large = tuple(SHAPE.buffer(3.0, join_style="mitre").exterior.coords)[:-1]
    both = (wanted(notches=()), wanted(large if shapely.LinearRing(large).is_ccw else large[::-1], "large", notches=()))
    for parts in (both, both[::-1]):
        found = looked(shut(large), held=job(*parts))
        assert found.laid[0].name == "large" and told(found) == {}
    beam = SHAPE.buffer(0.5, join_style="mitre")
    found = looked(shut(list(beam.exterior.coords)[:-1]), held=job(width=1.0))
    assert "compensated" in told(found)


def test_a_part_s_place_is_its_box_s_lower_left_corner() -> None:
    there_ = tuple((x + 10.0, y + 25.0) for x, y in PLANK)
    found = looked(shut(there_), held=job(wanted(there_, notches=())))
    assert found.laid[0].at == pytest.approx((10.0, 25.0), abs=0.01)


def test_what_spoils_a_cut_comes_first_and_the_least_part_measures_strangers() -> None:
    found = looked(shut(there(PLANK, mirror=-1)), held=job(least=150.0))
    assert [f.kind for f in found.findings] == ["thin-throat", "mirrored"]
    held = job(wanted(), wanted(GAUGE, "gauge", small=True))
    stranger = shut(((0.0, -700.0), (60.0, -700.0), (0.0, -640.0)))
    found = looked(shut(PLANK), shut(there(GAUGE, shift=(0.0, -300.0))), stranger, held=held)
    assert set(told(found)) == {"not-a-part"}


def test_a_part_in_a_window_is_one_and_a_window_is_none() -> None:
    frame, window = [(-300.0, -300.0), (1300.0, -300.0), (1300.0, 500.0), (-300.0, 500.0)], [
        (-200.0, -200.0), (1200.0, -200.0), (1200.0, 400.0), (-200.0, 400.0)]  # fmt: skip
    found = looked(shut(frame), shut(window), shut(PLANK))
    assert [p.handle for p in found.laid] == ["3"]
    assert set(told(looked(shut(frame), shut(PLANK)))) == {"frame-cut"}, "which would make a hole of it"


def test_slots_pockets_and_holes_are_told_apart() -> None:
    slot, pocket = (
        ((100.0, 40.0), (160.0, 40.0), (160.0, 60.0), (100.0, 60.0)),
        ((700.0, 40.0), (780.0, 40.0), (780.0, 70.0), (700.0, 70.0)),
    )
    inner = ((straight(slot, closed=True), False), (straight(pocket, closed=True), True))
    held = job(wanted(inner=inner, holes=(Hole((900.0, 80.0), 12.0, "bolt"),)))
    hole = item(circle((900.0, 80.0), 6.0), "DRILL", "CIRCLE")
    items = (shut(PLANK), shut(slot), shut(pocket, "POCKET"), hole)
    assert told(looked(*items, held=held)) == {}
    assert set(told(looked(*items[:2], items[3], held=held))) == {"missing-pocket"}
    assert set(told(looked(*items[:2], shut(pocket), items[3], held=held))) == {"pocket-through"}
    # A lens of two arcs is no round hole.
    for bulges in ((1.0, 0.9), (0.95, 0.95)):
        lens = item(Chain(((840.0, 120.0), (850.0, 120.0)), bulges, True))
        assert set(told(looked(*items, lens, held=held))) == {"extra-slot"}
    # What lies beside a part is none of its holes.
    assert set(told(looked(*items[:3], item(circle((900.0, -80.0), 6.0), "DRILL", "CIRCLE"), held=held))) == {
        "missing-hole"
    }


def test_a_centre_line_that_runs_to_the_board_s_edges_is_held_by_what_it_leaves() -> None:
    board = [(-200.0, 0.0), (1300.0, 0.0), (1300.0, 200.0), (-200.0, 200.0)]
    ring = shapely.LineString(SHAPE.buffer(3.0, join_style="mitre").exterior.coords)
    runs = shapely.line_merge(ring.intersection(shapely.box(-500, 0, 1500, 200).buffer(-1e-9)))
    waste = straight(((1200.0, 0.0), (1200.0, 200.0)), closed=False)
    cuts = [straight(tuple(part.coords), closed=False) for part in shapely.get_parts(runs)]
    cuts = [Chain(tuple((x, round(y, 6)) for x, y in c.points), c.bulges, False) for c in cuts]
    held = job(wanted(keeps_edge=True), path="centre")
    found = looked(shut(board, "STOCK"), item(waste, "CUT"), *(item(c, "CUT") for c in cuts), held=held)
    (part,) = found.laid
    assert part.name == "plank" and part.grown == 3.0 and part.deviation < 3.0 and part.handle not in ("1", "2")
    assert not set(told(found)) & {"uncompensated", "compensated", "missing-notch", "not-a-part"}


#: Closed contours with nothing in them: a line drawn twice, joined at both ends, is the plainest.
NO_INSIDE = {
    "a line twice": [((100.0, 50.0), (200.0, 50.0)), ((200.0, 50.0), (100.0, 50.0))],
    "two points": [((100.0, 50.0), (200.0, 50.0))],
    "flat": [((100.0, 50.0), (150.0, 50.0), (200.0, 50.0))],
    "a bow tie": [((100.0, 50.0), (200.0, 50.0), (100.0, 90.0), (200.0, 90.0))],
}


@pytest.mark.parametrize("layer", ["PART", "CUT", "DRILL", "POCKET", "MARK", "STOCK", "NOTE"])
@pytest.mark.parametrize("name", NO_INSIDE)
def test_a_contour_with_nothing_in_it_changes_nothing_else(name: str, layer: str) -> None:
    lines = NO_INSIDE[name]
    odd = [item(straight(points, closed=len(lines) == 1), layer, "LINE") for points in lines]
    found = looked(shut(PLANK), *odd)
    (part,) = found.laid
    assert part.name == "plank" and part.deviation < 1e-6
    assert not set(told(found)) & set(AGAINST)
    assert [p.name for p in looked(*odd, shut(PLANK)).laid] == ["plank"]
    assert looked(*odd).laid == ()
    held = job_of_one_set_up()
    found = looked(*SET_UP, *odd, held=held, texts=("set-up 1 of 2",))
    assert found.followed is not None and found.followed.parts[0].deviation < 1e-6
    assert set(told(found)) & set(AGAINST) <= {"extra-cut"}


def test_a_stranger_beside_a_part_is_told_though_one_cut_bounds_both() -> None:
    """A cut parts a board into the part and what is left, in which another outline lies."""
    block = ((0.0, 0.0), (1000.0, 0.0), (880.0, 200.0), (0.0, 200.0))
    board = shut([(0.0, 0.0), (1600.0, 0.0), (1600.0, 200.0), (0.0, 200.0)], "STOCK")
    cut = item(straight((block[1], block[2]), closed=False), "CUT")
    held = job(wanted(block, keeps_edge=True, notches=()))
    # A fifth of 188000 square millimetres is a square of 194 mm. In the part it is no part, but a slot.
    strangers = [there(((0.0, 0.0), (s, 0.0), (s, s), (0.0, s)), shift=(x, 1.0))
                 for s, x in ((190.0, 1050.0), (198.0, 1300.0), (198.0, 300.0))]  # fmt: skip
    found = looked(board, cut, *(shut(points, "CUT") for points in strangers), held=held)
    assert [p.name for p in found.laid] == ["plank"]
    assert [f.hit.handle for f in found.findings if f.kind == "not-a-part"] == ["4"]
    assert [f.hit.handle for f in found.findings if f.kind == "extra-slot"] == ["2"], "of the piece that the cut bounds"


@st.composite
def tangles(draw: st.DrawFn) -> list[tuple[Chain, str, str]]:
    """Lines, arcs and contours between few places: on each other, there and back, nearer than ends are joined."""
    step = draw(st.sampled_from([0.005, 0.01, 1.0, 50.0]))
    places = st.tuples(*[st.integers(0, 4).map(lambda k: k * step)] * 2)
    found = []
    for _ in range(draw(st.integers(1, 6))):
        points = draw(st.lists(places, min_size=2, max_size=5))
        closed = draw(st.booleans())
        bulges = [draw(st.sampled_from([0.0, 0.0, 1.0, -1.0, 0.5])) for _ in points]
        # As a file is read: an open chain ends, and an arc that ends where it starts is none.
        chain = without_empty_arcs(Chain(tuple(points), (*bulges[:-1], bulges[-1] if closed else 0.0), closed))
        layer = draw(st.sampled_from(["PART", "CUT", "DRILL", "POCKET", "MARK", "TAB", "STOCK"]))
        found.append(item(chain, layer, draw(st.sampled_from(["LINE", "LWPOLYLINE"]))))
    return found


@settings(max_examples=15)
@given(tangles(), st.sampled_from(["", "set-up 1 of 2", "parts that share a cut"]), st.booleans())
def test_whatever_lines_there_are_something_is_told(
    lines: list[tuple[Chain, str, str]], text: str, whole: bool
) -> None:
    held = job(wanted(GAUGE, "gauge", small=True))
    for items, against in (
        (([*lines], held), ([*SET_UP, *lines], job_of_one_set_up())) if whole else (([*lines], held),)
    ):
        for finding in looked(*items, held=against, texts=(text,)).findings:
            assert finding.words and "nan" not in finding.words
            assert finding.hit.at is None or all(map(math.isfinite, finding.hit.at))

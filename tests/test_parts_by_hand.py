"""The parts that a drawing of a few lines has: which outlines, what lies in each, what cuts part a board into."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from cutpath.inspect.against import drawn
from cutpath.inspect.against.closing import slips_closed
from cutpath.inspect.against.drawn import circles_of, drawn_parts, pockets_of
from cutpath.inspect.against.program import FileLines, file_lines
from cutpath.inspect.against.values import Drawn
from cutpath.inspect.contours import enclosed
from cutpath.inspect.find.ends import bare_pairs
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, LayerSeen, Seen
from cutpath.job.values import Layers
from cutpath.outline import Chain, Point, circle, straight
from cutpath.tolerances import ARC_CHORD

#: A chain and its layer.
Item = tuple[Chain, str]


def look(*items: Item) -> Looked:
    """Items have the handles "1", "2" and on."""
    elements = tuple(
        Element(str(k), "LWPOLYLINE", layer, "model", chain, chain.points[0])
        for k, (chain, layer) in enumerate(items, 1)
    )
    layers = tuple(LayerSeen(name, frozen=False, off=False) for name in dict.fromkeys(layer for _, layer in items))
    seen = Seen(
        "x.dxf", "R2000", items=elements, layers=layers, unit="mm", per_unit=1.0, guessed=False, metric=True, texts=()
    )
    return Looked(seen, roles_of(seen, Layers(), of_job=True), Layers())


def parts(*items: Item) -> tuple[Drawn, ...]:
    return drawn_parts(look(*items))[0]


def box(x: float, y: float, wide: float, high: float, layer: str = "PART") -> Item:
    return shut((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), layer=layer)


def shut(*points: Point, layer: str = "PART") -> Item:
    return straight(points, closed=True), layer


def run(*points: Point, layer: str = "CUT") -> Item:
    return straight(points, closed=False), layer


def disc(x: float, y: float, radius: float, layer: str = "DRILL") -> Item:
    return circle((x, y), radius), layer


def area(*of: Drawn) -> list[float]:
    return [each.outline.area for each in of]


def inner(of: Drawn) -> list[tuple[float, bool]]:
    return sorted((round(polygon.area, 6), pocket) for polygon, pocket in of.inner)


@pytest.mark.parametrize(
    ("long", "finer"),
    [(399.8, 25.4), (400.2, 1.0), (1500.0, 1.0), (100.0, 25.4)],
    ids=["399.8", "400.2", "1500", "100"],
)
@pytest.mark.parametrize("at", [(0.0, 5000.0), (5000.0, 0.0), (-5000.0, -5000.0)], ids=["above", "right", "left below"])
@pytest.mark.parametrize("tall", [False, True], ids=["wide", "tall"])
def test_what_may_be_drawn_in_inches_is_as_exact_once_it_is_its_size(
    long: float, finer: float, at: Point, tall: bool
) -> None:
    """A half disc: its chords take two thirds of how far they stand off the arc, times the arc's length."""
    x, y = at
    ends = ((x, y), (x, y + long)) if tall else ((x + long, y), (x, y))
    bow = Chain(ends, (-1.0 if tall else 1.0, 0.0), True)
    radius = long / 2
    (part,) = parts((bow, "PART"))
    lacks = math.pi * radius**2 / 2 - part.outline.area
    assert lacks / (2 / 3 * math.pi * radius) == pytest.approx(ARC_CHORD / finer, rel=0.04)
    # A board's piece likewise, its cut from edge to edge.
    cut = Chain(ends, (bow.bulges[0], 0.0), False)
    board = box(x - 3000, y, 6000, 3000, "STOCK") if not tall else box(x - 3000, y - 1000, 3000, 5000, "STOCK")
    *_, piece = sorted(parts((cut, "CUT"), board), key=lambda each: -each.outline.area)
    lacks = math.pi * radius**2 / 2 - piece.outline.area
    assert lacks / (2 / 3 * math.pi * radius) == pytest.approx(ARC_CHORD / finer, rel=0.04)


@pytest.mark.parametrize(
    "points",
    [
        ((0.0, 0.0), (100.0, 0.0)),
        ((0.0, 0.0), (50.0, 0.0), (100.0, 0.0)),
        ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (100.0, 100.0)),
        # Its area is under the least number that there is.
        ((0.0, 0.0), (0.02, 0.0), (0.01, 5e-324)),
    ],
    ids=["there and back", "flat", "crossing itself", "nothing"],
)
def test_what_has_no_inside_is_no_part(points: tuple[Point, ...]) -> None:
    assert enclosed(straight(points, closed=True)) is None
    assert parts(shut(*points)) == ()
    (plate,) = parts(box(-500, -500, 2000, 2000), shut(*points), shut(*points, layer="POCKET"))
    assert plate.inner == () and plate.circles == ()
    assert pockets_of(look(shut(*points, layer="POCKET"))) == []
    board = look(shut(*points, layer="STOCK"), box(0, 0, 10, 10, "CUT")).board
    assert board is None


def test_what_has_an_inside_is_as_large_as_it() -> None:
    found = enclosed(straight(((0.0, 0.0), (3.0, 0.0), (0.0, 4.0)), closed=True))
    assert found is not None and found.area == 6.0
    # A hole of half an inch, read as half a millimetre, is one.
    (part,) = parts(box(0, 0, 40, 8), disc(5, 5, 0.25), box(20, 2, 0.5, 0.5), box(30, 2, 0.5, 0.5, "POCKET"))
    assert [r for _, r in part.circles] == [0.25] and inner(part) == [(0.25, False), (0.25, True)]


def test_which_set_up_a_file_says_it_is() -> None:
    bare = look().seen
    both = ("Units: inches.", "Set-up 2 of 3, board 14 of 15: 2x12.", "Set-up 1 of 3, board 13 of 15")
    for texts, says, every in (
        (both, (14, 2), [(13, 1), (14, 2)]),
        # The same once, however often it is said; another of the same board by itself.
        ((*both[:2], *both[:2], "Set-up 1 of 3, board 14 of 15"), (14, 2), [(14, 1), (14, 2)]),
        (("Set-up 2 of 3: 2x12.", "board 14 of 15"), None, []),
        ((), None, []),
    ):
        found = Looked(replace(bare, texts=texts), (), Layers())
        assert found.says == says and found.all_said == every, texts


def test_parts_come_largest_first_with_their_first_line() -> None:
    found = parts(box(0, 0, 30, 20), box(100, 0, 50, 20, "CUT"), box(200, 0, 40, 20))
    assert area(*found) == [1000.0, 800.0, 600.0]
    assert [(d.handle, d.layer, d.edge, d.runs) for d in found] == [
        ("2", "CUT", None, None),
        ("3", "PART", None, None),
        ("1", "PART", None, None),
    ]
    # Joined of two lines.
    (part,) = parts(run((0.0, 0.0), (90.0, 0.0), (90.0, 30.0)), run((90.0, 30.0), (0.0, 30.0), (0.0, 0.0)))
    assert part.handle == "1" and part.outline.area == 2700.0


def test_only_so_many_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawn, "MOST_PARTS", 20)
    boxes = [box(100.0 * k, 0, 50, 20 + k) for k in range(23)]
    found, left = drawn_parts(look(*boxes))
    assert len(found) == 20 and area(*found) == [50.0 * (20 + k) for k in range(22, 2, -1)]
    assert left == (50.0 * 22, 50.0 * 21, 50.0 * 20)
    # Pieces of a board likewise.
    cuts = [run((30.0 * k * (k + 30), -5.0), (30.0 * k * (k + 30), 205.0)) for k in range(1, 23)]
    found, left = drawn_parts(look(*cuts, box(0, 0, 30 * 23 * 53, 200, "STOCK")))
    assert len(found) == 20
    assert area(*found) == pytest.approx([200 * 30 * (2 * k + 31) for k in range(22, 2, -1)])
    assert left == pytest.approx([200 * 30 * (2 * k + 31) for k in range(2, -1, -1)])


def test_what_lies_in_what() -> None:
    """A plate with a slot, in that another plate, in that a window and a hole."""
    items = [
        box(0, 0, 1000, 400),
        box(50, 50, 600, 300),
        box(100, 100, 400, 200),
        box(150, 150, 100, 100),
        disc(400, 200, 10),
        disc(800, 200, 20),
        disc(600, 200, 15),
    ]
    for rows in (items, items[::-1]):
        plate, other = parts(*rows)
        assert area(plate, other) == [400_000.0, 80_000.0]
        assert inner(plate) == [(180_000.0, False)] and inner(other) == [(10_000.0, False)]
        # What lies in the slot is none of the plate's.
        assert plate.circles == (((800.0, 200.0), 20.0),) and other.circles == (((400.0, 200.0), 10.0),)
    # A round outline is no part, whatever it lies in.
    assert parts(disc(0, 0, 100, "PART")) == ()
    assert area(*parts(box(0, 0, 300, 300), box(50, 50, 200, 200), disc(150, 150, 40))) == [90_000.0]


@pytest.mark.parametrize(
    ("x", "holds"), [(90.0, True), (97.0, True), (103.0, False), (120.0, False)], ids=["in", "over", "out", "beside"]
)
@pytest.mark.parametrize("first", range(4))
def test_what_runs_over_an_outline_is_in_it_where_its_middle_is(x: float, holds: bool, first: int) -> None:
    """Wherever it begins: the first of its points tells how deep it lies."""
    points = ((x - 8, 40.0), (x + 8, 40.0), (x + 8, 56.0), (x - 8, 56.0))
    slot = shut(*points[first:], *points[:first])
    found = parts(box(0, 0, 100, 100), slot)
    assert inner(found[0]) == ([(256.0, False)] if holds else [])
    assert found[0].outline.area == 10_000.0


def test_an_outline_drawn_twice_is_none_of_its_own_inner_contours() -> None:
    for each in parts(box(0, 0, 300, 200), box(0, 0, 300, 200)):
        assert each.inner == () and each.circles == ()


def test_pockets_are_those_on_their_layer_whichever_way_it_is_written() -> None:
    lines = (
        run((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), layer="pocket"),
        run((30.0, 30.0), (10.0, 10.0), layer="POCKET"),
    )
    items = (
        box(0, 0, 300, 200),
        box(50, 50, 20, 10, "Pocket"),
        *lines,
        run((100.0, 100.0), (120.0, 100.0), (120.0, 130.0), layer="POCKET"),
        box(400, 50, 20, 10, "POCKET"),
        box(80, 50, 20, 10, "MARK"),
    )
    (part,) = parts(*items)
    assert inner(part) == [(200.0, True), (200.0, True)]
    assert [chain.area() for chain in pockets_of(look(*items))] == pytest.approx([200.0, 200.0, 200.0])
    shallow = Chain(((50.0, 60.0), (250.0, 60.0)), (1.0, 0.0), True)
    (part,) = parts(box(0, -100, 300, 300), (shallow, "POCKET"))
    assert part.inner[0][0].area == pytest.approx(math.pi * 100**2 / 2, abs=0.3)


def arcs(*bulges: float, wide: float = 20.0) -> Chain:
    """Two arcs between the ends of a line."""
    return Chain(((100.0, 50.0), (100.0 + wide, 50.0)), bulges, True)


QUARTERS = Chain(
    ((120.0, 50.0), (110.0, 60.0), (100.0, 50.0), (110.0, 40.0)), (math.tan(math.pi / 8),) * 4, closed=True
)
#: Between the middles of two arcs as far as 10 (1 / b - b) / 2 of either comes to.
ROUND = {
    "a circle": circle((110.0, 50.0), 10.0),
    "two halves": arcs(1.0, 1.0),
    "clockwise": arcs(-1.0, -1.0),
    "four quarters": QUARTERS,
    "0.005 apart": arcs(1.0, 0.9995),
    "0.01 apart": arcs(0.9995, 0.9995),
}
NOT_ROUND = {
    "0.03 apart": arcs(1.0, 0.997),
    "0.04 apart": arcs(0.998, 0.998),
    "an egg": arcs(1.0, 0.9),
    "a lens": arcs(0.5, 0.5),
    "half way and back": arcs(1.0, -1.0),
    "twice round": Chain(((120.0, 50.0), (100.0, 50.0)) * 2, (1.0,) * 4, closed=True),
    "a half disc": arcs(1.0, 0.0),
    "a triangle": straight(((100.0, 40.0), (120.0, 40.0), (110.0, 60.0)), closed=True),
}


@pytest.mark.parametrize("name", [*ROUND, *NOT_ROUND])
def test_round_is_what_two_arcs_or_more_run_once_round(name: str) -> None:
    there = look(box(0, 0, 300, 200), ((ROUND | NOT_ROUND)[name], "DRILL"))
    found = circles_of(there)
    assert len(found) == (name in ROUND)
    if name in ROUND:
        centre, radius = found[1]
        assert centre == pytest.approx((110.0, 50.0), abs=0.01) and radius == pytest.approx(10.0, abs=0.01)
        assert drawn_parts(there)[0][0].circles == (found[1],)


@pytest.mark.parametrize(("off", "is_round"), [(0.0095, True), (0.0105, False), (0.0195, False)])
def test_arcs_of_two_radii_are_none_of_one_circle(off: float, is_round: bool) -> None:
    """Half round (0, 0), a quarter round (0, -off), and one round (-off, 0) whose radius is longer by as much."""
    quarter = math.tan(math.pi / 8)
    chain = Chain(((10.0, 0.0), (-10.0, 0.0), (-off, -10.0 - off)), (1.0, quarter, quarter), True)
    assert len(circles_of(look((chain, "DRILL")))) == is_round


def test_circles_are_looked_for_on_cut_layers_alone() -> None:
    items = (disc(10, 10, 3), disc(30, 10, 4, "CUT"), disc(50, 10, 5, "MARK"), run((0.0, 0.0), (500.0, 0.0)))
    assert {k: r for k, (_, r) in circles_of(look(*items[::-1])).items()} == {1: 4.0, 2: 3.0}
    half = Chain(((60.0, 10.0), (40.0, 10.0)), (1.0, 1.0), False)
    assert circles_of(look((half, "DRILL"))) == {}


def test_circles_on_the_layer_of_holes_are_holes_and_all_else_is_a_line() -> None:
    items = (
        disc(10, 10, 3, "drill"),
        disc(30, 10, 4, "CUT"),
        box(50, 5, 10, 10, "DRILL"),
        run((0.0, 50.0), (40.0, 50.0)),
        run((90.0, 70.0), (40.0, 50.0), layer="PART"),
        box(100, 5, 10, 10, "POCKET"),
        disc(70, 10, 5),
        run((200.0, 0.0), (220.0, 0.0), layer="DRILL"),
    )
    there = look(*items)
    found = file_lines(there, circles_of(there), pockets_of(there))
    assert found.holes == (((10.0, 10.0), 3.0), ((70.0, 10.0), 5.0))
    assert [(handle, layer) for _, handle, layer in found.lines] == [
        ("2", "CUT"),
        ("3", "DRILL"),
        ("4", "CUT"),
        ("8", "DRILL"),
    ]
    assert found.lines[2][0].points == ((0.0, 50.0), (40.0, 50.0), (90.0, 70.0)), "joined"
    assert [chain.area() for chain in found.pockets] == [100.0]
    nothing = look(box(0, 0, 1, 1, "NOTE"))
    assert file_lines(nothing, {}, ()) == FileLines((), (), ())


BOARD = box(0, 0, 1000, 200, "STOCK")


def test_cuts_across_a_board_part_it() -> None:
    items = (run((300.0, -5.0), (300.0, 205.0)), run((800.0, -5.0), (800.0, 205.0), layer="PART"), BOARD)
    middle, left, right = parts(*items)
    assert area(middle, left, right) == [100_000.0, 60_000.0, 40_000.0]
    # Of two cuts that bound as much of it the first.
    assert [(d.handle, d.layer) for d in (middle, left, right)] == [("1", "CUT"), ("1", "CUT"), ("2", "PART")]
    for each in (middle, left, right):
        assert each.edge.length == 2400.0 and each.runs.length == 420.0, "as far as they run past it"
        assert each.circles == () and each.inner == ()


@pytest.mark.parametrize("turn", [0.0, 17.0, 90.0, 133.7])
@pytest.mark.parametrize("broken", [False, True], ids=["whole", "broken"])
@pytest.mark.parametrize("past", [5.0, 0.0, -0.004], ids=["past the edge", "to the edge", "a hair before it"])
def test_cuts_part_a_board_however_they_are_drawn(turn: float, broken: bool, past: float) -> None:
    """A cut from edge to edge in one line, or in three whose ends meet within what counts as one: nothing else falls
    to pieces because a turned end lies a hair beside the edge, or an arc's end beside the line that it meets."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def turned(*points: Point) -> tuple[Point, ...]:
        return tuple((x * c - y * s, x * s + y * c) for x, y in points)

    way = [(300.0, -past), (300.0, 80.0), (350.0, 120.0), (350.0, 200.0 + past)]
    lines = [run(*turned(*way))]
    if broken:
        lines = [
            run(*turned(way[0], (300.003, 80.002))),
            run(*turned((350.0, 119.996), (300.0, 80.0))),
            run(*turned(way[2], way[3])),
        ]
    board = straight(turned((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0)), closed=True)
    # The slanted stretch stands for half of its width: 300 * 80 + 325 * 40 + 350 * 80.
    assert area(*parts(*lines, (board, "STOCK"))) == [pytest.approx(135_000, abs=1), pytest.approx(65_000, abs=1)]


def test_tabs_in_cuts_that_were_rounded_part_a_board() -> None:
    """A turned ring in two lines, to three digits: the lines over its tabs run along the cuts but for a hair."""
    for turn in range(0, 360, 7):
        c, s = math.cos(math.radians(turn + 0.4)), math.sin(math.radians(turn + 0.4))

        def turned(*points: Point, c: float = c, s: float = s) -> tuple[Point, ...]:
            return tuple((round(x * c - y * s, 3), round(x * s + y * c, 3)) for x, y in points)

        below = run(*turned((307.0, 150.0), (100.0, 150.0), (100.0, 50.0), (293.0, 50.0)))
        above = run(*turned((307.0, 50.0), (500.0, 50.0), (500.0, 150.0), (321.0, 150.0)))
        board = shut(*turned((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (0.0, 200.0)), layer="STOCK")
        assert area(*parts(below, above, board)) == [pytest.approx(200_000, abs=2), pytest.approx(40_000, abs=1)], turn


def test_a_piece_has_the_handle_of_the_cut_that_bounds_most_of_it() -> None:
    """One cut of three lines, and one of a single line; whichever comes first."""
    stepped = (
        run((400.0, -5.0), (400.0, 60.0)),
        run((400.0, 60.0), (600.0, 60.0), layer="PART"),
        run((600.0, 60.0), (600.0, 205.0)),
    )
    plain = run((100.0, -5.0), (100.0, 205.0))
    for items in ((*stepped, plain, BOARD), (plain, *stepped, BOARD), (BOARD, plain, *stepped[::-1])):
        of = {str(k): item for k, item in enumerate(items, 1)}
        found = sorted(parts(*items), key=lambda each: each.outline.bounds[0])
        assert [of[each.handle] for each in found] == [plain, plain, stepped[1]]
        assert [each.layer for each in found] == ["CUT", "CUT", "PART"]
    # A hair beside the board's end is not the end.
    found = parts(run((1000.02, -5.0), (1000.02, 205.0)), run((500.0, 0.0), (500.0, 200.0)), BOARD)
    assert [each.handle for each in found] == ["2", "2"]


def test_pieces_are_as_their_contours_run_whatever_lies_in_them() -> None:
    """Four cuts that cross: what they leave in the middle, and the board round it without its hole."""
    lines = [
        run((400.0, 20.0), (400.0, 180.0)),
        run((600.0, 20.0), (600.0, 180.0)),
        run((380.0, 50.0), (620.0, 50.0)),
        run((380.0, 150.0), (620.0, 150.0)),
    ]
    whole, middle = parts(*lines, BOARD)
    assert area(whole, middle) == [200_000.0, 20_000.0] and list(whole.outline.interiors) == []
    # The same where there is no board; it has no edge then.
    (alone,) = parts(*lines)
    assert area(alone) == [20_000.0] and (alone.edge, alone.runs, alone.handle) == (None, None, "3")


def test_what_lies_off_the_board_is_no_piece() -> None:
    beside = [
        run((400.0, 100.0), (400.0, 300.0)),
        run((600.0, 100.0), (600.0, 300.0)),
        run((380.0, 120.0), (620.0, 120.0)),
        run((380.0, 280.0), (620.0, 280.0)),
    ]
    whole, part = parts(*beside, BOARD)
    assert area(whole, part) == [184_000.0, 16_000.0]


@pytest.mark.parametrize(
    ("long", "wide", "counts"),
    [(600.0, 20.1, True), (600.0, 19.9, False), (300.0, 0.0314, True), (300.0, 0.0306, False)],
)
def test_slips_are_no_pieces(long: float, wide: float, counts: bool) -> None:
    """Of 500 square millimetres, or of as much in inches that are read as millimetres."""
    board = box(0, 0, 2000, 100, "STOCK")
    cuts = (
        run((0.0, 50.0), (long, 50.0)),
        run((0.0, 50.0 + wide), (25.0, 50.0 + wide)),
        run((25.0, 40.0), (25.0, 55.0 + wide)),
    )
    found = parts(*cuts, board)
    assert (len(found) == 2) == counts
    if counts:
        assert found[1].outline.area == pytest.approx(25.0 * wide, rel=1e-6)


def test_a_line_broken_by_tabs_parts_a_board() -> None:
    """Their gaps are closed in what bounds a piece, and count to how far its cuts run."""
    broken = [run((500.0, low), (500.0, high)) for low, high in ((-5.0, 50.0), (58.0, 140.0), (148.0, 205.0))]
    left, right = parts(*broken, box(0, 0, 900, 200, "STOCK"))
    assert area(left, right) == [100_000.0, 80_000.0] and left.runs.length == 210.0
    assert left.handle == right.handle == "2", "the longest of them"
    (wide,) = parts(run((500.0, -5.0), (500.0, 50.0)), run((500.0, 120.0), (500.0, 205.0)), BOARD)
    assert wide.outline.area == 200_000.0, "no tab is as wide as 70"


def test_what_lies_in_a_piece_lies_in_no_contour_of_it() -> None:
    items = (
        run((600.0, -5.0), (600.0, 205.0)),
        disc(100, 100, 10),
        box(200, 40, 200, 120, "CUT"),
        disc(300, 100, 12),
        disc(700, 100, 14),
        box(450, 50, 60, 30, "POCKET"),
        BOARD,
    )
    left, right, slot = parts(*items)
    assert area(left, right, slot) == [120_000.0, 80_000.0, 24_000.0]
    assert [r for _, r in left.circles] == [10.0] and [r for _, r in right.circles] == [14.0]
    assert inner(left) == [(1800.0, True), (24_000.0, False)] and right.inner == ()
    # The slot might be a part as well; which it is, the job says.
    assert [r for _, r in slot.circles] == [12.0] and slot.edge is None


def test_a_board_without_cuts_has_no_pieces() -> None:
    assert parts(BOARD) == () and circles_of(look(BOARD)) == {}
    assert area(*parts(BOARD, box(100, 50, 300, 100))) == [30_000.0]


def test_the_cut_that_bounds_most_of_a_small_piece_may_be_an_arc() -> None:
    """Half a disc of a radius of 20: 63 of its arc and 40 of a straight, each of which runs on past the other."""
    x, y = 20 * math.cos(0.15), -20 * math.sin(0.15)
    bow = Chain(((x, y), (-x, y)), (math.tan((math.pi + 0.3) / 4), 0.0), False)
    (part,) = parts(run((-30.0, 0.0), (30.0, 0.0)), (bow, "CUT"))
    assert part.outline.area == pytest.approx(200 * math.pi, rel=1e-4) and part.handle == "2"


def slipped(*items: Item) -> list[tuple[Point, Point]]:
    """Where ends are each other's nearest, and beside no tab."""
    return [(one.at, other.at) for one, other in bare_pairs(look(*items))]


@pytest.mark.parametrize(("gap", "is_pair"), [(0.5, True), (2.0, True), (60.0, True), (60.5, False)])
def test_ends_are_a_pair_no_farther_apart_than_a_tab_is_wide(gap: float, is_pair: bool) -> None:
    """In the order of the file."""
    items = run((-200.0, 0.0), (0.0, 0.0)), run((gap, 0.0), (gap + 300.0, 0.0))
    assert slipped(*items) == ([((0.0, 0.0), (gap, 0.0))] if is_pair else [])
    assert slipped(*items[::-1]) == ([((gap, 0.0), (0.0, 0.0))] if is_pair else [])


def test_ends_that_are_not_each_others_nearest_are_no_pair() -> None:
    """Three in a row, 1 and 0.5 apart, whichever comes first."""
    items = [run((-200.0, 0.0), (0.0, 0.0)), run((1.0, 0.0), (1.0, 300.0)), run((1.5, 0.0), (300.0, 0.0))]
    for some in (items, items[::-1], [items[1], items[0], items[2]], [items[0], items[2], items[1]]):
        assert [set(pair) for pair in slipped(*some)] == [{(1.0, 0.0), (1.5, 0.0)}]


def test_an_end_beside_three_that_meet_has_no_pair() -> None:
    """They are told as touching; which of them it belongs to is not known."""
    rays = [run((0.0, 0.0), end) for end in ((-200.0, 0.0), (0.0, 200.0), (0.0, -200.0))]
    for items in ((*rays, run((1.0, 0.0), (200.0, 0.0))), (run((1.0, 0.0), (200.0, 0.0)), *rays)):
        assert slipped(*items) == []


def closed(*items: Item) -> list[Chain | None]:
    return [item.chain for item in slips_closed(look(*items)).seen.items]


@pytest.mark.parametrize(("gap", "is_slip"), [(1.75, True), (2.0, False)])
def test_slips_are_closed_by_straights(gap: float, is_slip: bool) -> None:
    """At either end of a cut, at both, and of one that comes round to itself."""
    bow = Chain(((0.0, 0.0), (100.0, 0.0), (200.0, 0.0)), (0.5, 0.25, 0.0), False)
    onward, before = run((200.0 + gap, 0.0), (500.0, 0.0)), run((-500.0, 0.0), (-gap, 0.0))
    more = (*bow.points, (200.0 + gap, 0.0))
    longer = Chain(more, (0.5, 0.25, 0.0, 0.0), False) if is_slip else bow
    assert closed((bow, "CUT"), onward) == [longer, onward[0]]
    sooner = Chain(((-gap, 0.0), *bow.points), (0.0, 0.5, 0.25, 0.0), False) if is_slip else bow
    assert closed((bow, "CUT"), before) == [sooner, before[0]]
    both = Chain(((-gap, 0.0), *more), (0.0, 0.5, 0.25, 0.0, 0.0), False) if is_slip else bow
    assert closed((bow, "CUT"), before, onward) == [both, before[0], onward[0]]
    points = ((0.0, gap), (0.0, 200.0), (300.0, 200.0), (300.0, 0.0), (0.0, 0.0))
    loop = Chain(points, (0.0, 0.0, 0.25, 0.0, 0.0), False)
    assert closed((loop, "CUT")) == [Chain(points, (0.0, 0.0, 0.25, 0.0, 0.0), True) if is_slip else loop]

"""Which part an outline is taken for, and what is told of it: how it lies, and what differs, are given by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from msgspec.structs import replace
from shapely.affinity import scale as scaled
from shapely.affinity import translate

from cutpath.design.throat import NotchThroat
from cutpath.inspect.against import whole
from cutpath.inspect.against.compare import Difference, HeldAgainst
from cutpath.inspect.against.of_job import OfJob
from cutpath.inspect.against.program import FileLines, FilePlace, WantedCuts
from cutpath.inspect.against.table import AGAINST
from cutpath.inspect.against.values import Drawn, Lie, Wanted
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.find.table import MOST_TOLD
from cutpath.inspect.values import Finding, Followed, Hit, Inspected, LayerRole, Seen
from cutpath.job.values import Cutter, Layers
from cutpath.outline import Point, straight

SAME = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
RIGHT = HeldAgainst(0.0, (0.0, 0.0), (), (), ())
ALONE = Inspected(
    Seen("x.dxf", "R2000", "mm", 1.0, guessed=False, metric=True, items=(), layers=(), texts=()), (), (), (), 0, 0
)


def box(wide: float, high: float, x: float = 0.0, y: float = 0.0) -> tuple[Point, ...]:
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def wanted(name: str, points: tuple[Point, ...], **more: Any) -> Wanted:
    return Wanted(name, straight(points, closed=True), **more)


def drawn(polygon: Any, handle: str = "7", edge: Any = None) -> Drawn:
    return Drawn(polygon, (), (), handle, "PART", edge)


def lie(share: float = 1.0, **more: Any) -> Lie:
    given: dict[str, Any] = {"scale": 1.0, "mirrored": False, "turn": 0.0, "matrix": SAME, "grown": 0.0} | more
    return Lie(share=share, **given)


class Bench:
    """A file's outlines and a job's parts, with how each lies on each given by hand; what was asked for is kept."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.outlines: tuple[Drawn, ...] = ()
        self.left: tuple[float, ...] = ()
        self.lies: dict[str, Lie | None] = {}
        self.nowhere: list[Any] = []
        self.parts: tuple[tuple[Wanted, Any], ...] = ()
        self.compared: dict[str, HeldAgainst] = {}
        self.asked: list[tuple[Any, str, tuple[float, ...], bool]] = []
        self.path, self.width, self.least, self.roles = "design", 6.0, 80.0, ["cut"]
        self.set_up, self.on_board, self.texts = False, 0, ("Board 1 of 1: 2x12.",)
        monkeypatch.setattr(whole, "drawn_parts", lambda look: (self.outlines, self.left))
        monkeypatch.setattr(whole, "lie_of", self.lie_of)
        monkeypatch.setattr(whole, "compare", self.compare)

    def lie_of(self, outline: Any, polygon: Any, grown: tuple[float, ...], *, kept: bool) -> Lie | None:
        (name,) = [part.name for part, other in self.parts if other is polygon]
        self.asked.append((outline, name, grown, kept))
        return None if any(outline is each for each in self.nowhere) else self.lies.get(name)

    def compare(self, outline: Drawn, part: Wanted, lie: Lie, tool: float, board: Any) -> HeldAgainst:
        assert board is None and tool == self.width and lie is self.lies[part.name] and outline in self.outlines
        return self.compared.get(part.name, RIGHT)

    def held(self, *parts: Wanted, known: Any = None, found: Inspected = ALONE) -> Inspected:
        self.parts = tuple((part, part.outline.polygon()) for part in parts)
        self.asked.clear()
        cutter = Cutter("router", self.width, "rounded", self.path, 10.0)  # type: ignore[arg-type]
        stringer = SimpleNamespace(throat_least=self.least)
        layout = SimpleNamespace(boards=[SimpleNamespace(parts=[SimpleNamespace(name="plank")] * self.on_board)])
        plan: Any = SimpleNamespace(layout=layout, job=SimpleNamespace(name="Steps", cutter=cutter, stringer=stringer))
        roles = [LayerRole(role.upper(), role, "", 1) for role in self.roles]  # type: ignore[arg-type]
        look = Looked(replace(ALONE.seen, texts=self.texts), roles, Layers())
        look.is_set_up = self.set_up
        return whole.held_against(look, found, OfJob(plan, self.parts, ()), lambda mm: f"{mm:.2f} mm", known)

    def names(self) -> list[str]:
        return [name for _, name, _, _ in self.asked]


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Bench:
    return Bench(monkeypatch)


PLANK = wanted("plank", box(1000, 200))
WIDER = wanted("wider", box(1000, 230))
OUTLINE = shapely.Polygon(box(1000, 200))


@pytest.mark.parametrize(
    ("one", "other", "best", "both"),
    [
        (lie(0.9), lie(0.95), "wider", True),
        (lie(0.95), lie(0.9), "plank", True),
        (lie(0.95), lie(0.95), "plank", True),
        (None, lie(0.6), "wider", True),
        # One that is whole needs no other.
        (lie(0.9991), lie(1.0), "plank", False),
        (lie(0.9989), lie(1.0), "wider", True),
        # A mirror image counts five thousandths less, a tool's radius two.
        (lie(1.0, mirrored=True), lie(0.9955), "wider", True),
        (lie(1.0, mirrored=True), lie(0.9945), "plank", True),
        (lie(1.0, grown=3.0), lie(0.9985), "wider", True),
        (lie(1.0, grown=3.0), lie(0.9975), "plank", True),
        (lie(1.0, mirrored=True, grown=3.0), lie(0.9935), "wider", True),
        (lie(1.0, mirrored=True, grown=3.0), lie(0.9925), "plank", True),
        (lie(0.9955), lie(1.0, mirrored=True), "plank", True),
        (lie(0.9945), lie(1.0, mirrored=True), "wider", True),
    ],
)
def test_of_parts_the_one_that_has_most_on_its_line(
    bench: Bench, one: Lie | None, other: Lie, best: str, both: bool
) -> None:
    bench.outlines = (drawn(OUTLINE),)
    bench.lies = {"plank": one, "wider": other}
    for parts in ((PLANK, WIDER), (WIDER, PLANK)):
        found = bench.held(*parts)
        assert [part.name for part in found.laid] == [best]
        assert bench.names() == (["plank", "wider"] if both else ["plank"]), "the nearest in shape first"


def test_what_lies_on_nothing_is_none(bench: Bench) -> None:
    bench.outlines = (drawn(OUTLINE),)
    found = bench.held(PLANK, WIDER)
    assert [(f.kind, f.hit) for f in found.findings] == [("no-part", Hit())] and found.laid == ()
    assert bench.names() == ["plank", "wider"]


def test_what_is_asked_of_a_place(bench: Bench) -> None:
    """The line that is meant first, then the others; edges of the board, where a part keeps them and there are some."""
    edge = shapely.LineString([(0, 0), (1, 0)])
    bench.lies = {"plank": lie(), "kept": lie()}
    kept = wanted("kept", box(1000, 200), keeps_edge=True)
    for part, own in ((PLANK, None), (PLANK, edge), (kept, None), (kept, edge)):
        bench.outlines = (drawn(OUTLINE, edge=own),)
        bench.held(part)
        assert bench.asked == [(OUTLINE, part.name, (0.0, 3.0, -3.0), part is kept and own is edge)]
    for path, roles, grown in (
        ("centre", ["stock", "cut"], (3.0, 0.0, -3.0)),
        ("centre", ["cut", "note"], (0.0, 3.0, -3.0)),
        ("design", ["cut", "stock"], (0.0, 3.0, -3.0)),
    ):
        bench.path, bench.roles = path, roles
        bench.held(PLANK)
        assert [each[2] for each in bench.asked] == [grown]


def test_outlines_alike_are_looked_at_once_where_one_is_nothing(bench: Bench) -> None:
    there = [shapely.Polygon(box(1000, wide)) for wide in (200.0, 200.00002, 200.0, 201.0)]
    bench.outlines = tuple(drawn(each) for each in there)
    bench.held(PLANK)
    assert [each[0] for each in bench.asked] == [there[0], there[3]]
    bench.lies = {"plank": lie(0.9)}
    assert len(bench.held(PLANK).laid) == len(bench.asked) == 4, "of parts there are several"
    # Of one area, and longer by 0.0016 and by 0.016 all round.
    bench.lies = {}
    long = [shapely.Polygon(box(1000 * k, 200 / k)) for k in (1.0, 1.000001, 1.00001)]
    bench.outlines = tuple(drawn(each) for each in long)
    bench.held(PLANK)
    assert [each[0] for each in bench.asked] == [long[0], long[2]]


GAUGE = wanted("gauge", box(100, 50), small=True)
SMALL = shapely.Polygon(box(100, 50))
EDGE = shapely.LineString([(0, 0), (9, 0)])


@pytest.mark.parametrize(("by", "covers"), [(9.8, True), (10.0, False)])
def test_small_parts_and_pieces_of_a_board_have_to_cover_their_place(bench: Bench, by: float, covers: bool) -> None:
    """Of what two oblongs 100 wide cover, so far apart, (100 - by) / (100 + by) is common: 82% at 9.89."""
    bench.lies = {"gauge": lie(), "part": lie()}
    part = wanted("part", box(100, 50))
    for meant, edge, held in (
        (GAUGE, None, covers),
        (GAUGE, EDGE, covers),
        (part, EDGE, covers),
        (part, None, True),
    ):
        bench.outlines = (drawn(translate(SMALL, by), edge=edge),)
        assert bool(bench.held(meant).laid) == held


@pytest.mark.parametrize("unit", [1.0, 25.4, 1 / 25.4], ids=["1", "25.4", "1/25.4"])
@pytest.mark.parametrize(("off", "believed"), [(1.9e-4, True), (2.1e-4, False)])
@pytest.mark.parametrize("way", [1, -1])
def test_small_parts_are_believed_in_their_size_alone(
    bench: Bench, unit: float, off: float, believed: bool, way: int
) -> None:
    size = unit * (1 + way * off)
    matrix = (1 / size, 0.0, 0.0, 1 / size, 0.0, 0.0)
    bench.lies = {"gauge": lie(scale=size, matrix=matrix), "part": lie(scale=size, matrix=matrix)}
    bench.outlines = (drawn(scaled(SMALL, size, size, origin=(0, 0))),)
    assert bool(bench.held(GAUGE).laid) == believed
    assert bench.held(wanted("part", box(100, 50))).laid


@pytest.mark.parametrize("unit", [1.0, 25.4, 1 / 25.4], ids=["1", "25.4", "1/25.4"])
@pytest.mark.parametrize("way", [1, -1])
def test_what_is_of_no_likely_size_is_not_looked_at(bench: Bench, unit: float, way: int) -> None:
    """A small part's outline by as much as what is common to both allows, a piece of a board by a third."""
    part = wanted("part", box(100, 50))
    most = -math.log(0.82) / 2 + 2e-4
    for meant, edge, off, asked in (
        (GAUGE, None, most - 1e-4, True),
        (GAUGE, None, most + 1e-4, False),
        (GAUGE, EDGE, most + 1e-4, False),
        (part, EDGE, 0.299, True),
        (part, EDGE, 0.301, False),
        (part, None, 0.301, True),
        (part, None, 1.9, True),
    ):
        size = unit * math.exp(way * off)
        bench.outlines = (drawn(scaled(SMALL, size, size), edge=edge),)
        bench.held(meant)
        assert bool(bench.asked) == asked, (meant.name, edge, off)


@pytest.mark.parametrize(("rate", "asked"), [(0.59, True), (0.61, False)])
def test_what_is_of_another_shape_is_not_looked_at(bench: Bench, rate: float, asked: bool) -> None:
    """A square's area for its length squared is a sixteenth, an oblong's of 1 by k is k / (4 (1 + k)^2)."""
    most = 4 * math.exp(rate) - 2
    k = (most + math.sqrt(most**2 - 4)) / 2
    square, oblong = box(100, 100), box(100 * k, 100)
    for meant, there in ((square, oblong), (oblong, square)):
        bench.outlines = (drawn(shapely.Polygon(there)),)
        bench.held(wanted("part", meant))
        assert bool(bench.asked) == asked


def test_the_nearest_in_shape_is_looked_at_first(bench: Bench) -> None:
    """Whatever its size; of two hands, which are alike, the first."""
    parts = [wanted(f"{high}", box(1000, high)) for high in (230, 180, 200)]
    parts += [wanted("twice", box(2000, 420)), wanted("hand", box(1000, 200)[::-1])]
    bench.outlines = (drawn(OUTLINE),)
    bench.held(*parts)
    assert bench.names() == ["200", "hand", "twice", "180", "230"]


def test_how_a_part_lies(bench: Bench) -> None:
    """A quarter turn and a shift: the file's point (y + 30, 40 - x) is the design's (x, y)."""
    matrix = (0.0, -1.0, 1.0, 0.0, 40.0, -30.0)
    bench.lies = {"part": lie(0.9, mirrored=True, turn=270.0, scale=1.01, grown=3.0, matrix=matrix)}
    bench.compared = {"part": HeldAgainst(0.01, (5.0, 6.0), (), (), ((2, 81.0, 90.0),))}
    bench.outlines = (drawn(OUTLINE, "2F"),)
    (part,) = bench.held(wanted("part", ((500.0, 20.0), (1010.0, 50.0), (500.0, 220.0), (10.0, 50.0)))).laid
    assert (part.name, part.handle, part.turn, part.mirrored, part.scale, part.grown) == (
        "part", "2F", 270.0, True, 1.01, 3.0)  # fmt: skip
    assert part.at == (50.0, 30.0) and part.deviation == 0.01 and part.deviation_at == (36.0, 35.0)
    assert part.throats == ((2, 81.0, 90.0),)


def one(bench: Bench, compared: HeldAgainst = RIGHT, part: Wanted = PLANK, **how: Any) -> dict[str, Finding]:
    """What is told of a part that lies shifted by (10, 20), by kind."""
    shifted = (1.0, 0.0, 0.0, 1.0, -10.0, -20.0)
    bench.lies = {part.name: lie(**{"matrix": shifted} | how)}
    bench.compared = {part.name: compared}
    bench.outlines = (drawn(OUTLINE),)
    found = bench.held(part).findings
    assert len({f.kind for f in found}) == len(found)
    for each in found:
        row = AGAINST[each.kind]
        assert (each.severity, each.way_out, each.hit.handle, each.hit.layer) == (
            row.severity, row.way_out, "7", "PART")  # fmt: skip
    return {f.kind: f for f in found}


def in_it(found: Finding) -> bool:
    """Whether a place lies in the plank, which lies shifted."""
    x, y = found.hit.at or (0.0, 0.0)
    return 10 < x < 1010 and 20 < y < 220


def test_a_part_as_it_is_meant_has_nothing_told(bench: Bench) -> None:
    assert one(bench) == {}


@pytest.mark.parametrize(
    ("scale", "words"),
    [
        (1.00019, None),
        (1.00021, "1.0002 times its size"),
        (0.99981, None),
        (0.99979, "0.99979 times its size"),
        (2.0, "2 times its size"),
        (25.4 * 1.0049, "25.4 times too large: millimetres taken for inches"),
        (25.4 * 1.0051, "25.53 times its size"),
        (25.4 * 0.9949, "25.27 times its size"),
        (1.0049 / 25.4, "25.4 times too small: inches taken for millimetres"),
        (1.0051 / 25.4, "0.039571 times its size"),
    ],
)
def test_a_size_is_told(bench: Bench, scale: float, words: str | None) -> None:
    found = one(bench, scale=scale)
    assert set(found) == ({"scaled"} if words else set())
    if words:
        assert found["scaled"].words == f"the part is drawn {words}" and in_it(found["scaled"])
        assert found["scaled"].hit.size is None


def test_a_mirror_image_is_told_and_spoils_a_face(bench: Bench) -> None:
    (found,) = one(bench, mirrored=True).values()
    assert found.kind == "mirrored" and in_it(found)
    (found,) = one(bench, mirrored=True, part=wanted("face", box(1000, 200), has_face=True)).values()
    assert found.kind == "mirrored-face"


@pytest.mark.parametrize("path", ["design", "centre"])
@pytest.mark.parametrize(
    ("grown", "kind", "words"),
    [
        (0.0, "uncompensated", "the line is the design's, where the job asks for the tool's centre line"),
        (3.0, "compensated", "the line is 3.00 mm outside the design"),
        (-3.0, "compensated-inside", "the line is 3.00 mm inside the design"),
    ],
)
def test_the_wrong_line_is_told(bench: Bench, path: str, grown: float, kind: str, words: str) -> None:
    bench.path, bench.roles = path, ["stock"]
    found = one(bench, grown=grown)
    meant = 3.0 if path == "centre" else 0.0
    assert set(found) == (set() if grown == meant else {kind})
    for each in found.values():
        assert each.words.startswith(words) and each.hit.size == abs(grown) and in_it(each)


@pytest.mark.parametrize(
    ("off", "kind"), [(0.0249, None), (0.0251, "small-deviation"), (0.499, "small-deviation"), (0.501, "deviation")]
)
def test_a_deviation_is_told_where_it_is(bench: Bench, off: float, kind: str | None) -> None:
    found = one(bench, HeldAgainst(off, (100.0, 5.0), (), (), ()))
    assert set(found) == ({kind} if kind else set())
    for each in found.values():
        assert each.words == f"the outline is {off:.2f} mm off the design here"
        assert each.hit.at == (110.0, 25.0) and each.hit.size == off


@pytest.mark.parametrize(
    ("kind", "detail", "words"),
    [
        ("missing-notch", "of tread 3", "the notch of tread 3 is missing"),
        ("extra-notch", "", "wood is cut away that the design keeps"),
        ("missing-hole", "bolt", "a hole is missing: bolt 7.00 mm wide"),
        ("hole-size", "bolt", "a hole is of another size: bolt 7.00 mm wide"),
        ("extra-hole", "", "a hole is none of the design's: 7.00 mm wide"),
        ("hole-moved", "bolt", "a hole is in another place: bolt, 7.00 mm"),
        ("hole-moved", "", "a hole is in another place: 7.00 mm"),
        ("inner-shape", "slot", "slot, 7.00 mm off the design's"),
        ("missing-slot", "", "a slot is missing"),
    ],
)
def test_differences_are_told_in_words(bench: Bench, kind: str, detail: str, words: str) -> None:
    (found,) = one(bench, HeldAgainst(0.0, (0.0, 0.0), (Difference(kind, detail, (300.0, 90.0), 7.0),), 0, ())).values()
    assert (found.kind, found.words) == (kind, words)
    assert found.hit.at == (310.0, 110.0) and found.hit.size == 7.0


def test_corners_without_relief_are_counted_and_the_first_is_shown(bench: Bench) -> None:
    corners = ((1.0, 2.0), (300.0, 90.0), (600.0, 90.0), (900.0, 90.0))
    (found,) = one(bench, HeldAgainst(0.0, (0.0, 0.0), (), corners, ())).values()
    assert found.kind == "other-relief" and found.words.endswith(": 4") and found.hit.at == (11.0, 22.0)


@pytest.mark.parametrize(("lacks", "thin"), [(0.0251, True), (0.0249, False)])
def test_the_least_throat_is_told_where_it_is_under_the_job_s(bench: Bench, lacks: float, thin: bool) -> None:
    notches = tuple(NotchThroat(tread, (100.0 * tread, 90.0), 90.0) for tread in (5, 4, 3, 2))
    part = wanted("plank", box(1000, 200), notches=notches)
    throats = ((5, 81.0, 90.0), (4, 80.0 - lacks + 0.01, 90.0), (3, 80.0 - lacks, 90.0), (2, 95.0, 90.0))
    found = one(bench, HeldAgainst(0.0, (0.0, 0.0), (), (), throats), part)
    assert set(found) == ({"thin-throat"} if thin else set())
    if thin:
        words = f"{80 - lacks:.2f} mm behind the notch of tread 3, under the 80.00 mm that the job asks for"
        assert words in found["thin-throat"].words
        assert found["thin-throat"].hit.at == (310.0, 110.0)
        assert found["thin-throat"].hit.size == pytest.approx(80 - lacks)


def test_outlines_that_are_none_are_told_where_they_are_as_large_as_a_part(bench: Bench) -> None:
    """A fifth of the least part that was found; in none of these, and no piece of a board."""
    bench.lies = {"plank": lie()}

    def stranger(wide: float, x: float, y: float = 0.0, edge: Any = None) -> Drawn:
        return drawn(shapely.Polygon(box(wide, 400, x, y)), f"{x:g}", edge)

    least, most = shapely.Polygon(box(1000, 200)), shapely.Polygon(box(1500, 300, 5000))
    bench.outlines = (
        drawn(most, "most"),
        drawn(least, "least"),
        stranger(100.1, 2000.0),
        stranger(99.9, 3000.0),
        stranger(100.1, 4000.0, edge=EDGE),
        # Their middles in one part or the other, and beside.
        stranger(100.1, 300.0, -100.0),
        stranger(100.1, 5500.0, -100.0),
        stranger(100.1, 7000.0),
    )
    bench.nowhere = [each.outline for each in bench.outlines[2:]]
    found = bench.held(PLANK)
    assert [p.handle for p in found.laid] == ["most", "least"]
    assert [(f.kind, f.severity, f.hit.handle, f.hit.layer) for f in found.findings] == [
        ("not-a-part", "told", handle, "PART") for handle in ("2000", "7000")
    ]
    x, y = found.findings[0].hit.at or (0.0, 0.0)
    assert 2000 < x < 2100.1 and 0 < y < 400


@pytest.mark.parametrize(
    ("left", "words"),
    [
        ((39_999.0, 100.0), None),
        ((40_001.0, 39_999.0), "1 more outline"),
        ((60_000.0, 40_001.0, 9.0), "2 more outlines"),
    ],
    ids=["none", "one", "two"],
)
def test_outlines_beyond_those_that_are_looked_at_are_counted(
    bench: Bench, left: tuple[float, ...], words: str | None
) -> None:
    """Those as large as a fifth of the least part that was found, which has 200000 square millimetres."""
    bench.lies, bench.left = {"plank": lie()}, left
    bench.outlines = (drawn(shapely.Polygon(box(2000, 400))), drawn(OUTLINE))
    found = bench.held(PLANK)
    assert len(found.laid) == 2 and [f.kind for f in found.findings] == (["parts-left"] if words else [])
    for each in found.findings:
        assert each.hit == Hit() and words in each.words and f"{words}s" not in each.words
    bench.lies = {}
    # Nothing is known of their size then: any may be one.
    assert [f.kind for f in bench.held(PLANK).findings] == ["no-part", *(["parts-left"] if left else [])]


@pytest.mark.parametrize(("most", "left"), [(1, 2), (2, 1), (3, 0)])
def test_a_file_of_other_things_is_left_after_some_looks_in_vain(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, most: int, left: int
) -> None:
    """Three strangers of the plank's shape, two alike, of which one look tells both; then the plank."""
    monkeypatch.setattr(whole, "MOST_IN_VAIN", most)
    strange = [
        drawn(shapely.Polygon(box(1000, high, 0.0, 900.0 * k))) for k, high in enumerate((210, 210, 220, 230), 1)
    ]
    bench.lies, bench.outlines = {"plank": lie()}, (*strange, drawn(OUTLINE))
    bench.nowhere = [each.outline for each in strange]
    found = bench.held(PLANK)
    assert len(found.laid) == (0 if left else 1)
    told = [f for f in found.findings if f.kind == "parts-left"]
    assert [f.words.split()[0] for f in told] == ([str(left)] if left else [])
    assert ("no-part" in {f.kind for f in found.findings}) == bool(left)


def test_a_part_that_the_board_of_the_note_lacks_is_told_where_nothing_else_says_so(bench: Bench) -> None:
    bench.lies, bench.outlines, bench.on_board = {"plank": lie()}, (drawn(OUTLINE),), 2
    assert [f.kind for f in bench.held(PLANK).findings] == ["part-lacking"]
    bench.left = (200_000.0,)
    assert [f.kind for f in bench.held(PLANK).findings] == ["parts-left"]
    bench.left, bench.lies = (), {}
    assert [f.kind for f in bench.held(PLANK).findings] == ["no-part"]
    bench.lies, bench.on_board = {"plank": lie()}, 1
    assert bench.held(PLANK).findings == ()


def test_a_set_up_that_is_none_of_the_job_s_is_told_as_such(bench: Bench) -> None:
    bench.outlines, bench.lies, bench.set_up = (drawn(OUTLINE),), {"plank": lie()}, True
    found = bench.held(PLANK)
    assert [f.kind for f in found.findings] == ["unknown-set-up"] and found.laid == () and bench.asked == []
    assert found.job == "Steps" and found.followed is None


def test_what_is_told_is_counted_and_what_spoils_comes_first(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    known = whole.KnownFile(FileLines((), (), ()), WantedCuts(0, 1, 2, (), (), (), False, ()), FilePlace())
    followed = Followed(1, 1, 2, "", (), 0)
    rows = [("not-a-part", "", Hit()), *[("missing-cut", f"{k}", Hit(size=k)) for k in range(MOST_TOLD + 5)],
            ("extra-cut", "9", Hit())]  # fmt: skip

    def follow(*given: Any) -> Any:
        assert given[:3] == (known.lines, known.program, known.place)
        return followed, tuple(rows)

    monkeypatch.setattr(whole, "follow", follow)
    own = (Finding("open", "spoils", "a", "b", Hit()), Finding("tab-gap", "told", "c", "d", Hit()))
    found = bench.held(PLANK, known=known, found=Inspected(ALONE.seen, (), own, (("open", 1), ("tab-gap", 1)), 0, 0))
    assert found.followed is followed and found.laid == () and found.job == "Steps"
    kinds = [f.kind for f in found.findings]
    assert kinds == ["open", *["missing-cut"] * MOST_TOLD, "extra-cut", "tab-gap", "not-a-part"]
    assert [f.hit.size for f in found.findings[1 : MOST_TOLD + 1]] == list(range(MOST_TOLD))
    assert found.counts == (
        ("open", 1), ("tab-gap", 1), ("not-a-part", 1), ("missing-cut", MOST_TOLD + 5), ("extra-cut", 1))  # fmt: skip
    assert found.findings[1].words == "a cut 0 long is missing"


@pytest.mark.parametrize("set_up", [True, False])
@pytest.mark.parametrize("shares", [True, False])
def test_a_file_is_looked_for_among_the_job_s(monkeypatch: pytest.MonkeyPatch, set_up: bool, shares: bool) -> None:
    program = WantedCuts(0, 1, 2, (), (), (), False, ())
    asked: list[Any] = []

    def which(lines: FileLines, programs: Any, *, said: bool) -> tuple[WantedCuts, FilePlace] | None:
        asked.append((lines, programs, said))
        return (programs[0], FilePlace()) if programs == (program,) else None

    monkeypatch.setattr(whole, "which", which)
    monkeypatch.setattr(whole, "circles_of", lambda look: {4: ((1.0, 2.0), 3.0)})
    monkeypatch.setattr(whole, "pockets_of", lambda look: ["pocket"])
    monkeypatch.setattr(whole, "file_lines", lambda look, rounds, pockets: (look.name, rounds, pockets))
    look: Any = SimpleNamespace(is_set_up=set_up, shares_cuts=shares, says=None, all_said=[], name="x")
    plan: Any = None
    lines = ("x", {4: ((1.0, 2.0), 3.0)}, ["pocket"])
    assert whole.known_file(look, OfJob(plan, (), ())) is None and asked == []
    found = whole.known_file(look, OfJob(plan, (), (program,)))
    assert found == whole.KnownFile(lines, program, FilePlace())  # type: ignore[arg-type]
    assert whole.known_file(look, OfJob(plan, (), (program, program))) is None
    assert [each[2] for each in asked] == [set_up or shares] * 2 and asked[0][0] == lines

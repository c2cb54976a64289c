"""Readings of a first stringer, cut wrong in every way of the table: each made by shapely, apart from the program's
own lines, read with a tape's steps and a shaky hand, and found again."""

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace
from shapely import LineString, Point, Polygon, affinity, box

from cutpath.cut.relief import CutPart
from cutpath.design.as_cut.causes import CAUSES
from cutpath.design.as_cut.fit import compared
from cutpath.design.as_cut.shape import Moved, _distance, as_drawn
from cutpath.design.as_cut.values import AsCut
from cutpath.design.stringer import build_stringer
from cutpath.design.tape import tape_sheet
from cutpath.faults import Fault
from cutpath.job.as_cut_values import AsCutReading
from cutpath.job.values import Job
from cutpath.plan.as_cut import with_as_cut
from cutpath.plan.values import Design, Plan
from cutpath.report.as_cut import as_cut_text
from cutpath.report.check import check_text
from cutpath.tables.answers import check_data
from cutpath.units import shown_in

from .jobs import job_with, plan_of

SIXTEENTH = 25.4 / 16
SHOW = shown_in("in")


@cache
def planned(edges: str) -> Plan:
    """A demo without reliefs, so that a throat is the distance from its square corner; kept edges or cut all round."""
    return plan_of(job_with(cutter={"corner": "rounded"}, stringer={"edges": edges}))


def wide(plan: Plan, more: float = 100.0) -> Polygon:
    """The stringer as if its board were `more` wider, board frame of the real one: cuts run on below the lower edge."""
    width = plan.design.stringer.width
    stringer = build_stringer(plan.stair, plan.job.stringer, width + more, SHOW)
    at = stringer.to_board
    tip = next(v.point for v in stringer.vertices if v.role == "tip")
    here = plan.design.stringer.to_board(tip)
    there = at(tip)
    moved = [(at(v.point)[0] + here[0] - there[0], at(v.point)[1] + here[1] - there[1]) for v in stringer.vertices]
    return Polygon(moved)


def sawn(plan: Plan, cuts: Polygon, wider: float = 0.0) -> Polygon:
    """What is left of the board inside the cuts; all round where the edges are cut too."""
    width = plan.design.stringer.width
    return cuts.intersection(box(-500, -wider, 5000, width)) if plan.job.stringer.edges == "factory" else cuts


def own(plan: Plan) -> Polygon:
    """What the cuts enclose."""
    return (
        wide(plan)
        if plan.job.stringer.edges == "factory"
        else Polygon([plan.design.stringer.to_board(v.point) for v in plan.design.stringer.vertices])
    )


def read_off(plan: Plan, part: Polygon, names: Callable[[str], str] = str) -> list[AsCutReading]:
    """Exact readings at all tips and corners of a cut part, nearest to where they are drawn, and of the whole."""
    sheet = tape_sheet(plan.stair, plan.design.stringer, SIXTEENTH)
    ring = list(part.exterior.coords)
    left, low, right, top = part.bounds
    found = [AsCutReading(length=right - left, width=top - low)]
    for mark in sheet.marks:
        if mark.role not in ("tip", "corner"):
            continue
        drawn = (mark.along.exact, mark.across.exact)
        x, y = min(ring, key=lambda p: Point(p).distance(Point(drawn)))
        throat = None
        if mark.role == "corner":
            # Behind: the lower edge; that of a cut stringer is the nearest there.
            throat = y - low
        name = names(mark.name)
        found.append(AsCutReading(name, x - left, right - x, top - y, throat))
    return found


def taped(readings: list[AsCutReading], seed: int = 1) -> tuple[AsCutReading, ...]:
    """The readings with a hand's and a cut's error of up to 0.4 mm, to the nearest sixteenth."""
    chance = random.Random(seed)

    def near(mm: float | None) -> float | None:
        return None if mm is None else max(0.0, round((mm + chance.uniform(-0.4, 0.4)) / SIXTEENTH) * SIXTEENTH)

    return tuple(
        AsCutReading(r.mark, *map(near, (r.along, r.from_lower_end, r.from_edge, r.throat, r.length, r.width)))
        for r in readings
    )


def judged(plan: Plan, readings: tuple[AsCutReading, ...], **changes: object) -> tuple[Design, AsCut]:
    job: Job = replace(plan.job, as_cut=readings, **changes)
    drawn = with_as_cut(job, plan.design, plan.stair, SHOW)
    assert drawn.as_cut is not None
    return drawn, drawn.as_cut


def compensated(by: float) -> Callable[[Plan], Polygon]:
    return lambda plan: sawn(plan, own(plan).buffer(-by, join_style="mitre", mitre_limit=20))


def scaled(along: float, across: float) -> Callable[[Plan], Polygon]:
    def made(plan: Plan) -> Polygon:
        return sawn(plan, affinity.scale(own(plan), along, across, origin=(0, plan.design.stringer.width)))

    return made


def shorter(by: float) -> Callable[[Plan], Polygon]:
    def made(plan: Plan) -> Polygon:
        # The plumb cut's line and all that lies down the board of it.
        places = {v.role: plan.design.stringer.to_board(v.point) for v in plan.design.stringer.vertices}
        (x0, y0), (x1, y1) = places["top"], places["heel"]
        dx, dy = x1 - x0, y1 - y0
        line = [(x0 + by - 3 * dx, y0 - 3 * dy), (x0 + by + 3 * dx, y0 + 3 * dy), (5000, -900), (5000, 900)]
        return sawn(plan, own(plan)).intersection(Polygon(line).convex_hull)

    return made


WRONG: list[tuple[str, str, float, Callable[[Plan], Polygon]]] = [
    *(("compensation", "factory", by, compensated(by)) for by in (4.7625, 9.525, 3.0)),
    *(("compensation", "trimmed", by, compensated(by)) for by in (4.7625, -4.7625, -9.525)),
    ("scale", "trimmed", 1.01, scaled(1.01, 1.01)),
    ("scale", "factory", 0.98, scaled(0.98, 0.98)),
    ("scale-along", "factory", 1.005, scaled(1.005, 1.0)),
    ("scale-along", "trimmed", 0.99, scaled(0.99, 1.0)),
    ("board-width", "factory", 6.35, lambda plan: sawn(plan, wide(plan), wider=6.35)),
    ("board-width", "factory", -5.0, lambda plan: sawn(plan, wide(plan), wider=-5.0)),
    ("fence", "factory", -5.0, lambda plan: sawn(plan, affinity.translate(wide(plan), 0, 5.0))),
    ("plumb-cut", "factory", 8.0, shorter(8.0)),
]


@pytest.mark.parametrize(("cause", "edges", "number", "made"), WRONG)
@pytest.mark.parametrize("seed", [1, 2])
def test_each_wrong_cut_is_told_by_its_number(
    cause: str, edges: str, number: float, made: Callable[[Plan], Polygon], seed: int
) -> None:
    plan = planned(edges)
    exact = read_off(plan, made(plan))
    if cause == "fence" or (number < 0 and cause == "compensation"):
        # Teeth past the board's edge are blunt, and have no tip to read.
        exact = [r for r in exact if r.mark is None or r.mark.startswith("corner")]
    drawn, found = judged(plan, taped(exact, seed))
    assert not drawn.checks[-2].ok and "as-cut" in drawn.failing
    best = found.fits[0]
    assert best.explains and best.worst <= found.limit < abs(found.worst.off)
    # A part cut too deep from its own edge reads just as one from a narrower board: nobody can tell by the part.
    same = {fit.ids[0]: fit.numbers[0] for fit in found.fits if fit.rms < best.rms + 0.01}
    assert cause in same, found.fits
    assert not any("counted-off" in fit.ids for fit in found.fits)
    assert same[cause] == pytest.approx(number, abs=0.002 if "scale" in cause else 0.6)


@pytest.mark.parametrize("edges", ["factory", "trimmed"])
@pytest.mark.parametrize("seed", range(4))
def test_a_stringer_cut_as_drawn_speaks_for_the_rest(edges: str, seed: int) -> None:
    plan = planned(edges)
    drawn, found = judged(plan, taped(read_off(plan, sawn(plan, own(plan))), seed))
    assert not found.off and not found.fits
    check = next(c for c in drawn.checks if c.id == "as-cut")
    assert check.ok and "nothing in them speaks against cutting the rest" in check.note
    assert drawn.failing == plan.design.failing


def times(factor: float) -> Callable[[Plan], list[AsCutReading]]:
    def made(plan: Plan) -> list[AsCutReading]:
        return [
            AsCutReading(r.mark, *(None if v is None else v * factor for v in (r.along, r.from_lower_end, r.from_edge)))
            for r in read_off(plan, sawn(plan, own(plan)))[1:]
        ]

    return made


def swapped(plan: Plan) -> list[AsCutReading]:
    return [replace(r, along=r.from_lower_end, from_lower_end=r.along) for r in read_off(plan, sawn(plan, own(plan)))]


def mirrored(plan: Plan) -> list[AsCutReading]:
    """Read off the mirror image, tips and corners numbered from the left as they then lie."""
    tips = plan.stair.treads

    def name(drawn: str) -> str:
        kind, number = drawn.split()
        return f"{kind} {tips + (1 if kind == 'tip' else 2) - int(number)}"

    found = read_off(plan, sawn(plan, own(plan)), name)
    return [replace(r, along=r.from_lower_end, from_lower_end=r.along) for r in found]


def hooked(plan: Plan) -> list[AsCutReading]:
    return [
        AsCutReading(r.mark, *(None if not v else v + 25.4 for v in (r.along, r.from_lower_end, r.from_edge)))
        for r in read_off(plan, sawn(plan, own(plan)))[1:]
    ]


def slip(plan: Plan) -> list[AsCutReading]:
    found = read_off(plan, sawn(plan, own(plan)))
    return [*found[:4], replace(found[4], along=(found[4].along or 0) + 25.4), *found[5:]]


@pytest.mark.parametrize(
    ("cause", "made", "words"),
    [
        ("inches-as-millimetres", times(1 / 25.4), "25.4 times too small"),
        ("millimetres-as-inches", times(25.4), "25.4 times too great"),
        ("ten-times", times(10.0), "ten times too great"),
        ("a-tenth", times(0.1), "a tenth"),
        ("other-end", swapped, "from the other end"),
        ("counted-from-other-end", mirrored, "turned end for end or is a mirror image"),
        ("tape-hook", hooked, "started at its 1 in mark"),
        ("one-reading", slip, "1 in too long: read it again"),
    ],
)
def test_wrong_readings_and_turned_parts_are_told(
    cause: str, made: Callable[[Plan], list[AsCutReading]], words: str
) -> None:
    plan = planned("factory")
    drawn, found = judged(plan, taped(made(plan)))
    assert found.fits[0].ids == (cause,) and found.fits[0].explains
    assert not any("counted-off" in fit.ids for fit in found.fits)
    note = next(c for c in drawn.checks if c.id == "as-cut").note
    assert "don't cut the rest" in note
    if cause != "one-reading":
        assert words in note
    else:
        assert words in note.replace("~", "") or "alone is" in note


def misread(plan: Plan, kinds: tuple[str, ...], first: int, last: int, by: int) -> list[AsCutReading]:
    """As drawn, with marks of some kinds whose number lies between two read at the one `by` further on, if it is there.

    From the tape sheet, which is made apart from what the readings are held against.
    """
    stringer = plan.design.stringer
    sheet = {mark.name: mark for mark in tape_sheet(plan.stair, stringer, SIXTEENTH).marks}
    found = [AsCutReading(length=stringer.length, width=stringer.width)]
    for name in sheet:
        kind, number, rest = parted(name)
        if number:
            off = kind in kinds and first <= number <= last
            mark = sheet.get(f"{kind} {number + by}{rest}" if off else name)
            if mark is not None:
                found.append(AsCutReading(name, mark.along.exact, mark.along_lower.exact, mark.from_edge.exact))
    return found


def parted(name: str) -> tuple[str, int, str]:
    """A mark's kind, its number or 0, and what comes after that."""
    kind, _, rest = name.partition(" ")
    number, comma, seat = rest.partition(",")
    return kind, int(number) if number.isdigit() else 0, comma + seat


ALL = ("tip", "corner", "tread")


@pytest.mark.parametrize("by", [1, -1])
@pytest.mark.parametrize(
    ("job", "edges", "kinds", "first", "last"),
    [
        ("orchard-steps", "factory", ALL, 1, 99),
        ("orchard-steps", "factory", ALL, 3, 99),
        ("orchard-steps", "factory", ALL, 1, 3),
        ("orchard-steps", "factory", ("tip",), 2, 99),
        ("orchard-steps", "factory", ("corner",), 4, 99),
        ("orchard-steps", "trimmed", ALL, 4, 99),
        ("closed-string", "factory", ALL, 1, 99),
        ("closed-string", "factory", ALL, 3, 99),
    ],
)
def test_marks_counted_off_are_known_through_the_tapes_noise(
    job: str, edges: str, kinds: tuple[str, ...], first: int, last: int, by: int
) -> None:
    plan = planned(edges) if job == "orchard-steps" else plan_of(job_with(job))
    exact = misread(plan, kinds, first, last, by)
    drawn, found = judged(plan, taped(exact, first + by))
    best = found.fits[0]
    assert best.ids == ("counted-off",) and best.explains and best.worst <= found.limit, found.fits
    assert best.counted is not None
    off = {r.mark for r in exact if r.mark and parted(r.mark)[0] in kinds and first <= parted(r.mark)[1] <= last}
    assert {name for name, _ in best.counted.marks} == off
    for name, read in best.counted.marks:
        kind, number, rest = parted(name)
        assert parted(read) == (kind, number + by, rest)
    note = next(c for c in drawn.checks if c.id == "as-cut").note
    assert "counted off by one" in note and "don't cut the rest" in note


def test_every_cause_of_the_table_is_made_here() -> None:
    told = {cause for cause, *_ in WRONG} | {
        *("inches-as-millimetres", "millimetres-as-inches", "ten-times", "a-tenth"),
        *("other-end", "counted-from-other-end", "tape-hook"),
    }
    assert {cause.id for cause in CAUSES} == told
    page = (Path(__file__).parent.parent / "docs" / "for-shops.md").read_text(encoding="utf-8")
    assert all(f"`{cause}`" in page for cause in (*told, "counted-off", "one-reading"))


def test_two_causes_at_once_are_told_as_two() -> None:
    plan = planned("trimmed")
    both = affinity.scale(own(plan).buffer(-4.7625, join_style="mitre", mitre_limit=20), 1.008, 1.0, origin=(0, 0))
    drawn, found = judged(plan, taped(read_off(plan, both)))
    assert set(found.fits[0].ids) == {"compensation", "scale-along"}
    numbers = dict(zip(found.fits[0].ids, found.fits[0].numbers, strict=True))
    assert numbers["compensation"] == pytest.approx(4.76, abs=0.6)
    assert numbers["scale-along"] == pytest.approx(1.008, abs=0.001)
    note = next(c for c in drawn.checks if c.id == "as-cut").note
    assert "no single number explains it, two at once would" in note and "take more readings" in note


@pytest.mark.parametrize("seed", range(3))
def test_where_nothing_explains_it_nothing_is_named(seed: int) -> None:
    plan = planned("factory")
    chance = random.Random(seed)
    wild = [
        replace(r, along=(r.along or 0) + chance.choice((-1, 1)) * chance.uniform(6, 14))
        for r in read_off(plan, sawn(plan, own(plan)))[1:]
    ]
    drawn, found = judged(plan, tuple(wild))
    assert not any(fit.explains or "counted-off" in fit.ids for fit in found.fits)
    note = next(c for c in drawn.checks if c.id == "as-cut").note
    assert "no single number that was tried explains it" in note or "nothing explains all of it" in note


def test_with_two_readings_no_cause_is_guessed_and_a_third_is_asked_for() -> None:
    plan = planned("factory")
    drawn, found = judged(plan, (AsCutReading("tip 5", along=1500.0), AsCutReading("tip 4", along=1180.0)))
    assert found.off and not found.fits
    assert "read at least 3" in next(c for c in drawn.checks if c.id == "as-cut").note


def test_two_that_fit_alike_are_told_apart_by_the_reading_that_differs_most() -> None:
    """From the upper end alone a plumb cut too far down reads as a tape started too far on; from the lower end not."""
    plan = planned("factory")
    whole, *marks = read_off(plan, shorter(8.0)(plan))
    few = (AsCutReading(length=whole.length), *(AsCutReading(r.mark, along=r.along) for r in marks[:4]))
    _, found = judged(plan, taped(list(few)))
    assert {fit.ids for fit in found.fits[:2]} == {("plumb-cut",), ("tape-hook",)}
    assert found.apart is not None and found.apart.place not in {one.place for one in found.compared}
    assert abs(found.apart.one - found.apart.other) > 5
    assert "to tell the first two apart read" in "\n".join(as_cut_text(found, plan.job))


def test_a_throat_read_too_thin_fails_by_itself() -> None:
    plan = planned("factory")
    drawn, _ = judged(plan, (AsCutReading("corner 2", throat=126.0), AsCutReading(throat=125.0)))
    check = next(c for c in drawn.checks if c.id == "as-cut-throat")
    assert not check.ok and check.value == 125.0 and check.least == 127.0


def test_a_reading_may_be_off_by_what_a_cut_may_and_half_a_step() -> None:
    from cutpath.job.values import Tolerance

    plan = planned("factory")
    _, found = judged(plan, (AsCutReading(length=1500.0),))
    assert found.limit == pytest.approx(25.4 / 32 + 25.4 / 32)
    _, found = judged(plan, (AsCutReading(length=1500.0),), tolerance=Tolerance(3.0, 0.0, 0.0, None))
    assert found.limit == pytest.approx(3.0 + 25.4 / 32)


def test_unmoved_the_shape_reads_as_the_tape_sheet_has_it() -> None:
    for name in ("orchard-steps", "garden-room", "boat-landing", "closed-string", "steel-plate", "panel-steps"):
        plan = plan_of(job_with(name))
        part: CutPart = plan.design.part
        shape = as_drawn(plan.design.stringer, plan.stair.step_length, part.notches, plan.job.stringer.edges)
        sheet = tape_sheet(plan.stair, plan.design.stringer, SIXTEENTH)
        reads = shape.readings(Moved())
        assert sorted(shape.marks) == sorted(mark.name for mark in sheet.marks)
        for mark in sheet.marks:
            assert reads["along", mark.name] == pytest.approx(mark.along.exact, abs=1e-9)
            assert reads["from_lower_end", mark.name] == pytest.approx(mark.along_lower.exact, abs=1e-9)
            assert reads["from_edge", mark.name] == pytest.approx(mark.from_edge.exact, abs=1e-9)
        assert reads["length", ""] == pytest.approx(plan.design.stringer.length)
        assert reads["width", ""] == pytest.approx(plan.design.stringer.width)
        if part.throat is not None:
            assert reads["throat", ""] == pytest.approx(part.throat)


def test_a_place_and_a_stretch_are_as_far_apart_as_shapely_says() -> None:
    chance = random.Random(5)
    for _ in range(60):
        place, start, end = ((chance.uniform(-9, 9), chance.uniform(-9, 9)) for _ in range(3))
        assert _distance(place, start, end) == pytest.approx(Point(place).distance(LineString([start, end])))


def test_a_scale_along_the_board_is_read_from_tip_to_tip_as_well() -> None:
    plan = planned("factory")
    shape = as_drawn(plan.design.stringer, plan.stair.step_length, plan.design.part.notches, "factory")
    assert shape.readings(Moved(along=1.02))["tip_to_tip", ""] == pytest.approx(plan.stair.step_length * 1.02)


@pytest.mark.parametrize(
    ("reading", "parts"),
    [
        (AsCutReading("tip 9", along=1.0), ("as_cut[0].mark", '"tip 9" is no mark', "tip 5", "cutpath site")),
        (AsCutReading("tip 1", throat=1.0), ("as_cut[0].throat", "no throat", "corner 2")),
    ],
)
def test_a_mark_that_is_none_is_refused_with_those_there_are(reading: AsCutReading, parts: tuple[str, ...]) -> None:
    plan = planned("factory")
    shape = as_drawn(plan.design.stringer, plan.stair.step_length, plan.design.part.notches, "factory")
    with pytest.raises(Fault) as caught:
        compared((reading,), shape)
    assert all(part in str(caught.value) for part in parts)


def test_a_whole_job_says_it_in_check_and_in_json() -> None:
    entries = [
        {"mark": "tip 5", "along": "59 5/16"},
        {"mark": "Corner 3", "along": "25 3/8", "from_edge": 6, "throat": "5 3/16"},
        {"length": "61 3/4", "width": "11 3/16", "tip_to_tip": "12 3/4"},
    ]
    plan = plan_of(job_with(as_cut=entries))
    assert "as-cut" in plan.design.failing and not plan.design.holds
    text = check_text(plan, ())
    assert "first stringer, as cut" in text and "tip 5 along" in text and "don't cut the rest" in text
    data = check_data(plan)["as_cut"]
    assert data["cut_the_rest"] is False and [r["key"] for r in data["readings"] if r["off"]]
    assert {check["id"] for check in check_data(plan)["checks"]} >= {"as-cut", "as-cut-throat"}
    # What was read of a part that is cut has no say in what is drawn.
    assert plan.design.stringer == plan_of(job_with()).design.stringer

"""What of a job is judged, and where its stringers are held, on a stair that climbs 3 in 5 with whole numbers.

The stair of `test_set_out_by_hand`: five rises of 180 on runs of 240 in a board 286 wide. Its plumb cut is 177.5 high
from 220 down; the last tread's seat lies 140 over the pad; the board is 1176 long.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.features import Hole
from cutpath.cut.relief import CutPart, relieved
from cutpath.design.strength.values import Share, Strength
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.job.values import Housing, Job, Support, Wood
from cutpath.plan.connections import Joint, _header, _hole, _seat, grouped, joints
from cutpath.plan.strengths import strength_checks, strength_of
from tests.stairs import mm, spec
from tests.test_set_out_by_hand import STAIR, STRINGER, job

PART = relieved(STRINGER, "none", 5.0)
BASE = replace(job("total_rise = 900"), wood=Wood("C24"))


def judged(asked: Job = BASE, part: CutPart = PART, stringer: Stringer = STRINGER) -> Strength:
    found = strength_of(asked, STAIR, stringer, part, 286.0, mm)
    assert isinstance(found, Strength), found
    return found


def of(asked: Job, **stringer: Any) -> Job:
    return replace(asked, stringer=replace(asked.stringer, **stringer))


def bending(found: Strength) -> float:
    return next(row.share for row in found.rows if row.id == "bending")


# What is judged.


def test_the_thinnest_boards_carry_and_are_spaced() -> None:
    """Boards of 45 and 38: three of 38 stand (900 - 38) / 2 apart, and stress goes by 38."""
    assert [board.thickness for board in BASE.stock] == [45.0, 38.0]
    found = judged()
    assert found.tributary == 431.0
    thick = judged(replace(BASE, stock=BASE.stock[:1]))
    assert thick.tributary == 427.5
    # Under the even load bending goes by load over breadth.
    light = replace(BASE, loads=replace(BASE.loads, point=0.0))
    thin, heavy = judged(light), judged(replace(light, stock=light.stock[:1]))
    assert bending(thin) / bending(heavy) == pytest.approx(431 / 427.5 * 45 / 38)


def test_of_a_housed_board_what_the_housing_leaves_carries() -> None:
    """8 of 38 are milled away; between two such boards lies the clear width, so that they stand 938 apart."""
    plain = replace(of(BASE, housing=None), loads=replace(BASE.loads, point=0.0))
    assert bending(judged(of(plain, housing=Housing(8.0)))) / bending(judged(plain)) == pytest.approx(38 / 30)
    assert judged(of(BASE, form="housed", housing=Housing(8.0), count=2)).tributary == 938.0
    assert judged(of(BASE, count=2)).tributary == 862.0
    assert judged(of(BASE, count=1)).tributary == 900.0


def test_holes_are_taken_off_as_wide_as_they_are() -> None:
    """40 across at 560 along: of the wood that stands there 40 are gone."""
    line = shapely.LineString([(560.0, -1.0), (560.0, 500.0)])
    whole = shapely.length(line.intersection(PART.outline.polygon()))
    bored = judged(part=replace(PART, holes=(Hole((560.0, 60.0), 40.0, "bolt"),)))
    depth = min((abs(s.along - 560), s.depth) for s in bored.sections)
    assert depth == pytest.approx((0.0, whole - 40.0), abs=1e-6)
    assert not any(abs(s.along - 560) < 1e-6 for s in judged().sections)


def test_a_plate_is_judged_as_steel_and_tells_its_gross_section_s_bending() -> None:
    """With wood named besides; a bored plate tells what it would be without the hole, whatever else is more."""
    asked = replace(of(BASE, form="plate"), steel="A36")
    plain, bored = judged(asked), judged(asked, replace(PART, holes=(Hole((500.0, 60.0), 60.0, "bolt"),)))
    assert plain.material.method == bored.material.method == "steel"
    gross = f"(bending on the gross one {bending(plain):.1%})"
    assert gross in plain.assumptions[0] and gross in bored.assumptions[0]
    assert next(row.share for row in bored.rows if row.id == "shear") != pytest.approx(bending(plain))
    assert judged().material.method == "EN 1995-1-1"
    why = strength_of(of(BASE, form="plate"), STAIR, STRINGER, PART, 286.0, mm)
    assert isinstance(why, str) and "not for panels" in why
    bare = strength_of(replace(BASE, wood=None), STAIR, STRINGER, PART, 286.0, mm)
    assert isinstance(bare, str) and "[wood]" in bare


def test_a_check_holds_up_to_the_whole_of_what_is_allowed() -> None:
    found = judged()
    rows = tuple(Share("bending", share, 100.0, "note", "source") for share in (1.0, 1.0 + 1e-7, 1.001))
    checks = strength_checks(replace(found, rows=rows), mm)
    assert [c.ok for c in checks] == [True, True, False] and all(c.required for c in checks)
    assert {(c.most, c.least, c.quantity, c.source) for c in checks} == {(1.0, None, "share", "source")}
    assert checks[0].note == "note, 100.0000 mm out from the header face"
    (before,) = strength_checks(replace(found, rows=(replace(rows[0], at=-3.0),)), mm)
    assert before.note == "note, 0.0000 mm out from the header face"


# Where stringers are held.


@pytest.mark.parametrize(
    ("deep", "bears", "edge"),
    [
        (None, 177.5, None),
        (450.0, 177.5, ("heel down to the header's lower edge", 52.5)),
        (397.5, 177.5, ("heel down to the header's lower edge", 0.0)),
        (300.0, 80.0, ("header's lower edge down to the heel, which hangs below it", 97.5)),
        (100.0, 0.0, ("header's lower edge down to the heel, which hangs below it", 297.5)),
    ],
)
def test_the_plumb_cut_on_the_header(deep: float | None, bears: float, edge: tuple[str, float] | None) -> None:
    """From 220 to 397.5 down; the first riser cut stands 240 out."""
    asked = replace(BASE, stair=replace(BASE.stair, header_depth=deep))
    found = _header(asked, STRINGER, 38.0, 5.0)
    assert (found.what, found.breadth, found.reaction) == ("header", 38.0, 5.0)
    assert found.bears == pytest.approx(bears) and found.area == pytest.approx(38 * bears)
    wanted = [("floor down to the plumb cut", 220.0), *([edge] if edge else [])]
    wanted.append(("plumb cut level to the first riser cut", 240.0))
    assert [name for name, _ in found.edges] == [name for name, _ in wanted]
    assert [far for _, far in found.edges] == pytest.approx([far for _, far in wanted], abs=1e-9)


def test_a_plumb_cut_off_the_header_or_above_the_floor() -> None:
    gapped = build_stringer(STAIR, spec(gap=10.0), 286.0, mm)
    assert dict(_header(BASE, gapped, 38.0, None).edges)["plumb cut level to the first riser cut"] == pytest.approx(230)
    short = build_stringer(replace(STAIR, risers=2), spec(), 286.0, mm)
    assert dict(_header(BASE, short, 38.0, None).edges)["plumb cut level to the first riser cut"] == pytest.approx(240)
    raised = tuple(replace(v, point=(0.0, 50.0)) if v.role == "top" else v for v in STRINGER.vertices)
    tall = replace(STRINGER, vertices=raised, heel=447.5)
    found = _header(BASE, tall, 38.0, None)
    assert found.bears == pytest.approx(397.5) and dict(found.edges)["floor down to the plumb cut"] == 0.0
    shallow = replace(BASE, stair=replace(BASE.stair, header_depth=300.0))
    assert _header(shallow, tall, 38.0, None).bears == pytest.approx(300)
    bare = replace(STRINGER, vertices=tuple(v for v in STRINGER.vertices if v.role != "tip"))
    assert [name for name, _ in _header(BASE, bare, 38.0, None).edges] == ["floor down to the plumb cut"]
    assert _seat(bare, 38.0, None).edges == ()


def test_the_seat_and_the_wood_over_it() -> None:
    found = _seat(STRINGER, 38.0, 7.0)
    assert (found.what, found.breadth, found.reaction) == ("seat", 38.0, 7.0) and found.bears == pytest.approx(290)
    assert found.edges == (("seat's front up to the lowest tread's seat", pytest.approx(140)),)


@pytest.mark.parametrize(
    ("x", "y", "rim", "end"),
    [
        (600.0, 60.0, ("rim to the nearest edge", 40.0), 576.0),
        (500.0, 20.5, ("rim to the nearest edge", 0.5), 500.0),
        (500.0, 15.0, ("rim past the nearest edge", 5.0), 500.0),
    ],
)
def test_a_hole_s_rim_and_centre(x: float, y: float, rim: tuple[str, float], end: float) -> None:
    """40 across, over the lower edge of a board 1176 long."""
    found = _hole(2, Hole((x, y), 40.0, "bolt"), PART, 38.0)
    assert (found.what, found.bears, found.breadth, found.reaction) == ("hole 2 (bolt)", 40.0, 38.0, None)
    assert found.area == 1520.0
    names = (rim[0], "centre to the lower edge", "centre to the nearer end, along the board")
    assert found.edges == tuple(zip(names, (pytest.approx(rim[1]), y, pytest.approx(end)), strict=True))


def test_everywhere_that_a_stringer_is_held() -> None:
    """From the header down, holes last; the supports as they are numbered, each with its own reaction."""
    asked = replace(BASE, support=(Support(500.0, 90.0), Support(250.0, 70.0)))
    part = replace(PART, holes=(Hole((500.0, 60.0), 40.0, "bolt"), Hole((600.0, 60.0), 30.0, "rail")))
    found = replace(judged(asked), reactions=(1.0, 2.0, 3.0, 4.0))
    for strength, pushes in ((found, [1.0, 2.0, 3.0, 4.0]), (None, [None] * 4)):
        plan: Any = SimpleNamespace(job=asked, design=SimpleNamespace(strength=strength, stringer=STRINGER, part=part))
        held = joints(plan)
        names = ["header", "support 1", "support 2", "seat", "hole 1 (bolt)", "hole 2 (rail)"]
        assert [one.what for one in held] == names
        assert [one.reaction for one in held] == [*pushes, None, None]
        assert [one.bears for one in held] == pytest.approx([177.5, 70, 90, 290, 40, 30])
        assert {one.breadth for one in held} == {38.0}


def test_what_bears_is_an_area() -> None:
    assert Joint("seat", 290.0, 38.0, ()).area == 11020.0


def test_holes_of_one_kind_are_told_as_one_with_the_least_that_is_left() -> None:
    """A single one stays as it is; what each says is left is compared with the same of the others."""
    seat = Joint("seat", 140.0, 38.0, (("front", 50.0),), 1.5)

    def hole(number: int, kind: str, *left: float, bears: float = 10.0) -> Joint:
        words = ("to the lower edge", "to the end")
        return Joint(f"hole {number} ({kind})", bears, 38.0, tuple(zip(words, left, strict=True)), hole=(number, kind))

    bolt, other, rod = hole(1, "bolt", 40.0, 90.0), hole(2, "bolt", 60.0, 70.0), hole(3, "rod", 30.0, 80.0)
    alone = (seat, bolt, rod)
    assert grouped(alone) == alone and grouped(()) == ()
    both = replace(bolt, what="holes 1 and 2 (bolt)", edges=(("to the lower edge", 40.0), ("to the end", 70.0)))
    assert grouped((seat, bolt, other, rod)) == (seat, both, rod)
    # The first stands for all, whichever of them comes first.
    assert grouped((other, rod, bolt))[0] == replace(
        other, what="holes 2 and 1 (bolt)", edges=(("to the lower edge", 40.0), ("to the end", 70.0))
    )
    three = grouped((bolt, other, hole(4, "bolt", 45.0, 65.0)))
    assert [(j.what, [left for _, left in j.edges]) for j in three] == [("holes 1, 2 and 4 (bolt)", [40.0, 65.0])]
    # Of another size, or with less to bear on, they are of another kind.
    assert len(grouped((bolt, hole(2, "bolt", 60.0, 70.0, bears=9.0)))) == 2

"""A job's design laid over files that were drawn, turned, spoilt: how they lie, and what they differ in."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import pytest
import shapely
from ezdxf.document import Drawing
from ezdxf.math import Matrix44, bulge_to_arc
from msgspec.structs import replace

from cutpath.inspect.against import drawn, whole
from cutpath.inspect.against.lacking import miscounted
from cutpath.inspect.against.table import AGAINST
from cutpath.inspect.read import seen
from cutpath.inspect.values import Inspected
from cutpath.inspect.whole import inspect_against
from cutpath.outline import Chain
from cutpath.plan.values import Plan
from cutpath.units import shown_in
from tests.jobs import job_of_plan, job_with, plan_of
from tests.zoo import GOLDEN, outline, text_of

PART = {
    "orchard-steps": "orchard-steps/parts/orchard-steps-stringer.dxf",
    "garden-room": "garden-room/parts/garden-room-south-door-stringer.dxf",
    "steel-plate": "steel-plate/parts/plant-room-steps-stringer.dxf",
    "closed-string": "closed-string/parts/workshop-loft-door-left.dxf",
}


@cache
def plan_for(job: str) -> Plan:
    return plan_of(job_with(job))


def looked(doc: Drawing, plan: Plan) -> Inspected:
    return inspect_against(seen("sent.dxf", doc), job_of_plan(plan), shown_in(plan.job.units))


def sent(job: str) -> Drawing:
    """The job's own part file, as ezdxf has it."""
    return ezdxf.read(io.StringIO(text_of(PART[job])))


def kinds(found: Inspected) -> set[str]:
    return {f.kind for f in found.findings if f.kind in AGAINST}


def moved(doc: Drawing, *, turn: float = 0, mirror: bool = False, scale: float = 1) -> None:
    matrix = Matrix44.scale(-scale if mirror else scale, scale, 1) @ Matrix44.z_rotate(math.radians(turn))
    matrix @= Matrix44.translate(40 * scale, -13 * scale, 0)
    for entity in doc.modelspace():
        entity.transform(matrix)


@pytest.mark.parametrize("turn", [0, 17.5, 90, 211])
@pytest.mark.parametrize("mirror", [False, True])
def test_any_place_turn_and_mirror_is_found(turn: float, mirror: bool) -> None:
    doc = sent("orchard-steps")
    moved(doc, turn=turn, mirror=mirror)
    for entity in doc.modelspace().query("LWPOLYLINE"):
        # What a program that mirrors leaves behind: geometry in the plane, not seen from behind.
        rows = [(p.x, p.y, b) for p, (_, _, b) in zip(entity.vertices_in_wcs(), entity.get_points("xyb"), strict=True)]
        sign = entity.dxf.extrusion.z
        entity.dxf.extrusion = (0, 0, 1)
        entity.set_points([(x, y, sign * b) for x, y, b in rows], format="xyb")
    found = looked(doc, plan_for("orchard-steps"))
    assert kinds(found) == ({"mirrored"} if mirror else set())
    assert not found.spoils
    (part,) = found.laid
    assert part.mirrored == mirror and part.deviation < 0.002 and part.scale == pytest.approx(1, abs=1e-9)
    # The turn of the mirror image is the turn after it was mirrored along x.
    assert part.turn == pytest.approx(turn, abs=1e-3)


@pytest.mark.parametrize(
    ("scale", "words"), [(10.0, "10 times too large"), (1 / 25.4, "25.4 times too small"), (1.02, "1.02")]
)
def test_a_scale_is_told_and_mixed_units_by_their_names(scale: float, words: str) -> None:
    doc = sent("orchard-steps")
    moved(doc, scale=scale, turn=30)
    found = looked(doc, plan_for("orchard-steps"))
    (told,) = [f for f in found.findings if f.kind == "scaled"]
    assert words in told.words and found.spoils
    assert found.laid[0].scale == pytest.approx(scale, rel=1e-6) and found.laid[0].deviation < 0.002


@pytest.mark.parametrize(
    ("scale", "words"),
    [
        (1.05, "drawn 1.05 times its size"),
        (0.1, "10 times too small: centimetres taken for millimetres"),
        (2.54, "2.54 times too large: centimetres taken for inches"),
        (12.0, "12 times too large: inches taken for feet"),
    ],
)
def test_a_part_of_another_size_that_was_cut_short_is_told_as_both(scale: float, words: str) -> None:
    """A fifth of it lacks at the foot, with the two notches there; what is left is as designed, in its size."""
    doc = sent("orchard-steps")
    line = outline(doc)
    whole = shapely.Polygon([(x, y) for x, y, _ in line.get_points("xyb")])
    x0, y0, x1, y1 = whole.bounds
    left = whole.intersection(shapely.box(x0, y0, x1 - 0.2 * (x1 - x0), y1))
    line.set_points(list(left.exterior.coords)[:-1], format="xy")
    moved(doc, scale=scale, turn=30)
    found = looked(doc, plan_for("orchard-steps"))
    (told,) = [f for f in found.findings if f.kind == "scaled"]
    assert words in told.words and found.laid[0].scale == pytest.approx(scale, rel=1e-3)
    assert "extra-notch" in kinds(found) and not kinds(found) & {"no-part", "compensated", "deviation"}


def reshaped(doc: Drawing, change: Callable[[list[tuple[float, float, float]]], Sequence[tuple[float, ...]]]) -> None:
    line = outline(doc)
    line.set_points(change([tuple(p) for p in line.get_points("xyb")]), format="xyb")


@pytest.mark.slow
def test_the_greatest_deviation_is_told_with_its_place() -> None:
    doc = sent("orchard-steps")

    def bulged(points: list[tuple[float, float, float]]) -> list[tuple[float, ...]]:
        # The first side is the lower edge: its middle pushed out by 0.1 in.
        (x, y, _), (u, v, _) = points[0], points[1]
        size = math.dist((x, y), (u, v))
        middle = ((x + u) / 2 + (v - y) / size * 0.1, (y + v) / 2 - (u - x) / size * 0.1, 0.0)
        return [points[0], middle, *points[1:]]

    reshaped(doc, bulged)
    found = looked(doc, plan_for("orchard-steps"))
    assert kinds(found) == {"deviation"}
    (part,) = found.laid
    assert part.deviation == pytest.approx(2.54, abs=0.01)
    (x, y), (u, v) = list(outline(sent("orchard-steps")).get_points("xy"))[:2]
    assert math.dist(part.deviation_at, ((x + u) / 2 * 25.4, (y + v) / 2 * 25.4)) < 4


def corners_of(plan: Plan) -> list[tuple[float, float]]:
    per = 25.4 if plan.job.units == "in" else 1.0
    return [(n.corner[0] / per, n.corner[1] / per) for n in plan.design.part.notches]


def without_corner(
    points: Sequence[tuple[float, ...]], corner: tuple[float, float], reach: float
) -> list[tuple[float, ...]]:
    """The outline with all vertices near an inside corner gone: its notch filled straight from tip to tip."""
    return [
        (x, y, 0.0 if math.dist((x, y), corner) < 3 * reach else b)
        for x, y, b in points
        if math.dist((x, y), corner) > reach
    ]


def test_a_missing_notch_is_told_by_its_tread() -> None:
    plan = plan_for("orchard-steps")
    doc = sent("orchard-steps")
    reshaped(doc, lambda points: without_corner(points, corners_of(plan)[1], 2.0))
    found = looked(doc, plan)
    assert kinds(found) == {"missing-notch"}
    (told,) = [f for f in found.findings if f.kind == "missing-notch"]
    assert f"tread {plan.design.part.notches[1].tread} " in told.words
    assert told.hit.at is not None and math.dist(told.hit.at, plan.design.part.notches[1].corner) < 0.01


def test_an_extra_notch_is_told() -> None:
    doc = sent("orchard-steps")

    def bitten(points: list[tuple[float, float, float]]) -> list[tuple[float, ...]]:
        (x, y, _), (u, v, _) = points[0], points[1]
        on = [((x + (u - x) * t), (y + (v - y) * t)) for t in (0.4, 0.5, 0.6)]
        size = math.dist((x, y), (u, v))
        tip = (on[1][0] - (v - y) / size * 5, on[1][1] + (u - x) / size * 5, 0.0)
        return [points[0], (*on[0], 0.0), tip, (*on[2], 0.0), *points[1:]]

    reshaped(doc, bitten)
    assert {"extra-notch", "thin-throat"} == kinds(looked(doc, plan_for("orchard-steps")))


@pytest.mark.slow
def test_a_deeper_notch_is_a_thin_throat() -> None:
    plan = plan_for("orchard-steps")
    doc = sent("orchard-steps")
    corner = corners_of(plan)[1]
    least = plan.job.stringer.throat_least / 25.4
    over = plan.design.part.notches[1].throat / 25.4 - least
    down = over + 0.25
    reshaped(doc, lambda ps: [(x, y - down * (math.dist((x, y), corner) < 1.2), b) for x, y, b in ps])
    found = looked(doc, plan)
    assert "thin-throat" in kinds(found) and found.spoils
    drawn = min(t[1] for t in found.laid[0].throats)
    assert drawn == pytest.approx((least - 0.25) * 25.4, abs=0.02)


def test_corners_without_relief_are_told() -> None:
    plan = plan_for("orchard-steps")
    doc = sent("orchard-steps")
    square = plan.design.stringer.outline().points
    reshaped(doc, lambda _: [(x / 25.4, y / 25.4, 0.0) for x, y in square])
    found = looked(doc, plan)
    assert kinds(found) == {"other-relief"} and not found.spoils
    (told,) = [f for f in found.findings if f.kind == "other-relief"]
    assert told.words.endswith(f": {len(plan.design.part.corners)}")


@pytest.mark.slow
def test_holes_that_lack_are_too_many_or_wrong_are_told() -> None:
    plan = plan_for("steel-plate")
    for name, change in {
        "missing-hole": lambda m, hole: m.delete_entity(hole),
        "hole-size": lambda m, hole: setattr(hole.dxf, "radius", hole.dxf.radius * 1.2),
        "hole-moved": lambda m, hole: hole.translate(0.05, 0, 0),
    }.items():
        doc = sent("steel-plate")
        change(doc.modelspace(), doc.modelspace().query("CIRCLE")[0])
        assert kinds(looked(doc, plan)) == {name}
    doc = sent("steel-plate")
    # In wood that nothing else takes: away from holes and slots.
    wood = shapely.Polygon(outline(doc).get_points("xy"))
    for other in doc.modelspace().query("LWPOLYLINE"):
        if other is not outline(doc) and other.dxf.layer == "PART":
            wood = wood.difference(shapely.Polygon(other.get_points("xy")).buffer(0.6))
    for hole in doc.modelspace().query("CIRCLE"):
        wood = wood.difference(shapely.Point(hole.dxf.center.x, hole.dxf.center.y).buffer(hole.dxf.radius + 0.6))
    at = wood.buffer(-0.4).representative_point()
    doc.modelspace().add_circle((at.x, at.y), 0.2, dxfattribs={"layer": "DRILL"})
    assert kinds(looked(doc, plan)) == {"extra-hole"}


def test_slots_and_pockets_that_lack_or_are_too_many_are_told() -> None:
    doc = sent("steel-plate")
    lines = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "PART" and e is not outline(doc)]
    doc.modelspace().delete_entity(lines[0])
    assert kinds(looked(doc, plan_for("steel-plate"))) == {"missing-slot"}
    doc = sent("closed-string")
    (pocket,) = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "POCKET"]
    pocket.dxf.layer = "PART"
    assert kinds(looked(doc, plan_for("closed-string"))) == {"pocket-through"}
    doc.modelspace().delete_entity(pocket)
    assert kinds(looked(doc, plan_for("closed-string"))) == {"missing-pocket"}


def square(x: float, y: float, half: float) -> list[tuple[float, float]]:
    return [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]


@pytest.mark.parametrize(("layer", "kind"), [("PART", "extra-slot"), ("POCKET", "extra-pocket")])
def test_contours_in_the_wood_that_nobody_wants_are_told(layer: str, kind: str) -> None:
    doc = sent("orchard-steps")
    doc.modelspace().add_lwpolyline(square(20, 3, 0.5), close=True, dxfattribs={"layer": layer})
    assert kinds(looked(doc, plan_for("orchard-steps"))) - {"thin-throat"} == {kind}


@pytest.mark.slow
def test_a_slot_of_another_shape_and_an_outline_off_by_little_are_told() -> None:
    doc = sent("steel-plate")
    slot = next(e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "PART" and e is not outline(doc))
    slot.translate(0.02, 0, 0)
    assert kinds(looked(doc, plan_for("steel-plate"))) == {"inner-shape"}
    slot.translate(-0.01, 0, 0)
    found = looked(doc, plan_for("steel-plate"))
    assert kinds(found) == {"small-inner-shape"} and not found.spoils
    doc = sent("orchard-steps")
    reshaped(doc, lambda points: [(x, y - 0.01 * (k == 0), b) for k, (x, y, b) in enumerate(points)])
    found = looked(doc, plan_for("orchard-steps"))
    assert kinds(found) == {"small-deviation"} and not found.spoils


@pytest.mark.slow
def test_an_outline_that_is_no_part_beside_one_is_told() -> None:
    doc = sent("orchard-steps")
    doc.modelspace().add_lwpolyline(square(100, 10, 9), close=True, dxfattribs={"layer": "PART"})
    assert kinds(looked(doc, plan_for("orchard-steps"))) == {"not-a-part"}


def test_a_part_copied_below_its_board_is_told() -> None:
    doc = ezdxf.read(io.StringIO(text_of("garden-room/boards/02.dxf")))
    plan = plan_for("garden-room")
    assert kinds(looked(doc, plan)) == set()
    (cut,) = doc.modelspace().query("LWPOLYLINE[layer=='CUT']")
    copy = cut.copy()
    doc.modelspace().add_entity(copy)
    copy.translate(0, -800, 0)
    found = looked(doc, plan)
    # It is one more than the board of the file's note has, too.
    assert kinds(found) == {"off-board", "parts-over"} and found.spoils and len(found.laid) == 2


@pytest.mark.parametrize(
    ("job", "board"), [("closed-string", "closed-string/boards/01"), ("orchard-steps", "orchard-steps/boards/02")]
)
def test_a_part_with_the_board_s_edge_that_runs_past_its_end_is_told_as_that(job: str, board: str) -> None:
    """Cuts shifted by 100 mm over the left end of the board, of which 6 mm were kept free: nothing else is wrong."""
    doc = ezdxf.readfile(GOLDEN / f"{board}.dxf")
    for entity in doc.modelspace():
        if entity.dxf.layer != "STOCK":
            entity.transform(Matrix44.translate(-100 / seen("x", doc).per_unit, 0, 0))
    plan = plan_for(job)
    found = looked(doc, plan)
    assert kinds(found) == {"off-board"} and found.spoils and len(found.laid) == 1
    (hit,) = [f.hit for f in found.findings if f.kind == "off-board"]
    assert hit.at is not None and hit.at[0] == pytest.approx(-hit.size)
    assert 93 < hit.size < 100 and found.laid[0].deviation < 0.002


def test_a_frame_that_is_cut_round_a_part_is_told() -> None:
    doc = sent("garden-room")
    doc.modelspace().add_lwpolyline(square(600, 200, 900), close=True, dxfattribs={"layer": "PART"})
    found = looked(doc, plan_for("garden-room"))
    assert kinds(found) == {"frame-cut"} and len(found.laid) == 1


def test_every_kind_of_difference_is_shown_by_a_test() -> None:
    here = Path(__file__).parent
    names = ("test_against.py", "test_against_exports.py", "test_laid_by_hand.py")
    text = "".join((here / name).read_text(encoding="utf-8") for name in names)
    assert [kind for kind in AGAINST if f'"{kind}"' not in text] == []


def test_a_part_that_a_board_lacks_is_told() -> None:
    plan = plan_for("orchard-steps")
    board = ezdxf.readfile(GOLDEN / "orchard-steps/boards/01.dxf")
    assert not kinds(looked(board, plan))
    model = board.modelspace()
    model.delete_entity(next(iter(model.query('*[layer=="CUT"]'))))
    found = looked(board, plan)
    assert kinds(found) == {"part-lacking"} and found.spoils and len(found.laid) == 1
    (words,) = [f.words for f in found.findings if f.kind == "part-lacking"]
    assert words == "by its note it is board 1, on which the job has 2 parts; 1 of them found"
    # Without the note its size says which board it is, where no other is as large.
    for note in model.query('*[layer=="NOTE"]'):
        model.delete_entity(note)
    (words,) = [f.words for f in looked(board, plan).findings if f.kind == "part-lacking"]
    assert words == "by the size of its boards it is board 1, on which the job has 2 parts; 1 of them found"


def boards_of(*counts: int, sizes: Sequence[tuple[float, float]] = ()) -> Any:
    """A plan of as many parts as these on its boards."""
    found = []
    for count, (long, wide) in zip(counts, sizes or [(0.0, 0.0)] * len(counts), strict=True):
        stock = SimpleNamespace(length=long, width=wide, least_width=wide - 3, kind="board")
        found.append(SimpleNamespace(parts=(SimpleNamespace(name="part"),) * count, stock=stock))
    return SimpleNamespace(layout=SimpleNamespace(boards=tuple(found)))


TWO = ("Board 2 of 3: 2x12. Deck.", "Board 1 of 3: 2x12. Deck.")


@pytest.mark.parametrize(
    ("texts", "found", "told"),
    [
        (("Board 2 of 3: 2x12. Deck.",), 3, "board 2, on which the job has 4 parts; 3 of them found"),
        (("Board 3 of 3: 2x12.", "Units: inches."), 0, "board 3, on which the job has 1 part; 0 of them found"),
        (("Sheet 1 of 3: x",), 1, "sheet 1, on which the job has 2 parts; 1 of them found"),
        (("Board 2 of 3: 2x12. Deck.",), 4, ""),
        (("Board 2 of 3: 2x12. Deck.",), 5, "board 2, on which the job has 4 parts; 5 were found"),
        # Boards laid in one file, and one of them laid in it twice.
        (TWO, 5, "boards 1 and 2, on which the job has 6 parts; 5 of them found"),
        (TWO, 6, ""),
        ((*TWO, "Board 3 of 3: x"), 6, "boards 1, 2 and 3, on which the job has 7 parts; 6 of them found"),
        (
            TWO[:1] * 2,
            8,
            "board 2, on which the job has 4 parts; 8 were found: the note of board 2 is there twice or more",
        ),
        (TWO[:1] * 2, 4, ""),
        # Of another job; of none that there is; not a note of ours.
        (("Board 2 of 4: 2x12. Deck.",), 3, ""),
        (("Board 2 of 4: 2x12. Deck.", *TWO), 3, ""),
        (("Board 4 of 3: 2x12.",), 0, ""),
        (("Board 0 of 3: 2x12.",), 0, ""),
        (("On Board 2 of 3: see there",), 0, ""),
        (("Board 2 of 3",), 0, ""),
        ((), 0, ""),
        ((), 7, ""),
    ],
    ids=range(18),
)
def test_what_a_board_s_note_says_it_has(texts: tuple[str, ...], found: int, told: str) -> None:
    # What lies on no board is none of its parts.
    told_of = miscounted(texts, (), boards_of(2, 4, 1), ["part"] * found + ["trial piece"])
    by = "by its notes it is " if len(texts) > 1 and "Units: inches." not in texts else "by its note it is "
    kind = "parts-over" if "were found" in told else "part-lacking"
    assert told_of == ((kind, by + told) if told else None)


def test_more_parts_than_a_job_has_are_told_whatever_the_file_is_of() -> None:
    plan = boards_of(2, 1)
    assert miscounted((), (), plan, ["part"] * 4) == ("parts-over", "the job has 3 parts in all; 4 were found")
    assert miscounted((), (), plan, ["part"] * 3) is None


@pytest.mark.parametrize(
    ("drawn", "found", "told"),
    [
        # Of three boards two are alike: one of those alone may be either.
        ([(3000, 200)], 1, "board 1, on which the job has 2 parts; 1 of them found"),
        (
            [(3000, 200), (2400, 200), (2400, 200)],
            6,
            "boards 1, 2 and 3, on which the job has 7 parts; 6 of them found",
        ),
        ([(2400, 200), (2400, 200)], 6, "boards 2 and 3, on which the job has 5 parts; 6 were found"),
        ([(2400, 200)], 0, ""),
        ([(3000, 200)] * 2, 1, ""),
        # Within 2 mm, and between the width by its size and the one that was read.
        ([(3001.9, 195.1)], 1, "board 1, on which the job has 2 parts; 1 of them found"),
        ([(3002.1, 200)], 1, ""),
        ([(3000, 194.9)], 1, ""),
        ([(3000, 202.1)], 1, ""),
        # Beside one of another size nothing is certain.
        ([(3000, 200), (999, 99)], 1, ""),
    ],
    ids=range(10),
)
def test_which_boards_a_file_is_of_their_sizes_say_where_no_note_does(
    drawn: list[tuple[float, float]], found: int, told: str
) -> None:
    plan = boards_of(2, 4, 1, sizes=[(3000, 200), (2400, 200), (2400, 200)])
    outlines = [shapely.affinity.rotate(shapely.box(0, 0, *size), 90 * k) for k, size in enumerate(drawn)]
    kind = "parts-over" if "were found" in told else "part-lacking"
    said = (kind, f"by the size of its boards it is {told}") if told else None
    assert miscounted((), outlines, plan, ["part"] * found) == said


def pasted(*names: str, notes: bool = True, apart: float = 0.0) -> Drawing:
    """Files laid in one drawing, each beside the last one."""
    from ezdxf.addons import Importer

    docs = [ezdxf.readfile(GOLDEN / f"{name}.dxf") for name in names]
    for k, doc in enumerate(docs):
        for entity in list(doc.modelspace()):
            entity.transform(Matrix44.translate(0, k * apart, 0))
            if not notes and entity.dxftype() == "TEXT":
                doc.modelspace().delete_entity(entity)
    for doc in docs[1:]:
        importer = Importer(doc, docs[0])
        importer.import_modelspace()
        importer.finalize()
    return docs[0]


@pytest.mark.parametrize("notes", [True, False])
def test_boards_laid_in_one_file_are_known_and_their_parts_counted(notes: bool) -> None:
    plan = plan_for("closed-string")
    both = pasted("closed-string/boards/01", "closed-string/boards/02", notes=notes, apart=400)
    found = looked(both, plan)
    assert not kinds(found) and {part.name for part in found.laid} == {part.name for part in plan.design.every}
    # Less all cuts of the upper board.
    model = both.modelspace()
    for cut in model.query('*[layer=="CUT"]'):
        if min(y for _, y in cut.get_points("xy")) > 350:
            model.delete_entity(cut)
    found = looked(both, plan)
    assert len(found.laid) == 1 and kinds(found) == {"part-lacking"} and found.spoils


def test_a_board_laid_in_a_file_twice_is_told() -> None:
    plan = plan_for("closed-string")
    found = looked(pasted(*["closed-string/boards/01"] * 2, apart=400), plan)
    (words,) = [f.words for f in found.findings if f.kind == "parts-over"]
    assert "board 1, on which the job has 1 part; 2 were found: the note of board 1 is there twice or more" in words
    assert kinds(found) == {"parts-over"} and not found.spoils


def test_a_board_of_the_other_hand_than_its_note_s_lacks_its_part() -> None:
    """The one stringer's board, mirrored, holds the other one: each has its housings on one face."""
    plan = plan_for("closed-string")
    doc = ezdxf.readfile(GOLDEN / "closed-string/boards/02.dxf")
    for text in list(doc.modelspace().query("TEXT")):
        doc.modelspace().delete_entity(text)
    for text in ezdxf.readfile(GOLDEN / "closed-string/boards/01.dxf").modelspace().query("TEXT"):
        doc.modelspace().add_text(text.dxf.text, dxfattribs={"layer": "NOTE"})
    found = looked(doc, plan)
    (words,) = [f.words for f in found.findings if f.kind == "part-lacking"]
    here, there = (plan.layout.boards[k].parts[0].name for k in (0, 1))
    assert words == f"by its note it is board 1, on which the job has 1 {here}; 0 of them found"
    assert [part.name for part in found.laid] == [there] and found.spoils


def test_hands_without_a_face_stand_for_one_another() -> None:
    pair = (SimpleNamespace(name="left"), SimpleNamespace(name="right"))
    boards: Any = SimpleNamespace(layout=SimpleNamespace(boards=(SimpleNamespace(parts=pair),)))
    note = ("Board 1 of 1: x",)
    assert miscounted(note, (), boards, ["left", "left"]) is None
    told = ("part-lacking", "by its note it is board 1, on which the job has 1 right; 0 of them found")
    assert miscounted(note, (), boards, ["left", "left"], {"left", "right"}) == told
    assert miscounted(note, (), boards, ["right", "left"], {"left", "right"}) is None


SET_UPS = ("garden-room/boards/01-setup-1", "garden-room/boards/01-setup-2")


@pytest.mark.parametrize(
    ("files", "notes", "apart", "words"),
    [
        (SET_UPS, True, 0.0, "set-up 1 of board 1 and set-up 2 of board 1"),
        (SET_UPS, True, 500.0, "set-up 1 of board 1 and set-up 2 of board 1"),
        (SET_UPS, False, 500.0, "set-up 1 of board 1 and set-up 2 of board 1"),
        (SET_UPS[:1] * 2, False, 500.0, "set-up 1 of board 1 more than once"),
    ],
    ids=["over each other", "side by side", "without notes", "one twice"],
)
def test_set_ups_laid_in_one_file_are_told_as_what_they_are(
    files: tuple[str, ...], notes: bool, apart: float, words: str
) -> None:
    found = looked(pasted(*files, notes=notes, apart=apart), plan_for("garden-room"))
    assert kinds(found) == {"several-files"} and found.spoils and not found.laid and found.followed is None
    (told,) = [f.words for f in found.findings if f.kind == "several-files"]
    assert told.startswith(f"it holds {words} in one")


def test_parts_beyond_those_that_are_looked_at_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = plan_for("garden-room")
    board = ezdxf.readfile(GOLDEN / "garden-room/boards/01.dxf")
    assert not looked(board, plan).spoils
    count = len(looked(board, plan).laid)
    monkeypatch.setattr(drawn, "MOST_PARTS", 1)
    found = looked(board, plan)
    assert kinds(found) == {"parts-left"} and found.spoils and len(found.laid) == 1 < count
    (words,) = [f.words for f in found.findings if f.kind == "parts-left"]
    assert words.startswith(f"{count - 1} more outline")


def test_a_file_of_other_things_is_left_after_some(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = plan_for("garden-room")
    doc = ezdxf.readfile(GOLDEN / "garden-room/parts/garden-room-south-door-stringer.dxf")
    # Six strips of a stringer's slenderness, larger than it, no two alike, are looked at first.
    for k in range(6):
        x, y, wide = 0.0, 2000.0 + 700 * k, 6000.0 + 70 * k
        strip = [(x, y), (x + wide, y), (x + wide, y + 600), (x + wide / 2, y + 400), (x, y + 600)]
        doc.modelspace().add_lwpolyline(strip, close=True, dxfattribs={"layer": "PART"})
    assert "parts-left" not in kinds(looked(doc, plan))
    monkeypatch.setattr(whole, "MOST_IN_VAIN", 3)
    found = looked(doc, plan)
    assert kinds(found) == {"parts-left", "no-part"} and not found.laid
    # What is left is what was not tried: two or more of the strips, and the stringer.
    (words,) = [f.words for f in found.findings if f.kind == "parts-left"]
    assert 3 <= int(words.split()[0]) <= 6


def test_a_mirrored_part_with_a_face_spoils_the_cut() -> None:
    plan = plan_for("closed-string")
    left = next(s for s in plan.design.parts if "left" in s.name)
    alone = replace(plan, design=replace(plan.design, parts=(left,)))
    found = looked(ezdxf.readfile(GOLDEN / "closed-string/parts/workshop-loft-door-right.dxf"), alone)
    assert kinds(found) == {"mirrored-face"} and found.spoils


def lined(polygon: shapely.Polygon, layer: str = "PART", board: tuple[float, float] | None = None) -> Drawing:
    """A file in millimetres of one outline, and of a board's, as somebody else may have drawn it."""
    doc = ezdxf.new("R2000", units=4)
    doc.header["$MEASUREMENT"] = 1
    if board:
        x, y = board
        doc.modelspace().add_lwpolyline([(0, 0), (x, 0), (x, y), (0, y)], close=True, dxfattribs={"layer": "STOCK"})
    doc.modelspace().add_lwpolyline(list(polygon.exterior.coords)[:-1], close=True, dxfattribs={"layer": layer})
    return doc


def polygon_of(chain: Chain) -> shapely.Polygon:
    return chain.polygon(0.005)


@pytest.mark.slow  # likewise: three lines are held against the job in full
def test_compensation_where_there_should_be_none_and_the_reverse_are_told() -> None:
    plan = plan_for("garden-room")
    part, radius = polygon_of(plan.design.part.outline), plan.job.cutter.radius
    assert plan.job.cutter.path == "centre"
    line = outline(ezdxf.readfile(GOLDEN / "garden-room/boards/02.dxf"), "CUT")
    doc = lined(part)
    doc.modelspace().delete_all_entities()
    doc.modelspace().add_lwpolyline(line.get_points("xyb"), format="xyb", close=True, dxfattribs={"layer": "PART"})
    found = looked(doc, plan)
    assert kinds(found) == {"compensated"} and found.laid[0].grown == radius
    assert kinds(looked(lined(part.buffer(-radius, join_style="mitre")), plan)) >= {"compensated-inside"}
    on_board = shapely.affinity.translate(part, 50, 20)
    found = looked(lined(on_board, "CUT", (2400, 340)), plan)
    assert kinds(found) == {"uncompensated"} and found.spoils


def test_a_part_drawn_by_hand_in_lines_and_arcs_on_one_layer_is_known() -> None:
    plan = plan_for("orchard-steps")
    doc = ezdxf.new("R12")
    turned = plan.design.part.outline.moved(plan.design.stringer.to_board.inverse())
    for a, b, bulge in turned.segments():
        ends = [(round(p[0] / 25.4, 4), round(p[1] / 25.4, 4)) for p in (a, b)]
        if bulge:
            centre, start, end, radius = bulge_to_arc(*ends, bulge)
            doc.modelspace().add_arc(centre, radius, math.degrees(start), math.degrees(end))
        else:
            doc.modelspace().add_line(*ends)
    doc.modelspace().add_text("Units: inches", height=1, dxfattribs={"layer": "TEXT"})
    found = looked(doc, plan)
    assert not found.spoils and found.laid[0].deviation < 0.02, [f.words for f in found.findings]


@pytest.mark.slow  # every place, size and side of every part is sought to the end
def test_a_file_of_something_else_holds_none_of_the_parts() -> None:
    other = looked(sent("closed-string"), plan_for("orchard-steps"))
    assert "no-part" in kinds(other) and other.spoils

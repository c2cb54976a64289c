"""The tape sheet, held against the check values of docs/geometry.md and plain trigonometry."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import assume, given, settings

from cutpath.design.tape import SIXTEENTH, read_on_tape, tape_sheet
from cutpath.faults import ImpossibleStringer
from cutpath.outline import straight
from cutpath.tables.result import result
from cutpath.tables.site_data import plan_tape, tape_data
from cutpath.tables.site_text import tape_text
from tests.lines import unwrapped
from tests.sheet_jobs import CASE_A, CASE_C, DEMOS, demo, planned
from tests.stairs import Drawn, drawings

IN = 25.4


def test_case_a_by_hand() -> None:
    """L 12.7598, d 5.9660, heel 6.4212, length 88.4663 (check values); sin 0.568191, cos 0.822898 (7.25 on 10.5).

    With the floor's edge detailed like the treads, tip n lies cos t + (n - 1) L along, and corner n lies (n - 1) L.
    """
    sheet = plan_tape(planned(CASE_A))
    found = {mark.name: mark for mark in sheet.marks}
    for n in range(1, 8):
        assert found[f"tip {n}"].along.exact / IN == pytest.approx(8.6404 + (n - 1) * 12.7598, abs=4e-4)
        assert found[f"tip {n}"].from_edge.exact == pytest.approx(0, abs=1e-9)
    for n in range(2, 8):
        assert found[f"corner {n}"].along.exact / IN == pytest.approx((n - 1) * 12.7598, abs=4e-4)
        assert found[f"corner {n}"].from_edge.exact / IN == pytest.approx(5.9660, abs=5.1e-5)
        assert found[f"corner {n}"].across.exact / IN == pytest.approx(5.2840, abs=5.1e-5)
    top, bottom = found["plumb cut, top"], found["plumb cut, bottom"]
    assert (top.along.exact, bottom.across.exact) == (0, 0)
    assert bottom.along.exact / IN == pytest.approx(0.568191 * 6.4212, abs=1e-4)
    front, back = found["seat, front"], found["seat, back"]
    assert front.along.exact / IN == pytest.approx(88.4663, abs=5.1e-5)
    assert front.along_lower.exact == 0
    # The seat, 11.4721 long, lies level: its length along the board is that times cos.
    assert (front.along.exact - back.along.exact) / IN == pytest.approx(11.4721 * 0.822898, abs=1e-4)
    assert front.from_edge.exact / IN == pytest.approx(0.822898 * 5.75, abs=1e-4)
    assert sheet.step_length / IN == pytest.approx(12.7598, abs=5.1e-5)
    assert (sheet.length.exact / IN, sheet.width.exact / IN) == pytest.approx((88.4663, 11.25), abs=5.1e-5)


def test_a_sixteenth_and_its_rounding_by_hand() -> None:
    """Tip 7 of case A: 8.6404 + 6 x 12.7598 = 85.1992, nearest sixteenth 85 3/16 = 85.1875, 0.0117 short."""
    sheet = plan_tape(planned(CASE_A))
    tip = next(m for m in sheet.marks if m.name == "tip 7")
    assert tip.along.rounded == 85.1875 * IN
    assert tip.along.error / IN == pytest.approx(-0.0117, abs=3e-4)
    # Stepped off instead, six times 12 3/4, it would end 6 x 0.0098 short: errors would add up.
    assert 6 * read_on_tape(sheet.step_length, SIXTEENTH).error / IN == pytest.approx(-0.0588, abs=4e-4)


def test_the_sill_notch_by_hand() -> None:
    """Case C, notch 3 1/2 deep and 1 1/2 high at a pitch of 33.3885 degrees: sin 0.550313, cos 0.834958."""
    marks = {m.name: m for m in plan_tape(planned(CASE_C)).marks}
    seat, corner, face = (marks[n] for n in ("seat, front", "sill notch, corner", "sill notch, front"))
    assert (seat.along.exact - corner.along.exact) / IN == pytest.approx(1.5 * 0.550313, abs=1e-5)
    assert (face.along.exact - corner.along.exact) / IN == pytest.approx(3.5 * 0.834958, abs=1e-5)
    assert (corner.from_edge.exact - face.from_edge.exact) / IN == pytest.approx(3.5 * 0.550313, abs=1e-5)
    assert (seat.from_edge.exact - corner.from_edge.exact) / IN == pytest.approx(1.5 * 0.834958, abs=1e-5)


@pytest.mark.parametrize(
    ("length", "step", "mark"),
    [
        (10.4, 1.0, 10.0),
        (10.5, 1.0, 11.0),
        (10.3, 0.5, 10.5),
        (7.26 * IN, SIXTEENTH, 7.25 * IN),
        (7.29 * IN, SIXTEENTH, 7.3125 * IN),
        # 7 9/32 lies half way, and halves go up, however the floats fall.
        (7.28125 * IN, SIXTEENTH, 7.3125 * IN),
        ((7.28125 - 1e-12) * IN, SIXTEENTH, 7.3125 * IN),
    ],
)
def test_rounding_is_to_the_nearest_step(length: float, step: float, mark: float) -> None:
    reading = read_on_tape(length, step)
    assert reading.rounded == pytest.approx(mark, abs=1e-9)
    assert reading.error == pytest.approx(mark - length, abs=1e-9)


@pytest.mark.slow
@given(drawings())
@settings(max_examples=60, deadline=None)
def test_no_mark_is_off_by_more_than_half_a_step_however_many(drawn: Drawn) -> None:
    try:
        stringer = drawn.stringer()
    except ImpossibleStringer:
        assume(False)
    for step in (SIXTEENTH, 1.0, 0.5):
        sheet = tape_sheet(drawn.stair, stringer, step)
        assert sheet.greatest_error <= step / 2 + 1e-6
        assert sheet.greatest_error == max(abs(r.error) for m in sheet.marks for r in m.readings)
        alongs = [m.along.exact for m in sheet.marks]
        assert alongs == sorted(alongs) and len(alongs) == len(stringer.vertices)
        for mark in sheet.marks:
            for reading in mark.readings:
                assert reading.rounded / step == pytest.approx(round(reading.rounded / step), abs=1e-6)
            assert mark.along.exact + mark.along_lower.exact == pytest.approx(stringer.length)
            assert mark.from_edge.exact + mark.across.exact == pytest.approx(drawn.width)
    tips = [m for m in sheet.marks if m.role == "tip"]
    assert [m.tread for m in tips] == list(range(1, drawn.stair.treads + 1))
    for n, tip in enumerate(tips):
        assert tip.along.exact - tips[0].along.exact == pytest.approx(n * sheet.step_length, abs=1e-6)


@given(drawings(most_risers=8))
@settings(max_examples=30, deadline=None)
def test_the_marks_joined_in_turn_are_the_outline(drawn: Drawn) -> None:
    try:
        stringer = drawn.stringer()
    except ImpossibleStringer:
        assume(False)
    sheet = tape_sheet(drawn.stair, stringer, 1.0)
    places = {(round(m.along.exact, 6), round(m.across.exact, 6)) for m in sheet.marks}
    outline = stringer.outline()
    assert places == {(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in outline.points}
    # Tips and corners in turn down the board, as the sheet names them, give back the teeth.
    by_name = {m.name: (m.along.exact, m.across.exact) for m in sheet.marks}
    for n in range(2, drawn.stair.treads + 1):
        tip, corner, following = by_name[f"tip {n - 1}"], by_name[f"corner {n}"], by_name[f"tip {n}"]
        assert math.dist(tip, corner) == pytest.approx(drawn.stair.unit_rise)
        assert math.dist(corner, following) == pytest.approx(drawn.stair.unit_run)
        assert straight((tip, corner, following), True).area() > 0, "the notch opens upward"


@pytest.mark.parametrize("name", DEMOS)
def test_the_data_is_that_of_the_result(name: str) -> None:
    found = demo(name)
    data = json.loads(json.dumps(tape_data(found)))
    stringer = result(found, {}, (), ())["stringer"]
    corners = {m["tread"]: [m["along"]["exact"], m["across"]["exact"]] for m in data["marks"] if m["role"] == "corner"}
    assert corners == {n["n"]: n["corner"] for n in stringer["notches"]}
    assert data["length"]["exact"] == stringer["length"]
    assert data["width"]["exact"] == stringer["part_width"]
    step = data["step"]
    assert step == (0.0625 if data["unit"] == "in" else 1.0)
    for mark in data["marks"]:
        for reading in (mark["along"], mark["along_lower"], mark["from_edge"], mark["across"]):
            assert reading["tape"] - reading["exact"] == pytest.approx(reading["error"], abs=2e-9)
            assert abs(reading["error"]) <= data["greatest_error"] <= step / 2 + 1e-6
            assert ("mark" in reading) == (data["unit"] == "in")


def test_half_millimetres_may_be_asked_for() -> None:
    found = demo("garden-room")
    assert tape_data(found, 0.5)["step"] == 0.5
    assert tape_data(found, 0.5)["greatest_error"] <= 0.25 < tape_data(found)["greatest_error"]
    assert "to the nearest 0.5 mm" in " ".join(unwrapped(tape_text(found, 0.5)))


def test_the_table_reads_as_the_tape_does() -> None:
    text = tape_text(planned(CASE_A))
    rows = [" ".join(line.split()) for line in text.splitlines() if line.startswith("tip 7")]
    # Lower end, in a second table below: 88.4663 - 85.1992 = 3.2671, nearest 3 1/4, 0.0171 short.
    assert rows == ["tip 7 85 3/16 85.1992 -0.0117 0 0.0000 0", "tip 7 3 1/4 3.2671 -0.0171"]
    tables = text.split("\n\n")[1:3]
    assert max(len(line) for block in tables for line in block.splitlines()) <= 80


def test_the_sheet_says_where_the_saw_stops() -> None:
    words = "Stop the saw at the corner; finish it by hand."
    saw, none = (" ".join(unwrapped(tape_text(demo(name)))) for name in ("orchard-steps", "closed-string"))
    assert words in saw and words not in none


def test_without_teeth_the_treads_seats_are_marked() -> None:
    """Case A housed: seats lie where a notched stringer's tips do, along one line square in from the upper edge."""
    housed = planned(CASE_A, stringer={"form": "housed", "count": 2, "throat_least": 3})
    notched = {m.name: m for m in plan_tape(planned(CASE_A)).marks}
    seats = [m for m in plan_tape(housed).marks if m.role == "tip"]
    assert [m.name for m in seats] == [f"tread {n}, seat" for n in range(1, 8)]
    for n, seat in enumerate(seats, start=1):
        tip = notched[f"tip {n}"].along.exact - notched["tip 1"].along.exact
        assert seat.along.exact - seats[0].along.exact == pytest.approx(tip)
        assert seat.from_edge.exact == pytest.approx(seats[0].from_edge.exact)
    text = tape_text(housed)
    assert "square to the upper edge" in text and "level cut, end" in text and "mirrored" in text
    assert "square to the notched edge" in tape_text(planned(CASE_A))

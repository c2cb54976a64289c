"""Drawings as values: extents, units, and notes kept inside the geometry."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_mm, in_units, note_span, notes_beside, one_line
from cutpath.dxf.escapes import carried, encoded, unescaped, value_of
from tests.dxf_sample import HOLE, PLATE, PLATE_BOX, sample


def test_extents_are_those_of_the_geometry_with_its_arcs_and_of_the_notes_capitals() -> None:
    drawing = Drawing((LayerChain("PART", PLATE),), (HOLE,), (Note("x", (-500.0, 900.0), 10.0),))
    assert drawing.geometry() == pytest.approx(PLATE_BOX, abs=1e-12)
    assert drawing.extents() == pytest.approx((-500.0, PLATE_BOX[1], PLATE_BOX[2], 910.0), abs=1e-12)
    assert Drawing(circles=(Circle("DRILL", (3.0, 4.0), 2.0),)).extents() == (1.0, 2.0, 5.0, 6.0)
    with pytest.raises(ValueError, match="no extents"):
        Drawing(notes=(Note("x", (0.0, 0.0), 1.0),)).extents()


@pytest.mark.parametrize("units", ["in", "mm"])
def test_there_and_back_is_within_rounding(units: str) -> None:
    drawing = sample()
    back = in_mm(in_units(drawing, units), units)
    off = max(
        math.dist(p, q)
        for c, d in zip(drawing.chains, back.chains, strict=True)
        for p, q in zip(c.chain.points, d.chain.points, strict=True)
    )
    # Half of the ninth decimal of an inch, in each direction.
    assert off <= 0.5e-9 * 25.4 * math.sqrt(2) + 1e-12
    assert [c.chain.bulges for c in back.chains] == [c.chain.bulges for c in drawing.chains]


@pytest.mark.slow
@given(
    st.lists(st.text(min_size=1, max_size=200).filter(one_line), min_size=1, max_size=12),
    st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(10, 5000), st.floats(10, 5000)),
)
def test_notes_are_one_readable_block_over_the_geometry(
    lines: list[str], place: tuple[float, float, float, float]
) -> None:
    x, y, wide, tall = place
    notes = notes_beside(lines, (x, y, x + wide, y + tall))
    # Nothing is lost: broken between words, or inside one that is longer than a row.
    assert "".join("".join(n.text.split()) for n in notes) == "".join("".join(one_line(t).split()) for t in lines)
    boxes = [n.box() for n in notes]
    longer = max(wide, max(b[2] for b in boxes) - x, max(b[3] for b in boxes) - y)
    assert all(n.height == notes[0].height >= longer / 100 for n in notes)
    assert all(box[1] > y + tall and box[0] == x for box in boxes)
    # A row of full-width letters, each wider than the row's room, can't be made narrower than one letter.
    assert all(box[2] <= x + max(wide, 0.6 * tall) + 2 * notes[0].height for box in boxes)
    for above, below in itertools.pairwise(boxes):
        assert below[3] == pytest.approx(above[1], abs=1e-6), "one below the other"


def test_no_notes_for_nothing_and_wide_letters_take_room() -> None:
    assert notes_beside([], (0, 0, 1000, 100)) == ()
    assert note_span("ab") < note_span("中文"), "full-width letters take more room"


@given(st.text(), st.sampled_from(["r12", "r2000", "r2010", "r2013"]))
def test_any_text_comes_back_as_it_is_carried(text: str, version: str) -> None:
    try:
        meant = carried(text, version)
    except ValueError:
        assert not any(c.isprintable() and not c.isspace() for c in text)
        return
    value = value_of(text, version)
    data = encoded(value, version)
    assert b"\n" not in data
    assert b"\r" not in data
    assert unescaped(data.decode("cp1252" if version in ("r12", "r2000") else "utf-8")) == meant
    assert "%%" not in value
    assert carried(meant, version) == meant


def test_halves_of_characters_are_shown_as_such() -> None:
    assert carried("a\ud83db", "r2000") == "a�b"
    with pytest.raises(ValueError, match="without text"):
        carried("\x00\r\n ", "r2010")

"""Drawings as values: extents, units, and notes kept inside the geometry."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_mm, in_units, note_span, notes_inside
from cutpath.dxf.escapes import carried, encoded, unescaped, value_of
from tests.dxf_sample import HOLE, PLATE, PLATE_BOX, sample


def test_extents_are_those_of_the_geometry_with_its_arcs() -> None:
    drawing = Drawing((LayerChain("PART", PLATE),), (HOLE,), (Note("x", (-500.0, 900.0), 10.0),))
    assert drawing.extents() == pytest.approx(PLATE_BOX, abs=1e-12)
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


@given(
    st.lists(st.text(max_size=60), min_size=1, max_size=8),
    st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(1, 4000), st.floats(1, 400)),
    st.floats(0.5, 50),
)
def test_notes_keep_inside_their_box(lines: list[str], place: tuple[float, float, float, float], height: float) -> None:
    x, y, wide, tall = place
    notes = notes_inside(lines, (x, y, x + wide, y + tall), height)
    assert [n.text for n in notes] == lines
    for note in notes:
        left, bottom, right, top = note.box()
        assert 0 < note.height <= height
        assert x - 1e-9 <= left <= right <= x + wide + 1e-9
        assert y - 1e-9 <= bottom <= top <= y + tall + 1e-9
    for above, below in itertools.pairwise(notes):
        assert below.box()[3] <= above.box()[1] + 1e-9, "one below the other"


def test_notes_take_the_height_asked_for_where_there_is_room() -> None:
    (note,) = notes_inside(["Units: inches"], (0, 0, 1000, 100), 6.0)
    assert note.height == 6.0
    assert notes_inside([], (0, 0, 1000, 100), 6.0) == ()
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

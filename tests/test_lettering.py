"""The stroke alphabet: every sign is clean to cut, is its own, and nothing goes missing."""

from __future__ import annotations

import itertools
import math
import unicodedata

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutpath.outline import Chain
from cutpath.work.lettering import _GLYPHS, CAPITAL, spelled, stroke_text, text_width

SIGNS = sorted(_GLYPHS)
UNKNOWN = stroke_text("漢", 6.0)


def box(chains: tuple[Chain, ...]) -> tuple[float, float, float, float]:
    return shapely.union_all([c.line() for c in chains]).bounds


def segments(chains: tuple[Chain, ...]) -> list[shapely.LineString]:
    return [shapely.LineString([a, b]) for c in chains for a, b, _ in c.segments()]


def test_the_alphabet_holds_what_names_and_measures_need() -> None:
    for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789" + "-.,/'\"()#+&:=<>" + "!?*%@$_;[]{}|\\^~`°×←→":
        assert c in SIGNS, c
    printable = {chr(n) for n in range(33, 127)}
    assert {c for c in printable if stroke_text(c, 6.0) == UNKNOWN} == set(), "all of ASCII is drawn"


@pytest.mark.parametrize("sign", SIGNS)
def test_each_sign_is_clean(sign: str) -> None:
    """No stroke without length, none twice, none along another; straight; on the base line, under the cap height."""
    chains = stroke_text(sign, 10.0)
    assert chains
    parts = segments(chains)
    assert all(p.length > 10.0 / CAPITAL - 1e-9 for p in parts), "no stroke is shorter than the grid"
    for a, b in itertools.combinations(parts, 2):
        assert a.intersection(b).length < 1e-9
        assert a.intersection(b.buffer(1e-6)).length < 1e-3, "nor nearly along one another"
    for chain in chains:
        assert not any(chain.bulges)
        assert len(set(chain.points)) == len(chain.points) or not chain.closed
        assert chain.closed or chain.points[0] != chain.points[-1], "a loop is closed"
    left, bottom, right, top = box(chains)
    assert left == 0.0
    assert bottom >= 0.0
    assert top <= 10.0
    assert right == pytest.approx(text_width(sign, 10.0))


def test_no_two_signs_look_alike() -> None:
    """The same strokes for two signs would be a slip in the table; signs that differ in place alone are told by it."""
    shapes = {sign: shapely.union_all(segments(stroke_text(sign, 6.0))) for sign in SIGNS}
    shapes["unknown"] = shapely.union_all(segments(UNKNOWN))
    for (a, one), (b, other) in itertools.combinations(shapes.items(), 2):
        apart = shapely.hausdorff_distance(one, other, densify=0.05)
        assert apart >= 0.7, (a, b, apart)


def test_capitals_and_digits_fill_the_height() -> None:
    for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789":
        assert box(stroke_text(c, 10.0))[1::2] == pytest.approx((0.0, 10.0)), c


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("Barn steps", "BARN STEPS"),
        ("é Å ñ ü ç Ž", "E A N U C Z"),
        ("Straße, smørrebrød, Œuvre, Łódź", "STRASSE, SMØRREBRØD, OEUVRE, LODZ"),
        ("½", "1/2"),
        ("7½ 10¼", "7 1/2 10 1/4"),
        ("5′-7″", "5'-7\""),
        ("“a” ‘b’ – c…", "\"A\" 'B' - C..."),
        ("in²", "IN2"),
        ("e\u0301", "E"),
        ("a\tb\nc\u2028d", "A B C D"),
        ("A\u200bB", "AB"),
        ("ｆｕｌｌ", "FULL"),
        ("ﬁt", "FIT"),
    ],
)
def test_spelling(text: str, drawn: str) -> None:
    assert spelled(text) == drawn
    assert stroke_text(text, 6.0) == stroke_text(drawn, 6.0)


def test_what_has_no_sign_leaves_a_mark() -> None:
    assert len(UNKNOWN) == 1
    assert UNKNOWN[0].closed
    for text in ("漢", "\U0001f642", "ж", "\ue000"):
        assert stroke_text(text, 6.0) == UNKNOWN


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=12))
@example(text="¯")
def test_every_visible_character_is_drawn(text: str) -> None:
    strokes = stroke_text(text, 10.0)
    # What takes room on a line by Unicode's categories: letters, numbers, punctuation, symbols, private use.
    visible = sum(unicodedata.category(c)[0] in "LNPS" or unicodedata.category(c) == "Co" for c in text)
    assert len(strokes) >= visible
    flat = segments(strokes)
    for a, b in itertools.combinations(flat, 2):
        assert a.intersection(b).length < 1e-9


@settings(max_examples=40, deadline=None)
@given(
    st.text(alphabet=st.characters(codec="ascii", categories=("L", "N", "P", "S")), min_size=1, max_size=12),
    st.floats(3, 60),
    st.floats(-math.pi, math.pi),
    st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3)),
)
def test_size_place_and_turn(text: str, height: float, angle: float, at: tuple[float, float]) -> None:
    plain, placed = stroke_text(text, height), stroke_text(text, height, at, angle)
    left, bottom, right, top = box(plain)
    assert left == pytest.approx(0.0, abs=1e-9)
    assert right == pytest.approx(text_width(text, height))
    assert bottom >= -1e-9
    assert top <= height + 1e-9
    assert sum(c.length() for c in placed) == pytest.approx(sum(c.length() for c in plain))
    cos, sin = math.cos(angle), math.sin(angle)
    for one, other in zip(plain, placed, strict=True):
        for (x, y), q in zip(one.points, other.points, strict=True):
            assert q == pytest.approx((at[0] + cos * x - sin * y, at[1] + sin * x + cos * y), abs=1e-8)


@pytest.mark.slow
def test_letters_stand_apart() -> None:
    """Neighbours never touch, so that no stroke of one runs into the other."""
    for a, b in itertools.product(SIGNS, repeat=2):
        strokes = stroke_text(a + b, 6.0)
        count = len(stroke_text(a, 6.0))
        gap = box(strokes[count:])[0] - box(strokes[:count])[2]
        assert gap >= 2.0 - 1e-9, (a, b)


def test_nothing_is_nothing() -> None:
    assert stroke_text("", 10.0) == ()
    assert stroke_text("   ", 10.0) == ()
    assert text_width("", 10.0) == 0.0
    assert text_width("A A", 6.0) == pytest.approx(4 + 2 + 3 + 2 + 4)

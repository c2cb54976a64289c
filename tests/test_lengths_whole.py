"""No line of any output ends inside a length: `3'-4` over `1/2"` reads as two lengths."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from cutpath.drawing import notes_beside
from cutpath.pictures.words import wrapped
from cutpath.screen import WIDTH, fit, table
from cutpath.units import unbroken

TEXT = (
    'Stringers 0" to 1 1/2"; 1\'-1 1/2" to 1\'-3"; 3\'-4 1/2" to 3\'-6", dig in 0.2505 in (~1/4) plumb, 61.9916 in '
    "(~5'-2\") long, 7 1/4 high, 184.15 mm, 10 3/16 in wide"
)
#: What stands together: a whole number and its fraction, a number and its unit, both and the nearest sixteenth.
PARTS = ('1 1/2"', "1'-1 1/2\"", "3'-4 1/2\"", "0.2505 in (~1/4)", "61.9916 in (~5'-2\")", "7 1/4", "184.15 mm")
PARTED = re.compile(r"\d\n(?:\d+/\d|in\b|mm\b|\()|\bin\n\(")


def on_the_screen() -> Iterator[list[str]]:
    for room in range(24, 120):
        yield [line.strip() for line in fit([TEXT], room).split("\n")]


def on_a_drawing() -> Iterator[list[str]]:
    for room in range(240, 1000, 7):
        yield wrapped(TEXT, float(room), 18.0, 40)


def in_a_cut_file() -> Iterator[list[str]]:
    for wide in range(100, 4000, 50):
        yield [note.text for note in notes_beside([TEXT], (0.0, 0.0, float(wide), 500.0))]


def on_a_pattern() -> Iterator[list[str]]:
    from reportlab.pdfgen.canvas import Canvas

    from cutpath.pattern.draw import broken

    canvas = Canvas("never-saved.pdf")
    for width in range(35, 200, 3):
        yield broken(canvas, TEXT, 9.0, float(width))


@pytest.mark.parametrize("pages", [on_the_screen, on_a_drawing, in_a_cut_file, on_a_pattern])
def test_no_line_ends_inside_a_length(pages: Callable[[], Iterator[list[str]]]) -> None:
    counts = set()
    for lines in pages():
        assert " ".join(lines) == TEXT, "nothing is lost, and nothing broken but between words"
        assert not PARTED.search("\n".join(lines)), lines
        counts.add(len(lines))
    assert len(counts) > 2, "lines were broken in several ways"


def test_the_parts_of_a_length_are_one_word() -> None:
    assert set(PARTS) <= {word.rstrip(";,") for word in unbroken(TEXT)}
    assert unbroken("  12   boards, 3 of them  1 1/2 wide ") == ["12", "boards,", "3", "of", "them", "1 1/2", "wide"]


@pytest.mark.parametrize("long", [20, 25, 30, 40])
def test_a_column_of_words_is_no_narrower_than_its_longest_word(long: int) -> None:
    """A word longer than the column's room stood past the table's edge, and was set a line lower at the left."""
    word = "k" * long
    rows = [("sill-depth", "ok", "v" * 16, "least 34, most 38", f"{word} of the job")]
    made = table(("check", "", "value", "limit", "source"), rows, left=frozenset({0, 1, 3, 4}))
    assert max(map(len, made.split("\n"))) <= WIDTH
    assert fit([made]) == made, "no line has to be broken again"
    blocks = [block.split("\n") for block in made.split("\n\n")]
    last = next(block for block in blocks if "source" in block[0])
    column = last[0].index("source")
    assert any(line[column:].startswith(word) for line in last[1:])

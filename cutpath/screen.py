"""Plain, aligned tables and lines for a terminal or a pipe, none of whose text does anything to a terminal."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from typing import Final

#: Characters of the category "format" that writing needs: the joiner and the non-joiner of scripts that join letters.
_NEEDED: Final = frozenset("\u200c\u200d")
#: Controls, directions and other marks that can't be seen, line ends of other systems, and halves of characters.
_UNSEEN: Final = frozenset({"Cc", "Cf", "Zl", "Zp", "Cs"})


def clean(text: str, *, line_ends: bool = True) -> str:
    """A text whose every character can be seen: controls and marks of direction spelt out, but for line ends.

    A name or a source is somebody's text; none of it is to move the cursor, colour, overwrite or turn round what the
    terminal shows (Unicode Technical Report 36 on bidirectional text, ECMA-48 for the controls).

    Args:
        text: any.
        line_ends: whether they are kept.
    """
    if text.isascii() and (text.replace("\n", "") if line_ends else text).isprintable():
        return text
    return "".join(c if (line_ends and c == "\n") or not is_unseen(c) else _spelt(c) for c in text)


def is_unseen(c: str) -> bool:
    """Whether a character moves, hides or turns round what is shown, and shows nothing itself."""
    return unicodedata.category(c) in _UNSEEN and c not in _NEEDED


def _spelt(c: str) -> str:
    return c.encode("unicode_escape").decode()


def table(head: Sequence[str], rows: Sequence[Sequence[str]], left: frozenset[int] = frozenset()) -> str:
    """Columns aligned by spaces.

    Args:
        head: the columns' names.
        rows: of cells, as many as `head` each.
        left: columns set flush left; the others are flush right, as numbers are.

    Returns:
        The lines, without a line break at the end.
    """
    lines = [list(head), *[[clean(cell, line_ends=False) for cell in row] for row in rows]]
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]

    def cell(text: str, i: int) -> str:
        return text.ljust(widths[i]) if i in left else text.rjust(widths[i])

    return "\n".join("  ".join(cell(text, i) for i, text in enumerate(line)).rstrip() for line in lines)


def facts(pairs: Sequence[tuple[str, str]]) -> str:
    """Names and values in two columns."""
    width = max(len(name) for name, _ in pairs)
    return "\n".join(f"{name.ljust(width)}  {clean(value, line_ends=False)}" for name, value in pairs)

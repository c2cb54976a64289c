"""Plain, aligned tables and lines for a terminal or a pipe: none of whose text does anything to a terminal.

None is wider than 80 columns, where that can be.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final

from cutpath.units import kept_whole

#: As wide as a terminal is that nobody has widened (common practice, no source).
WIDTH: Final = 80

_GAP: Final = "  "

#: Words may be broken into lines this long rather than stand in a table of their own.
_LEAST_ROOM: Final = 24

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
    """Columns aligned by spaces; those that find no room beside the others stand in a second table below.

    Args:
        head: the columns' names.
        rows: of cells, as many as `head` each.
        left: columns set flush left; the others are flush right, as numbers are.

    Returns:
        The lines, without a line break at the end. Each table below another, after an empty line, begins with the first
        column again, by which rows are told apart; or with the first two where the first is a mark without a name.
    """
    lines = [list(head), *[[clean(cell, line_ends=False) for cell in row] for row in rows]]
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]
    keys = list(range(1 if head[0] else 2))
    groups = [list(keys)]
    full = False
    for i in range(len(keys), len(head)):
        room = WIDTH - _wide([*(widths[k] for k in groups[-1]), 0])
        least = max(_LEAST_ROOM, *(_longest_word(line[i]) for line in lines)) if i in left else widths[i]
        if len(groups[-1]) > len(keys) and (full or (widths[i] > room and room < least)):
            groups.append(list(keys))
            full = False
        elif widths[i] > room:
            full = True
        groups[-1].append(i)
    return "\n\n".join(_one(lines, widths, columns, left) for columns in groups)


def _longest_word(cell: str) -> int:
    """How wide the widest stretch is that no line may break."""
    return max((len(word) for word in kept_whole(cell).split(" ")), default=0)


def _wide(widths: Sequence[int]) -> int:
    return sum(widths) + len(_GAP) * (len(widths) - 1)


def _one(lines: list[list[str]], widths: list[int], columns: list[int], left: frozenset[int]) -> str:
    """A table of some columns; a last column of words that is too wide has its lines broken."""
    last = columns[-1]
    room = WIDTH - _wide([widths[i] for i in columns]) + widths[last]
    broken = room < widths[last] and last in left
    out: list[str] = []
    for line in lines:
        if not any(line[i] for i in columns):
            # It goes on below itself in another column, which stands in another table.
            continue
        more = _held(line[last], max(room, 20)) if broken else []
        cells = [*(line[i] for i in columns[:-1]), more[0] if more else line[last]]
        pairs = zip(columns, cells, strict=True)
        aligned = [text.ljust(widths[i]) if i in left else text.rjust(widths[i]) for i, text in pairs]
        out.append(_GAP.join(aligned).rstrip())
        indent = " " * _wide([*(widths[i] for i in columns[:-1]), 0])
        out += [indent + rest for rest in more[1:]]
    return "\n".join(out)


def fit(lines: Iterable[str], room: int = WIDTH) -> str:
    """Lines, and tables, of which none is wider than a terminal where that can be: a line goes on below, set in.

    Args:
        lines: of words, or whole tables; what starts with a space is a table's and stays.
        room: columns that there are.
    """
    out: list[str] = []
    for line in "\n".join(lines).split("\n"):
        out += [line] if len(line) <= room or line.startswith(" ") else _held(line, room, _GAP)
    return "\n".join(out)


def _held(text: str, room: int, indent: str = "") -> list[str]:
    """A text's lines, broken between words but inside no length."""
    found = textwrap.wrap(
        kept_whole(text),
        room,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
        replace_whitespace=False,
    )
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in found]


def facts(pairs: Sequence[tuple[str, str]]) -> str:
    """Names and values in two columns; a value that finds no room goes on below itself."""
    width = max(len(name) for name, _ in pairs)
    indent = " " * (width + len(_GAP))
    out: list[str] = []
    for name, value in pairs:
        lines = _held(clean(value, line_ends=False), WIDTH - len(indent)) or [value]
        out.append(f"{name.ljust(width)}{_GAP}{lines[0]}")
        out += [indent + line for line in lines[1:]]
    return "\n".join(out)

"""Plain, aligned tables and lines for a terminal or a pipe."""

from __future__ import annotations

from collections.abc import Sequence


def table(head: Sequence[str], rows: Sequence[Sequence[str]], left: frozenset[int] = frozenset()) -> str:
    """Columns aligned by spaces.

    Args:
        head: the columns' names.
        rows: of cells, as many as `head` each.
        left: columns set flush left; the others are flush right, as numbers are.

    Returns:
        The lines, without a line break at the end.
    """
    lines = [list(head), *[list(row) for row in rows]]
    widths = [max(len(line[i]) for line in lines) for i in range(len(head))]

    def cell(text: str, i: int) -> str:
        return text.ljust(widths[i]) if i in left else text.rjust(widths[i])

    return "\n".join("  ".join(cell(text, i) for i, text in enumerate(line)).rstrip() for line in lines)


def facts(pairs: Sequence[tuple[str, str]]) -> str:
    """Names and values in two columns."""
    width = max(len(name) for name, _ in pairs)
    return "\n".join(f"{name.ljust(width)}  {value}" for name, value in pairs)

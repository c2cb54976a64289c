"""Tables as CSV (RFC 4180, lines ended as Unix does), the one place where they are written."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final

from cutpath.screen import clean

#: What spreadsheets take for the start of a formula (OWASP, "CSV Injection"), wide forms being folded before; a tab or
#: a line's end, which it names too, is spelt out.
_FORMULA: Final = frozenset("=+-@")


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV. No text among them is a formula to a spreadsheet, whatever somebody named a part.

    Args:
        rows: cells that are numbers are written as they are; a text that would begin a formula gets an apostrophe in
            front, as people write it to have one read as text, and controls in it are spelt out as on a terminal.
    """
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([_cell(cell) for cell in row] for row in rows)
    return out.getvalue()


def _cell(cell: object) -> object:
    if not isinstance(cell, str):
        return cell
    text = clean(cell, line_ends=False)
    start = unicodedata.normalize("NFKC", text.lstrip()[:1])[:1]
    return f"'{text}" if start in _FORMULA else text

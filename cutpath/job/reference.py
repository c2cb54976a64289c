"""The reference of every key, in Markdown, from the table of keys.

`python -m cutpath.job.reference docs/job-file.md` puts it between the marks in that page.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from cutpath.job.compound import Key, ListOf, Record
from cutpath.job.keys import JOB
from cutpath.job.special import Reading

BEGIN = "<!-- keys: begin (written by cutpath.job.reference) -->"
END = "<!-- keys: end -->"


def key_reference() -> str:
    """Every key, one Markdown table for each table of the job file."""
    parts = [_table("At the top", "", [key for key in JOB.keys if _inside(key) is None])]
    for key in JOB.keys:
        inside = _inside(key)
        if inside is not None:
            title = f"`[[{key.name}]]`" if isinstance(key.kind, ListOf) else f"`[{key.name}]`"
            parts.append(_table(title, key.told(), list(_rows(inside))))
    return "\n".join(parts)


def in_page(page: str) -> str:
    """A page with what stands between the marks replaced by the reference.

    Raises:
        ValueError: if the page has no marks.
    """
    head, _, rest = page.partition(BEGIN)
    _, mark, tail = rest.partition(END)
    if not mark:
        raise ValueError("the page has no marks for the reference of keys")
    return f"{head}{BEGIN}\n\n{key_reference()}\n{END}{tail}"


def _inside(key: Key) -> Record | None:
    """The table that a top-level key opens."""
    kind = key.kind.item if isinstance(key.kind, ListOf) else key.kind
    return kind if isinstance(kind, Record) else None


def _rows(record: Record, prefix: str = "") -> Iterator[Key]:
    """A table's keys, those of its inline tables after them, by dotted names."""
    for key in record.keys:
        yield key._replace(name=prefix + key.name)
        if isinstance(key.kind, Record):
            yield from _rows(key.kind, f"{prefix}{key.name}.")
        item = key.kind.item if isinstance(key.kind, ListOf) else None
        inner = item.taut if isinstance(item, Reading) else item
        if isinstance(inner, Record):
            yield from _rows(inner, f"{prefix}{key.name}[].")


def _table(title: str, doc: str, keys: list[Key]) -> str:
    lines = [f"### {title}", ""]
    if doc:
        lines += [doc, ""]
    lines += ["| key | takes | left out | meaning |", "|---|---|---|---|"]
    for key in keys:
        cells = (f"`{key.name}`", key.kind.accepted(), key.left_out() or "none", key.doc)
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join([*lines, ""])


if __name__ == "__main__":
    page = Path(sys.argv[1])
    page.write_text(in_page(page.read_text(encoding="utf-8")), encoding="utf-8")

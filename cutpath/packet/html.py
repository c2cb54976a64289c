"""Pieces of HTML that the packet's pages are put together from. All text is escaped here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from cutpath.pictures.words import escaped
from cutpath.units import MM_PER_INCH, Unit, cell, show

# More rows than these are let run over a printed page's end; fewer are kept together.
_LONG: Final = 24


class Markup(str):
    """Text that is HTML already."""

    __slots__ = ()


def text(value: str) -> Markup:
    """Any text as HTML, also inside a quoted attribute; characters that no page can carry are replaced."""
    return value if isinstance(value, Markup) else Markup(escaped(value).replace("'", "&#x27;"))


def name(value: str) -> Markup:
    """A user's own text, kept apart from the direction that the words round it are written in."""
    return Markup(f"<bdi>{text(value)}</bdi>")


def joined(parts: Iterable[str], between: str = "") -> Markup:
    """Pieces one after another."""
    return Markup(text(between).join([text(part) for part in parts]))


class Lengths:
    """Lengths of `result.json`, numbers in the job's unit, as a reader sees them with the number kept beside."""

    def __init__(self, unit: Unit) -> None:
        """Of a job's unit."""
        self.unit: Unit = unit
        self.name: Final = "inches" if unit == "in" else "millimetres"
        self.mm: Final = float(MM_PER_INCH) if unit == "in" else 1.0
        # The same few lengths come again and again.
        self._made: dict[tuple[float, bool], Markup] = {}

    def cell(self, value: float | None, absent: str = "-") -> Markup:
        """For a table whose heading names the unit."""
        return text(absent) if value is None else self._of(value, False)

    def show(self, value: float | None, absent: str = "-") -> Markup:
        """With its unit."""
        return text(absent) if value is None else self._of(value, True)

    def _of(self, value: float, with_unit: bool) -> Markup:
        made = self._made.get((value, with_unit))
        if made is None:
            made = _data(value, (show if with_unit else cell)(value * self.mm, self.unit))
            self._made[(value, with_unit)] = made
        return made


def number(value: float, words: str | None = None) -> Markup:
    """A number that is no length, with the exact one kept beside what is shown."""
    return _data(value, f"{value:.6g}" if words is None else words)


def _data(value: float, words: str) -> Markup:
    return Markup(f'<data value="{value!r}">{text(words)}</data>')


def table(
    caption: str,
    head: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    wide: bool = False,
    words: frozenset[int] = frozenset({0}),
) -> Markup:
    """A table with a caption and a heading for each column; a row's first cell is its heading.

    Args:
        caption: what it shows; its name to a screen reader, too.
        head: the columns' names.
        rows: of cells, as many as `head` each.
        wide: whether it may be wider than a phone, and then scrolls sideways by itself.
        words: columns that hold words; the others hold figures, set flush right.
    """
    kinds = ["" if i in words else ' class="n"' for i in range(len(head))]
    found = list(rows)
    out = [
        f"<table{_class('long' if len(found) > _LONG else '')}>\n<caption>",
        text(caption),
        "</caption>\n<thead><tr>",
    ]
    out += [f'<th scope="col"{kind}>{text(h)}</th>' for kind, h in zip(kinds, head, strict=True)]
    out.append("</tr></thead>\n<tbody>\n")
    for row in found:
        cells = [f"<td{kind}>{text(c)}</td>" for kind, c in zip(kinds, row, strict=True)]
        cells[0] = f'<th scope="row"{kinds[0]}>{text(row[0])}</th>'
        out += ["<tr>", *cells, "</tr>\n"]
    out.append("</tbody>\n</table>\n")
    made = "".join(out)
    if wide:
        made = f'<div class="wide" role="group" tabindex="0" aria-label="{text(caption)}">\n{made}</div>\n'
    return Markup(made)


def facts(pairs: Iterable[tuple[str, str]]) -> Markup:
    """Names and values."""
    rows = "".join([f"<div><dt>{text(what)}</dt><dd>{text(value)}</dd></div>\n" for what, value in pairs])
    return Markup(f'<dl class="facts">\n{rows}</dl>\n')


def listed(lines: Iterable[str], ordered: bool = False, kind: str = "") -> Markup:
    """A list, numbered where its order matters."""
    tag = "ol" if ordered else "ul"
    return Markup(f"<{tag}{_class(kind)}>\n" + "".join([f"<li>{text(line)}</li>\n" for line in lines]) + f"</{tag}>\n")


def paragraph(words: str, kind: str = "") -> Markup:
    """A paragraph."""
    return Markup(f"<p{_class(kind)}>{text(words)}</p>\n")


def heading(words: str, kind: str = "") -> Markup:
    """A heading inside a page."""
    return Markup(f"<h3{_class(kind)}>{text(words)}</h3>\n")


def _class(kind: str) -> str:
    return f' class="{kind}"' if kind else ""


def figure(key: str, title: str, svg: str, *below: str) -> Markup:
    """A drawing under a heading of its own.

    Args:
        key: names the drawing to the packet's script and to links.
        title: what it shows.
        svg: the drawing's whole document.
        below: what is said under it.
    """
    # In a page the namespace is known; without it no address stands in the packet at all.
    inline = svg.replace(' xmlns="http://www.w3.org/2000/svg"', "", 1).strip()
    inline = inline[inline.index("<svg") :]
    return Markup(
        f'<figure id="drawing-{key}" class="drawing" data-drawing="{key}">\n<h3>{text(title)}</h3>\n'
        f'<div class="picture">{inline}</div>\n'
        + (f"<figcaption>{joined(below)}</figcaption>\n" if below else "")
        + "</figure>\n"
    )

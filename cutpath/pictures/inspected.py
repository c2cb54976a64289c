"""A file's geometry as it was read, with what was found marked and numbered, as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.inspect.values import Finding, Inspected, Role
from cutpath.outline import Box, box_round
from cutpath.pictures.canvas import View, num
from cutpath.pictures.words import escaped

_WIDE: Final = 1400.0
_TALL: Final = 900.0
_EDGE: Final = 50.0
_LINE: Final = 20.0
#: Findings marked with a number; a picture with more of them shows nothing.
_MOST: Final = 60
#: Entities drawn; beyond it the rest is left out, and the picture says so.
_MOST_DRAWN: Final = 40_000
#: What is cut is dark and whole; all else is grey or broken, so that no colour has to be told apart.
_STROKES: Final[dict[Role, str]] = {
    "cut": 'stroke="#000" stroke-width="1.6"',
    "mark": 'stroke="#0b4a94" stroke-width="0.8"',
    "stock": 'stroke="#777" stroke-width="1" stroke-dasharray="10 4"',
    "note": 'stroke="#999" stroke-width="0.6"',
    "hidden": 'stroke="#999" stroke-width="0.8" stroke-dasharray="2 3"',
    "off": 'stroke="#555" stroke-width="1" stroke-dasharray="4 3"',
}
_MARKS: Final = {"spoils": "#b00020", "told": "#8a5a00"}


def inspected_svg(found: Inspected) -> str:
    """The picture.

    Args:
        found: what was read and found.

    Returns:
        SVG; findings without a place stand in its list alone.
    """
    roles: dict[str, Role] = {r.name.casefold(): r.role for r in found.roles}
    drawn = [i for i in found.seen.items if i.chain is not None and i.space == "model"]
    left_out = max(0, len(drawn) - _MOST_DRAWN)
    drawn = drawn[:_MOST_DRAWN]
    box: Box = box_round([i.chain.extents() for i in drawn if i.chain is not None]) if drawn else (0.0, 0.0, 1.0, 1.0)
    wide, tall = max(box[2] - box[0], 1e-6), max(box[3] - box[1], 1e-6)
    scale = min((_WIDE - 2 * _EDGE) / wide, (_TALL - 2 * _EDGE) / tall)
    height = tall * scale + 2 * _EDGE
    view = View(scale, _EDGE - box[0] * scale, _EDGE + box[3] * scale)
    out = []
    for item in drawn:
        assert item.chain is not None
        role = roles.get(item.layer.casefold(), "off")
        out.append(f'<path d="{view.data(item.chain)}" fill="none" {_STROKES[role]}/>')
    marked = found.findings[:_MOST]
    out += _numbers(marked, view, height)
    rows = _words(found, marked, left_out)
    whole = height + _LINE * (len(rows) + 1)
    for k, row in enumerate(rows):
        out.append(f'<text x="{num(_EDGE)}" y="{num(height + _LINE * (k + 0.7))}">{escaped(row)}</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(_WIDE)} {num(whole)}" '
        'font-family="Helvetica, Arial, sans-serif" font-size="14">\n'
        f'<rect width="{num(_WIDE)}" height="{num(whole)}" fill="#fff"/>\n' + "\n".join(out) + "\n</svg>\n"
    )


def _numbers(marked: Sequence[Finding], view: View, height: float) -> list[str]:
    """A ring round each place in the picture, and its number beside it; those of one place beside each other."""
    out: list[str] = []
    taken: dict[tuple[int, int], int] = {}
    for k, finding in enumerate(marked, 1):
        if finding.hit.at is None:
            continue
        x, y = view(finding.hit.at)
        # What isn't drawn, such as a block's place, may lie anywhere, and further out than a number can tell.
        if not (0 <= x <= _WIDE and 0 <= y <= height):
            continue
        place = (round(x / 12), round(y / 12))
        shift = taken.get(place, 0)
        taken[place] = shift + 1
        colour = _MARKS[finding.severity]
        dash = ' stroke-dasharray="3 2"' if finding.severity == "told" else ""
        out.append(
            f'<circle cx="{num(x)}" cy="{num(y)}" r="9" fill="none" stroke="{colour}" stroke-width="2"{dash}/>'
            f'<text x="{num(x + 11 + 20 * shift)}" y="{num(y - 8)}" fill="{colour}" font-weight="bold">{k}</text>'
        )
    return out


def _words(found: Inspected, marked: Sequence[Finding], left_out: int) -> list[str]:
    rows = [f"{k}  {f.kind}: {f.words}" for k, f in enumerate(marked, 1)]
    every = sum(n for _, n in found.counts)
    if every > len(marked):
        rows.append(f"and {every - len(marked)} findings more")
    if left_out:
        rows.append(f"{left_out} entities more are not drawn")
    return [r if len(r) < 170 else r[:167] + "..." for r in rows] or ["nothing was found"]

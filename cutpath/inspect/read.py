"""A DXF file as a machine would see it: every entity of every space, blocks taken apart, and what the header says."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cutpath.inspect.blocks import Blocks, TooMuch
from cutpath.inspect.course import COARSEST_CHORD, Course
from cutpath.inspect.entities import IGNORED, item_of, layer_of
from cutpath.inspect.load import MOST_ENTITIES, NotReadable, load
from cutpath.inspect.values import Element, LayerSeen, Seen, Space

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: `$INSUNITS`: what a unit is called, and its millimetres (DXF reference, header; the inch by definition of 1959).
UNITS: Final[dict[int, tuple[str, float]]] = {
    1: ("in", 25.4),
    2: ("ft", 304.8),
    3: ("miles", 1609344.0),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    7: ("km", 1e6),
    8: ("microinches", 25.4e-6),
    9: ("mils", 25.4e-3),
    10: ("yards", 914.4),
    13: ("microns", 1e-3),
    14: ("dm", 100.0),
}
#: How a file of a version without a unit says it in words: "Units: inches", "all dimensions in mm". An "in" before
#: another word is no inch.
_SAID: Final = re.compile(
    r"\b(?:units?|dimensions?|lengths?|drawn)\b[^.;]{0,30}?"
    r"\b(?:(?P<inch>inch(?:es)?|in(?![ \t]+\w))|(?P<mm>mm|millimet(?:er|re)s?))\b",
    re.IGNORECASE,
)
#: A stringer drawn in inches is some 40 to 200 units long, one in millimetres 1000 and more.
_INCHES_BELOW: Final = 400.0
#: Coarse chords that all arcs together may come to: half a million half circles of 6 mm come to as many.
MOST_CHORDS: Final = 6_000_000
_TEXTS: Final = frozenset(("TEXT", "MTEXT"))
#: Texts beyond this many say nothing that those before did not.
_MOST_TEXTS: Final = 2000


def read(path: Path) -> Seen:
    """Read a file.

    Args:
        path: where it is.

    Raises:
        NotReadable: there is nothing to be known of what it holds.
    """
    document, flaws = load(path)
    try:
        return seen(str(path), document, flaws)
    except TooMuch as why:
        raise NotReadable(f"{path}: {why}: see that its unit is right, explode and purge it, or split it") from None
    except RecursionError:
        raise NotReadable(f"{path}: is nested too deeply for a drawing") from None


def seen(name: str, document: Document, flaws: tuple[str, ...] = ()) -> Seen:
    """A document as a machine would see it.

    Args:
        name: the file's, for messages.
        document: of ezdxf.
        flaws: what had to be mended to read it.

    Raises:
        TooMuch: it draws, or its blocks unfold to, more than is looked at.
    """
    texts = _texts(document)
    unit, per = _unit(document, texts)
    items, cycles = _items(document, per or 1.0)
    guessed = per is None
    if per is None:
        points = [p for item in items if item.chain is not None and item.space == "model" for p in item.chain.points]
        long = max(max(xs) - min(xs) for xs in zip(*points, strict=True)) if points else 0.0
        per = 25.4 if 0 < long < _INCHES_BELOW else 1.0
        if per != 1.0:
            items, cycles = _items(document, per)
    curved = Course([i.chain for i in items if i.chain is not None and any(i.chain.bulges)])
    if curved.chords(COARSEST_CHORD).sum() > MOST_CHORDS:
        raise TooMuch(f"draws arcs so large or so many that they come to over {MOST_CHORDS:,} chords")
    return Seen(
        name,
        document.acad_release,
        unit,
        per,
        guessed,
        _metric(document),
        items,
        _layers(document, items),
        texts,
        flaws,
        cycles,
    )


def _items(document: Document, per: float) -> tuple[tuple[Element, ...], tuple[str, ...]]:
    found: list[Element] = []
    blocks = Blocks(document, per, MOST_ENTITIES)
    for layout in document.layouts:
        space: Space = "model" if layout.is_modelspace else "paper"
        for entity in layout:
            kind = entity.dxftype()
            if kind == "INSERT":
                found += blocks.items(entity, space)
            elif kind not in IGNORED:
                held: dict[str, Any] = vars(entity.dxf)
                item = item_of(entity, held.get("handle") or "", layer_of(entity), space, per)
                found.append(blocks.counted(item))
    return tuple(found), tuple(sorted(blocks.cycles))


def _texts(document: Document) -> tuple[str, ...]:
    found: list[str] = []
    for entity in document.modelspace():
        if entity.dxftype() in _TEXTS:
            text = entity.dxf.get("text", "") if entity.dxftype() == "TEXT" else getattr(entity, "text", "")
            found.append(str(text))
            if len(found) >= _MOST_TEXTS:
                break
    return tuple(found)


def _unit(document: Document, texts: tuple[str, ...]) -> tuple[str, float | None]:
    """What a unit is called, and its millimetres; none where neither header nor, in R12, a text says it."""
    try:
        stated = UNITS.get(int(document.header.get("$INSUNITS", 0)))
    except (TypeError, ValueError):
        stated = None
    if document.dxfversion <= "AC1009":
        # The version has no unit: what a program put there is less than what a note says.
        for text in texts:
            said = _SAID.search(text)
            if said:
                return ("in", 25.4) if said["inch"] else ("mm", 1.0)
    return stated if stated is not None else ("", None)


def _metric(document: Document) -> bool | None:
    try:
        return bool(int(document.header["$MEASUREMENT"]))
    except (KeyError, TypeError, ValueError):
        return None


def _layers(document: Document, items: tuple[Element, ...]) -> tuple[LayerSeen, ...]:
    found: dict[str, LayerSeen] = {}
    for layer in document.layers:
        name = str(layer.dxf.get("name", ""))
        found[name.casefold()] = LayerSeen(name, layer.is_frozen(), layer.is_off())
    for item in items:
        if item.layer.casefold() not in found:
            found[item.layer.casefold()] = LayerSeen(item.layer, False, False)
    return tuple(found.values())

"""A document mended step by step; each step reads it anew, so that it sees what the ones before it left."""

from __future__ import annotations

import io
import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cutpath.faults import Fault, FileMismatch
from cutpath.inspect.blocks import Blocks, TooMuch, name_of
from cutpath.inspect.contours import Contour, join
from cutpath.inspect.find.contours import length_words, open_contour
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.load import MOST_ENTITIES, load
from cutpath.inspect.read import seen as seen_of
from cutpath.inspect.repair.arcs import as_arcs
from cutpath.inspect.repair.values import Allowed, Mended, Repaired
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, Seen
from cutpath.job.values import Layers
from cutpath.outline import Chain
from cutpath.screen import clean
from cutpath.tolerances import NO_LENGTH
from cutpath.units import many

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: Gaps wider than this are no slip: what belongs there is not known.
MOST_GAP: Final = 1.0
#: `$INSUNITS` and `$MEASUREMENT` (DXF reference, header).
_UNITS: Final = {"in": (1, 0), "mm": (4, 1)}
#: What an entity that takes another's place keeps of it.
_KEPT: Final = ("layer", "color", "true_color", "linetype", "lineweight", "ltscale")
_WOULD_BE: Final = "holds what would be damaged if it were written anew"
_DAMAGED: Final = frozenset(("unreadable", "not-finite"))
_CURVES: Final = frozenset(("SPLINE", "ELLIPSE", "HELIX"))


def repair(path: Path, allowed: Allowed) -> Repaired:
    """Mend a file as far as that is no guess.

    Args:
        path: of the file; it is only read.
        allowed: what may be done.

    Raises:
        NotReadable: the file can't be read.
        Fault: it is damaged, so that what it held would be a guess.
        FileMismatch: the repaired file, read back, has something else changed than is listed.
    """
    document, flaws = load(path)
    if flaws:
        raise Fault(f"{path}: is damaged ({flaws[0]}), and what it held would be a guess; have it saved anew")
    try:
        before = seen_of(str(path), document)
        mend = _Mend(str(path), document, allowed)
        mend.run()
    except TooMuch as why:
        raise Fault(f"{path}: {why}: explode and purge it") from None
    changed = [c for c in mend.changes if c.kind == "changed"]
    if not changed:
        return Repaired(None, tuple(mend.changes), before.per_unit)
    with _writing(path):
        stream = io.StringIO()
        document.write(stream)
        data = document.encode(stream.getvalue())
    _verify(path, before, data, mend.touched, allowed)
    return Repaired(data, tuple(mend.changes), mend.look().seen.per_unit)


class _Mend:
    """One repair under way."""

    def __init__(self, name: str, document: Document, allowed: Allowed) -> None:
        self.name, self.document, self.allowed = name, document, allowed
        self.model = document.modelspace()
        self.changes: list[Mended] = []
        self.touched: set[str] = set()

    def look(self) -> Looked:
        """The document as it is now."""
        seen = seen_of(self.name, self.document)
        names = Layers()
        return Looked(seen, roles_of(seen, names, self.allowed.cut_layers), names)

    def run(self) -> None:
        """All steps in turn."""
        self._set_units()
        self._explode()
        self._curves()
        self._drop_empty()
        self._drop_twice()
        self._join()
        look = self.look()
        for hit in open_contour(look):
            self.changes.append(Mended("left", f"a contour stays open, {hit.detail}", hit.at, (hit.handle,)))

    def _note(self, words: str, *elements: Element, left: bool = False) -> None:
        at = next((e.at for e in elements if e.at is not None), None)
        handles = tuple(dict.fromkeys(e.handle for e in elements if e.handle))
        self.changes.append(Mended("left" if left else "changed", words, at, handles))
        if not left:
            self.touched |= set(handles)

    def _entity(self, handle: str) -> Any:
        return self.document.entitydb.get(handle)

    def _delete(self, handle: str) -> None:
        entity = self._entity(handle)
        if entity is not None and entity.is_alive:
            self.model.delete_entity(entity)

    def _set_units(self) -> None:
        header, units = self.document.header, self.allowed.units
        if units is None:
            if self.look().seen.guessed:
                self._note("the unit is not stated, and none was told: --units in|mm", left=True)
            return
        if self.document.dxfversion <= "AC1009":
            self._note("the version (R12) has no unit to be set: write it in a note", left=True)
            return
        code, metric = _UNITS[units]
        if header.get("$INSUNITS", 0) != code or header.get("$MEASUREMENT", 0) != metric:
            header["$INSUNITS"], header["$MEASUREMENT"] = code, metric
            self._note(f"the unit is set to {units}; no coordinate was changed")

    def _explode(self) -> None:
        """Inserts with anything on cut layers become what is in them."""
        look = self.look()
        blocks = Blocks(self.document, 1.0, MOST_ENTITIES)
        found = [e for e in look.model if e.kind == "INSERT" and look.role(e) == "cut"]
        for element in {e.handle: e for e in found}.values():
            insert = self._entity(element.handle)
            if insert is None:
                continue
            # Asked before anything is changed: taken apart in the mind, what can't be shows here.
            odd = {t.kind for item in blocks.items(insert, "model") for t in item.traits}
            if odd & {"unreadable", "not-finite"}:
                self._note("a block that is damaged can't be exploded", element, left=True)
                continue
            if not blocks.whole(name_of(insert)):
                self._note("a block that holds itself, or is nowhere, can't be exploded", element, left=True)
                continue
            name = name_of(insert)
            count = self._exploded(insert)
            self._note(f"block {name} is exploded into {many(count, 'entity', 'entities')}", element)

    def _exploded(self, insert: Any) -> int:
        count = 0
        for part in list(insert.explode()):
            if part.dxftype() == "INSERT":
                count += self._exploded(part)
            else:
                count += 1
        return count

    def _curves(self) -> None:
        """Splines and ellipses on cut layers become straights and arcs."""
        look = self.look()
        for element in look.cuts:
            if element.kind not in _CURVES or element.chain is None:
                continue
            room = self.allowed.tolerance * 0.9
            chain = as_arcs(element.chain.points, room, closed=element.chain.closed)
            within = length_words(self.allowed.tolerance, look.seen.unit)
            self._replace([element], chain, look.seen.per_unit)
            count = sum(1 for _ in chain.segments())
            self._note(
                f"{element.kind} made into {many(count, 'straight or arc', 'straights and arcs')}, within {within}",
                element,
            )

    def _drop_empty(self) -> None:
        """Entities and segments without length go."""
        look = self.look()
        for element in look.model:
            if look.role(element) == "cut" and any(t.kind == "zero-length" for t in element.traits):
                self._delete(element.handle)
                self._note(f"a {element.kind} without length is deleted", element)
        for element in look.dots:
            assert element.chain is not None
            if element.chain.length() <= NO_LENGTH:
                self._delete(element.handle)
                self._note(f"a {element.kind} without length is deleted", element)
        for element in look.cuts:
            chain = element.chain
            assert chain is not None
            if element.kind not in ("LWPOLYLINE", "POLYLINE"):
                continue
            kept = [k for k, (a, b, bulge) in enumerate(chain.segments()) if math.dist(a, b) > NO_LENGTH or bulge]
            count = sum(1 for _ in chain.segments()) - len(kept)
            if count:
                points = [chain.points[k] for k in kept]
                bulges = [chain.bulges[k] for k in kept]
                if not chain.closed:
                    points.append(chain.points[-1])
                    bulges.append(0.0)
                self._replace([element], Chain(tuple(points), tuple(bulges), chain.closed), look.seen.per_unit)
                self._note(f"{many(count, 'segment')} without length {'is' if count == 1 else 'are'} dropped", element)

    def _drop_twice(self) -> None:
        """Entities all of whose segments are there already go; the first stays."""
        look = self.look()
        course = look.course
        same: dict[int, set[int]] = defaultdict(set)
        with_: dict[int, set[int]] = defaultdict(set)
        gone: set[int] = set()
        for contact in look.contacts.twice:
            one, other = int(course.owner[contact.one]), int(course.owner[contact.other])
            if one != other and max(one, other) < len(look.cuts):
                same[other].add(contact.other)
                with_[other].add(one)
                same[one].add(contact.one)
                with_[one].add(other)
        for k in sorted(same, reverse=True):
            whole = len(same[k]) == int(course.first[k + 1] - course.first[k])
            stays = [o for o in with_[k] if o not in gone]
            element = look.cuts[k]
            if whole and len(stays) >= 1 and look.cuts[stays[0]].layer.casefold() == element.layer.casefold():
                gone.add(k)
                self._delete(element.handle)
                others = ", ".join(sorted({look.cuts[o].handle for o in stays}))
                self._note(f"a {element.kind} that is there twice is deleted; {others} stays", element)
            elif stays and not any(o in gone for o in with_[k]) and max(with_[k]) < k:
                self._note("a part of it is there twice, and which to delete would be a guess", element, left=True)

    def _join(self) -> None:
        """Ends that meet, or nearly do, become one contour."""
        look = self.look()
        chains = [e.chain for e in look.cuts if e.chain is not None]
        joined = join(chains, self.allowed.gap)
        for contour in joined.contours:
            elements = [look.cuts[k] for k in contour.members]
            if any(max(joined.degree[k]) > 2 for k in contour.members):
                self._note("three ends or more meet, and which belong together would be a guess", *elements, left=True)
                continue
            gaps = _gaps(contour, chains, self.allowed.gap)
            alone = len(elements) == 1
            own = elements[0].chain
            assert own is not None
            if alone and (own.closed or not gaps):
                continue
            if not contour.closed and not gaps:
                continue
            if len({e.layer.casefold() for e in elements}) > 1:
                self._note(
                    "ends of several layers meet, and whose the contour is would be a guess", *elements, left=True
                )
                continue
            if any("tilted" in {t.kind for t in e.traits} for e in elements):
                self._note("it is tilted, and how it was meant would be a guess", *elements, left=True)
                continue
            closed = contour.closed or alone
            if alone:
                points, bulges = own.points[:-1], own.bulges[:-1]
                chain = Chain(points, bulges, True)
            else:
                chain = contour.chain(chains)
            self._replace(elements, chain, look.seen.per_unit)
            told = [length_words(g, look.seen.unit) for g in gaps if g > NO_LENGTH]
            what = f"{many(len(elements), 'entity is', 'entities are')} {'a closed' if closed else 'one open'} contour"
            self._note(what + (f", gaps of {', '.join(told[:5])} closed" if told else ""), *elements)

    def _replace(self, elements: Sequence[Element], chain: Chain, per: float) -> None:
        """Put one polyline in the place of entities."""
        source = self._entity(elements[0].handle)
        attribs = {n: source.dxf.get(n) for n in _KEPT if source is not None and source.dxf.hasattr(n)}
        attribs["layer"] = elements[0].layer
        rows = [(x / per, y / per, b) for (x, y), b in zip(chain.points, chain.bulges, strict=True)]
        add = self.model.add_polyline2d if self.document.dxfversion <= "AC1009" else self.model.add_lwpolyline
        add(rows, format="xyb", close=chain.closed, dxfattribs=attribs)
        for handle in dict.fromkeys(e.handle for e in elements):
            self._delete(handle)


def _gaps(contour: Contour, chains: Sequence[Chain], most: float) -> list[float]:
    """How far apart the ends are that a contour joins; of one that stays open and alone, none."""
    runs = [
        chains[k].reversed() if back else chains[k] for k, back in zip(contour.members, contour.backwards, strict=True)
    ]
    gaps = [math.dist(a.points[-1], b.points[0]) for a, b in pairwise(runs)]
    if runs[0].closed:
        return []
    if len(runs) == 1:
        own = math.dist(runs[0].points[0], runs[0].points[-1])
        return [own] if own <= most and len(runs[0].points) > 2 else []
    if contour.closed:
        gaps.append(math.dist(runs[-1].points[-1], runs[0].points[0]))
    return gaps


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    """Have whatever the library raises at what a file holds be a fault of the file."""
    try:
        yield
    except Exception as why:
        said = clean(" ".join(str(why).split())[:160], line_ends=False) or type(why).__name__
        raise Fault(f"{path}: {_WOULD_BE} ({said}); have it saved anew") from None


def _verify(path: Path, before: Seen, data: bytes, touched: set[str], allowed: Allowed) -> None:
    """Read the repaired file and hold all that wasn't to be changed against what it was."""
    from cutpath.inspect.load import document_of

    with _writing(path):
        document, flaws = document_of(data)
    if flaws:
        raise Fault(f"{path}: {_WOULD_BE} ({flaws[0]}); have it saved anew")
    after = seen_of(str(path), document)
    scale = before.per_unit / after.per_unit
    there = Counter(_keys(after, scale))
    for key, element in zip(_keys(before, 1.0), before.items, strict=True):
        if element.handle in touched:
            continue
        if not there[key]:
            if any(t.kind in _DAMAGED or t.detail.endswith("which is nowhere") for t in element.traits):
                raise Fault(
                    f"{path}: {element.kind} {element.handle} is damaged, and would be lost in writing the file anew; "
                    "delete it where it was drawn"
                )
            raise FileMismatch(
                f"{path}: {element.kind} {element.handle} would be changed, though it isn't to be; nothing was "
                "written; this is a fault of the program, please report it with the file"
            )
        there[key] -= 1


def _keys(seen: Seen, scale: float) -> Iterator[object]:
    """What makes an element what it is, to nine digits."""
    for e in seen.items:
        points = None
        if e.chain is not None:
            points = tuple((round(x * scale, 6), round(y * scale, 6)) for x, y in e.chain.points)
        yield (e.handle, e.kind, e.layer, e.space, points)

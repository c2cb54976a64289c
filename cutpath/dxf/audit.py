"""What a drawing must hold to before it is written: the faults that make a shop refuse a file, or cut scrap from it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, NoReturn

from cutpath.drawing import MM_PER, Drawing, is_finite, one_line
from cutpath.faults import FileMismatch
from cutpath.job.values import Layers
from cutpath.outline import Box, Chain, Point
from cutpath.outline import circle as circle_chain
from cutpath.tolerances import ARC_CHORD, FILE_MATCH, WRITTEN_DECIMALS
from cutpath.units import Unit

if TYPE_CHECKING:
    from shapely import LineString

#: Characters that no layer name may hold (DXF reference, symbol names).
_NOT_IN_LAYERS: Final = re.compile(r'[<>/\\":;?*|=`\x00-\x1f]')


def cut_layers(layers: Layers) -> frozenset[str]:
    """The layers whose contours go through the board, by the job's names for them."""
    return frozenset((layers.part, layers.cut, layers.drill, layers.tab))


def tool_layers(layers: Layers) -> frozenset[str]:
    """The layers that a tool follows: cuts and marks."""
    return cut_layers(layers) | {layers.mark, layers.pocket, layers.lead}


def audit(name: str, drawing: Drawing, units: Unit, layers: Layers) -> None:
    """Refuse a drawing that no file may carry.

    Faults: numbers that are not finite, no geometry, unknown layers, layer names that no file can have or that differ
    in case alone, chains without enough points, segments without length, open chains whose ends meet or that bulge past
    their end, circles without radius; on layers that a tool follows, segments that are there twice or run along one
    another; on cut layers, a contour that meets itself, or another one other than end to end; notes without text, on
    the geometry's box, or too small to be read with the whole drawing in view.

    Args:
        name: the file's, for messages.
        drawing: as the file carries it: in its unit, rounded.
        units: the file's unit.
        layers: the job's layer names.

    Raises:
        FileMismatch: naming the file, the place and the fault.
    """
    _Audit(name, drawing, units, layers).run()


class _Audit:
    """One audit: what is asked of it, and the tolerances in the file's unit."""

    def __init__(self, name: str, drawing: Drawing, units: Unit, layers: Layers) -> None:
        self.name, self.drawing, self.layers = name, drawing, layers
        self.near = FILE_MATCH / MM_PER[units]
        self.along = ARC_CHORD / MM_PER[units]
        self.tool = tool_layers(layers)
        self.cut = cut_layers(layers)

    def run(self) -> None:
        """Make every test, the cheap ones first."""
        if not is_finite(self.drawing):
            self._refuse("a number is not finite")
        self._layers()
        for place, _, chain in self._chains():
            self._chain(place, chain)
        for k, circle in enumerate(self.drawing.circles, 1):
            if circle.radius <= self.near:
                self._refuse(f"circle {k} on layer {circle.layer} has no radius")
        self._notes()
        self._twice()
        self._contacts()

    def _refuse(self, fault: str) -> NoReturn:
        raise FileMismatch(
            f"{self.name}: {fault}; nothing was written; this is a fault of the program, please report it with the job"
        )

    def _chains(self) -> Iterator[tuple[str, str, Chain]]:
        for k, c in enumerate(self.drawing.chains, 1):
            yield f"contour {k} on layer {c.layer}", c.layer, c.chain

    def _layers(self) -> None:
        known = self.tool | {self.layers.stock}
        used = {c.layer for c in self.drawing.chains} | {c.layer for c in self.drawing.circles}
        for layer in sorted(used - known):
            self._refuse(f"layer {layer} is none of the job's")
        everything = [*sorted(known), self.layers.note]
        if len({n.casefold() for n in everything}) < len(set(everything)):
            self._refuse("two layer names differ in case alone")
        for layer in everything:
            if not layer.strip() or _NOT_IN_LAYERS.search(layer):
                self._refuse(f"{layer!r} can't be a layer's name")

    def _chain(self, place: str, chain: Chain) -> None:
        count = len(chain.points)
        if count < 2 or (chain.closed and count == 2 and not all(chain.bulges)):
            self._refuse(f"{place} has too few points")
        for k, (a, b, _) in enumerate(chain.segments(), 1):
            if abs(a[0] - b[0]) <= self.near and abs(a[1] - b[1]) <= self.near:
                self._refuse(f"{place}: segment {k} at {_at(a)} has no length")
        if not chain.closed:
            if chain.bulges[-1]:
                self._refuse(f"{place} is open and bulges past its end")
            a, b = chain.points[0], chain.points[-1]
            # No cut is left open by less than any machine can hold, so this one was meant to be closed.
            if abs(a[0] - b[0]) <= self.along and abs(a[1] - b[1]) <= self.along:
                self._refuse(f"{place} is open, but ends where it starts, at {_at(a)}")

    def _notes(self) -> None:
        try:
            box = self.drawing.geometry()
        except ValueError:
            self._refuse("it holds no geometry")
        left, bottom, right, top = self.drawing.extents()
        longer = max(right - left, top - bottom)
        for k, note in enumerate(self.drawing.notes, 1):
            if not one_line(note.text) or note.height <= self.near:
                self._refuse(f"note {k} is empty")
            if not _apart(note.box(), box):
                self._refuse(f"note {k} stands on the geometry")
            if note.height < longer / 100:
                self._refuse(f"note {k} is too small to be read with the whole drawing in view")

    def _twice(self) -> None:
        seen: set[object] = set()
        for place, layer, chain in self._chains():
            if layer in self.tool:
                for a, b, bulge in chain.segments():
                    key = _key(a, b, bulge)
                    if key in seen:
                        self._refuse(f"{place}: the segment from {_at(a)} to {_at(b)} is there twice")
                    seen.add(key)
        for c in self.drawing.circles:
            if c.layer in self.tool:
                if (c.centre, c.radius) in seen:
                    self._refuse(f"the circle at {_at(c.centre)} on layer {c.layer} is there twice")
                seen.add((c.centre, c.radius))

    def _contacts(self) -> None:
        """Hold each pair of contours that come within the tolerance of one another against what may touch."""
        import shapely

        followed = [(place, layer, chain) for place, layer, chain in self._chains() if layer in self.tool]
        for k, c in enumerate(self.drawing.circles, 1):
            if c.layer in self.tool:
                followed.append((f"circle {k} on layer {c.layer}", c.layer, circle_chain(c.centre, c.radius)))
        if not followed:
            return
        places = [place for place, _, _ in followed]
        cuts = [layer in self.cut for _, layer, _ in followed]
        lines = self._lines([chain for _, _, chain in followed])
        for place, cut, simple in zip(places, cuts, shapely.is_simple(lines), strict=True):
            if cut and not simple:
                self._refuse(f"{place} meets itself")
        found = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=self.near).T.tolist()
        pairs = [(i, j) for i, j in found if i < j]
        for i, j in pairs:
            if cuts[i] and cuts[j] and self._collide(lines[i], lines[j]):
                self._refuse(f"{places[i]} meets {places[j]}")
        # Strokes of one letter touch, and a mark may cross a cut; a line run twice over is a fault anywhere.
        rest = [(i, j) for i, j in pairs if not (cuts[i] and cuts[j])]
        if rest:
            beside = shapely.buffer([lines[i] for i, _ in rest], self.near, quad_segs=1)
            shared = shapely.length(shapely.intersection(beside, [lines[j] for _, j in rest]))
            for (i, j), length in zip(rest, shared, strict=True):
                if length > self.along:
                    self._refuse(f"{places[i]} runs along {places[j]}")

    def _lines(self, chains: list[Chain]) -> list[LineString]:
        """The chains as shapely lines, made in one go since there are many short ones."""
        import shapely

        points: list[Point] = []
        owner: list[int] = []
        for k, chain in enumerate(chains):
            flat = chain.flattened(self.along)
            if chain.closed:
                flat.append(flat[0])
            points += flat
            owner += [k] * len(flat)
        return list(shapely.linestrings(points, indices=owner))

    def _collide(self, one: LineString, other: LineString) -> bool:
        """Whether two cuts that touch do more than share an end, as the pieces of one long cut do."""
        ends = one.boundary.intersection(other.boundary.buffer(self.near))
        if ends.is_empty:
            return True
        room = ends.buffer(self.along)
        return bool(one.difference(room).distance(other.difference(room)) <= self.near)


def _key(a: Point, b: Point, bulge: float) -> object:
    """One value for a segment, whichever way it runs; written points are equal to the last decimal or differ."""
    bulge = round(bulge, WRITTEN_DECIMALS)
    return (a, b, bulge + 0.0) if a <= b else (b, a, 0.0 - bulge)


def _apart(one: Box, other: Box) -> bool:
    return one[2] <= other[0] or one[0] >= other[2] or one[3] <= other[1] or one[1] >= other[3]


def _at(point: Point) -> str:
    return f"({point[0]:.9g}, {point[1]:.9g})"

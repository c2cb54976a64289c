"""What lies in a drawn part against what its design has there: holes, slots and pockets, in the design's frame."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Final

from cutpath.cut.features import Hole
from cutpath.inspect.against.values import Difference, Drawn, Lie, Wanted
from cutpath.outline import Point
from cutpath.tolerances import ARC_CHORD, JOINED

#: A hole is the one that is meant if it lies this near, millimetres, or within its own radius.
_HOLE: Final = 3.0
_SIZE: Final = 0.05
#: How much of two inner contours has to be common for them to be the same one.
_SAME: Final = 0.6
#: Chords of a quarter of a hole: under 0.001 mm off for any.
_QUARTER: Final = 64


def inner_differences(drawn: Drawn, wanted: Wanted, lie: Lie) -> list[Difference]:
    """What lies in a drawn part other than in its design.

    Args:
        drawn: file's frame.
        wanted: board frame.
        lie: how the one lies on the other.
    """
    inner = _Inner(drawn, wanted, lie)
    return [*inner.holes(), *inner.others()]


class _Inner:
    """One comparison: holes first, as what is drawn without circles may be one."""

    def __init__(self, drawn: Drawn, wanted: Wanted, lie: Lie) -> None:
        self.drawn, self.wanted, self.lie = drawn, wanted, lie
        self.there = [(self.map(polygon), pocket) for polygon, pocket in drawn.inner]
        #: Of those, the numbers of what is a hole drawn without a circle.
        self.as_holes: set[int] = set()

    def map(self, shape: Any) -> Any:
        """A shape of the file's frame in the design's."""
        from shapely.affinity import affine_transform

        return affine_transform(shape, list(self.lie.matrix))

    def holes(self) -> Iterator[Difference]:
        """Round holes that lack, are too many, of another size or of another shape."""
        import shapely

        rounds = []
        for centre, radius in self.drawn.circles:
            at = self.map(shapely.Point(centre))
            rounds.append(((at.x, at.y), 2 * radius / self.lie.scale))
        left = list(range(len(rounds)))
        known: list[tuple[Point, float]] = []
        for hole in self.wanted.holes:
            near = [k for k in left if math.dist(rounds[k][0], hole.centre) <= max(_HOLE, hole.diameter / 2)]
            if not near:
                yield from self._no_circle(hole)
                continue
            k = min(near, key=lambda k: math.dist(rounds[k][0], hole.centre))
            left.remove(k)
            known.append(rounds[k])
            at, wide = rounds[k]
            off = math.dist(at, hole.centre)
            if abs(wide - hole.diameter) > _SIZE:
                yield Difference("hole-size", hole.what, hole.centre, wide)
            if off > _SIZE:
                yield Difference("hole-moved", hole.what, at, off)
        for at, wide in (rounds[k] for k in left):
            # What is there twice is told as that.
            if not any(math.dist(at, other) <= JOINED and abs(wide - its) <= JOINED for other, its in known):
                yield Difference("extra-hole", "", at, wide)
                known.append((at, wide))

    def _no_circle(self, hole: Hole) -> Iterator[Difference]:
        """What is told of a hole without a circle: it may be drawn as many straights, or in another shape."""
        import shapely

        meant = shapely.Point(hole.centre).buffer(hole.diameter / 2, _QUARTER)
        left = [k for k, (_, pocket) in enumerate(self.there) if not pocket and k not in self.as_holes]
        best = max(left, key=lambda k: _common(self.there[k][0], meant), default=None)
        if best is None or _common(self.there[best][0], meant) < _SAME:
            yield Difference("missing-hole", hole.what, hole.centre, hole.diameter)
            return
        self.as_holes.add(best)
        off = float(self.there[best][0].exterior.hausdorff_distance(meant.exterior))
        if off > _SIZE:
            yield Difference("inner-shape", f"hole {hole.what}".strip(), hole.centre, off)

    def others(self) -> Iterator[Difference]:
        """Slots and pockets that lack, are too many, or of another shape."""
        there = self.there
        left = [k for k in range(len(there)) if k not in self.as_holes]
        known: list[int] = []
        for chain, pocket in self.wanted.inner:
            meant = chain.polygon(ARC_CHORD)
            if self.lie.grown and not pocket:
                meant = meant.buffer(-self.lie.grown, join_style="mitre")
            at = meant.representative_point() if not meant.is_empty else chain.polygon().representative_point()
            what = "pocket" if pocket else "slot"
            same = [(k, _common(there[k][0], meant)) for k in left]
            best = max(same, key=lambda each: each[1], default=(-1, 0.0))
            if best[1] < _SAME:
                yield Difference(f"missing-{what}", "", (at.x, at.y), meant.area**0.5)
                continue
            left.remove(best[0])
            known.append(best[0])
            shape, is_pocket = there[best[0]]
            if pocket and not is_pocket:
                yield Difference("pocket-through", "", (at.x, at.y), 0.0)
            off = float(shape.exterior.hausdorff_distance(meant.exterior))
            if off > _SIZE:
                yield Difference("inner-shape", what, (at.x, at.y), off)
        for k in left:
            shape, is_pocket = there[k]
            if any(is_pocket == there[n][1] and shape.exterior.hausdorff_distance(there[n][0].exterior) <= JOINED
                   for n in known):  # fmt: skip
                continue
            at = shape.representative_point()
            yield Difference("extra-pocket" if is_pocket else "extra-slot", "", (at.x, at.y), shape.area**0.5)
            known.append(k)


def _common(one: Any, other: Any) -> float:
    """Of what two polygons cover together, how much both do."""
    if other.is_empty or not one.intersects(other):
        return 0.0
    both = one.union(other).area
    return float(one.intersection(other).area / both) if both else 0.0

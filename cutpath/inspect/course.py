"""The segments of many chains as arrays, for whatever looks at all of them at once: ends, bulges, arcs, chords."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cutpath.outline import MOST_CHORDS, Chain
from cutpath.tolerances import ARC_CHORD

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


#: Where arcs come to millions of chords, chords may be this far off them, millimetres: still under what hands hold.
COARSEST_CHORD: Final = 64 * ARC_CHORD
#: Chords of a piece: few enough that boxes of a large circle's pieces keep apart from what lies within it.
_PIECE: Final = 32


class Course:
    """All segments of chains, in their order. Millimetres.

    Attributes:
        start: first points, shape (n, 2).
        end: last points, shape (n, 2).
        bulge: shape (n,).
        owner: index of the chain, shape (n,).
        first: index of the chain's first segment, for each chain; shape (chains + 1,), the last one n.
        closed: whether each chain is, shape (chains,).
    """

    def __init__(self, chains: Sequence[Chain]) -> None:
        """Take the chains; each has two points at least."""
        counts = np.array([len(c.points) if c.closed else len(c.points) - 1 for c in chains], dtype=np.int64)
        sizes = np.array([len(c.points) for c in chains], dtype=np.int64)
        flat = np.array([v for c in chains for p in c.points for v in p], dtype=np.float64).reshape(-1, 2)
        bulges = np.array([b for c in chains for b in c.bulges], dtype=np.float64)
        self.closed: Bools = np.array([c.closed for c in chains], dtype=bool)
        owner = np.repeat(np.arange(len(chains)), sizes)
        base = np.concatenate(([0], np.cumsum(sizes)))[:-1]
        last = np.zeros(len(flat), dtype=bool)
        last[base + sizes - 1] = True
        at = np.flatnonzero(~last | self.closed[owner])
        self.start: Floats = flat[at]
        self.end: Floats = flat[np.where(last[at], base[owner[at]], at + 1)]
        self.bulge: Floats = bulges[at]
        self.owner: Ints = owner[at]
        self.first: Ints = np.concatenate(([0], np.cumsum(counts)))

    def __len__(self) -> int:
        return len(self.bulge)

    @cached_property
    def chord(self) -> Floats:
        """Straight distance of each segment's ends."""
        step = self.end - self.start
        return np.hypot(step[:, 0], step[:, 1])

    @cached_property
    def curved(self) -> Bools:
        """Whether each segment is an arc."""
        found: Bools = (self.bulge != 0) & (self.chord > 0)
        return found

    @cached_property
    def _arcs(self) -> tuple[Floats, Floats, Floats, Floats]:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            b, c = self.bulge, self.chord
            step = self.end - self.start
            offset = c * (1 - b * b) / (4 * b)
            normal = np.stack((-step[:, 1], step[:, 0]), axis=1) / c[:, None]
            centre = (self.start + self.end) / 2 + normal * offset[:, None]
            radius = c * (1 + b * b) / (4 * np.abs(b))
            begin = np.arctan2(self.start[:, 1] - centre[:, 1], self.start[:, 0] - centre[:, 0])
        return centre, radius, begin, 4 * np.arctan(b)

    @property
    def centre(self) -> Floats:
        """Centres of arcs, shape (n, 2); of straights no numbers."""
        return self._arcs[0]

    @property
    def radius(self) -> Floats:
        """Radii of arcs, shape (n,); of straights no numbers."""
        return self._arcs[1]

    @property
    def begin(self) -> Floats:
        """The angle that an arc starts at, shape (n,), radians."""
        return self._arcs[2]

    @property
    def sweep(self) -> Floats:
        """Signed sweep of arcs, shape (n,), radians; of straights 0."""
        return self._arcs[3]

    @cached_property
    def length(self) -> Floats:
        """Length along each segment."""
        return np.where(self.curved, np.nan_to_num(self.radius) * np.abs(self.sweep), self.chord)

    def at(self, fraction: float) -> Floats:
        """The points at a fraction of the way along, shape (n, 2)."""
        plain = self.start + fraction * (self.end - self.start)
        angle = self.begin + fraction * self.sweep
        with np.errstate(invalid="ignore"):
            on = self.centre + self.radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        return np.where(self.curved[:, None], on, plain)

    def chords(self, chord: float) -> Ints:
        """How many chords stand for each segment, shape (n,); as many as `Chain.flattened` makes of it.

        Args:
            chord: greatest distance between arc and chord, millimetres.
        """
        count = np.ones(len(self), dtype=np.int64)
        bent = self.curved
        # As `chord_angle` has it.
        step = 4 * np.arcsin(np.sqrt(np.minimum(chord / self.radius[bent], 0.5) / 2))
        count[bent] = np.ceil(np.abs(self.sweep[bent]) / step).clip(2, MOST_CHORDS).astype(np.int64)
        return count

    def finest(self, most: int) -> float:
        """How far chords may be off their arcs, millimetres, where there are to be no more than so many.

        Args:
            most: chords in all.

        Returns:
            `ARC_CHORD`, or so much more as that takes; never more than `COARSEST_CHORD`.
        """
        chord = ARC_CHORD
        while chord < COARSEST_CHORD and self.chords(chord).sum() > most:
            chord *= 4
        return chord

    def points(self, chord: float) -> tuple[Floats, Ints]:
        """Every segment as short chords.

        Args:
            chord: greatest distance between arc and chord, millimetres.

        Returns:
            Points, shape (m, 2), each segment's first and last among them, and the segment that each belongs to.
        """
        count = self.chords(chord)
        segment = np.repeat(np.arange(len(self)), count + 1)
        begins = np.concatenate(([0], np.cumsum(count + 1)))[:-1]
        k = np.arange(len(segment)) - begins[segment]
        part = k / count[segment]
        plain = self.start[segment] + part[:, None] * (self.end - self.start)[segment]
        where = self.curved[segment]
        of = segment[where]
        angle = self.begin[of] + part[where] * self.sweep[of]
        plain[where] = self.centre[of] + self.radius[of][:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        # The ends themselves, to the last bit.
        first, last = where & (k == 0), where & (k == count[segment])
        plain[first], plain[last] = self.start[segment[first]], self.end[segment[last]]
        return plain, segment

    def lines(self, chord: float) -> Any:
        """Every segment as a shapely line, shape (n,)."""
        import shapely

        points, segment = self.points(chord)
        return shapely.linestrings(points, indices=segment)

    def pieces(self, chord: float, lines: Any) -> tuple[Any, Ints]:
        """Every segment as shapely lines of few chords each, which a tree tells apart by their boxes.

        Args:
            chord: greatest distance between arc and chord, millimetres.
            lines: what `lines` gives for that.

        Returns:
            The lines, shape (m,), and the segment that each is a piece of, shape (m,).
        """
        import shapely

        count = self.chords(chord)
        if count.max(initial=0) <= _PIECE:
            return lines, np.arange(len(self))
        points, segment = shapely.get_coordinates(lines), np.repeat(np.arange(len(self)), count + 1)
        parts = -(-count // _PIECE)
        owner = np.repeat(np.arange(len(self)), parts)
        number = np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)
        first = np.searchsorted(segment, np.arange(len(self)))[owner] + number * _PIECE
        size = np.minimum(count[owner] - number * _PIECE, _PIECE) + 1
        line = np.repeat(np.arange(len(owner)), size)
        at = np.arange(len(line)) - np.repeat(np.cumsum(size) - size, size) + first[line]
        return shapely.linestrings(points[at], indices=line), owner

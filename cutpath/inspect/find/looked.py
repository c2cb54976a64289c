"""A file being looked at: what several findings need is worked out once, when the first of them asks. Millimetres."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from cutpath.inspect.beside import Beside, beside
from cutpath.inspect.contacts import Contacts, contacts
from cutpath.inspect.contours import Joined, enclosed, join
from cutpath.inspect.course import Course
from cutpath.inspect.near import pairs
from cutpath.inspect.values import Element, Hit, LayerRole, Role, Seen
from cutpath.job.values import Layers
from cutpath.outline import Point
from cutpath.tolerances import JOINED

if TYPE_CHECKING:
    from cutpath.inspect.course import Floats

#: How the notes of our own files begin: of one set-up, and of a board whose parts share cuts.
_SET_UP = re.compile(r"\bset-up \d+ of \d+", re.IGNORECASE)
_WHICH = re.compile(r"\bset-up (\d{1,4}) of \d{1,4}, board (\d{1,4}) of ", re.IGNORECASE)
_SHARES = re.compile(r"\bparts that share a cut\b", re.IGNORECASE)
#: Arcs as chords this coarse, where only inside and outside are asked.
_COARSE = 0.05
#: Where widths are measured.
_CHORD = 0.005


class Looked:
    """What findings look at."""

    def __init__(self, seen: Seen, roles: Sequence[LayerRole], layers: Layers, tool: float | None = None) -> None:
        """Take the file.

        Args:
            seen: as it was read.
            roles: of its layers.
            layers: the job's names, or the default ones.
            tool: width of the cutter that follows it, where that is known.
        """
        self.seen, self.roles, self.layers, self.tool = seen, roles, layers, tool
        #: The tool's width, where a job says it of a file of its centre line, of which `tool` has nothing to say.
        self.kerf = tool
        #: Whether the cuts are those of one set-up, which others go on from, and whether parts share them: by the
        #: file's notes, or once it is known which file of a job it is.
        self.is_set_up = any(_SET_UP.search(text) for text in seen.texts)
        said = next((found for text in seen.texts if (found := _WHICH.search(text))), None)
        #: Every set-up that it says it is: the numbers of the board and of the set-up.
        self.all_said = sorted({(int(m[2]), int(m[1])) for m in map(_WHICH.search, seen.texts) if m})
        #: Which one it says it is: the numbers of the board and of the set-up.
        self.says = None if said is None else (int(said[2]), int(said[1]))
        self.shares_cuts = any(_SHARES.search(text) for text in seen.texts)
        self._role: dict[str, Role] = {r.name.casefold(): r.role for r in roles}

    def role(self, item: Element) -> Role:
        """What the layer of an item is taken for."""
        return self._role.get(item.layer.casefold(), "off")

    def at(self, item: Element, detail: str = "", at: Point | None = None, size: float | None = None) -> Hit:
        """A hit on an item."""
        return Hit(at or item.at, detail, item.handle, item.layer, size)

    @cached_property
    def model(self) -> tuple[Element, ...]:
        """Items of the model space."""
        return tuple(i for i in self.seen.items if i.space == "model")

    @cached_property
    def dots(self) -> tuple[Element, ...]:
        """Items on cut layers all of which is one place, as the ends of cuts are: no contours."""
        return tuple(i for i in self.model if i.chain is not None and self.role(i) == "cut" and _is_dot(i))

    @cached_property
    def cuts(self) -> tuple[Element, ...]:
        """Items with a course on cut layers, in the file's order."""
        found = (i for i in self.model if i.chain is not None and self.role(i) == "cut")
        return tuple(i for i in found if not _is_dot(i))

    @cached_property
    def followed(self) -> tuple[Element, ...]:
        """Items with a course that a tool follows: the cuts first, then what only marks."""
        marks = (i for i in self.model if i.chain is not None and self.role(i) == "mark")
        return (*self.cuts, *(i for i in marks if not _is_dot(i)))

    @cached_property
    def course(self) -> Course:
        """Segments of all that is followed; chain k is item k of `followed`."""
        return Course([i.chain for i in self.followed if i.chain is not None])

    @cached_property
    def joined(self) -> Joined:
        """The cuts joined into contours."""
        return join([i.chain for i in self.cuts if i.chain is not None])

    @cached_property
    def contacts(self) -> Contacts:
        """Where what is followed meets itself."""
        degree = [*self.joined.degree, *((0, 0) for _ in self.followed[len(self.cuts) :])]
        return contacts(self.course, degree, [k < len(self.cuts) for k in range(len(self.followed))])

    @cached_property
    def rings(self) -> tuple[tuple[int, ...], Any]:
        """Closed contours of some size: their indices, and their polygons (shapely, arcs as coarse chords)."""
        import shapely

        points, segment = self.course.points(_COARSE)
        first = np.searchsorted(segment, self.course.first)
        # A segment's last point is the next one's first.
        new = np.append(True, segment[1:] != segment[:-1])
        inner = {False: ~np.append(new[1:], True), True: ~new}
        of: list[int] = []
        rows: list[Floats] = []
        for k, contour in enumerate(self.joined.contours):
            if not contour.closed:
                continue
            parts = [
                points[first[m] : first[m + 1]][inner[back][first[m] : first[m + 1]]][:: -1 if back else 1]
                for m, back in zip(contour.members, contour.backwards, strict=True)
            ]
            row = parts[0] if len(parts) == 1 else np.concatenate(parts)
            if len(row) > 2:
                of.append(k)
                rows.append(row)
        if not rows:
            return (), np.array([], dtype=object)
        owner = np.repeat(np.arange(len(rows)), [len(r) for r in rows])
        return tuple(of), shapely.polygons(shapely.linearrings(np.concatenate(rows), indices=owner))

    @cached_property
    def depth(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """For each ring, how many others it lies in, and the number of the smallest of those (-1: none)."""
        import shapely

        _, polygons = self.rings
        if not len(polygons):
            return (), ()
        sound = np.flatnonzero(shapely.is_valid(polygons))
        points = shapely.points(shapely.get_coordinates(shapely.get_point(shapely.get_exterior_ring(polygons), 0)))
        inner, outer, _ = pairs(points, polygons[sound], "within")
        outer = sound[outer]
        keep = inner != outer
        inner, outer = inner[keep], outer[keep]
        depth = np.bincount(inner, minlength=len(polygons))
        area = shapely.area(polygons)
        around = np.full(len(polygons), -1)
        order = np.argsort(-area[outer], kind="stable")
        around[inner[order]] = outer[order]
        return tuple(depth.tolist()), tuple(around.tolist())

    @cached_property
    def beside(self) -> Beside:
        """Contours with less than the tool between them; none where no tool is known."""
        import shapely

        if self.tool is None:
            return Beside()
        of, polygons = self.rings
        depth, around = self.depth
        outer = [k for k in range(len(of)) if depth[k] % 2 == 0]
        lines: list[Any] = [shapely.get_exterior_ring(polygons[k]) for k in outer]
        entities = [self.joined.contours[of[k]].members[0] for k in outer]
        inside = [around[k] for k in outer]
        chains = [i.chain for i in self.cuts if i.chain is not None]
        for contour in self.joined.contours:
            if not contour.closed:
                # Ends of open cuts may meet, wherever they lie.
                lines.append(contour.chain(chains).line(_CHORD))
                entities.append(contour.members[0])
                inside.append(-2)
        return beside(lines, entities, inside, self.tool)

    @cached_property
    def boards(self) -> tuple[Any, ...]:
        """The outlines of boards and sheets that the file has (shapely)."""
        chains = [i.chain for i in self.model if i.chain is not None and self.role(i) == "stock"]
        found = (enclosed(c.chain(chains)) for c in join(chains).contours if c.closed)
        return tuple(p for p in found if p is not None)

    @cached_property
    def board(self) -> Any | None:
        """The outline of all boards and sheets, where the file has any: what lies off it is not cut."""
        import shapely

        return shapely.union_all(list(self.boards)) if self.boards else None


def _is_dot(item: Element) -> bool:
    chain = item.chain
    assert chain is not None
    (x, y), *rest = chain.points
    if any(abs(p[0] - x) > JOINED or abs(p[1] - y) > JOINED for p in rest):
        return False
    # An arc may go round and come back.
    x0, y0, x1, y1 = chain.extents()
    return max(x1 - x0, y1 - y0) <= 2 * JOINED

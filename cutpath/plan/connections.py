"""Where a stringer is held: what bears there, how far its wood reaches round it, and what it pushes with.

Numbers for the tables of whoever makes hangers, anchors and bolts, and for a licensed professional: which of them to
choose is not decided here. Millimetres and newtons.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.features import Hole
from cutpath.cut.relief import CutPart
from cutpath.design.checks import heel_reach
from cutpath.design.stringer import Stringer
from cutpath.design.supports import in_order
from cutpath.job.values import Job
from cutpath.plan.values import Plan
from cutpath.rules.measures import listed


class Joint(Struct, frozen=True):
    """One place where a stringer is held.

    Attributes:
        what: "header", "support 1", "seat", or a hole and what it is for.
        bears: how much of the wood bears: the height of the plumb cut on the header, the level length of a seat, a
            hole's diameter.
        breadth: thickness of the wood that bears.
        edges: how far the wood reaches from there, and in which direction, in words.
        reaction: the greatest upright reaction, unfactored, newtons; None where strength is not judged, and at holes.
        hole: of a hole, its number and what it is for.
    """

    what: str
    bears: float
    breadth: float
    edges: tuple[tuple[str, float], ...]
    reaction: float | None = None
    hole: tuple[int, str] | None = None

    @property
    def area(self) -> float:
        """What bears, square millimetres."""
        return self.bears * self.breadth


def joints(plan: Plan) -> tuple[Joint, ...]:
    """Everywhere that the stringers of a plan are held, from the header down, holes last."""
    job, design = plan.job, plan.design
    thick = min(board.thickness for board in job.stock)
    found = design.strength
    pushes: list[float | None] = [None] * (len(job.support) + 2) if found is None else list(found.reactions)
    supports = [
        Joint(f"support {i}", support.length, thick, (), push)
        for i, (support, push) in enumerate(zip(in_order(job.support), pushes[1:-1], strict=True), start=1)
    ]
    holes = [_hole(number, hole, design.part, thick) for number, hole in enumerate(design.part.holes, start=1)]
    return (
        _header(job, design.stringer, thick, pushes[0]),
        *supports,
        _seat(design.stringer, thick, pushes[-1]),
        *holes,
    )


def grouped(held: Iterable[Joint]) -> tuple[Joint, ...]:
    """The same places with holes of one kind as one, and the least that is left round any of them.

    Args:
        held: as `joints` gives them.
    """
    kinds: dict[object, list[Joint]] = {}
    for joint in held:
        words = tuple(words for words, _ in joint.edges)
        key = joint.what if joint.hole is None else (joint.hole[1], joint.bears, words)
        kinds.setdefault(key, []).append(joint)
    return tuple(_as_one(alike) for alike in kinds.values())


def _as_one(alike: Sequence[Joint]) -> Joint:
    numbered = [joint.hole for joint in alike if joint.hole is not None]
    if len(numbered) < 2:
        return alike[0]
    what = f"holes {listed([number for number, _ in numbered])} ({numbered[0][1]})"
    nearest = tuple((words, min(joint.edges[i][1] for joint in alike)) for i, (words, _) in enumerate(alike[0].edges))
    return replace(alike[0], what=what, edges=nearest)


def _header(job: Job, stringer: Stringer, thick: float, push: float | None) -> Joint:
    top, bottom = heel_reach(stringer)
    deep = job.stair.header_depth
    bears = bottom - max(0.0, top)
    edges = [("floor down to the plumb cut", max(0.0, top))]
    if deep is not None:
        bears = max(0.0, min(bottom, deep) - max(0.0, top))
        edges.append(
            ("heel down to the header's lower edge", deep - bottom)
            if deep >= bottom
            else ("header's lower edge down to the heel, which hangs below it", bottom - deep)
        )
    tips = [v.point[0] for v in stringer.vertices if v.role == "tip"]
    if tips:
        edges.append(("plumb cut level to the first riser cut", min(tips) - _plumb_cut(stringer)))
    return Joint("header", bears, thick, tuple(edges), push)


def _plumb_cut(stringer: Stringer) -> float:
    return next(v.point[0] for v in stringer.vertices if v.role == "top")


def _seat(stringer: Stringer, thick: float, push: float | None) -> Joint:
    tips = [v.point[1] for v in stringer.vertices if v.role == "tip"]
    foot = next(v.point[1] for v in stringer.vertices if v.role in ("toe", "sill-face"))
    edges = [("seat's front up to the lowest tread's seat", min(tips) - foot)] if tips else []
    return Joint("seat", stringer.seat_bearing, thick, tuple(edges), push)


def _hole(number: int, hole: Hole, part: CutPart, thick: float) -> Joint:
    import shapely

    x, y = hole.centre
    length = part.outline.extents()[2]
    rim = float(shapely.distance(shapely.Point(x, y), part.outline.polygon().exterior)) - hole.diameter / 2
    edges = (
        ("rim to the nearest edge", rim) if rim >= 0 else ("rim past the nearest edge", -rim),
        ("centre to the lower edge", y),
        ("centre to the nearer end, along the board", min(x, length - x)),
    )
    return Joint(f"hole {number} ({hole.what})", hole.diameter, thick, edges, hole=(number, hole.what))

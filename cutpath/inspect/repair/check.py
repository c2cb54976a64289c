"""A repaired file held against what it was: nothing else changed than is listed, and the cuts are where they were."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from cutpath.faults import Fault, FileMismatch
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Element
from cutpath.outline import Chain
from cutpath.screen import clean
from cutpath.tolerances import FILE_MATCH, NO_LENGTH

_REPORT: Final = "nothing was written; this is a fault of the program, please report it with the file"
#: Where along each segment it is looked whether the other file has it, too.
_ALONG: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
#: What is longer is no cut of a stair's, millimetres; its numbers tell too little of where it is.
_LONGEST: Final = 100_000.0
#: Greatest distance between an arc and its chords, millimetres: much less than anything may have moved.
_CHORD: Final = 0.01


def check_untouched(name: str, before: Sequence[Element], after: Sequence[Element], scale: float) -> None:
    """Hold what was not to be changed against what it was.

    Args:
        name: the file's.
        before: elements that were not to be changed, in the file's order.
        after: all there are now.
        scale: what makes the former coordinates of the latter.

    Raises:
        Fault: one that is nothing to cut is not as it was.
        FileMismatch: a course is not.
    """
    for space in ("model", "paper"):
        # What was added stands behind what stayed. Handles are no help: R12 may be written without any.
        now = [e for e in after if e.space == space]
        for k, element in enumerate(e for e in before if e.space == space):
            if k < len(now) and _same(element, now[k], scale):
                continue
            what = f"{name}: {clean(element.kind)} {clean(element.handle)} would be changed"
            if element.chain is None:
                # What the library does not know, or finds damaged, it may leave out, or write no more than a part of.
                raise Fault(f"{what} or lost in writing the file anew; delete it where it was drawn")
            raise FileMismatch(f"{what}, though it isn't to be; {_REPORT}")


def _same(one: Element, other: Element, scale: float) -> bool:
    """Whether an element is what it was."""
    if (one.kind, one.layer) != (other.kind, other.layer):
        return False
    if {t.kind for t in one.traits} != {t.kind for t in other.traits}:
        return False
    if one.chain is None or other.chain is None:
        return one.chain is other.chain
    return _same_course(one.chain, other.chain, scale)


def _same_course(one: Chain, other: Chain, scale: float) -> bool:
    if one.closed != other.closed or len(one.points) != len(other.points):
        return False
    for (x, y), (u, v), bulge, other_bulge in zip(one.points, other.points, one.bulges, other.bulges, strict=True):
        if max(abs(x * scale - u), abs(y * scale - v), abs(bulge - other_bulge)) > FILE_MATCH:
            return False
    return True


def check_cuts(name: str, before: Looked, after: Looked, scale: float, reach: float) -> None:
    """See that each cut of either file that has any length is one of the other, too.

    Args:
        name: the file's.
        before: as it was.
        after: as it is.
        scale: what makes the former coordinates of the latter.
        reach: how far a cut may have moved, millimetres of the latter.

    Raises:
        FileMismatch: a cut is lost, or there is one that was not.
    """
    import numpy as np
    import shapely

    was, now = _placed(before, scale), _placed(after, 1.0)
    for (points, _), (_, lines), what in (
        (was, now, "a cut would be lost"),
        (now, was, "there would be a cut that was not"),
    ):
        found, _ = shapely.STRtree(lines).query(shapely.points(points), "dwithin", reach)
        lost = np.setdiff1d(np.arange(len(points)), found)
        if len(lost):
            x, y = points[lost[0]] / scale
            raise FileMismatch(f"{name}: {what} at ({x:.6g}, {y:.6g}) mm; {_REPORT}")


def _placed(look: Looked, to: float) -> tuple[Any, Any]:
    """Points along each cut, and the cuts as lines of shapely, straights and arcs by themselves.

    Args:
        look: the file.
        to: what its coordinates are multiplied by.
    """
    import numpy as np
    import shapely

    course = look.course
    length = course.length[: int(course.first[len(look.cuts)])]
    these = np.flatnonzero((length > NO_LENGTH) & (length * to < _LONGEST))
    ends = np.stack((course.start[these], course.end[these]), axis=1) * to
    lines = shapely.linestrings(ends)
    for k in np.flatnonzero(course.curved[these]).tolist():
        a, b = ends[k].tolist()
        lines[k] = Chain(((a[0], a[1]), (b[0], b[1])), (float(course.bulge[these[k]]), 0.0), False).line(_CHORD)
    return np.concatenate([course.at(part)[these] for part in _ALONG]) * to, lines

"""Slips of whoever read the tape: one reading alone that is wrong, and marks counted off by one.

A count slips where a mark is passed over, or read twice; from there on each name stands for its neighbour. Counted from
the foot up it is the marks before that. Who reads from the two ends, or tips and corners, one after the other may slip
in one of them alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final, Literal

from msgspec.structs import replace

from cutpath.design.as_cut.shape import AsDrawn, Readings
from cutpath.design.as_cut.values import Compared, Counted, Fitted
from cutpath.tolerances import LIMIT_SLACK

#: What may slip alone: all readings of a mark, or the lengths from one end.
_KEYS: Final = ("", "along", "from_lower_end")
#: What the marks that are counted are called: by the beginning of their names.
_CALLED: Final = {"tip": "tips", "corner": "corners", "tread": "seats"}
_NUMBERED: Final = re.compile(r"(tip|corner|tread) [0-9]+(, seat)?")


def rms(values: Iterable[float]) -> float:
    """The root of the mean square."""
    squares = [value * value for value in values]
    return math.sqrt(sum(squares) / len(squares))


def one_reading(found: Sequence[Compared], limit: float) -> Fitted | None:
    """One reading alone off, and all others as drawn.

    Args:
        found: the readings.
        limit: how far one may be off, millimetres.
    """
    off = [one for one in found if abs(one.off) > limit + LIMIT_SLACK]
    if len(off) != 1:
        return None
    rest = [one.off for one in found if one is not off[0]]
    return Fitted(("one-reading",), (off[0].off,), max(map(abs, rest)), rms(rest), True, off[0].key)


def counted_off(found: Sequence[Compared], drawn: AsDrawn, nothing: Readings, limit: float) -> Fitted | None:
    """The slip in counting that leaves the least; None where there is none that could be one.

    Args:
        found: the readings.
        drawn: the stringer.
        nothing: what a tape reads on it as drawn.
        limit: how far one may be off, millimetres.
    """
    best: Fitted | None = None
    for count in _counts(found, drawn):
        places = count.places(one.place for one in found)
        if not all(place in nothing for place in places):
            continue
        left = [one.read - nothing[place] for one, place in zip(found, places, strict=True)]
        worst = max(map(abs, left))
        fit = Fitted(("counted-off",), (0.0,), worst, rms(left), worst <= limit + LIMIT_SLACK, counted=count)
        # The plainest of those that read alike.
        if best is None or fit.rms < best.rms - LIMIT_SLACK:
            best = fit
    return best


def recounted(found: Sequence[Compared], count: Counted, nothing: Readings) -> list[Compared]:
    """The readings, each beside what is drawn where it was read in truth.

    Args:
        found: as they were written.
        count: how marks were counted off.
        nothing: what a tape reads on the stringer as drawn.
    """
    places = count.places(one.place for one in found)
    return [replace(one, place=at, drawn=nothing[at]) for one, at in zip(found, places, strict=True)]


def _counts(found: Sequence[Compared], drawn: AsDrawn) -> Iterator[Counted]:
    """Ways in which marks that were read may be counted off by one, the plainest first."""
    order = {name: k for k, (_, name) in enumerate(_along(drawn))}
    read = sorted({one.place[1] for one in found if _NUMBERED.fullmatch(one.place[1])}, key=order.__getitem__)
    kinds = dict.fromkeys(name.split()[0] for name in read)
    groups = [("marks", read), *((_CALLED[k], [n for n in read if n.startswith(k)]) for k in kinds)]
    for key in _KEYS:
        for what, names in groups:
            for side, some in _stretches(names):
                for step in (_neighbours(drawn), _neighbours(drawn, back=True)):
                    if some and all(name in step for name in some):
                        yield Counted(tuple((name, step[name]) for name in some), what, side, key)


def _stretches(names: Sequence[str]) -> Iterator[tuple[Literal["all", "from", "up to"], Sequence[str]]]:
    """All marks, those from each on, and those up to each."""
    yield "all", names
    for cut in range(1, len(names)):
        yield "from", names[cut:]
        yield "up to", names[:cut]


def _along(drawn: AsDrawn) -> list[tuple[float, str]]:
    """All marks with their places along the board, from the upper end on."""
    seats = [(x, f"tread {n}, seat") for n, (x, _) in enumerate(drawn.seats, start=1)]
    return sorted([*((x, name) for (x, _), name in zip(drawn.points, drawn.names, strict=True)), *seats])


def _neighbours(drawn: AsDrawn, *, back: bool = False) -> dict[str, str]:
    """By mark, the next one of its kind, or the one before; past the corners what looks like one more."""
    roles = dict(zip(drawn.names, drawn.roles, strict=True))
    found: dict[str, str] = {}
    for kinds in (("tip",), ("top", "corner", "toe"), ()):
        names = [name for _, name in _along(drawn) if (roles[name] in kinds if name in roles else not kinds)]
        pairs = pairwise(names[::-1] if back else names)
        found |= {name: other for name, other in pairs if _NUMBERED.fullmatch(name)}
    return found

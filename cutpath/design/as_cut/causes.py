"""What single number could make a cut stringer read otherwise than drawn: one table.

A cause says what a tape would read if it were so. Those with a number are fitted; the others are so or not.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final, Literal

from msgspec import Struct

from cutpath.design.as_cut.shape import AsDrawn, Moved, Readings
from cutpath.job.values import Cutter
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

CauseId = Literal[
    "compensation",
    "scale",
    "scale-along",
    "board-width",
    "fence",
    "plumb-cut",
    "tape-hook",
    "inches-as-millimetres",
    "millimetres-as-inches",
    "ten-times",
    "a-tenth",
    "other-end",
    "counted-from-other-end",
    "counted-off",
    "one-reading",
]
"""A cause's name for machines: one for each of `CAUSES`, and those of slips in reading, which no table fits: marks
counted off by one, and a single wrong reading."""

#: Tapes are often started from a mark of their own, to keep off a worn hook (common practice, no source).
_STARTS: Final = (25.4, 100.0)
#: Within this a fitted number is one that has a name, millimetres.
_NAMED: Final = 0.8
#: So near the end of its reach, as a share of it, a number is at the end.
_AT_END: Final = 1e-6


class Cause(Struct, frozen=True):
    """One cause.

    Attributes:
        id: its name for machines.
        none: the number at which nothing differs; None for a cause that is so or not.
        reach: how far to either side of `none` it is looked for: millimetres, or a share for a scale.
        read: what a tape reads on a stringer as drawn, of which this is so by the number.
        words: what it is, for people, with the number in it.
        mend: what to do about it.
        board_only: it needs the board's own edges.
        times: how many times too great every reading is then, and what a hand is off in it with it.
    """

    id: CauseId
    none: float | None
    reach: float
    read: Callable[[AsDrawn, float], Readings]
    words: Callable[[float, Cutter, Show], str]
    mend: Callable[[float, Cutter, Show], str]
    board_only: bool = False
    times: float = 1.0

    def ends(self, number: float) -> bool:
        """Whether a number is as far from nothing as it is looked for: a better one may lie beyond."""
        return self.none is not None and abs(number - self.none) >= self.reach * (1 - _AT_END)

    def span(self, share: float = 1.0) -> tuple[float, float]:
        """The numbers, of a cause that has one, so far to either side of nothing: a share of its reach."""
        assert self.none is not None
        return self.none - share * self.reach, self.none + share * self.reach


def _known(by: float, cutter: Cutter) -> Literal["", "none", "wrong side", "twice"]:
    """What a shop may have done with the tool's width, where the number comes near to that."""
    near = min(_NAMED, 0.2 * cutter.width)
    if abs(by - cutter.radius) < near:
        return "none"
    if abs(by - cutter.width) < near:
        return "wrong side"
    return "twice" if abs(by + cutter.radius) < near else ""


def _compensation(by: float, cutter: Cutter, show: Show) -> str:
    named = {
        "none": ", half the tool's width: its middle ran on the part's own line, as without compensation",
        "wrong side": ", the tool's whole width: compensated to the wrong side",
        "twice": ", half the tool's width: compensated twice",
        "": "",
    }[_known(by, cutter)]
    return f"every cut stands {show(abs(by))} {'into the part' if by > 0 else 'out of it'}{named}"


def _compensation_mend(by: float, cutter: Cutter, show: Show) -> str:
    half, known = show(cutter.radius), _known(by, cutter)
    if cutter.path == "centre":
        if not known and cutter.width + 2 * by > 0:
            how = f"write cutter.width = {show(cutter.width + 2 * by)} if the tool is that wide, and export anew"
        else:
            how = "see whether the shop compensates centre lines, which are compensated already"
    elif known == "none":
        how = f"have the shop compensate by {half}, to the waste side"
    elif known == "wrong side":
        how = f"compensate by {half} to the other side"
    elif known == "twice":
        how = f"compensate by {half} once, in the machine or in what makes its program"
    elif cutter.radius + by > 0:
        how = f"compensate by {show(cutter.radius + by)} where {half} was meant"
    else:
        how = f"see by how much the shop compensates, and to which side: it should be {half}, to the waste side"
    return f"{how}; measure the tool's cut in an offcut first"


def _scale(by: float, cutter: Cutter, show: Show) -> str:
    return f"all is {by:.4f} times its size"


def _hook(by: float, cutter: Cutter, show: Show) -> str:
    start = next((at for at in _STARTS if abs(abs(by) - at) < _NAMED), None)
    more = f", as when a tape is started at its {show(start)} mark" if start else ""
    return f"every reading is {show(abs(by))} too {'long' if by > 0 else 'short'}{more}"


def _times(factor: float, what: str) -> tuple[Callable[[AsDrawn, float], Readings], Callable[..., str]]:
    def read(drawn: AsDrawn, by: float) -> Readings:
        return {place: value * factor for place, value in drawn.readings(Moved()).items()}

    return read, lambda by, cutter, show: what


def _along_swapped(drawn: AsDrawn, by: float) -> Readings:
    """Hooked at the other end: each mark's two lengths along the board change places."""
    found = drawn.readings(Moved())
    return found | {
        (key, name): found["from_lower_end" if key == "along" else "along", name]
        for key, name in found
        if key in ("along", "from_lower_end")
    }


def _counted_back(drawn: AsDrawn, by: float) -> Readings:
    """The ends taken for each other: tips and corners are counted from the foot as well."""
    swapped = _along_swapped(drawn, by)
    tips = drawn.roles.count("tip") or len(drawn.seats)

    def other(name: str) -> str:
        numbered = re.fullmatch(r"(tip|corner|tread) (\d+)(, seat)?", name)
        if not numbered:
            return name
        last = tips + 2 if numbered[1] == "corner" else tips + 1
        return f"{numbered[1]} {last - int(numbered[2])}{numbered[3] or ''}"

    return {(key, name): swapped.get((key, other(name)), value) for (key, name), value in swapped.items()}


def _hooked(drawn: AsDrawn, by: float) -> Readings:
    # A reading of nothing is no reading of the tape; tips lie on the edge but for the rounding of floats.
    return {place: value + by if value > LIMIT_SLACK else 0.0 for place, value in drawn.readings(Moved()).items()}


_READ_LESS, _IS_LESS = _times(1 / 25.4, "all is 25.4 times too small: inches were taken for millimetres")
_READ_MORE, _IS_MORE = _times(25.4, "all is 25.4 times too great: millimetres were taken for inches")
_READ_TEN, _IS_TEN = _times(10.0, "all is ten times too great: millimetres were taken for centimetres")
_READ_TENTH, _IS_TENTH = _times(0.1, "all is a tenth of its size: centimetres were taken for millimetres")


def _units(by: float, cutter: Cutter, show: Show) -> str:
    return "see the units of the job, of the file's import and of the tape: all three have to be one"


#: In the order in which they are tried; the fit ranks them.
CAUSES: Final = (
    Cause("compensation", 0.0, 80.0, lambda d, v: d.readings(Moved(inward=v)), _compensation, _compensation_mend),
    Cause(
        "scale",
        1.0,
        0.3,
        lambda d, v: d.readings(Moved(along=v, across=v)),
        _scale,
        lambda by, cutter, show: f"see the import's scale, which should be 1, and divide it by {by:.4f}",
    ),
    Cause(
        "scale-along",
        1.0,
        0.3,
        lambda d, v: d.readings(Moved(along=v)),
        lambda by, cutter, show: f"along the board all is {by:.4f} times its size, across it is right",
        lambda by, cutter, show: "have the machine's travel along the board measured and set",
    ),
    Cause(
        "board-width",
        0.0,
        100.0,
        lambda d, v: d.readings(Moved(wider=v)),
        lambda by, cutter, show: f"the board is {show(abs(by))} {'wider' if by > 0 else 'narrower'} than drawn",
        lambda by, cutter, show: "measure the boards that are left, write it in stock.widths, and export anew",
        board_only=True,
    ),
    Cause(
        "fence",
        0.0,
        100.0,
        lambda d, v: d.readings(Moved(deeper=v)),
        lambda by, cutter, show: (
            f"all cuts lie {show(abs(by))} too {'near to' if by > 0 else 'far from'} the lower edge, as with the wrong "
            "edge on the fence or the zero off"
        ),
        lambda by, cutter, show: "put the edge that NOTE names on the fence, and set the zero across anew",
        board_only=True,
    ),
    Cause(
        "plumb-cut",
        0.0,
        150.0,
        lambda d, v: d.readings(Moved(shorter=v)),
        lambda by, cutter, show: (
            f"the plumb cut alone stands {show(abs(by))} too far {'down' if by > 0 else 'up'} the board"
        ),
        lambda by, cutter, show: "see that the board lay still, and where the cut was entered",
    ),
    Cause(
        "tape-hook",
        0.0,
        150.0,
        _hooked,
        _hook,
        lambda by, cutter, show: "read it again with another tape, from its hook",
    ),
    Cause("inches-as-millimetres", None, 0.0, _READ_LESS, _IS_LESS, _units),
    Cause("millimetres-as-inches", None, 0.0, _READ_MORE, _IS_MORE, _units, times=25.4),
    Cause("ten-times", None, 0.0, _READ_TEN, _IS_TEN, _units, times=10.0),
    Cause("a-tenth", None, 0.0, _READ_TENTH, _IS_TENTH, _units),
    Cause(
        "other-end",
        None,
        0.0,
        _along_swapped,
        lambda by, cutter, show: "lengths along the board were read from the other end",
        lambda by, cutter, show: "see which end is the upper one, and write the readings under the other key",
    ),
    Cause(
        "counted-from-other-end",
        None,
        0.0,
        _counted_back,
        lambda by, cutter, show: "the part lies turned end for end or is a mirror image: tips count from its foot",
        lambda by, cutter, show: (
            "lay it with the plumb cut at the left and the notched edge away from you; where that "
            "can't be, the file was mirrored: load it anew"
        ),
    ),
)

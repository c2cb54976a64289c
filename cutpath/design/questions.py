"""Readings and sizes that can't well be right: asked about, never refused, and used as they stand.

What is likely is common practice, no source: nobody builds on ground as steep as a ladder, a pad's edges are read like
the rest, a router's bit is a millimetre at the least and a beam's kerf five at the most.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from cutpath.design.profile import GroundLine
from cutpath.design.stair import Choice, landing_depth
from cutpath.job.starter import starter_readings
from cutpath.job.values import Cutter, Job, Site
from cutpath.units import MM_PER_INCH, Show

if TYPE_CHECKING:
    from cutpath.rules.values import RuleSet
    from cutpath.units import Unit

#: From this slope on ground is asked about: 40 degrees.
_STEEP: Final = math.tan(math.radians(40))
#: Ground this gentle is likely.
_GENTLE: Final = math.tan(math.radians(33))
#: The first reading may stand this far from the header's face, millimetres.
_AT_HEADER: Final = 150.0
#: A last gap this many times the greatest of the others is likely a slip.
_FAR_GAP: Final = 6.0

#: Widths in millimetres that a router's bit and a beam's kerf have.
_LIKELY: Final = {"router": (1.0, 51.0), "beam": (0.03, 5.0)}


class Question(NamedTuple):
    """Something to be looked at again.

    Attributes:
        key: of the job, such as "site.profile[1].down".
        text: what is odd about it, and what may have been meant.
    """

    key: str
    text: str

    def __str__(self) -> str:
        """Key and text on one line."""
        return f"{self.key}: {self.text}"


def questions(job: Job, show: Show) -> tuple[Question, ...]:
    """What is odd about a job's readings and its cutter, whatever stair comes of them.

    Args:
        job: the job.
        show: writes millimetres as text in the job's unit.
    """
    return (*_readings(job.site, job.units, show), *_cutter(job.cutter, job.units, show), *_lumber(job))


def _lumber(job: Job) -> Iterator[Question]:
    """Lumber and a saw that nothing asks for."""
    if not job.lists_pieces:
        for key, given in (("lumber", bool(job.lumber)), ("saw", job.saw is not None)):
            if given:
                yield Question(key, "no piece asks for it, so it is left out; [treads], [riser_boards] and [rail] do")


def landing_questions(job: Job, rules: RuleSet, choice: Choice, show: Show) -> tuple[Question, ...]:
    """What is odd where the stair lands.

    Args:
        job: the job.
        rules: give the landing's depth where the job does not.
        choice: the riser count that is chosen.
        show: writes millimetres as text in the job's unit.
    """
    profile = job.site.profile
    if profile is None or choice.chosen.reveal_far is not None:
        return ()
    far = choice.chosen.foot_out + landing_depth(job.pad, rules, choice.stair)
    return (
        Question(
            "site.profile",
            f"no reading at the pad's far edge, {show(far)} out, since the last one is at {show(profile[-1][0])}: is "
            "the ground known there? read farther out",
        ),
    )


def _readings(site: Site, units: Unit, show: Show) -> list[Question]:
    profile = site.profile
    if profile is None:
        return []
    if profile == starter_readings(units):
        return [
            Question("site.profile", "these are still the starter's readings: are they yours? put your own in place")
        ]
    if _swapped(profile):
        return [
            Question("site.profile", "out and down look swapped: write [out from the header face, down from the floor]")
        ]
    found: list[Question] = []
    if profile[0][0] > _AT_HEADER:
        found.append(
            Question(
                "site.profile",
                f"no reading at the header, since the first one is {show(profile[0][0])} out: is the ground there like "
                "it? take one at 0",
            )
        )
    return found + (_steep(profile, show) or _far_off(profile, show))


def _slope(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Of the ground between two readings, whichever way it falls; infinite where b is not farther out."""
    return abs(b[1] - a[1]) / (b[0] - a[0]) if b[0] > a[0] else math.inf


def _swapped(profile: GroundLine) -> bool:
    """Whether every stretch is steep, and gentle with out and down the other way round."""
    pairs = list(pairwise(profile))
    return all(_slope(a, b) > _STEEP and _slope(a[::-1], b[::-1]) < _GENTLE for a, b in pairs)


def _steep(profile: GroundLine, show: Show) -> list[Question]:
    """A question for each stretch that is too steep, or for the one reading in which a slip of a digit explains it."""
    found: list[Question] = []
    explained = -1
    for at in range(1, len(profile)):
        if at == explained or _slope(profile[at - 1], profile[at]) < _STEEP:
            continue
        slips = [(i, question) for i in (at, at - 1) if (question := _slip(profile, i, show)) is not None]
        if slips:
            # The stretch behind the reading in question is as steep.
            explained = slips[0][0] + 1
            found.append(slips[0][1])
            continue
        (out, down), (out_next, down_next) = profile[at - 1], profile[at]
        falls = "falls" if down_next > down else "rises"
        degrees = math.degrees(math.atan(_slope(profile[at - 1], profile[at])))
        found.append(
            Question(
                f"site.profile[{at}]",
                f"the ground {falls} {show(abs(down_next - down))} over {show(out_next - out)} here, "
                f"{degrees:.0f} degrees: is it that steep? read it again",
            )
        )
    return found


def _slip(profile: GroundLine, at: int, show: Show) -> Question | None:
    """The question about a reading of which one length, its point moved, would make the ground gentle on both sides."""
    beside = profile[max(at - 1, 0) : at], profile[at + 1 : at + 2]
    # A length out that is too great would not lie before the next reading, so the point can only have gone left.
    for part, name, factors in ((1, "down", (0.1, 10.0, 0.01, 100.0)), (0, "out", (10.0, 100.0))):
        for factor in factors:
            meant = (profile[at][0], profile[at][1] * factor) if part else (profile[at][0] * factor, profile[at][1])
            if all(_slope(a, meant) < _GENTLE for a in beside[0]) and all(
                _slope(meant, b) < _GENTLE for b in beside[1]
            ):
                return Question(
                    f"site.profile[{at}].{name}",
                    f"{show(profile[at][part])} makes the ground here far too steep: is it {show(meant[part])}? "
                    "read it again",
                )
    return None


def _far_off(profile: GroundLine, show: Show) -> list[Question]:
    """The question about a last reading that is far beyond the others, where a tenth of its length is not."""
    gaps = [b[0] - a[0] for a, b in pairwise(profile)]
    last, before = profile[-1][0], profile[-2][0]
    if len(gaps) < 2 or gaps[-1] < _FAR_GAP * max(gaps[:-1]) or last / 10 <= before:
        return []
    return [
        Question(
            f"site.profile[{len(profile) - 1}].out",
            f"{show(last)} is far beyond {show(before)}, the reading before it: is it {show(last / 10)}? read it again",
        )
    ]


def _cutter(cutter: Cutter, units: Unit, show: Show) -> list[Question]:
    least, most = _LIKELY[cutter.kind]
    if least <= cutter.width <= most:
        return []
    what = "the tool of a router" if cutter.kind == "router" else "the kerf of a beam"
    odd = f"{show(cutter.width)} is {'narrow' if cutter.width < least else 'wide'} for {what}"
    inch = float(MM_PER_INCH)
    number, other, mm = (
        (cutter.width / inch, "mm", cutter.width / inch) if units == "in" else (cutter.width, "in", cutter.width * inch)
    )
    # A little beyond any likely bit or kerf, a width is just odd; in the other unit it has to be a likely one.
    meant = f'is it {number:.6g} {other}? write "{number:.6g} {other}"' if least <= mm <= most else "measure it again"
    return [Question("cutter.width", f"{odd}: {meant}")]

"""The first stringer as it was cut: whether, by its tape readings, the rest should be cut."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from cutpath.design.as_cut.causes import CAUSES
from cutpath.design.as_cut.fit import LEAST_READINGS, compared, fitted
from cutpath.design.as_cut.shape import ReadPlace, as_drawn
from cutpath.design.as_cut.values import AsCut, Counted, Fitted
from cutpath.design.stair import Stair
from cutpath.design.tape import TAPE_STEPS
from cutpath.job.load_keys import TOLERANCE
from cutpath.job.values import Job
from cutpath.plan.values import Design
from cutpath.rules.check import within
from cutpath.rules.values import Check
from cutpath.units import Show, Unit, many, on_tape, parse_length

_SOURCE = "as_cut of the job"
_TABLE: Final = {cause.id: cause for cause in CAUSES}
#: One notch too few or too many in the part reads just as a slip of whoever counts.
_COUNT_AGAIN: Final = (
    "see that no notch is missing or too many, write the marks' names on the stringer, and read it again"
)


def with_as_cut(job: Job, drawn: Design, stair: Stair, show: Show) -> Design:
    """A design with the checks of what was read off its first stringer; as it is where nothing was.

    Raises:
        Fault: a reading names a mark that the stringer hasn't.
    """
    if not job.as_cut:
        return drawn
    shape = as_drawn(drawn.stringer, stair.step_length, drawn.part.notches, job.stringer.edges)
    readings = compared(job.as_cut, shape)
    found = fitted(readings, shape, reading_limit(job))
    checks = [_read_as_drawn(found, job, show)]
    throats = [one for one in readings if one.place[0] == "throat"]
    if throats:
        least = min(throats, key=lambda one: one.read)
        checks.append(
            Check(
                "as-cut-throat",
                within(least.read, job.stringer.throat_least, None),
                True,
                "length",
                least.read,
                job.stringer.throat_least,
                None,
                "stringer.throat_least of the job",
                f"least throat read off the first stringer, {least.key}",
            )
        )
    return replace(drawn, checks=(*drawn.checks, *checks), as_cut=found)


def reading_limit(job: Job) -> float:
    """How far a reading may be off: what a cut may be, and half of the tape's step; millimetres."""
    return (job.tolerance.cut if job.tolerance else _usual_cut(job.units)) + TAPE_STEPS[job.units] / 2


def _usual_cut(unit: Unit) -> float:
    default = next(key for key in TOLERANCE.keys if key.name == "cut").default
    return float(parse_length(default.raw(unit), unit))  # type: ignore[union-attr]


def place_words(place: ReadPlace) -> str:
    """Where a reading is taken."""
    key, mark = place
    words = {"from_lower_end": "from the lower end", "from_edge": "in from the edge", "tip_to_tip": "tip to tip"}
    what = words.get(key, key)
    return f"{mark} {what}" if mark else "least throat" if key == "throat" else what


def fit_words(fit: Fitted, job: Job, show: Show) -> str:
    """What one cause, or two at once, would be."""
    if fit.alone:
        by = fit.numbers[0]
        return f"{fit.alone} alone is {show(abs(by))} too {'long' if by > 0 else 'short'}: read it again"
    numbers = zip(fit.ids, fit.numbers, strict=True)
    words = [_TABLE[name].words(by, job.cutter, show) for name, by in numbers if name in _TABLE]
    return "; and ".join([*([_counted_words(fit.counted)] if fit.counted else []), *words])


def _counted_words(count: Counted) -> str:
    """Which marks were counted off by one."""
    ends = {"along": ", hooked at the upper end", "from_lower_end": ", hooked at the lower end"}
    mark, was = count.marks[-1 if count.side == "up to" else 0]
    stands = f"what stands at {mark} was read at {was}{ends.get(count.key, '')}"
    if len(count.marks) == 1:
        return f"{stands}: counted off by one"
    which = f"all {count.what}" if count.side == "all" else f"the {count.what} {count.side} {mark}"
    on = " on" if count.side == "from" else ""
    return f"{which}{on} were counted off by one: {stands}"


def fit_mend(fit: Fitted, job: Job, show: Show) -> str:
    """What to do about it."""
    if fit.alone:
        return "read it again"
    return "; ".join(
        _COUNT_AGAIN if name == "counted-off" else _TABLE[name].mend(number, job.cutter, show)
        for name, number in zip(fit.ids, fit.numbers, strict=True)
    )


def mend_words(found: AsCut, job: Job, show: Show) -> str:
    """What to do about the readings; "": nothing is off, or nothing was found to be the cause."""
    if not found.off or not found.fits:
        return ""
    best = found.fits[0]
    if not best.explains:
        return "read it again, another tape, another hand, before anything is changed"
    mend = fit_mend(best, job, show)
    if len(best.ids) > 1:
        return f"take more readings first; if they say the same: {mend}"
    if found.apart is None:
        return mend
    one, other = on_tape(found.apart.one, job.units), on_tape(found.apart.other, job.units)
    return (
        f"read {place_words(found.apart.place)} first, which tells it from the second: {one} by the first, {other} by "
        f"the second; if it is the first: {mend}"
    )


def said(found: AsCut, job: Job, show: Show) -> str:
    """What the readings come to, in a sentence or two."""
    count = many(len(found.compared), "reading")
    if not found.off:
        few = "" if len(found.compared) >= LEAST_READINGS else "; too few to say much: read more marks"
        return (
            f"{count} of the first stringer, none off by more than {show(found.limit)}: nothing in them speaks against "
            f"cutting the rest once it has been hung{few}"
        )
    worst = found.worst
    start = (
        f"don't cut the rest: {len(found.off)} of {count} off by more than {show(found.limit)}, most of all "
        f"{place_words(worst.place)}, {show(abs(worst.off))} too {'long' if worst.off > 0 else 'short'}"
    )
    if len(found.compared) < LEAST_READINGS:
        return f"{start}; too few readings to look for a cause: read at least {LEAST_READINGS}"
    if not found.fits:
        return f"{start}; no single number that was tried explains it: read it again, another tape, another hand"
    best = found.fits[0]
    left = f"leaves at most {show(best.worst)} where {show(abs(worst.off))} was"
    if not best.explains:
        return f"{start}; nothing explains all of it; most is explained if {fit_words(best, job, show)} ({left})"
    if len(best.ids) > 1:
        return (
            f"{start}; no single number explains it, two at once would: {fit_words(best, job, show)} ({left}); two are "
            "easily fitted, so take more readings before you believe them"
        )
    more = f"; {many(len(found.fits) - 1, 'other cause')} would as well" if len(found.fits) > 1 else ""
    return f"{start}; explained if {fit_words(best, job, show)} ({left}){more}"


def _read_as_drawn(found: AsCut, job: Job, show: Show) -> Check:
    return Check(
        "as-cut",
        not found.off,
        True,
        "length",
        abs(found.worst.off),
        None,
        found.limit,
        _SOURCE,
        said(found, job, show),
        mend=mend_words(found, job, show),
    )

"""Readings of the first stringer held against the drawing, and the causes of the table fitted to what differs."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

from msgspec.structs import replace

from cutpath.design.as_cut.causes import CAUSES, Cause, CauseId
from cutpath.design.as_cut.shape import AsDrawn, Moved, Readings
from cutpath.design.as_cut.slips import counted_off, one_reading, recounted, rms
from cutpath.design.as_cut.squares import least_squares
from cutpath.design.as_cut.values import AsCut, Compared, Fitted, NextReading
from cutpath.faults import Fault
from cutpath.job.as_cut_values import OF_MARK, OF_PART, AsCutReading
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import quoted

#: With fewer readings any cause would fit, and with fewer than the second any two.
LEAST_READINGS: Final = 3
LEAST_FOR_TWO: Final = 5
#: A cause that leaves more than this share of the difference explains nothing worth naming.
_WORTH: Final = 0.5
_STEPS: Final = 12
#: By this share of its reach a number is changed to see what it does.
_SMALL: Final = 1e-4
#: Less than this no tape tells apart, millimetres (common practice, no source).
_TOLD_APART: Final = 2.0


def compared(readings: Sequence[AsCutReading], drawn: AsDrawn) -> tuple[Compared, ...]:
    """Every reading beside what is drawn there.

    Args:
        readings: as the job has them, millimetres.
        drawn: the stringer.

    Raises:
        Fault: a mark is none of this stringer's, or has no throat behind it.
    """
    known = drawn.readings(Moved())
    names = {_plain(name): name for name in drawn.marks}
    found: list[Compared] = []
    for index, entry in enumerate(readings):
        at = f"as_cut[{index}]"
        name = "" if entry.mark is None else names.get(_plain(entry.mark), "")
        if entry.mark is not None and not name:
            raise Fault(
                f"{at}.mark: {quoted(entry.mark)} is no mark of this stringer; it has "
                f"{', '.join(map(quoted, drawn.marks))}",
                key=f"{at}.mark",
                way_out="take a name from cutpath site",
            )
        for key in (*OF_MARK, *OF_PART):
            read = getattr(entry, key)
            if read is None:
                continue
            place = (key, "" if key in OF_PART else name)
            if place not in known:
                corners = ", ".join(quoted(mark) for what, mark in known if what == "throat" and mark)
                raise Fault(
                    f"{at}.{key}: there is no throat to read there",
                    key=f"{at}.{key}",
                    way_out=f"name one of {corners}" if corners else "drop it",
                )
            found.append(Compared(f"{at}.{key}", place, read, known[place]))
    return tuple(found)


def fitted(found: Sequence[Compared], drawn: AsDrawn, limit: float) -> AsCut:
    """Look for what explains the readings.

    Args:
        found: the readings, at least one.
        drawn: the stringer.
        limit: how far a reading may be off, millimetres.

    Returns:
        The readings, with the causes that explain all of them, slips of the reader among them; where none does, with
        two causes at once that do (from `LEAST_FOR_TWO` readings on); else with the one that explains most. No causes
        where nothing is off, or with fewer than `LEAST_READINGS`.
    """
    before = rms(one.off for one in found)
    plain = AsCut(tuple(found), limit, before)
    if not plain.off or len(found) < LEAST_READINGS:
        return plain
    causes = [cause for cause in CAUSES if drawn.keeps or not cause.board_only]
    singles = [_single(cause, found, drawn, limit) for cause in causes]
    nothing = drawn.readings(Moved())
    counted = counted_off(found, drawn, nothing, limit)
    tried = [*singles, *([counted] if counted else [])]
    explaining = sorted((fit for fit in tried if fit.explains), key=lambda fit: fit.rms)
    alone = one_reading(found, limit)
    if explaining or alone:
        fits = (*explaining, *([alone] if alone else []))
        return AsCut(plain.compared, limit, before, fits, _apart(fits, found, drawn))
    if counted and _count_moves(counted, found, nothing, limit) < 2:
        # A reading that is off by about a step, and no more, is one that is wrong.
        counted = None
    if len(found) >= LEAST_FOR_TWO:
        numbered = [cause for cause in causes if cause.none is not None]
        pairs = [_fit(pair, found, drawn, limit) for pair in combinations(numbered, 2)]
        if counted and counted.counted:
            again = recounted(found, counted.counted, nothing)
            pairs += [_with_count(_fit((cause,), again, drawn, limit), counted) for cause in numbered]
        both = sorted((fit for fit in pairs if fit.explains), key=lambda fit: fit.rms)
        if both:
            return AsCut(plain.compared, limit, before, tuple(both), _apart(both, found, drawn))
    # One that is looked for no farther explains nothing in part: it was stopped, not found.
    inside = [fit for fit, cause in zip(singles, causes, strict=True) if not cause.ends(fit.numbers[0])]
    best = min([*inside, *([counted] if counted else [])], key=lambda fit: fit.rms)
    return AsCut(plain.compared, limit, before, (best,) if best.rms <= _WORTH * before else ())


def _plain(name: str) -> str:
    """A mark's name however its commas, spaces and capitals are written."""
    return " ".join(name.replace(",", " ").casefold().split())


def _count_moves(fit: Fitted, found: Sequence[Compared], nothing: Readings, limit: float) -> int:
    """How many readings differ by more than the limit where marks are counted as a fit has it."""
    assert fit.counted is not None
    places = fit.counted.places(one.place for one in found)
    return sum(abs(nothing[place] - one.drawn) > limit for place, one in zip(places, found, strict=True))


def _with_count(fit: Fitted, counted: Fitted) -> Fitted:
    """A cause fitted to readings whose marks were counted off besides."""
    return replace(fit, ids=(*counted.ids, *fit.ids), numbers=(*counted.numbers, *fit.numbers), counted=counted.counted)


def _left(found: Sequence[Compared], reads: Readings) -> list[float]:
    return [one.read - reads[one.place] for one in found]


def _single(cause: Cause, found: Sequence[Compared], drawn: AsDrawn, limit: float) -> Fitted:
    if cause.none is not None:
        return _fit((cause,), found, drawn, limit)
    # In the unit that was meant, a reading is off by as much as any other.
    return _judged((cause.id,), (0.0,), [off / cause.times for off in _left(found, cause.read(drawn, 0.0))], limit)


def _judged(ids: tuple[CauseId, ...], numbers: tuple[float, ...], left: list[float], limit: float) -> Fitted:
    worst = max(map(abs, left))
    return Fitted(ids, numbers, worst, rms(left), worst <= limit + LIMIT_SLACK)


def _predicted(causes: Sequence[Cause], numbers: Sequence[float], drawn: AsDrawn, nothing: Readings) -> Readings:
    """Readings with one cause, or with two, whose differences are small enough to be added."""
    if len(causes) == 1:
        return causes[0].read(drawn, numbers[0])
    one, other = (cause.read(drawn, number) for cause, number in zip(causes, numbers, strict=True))
    return {place: one[place] + other[place] - nothing[place] for place in nothing}


def _fit(causes: tuple[Cause, ...], found: Sequence[Compared], drawn: AsDrawn, limit: float) -> Fitted:
    """Least squares by Gauss and Newton's steps, from a little to either side of nothing.

    A stringer reads nearly straight lines in all of these numbers, but for teeth that the board's edge makes blunt,
    which is why both sides are tried.
    """
    nothing = drawn.readings(Moved())
    best: Fitted | None = None
    for start in zip(*(cause.span(1e-3) for cause in causes), strict=True):
        numbers = [*start]
        for _ in range(_STEPS):
            moved = _step(causes, numbers, found, drawn, nothing)
            if moved is None:
                break
            change = max(abs(m - n) / cause.reach for m, n, cause in zip(moved, numbers, causes, strict=True))
            numbers = moved
            if change < 1e-7:
                break
        left = _left(found, _predicted(causes, numbers, drawn, nothing))
        fit = _judged(tuple(cause.id for cause in causes), tuple(numbers), left, limit)
        if best is None or fit.rms < best.rms:
            best = fit
    assert best is not None
    return best


def _step(
    causes: tuple[Cause, ...], numbers: list[float], found: Sequence[Compared], drawn: AsDrawn, nothing: Readings
) -> list[float] | None:
    """One step of the fit, kept within the causes' reach; None where the readings say nothing of the numbers."""
    left = _left(found, _predicted(causes, numbers, drawn, nothing))
    slopes: list[list[float]] = []
    for index, cause in enumerate(causes):
        more = [*numbers]
        more[index] += cause.reach * _SMALL
        after = _left(found, _predicted(causes, more, drawn, nothing))
        slopes.append([(b - a) / _SMALL for a, b in zip(after, left, strict=True)])
    solved = least_squares(slopes, left)
    if solved is None:
        return None
    spans = [cause.span() for cause in causes]
    return [
        min(max(number + share * cause.reach, least), most)
        for number, share, cause, (least, most) in zip(numbers, solved, causes, spans, strict=True)
    ]


def _apart(fits: Sequence[Fitted], found: Sequence[Compared], drawn: AsDrawn) -> NextReading | None:
    """The reading not taken yet by which the first two differ most."""
    known = [fit for fit in fits if not fit.alone][:2]
    if len(known) < 2 or any(fit.counted for fit in known):
        # What was counted off is told by reading it again.
        return None
    nothing = drawn.readings(Moved())
    table = {cause.id: cause for cause in CAUSES}
    one, other = (_predicted([table[i] for i in fit.ids], fit.numbers, drawn, nothing) for fit in known)
    taken = {each.place for each in found}
    free = [place for place in nothing if place not in taken]
    place = max(free, key=lambda at: abs(one[at] - other[at]), default=None)
    if place is None or abs(one[place] - other[place]) <= _TOLD_APART:
        return None
    return NextReading(place, one[place], other[place])

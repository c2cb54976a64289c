"""The readings of the first stringer beside the drawing, and what would explain the difference."""

from __future__ import annotations

from functools import partial
from typing import Final

from cutpath.design.as_cut.values import AsCut
from cutpath.job.values import Job
from cutpath.plan.as_cut import fit_words, place_words
from cutpath.screen import table
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Unit, on_tape, show, sixteenths, to_unit

_MOST_FITS = 5
_DECIMALS: Final[dict[Unit, int]] = {"in": 4, "mm": 2}


def as_cut_text(found: AsCut, job: Job) -> list[str]:
    """Blocks of text: every reading, then the causes that fit, the best first, and what would tell them apart."""
    unit = job.units
    rows = [
        (
            place_words(one.place),
            _read(one.read, unit),
            _exact(one.drawn, unit),
            f"{_exact(one.off, unit, sign='+')}{'  off' if one in found.off else ''}",
        )
        for one in found.compared
    ]
    head = ("first stringer, as cut", "read", "drawn", f"differs, {unit}")
    blocks = [table(head, rows, left=frozenset({0, 3}))]
    if found.fits:
        shown = partial(show, unit=unit)
        causes = [
            (
                _exact(fit.worst, unit),
                _exact(fit.rms, unit),
                "all" if fit.explains else "most",
                fit_words(fit, job, shown),
            )
            for fit in found.fits[:_MOST_FITS]
        ]
        lines = [
            f"what would explain it, the best first; as it is at most {_exact(abs(found.worst.off), unit)} {unit} off, "
            f"root mean square {_exact(found.rms, unit)}",
            table(("then at most", "r.m.s.", "explains", "if"), causes, left=frozenset({2, 3})),
        ]
        if found.apart is not None:
            where = place_words(found.apart.place)
            one, other = on_tape(found.apart.one, unit), on_tape(found.apart.other, unit)
            lines.append(f"to tell the first two apart read {where}: {one} by the first, {other} by the second")
        blocks.append("\n".join(lines))
    return blocks


def _exact(mm: float, unit: Unit, sign: str = "") -> str:
    value = round(to_unit(mm, unit), _DECIMALS[unit]) + 0.0
    return f"{value:{sign if value else ''}.{_DECIMALS[unit]}f}"


def _read(mm: float, unit: Unit) -> str:
    """As it stands on the tape, where that is a sixteenth."""
    mark = sixteenths(mm) if unit == "in" else f"{mm:g}"
    return mark if unit == "mm" or abs(mm * 16 / 25.4 - round(mm * 16 / 25.4)) < LIMIT_SLACK else _exact(mm, unit)

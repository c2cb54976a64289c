"""The readings of the first stringer as JSON-able data, lengths in the job's unit."""

from __future__ import annotations

from functools import partial

from cutpath.design.as_cut.causes import CAUSES
from cutpath.design.as_cut.values import AsCut, Fitted
from cutpath.job.values import Job
from cutpath.json_text import Json
from cutpath.plan.as_cut import fit_words, said
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import show, written


def as_cut_result(found: AsCut, job: Job) -> Json:
    """Every reading beside what is drawn, what would explain the difference, and what it comes to.

    A cause's `number` is a length in the job's unit, or a bare factor where it is a scale; None where it has none.
    """
    unit, shown = job.units, partial(show, unit=job.units)
    # Of the table those whose number is a factor: nothing differs at 1.
    factors = {cause.id for cause in CAUSES if cause.none == 1.0}
    plain = {"counted-off", *(cause.id for cause in CAUSES if cause.none is None)}

    def number(name: str, value: float) -> float | None:
        if name in plain:
            return None
        return round(value, WRITTEN_DECIMALS) if name in factors else written(value, unit)

    def fit(one: Fitted) -> Json:
        return {
            "causes": [
                {"id": name, "number": number(name, value)} for name, value in zip(one.ids, one.numbers, strict=True)
            ],
            "explains_all": one.explains,
            "worst_left": written(one.worst, unit),
            "rms_left": written(one.rms, unit),
            "words": fit_words(one, job, shown),
        }

    apart = found.apart
    return {
        "limit": written(found.limit, unit),
        "cut_the_rest": not found.off,
        "says": said(found, job, shown),
        "readings": [
            {
                "key": one.key,
                "read": written(one.read, unit),
                "drawn": written(one.drawn, unit),
                "differs": written(one.off, unit),
                "off": one in found.off,
            }
            for one in found.compared
        ],
        "rms": written(found.rms, unit),
        "fits": [fit(one) for one in found.fits],
        "read_next": None
        if apart is None
        else {
            "key": apart.place[0],
            "mark": apart.place[1] or None,
            "by_first": written(apart.one, unit),
            "by_second": written(apart.other, unit),
        },
    }

"""Flights by their finished surfaces, for tests of rules."""

from collections.abc import Sequence
from itertools import accumulate

from cutpath.rules.built import Built, Ground


def flight(
    rises: Sequence[float] = (180.0,) * 8, goings: Sequence[float] | float = 280.0, nosing: float = 25.0, **more: object
) -> Built:
    """A flight whose top tread lies one rise below the floor, from its rises and goings; millimetres."""
    runs = [goings] * (len(rises) - 1) if isinstance(goings, float) else list(goings)
    outs = list(accumulate(runs, initial=nosing))
    downs = list(accumulate(rises))
    values = {
        "nosings": tuple(zip(outs, [0.0, *(-d for d in downs[:-1])], strict=True)),
        "floor_first": True,
        "landing": -downs[-1],
        "overhangs": (nosing,) * (len(rises) - 1),
        "tread_thickness": 38.0,
        "open_risers": True,
        "ground": Ground(level=-downs[-1]),
    }
    return Built(**{**values, **more})  # type: ignore[arg-type]

"""Numbers of treads and risers, for people."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.rules.measures import runs_of


def in_runs(numbers: Sequence[int], thing: str) -> str:
    """Rising numbers in runs: "riser 2", "risers 1 to 3 and 5"."""
    words = [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs_of(numbers)]
    *most, last = words
    listed = f"{', '.join(most)} and {last}" if most else last
    return f"{thing}{'' if len(numbers) == 1 else 's'} {listed}"

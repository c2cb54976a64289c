"""Numbers of treads and risers, for people."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.rules.measures import listed


def in_runs(numbers: Sequence[int], thing: str) -> str:
    """Rising numbers in runs: "riser 2", "risers 2 and 3", "risers 1 to 3 and 5"."""
    return f"{thing}{'' if len(numbers) == 1 else 's'} {listed(numbers)}"

"""JSON as the program writes it: lengths in the job's unit, in lines that a person can read a change of."""

from __future__ import annotations

import json
from typing import Any, Final

from cutpath.job.values import Job
from cutpath.outline import Chain, Point
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import written

Json = dict[str, Any]

#: Made once: `json.dumps` would make one for each value.
_PLAIN: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode


class InUnit:
    """Turns millimetres into the job's unit as written."""

    def __init__(self, job: Job) -> None:
        self.unit = job.units

    def __call__(self, mm: float | None) -> float | None:
        """A length."""
        return None if mm is None else written(mm, self.unit)

    def point(self, p: Point) -> list[float]:
        """A point's x and y."""
        return [written(p[0], self.unit), written(p[1], self.unit)]

    def outline(self, chain: Chain) -> list[list[float]]:
        """A chain's vertices: x, y, and the bulge of what follows."""
        return [
            [*self.point(p), round(b, WRITTEN_DECIMALS) + 0.0] for p, b in zip(chain.points, chain.bulges, strict=True)
        ]


def dumped(data: Json) -> str:
    """JSON that a person can read a change of: a line a value, short lists of numbers on one line."""
    return _dump(data, 0) + "\n"


def _dump(value: Any, depth: int) -> str:
    pad, end = "  " * (depth + 1), "  " * depth
    if isinstance(value, dict) and value:
        body = ",\n".join(f"{pad}{_PLAIN(k)}: {_dump(v, depth + 1)}" for k, v in value.items())
        return f"{{\n{body}\n{end}}}"
    if isinstance(value, list) and any(isinstance(v, dict | list) for v in value):
        body = ",\n".join(f"{pad}{_dump(v, depth + 1)}" for v in value)
        return f"[\n{body}\n{end}]"
    return _PLAIN(value)

"""A stair that climbs 3 in 4, so that what is plumb and what lies along the slope are whole numbers, and its job.

Rises of 180 on runs of 240: a length along the slope is 5/4 of what it is level, and so is a thickness square to the
slope measured plumb. The floor's edge stands 45 out, nosings of 25 over riser boards of 20, treads 40 thick: nosings at
(285, -180) to (1005, -720), riser cuts at 240 to 960, the landing at -900. The line of the nosings is 33.75 - 0.75 x.
"""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from cutpath.design.stair import Stair
from cutpath.job.read import job_from_text
from cutpath.job.values import StockBoards
from cutpath.rules.values import RuleSet

STAIR = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)
JOB = job_from_text(
    """
units = "mm"
[site]
total_rise = 900
[stair]
risers = 5
unit_run = 240
tread_thickness = 40
riser_board = 20
nosing = 25
floor_overhang = 45
clear_width = 1000
[stringer]
throat_least = 0
[[stock]]
size = [40, 300]
length = 4000
"""
).job
FREE = RuleSet("free", "Free", ())


def lumber(size: tuple[float, float], length: float, quantity: int | None = None, **more: Any) -> StockBoards:
    return replace(StockBoards("", *size, size[1], length, quantity, None, ()), **more)

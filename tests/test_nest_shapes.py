"""Outlines for the nest's tests, drawn apart from the program's own, and a check of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pytest

from cutpath.job.values import StockBoards
from cutpath.nest import PartKind
from cutpath.outline import Chain, Point

IN = 25.4


def board_frame(points: Sequence[Point], bulges: Sequence[float], pitch: float, width: float) -> Chain:
    """Turn by the pitch; the first point, a tip, at y = width and the leftmost at x = 0."""
    cos, sin = math.cos(pitch), math.sin(pitch)
    turned = [(x * cos - y * sin, x * sin + y * cos) for x, y in points]
    left = min(x for x, _ in turned)
    top = turned[0][1]
    return Chain(tuple((x - left, y - top + width) for x, y in turned), tuple(bulges), True)


def stringer(
    rise: float = 7.25 * IN,
    run: float = 10.5 * IN,
    risers: int = 8,
    width: float = 11.25 * IN,
    tread: float = 1.5 * IN,
    relief: float = 0.0,
    first_run: float | None = None,
) -> Chain:
    """A notched stringer, top tread one below the floor; `relief` is a radius on the diagonal, or 0."""
    pitch = math.atan2(rise, run)
    first = run if first_run is None else first_run
    cuts = [first + k * run for k in range(risers - 1)]
    down = width / math.cos(pitch)

    def tips(x: float) -> float:
        return -rise - tread - (x - cuts[0]) * rise / run

    foot = -risers * rise
    points: list[Point] = []
    bulges: list[float] = []
    for k, x in enumerate(cuts):
        points.append((x, tips(x)))
        bulges.append(0.0)
        if k < len(cuts) - 1:
            seat = tips(cuts[k + 1])
            if relief:
                points += [(x, seat + math.sqrt(2) * relief), (x + math.sqrt(2) * relief, seat)]
                bulges += [1.0, 0.0]
            else:
                points.append((x, seat))
                bulges.append(0.0)
    back = cuts[0] + (-rise - tread - down - foot) * run / rise
    points += [(cuts[-1], foot), (back, foot), (0.0, tips(0.0) - down), (0.0, tips(cuts[0]))]
    bulges += [0.0] * 4
    return board_frame(points, bulges, pitch, width)


def box(length: float, width: float) -> Chain:
    return Chain(((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)), (0.0,) * 4, True)


def slanted(lower: float, upper: float, start: float, width: float) -> Chain:
    """A plain board with slanted ends: lower edge from 0, upper edge from `start`, each of its own length."""
    points = ((0.0, 0.0), (lower, 0.0), (start + upper, width), (start, width))
    left = min(x for x, _ in points)
    return Chain(tuple((x - left, y) for x, y in points), (0.0,) * 4, True)


def kind(outline: Chain, count: int, name: str = "A", **more: Any) -> PartKind:
    given: dict[str, Any] = {"width": outline.extents()[3], "edges": "factory", "edge_trim": 0.0} | more
    return PartKind(name=name, outline=outline, count=count, **given)


def board(length: float, least_width: float = 11.25 * IN, **more: Any) -> StockBoards:
    given: dict[str, Any] = {
        "size": "2x12",
        "thickness": 1.5 * IN,
        "width": least_width,
        "quantity": None,
        "price": None,
        "defects": (),
    } | more
    return StockBoards(length=length, least_width=least_width, **given)


def test_the_test_stringer_is_the_one_worked_out_by_hand() -> None:
    # A separate calculation in inches: 58 over 8 risers, run 10 1/2, treads 1 1/2, floor overhang = nosing.
    left, low, right, high = stringer().extents()
    assert (right - left) / IN == pytest.approx(88.4663, abs=5.1e-5)
    assert abs(stringer().area()) / IN**2 == pytest.approx(692.9603, abs=5.1e-5)
    assert (low, high) == pytest.approx((0.0, 11.25 * IN), abs=1e-9)
    assert stringer().polygon().is_valid and stringer(relief=4.0).polygon().is_valid
    # Six inside corners lose half a disc each, less the triangle of the cut-out that it overlaps.
    lost = abs(stringer().area()) - abs(stringer(relief=4.0).area())
    assert lost == pytest.approx(6 * (math.pi * 8.0 - 16.0), rel=1e-9)

"""Drawings of a few lines, as values, and what is found in them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from cutpath.inspect.values import Element, Hit, LayerSeen, Seen
from cutpath.inspect.whole import inspect_seen
from cutpath.outline import Chain, Point, straight

#: An item: its chain, its layer, its kind.
Item = tuple[Chain, str, str]


def cut(chain: Chain, layer: str = "PART", kind: str = "LWPOLYLINE") -> Item:
    return chain, layer, kind


def shut(*points: Point) -> Item:
    return cut(straight(points, closed=True))


def run(*points: Point, layer: str = "PART") -> Item:
    return cut(straight(points, closed=False), layer)


def box(x: float, y: float, wide: float, high: float) -> Item:
    return shut((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def hits(
    items: Sequence[Item],
    tool: float | None = None,
    others: Sequence[Element] = (),
    frozen: str = "",
    off: str = "",
    **more: Any,
) -> dict[str, list[Hit]]:
    """What is found in model space, by kind; items have the handles "1", "2" and on."""
    elements = tuple(
        Element(str(k), kind, layer, "model", chain, chain.points[0]) for k, (chain, layer, kind) in enumerate(items, 1)
    )
    elements += tuple(others)
    names = dict.fromkeys(element.layer for element in elements)
    layers = tuple(LayerSeen(name, frozen=name == frozen, off=name == off) for name in names)
    given: dict[str, Any] = {"unit": "mm", "per_unit": 1.0, "guessed": False, "metric": True, "texts": ()}
    seen = Seen("x.dxf", items=elements, layers=layers, **{"version": "R2000", **given, **more})
    found: dict[str, list[Hit]] = {}
    for finding in inspect_seen(seen, tool=tool).findings:
        found.setdefault(finding.kind, []).append(finding.hit)
    return found


def kinds(items: Sequence[Item], tool: float | None = None, **more: Any) -> set[str]:
    return set(hits(items, tool, **more))


def near(point: Point | None, wanted: Point, within: float = 1e-6) -> None:
    assert point == pytest.approx(wanted, abs=within)


PLATE = box(0, 0, 300, 200)

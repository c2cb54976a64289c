"""How near the least a layout is proved to be, in words."""

from __future__ import annotations

from collections.abc import Callable

from cutpath.nest.values import Layout


def proved(layout: Layout, amount: Callable[[float], str]) -> str:
    """How near the least a layout is proved to be."""
    early = "; stopped early" if layout.stopped else ""
    if layout.value <= layout.bound + 1e-9 * abs(layout.value):
        return f"proved least{early}"
    if layout.bound <= 0:
        return f"not proved least{early}"
    return f"bound {amount(layout.bound)}: at most {layout.value / layout.bound - 1:.2%} over the least{early}"

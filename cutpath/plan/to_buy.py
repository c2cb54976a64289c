"""One list to buy: the stringers' boards and all lumber, and what goes with them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from cutpath.nest.shopping import shopping
from cutpath.nest.values import Layout, Purchase
from cutpath.plan.lumber_values import OF_LAYOUT
from cutpath.plan.values import Plan
from cutpath.units import Unit, many, show
from cutpath.volume import VOLUME_NAMES, to_volume

if TYPE_CHECKING:
    from cutpath.pieces.values import Concrete, Hangers


class ToBuy(Struct, frozen=True):
    """What to buy or take for a plan.

    Attributes:
        lines: boards and lumber, those alike to a buyer in one line; nothing is paid for an offcut.
        total: of them all, in the user's money; None where a price is missing.
        unpriced: those that have no price.
        besides: what else is needed, in words; it is in no total.
    """

    lines: tuple[Purchase, ...]
    total: float | None
    unpriced: tuple[Purchase, ...]
    besides: tuple[str, ...]


def to_buy(plan: Plan) -> ToBuy:
    """Everything to buy or take for a plan and what is laid together with it.

    What is cut from offcuts of the stringers' own boards is bought with those.
    """
    layouts = [plan.layout, *([s.layout for s in plan.lumber.sections] if plan.lumber else [])]
    counts: dict[Purchase, int] = {}
    for layout in layouts:
        for line in shopping(_bought(layout)):
            one = replace(line, count=1, total=line.price)
            counts[one] = counts.get(one, 0) + line.count
    lines = tuple(
        replace(one, count=count, total=None if one.price is None else round(one.price * count, 6))
        for one, count in counts.items()
    )
    unpriced = tuple(line for line in lines if line.price is None and not line.origin.startswith("offcut "))
    total = None if unpriced else round(math.fsum(line.total or 0.0 for line in lines), 6)
    return ToBuy(lines, total, unpriced, _besides(plan))


def _bought(layout: Layout) -> Layout:
    return replace(layout, boards=tuple(b for b in layout.boards if not b.stock.source.startswith(OF_LAYOUT)))


def _besides(plan: Plan) -> tuple[str, ...]:
    if plan.lumber is None:
        return ()
    unit, found = plan.job.units, []
    for job, pieces in plan.lumber.stairs:
        whose = f"{job}: " if len(plan.lumber.stairs) > 1 else ""
        found.append(f"{whose}{hanger_words(pieces.hangers, unit)}")
        if pieces.concrete is not None:
            found.append(f"{whose}{concrete_words(pieces.concrete, unit)}")
    return tuple(found)


def hanger_words(hangers: Hangers, unit: Unit) -> str:
    """The hangers at the header: how many, and what they must hold."""
    return (
        f"{many(hangers.count, 'hanger')} at the header, for a stringer {show(hangers.seat, unit)} thick, its plumb "
        f"cut {show(hangers.height, unit)} high, sloping {hangers.slope:.1f}° down from level: which to take is for "
        "their maker's tables and a licensed professional"
    )


def concrete_words(concrete: Concrete, unit: Unit) -> str:
    """The pad's concrete, and its bags where the job says what one yields."""
    name = VOLUME_NAMES[unit]
    text = f"{to_volume(concrete.volume, unit):.2f} {name} of concrete for the pad, nothing added for waste"
    if concrete.bag_yield is None:
        return text
    return f"{text}: {concrete.bags} bags of {to_volume(concrete.bag_yield, unit):g} {name} ({concrete.bag_source})"

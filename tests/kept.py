"""Plans and exports worked out once a run: half of the jobs that tests plan and export were planned before.

Both are functions of frozen values, and that a job gives the same bytes anywhere is shown by processes of their own.
What is kept holds only as long as the program is as it was written: a test that replaces anything on the way from a job
to its files works all out anew.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from copy import deepcopy
from functools import wraps
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.export import for_shop, one, together
from cutpath.plan import gather, stages
from cutpath.plan.values import Plan, Together

#: Rooms that are told nothing by plans and exports: what is replaced there changes neither.
BESIDE = ("cutpath.cli", "cutpath.page", "cutpath.place", "cutpath.stockfile", "cutpath.disk")
PLANS, SHOPS = 60, 25
#: Lengths by which two ways of writing them are told apart: in another unit, or with more digits.
SHOWN = (1.0, 1000 / 3)

#: Whether the test that runs has replaced something that plans or exports may go by.
_replaced = False


def begin_test() -> None:
    """Nothing is replaced yet."""
    global _replaced
    _replaced = False


def work_out_anew() -> None:
    """Have the test that runs plan and export by itself: one that holds two workings of the same job side by side."""
    global _replaced
    _replaced = True


def keep() -> None:
    """Have plans and exports kept from here on."""
    plans: OrderedDict[Hashable, Together] = OrderedDict()
    shops: OrderedDict[Hashable, tuple[object, for_shop.ForShop]] = OrderedDict()
    plan_together, make_shop = stages.plan_together, for_shop.for_shop

    @wraps(plan_together)
    def planned(entrants: Any, stock: Any, keep: Any = None, seconds: float = 0.0, **more: Any) -> Together:
        key = (tuple((e.source, e.job, e.rules, *map(e.show, SHOWN)) for e in entrants), tuple(stock), keep)
        if seconds or _replaced:
            return plan_together(entrants, stock, keep, seconds, **more)
        if key in plans:
            plans.move_to_end(key)
            return plans[key]
        found = plan_together(entrants, stock, keep, seconds, **more)
        if not found.whole.layout.stopped:
            _put(plans, key, found, PLANS)
        return found

    @wraps(make_shop)
    def shop(whole: Plan, jobs: Mapping[str, Plan], tell: Any) -> for_shop.ForShop:
        key = (id(whole), *((folder, id(plan)) for folder, plan in jobs.items()))
        if _replaced or not any(whole is found.whole for found in plans.values()):
            return make_shop(whole, jobs, tell)
        if key not in shops:
            # The plans are held, so that none other comes to stand where one of them stood.
            _put(shops, key, ((whole, *jobs.values()), make_shop(whole, jobs, tell)), SHOPS)
        shops.move_to_end(key)
        made = shops[key][1]
        # Whoever closes an export writes into these two.
        return replace(made, files=dict(made.files), result=deepcopy(made.result))

    stages.plan_together = gather.plan_together = planned
    for_shop.for_shop = one.for_shop = together.for_shop = shop
    _watch(pytest.MonkeyPatch.setattr)


def _put(kept: OrderedDict[Any, Any], key: Hashable, value: object, most: int) -> None:
    kept[key] = value
    if len(kept) > most:
        kept.popitem(last=False)


def _watch(setattr_: Callable[..., None]) -> None:
    @wraps(setattr_)
    def watched(self: pytest.MonkeyPatch, target: Any, *more: Any, **options: Any) -> None:
        global _replaced
        where = target if isinstance(target, str) else getattr(target, "__module__", None) or ""
        where = getattr(target, "__name__", where) if type(target).__name__ == "module" else where
        if f"{where}.".startswith("cutpath.") and not where.startswith(BESIDE):
            _replaced = True
        setattr_(self, target, *more, **options)

    pytest.MonkeyPatch.setattr = watched  # type: ignore[method-assign]

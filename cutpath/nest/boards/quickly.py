"""What is settled in moments: plain layouts, and parts shuffled onto as few boards of one entry as there must be."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.nest.boards.fitting import Boards
from cutpath.nest.boards.shuffle import shuffled
from cutpath.nest.boards.simple import first_layouts, plain_bound
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.values import Counts

#: Jobs of more parts than the one and up to the other are shuffled onto few boards, so often. Fewer parts are put on
#: whole boards by one program as soon.
_FEW, _SHUFFLED, _SHUFFLES = 25, 3000, 4


def settled_quickly(stock: Sequence[Boards], wanted: Counts, so_far: SoFar) -> bool:
    """Begin with plain layouts, and tell whether one is proved best: asked with boards of one entry, where none ties.

    Args:
        stock: the entries.
        wanted: parts of each kind.
        so_far: is told what is found and proved.
    """
    entries = [boards.entry for boards in stock]
    so_far.tick()
    bound = plain_bound(stock, wanted)
    so_far.proved(bound)
    usable = [number for number, entry in enumerate(entries) if entry.quantity]
    alone = len(usable) == 1 and not stock[usable[0]].left
    for choice in first_layouts(stock, wanted):
        so_far.found(choice)
        so_far.tick()
        if alone and choice.cost(entries) <= bound:
            return True
    return alone and _FEW < sum(wanted) <= _SHUFFLED and _fewest(stock, usable[0], wanted, so_far)


def _fewest(stock: Sequence[Boards], only: int, wanted: Counts, so_far: SoFar) -> bool:
    """As few boards of the only entry as there must be, or if that is not found a few more; whether they are fewest."""
    cost = stock[only].entry.cost
    tried = -1
    for _ in range(_SHUFFLES):
        best = so_far.choice
        if best is None or not cost or best.cost(so_far.entries) <= so_far.bound:
            break
        most = sum(n for _, n in best.boards)
        # First as few as there must be, then half way between too few and enough.
        count = -(-so_far.bound // cost) if tried < 0 else (tried + most) // 2
        if count == tried:
            break
        choice = shuffled(stock, [count if n == only else 0 for n in range(len(stock))], wanted, so_far)
        so_far.found(choice)
        tried = count if choice is None else tried
    return so_far.choice is not None and so_far.choice.cost(so_far.entries) <= so_far.bound

"""A file with its slips closed: what goes round a part is held against it, though it is open by a hair."""

from __future__ import annotations

from msgspec.structs import replace

from cutpath.inspect.find.contours import LEAST_TAB, OpenEnd, bare_pairs
from cutpath.inspect.find.looked import Looked
from cutpath.outline import Chain


def slips_closed(look: Looked) -> Looked:
    """A file in which open ends that are each other's nearest, and nearer than a tab is wide, meet.

    That they are open is told by itself, and nothing is cut by the straights between them.
    """
    slips = [pair for pair in bare_pairs(look) if pair[0].gap < LEAST_TAB]
    if not slips:
        return look
    chains: dict[int, Chain] = {}
    for one, other in slips:
        chain = chains.get(one.chain) or look.cuts[one.chain].chain
        assert chain is not None
        if one.chain == other.chain:
            chains[one.chain] = Chain(chain.points, chain.bulges, True)
        else:
            chains[one.chain] = _led_to(chain, one, other)
    new = {id(look.cuts[k]): chain for k, chain in chains.items()}
    items = tuple(replace(i, chain=new[id(i)]) if id(i) in new else i for i in look.seen.items)
    closed = Looked(replace(look.seen, items=items), look.roles, look.layers, look.tool)
    closed.kerf, closed.is_set_up, closed.shares_cuts = look.kerf, look.is_set_up, look.shares_cuts
    return closed


def _led_to(chain: Chain, end: OpenEnd, other: OpenEnd) -> Chain:
    """An open chain that goes on from one of its ends to another chain's."""
    if chain.points[-1] == end.at:
        return Chain((*chain.points, other.at), (*chain.bulges, 0.0), False)
    return Chain((other.at, *chain.points), (0.0, *chain.bulges), False)

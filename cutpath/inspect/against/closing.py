"""A file as it is held against a job: with slips closed, so that what is open by a hair is held, or frames left out."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from cutpath.inspect.find.ends import LEAST_TAB, OpenEnd, bare_pairs
from cutpath.inspect.find.frame import is_rectangle, outermost
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Element, Hit
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
    return _with(look, (replace(i, chain=new[id(i)]) if id(i) in new else i for i in look.seen.items))


def without_frames(look: Looked) -> tuple[Looked, tuple[Hit, ...]]:
    """A file without the outermost rectangles that are drawn round other things, and where these are."""
    of, polygons = look.rings
    frames = [look.joined.contours[of[k]].members for k, _ in outermost(look) if is_rectangle(polygons[k])]
    gone = {id(look.cuts[m]) for members in frames for m in members}
    hits = tuple(look.at(look.cuts[members[0]]) for members in frames)
    return _with(look, (i for i in look.seen.items if id(i) not in gone)), hits


def _with(look: Looked, items: Iterable[Element]) -> Looked:
    """A file as it would be with other things in it."""
    other = Looked(replace(look.seen, items=tuple(items)), look.roles, look.layers, look.tool)
    other.kerf, other.is_set_up, other.shares_cuts = look.kerf, look.is_set_up, look.shares_cuts
    return other


def _led_to(chain: Chain, end: OpenEnd, other: OpenEnd) -> Chain:
    """An open chain that goes on from one of its ends to another chain's."""
    if chain.points[-1] == end.at:
        return Chain((*chain.points, other.at), (*chain.bulges, 0.0), False)
    return Chain((other.at, *chain.points), (0.0, *chain.bulges), False)

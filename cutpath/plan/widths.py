"""Which width of board each job's stringers are drawn for, where boards differ in width.

Boards of one nominal size differ in width, and a stringer drawn for a narrower one fits more of them. Of all the ways
to choose a width for each job the one is chosen fewest of whose required checks fail, then the cheapest, then the one
with the widest parts.

How many checks fail is told without a nest, so only the widths with the fewest are nested, as long as these have any
layout. The narrowest of them go first, and then what all widths of a part have in common: what is proved of that is
proved of every way. Where that is met only wider parts for the same cost are still looked for; else all ways are nested
if they are few, or some of them. What was not nested, because there are many ways or because Ctrl-C came, is in the
bound all the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product

from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.nest.values import Layout
from cutpath.plan.values import Design

#: Ways to choose widths are all nested up to this many; where the least cost is known, up to so many.
_ALL, _ALL_KNOWN = 64, 12

#: All jobs are tried at each of up to so many widths alike; of more, at some.
_ALL_ALIKE = 12

#: Past that, other widths for one job at a time are tried up to this many nests.
_MOST_NESTS = 36

Widths = tuple[float, ...]
Least = Callable[[Sequence[Sequence[Design]], Layout | None], tuple[float, bool]]


def best_widths(
    drawn: Sequence[Mapping[float, Design]],
    lay: Callable[[Sequence[Design]], Layout],
    least: Least,
) -> tuple[list[Design], Layout]:
    """Each job's design and the layout.

    Args:
        drawn: each job's designs by width; on sheets each has one.
        lay: gives the parts of a choice of designs their places.
        least: what no layout costs less than, whichever of its designs is chosen for each job, given the layout of
            the narrowest; and whether Ctrl-C came meanwhile.

    Returns:
        The designs, and their layout with a bound that covers every choice with as many checks that fail; stopped where
        Ctrl-C came, with the best of the widths that were nested till then.

    Raises:
        NoNest: there is no layout at any width; of the faults, the one of the narrowest parts, which most boards take.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    fewest = [min(len(d.failing) for d in options.values()) for options in drawn]
    best = [
        {width: d for width, d in options.items() if len(d.failing) == few}
        for options, few in zip(drawn, fewest, strict=True)
    ]
    search = _Search(best, lay)
    try:
        return search.found(least)
    except NoNest:
        if all(len(few) == len(options) for few, options in zip(best, drawn, strict=True)):
            raise
    return _Search(drawn, lay, search).found(least)


class _Search:
    """Nests by widths."""

    def __init__(
        self,
        options: Sequence[Mapping[float, Design]],
        lay: Callable[[Sequence[Design]], Layout],
        before: _Search | None = None,
    ) -> None:
        self.options, self.lay = options, lay
        self.nested: dict[Widths, Layout | NoNest] = dict(before.nested) if before else {}
        self.stopped = False

    def found(self, least: Least) -> tuple[list[Design], Layout]:
        """As `best_widths`, among these options alone."""
        narrowest = tuple(min(options) for options in self.options)
        self._nest(narrowest)
        ways = math.prod(len(options) for options in self.options)
        over_all = 0.0
        if ways > 1:
            got = self.nested[narrowest]
            known = got if isinstance(got, Layout) else None
            over_all, stopped = least([list(options.values()) for options in self.options], known)
            if stopped and known is None:
                raise KeyboardInterrupt
            self.stopped = self.stopped or stopped
            if ways <= (_ALL_KNOWN if self._met(over_all) else _ALL):
                every = product(*(sorted(options, reverse=True) for options in self.options))
                for widths in sorted(every, key=sum, reverse=True):
                    self._nest(widths)
                    if self._alike and self._cost(widths) <= over_all:
                        # No way costs less, and none that follows has wider parts.
                        break
            else:
                for widths in self._some(over_all):
                    self._nest(widths)
        best = min(self.nested, key=self._rank)
        layout = self.nested[best]
        if isinstance(layout, NoNest):
            raise layout
        if len(self.nested) == ways:
            over_all = max(over_all, min(got.bound for got in self.nested.values() if isinstance(got, Layout)))
        bound = min(layout.value, over_all)
        return self._designs(best), replace(layout, stopped=self.stopped, bound=bound)

    @property
    def _alike(self) -> bool:
        """Whether all options of a job have as many checks that fail."""
        return all(len({len(d.failing) for d in options.values()}) == 1 for options in self.options)

    def _met(self, over_all: float) -> bool:
        """Whether some layout costs no more than the least there is."""
        return any(isinstance(got, Layout) and got.value <= over_all for got in self.nested.values())

    def _some(self, over_all: float) -> Iterator[Widths]:
        """All jobs at each width or the next narrower one that they have; then one at a time at its other widths.

        The latter only where the least cost is not met.
        """
        every = sorted({width for options in self.options for width in options}, reverse=True)
        alike = list(dict.fromkeys(tuple(_at_most(options, width) for options in self.options) for width in every))
        if len(alike) <= _ALL_ALIKE:
            yield from alike
        else:
            # Narrower parts go on more boards, so the narrowest cost least; looked for are the widest that cost no
            # more, by halves. Nothing that is told of the plan rests on costs that rise with the width.
            low, high = 0, len(alike) - 1
            while low < high:
                middle = (low + high) // 2
                yield alike[middle]
                cost = self._cost(alike[middle])
                low, high = (low, middle) if cost <= self._cost(alike[-1]) else (middle + 1, high)
        nests = 0
        better = True
        while better and not self._met(over_all):
            start = best = min(self.nested, key=self._rank)
            for number, options in enumerate(self.options):
                for width in sorted(options, reverse=True):
                    widths = (*best[:number], width, *best[number + 1 :])
                    if widths not in self.nested:
                        nests += 1
                        if nests > _MOST_NESTS:
                            return
                        yield widths
                best = min(self.nested, key=self._rank)
            better = best != start

    def _cost(self, widths: Widths) -> float:
        got = self.nested.get(widths)
        return got.value if isinstance(got, Layout) else math.inf

    def _nest(self, widths: Widths) -> None:
        if widths in self.nested or self.stopped:
            return
        try:
            layout = self.lay(self._designs(widths))
        except NoNest as fault:
            self.nested[widths] = fault
        except KeyboardInterrupt:
            if not any(isinstance(got, Layout) for got in self.nested.values()):
                raise
            self.stopped = True
        else:
            self.nested[widths] = layout
            self.stopped = layout.stopped

    def _designs(self, widths: Widths) -> list[Design]:
        return [options[width] for options, width in zip(self.options, widths, strict=True)]

    def _rank(self, widths: Widths) -> tuple[float, float, float]:
        got = self.nested[widths]
        if isinstance(got, NoNest):
            return (math.inf, math.inf, sum(widths))
        return (sum(len(d.failing) for d in self._designs(widths)), got.value, -sum(widths))


def _at_most(options: Mapping[float, Design], width: float) -> float:
    """The widest of a job's widths up to one, or its narrowest."""
    return max((w for w in options if w <= width), default=min(options))

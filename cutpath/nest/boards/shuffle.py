"""All parts on a given number of boards, by moving them about: where there are too many fillings to list.

First every part goes on some board, if need be on one that has no room for it, and parts change places at random, so
that boards are less and less too full (simulated annealing; S. Kirkpatrick and others, Science 220 (1983) 671-680;
memory). Room is reckoned by the parts' steps. Then, as long as boards are too full, a few boards are emptied and their
parts put back together afresh, the largest first, by going through what goes with it.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Sequence

from cutpath.nest.boards.choose import BoardChoice, Filling
from cutpath.nest.boards.fitting import Boards
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.values import Counts
from cutpath.tolerances import LIMIT_SLACK

#: Moves of parts in all; and for each part, where there are few. Counts, not times, here as everywhere.
_MOVES, _MOVES_EACH = 300_000, 3000

#: Shares of a board by which it may be too full to begin with and at the end, about.
_HOT, _COLD = 0.03, 0.0007

#: How often boards are put together afresh, how many at a time in turn, and how many beginnings are looked at: for one
#: time and in all. To ask whether parts fit takes as long as some beginnings.
_ROUNDS, _AT_A_TIME, _BEGINNINGS, _IN_ALL, _ASKED = 3000, (8, 10, 12, 14), 20_000, 8_000_000, 20

#: Of what goes with a part, so many are tried.
_WITH = 30

#: After so many moves it is looked which boards are too full.
_LOOKED = 60


def shuffled(
    stock: Sequence[Boards], numbers: Sequence[int], wanted: Counts, so_far: SoFar, seed: int = 1
) -> BoardChoice | None:
    """All parts on so many boards of each entry, or None where that was not found.

    Args:
        stock: the entries.
        numbers: of boards of each.
        wanted: parts of each kind.
        so_far: is told how far it is.
        seed: of what happens at random.
    """
    boards = [number for number, count in enumerate(numbers) for _ in range(count)]
    shuffle = _Shuffle(stock, boards, wanted, so_far, seed)
    if not boards or not shuffle.begin():
        return None
    shuffle.anneal()
    return shuffle.choice() if shuffle.mend() else None


class _Shuffle:
    """Boards with parts on them, by kind."""

    def __init__(
        self, stock: Sequence[Boards], boards: Sequence[int], wanted: Counts, so_far: SoFar, seed: int
    ) -> None:
        self.stock, self.entry, self.wanted, self.so_far = stock, list(boards), wanted, so_far
        self.draw = random.Random(seed)
        self.size = [
            [step if fit else math.inf for step, fit in zip(b.fitter.steps, b.fitter.rack.fits, strict=True)]
            for b in stock
        ]
        self.sizes = [self.size[entry] for entry in self.entry]
        room = [b.fitter.room(b.stop) for b in stock]
        self.room = [room[entry] for entry in self.entry]
        self.parts: list[list[int]] = [[] for _ in self.entry]
        self.load = [0.0] * len(self.entry)
        self.looked = 0

    def begin(self) -> bool:
        """Every part on a board, the largest first: where it fits best, else where there is most room."""
        kinds = [kind for kind, count in enumerate(self.wanted) for _ in range(count)]
        largest = {k: max((size[k] for size in self.size if math.isfinite(size[k])), default=math.inf) for k in kinds}
        everywhere = range(len(self.entry))
        for kind in sorted(kinds, key=lambda k: (-largest[k], k)):
            left = [self.room[b] - self.load[b] - self.size[self.entry[b]][kind] for b in everywhere]
            fit = [b for b in everywhere if left[b] >= 0]
            board = min(fit, key=lambda b: left[b]) if fit else max(everywhere, key=lambda b: left[b])
            if left[board] == -math.inf:
                return False
            self.parts[board].append(kind)
            self.load[board] += self.size[self.entry[board]][kind]
        return True

    def anneal(self) -> None:
        """Parts change places, so that the squares of what boards are too full by add up to less and less."""
        parts, load, sizes, rand, exp = self.parts, self.load, self.sizes, self.draw.random, math.exp
        count = len(parts)
        room = self._room_for_slack()
        moves = min(_MOVES, _MOVES_EACH * sum(self.wanted))
        mean = sum(room) / count
        inf = math.inf
        heat, cold = (_HOT * mean) ** 2, (_COLD * mean) ** 2
        cooler = (cold / heat) ** (1 / moves)
        full = [b for b in range(count) if load[b] > room[b]]
        for move in range(moves):
            if move % _LOOKED == 0:
                self.so_far.tick()
                full = [b for b in range(count) if load[b] > room[b]]
                if not full:
                    return
            heat *= cooler
            a = full[int(rand() * len(full))] if rand() < 0.5 else int(rand() * count)
            b = int(rand() * count)
            mine, theirs = parts[a], parts[b]
            if a == b or not mine:
                continue
            what = rand()
            i = int(rand() * len(mine))
            given = mine[i]
            in_a, in_b = sizes[a], sizes[b]
            new_a, new_b = load[a] - in_a[given], load[b] + in_b[given]
            j = k = -1
            if what > 0.1 and theirs:
                j = int(rand() * len(theirs))
                taken = theirs[j]
                new_a += in_a[taken]
                new_b -= in_b[taken]
                if what > 0.7 and len(mine) > 1:
                    k = int(rand() * (len(mine) - 1))
                    k += k >= i
                    new_a -= in_a[mine[k]]
                    new_b += in_b[mine[k]]
            if new_a == inf or new_b == inf:
                continue
            more = 0.0
            over = load[a] - room[a]
            if over > 0:
                more -= over * over
            over = load[b] - room[b]
            if over > 0:
                more -= over * over
            over = new_a - room[a]
            if over > 0:
                more += over * over
            over = new_b - room[b]
            if over > 0:
                more += over * over
            if more <= 0 or rand() < exp(-more / heat):
                theirs.append(given)
                if k >= 0:
                    theirs.append(mine[k])
                if j >= 0:
                    mine[i] = theirs[j]
                    theirs[j] = theirs[-1]
                    theirs.pop()
                else:
                    mine[i] = mine[-1]
                    mine.pop()
                if k >= 0:
                    mine[k] = mine[-1]
                    mine.pop()
                load[a], load[b] = new_a, new_b

    def _room_for_slack(self) -> list[float]:
        """The boards' room, less what slack takes of it on boards of a plain layout, as far as that leaves enough."""
        taken: list[list[float]] = [[] for _ in self.stock]
        for filling, n in self.so_far.choice.boards if self.so_far.choice is not None else ():
            fitter = self.stock[filling.entry].fitter
            order = fitter.order(filling.counts)
            if fitter.slack is not None and order is not None:
                taken[filling.entry] += [fitter.slack.used(order) - fitter.last] * n
        spare = max(0.0, sum(self.room) - sum(self.load)) / len(self.room)
        less = [min(spare, max(0.0, sum(each) / len(each))) if each else 0.0 for each in taken]
        return [room - less[entry] for room, entry in zip(self.room, self.entry, strict=True)]

    def mend(self) -> bool:
        """Put a few boards together afresh as long as any is too full; whether none is in the end."""
        everywhere = range(len(self.parts))
        bad = {b for b in everywhere if not self._holds(b)}
        for turn in range(_ROUNDS):
            if not bad or self.looked > _IN_ALL:
                break
            self.so_far.tick()
            first = self.draw.choice(sorted(bad))
            chosen = {first}
            like = [b for b in everywhere if self._alike(b, first)]
            # Boards with room enough for what is too much on it, and others.
            need = self.load[first] - self.room[first]
            roomy = [b for b in like if b not in bad and self.load[b] < self.room[b]]
            self.draw.shuffle(roomy)
            for b in roomy:
                if need <= 0:
                    break
                chosen.add(b)
                need -= self.room[b] - self.load[b]
            rest = [b for b in like if b not in chosen and b not in bad]
            self.draw.shuffle(rest)
            chosen.update(rest[: max(0, _AT_A_TIME[turn % len(_AT_A_TIME)] - len(chosen))])
            boards = sorted(chosen)
            found = _Afresh(self, boards).found()
            if found is not None:
                for b, kinds in zip(boards, found, strict=True):
                    self.parts[b] = kinds
                    self.load[b] = sum(self.size[self.entry[b]][kind] for kind in kinds)
                bad -= chosen
        return not bad

    def _alike(self, a: int, b: int) -> bool:
        """Whether what fits one of two boards fits the other."""
        one, two = self.stock[self.entry[a]], self.stock[self.entry[b]]
        return one.fitter is two.fitter and one.stop == two.stop

    def _holds(self, board: int) -> bool:
        if self.load[board] > self.room[board] + LIMIT_SLACK:
            return False
        return self.fits(self.entry[board], self.parts[board])

    def fits(self, entry: int, kinds: Sequence[int]) -> bool:
        """Whether a board of an entry holds parts of these kinds."""
        self.looked += _ASKED
        boards = self.stock[entry]
        return not kinds or boards.fitter.fits(self.counts(kinds), boards.stop)

    def counts(self, kinds: Sequence[int]) -> Counts:
        """How many of each kind."""
        numbers = Counter(kinds)
        return tuple(numbers[kind] for kind in range(len(self.wanted)))

    def choice(self) -> BoardChoice:
        """What the boards hold."""
        numbers: Counter[Filling] = Counter()
        for entry, kinds in zip(self.entry, self.parts, strict=True):
            if kinds:
                numbers[self.stock[entry].filling(entry, self.counts(kinds))] += 1
        return BoardChoice(tuple(numbers.items()), 0)


class _Afresh:
    """The parts of a few boards that are alike, put together again."""

    def __init__(self, shuffle: _Shuffle, boards: Sequence[int]) -> None:
        self.shuffle, self.count = shuffle, len(boards)
        self.entry = shuffle.entry[boards[0]]
        self.room = shuffle.room[boards[0]]
        size = shuffle.size[self.entry]
        self.kinds = sorted((k for b in boards for k in shuffle.parts[b]), key=lambda k: (-size[k], k))
        self.sizes = [size[kind] for kind in self.kinds]
        self.used = [False] * len(self.kinds)
        self.looked = 0
        self.boards: list[tuple[int, ...]] = []

    def found(self) -> list[list[int]] | None:
        """The parts of each board, or None where that was not found."""
        waste = self.count * self.room - sum(self.sizes)
        done = waste >= -LIMIT_SLACK and self._go(max(waste, 0.0))
        self.shuffle.looked += self.looked
        if not done:
            return None
        found = [[self.kinds[i] for i in board] for board in self.boards]
        return found + [[] for _ in range(self.count - len(found))]

    def _go(self, waste: float) -> bool:
        if all(self.used):
            return True
        if len(self.boards) == self.count:
            return False
        first = self.used.index(False)
        self.used[first] = True
        ways = self._with(first, waste)
        self.shuffle.draw.shuffle(ways)
        for way in ways:
            if self.looked > _BEGINNINGS:
                break
            board = (first, *way)
            if not self.shuffle.fits(self.entry, [self.kinds[i] for i in board]):
                self.looked += _ASKED
                continue
            for i in way:
                self.used[i] = True
            self.boards.append(board)
            if self._go(waste - self.room + sum(self.sizes[i] for i in board)):
                return True
            self.boards.pop()
            for i in way:
                self.used[i] = False
        self.used[first] = False
        return False

    def _with(self, first: int, waste: float) -> list[tuple[int, ...]]:
        """What goes with a part so that no more than that is left of the board."""
        sizes, used = self.sizes, self.used
        found: list[tuple[int, ...]] = []
        now: list[int] = []

        def go(start: int, room: float) -> None:
            if room <= waste + LIMIT_SLACK:
                found.append(tuple(now))
            before = -1.0
            for i in range(start, len(sizes)):
                if used[i] or sizes[i] > room + LIMIT_SLACK or sizes[i] == before:
                    continue
                before = sizes[i]
                self.looked += 1
                if self.looked > _BEGINNINGS or len(found) > _WITH:
                    return
                now.append(i)
                go(i + 1, room - sizes[i])
                now.pop()

        go(first + 1, self.room - sizes[first])
        return found

"""What a nest on boards has come to so far, for whoever stops it with Ctrl-C, and how far it is for whoever waits."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cutpath.nest.boards.choose import BoardChoice, Entry, Filling
from cutpath.progress import KEEPS, Tell, quiet

if TYPE_CHECKING:
    import highspy


class SoFar:
    """The best choice of boards so far, and what none costs less than.

    Attributes:
        choice: the best one that holds all parts; None before there is any.
        bound: what no choice costs less than, in whole units.
        stopped: Ctrl-C came while the solver ran, which was told to end; `go_on` passes it on.
    """

    def __init__(self, entries: Sequence[Entry] = (), tell: Tell = quiet) -> None:
        """Get ready.

        Args:
            entries: the stock entries, for what a choice costs.
            tell: is told how far the nest is.
        """
        self.entries = entries
        self.choice: BoardChoice | None = None
        self.bound = 0
        self.stopped = False
        self._tell = tell
        self._began = time.monotonic()

    def found(self, choice: BoardChoice | None) -> None:
        """Keep a choice if it is better than the one at hand."""
        if choice is not None and (self.choice is None or choice.cost(self.entries) < self.choice.cost(self.entries)):
            self.choice = choice

    def proved(self, bound: int) -> None:
        """No choice costs less than that."""
        self.bound = max(self.bound, bound)

    def go_on(self) -> None:
        """Tell how far the nest is, and pass on a Ctrl-C that came while the solver ran.

        Raises:
            KeyboardInterrupt: it did come.
        """
        if self.stopped:
            raise KeyboardInterrupt
        self.tick()

    def tick(self) -> None:
        """Tell how far the nest is."""
        what = "looking for boards"
        if self.choice is not None:
            cost = self.choice.cost(self.entries)
            over = f", at most {cost / self.bound - 1:.2%} over the least" if self.bound > 0 else ""
            what = f"{sum(n for _, n in self.choice.boards)} boards{over} {KEEPS}"
        self._tell(f"{what}, second", int(time.monotonic() - self._began), 0)

    def rest(self, taken: Sequence[tuple[Filling, int]]) -> SoFar:
        """The same for a choice of boards for the rest of the parts, past those that are chosen already."""
        return _Rest(self, taken)

    @contextmanager
    def watching(self, highs: highspy.Highs) -> Iterator[None]:
        """While the solver runs, Ctrl-C ends it within moments and leaves what it has found: `stopped` then says so."""
        from cutpath.nest.boards.solver import ending

        def pressed() -> None:
            self.stopped = True

        with ending(highs, pressed, self.tick):
            yield


class _Rest(SoFar):
    """What is found for the rest of the parts, put together with what is taken."""

    def __init__(self, whole: SoFar, taken: Sequence[tuple[Filling, int]]) -> None:
        super().__init__(whole.entries)
        self._whole, self._taken = whole, tuple(taken)

    def found(self, choice: BoardChoice | None) -> None:
        """Pass on the whole."""
        if choice is not None:
            counts = dict(self._taken)
            for filling, n in choice.boards:
                counts[filling] = counts.get(filling, 0) + n
            self._whole.found(BoardChoice(tuple(counts.items()), 0))

    def proved(self, bound: int) -> None:
        """Of the rest alone, which says nothing of the whole."""

    def tick(self) -> None:
        """Tell how far the whole is."""
        self._whole.tick()

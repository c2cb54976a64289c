"""How far a nest on sheets is."""

from __future__ import annotations

from msgspec import Struct


class SheetProgress(Struct, frozen=True):
    """How far the nest is.

    Attributes:
        seconds: since it began.
        budget: seconds it may take.
        sheets: of the best layout so far.
        value: of that: money, or square millimetres of sheet.
        bound: nothing can be under it.
        settled: so far no result hangs on the clock: the same job gives it again.
        done: the last report.
    """

    seconds: float
    budget: float
    sheets: int
    value: float
    bound: float
    settled: bool
    done: bool = False


class TimeUp(Exception):
    """The budget is spent."""

"""Telling how far long work is, to whoever asked to be told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

Tell = Callable[[str, int, int], None]
"""Called with what is being done, how much of it is done, and of how much; 0 where nobody knows."""

#: Part of what a nest tells as soon as it has a layout.
KEEPS = "(Ctrl-C keeps them)"

T = TypeVar("T")


def quiet(what: str, done: int, of: int) -> None:
    """Tell nobody."""


def at_once(tell: Tell) -> Tell:
    """Tells as well, and stops a nest as Ctrl-C would, as soon as that has a layout."""

    def telling(what: str, done: int, of: int) -> None:
        tell(what, done, of)
        if KEEPS in what:
            raise KeyboardInterrupt

    return telling


def counted(items: Sequence[T] | Iterable[T], what: str, of: int, tell: Tell) -> Iterator[T]:
    """The items one by one, telling how far it is."""
    for done, item in enumerate(items):
        tell(what, done, of)
        yield item

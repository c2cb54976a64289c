"""Telling how far long work is, to whoever asked to be told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

Tell = Callable[[str, int, int], None]
"""Called with what is being done, how much of it is done, and of how much; 0 where nobody knows."""

T = TypeVar("T")


def quiet(what: str, done: int, of: int) -> None:
    """Tell nobody."""


def counted(items: Sequence[T] | Iterable[T], what: str, of: int, tell: Tell) -> Iterator[T]:
    """The items one by one, telling how far it is."""
    for done, item in enumerate(items):
        tell(what, done, of)
        yield item

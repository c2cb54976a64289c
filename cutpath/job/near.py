"""Guessing what an unknown key was meant to be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from cutpath.job.compound import Key, ListOf, Record
from cutpath.job.kinds import dotted

_ONE_FLIGHT: Final = (
    "a job is one straight flight: write a job for each flight between landings, its heights from its own upper floor, "
    "and export them together"
)
#: What people ask of a stair program that no key is for, each with a way out.
_NOT_DONE: Final = dict.fromkeys(("landing", "flight", "winder", "turn"), _ONE_FLIGHT)


def every_key(record: Record, table: str = "") -> Iterator[tuple[str, Key]]:
    """Every key below a table with its dotted name, lists' items as `name[]`, parents before children."""
    for key in record.keys:
        name = dotted(table, key.name)
        yield name, key
        if isinstance(key.kind, Record):
            yield from every_key(key.kind, name)
        elif isinstance(key.kind, ListOf) and isinstance(key.kind.item, Record):
            yield from every_key(key.kind.item, f"{name}[]")


def unknown_key(root: Record, table: str, name: str, known: tuple[str, ...]) -> str:
    """The fault of an unknown key: the nearest one there, or the table that one of that name belongs in.

    Args:
        root: the whole job file.
        table: where the key stands, dotted; "" at the top.
        name: the key.
        known: the names known there.
    """
    asked = name[:60].lower().replace("-", "_").replace(" ", "_")
    here = {key.lower(): key for key in known}
    near = _nearest(asked, here, 0.7)
    if near is not None:
        return f"unknown key; did you mean {here[near]}?"
    if asked.rstrip("s") in _NOT_DONE:
        return f"unknown key; {_NOT_DONE[asked.rstrip('s')]}"
    homes: dict[str, str] = {}
    for place, key in every_key(root):
        homes.setdefault(key.name, place)
    near = _nearest(asked, [home for home in homes if home not in known], 0.8)
    if near is not None:
        home = homes[near].replace("[]", "")
        if table and "." not in home:
            return f"unknown key; did you mean {home}, a table of its own? known here: {', '.join(known)}"
        return f"unknown key; did you mean {home}?"
    return f"unknown key; nearest is {here[_nearest(asked, here, 0.0) or known[0]]}; known here: {', '.join(known)}"


def _nearest(asked: str, names: Iterable[str], least: float) -> str | None:
    """The name that is most like what was asked for, at least so much (1: the same); None where none is."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(asked, list(names), cutoff=least)), None)

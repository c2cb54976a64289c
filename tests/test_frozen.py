"""Frozen values as `cutpath.frozen` makes them, held against those that `dataclasses` makes of the same class."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

import pytest

import cutpath
from cutpath.frozen import dataclass as ours

ROOT = Path(cutpath.__file__).parent


def pair(made: Callable[..., Any]) -> tuple[type, ...]:
    """Two classes: one with a default, a class variable and something done after `__init__`; one of a single field."""

    @made(frozen=True, slots=True)
    class Value:
        """A value."""

        a: float
        b: tuple[int, ...] = (1, 2)
        c: ClassVar[int] = 5

        def __post_init__(self) -> None:
            if self.a < 0:
                raise ValueError("below")

    @made(frozen=True, slots=True)
    class One:
        """One field."""

        a: str

    return Value, One


@ours(frozen=True, slots=True)
class Sent:
    """Lies in the module, as what is pickled has to."""

    a: int
    b: str = "b"


def told(value: type, one: type) -> list[object]:
    """What the classes do, as far as it can be told of both alike."""
    first, same, other = value(1.0), value(a=1.0, b=(1, 2)), value(2.0, (3,))
    single = one("x")
    found: list[object] = [repr(first), repr(single), first == same, first != other, first == 1.0, single == one("x")]
    found += [hash(first), hash(other), hash(single), len({first, same, other})]
    found += [
        dataclasses.asdict(other),
        repr(dataclasses.replace(other, a=7.0)),
        [f.name for f in dataclasses.fields(one)],
    ]
    found += [value.__match_args__, value.__slots__, value.__doc__, value.c, hasattr(first, "__dict__")]  # type: ignore[attr-defined]
    found += [copy.copy(first) == first, copy.deepcopy(other) == other]
    faults: list[Callable[[], object]] = [
        lambda: setattr(first, "a", 2.0),
        lambda: delattr(first, "a"),
        lambda: value(-1.0),
        value,
        lambda: value(1.0, z=1),
        lambda: dataclasses.replace(first, z=1),
    ]
    for fault in faults:
        with pytest.raises((AttributeError, TypeError, ValueError)) as caught:
            fault()
        found.append((type(caught.value), str(caught.value)))
    return found


def test_they_are_what_dataclasses_makes() -> None:
    assert told(*pair(ours)) == told(*pair(dataclasses.dataclass))


def test_they_go_from_process_to_process() -> None:
    assert pickle.loads(pickle.dumps(Sent(1))) == Sent(1)


def test_what_is_not_plain_is_left_to_dataclasses() -> None:
    @ours(frozen=True, slots=True)
    class Own:
        a: int = dataclasses.field(compare=False)

        def __repr__(self) -> str:
            return "own"

    assert Own(1) == Own(2)
    assert repr(Own(1)) == "own"


def test_every_class_of_values_is_made_so() -> None:
    apart = [path.name for path in ROOT.rglob("*.py") if "import dataclass" in path.read_text(encoding="utf-8")]
    named = [path.name for path in ROOT.rglob("*.py") if "from dataclasses import dataclass" in path.read_text("utf-8")]
    assert len(apart) > 50
    assert named == ["frozen.py"]

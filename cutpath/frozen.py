"""Frozen values whose classes are made in a fifth of the time.

A run makes a hundred and fifty classes of values when it starts, and `dataclasses` compiles half a dozen methods for
each: that took longer than a job's solving, nesting and drawing together. Here `__init__` alone is compiled; what
compares, hashes, shows and pickles values and keeps them frozen are functions that all these classes share. All else is
as `dataclasses` has it, which also makes whatever is not a plain frozen value with slots.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(**wanted):
        """As `dataclasses.dataclass`."""

        def made(cls):
            plain = wanted == {"frozen": True, "slots": True} and cls.__bases__ == (object,)
            return _value(cls) if plain and not _is_special(cls) else dataclasses.dataclass(**wanted)(cls)

        return made


#: A class that brings one of these is left to `dataclasses`, which knows what to do about it.
_OWN: Final = frozenset(
    ("__init__", "__repr__", "__eq__", "__hash__", "__setattr__", "__delattr__", "__getstate__", "__setstate__")
)


@dataclasses.dataclass(frozen=True, slots=True)
class _Frozen:
    """What a frozen value's class says of itself."""


def _is_special(cls: type) -> bool:
    """Whether a class has methods of its own for these things, or a field of which more is said than its default."""
    own = vars(cls)
    return not _OWN.isdisjoint(own) or any(isinstance(value, dataclasses.Field) for value in own.values())


def _value(cls: type) -> type:
    bare: type = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(cls)
    fields = dataclasses.fields(bare)
    names = [one.name for one in fields]
    own = {
        **_SHARED,
        "__init__": _init(bare, fields),
        # One name alone, or none, would give no tuple.
        "_values": attrgetter(*names) if len(names) > 1 else _few(names),
        "__dataclass_params__": _Frozen.__dataclass_params__,  # type: ignore[attr-defined]
    }
    for name, held in own.items():
        setattr(bare, name, held)
    return bare


def _few(names: list[str]) -> Callable[[object], tuple[Any, ...]]:
    return staticmethod(lambda value: tuple(getattr(value, name) for name in names))


def _init(cls: type, fields: tuple[dataclasses.Field[Any], ...]) -> Callable[..., None]:
    known: dict[str, Any] = {"_set": object.__setattr__}
    takes, does = ["self"], []
    for number, one in enumerate(fields):
        takes.append(one.name)
        if one.default is not dataclasses.MISSING:
            known[f"_{number}"] = one.default
            takes[-1] += f"=_{number}"
        does.append(f"_set(self, {one.name!r}, {one.name})")
    if hasattr(cls, "__post_init__"):
        does.append("self.__post_init__()")
    exec(f"def __init__({', '.join(takes)}):\n " + "\n ".join(does or ["pass"]), known)
    made: Callable[..., None] = known["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def _repr(self: Any) -> str:
    told = zip(self.__match_args__, self._values(self), strict=True)
    return f"{type(self).__qualname__}({', '.join(f'{name}={value!r}' for name, value in told)})"


def _eq(self: Any, other: Any) -> Any:
    return self._values(self) == self._values(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(self._values(self))


def _set(self: Any, name: str, value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return list(self._values(self))


def _restore(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__match_args__, state, strict=True):
        object.__setattr__(self, name, value)


_SHARED: Final[dict[str, Any]] = {
    "__repr__": _repr,
    "__eq__": _eq,
    "__hash__": _hash,
    "__setattr__": _set,
    "__delattr__": _delete,
    "__getstate__": _state,
    "__setstate__": _restore,
}

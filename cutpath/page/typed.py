"""What is typed into one field of the form as the value that stands in the file, and the other way round."""

from __future__ import annotations

import contextlib
import json
import re
from typing import Any, Final

from cutpath.faults import Fault
from cutpath.job.compound import ListOf, Pair, Record
from cutpath.job.kinds import Kind, Length, Money, OneOf, Text, Whole, YesNo
from cutpath.job.special import Volume

#: A number that TOML takes as it stands.
_NUMBER: Final = re.compile(r"[+-]?(0|[1-9]\d*)(\.\d+)?")
#: What stands between the brackets and commas of a list.
_LOOSE: Final = re.compile(r"[^\[\],]+")
#: Longer than any value.
_LONGEST: Final = 20000


class CantChange(Fault):
    """A text can't be changed in place; the way out is to change it by hand."""


def value_of(typed: str, kind: Kind) -> Any:
    """What stands in the file for what was typed: a number where it is one, a list, or else the text itself.

    Args:
        typed: by somebody, in one field of the form.
        kind: what the key takes.

    Raises:
        CantChange: it is longer than any value.
    """
    import tomlkit

    typed = typed.strip()
    if len(typed) > _LONGEST:
        raise CantChange("longer than any value is")
    if isinstance(kind, Text | OneOf):
        return tomlkit.string(typed)
    if len(typed) > 1 and typed[0] == typed[-1] == '"':
        # As the file has it, and as what is told of a fault writes it.
        with contextlib.suppress(Exception):
            typed = str(tomlkit.value(typed))
    if isinstance(kind, YesNo) or typed in ("true", "false"):
        return typed == "true" if typed in ("true", "false") else tomlkit.string(typed)
    if _NUMBER.fullmatch(typed):
        return tomlkit.value(typed)
    if isinstance(kind, Money | Whole) and re.fullmatch(r"\.\d+|\d+\.", typed):
        return float(typed)
    if typed[:1] in ("[", "{"):
        for whole in (typed, _LOOSE.sub(_quoted, typed)):
            with contextlib.suppress(Exception):
                return tomlkit.value(whole)
        return tomlkit.string(typed)
    # A decimal comma is told of as it was typed.
    single = isinstance(kind, Record | Length | Money | Whole | Volume)
    if isinstance(kind, Pair | ListOf) or ("," in typed and not single):
        array = tomlkit.array()
        for item in typed.split(","):
            array.append(value_of(item, Length(0, 0)))
        return array
    return tomlkit.string(typed)


def _quoted(item: re.Match[str]) -> str:
    """An item of a list as the file takes it: a length as on a tape, which nobody would quote in a form, in quotes."""
    typed = item[0].strip()
    bare = not typed or _NUMBER.fullmatch(typed) or (len(typed) > 1 and typed[0] in "\"'" and typed[0] == typed[-1])
    return item[0] if bare else json.dumps(typed, ensure_ascii=False)


def as_typed(value: Any) -> str:
    """A value as one would type it: a text without its quotes, a plain list without its brackets."""
    if isinstance(value, str):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list) and value and all(isinstance(v, str | int | float) for v in value):
        parts = [as_typed(item) for item in value]
        if not any("," in part for part in parts):
            return ", ".join(parts)
    return str(value.as_string()) if hasattr(value, "as_string") else str(value)

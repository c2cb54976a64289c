"""Names told apart, and names of files that every system takes, made from names that may be anything."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterable
from typing import Final

LONGEST: Final = 60

#: Names that some systems keep for devices, whatever follows a dot (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES: Final = frozenset(["con", "prn", "aux", "nul"] + [f"{port}{n}" for port in ("com", "lpt") for n in range(10)])

#: Letters that NFKD does not take apart.
_LETTERS: Final = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)


def safe_name(text: str, fallback: str = "job") -> str:
    """A file name in lower-case ASCII letters, digits and hyphens.

    Args:
        text: any text.
        fallback: what to take where no letter or digit is left.

    Returns:
        At most 60 characters, never empty, never a name kept for a device.
    """
    # A fraction after a digit is a number of its own: 7½ is 7-1-2, not 71-2.
    apart = "".join(f" {c}" if unicodedata.category(c) == "No" else c for c in text)
    letters = unicodedata.normalize("NFKD", apart).casefold().translate(_LETTERS)
    # Accents fall away; anything else that is no letter or digit parts words.
    kept = "".join(c for c in letters if not unicodedata.combining(c))
    name = re.sub(r"[^a-z0-9]+", "-", kept).strip("-")[:LONGEST].rstrip("-")
    if not name:
        return fallback
    return f"{fallback}-{name}" if name in _DEVICES else name


def distinct(names: Iterable[str]) -> tuple[str, ...]:
    """The names in their order, any that was there before made another by "-2", "-3" and so on, at most 60 long."""
    taken: set[str] = set()
    result = []
    for name in names:
        candidate, n = name, 1
        while candidate.casefold() in taken:
            n += 1
            tail = f"-{n}"
            candidate = name[: LONGEST - len(tail)].rstrip("-") + tail
        taken.add(candidate.casefold())
        result.append(candidate)
    return tuple(result)


def is_plain_path(path: str) -> bool:
    """Whether a path stays in its folder on every system: relative, parted by slashes, nothing odd in its names."""
    return all(re.fullmatch(r"[A-Za-z0-9_-][A-Za-z0-9_.-]*(?<!\.)", part) for part in path.split("/")) and not any(
        part.split(".")[0].casefold() in _DEVICES for part in path.split("/")
    )


def free_name(name: str, taken: Container[str]) -> str:
    """The name, or where it is taken one with a number: the second "Porch" becomes "Porch (2)"."""
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    return found

"""Names told apart."""

from __future__ import annotations

from collections.abc import Container


def free_name(name: str, taken: Container[str]) -> str:
    """The name, or where it is taken one with a number: the second "Porch" becomes "Porch (2)"."""
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    return found

"""Dressed sizes of lumber by nominal size, from `sizes.toml` beside this module."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cutpath.units import parse_length


class Dressed(NamedTuple):
    """A dressed size, exact millimetres, and where it comes from."""

    thickness: Fraction
    width: Fraction
    source: str


@cache
def nominal_sizes() -> dict[str, Dressed]:
    """Every known size by its plain name, such as "2x12"."""
    text = (Path(__file__).with_name("sizes.toml")).read_text(encoding="utf-8")
    return {
        entry["name"]: Dressed(
            parse_length(entry["thickness"], "in"), parse_length(entry["width"], "in"), entry["source"]
        )
        for entry in tomllib.loads(text)["size"]
    }


def plain_name(text: str) -> str:
    """A nominal size in its one spelling here: "2x12" for "2 X 12" and "2×12"."""
    return re.sub(r"\s*[xX×]\s*", "x", text.strip())

"""Names for files, from names that may be anything."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutpath.names import distinct, is_plain_path, safe_name


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Barn steps", "barn-steps"),
        ("  Rear -- deck!  ", "rear-deck"),
        ("a/b\\c:d", "a-b-c-d"),
        ("../../etc", "etc"),
        ("Größe é Å", "grosse-e-a"),
        ("Łódź smørrebrød", "lodz-smorrebrod"),
        ("7½ rise", "7-1-2-rise"),
        ("Stringer №3", "stringer-no3"),
        ("\U0001f642", "job"),
        ("", "job"),
        ("---", "job"),
        ("漢字", "job"),
        ("CON", "job-con"),
        ("com7", "job-com7"),
        ("console", "console"),
        ("x" * 200, "x" * 60),
        ("x" * 59 + " y", "x" * 59),
        ("a\u0301b", "ab"),
    ],
)
def test_safe_name(text: str, name: str) -> None:
    assert safe_name(text) == name


def test_another_name_where_nothing_is_left() -> None:
    assert safe_name("漢字", "stringer") == "stringer"
    assert safe_name("nul", "stringer") == "stringer-nul"


@given(st.text(max_size=100))
def test_any_text_gives_a_safe_name(text: str) -> None:
    name = safe_name(text)
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name)
    assert len(name) <= 60
    assert name not in {"con", "prn", "aux", "nul", "com1", "lpt1"}
    assert safe_name(name) == name
    assert is_plain_path(f"parts/{name}.dxf")


@given(st.lists(st.sampled_from(["a", "A", "a-2", "b", "x" * 60, "x" * 58 + "-9"]), max_size=12))
def test_distinct(names: list[str]) -> None:
    made = distinct(names)
    assert len({m.casefold() for m in made}) == len(names)
    assert all(len(m) <= 60 for m in made)
    for k, (given_name, result) in enumerate(zip(names, made, strict=True)):
        assert result == given_name or given_name.casefold() in {m.casefold() for m in made[:k]}


def test_distinct_counts() -> None:
    assert distinct(["a", "b", "a", "a"]) == ("a", "b", "a-2", "a-3")

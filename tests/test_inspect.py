"""Broken files are told for what they are, good ones of any make pass, and hostile ones get one line."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from cutpath.inspect.find.table import KINDS
from cutpath.inspect.read import read
from cutpath.inspect.whole import inspect_seen
from tests.zoo import GOLDEN, ZOO, Beast


def test_the_zoo_is_large_and_every_finding_is_in_it() -> None:
    assert len(ZOO) >= 60 and max(Counter(b.name for b in ZOO).values()) == 1
    #: Damage that no edit of a good file makes: shown apart.
    apart = {"unreadable", "tangled"}
    assert {k.id for k in KINDS} - apart == {each for b in ZOO for each in b.finds}
    assert len({k.id for k in KINDS}) == len(KINDS)


@pytest.mark.parametrize("beast", ZOO, ids=lambda b: b.name)
def test_what_is_wrong_is_found_and_nothing_else(beast: Beast, tmp_path: Path) -> None:
    path = tmp_path / "beast.dxf"
    path.write_bytes(beast.data())
    found = inspect_seen(read(path), **beast.options)
    told = {f.kind: f.words for f in found.findings}
    assert set(told) == beast.finds, told
    assert found.spoils == any(k.severity == "spoils" for k in KINDS if k.id in beast.finds)
    for finding in found.findings:
        assert "{" not in finding.words and finding.way_out


@pytest.mark.parametrize("path", sorted(GOLDEN.glob("*/*/*.dxf")), ids=lambda p: "/".join(p.parts[-3:]))
def test_our_own_files_are_clean(path: Path) -> None:
    found = inspect_seen(read(path))
    told = [(f.kind, f.words) for f in found.findings if f.kind != "tab-gap"]
    assert told == []
    assert found.closed + found.open > 0

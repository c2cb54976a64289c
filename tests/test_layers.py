"""Imports run one way, as DEVELOPERS.md says, counting those inside functions and for types alone."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import cutpath

ROOT = Path(cutpath.__file__).parent
FILES = {
    ".".join(("cutpath", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in ROOT.rglob("*.py")
}

#: From the bottom up; each may import those before it.
LAYERS = ("rules", "design", "cut", "nest", "files")


def imported(name: str) -> set[str]:
    """The project's modules that one of them imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(FILES[name].read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "cutpath":
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {each if each in FILES else node.module for each in inner}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name in FILES}
    return found - {name}


def folder(name: str) -> str:
    """The folder below `cutpath` that a module is in, or the module itself."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else name


IMPORTS = {name: imported(name) for name in FILES}


def test_there_is_something_to_look_at() -> None:
    assert len(FILES) > 150
    assert "cutpath.nest.boards.rows" in IMPORTS["cutpath.nest.boards.fitting"]
    assert "cutpath.nest.boards.shared" in IMPORTS["cutpath.nest.boards.racks"], "an import inside a function counts"


def test_no_import_runs_in_a_circle() -> None:
    # Raises CycleError, which names the circle.
    assert len(tuple(TopologicalSorter(IMPORTS).static_order())) == len(FILES)


def test_no_two_folders_import_each_other_by_any_way_round() -> None:
    folders: dict[str, set[str]] = {}
    for name, others in IMPORTS.items():
        folders.setdefault(folder(name), set()).update(folder(other) for other in others)
    for name, others in folders.items():
        others.discard(name)
    assert set(LAYERS) <= set(TopologicalSorter(folders).static_order())


@pytest.mark.parametrize("layer", LAYERS)
def test_no_layer_knows_one_above_it(layer: str) -> None:
    above = {"cli", "cli_export", "cli_shop", "cli_steps", "report", "shop", "stockfile", "plan"}
    above |= set(LAYERS[LAYERS.index(layer) + 1 :])
    for name, others in IMPORTS.items():
        if folder(name) == layer:
            assert not above & {folder(other) for other in others}, name

"""Imports run one way, as DEVELOPERS.md says, counting those inside functions and for types alone."""

from __future__ import annotations

import ast
import re
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import cutpath

ROOT = Path(cutpath.__file__).parent
FILES = {
    ".".join(("cutpath", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in ROOT.rglob("*.py")
}

#: Modules that every room may use. They know no room. `drawing` is the plain value between what is cut (`work`) and
#: what writes and reads it (`dxf`), so that neither knows the other.
FOUNDATION = {
    *(
        "cautions",
        "disk",
        "faults",
        "names",
        "outline",
        "progress",
        "screen",
        "tolerances",
        "units",
        "volume",
    ),
    *("drawing", "json_text"),
}
#: The rooms from the bottom up: each imports none that stands after it.
ROOMS = (
    *("tomlfile", "job", "rules", "design", "pieces", "cut", "nest", "stockfile", "plan", "dxf", "work", "inspect"),
    *("pictures", "pattern", "tables", "packet", "place", "export", "report", "page", "cli"),
)
#: Rooms that must not know each other though one stands below the other.
STRANGERS = (
    *(("rules", "job"), ("nest", "dxf"), ("design", "dxf"), ("place", "plan"), ("export", "place")),
    *(("report", "export"), ("report", "dxf"), ("pictures", "dxf"), ("plan", "dxf"), ("work", "dxf")),
    *(("inspect", "nest"), ("inspect", "export")),
    ("stockfile", "design"),
)
#: The most modules that lie directly in the package.
MOST_AT_THE_TOP = 14
#: A file that has more says at its head why it is not parted.
MOST_LINES = 400


@cache
def nodes_of(name: str) -> tuple[ast.AST, ...]:
    """Every node of a module."""
    return tuple(ast.walk(ast.parse(FILES[name].read_text(encoding="utf-8"))))


def imported(name: str) -> set[str]:
    """The project's modules that one of them imports."""
    found: set[str] = set()
    for node in nodes_of(name):
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


@cache
def imports() -> dict[str, set[str]]:
    """The project's modules that each of them imports."""
    return {name: imported(name) for name in FILES}


@pytest.mark.slow
def test_there_is_something_to_look_at() -> None:
    assert len(FILES) > 150
    assert "cutpath.nest.boards.rows" in imports()["cutpath.nest.boards.fitting"]
    assert "cutpath.nest.boards.shared" in imports()["cutpath.nest.boards.racks"], "an import inside a function counts"


def test_no_import_runs_in_a_circle() -> None:
    # Raises CycleError, which names the circle.
    assert len(tuple(TopologicalSorter(imports()).static_order())) == len(FILES)


def folders() -> dict[str, set[str]]:
    """For each room and each module at the top, those that it imports."""
    found: dict[str, set[str]] = {}
    for name, others in imports().items():
        found.setdefault(folder(name), set()).update(folder(other) for other in others)
    return {name: others - {name} for name, others in found.items()}


def test_every_room_is_listed_and_the_top_is_small() -> None:
    entries = {path.name for path in ROOT.iterdir() if path.is_dir() and (path / "__init__.py").exists()}
    assert entries == set(ROOMS)
    top = {path.stem for path in ROOT.glob("*.py")}
    assert top == FOUNDATION | {"__init__", "__main__"}
    assert len(top) <= MOST_AT_THE_TOP


def test_no_two_rooms_import_each_other_by_any_way_round() -> None:
    assert set(ROOMS) <= set(TopologicalSorter(folders()).static_order())


@pytest.mark.parametrize("room", ROOMS)
def test_no_room_knows_one_above_it(room: str) -> None:
    above = {*ROOMS[ROOMS.index(room) + 1 :], "cutpath", "__main__"}
    for name, others in imports().items():
        if folder(name) == room:
            assert not above & {folder(other) for other in others}, name


@pytest.mark.parametrize("name", sorted(FOUNDATION))
def test_the_foundation_knows_no_room(name: str) -> None:
    known = {folder(other) for other in imports()[f"cutpath.{name}"]}
    assert known <= FOUNDATION | ({"job"} if name == "json_text" else set())


@pytest.mark.parametrize(("room", "other"), STRANGERS)
def test_strangers_stay_strangers(room: str, other: str) -> None:
    assert other not in folders()[room] and room not in folders()[other]


def test_modules_that_docstrings_and_comments_name_are_there() -> None:
    named = re.compile(rf"`(?:cutpath\.)?((?:{'|'.join(ROOMS)})\.[a-z_]\w*)[\w.]*`")
    texts = {name: path.read_text(encoding="utf-8") for name, path in FILES.items()}
    found = {(name, each) for name, text in texts.items() for each in named.findall(text)}
    assert len(found) > 10
    assert {(name, each) for name, each in found if f"cutpath.{each}" not in FILES} == set()


def test_no_name_of_a_class_or_a_type_stands_for_several_things() -> None:
    where: dict[str, list[str]] = {}
    for name in FILES:
        (module, *_) = nodes_of(name)
        assert isinstance(module, ast.Module)
        for node in module.body:
            # What begins with a capital and goes on in small letters is a type: `Show = Callable[[float], str]`.
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                alias = node.targets[0].id
                if alias[0].isupper() and not alias.isupper():
                    where.setdefault(alias, []).append(name)
        for node in nodes_of(name):
            if isinstance(node, ast.ClassDef):
                where.setdefault(node.name, []).append(name)
    assert len(where) > 250 and "Show" in where
    assert {name: found for name, found in where.items() if len(found) > 1} == {}


def test_long_files_say_why() -> None:
    texts = {name: path.read_text(encoding="utf-8") for name, path in FILES.items()}
    long = {name for name, text in texts.items() if text.count("\n") > MOST_LINES}
    assert {name for name in long if not re.search(r"one (file|table)", texts[name][:800])} == set()


def test_values_are_structs_of_one_make() -> None:
    # One way to compare, to hash, to replace: see "Frozen values" in DEVELOPERS.md.
    assert {name for name in FILES if "import dataclass" in FILES[name].read_text(encoding="utf-8")} == set()


def test_no_module_but_the_command_line_s_prints_or_knows_click() -> None:
    #: Ends the process with its streams flushed; and a program of its own, whose output is the pipe to the nest.
    own = {"cutpath.__main__", "cutpath.nest.sheets.worker"}
    looked = [name for name in FILES if folder(name) != "cli" and name not in own]
    assert len(looked) > 150 and own < set(FILES)
    for path in looked:
        for node in nodes_of(path):
            names: list[str] = []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            assert "click" not in {name.split(".")[0] for name in names}, path
            assert not (isinstance(node, ast.Name) and node.id == "print"), path
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sys":
                assert node.attr not in ("stdout", "stderr", "__stdout__", "__stderr__"), path

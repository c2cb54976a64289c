"""Mutation testing: small faults put into the modules that a stair hangs on, one by one, and whether a test finds each.

Run: python -m benchmarks.mutants [module or group ...] [--seconds 60] [--seed 1] [--list]

A mutant differs in one place: a comparison, an operator, a number, a condition, `min` for `max`, a `raise` or
`continue` that is not reached. All that a module needs is imported once; for each mutant a process is forked, the code
of the one function exchanged, and the few tests that guard the module run until one fails. What a mutant makes endless
is ended and counts as found. Of a module's tests only those are run that call the function, the quickest.
Of each module as many mutants are tried, in an order drawn by the seed, as the seconds let: the figures say how many of
how many. docs/tested-tests.md keeps them, and what was accepted. Needs a system that forks.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import importlib
import io
import os
import pickle
import random
import signal
import sys
import time
import types
from collections.abc import Callable, Iterator
from itertools import zip_longest
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase, settings

ROOT = Path(__file__).parent.parent

#: What is tried, and the tests that guard it, the quick ones first.
GUARDS: dict[str, tuple[str, ...]] = {
    "cutpath.outline": ("outline", "offset"),
    "cutpath.design.stringer": ("check_values", "stringer", "tape", "as_cut"),
    "cutpath.design.straight": ("housed",),
    "cutpath.design.throat": ("check_values", "relief_kinds", "throat"),
    "cutpath.design.as_cut.shape": ("as_cut",),
    "cutpath.design.as_cut.fit": ("as_cut",),
    "cutpath.design.as_cut.causes": ("as_cut",),
    "cutpath.cut.relief": ("relief_kinds", "check_values"),
    "cutpath.cut.relief_kinds": ("relief_kinds", "check_values"),
    "cutpath.cut.paths": ("paths",),
    "cutpath.cut.offset.chain": ("offset",),
    "cutpath.cut.offset.piece": ("offset",),
    "cutpath.cut.offset.raw": ("offset",),
    "cutpath.cut.simulate.compare": ("verifiers", "simulate"),
    "cutpath.cut.simulate.sweep": ("verifiers", "simulate"),
    "cutpath.cut.simulate.throat": ("verifiers", "simulate"),
    "cutpath.nest.boards.verify": ("bill", "verifiers", "nest_shapes"),
    "cutpath.nest.boards.verify_shared": ("verifiers", "common_nest"),
    "cutpath.nest.sheets.verify": ("verifiers", "sheets"),
    "cutpath.nest.lumber.verify": ("lumber_nest",),
    "cutpath.dxf.audit": ("dxf_audit",),
    "cutpath.dxf.read_back": ("dxf_audit", "dxf_drawing"),
    "cutpath.dxf.tags": ("dxf_audit", "dxf_drawing"),
    "cutpath.dxf.write": ("dxf_drawing",),
    "cutpath.units": ("units",),
}

#: Looked at one by one and left: the place (module, function, change) and why no test could or should tell.
ACCEPTED: dict[tuple[str, str, str], str] = {
    ("cutpath.outline", "Chain.flattened", "2 -> 3"): "the least count of chords: one more is only finer",
    ("cutpath.design.throat", "_drawn", "ceil -> floor"): "one chord less than its bound, of hundreds",
    ("cutpath.design.throat", "_drawn", "0.5 -> 1.5"): "for reliefs under a micrometre, which no tool has",
    ("cutpath.design.throat", "_drawn", "64 -> 65"): "the least count of chords: one more is only finer",
    ("cutpath.design.as_cut.shape", "_distance", "0 -> 1"): "a stretch without length, which no outline has",
    ("cutpath.design.as_cut.shape", "AsDrawn._depth", "Add -> Sub"): "each side from its other end: the same sides",
}

_COMPARE: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
_OPERATOR: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor", "sin": "cos"}
_CALLS |= {"cos": "sin"}


#: So many of the tests that call the function are run, the quickest.
MOST_TESTS = 150
#: What takes longer is endless, seconds.
LONGEST = 90
#: Where words go while pytest is quiet.
SHOWN = sys.stdout


class Mutant:
    """One change: the function it is in, where, what it reads as, and the function's code with it."""

    def __init__(self, owner: str, line: int, words: str, tree: ast.Module) -> None:
        self.owner, self.line, self.words, self.tree = owner, line, words, tree


def changes(node: ast.AST) -> Iterator[tuple[str, ast.AST | None]]:
    """What can be put in a node's place; None: nothing, where it is a statement."""

    def new(**fields: object) -> ast.AST:
        other = copy.copy(node)
        for name, value in fields.items():
            setattr(other, name, value)
        return other

    match node:
        case ast.Compare(ops=ops):
            for index, op in enumerate(ops):
                for kind in _COMPARE.get(type(op), ()):
                    yield f"{type(op).__name__} -> {kind.__name__}", new(ops=[*ops[:index], kind(), *ops[index + 1 :]])
        case ast.BinOp(op=op) if type(op) in _OPERATOR:
            kind = _OPERATOR[type(op)]
            yield f"{type(op).__name__} -> {kind.__name__}", new(op=kind())
        case ast.BoolOp(op=ast.And()):
            yield "And -> Or", new(op=ast.Or())
        case ast.BoolOp(op=ast.Or()):
            yield "Or -> And", new(op=ast.And())
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            yield f"{type(node.op).__name__} dropped", operand
        case ast.Constant(value=bool() as value):
            yield f"{value} -> {not value}", new(value=not value)
        case ast.Constant(value=int() | float() as value):
            yield f"{value} -> {value + 1}", new(value=value + 1)
        case ast.Name(id=name, ctx=ast.Load()) if name in _CALLS:
            yield f"{name} -> {_CALLS[name]}", new(id=_CALLS[name])
        case ast.Attribute(attr=name, value=ast.Name(id="math")) if name in _CALLS:
            yield f"{name} -> {_CALLS[name]}", new(attr=_CALLS[name])
        case ast.If(test=test) | ast.IfExp(test=test):
            yield "condition turned round", new(test=ast.UnaryOp(ast.Not(), test))
        case ast.Raise() | ast.Continue() | ast.Break():
            yield f"{type(node).__name__} left out", ast.copy_location(ast.Pass(), node)


def mutants(source: str) -> list[Mutant]:
    """Every mutant of a module's functions, docstrings and annotations let be."""
    whole = ast.parse(source)
    found: list[Mutant] = []

    def walk(node: ast.AST, owner: str, inside: bool) -> None:
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list") or isinstance(value, ast.arguments):
                continue
            for index, child in enumerate(value if isinstance(value, list) else [value]):
                if not isinstance(child, ast.AST):
                    continue
                # Words are for people; golden files and docs hold them. A strict zip only ever fails where others do.
                if isinstance(child, ast.JoinedStr) or (isinstance(child, ast.keyword) and child.arg == "strict"):
                    continue
                place = index if isinstance(value, list) else None
                named = isinstance(child, ast.FunctionDef | ast.ClassDef)
                here = f"{owner}.{child.name}".lstrip(".") if named and not inside else owner
                within = inside or isinstance(child, ast.FunctionDef)
                if inside:
                    for words, other in changes(child):
                        _exchange(node, name, place, other)
                        tree = ast.fix_missing_locations(copy.deepcopy(whole))
                        _exchange(node, name, place, child)
                        found.append(Mutant(owner, getattr(child, "lineno", 0), words, tree))
                walk(child, here, within)

    walk(whole, "", False)
    return found


def _exchange(node: ast.AST, name: str, place: int | None, child: ast.AST | None) -> None:
    if place is None:
        setattr(node, name, child)
    else:
        getattr(node, name)[place] = child


def put_in(module: types.ModuleType, mutant: Mutant) -> None:
    """Give the mutated function's code to the one that everything else already knows."""
    names = vars(types.ModuleType(module.__name__))
    names.update(__name__=module.__name__, __package__=module.__package__, __file__=module.__file__)
    exec(compile(mutant.tree, str(module.__file__), "exec"), names)  # the module anew, its other parts unused
    old: object = module
    new: object = types.SimpleNamespace(**{k: v for k, v in names.items() if k.isidentifier()})
    for step in mutant.owner.split("."):
        old, new = _static(old, step), _static(new, step)
    plain(old).__code__ = plain(new).__code__


def _static(holder: object, name: str) -> object:
    return vars(holder)[name] if isinstance(holder, type) else getattr(holder, name)


def plain(function: object) -> types.FunctionType:
    """The function below caches, properties, static and class methods."""
    for name in ("fget", "__func__", "__wrapped__", "func"):
        if not isinstance(function, types.FunctionType) and hasattr(function, name):
            function = getattr(function, name)
    while hasattr(function, "__wrapped__"):
        function = function.__wrapped__
    assert isinstance(function, types.FunctionType), function
    return function


def in_child(limit: int, work: Callable[[], object]) -> tuple[int, object]:
    """Do some work in a process of its own: its status, and what it gave back."""
    get, put = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(get)
        signal.alarm(limit)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.dup2(1, 2)
        status = 3
        with contextlib.suppress(BaseException):
            given = pickle.dumps(work())
            with os.fdopen(put, "wb") as pipe:
                pipe.write(given)
            status = 0
        os._exit(status)
    os.close(put)
    with os.fdopen(get, "rb") as pipe:
        given = pipe.read()
    code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    return code, pickle.loads(given) if given else None


def fails(items: list[pytest.Item]) -> bool:
    """Whether one of some tests fails; they are run until then."""
    for item, after in zip_longest(items, items[1:]):
        if any(report.failed for report in runtestprotocol(item, nextitem=after, log=False)):
            return True
    return False


class Trial:
    """A plug-in of pytest that, once tests are collected, tries mutants with them in place of running them."""

    def __init__(self, module: types.ModuleType, every: list[Mutant], seconds: float) -> None:
        self.module, self.every, self.seconds = module, every, seconds
        self.seen = {"found": 0, "survived": 0, "accepted": 0}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        _, calls = in_child(900, lambda: self.watched(session.items))
        assert isinstance(calls, dict), f"the tests of {self.module.__name__} fail as it is"
        assert calls, f"no test of {len(session.items)} calls {self.module.__name__}"
        known = {item.nodeid: item for item in session.items}
        # Unchanged code put in the same way must survive the same tests, else nothing is told by one that is found.
        unchanged = ast.parse(Path(str(self.module.__file__)).read_text(encoding="utf-8"))
        sound = {
            owner: self.tried(Mutant(owner, 0, "", unchanged), [known[test] for _, test in sorted(found)[:MOST_TESTS]])
            for owner, found in calls.items()
            if any(mutant.owner == owner for mutant in self.every)
        }
        end = time.monotonic() + self.seconds
        for mutant in self.every:
            if sound.get(mutant.owner, "survived") != "survived":
                continue
            if time.monotonic() > end:
                break
            calling = [known[test] for _, test in sorted(calls.get(mutant.owner, ()))[:MOST_TESTS]]
            kind = self.tried(mutant, calling)
            if kind == "broken":
                continue
            if kind == "survived" and (self.module.__name__, mutant.owner, mutant.words) in ACCEPTED:
                kind = "accepted"
            self.seen[kind] += 1
            if kind == "survived":
                print(f"  survived: {self.module.__name__}:{mutant.line} {mutant.owner}: {mutant.words}", file=SHOWN)
        return True

    def watched(self, items: list[pytest.Item]) -> dict[str, list[tuple[float, str]]]:
        """The tests that call each function of the module, and how long each takes."""
        file = str(self.module.__file__)
        found: dict[str, list[tuple[float, str]]] = {}
        for item, after in zip_longest(items, items[1:]):
            called: set[str] = set()

            def profile(frame: types.FrameType, event: str, arg: object, called: set[str] = called) -> None:
                if event == "call" and frame.f_code.co_filename == file:
                    called.add(frame.f_code.co_qualname.partition(".<")[0])

            begun = time.monotonic()
            sys.setprofile(profile)
            reports = runtestprotocol(item, nextitem=after, log=False)
            sys.setprofile(None)
            assert not any(report.failed for report in reports), item.nodeid
            for name in called:
                found.setdefault(name, []).append((time.monotonic() - begun, item.nodeid))
        return found

    def tried(self, mutant: Mutant, items: list[pytest.Item]) -> str:
        """Run tests with a mutant: "found", "survived", or "broken" where it can't be put in."""

        def work() -> str:
            try:
                put_in(self.module, mutant)
            except Exception:
                return "broken"
            return "found" if fails(items) else "survived"

        code, kind = in_child(LONGEST, work)
        return str(kind) if code == 0 else "found"


def main() -> None:
    """Try what is asked for, and print what survived and the figures."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("modules", nargs="*", help="modules, or the start of their names; none: all")
    said.add_argument("--seconds", type=float, default=60.0, help="of each module")
    said.add_argument("--seed", type=int, default=1)
    said.add_argument("--list", action="store_true", help="only count")
    asked = said.parse_args()
    os.environ["CI"] = "1"
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    importlib.import_module("tests.conftest")
    # What is found need not be made small.
    phases = [Phase.explicit, Phase.generate]
    settings.register_profile("mutants", settings.get_profile("ci"), phases=phases, database=None)
    settings.load_profile("mutants")
    total = {"found": 0, "survived": 0, "accepted": 0, "all": 0}
    for name, guards in GUARDS.items():
        if asked.modules and not any(name.removeprefix("cutpath.").startswith(each) for each in asked.modules):
            continue
        module = importlib.import_module(name)
        every = mutants(Path(str(module.__file__)).read_text(encoding="utf-8"))
        total["all"] += len(every)
        if asked.list:
            print(f"{name:36}{len(every):5}")
            continue
        tests = [f"tests/test_{guard}.py" for guard in guards]
        for guard in guards:
            importlib.import_module(f"tests.test_{guard}")
        random.Random(asked.seed).shuffle(every)
        trial = Trial(module, every, asked.seconds)
        options = ["-q", "-m", "not slow", "-p", "no:cacheprovider", "-p", "no:xdist", "-s", "-o", "addopts="]
        with contextlib.redirect_stdout(io.StringIO()):
            pytest.main([*options, *tests], plugins=[trial])
        seen = trial.seen
        print(f"{name:36}{sum(seen.values()):5} of {len(every)} tried: {seen}", flush=True)
        for kind, count in seen.items():
            total[kind] += count
    count = total["found"] + total["survived"] + total["accepted"]
    if count:
        print(f"{total['found']} of {count} found ({total['found'] / count:.1%}), {total}")
    else:
        print(total)


if __name__ == "__main__":
    main()

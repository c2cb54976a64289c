"""Mutation testing: small faults put into the modules that a stair hangs on, one by one, and whether a test finds each.

Run: python -m benchmarks.mutants [module or its start ...] [--most 60] [--seed 1] [--again] [--list]

A mutant differs in one place: a comparison, an operator, a number, a condition, `min` for `max`, a `raise` or
`continue` that is not reached. One process imports and collects everything once. Each test is run by itself in a fork,
which tells the lines that it reaches and the processor time that it takes. For each mutant a process is forked, the
code of the one function exchanged, and the tests that reach its lines run, quickest first, until one fails. A test
that takes many times its own processor time has been made endless and counts as a find; clocks tell nothing on a busy
machine. What was tried is kept in .cache/mutants, so that a run goes on where the last one stopped; `--again` tries
what survived once more, with whatever tests there are since. Of each module so many mutants are tried as `--most`
says, in an order drawn by the seed. docs/tested-tests.md keeps the figures. Needs a system that forks.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import functools
import gc
import hashlib
import importlib
import io
import json
import os
import pickle
import random
import re
import resource
import shutil
import signal
import sys
import threading
import time
import tomllib
import types
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase, settings

ROOT = Path(__file__).parent.parent
KEPT = ROOT / ".cache" / "mutants"

#: What is tried, and the files whose tests are; which of these reach a line is seen by running them.
GUARDS: dict[tuple[str, ...], tuple[str, ...]] = {
    ("nest.boards.verify", "nest.boards.verify_shared", "nest.sheets.verify", "nest.lumber.verify"): (
        "test_boards_held",
        "test_shared_held",
        "test_sheets_held",
        "test_lumber_held",
        "test_verifiers",
        "test_bill",
        "test_common_nest",
        "test_sheets",
        "test_lumber_nest",
    ),
    ("design.throat", "outline", "cut.relief_kinds", "cut.relief", "design.stringer"): (
        "test_outline",
        "test_throat",
        "test_check_values",
        "test_relief_kinds",
        "test_stringer",
        "test_tape",
    ),
    ("cut.paths", "cut.offset.chain", "cut.offset.piece", "cut.offset.raw"): (
        "test_offset_by_hand",
        "test_offset",
        "test_paths",
        "test_verifiers",
        "test_outline",
        "sources/test_clipper",
        "sources/test_geos_buffer",
    ),
    (
        "cut.simulate.compare",
        "cut.simulate.sweep",
        "cut.simulate.throat",
        "cut.simulate.edge",
    ): (
        "test_compared_by_hand",
        "test_verifiers",
        "test_simulate",
    ),
    ("cut.simulate.bearing", "cut.tabs"): ("test_tabs_by_hand", "test_tabs"),
    ("cut.simulate.meant",): ("test_meant_by_hand", "test_compared_by_hand", "test_simulate"),
    ("dxf.read_back", "dxf.audit", "dxf.tags", "dxf.write", "dxf.escapes"): (
        "test_dxf_held",
        "test_verifiers",
        "test_dxf_files",
        "test_dxf_drawing",
        "test_dxf_audit",
        "sources/test_dxf_reference",
    ),
    (
        "inspect.find.contours",
        "inspect.find.ends",
        "inspect.find.frame",
        "inspect.find.tool",
        "inspect.find.traits",
        "inspect.find.whole",
        "inspect.find.looked",
        "inspect.contours",
    ): (
        "test_inspect_by_hand",
        "test_arcs_in_pieces_by_hand",
        "test_ends_by_hand",
        "test_parts_by_hand",
        "test_inspect",
        "test_inspect_good",
        "test_inspect_hostile",
        "test_repair",
    ),
    ("inspect.contacts",): (
        "test_contacts_by_hand",
        "test_arcs_in_pieces_by_hand",
        "test_inspect",
        "test_inspect_hostile",
    ),
    ("inspect.near", "inspect.beside", "inspect.course", "inspect.roles"): (
        "test_course_by_hand",
        "test_arcs_in_pieces_by_hand",
        "test_roles_by_hand",
        "test_inspect_by_hand",
        "test_contacts_by_hand",
        "test_inspect",
        "test_inspect_good",
    ),
    ("inspect.blocks", "inspect.entities", "inspect.read", "inspect.load"): (
        "test_read_by_hand",
        "test_inspect",
        "test_inspect_good",
        "test_inspect_hostile",
        "test_repair_by_hand",
        "test_repair_check_by_hand",
    ),
    (
        "inspect.repair.whole",
        "inspect.repair.mend",
        "inspect.repair.steps",
        "inspect.repair.explode",
        "inspect.repair.check",
        "inspect.repair.arcs",
    ): (
        "test_repair_by_hand",
        "test_repair_curves_by_hand",
        "test_repair_check_by_hand",
        "test_inspect_hostile",
    ),
    (
        "inspect.against.closing",
        "inspect.against.compare",
        "inspect.against.inner",
        "inspect.against.off_board",
        "inspect.against.followed",
        "inspect.against.drawn",
        "inspect.against.whole",
    ): (
        "test_against_by_hand",
        "test_followed_by_hand",
        "test_laid_by_hand",
        "test_parts_by_hand",
        "test_told_by_hand",
    ),
    (
        "inspect.against.lacking",
        "inspect.against.several",
        "inspect.against.unit",
    ): ("test_several_by_hand", "test_unit_by_hand", "test_against"),
    ("inspect.against.lie", "inspect.against.starts", "inspect.against.rings"): ("test_lie_by_hand",),
    ("inspect.against.program",): (
        "test_followed_by_hand",
        "test_parts_by_hand",
        "test_laid_by_hand",
        "test_against_exports",
    ),
    ("cut.setups.union", "cut.setups.values"): ("test_union_by_hand",),
    ("cut.setups.places", "cut.setups.tracks"): ("test_places_by_hand",),
    ("cut.setups.divide", "cut.setups.windows"): ("test_windows_by_hand", "test_places_by_hand"),
    ("cut.setups.build", "cut.setups.pockets", "cut.setups.index", "cut.setups.share_out"): ("test_setups_by_hand",),
    ("cut.shared.ends", "cut.shared.lines", "cut.shared.once", "cut.shared.rest"): ("test_cut_once_by_hand",),
    ("cut.housing", "cut.opened"): ("test_housing_by_hand",),
    ("cut.onboard", "cut.coincide", "cut.features", "cut.tool", "cut.trial", "cut.program"): ("test_program_by_hand",),
    ("design.straight", "design.housed"): ("test_housed_by_hand", "test_housed"),
    ("design.stair", "design.holes", "design.ground", "design.tape"): (
        "test_solver_by_hand",
        "test_solver",
        "test_ground",
        "test_holes",
        "test_one_step",
        "test_one_foot",
        "test_check_values",
        "test_tape",
        "test_setout",
        "sources/test_irc",
        "sources/test_din_18065",
    ),
    (
        "design.as_cut.shape",
        "design.as_cut.fit",
        "design.as_cut.squares",
        "design.as_cut.causes",
        "design.as_cut.slips",
        "design.as_cut.values",
    ): (
        "test_as_cut_by_hand",
        "test_as_cut",
    ),
    (
        "pieces.across",
        "pieces.checks",
        "pieces.ends",
        "pieces.faces",
        "pieces.gather",
        "pieces.rail",
        "pieces.rail_pieces",
        "pieces.rest",
        "pieces.riser_boards",
        "pieces.splice",
        "pieces.treads",
        "pieces.triangle",
        "pieces.values",
        "pieces.words",
    ): ("test_rail_by_hand", "test_pieces_by_hand", "test_pieces", "test_rail", "test_pieces_apart"),
    ("stockfile.taken", "stockfile.kept", "stockfile.update", "stockfile.text", "stockfile.read", "job.stretches"): (
        "test_stock_by_hand",
        "test_stock_shared_by_hand",
        "test_stock_histories",
        "test_stockfile",
        "test_stock_taken",
        "test_disk_changes",
    ),
    (
        "design.strength.beam",
        "design.strength.sections",
        "design.strength.judge",
        "design.strength.shares",
        "design.strength.member",
        "design.strength.materials",
        "design.strength.guidance",
        "design.strength.values",
        "plan.strengths",
        "plan.strength_words",
        "plan.connections",
        "job.loads",
    ): (
        "test_strength_by_hand",
        "test_strength_lasting_held",
        "test_joints_by_hand",
        "test_strength",
        "test_connections",
        "test_supports",
        "test_check_values",
        "sources/test_beam_formulas",
        "sources/test_tapered_beams",
        "sources/test_notch_fracture",
        "sources/test_design_values",
        "sources/test_dca6",
    ),
    ("design.supports", "design.stack_up", "design.setout", "design.checks", "design.built"): (
        "test_set_out_by_hand",
        "test_supports",
        "test_stack_up",
        "test_setout",
        "test_check_values",
        "test_rules",
        "test_measures",
        "sources/test_green_rp_489",
        "sources/test_dca6",
    ),
    ("rules.check", "rules.measures", "rules.built", "rules.provided", "rules.values"): (
        "test_rules_by_hand",
        "test_rules",
        "test_measures",
        "test_check_values",
        "sources/test_irc",
        "sources/test_din_18065",
        "sources/test_nbc_canada",
        "sources/test_ncc_2022",
        "sources/test_ibc_2021",
        "sources/test_approved_document_k",
        "sources/test_aba_504",
    ),
    ("plan.support_places", "plan.span_mends", "plan.strength_mends", "plan.mends", "plan.ways"): (
        "test_mends_by_hand",
        "test_supports",
        "test_mends_told",
    ),
    ("plan.widths",): ("test_widths_by_hand",),
    ("plan.stock", "plan.to_buy", "plan.together", "plan.gather", "nest.costs", "nest.shopping"): (
        "test_buying_by_hand",
        "test_together_by_hand",
    ),
    ("nest.fill",): ("test_fill_by_hand", "test_nest_fill"),
    ("nest.boards.slack", "nest.boards.fitting"): ("test_search_by_hand",),
    ("nest.boards.columns",): ("test_columns_by_hand",),
    ("page.mended", "page.understood", "page.grips"): ("test_page_mends_by_hand",),
    ("units",): ("test_units",),
    (
        "job.between",
        "job.build",
        "job.compound",
        "job.kinds",
        "job.near",
        "job.piece_faults",
        "job.read",
        "job.reference",
        "job.schema",
        "job.sizes",
        "job.special",
        "job.starter",
        "job.as_cut_keys",
        "job.form_keys",
        "job.keys",
        "job.load_keys",
        "job.piece_keys",
        "job.form_values",
        "job.piece_values",
        "job.values",
    ): (
        "test_jobs_by_hand",
        "test_job_values_by_hand",
        "test_jobfile_faults",
        "test_jobfile_read",
        "test_jobfile_pages",
        "test_jobfile_schema",
        "test_jobfile_sizes",
        "test_job_round_trip",
        "test_form_kinds",
        "sources/test_lumber_sizes",
    ),
    ("tomlfile.read", "tomlfile.slips"): ("test_toml_by_hand", "test_tomlfile", "test_jobfile_faults"),
    ("stockfile.keys", "stockfile.shelf"): ("test_shelf_by_hand", "test_stockfile", "test_stock_taken"),
    ("rules.load", "rules.told"): (
        "test_rule_sets_by_hand",
        "test_rules_by_hand",
        "test_rules",
        "test_tomlfile",
        "test_unsigned",
    ),
}
MODULES = tuple(f"cutpath.{name}" for names in GUARDS for name in names)


def read_accepted() -> dict[tuple[str, str], str]:
    """Mutants that were left: the module with "function: change", and why no test could or should tell."""
    with (ROOT / "benchmarks" / "accepted_mutants.toml").open("rb") as file:
        return {
            (f"cutpath.{name}", words): why for name, each in tomllib.load(file).items() for words, why in each.items()
        }


ACCEPTED = read_accepted()

#: A bound with a tolerance on it, or one that is a tolerance. Whether what lies on it to the last bit is let through is
#: nobody's matter: such comparisons' mutants "or equal" are accepted.
_AT_A_TOLERANCE = re.compile(
    r"(Lt -> LtE|LtE -> Lt|Gt -> GtE|GtE -> Gt) in .*"
    r"(\b[A-Z_]*SLACK|\bslack|\b_SHARE|SAME_POINT|FILE_MATCH|ARC_CHORD|JOINED|self\.near|self\.along|_FITS|_IN_LINE|"
    r"\bapart <= reach|_LONG|_ACROSS|_CORNER|_SLIVER|_SAME\b|\bSHOWN|NO_LENGTH|\btolerance\b|_ALONG|\b1e-\d+)"
)

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

#: Of the tests that reach a line, quickest first, those that together take so long, seconds of processor time.
BUDGET = 4.0
#: A test that takes longer, watched, is not tried at all.
LONGEST = 12.0
#: A test is endless when it takes so many times the time that it took when it was watched, and a second.
TIMES = 3
#: What is written meanwhile may take so much memory, bytes.
MEMORY = 4 << 30
#: Files whose tests were made for what is tried: their tests come first, and then the others, quickest first.
_BY_HAND = re.compile(r"_held|_by_hand|test_throat|test_outline|test_paths|test_bill")
#: So many calls of one function are followed line by line in one test.
FOLLOWED = 300
#: Where words go while pytest is quiet.
SHOWN = sys.stdout


class Mutant:
    """One change: the function it is in, its lines, what it reads as, and how to make it in the tree."""

    def __init__(
        self, owner: str, lines: range, line: int, words: str, make: Callable[[], None], undo: Callable[[], None]
    ) -> None:
        self.owner, self.lines, self.line, self.words, self.make, self.undo = owner, lines, line, words, make, undo
        self.key = ""


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


class Tree:
    """A module's syntax tree, and the mutants of its functions; docstrings and annotations are let be."""

    def __init__(self, module: str, source: str) -> None:
        self.module, self.whole = module, ast.parse(source)
        self.mutants: list[Mutant] = []
        self.functions: dict[str, ast.AST] = {}
        self._walk(self.whole, "", False, range(0), [])
        for mutant in self.mutants:
            mutant.make()
            text = ast.unparse(self.functions[mutant.owner])
            mutant.undo()
            mutant.key = f"{module}:{mutant.owner}:{hashlib.sha1(text.encode()).hexdigest()[:14]}"

    def _walk(self, node: ast.AST, owner: str, inside: bool, lines: range, above: list[ast.AST]) -> None:
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
                if named and not inside:
                    self.functions[here] = child
                if isinstance(child, ast.stmt):
                    heads = [n for n in ast.iter_child_nodes(child) if isinstance(n, ast.expr)]
                    end = max([n.end_lineno or 0 for n in heads], default=child.lineno)
                    around = range(child.lineno, end + 1)
                else:
                    around = lines
                if inside:
                    for words, other in changes(child):
                        self._add(node, name, place, child, other, owner, around, words, above)
                self._walk(child, here, within, around, [*above, node])

    def _add(
        self, node: ast.AST, name: str, place: int | None, child: ast.AST, other: ast.AST | None,
        owner: str, lines: range, words: str, above: list[ast.AST],
    ) -> None:  # fmt: skip
        def make() -> None:
            _exchange(node, name, place, other)
            ast.fix_missing_locations(self.whole)

        def undo() -> None:
            _exchange(node, name, place, child)

        if isinstance(child, ast.If | ast.IfExp):
            text = ast.unparse(child.test)
        elif isinstance(child, ast.Constant | ast.Name | ast.Attribute):
            shown: ast.AST = node
            for higher in reversed(above):
                if isinstance(shown, ast.keyword | ast.UnaryOp | ast.Attribute | ast.comprehension):
                    shown = higher
            text = ast.unparse(shown).partition("\n")[0]
        else:
            text = ast.unparse(child)
        words = f"{words} in {text[:90]}"
        self.mutants.append(Mutant(owner, lines, getattr(child, "lineno", 0), words, make, undo))


def _exchange(node: ast.AST, name: str, place: int | None, child: ast.AST | None) -> None:
    if place is None:
        setattr(node, name, child)
    else:
        getattr(node, name)[place] = child


def put_in(module: types.ModuleType, tree: ast.Module, owner: str) -> None:
    """Give the function's code as it stands in a tree to the one that everything else already knows."""
    names = vars(types.ModuleType(module.__name__))
    names.update(__name__=module.__name__, __package__=module.__package__, __file__=module.__file__)
    exec(compile(tree, str(module.__file__), "exec"), names)  # the module anew, its other parts unused
    old: object = module
    new: object = types.SimpleNamespace(**{k: v for k, v in names.items() if k.isidentifier()})
    for step in owner.split("."):
        old, new = _static(old, step), _static(new, step)
    before, after = plain(old).__code__, plain(new).__code__
    plain(old).__code__ = after
    # What a function made when everything was imported, a look of a table, has its own code.
    inner = dict(zip(_inner(before), _inner(after), strict=True))
    if inner:
        gc.unfreeze()
        for each in gc.get_objects():
            if isinstance(each, types.FunctionType) and each.__code__ in inner:
                each.__code__ = inner[each.__code__]


def _inner(code: types.CodeType) -> list[types.CodeType]:
    """Code of functions made in a function, not of what it runs itself."""
    return [c for c in code.co_consts if isinstance(c, types.CodeType) and not c.co_name.startswith("<")]


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


def in_child(work: Callable[[], object]) -> tuple[int, object]:
    """Do some work in a process of its own: its status, and what it gave back."""
    get, put = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(get)
        os.setpgid(0, 0)
        signal.alarm(900)  # what waits for ever takes no processor time
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
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


def sha(path: Path) -> str:
    return hashlib.sha1(path.read_bytes()).hexdigest()


class Reached:
    """Which tests reach which lines and functions of the modules, each run by itself once; kept by files' hashes."""

    def __init__(self, files: dict[str, str]) -> None:
        self.files, self.path = files, KEPT / "reached.pickle"
        self.of: dict[str, dict[str, object]] = pickle.loads(self.path.read_bytes()) if self.path.exists() else {}
        self.shas = {name: sha(Path(file)) for file, name in files.items()}

    def collect(self, items: list[pytest.Item]) -> None:
        """Run what has not been run since its file changed."""
        stale = [i for i in items if self.of.get(i.nodeid, {}).get("sha") != sha(i.path)]
        begun = time.monotonic()
        for index, item in enumerate(stale):
            code, seen = in_child(lambda item=item: self.watched(item))
            entry = {"sha": sha(item.path), "passed": code == 0, "of": self.shas}
            self.of[item.nodeid] = entry | (seen if isinstance(seen, dict) else {"passed": False})
            if index % 50 == 49 or index + 1 == len(stale):
                print(
                    f"  {index + 1} of {len(stale)} tests watched, {time.monotonic() - begun:.0f} s",
                    file=SHOWN,
                    flush=True,
                )
                self.path.write_bytes(pickle.dumps(self.of))

    def watched(self, item: pytest.Item) -> dict[str, object]:
        """Run a test as it is: its processor time, and the lines and functions that it reached."""
        lines: set[tuple[str, int]] = set()
        calls: dict[types.CodeType, int] = {}
        files = self.files

        def by_line(frame: types.FrameType, event: str, arg: object) -> object:
            if event == "line":
                lines.add((frame.f_code.co_filename, frame.f_lineno))
            return by_line

        def by_call(frame: types.FrameType, event: str, arg: object) -> object:
            code = frame.f_code
            if code.co_filename not in files:
                return None
            calls[code] = calls.get(code, 0) + 1
            return by_line if calls[code] < FOLLOWED else None

        signal.setitimer(signal.ITIMER_PROF, LONGEST)
        begun = time.process_time()
        sys.settrace(by_call)
        threading.settrace(by_call)
        good = passes(item)
        sys.settrace(None)
        took = time.process_time() - begun
        assert good, item.nodeid
        return {
            "took": took,
            "lines": {(files[file], line) for file, line in lines},
            "functions": {(files[code.co_filename], code.co_qualname.partition(".<")[0]) for code in calls},
        }

    def tests_of(self, module: str, mutant: Mutant, guards: set[str], budget: float) -> list[str]:
        """The tests that reach a mutant's lines (its function, where the module changed since), quickest first."""
        found = []
        for test, entry in self.of.items():
            if (
                test.partition("::")[0] not in guards
                or not entry["passed"]
                or (module, mutant.owner) not in entry["functions"]
            ):
                continue
            same = entry["of"].get(module) == self.shas[module]
            if same and not any((module, line) in entry["lines"] for line in mutant.lines):
                continue
            found.append((not _BY_HAND.search(test), entry["took"], test))
        total, chosen = 0.0, []
        for _, took, test in sorted(found):
            total += took
            if total > budget:
                break
            chosen.append(test)
        return chosen


def worded(mutant: Mutant) -> str:
    """A mutant as accepted_mutants.toml names it."""
    return f"{mutant.owner}: {mutant.words}"


def accepted(module: str, mutant: Mutant) -> bool:
    return (module, worded(mutant)) in ACCEPTED or bool(_AT_A_TOLERANCE.match(mutant.words))


def passes(item: pytest.Item) -> bool:
    return not any(report.failed for report in runtestprotocol(item, nextitem=None, log=False))


class Trials:
    """A plug-in of pytest that, once tests are collected, tries mutants with them in place of running them."""

    def __init__(self, asked: argparse.Namespace, trees: dict[str, Tree]) -> None:
        self.asked, self.trees = asked, trees
        self.path = KEPT / "results.json"
        self.results: dict[str, list[str]] = json.loads(self.path.read_text()) if self.path.exists() else {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        base = session.config._tmp_path_factory.getbasetemp()  # made once, not by each child
        gc.unfreeze()  # what is frozen is not among the objects
        for each in gc.get_objects():
            if isinstance(each, functools._lru_cache_wrapper):
                each.cache_clear()  # what was worked out while tests were collected
        gc.collect()
        gc.freeze()
        modules = {name: importlib.import_module(name) for name in self.trees}
        reached = Reached({str(importlib.import_module(name).__file__): name for name in MODULES})
        reached.collect(session.items)
        self.items = {item.nodeid: item for item in session.items}
        self.guarded = {
            f"cutpath.{name}": {f"tests/{test}.py" for test in tests}
            for names, tests in GUARDS.items()
            for name in names
        }
        reached.of = {test: entry for test, entry in reached.of.items() if test in self.items}
        for name, tree in self.trees.items():
            sound: dict[str, bool] = {}
            every = list(tree.mutants)
            random.Random(self.asked.seed).shuffle(every)
            for mutant in every[: self.asked.most]:
                kind = self.results.get(mutant.key, ["new"])[0]
                if accepted(name, mutant):
                    continue
                if kind not in ("new", "survived", "unreached")[: 3 if self.asked.again else 1]:
                    continue
                tests = reached.tests_of(name, mutant, self.guarded[name], self.asked.budget)
                if mutant.owner not in sound:
                    # Unchanged code put in the same way must pass, else nothing is told by a find.
                    sound[mutant.owner] = (
                        self.tried(modules[name], tree, mutant.owner, tests[:4], reached)[0] == "survived"
                    )
                if not sound[mutant.owner]:
                    self.results[mutant.key] = ["broken", ""]
                elif not tests:
                    self.results[mutant.key] = ["unreached", ""]
                else:
                    mutant.make()
                    self.results[mutant.key] = list(self.tried(modules[name], tree, mutant.owner, tests, reached))
                    mutant.undo()
                shutil.rmtree(base, ignore_errors=True)
                base.mkdir(mode=0o700, exist_ok=True)
                if self.results[mutant.key][0] in ("survived", "unreached"):
                    print(f"  ... {name}:{mutant.line} {mutant.owner}: {mutant.words}", file=SHOWN, flush=True)
                self.path.write_text(json.dumps(self.results, indent=0))
            self.told(name, every[: self.asked.most], len(every))
        return True

    def told(self, name: str, tried: list[Mutant], every: int) -> None:
        """Say a module's figures and what survived."""
        seen = {"found": 0, "accepted": 0, "survived": 0, "unreached": 0, "broken": 0, "new": 0}
        for mutant in tried:
            kind = self.results.get(mutant.key, ["new"])[0]
            if kind != "found" and accepted(name, mutant):
                kind = "accepted"
            elif kind in ("survived", "unreached", "broken"):
                print(f"  {kind}: {name}:{mutant.line} {mutant.owner}: {mutant.words}", file=SHOWN)
            seen[kind] += 1
        print(f"{name:34}{len(tried):5} of {every}: {seen}", file=SHOWN, flush=True)

    def tried(
        self, module: types.ModuleType, tree: Tree, owner: str, tests: list[str], reached: Reached
    ) -> tuple[str, str]:
        """Run tests with the tree's code: "found" and by which test, "survived", or "broken": it can't be put in."""
        get, put = os.pipe()

        def work() -> tuple[str, str]:
            try:
                put_in(module, tree.whole, owner)
            except Exception:
                return "broken", ""
            for test in tests:
                os.write(put, test.encode() + b"\n")
                signal.setitimer(signal.ITIMER_PROF, TIMES * float(reached.of[test]["took"]) + 1)
                if not passes(self.items[test]):
                    return "found", test
            return "survived", ""

        os.set_blocking(put, False)
        code, answer = in_child(work)
        os.close(put)
        with os.fdopen(get, "rb") as pipe:
            last = pipe.read().decode().split("\n")[-2:][0]
        return answer if code == 0 and isinstance(answer, tuple) else ("found", f"{last} (ended)")


def main() -> None:
    """Try what is asked for, and print what survived and the figures."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("modules", nargs="*", help="modules, or the start of their names; none: all")
    said.add_argument("--most", type=int, default=60, help="mutants of each module")
    said.add_argument("--seed", type=int, default=1)
    said.add_argument("--budget", type=float, default=BUDGET, help="seconds of tests for each mutant")
    said.add_argument("--again", action="store_true", help="try what survived once more")
    said.add_argument("--figures", action="store_true", help="only say what was tried before")
    said.add_argument("--list", action="store_true", help="only count")
    asked = said.parse_args()
    os.environ["CI"] = "1"
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    KEPT.mkdir(parents=True, exist_ok=True)

    def chosen(names: Iterable[str]) -> list[str]:
        return [n for n in names if not asked.modules or any(n.startswith(each) for each in asked.modules)]

    trees = {}
    for short in chosen(name for names in GUARDS for name in names):
        name = f"cutpath.{short}"
        trees[name] = Tree(name, (ROOT / (name.replace(".", "/") + ".py")).read_text(encoding="utf-8"))
        if asked.list:
            print(f"{name:36}{len(trees[name].mutants):5}")
    there = {(name, worded(mutant)) for name, tree in trees.items() for mutant in tree.mutants}
    for name, words in sorted(key for key in ACCEPTED if key[0] in trees and key not in there):
        print(f"accepted_mutants.toml: {name} has no such mutant any more: {words}")
    if asked.list:
        return
    if asked.figures:
        trials = Trials(asked, trees)
        for name, tree in trees.items():
            random.Random(asked.seed).shuffle(tree.mutants)
            trials.told(name, tree.mutants[: asked.most], len(tree.mutants))
        return
    importlib.import_module("tests.conftest")
    # What is found need not be made small.
    phases = [Phase.explicit, Phase.generate]
    settings.register_profile("mutants", settings.get_profile("ci"), phases=phases, database=None)
    settings.load_profile("mutants")
    files = {f"tests/{test}.py": 0 for names, tests in GUARDS.items() for test in tests if chosen(names)}
    options = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-s", "-o", "addopts=", "--tb=native"]
    # A folder of its own: of those that pytest numbers, runs beside this one clear away what they take for left behind,
    # and a test whose folder is gone fails, which would count as a find.
    options += ["--basetemp", str(KEPT / "tmp")]
    with contextlib.redirect_stdout(io.StringIO()):
        pytest.main([*options, *files], plugins=[Trials(asked, trees)])


if __name__ == "__main__":
    main()

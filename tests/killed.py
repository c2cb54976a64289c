"""Processes that are gone at once, forked from one that holds little: a fork of a test run copies all that it holds."""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

#: How a process ends that was killed.
GONE = 9


def killed(at: int, after: bool, call: Callable[..., Any], *arguments: Any) -> int:
    """Call a function of a module in a process of its own that is gone at one of its changes to the file system.

    Args:
        at: which change, counted from 1, as `tests.test_place.Trouble` counts them.
        after: whether that change is still made.
        call: what to call, by its name in its module.
        arguments: texts, paths, numbers, or what JSON holds.

    Returns:
        `GONE`; 0 where the call was done before; 1 where it raised something.
    """
    return int(_asked(at, after, call, arguments))


def killing(after: bool, call: Callable[..., Any], *arguments: Any) -> Iterator[int]:
    """Where to kill a process that makes a change, the last place past its end.

    Gone after one call is gone before the next: nothing else reaches the disk. Only what is opened is empty right after
    it and written before the next one.

    Args:
        after: at the calls that open a file, to be killed after them; else at every call, to be killed before it.
        call: the same one.
        arguments: with these it works on files of its own.
    """
    names = json.loads(_asked(0, False, call, arguments))
    yield from (at for at, name in enumerate(names, 1) if name == "open" or not after)
    yield len(names) + 1


def _asked(at: int, after: bool, call: Callable[..., Any], arguments: tuple[Any, ...]) -> str:
    parent = _parent()
    assert parent.stdin is not None and parent.stdout is not None
    parent.stdin.write(json.dumps([at, after, call.__module__, call.__name__, arguments], default=str) + "\n")
    parent.stdin.flush()
    return parent.stdout.readline()


@cache
def _parent() -> subprocess.Popen[str]:
    started = subprocess.Popen(
        [sys.executable, "-m", "tests.killed"],
        cwd=Path(__file__).parents[1],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    atexit.register(started.communicate)
    return started


def _answer() -> None:
    from tests.test_place import Trouble

    os.fsync = lambda handle: None
    for line in sys.stdin:
        at, after, module, name, arguments = json.loads(line)
        call = getattr(import_module(module), name)
        child = os.fork()
        if child == 0:
            try:
                with (trouble := Trouble(at, lambda: os._exit(GONE), after=after))():
                    call(*arguments)
                if not at:
                    print(json.dumps(trouble.names), flush=True)
                os._exit(0)
            finally:
                os._exit(1)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        if at or code:
            print(code, flush=True)


if __name__ == "__main__":
    _answer()

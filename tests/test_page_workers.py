"""How the page's workers come to be: forked where that is safe, started anew where it is not."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from cutpath.page import start
from cutpath.page.warm import LATER
from cutpath.page.workers import WorkerLost, Workers

LINUX = pytest.mark.skipif(sys.platform != "linux", reason="nothing is forked there")

CANT = "no process is started"

#: A worker that says its process' number to whatever it is asked, and ends where it is told to.
ECHO = """import json, os, sys
print("{}", flush=True)
for line in sys.stdin:
    print(json.dumps({"begun": True}), flush=True)
    if (what := json.loads(line)["what"]) == "end":
        break
    if what == "long":
        print(json.dumps({"far": os.getpid()}), flush=True)
    while what == "long":
        pass
    print(json.dumps({"ok": True, "pid": os.getpid()}), flush=True)
"""
#: The warm process as it is, but with nothing to load, and such workers.
WARM = f"""import sys
from cutpath.page import warm
def serve(questions, answers):
    sys.stdin, sys.stdout = open(questions.fileno(), closefd=False), open(answers.fileno(), "w", closefd=False)
    exec({ECHO!r})
warm.load, warm.serve, warm.LATER = (lambda: None), serve, ()
warm.main(int(sys.argv[1]))
"""


@pytest.fixture
def _quick(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Processes of the kinds above instead of those that load all; gives their scripts, which a test may change."""
    scripts = {"cutpath.page.worker": ECHO, "cutpath.page.warm": WARM}
    usual = asyncio.create_subprocess_exec

    async def quick(*command: str, **more: Any) -> Any:
        *_, module = (each for each in command if each in scripts)
        if scripts[module] == CANT:
            raise OSError("there is no memory for it")
        script = ["-c", scripts[module], *command[command.index(module) + 1 :]]
        return await usual(sys.executable, "-P", *script, **more)

    monkeypatch.setattr(start.asyncio, "create_subprocess_exec", quick)
    return scripts


async def pid(workers: Workers) -> int:
    return int((await workers.ask({"what": "pid"}, 60))["pid"])


def stat(process: int) -> list[str]:
    """State, parent and so on; a process that is gone has ended."""
    try:
        found = Path(f"/proc/{process}/stat").read_text()
    except FileNotFoundError:
        return ["Z"]
    return found[found.rindex(")") + 2 :].split()


def parent(process: int) -> int:
    return int(stat(process)[1])


def gone(process: int) -> bool:
    with contextlib.suppress(ProcessLookupError):
        os.kill(process, 0)
        # One that has ended stays listed where nobody asks how.
        return stat(process)[0] == "Z"
    return True


async def ended(*processes: int) -> None:
    while not all(map(gone, processes)):
        await asyncio.sleep(0.01)


async def at_work(workers: Workers) -> tuple[asyncio.Task[Any], int]:
    """A question that nothing answers, and the process that is at it."""
    task = asyncio.create_task(workers.ask({"what": "long", "run": "long"}, 60))
    while not workers.far("long"):
        await asyncio.sleep(0.01)
    return task, int(workers.far("long"))


@LINUX
def test_workers_are_forked_from_one_process_and_end_with_it(_quick: dict[str, str]) -> None:
    async def asked() -> None:
        workers = Workers()
        await workers.warm()
        first, second = await asyncio.gather(pid(workers), pid(workers))
        assert first != second and parent(first) == parent(second) != os.getpid()
        warm = parent(first)
        with pytest.raises(WorkerLost):
            await workers.ask({"what": "end"}, 60)
        # Another takes its place.
        third, fourth = await asyncio.gather(pid(workers), pid(workers))
        assert third != fourth and parent(third) == parent(fourth) == warm
        await workers.close()
        assert all(gone(each) for each in (first, second, third, fourth, warm))

    asyncio.run(asyncio.wait_for(asked(), 60))


@pytest.mark.parametrize("why", ["elsewhere", "ends at once", "can't be started", "ends later"])
def test_where_none_is_forked_each_is_started_by_itself(
    _quick: dict[str, str], monkeypatch: pytest.MonkeyPatch, why: str
) -> None:
    if why == "elsewhere" or sys.platform != "linux":
        monkeypatch.setattr(start, "_FORKS", False)
    if why == "ends at once":
        _quick["cutpath.page.warm"] = ""
    if why == "can't be started":
        _quick["cutpath.page.warm"] = CANT

    async def asked() -> None:
        workers = Workers()
        if why == "ends later" and sys.platform == "linux":
            warm = parent(await pid(workers))
            os.kill(warm, signal.SIGKILL)
            while workers._starter._service is not None:
                await asyncio.sleep(0.01)
            # What was forked has ended with it, or is about to.
            assert await pid(workers)
        assert parent(await pid(workers)) == os.getpid()
        await workers.close()

    asyncio.run(asyncio.wait_for(asked(), 60))


@LINUX
@pytest.mark.parametrize("how", ["killed", "deserted", "suspended"])
def test_what_computes_ends_with_the_warm_process(
    _quick: dict[str, str], monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    """However that ends: else a nest, of which nobody is told any more, goes on for minutes."""
    monkeypatch.setattr(start, "_END_SECONDS", 0.1)

    async def asked() -> None:
        workers = Workers()
        task, process = await at_work(workers)
        warm = parent(process)
        if how == "killed":
            os.kill(warm, signal.SIGKILL)
        elif how == "deserted":
            # As where the service is killed: all its handles are closed.
            starter = workers._starter
            assert starter._service is not None
            starter._service.shutdown(socket.SHUT_RDWR)
        else:
            os.kill(warm, signal.SIGSTOP)
            await workers.close()
        await ended(process, warm)
        with pytest.raises((WorkerLost, asyncio.CancelledError)):
            await task
        await workers.close()

    asyncio.run(asyncio.wait_for(asked(), 60))


@LINUX
def test_one_that_is_started_by_itself_ends_with_who_started_it() -> None:
    """The system itself is asked which signal it would send."""
    asked = "h = ctypes.c_int(); ctypes.CDLL(None).prctl(2, ctypes.byref(h)); os.write(2, b'%d' % h.value)"
    script = (
        f"import ctypes, os\nfrom cutpath.page import worker\nworker.serve = lambda *_: exec({asked!r})\nworker.main()"
    )
    found = subprocess.run([sys.executable, "-c", script], stdin=subprocess.DEVNULL, capture_output=True, check=True)
    assert int(found.stderr) == signal.SIGKILL


@pytest.mark.parametrize("when", ["at work", "to be started"])
def test_closing_while_something_is_asked_is_no_fault(
    _quick: dict[str, str], monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    """Ctrl-C during a nest: nothing is told of the program's inside, and nothing started any more."""
    told: list[Any] = []
    monkeypatch.setattr(start, "_FORKS", False)

    async def asked() -> None:
        asyncio.get_running_loop().set_exception_handler(lambda _, context: told.append(context))
        workers = Workers()
        if when == "at work":
            task, process = await at_work(workers)
        else:
            task, process = asyncio.create_task(pid(workers)), 0
            await asyncio.sleep(0)
        await workers.close()
        if when == "at work":
            task.cancel()
        with contextlib.suppress(WorkerLost, asyncio.CancelledError):
            await task
        await workers.warm()
        assert not workers._every and (not process or gone(process))

    asyncio.run(asyncio.wait_for(asked(), 60))
    assert told == []


def test_where_none_can_be_started_the_question_says_so(_quick: dict[str, str]) -> None:
    _quick.update(dict.fromkeys(_quick, CANT))

    async def asked() -> None:
        workers = Workers()
        await workers.warm()
        with pytest.raises(WorkerLost):
            await workers.ask({"what": "pid"}, 60)
        await workers.close()

    asyncio.run(asyncio.wait_for(asked(), 60))


def test_another_is_asked_where_one_had_ended_before_it_read_the_question(_quick: dict[str, str]) -> None:
    async def asked() -> None:
        workers = Workers()
        await workers.warm()
        assert len(workers._idle) > 1
        for each in await asyncio.gather(*(pid(workers) for _ in workers._idle)):
            os.kill(each, signal.SIGKILL)
        # Nobody has noticed yet.
        assert await pid(workers)
        await workers.close()

    asyncio.run(asyncio.wait_for(asked(), 60))


@LINUX
def test_beside_a_second_thread_nothing_is_forked(tmp_path: Path) -> None:
    """What is started anew instead takes its questions from the same socket, and ends as well."""
    other = tmp_path / "other"
    other.write_text(f"#!{sys.executable}\n{ECHO}")
    other.chmod(0o755)
    thread = "import sys, threading\nthreading.Thread(target=threading.Event().wait, daemon=True).start()\n"
    script = WARM.replace("import sys\n", f"{thread}sys.executable = {str(other)!r}\n", 1)
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    with ours, theirs:
        handle = theirs.fileno()
        process = subprocess.Popen([sys.executable, "-c", script, str(handle)], pass_fds=(handle,))
        # The end that the process has is its own now.
        theirs.close()
        mine, its = socket.socketpair(socket.AF_UNIX, socket.SOCK_STREAM)
        with mine, its:
            socket.send_fds(ours, [b"make 1"], [its.fileno()])
            its.close()
            with mine.makefile("rw") as worker:
                assert worker.readline() == "{}\n"
                worker.write('{"what": "pid"}\n')
                worker.flush()
                assert json.loads(worker.readline()) == {"begun": True}
                found = json.loads(worker.readline())["pid"]
                assert Path(f"/proc/{found}/cmdline").read_bytes().split(b"\0")[1] == os.fsencode(other)
                ours.send(b"end 1")
                assert worker.readline() == ""
    assert process.wait(60) == 0


def test_what_is_loaded_later_is_there() -> None:
    assert all(find_spec(name) for name in LATER) and len(set(LATER)) == len(LATER)

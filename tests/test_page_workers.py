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
    if json.loads(line)["what"] == "end":
        break
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


def parent(process: int) -> int:
    stat = Path(f"/proc/{process}/stat").read_text()
    return int(stat[stat.rindex(")") + 2 :].split()[1])


def gone(process: int) -> bool:
    with contextlib.suppress(ProcessLookupError):
        os.kill(process, 0)
        return False
    return True


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
            # What was to be forked just then is passed over, what is forked lives on until it is told to end.
            while parent(await pid(workers)) != os.getpid():
                with pytest.raises(WorkerLost):
                    await workers.ask({"what": "end"}, 60)
        assert parent(await pid(workers)) == os.getpid()
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
                found = json.loads(worker.readline())["pid"]
                assert Path(f"/proc/{found}/cmdline").read_bytes().split(b"\0")[1] == os.fsencode(other)
                ours.send(b"end 1")
                assert worker.readline() == ""
    assert process.wait(60) == 0


def test_what_is_loaded_later_is_there() -> None:
    assert all(find_spec(name) for name in LATER) and len(set(LATER)) == len(LATER)

"""How a worker's process comes to be: forked from one that has loaded everything, or started anew."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import socket
import sys
from collections.abc import Callable
from itertools import count
from pathlib import Path
from typing import Final, Protocol

#: An answer with its drawings is far below this.
_LONGEST_ANSWER: Final = 256 << 20
#: Elsewhere libraries of the system itself may not bear a fork.
_FORKS: Final = sys.platform == "linux"
#: Far longer than ending some processes takes.
_END_SECONDS: Final = 5.0


class Worker(Protocol):
    """A process that takes questions."""

    answers: asyncio.StreamReader
    questions: asyncio.StreamWriter

    def interrupt(self) -> None:
        """Have it end a nest with the best so far."""

    def kill(self) -> None:
        """End it."""

    async def gone(self) -> None:
        """Wait for one that is killed; one that was forked goes with the warm process at the latest."""


class Starter:
    """Starts workers; where it can, from a process of their kind that is kept warm."""

    def __init__(self, whole: Callable[[], None]) -> None:
        """Begin with none.

        Args:
            whole: is called once, when what is started from now on has loaded all that any answer needs.
        """
        self._whole = whole
        self._warm: asyncio.subprocess.Process | None = None
        self._service: socket.socket | None = None
        self._listening: asyncio.Task[None] | None = None
        self._ready = asyncio.Event()
        self._numbers = count(1)

    async def start(self) -> Worker:
        """A new worker."""
        if _FORKS:
            if self._listening is None:
                await self._begin()
            await self._ready.wait()
        if self._service is not None:
            with contextlib.suppress(OSError):
                return await self._forked(self._service)
        return await self._alone()

    async def close(self) -> None:
        """End the warm process and all workers that were forked from it."""
        if self._listening is not None:
            self._listening.cancel()
        if self._warm is not None:
            with contextlib.suppress(ProcessLookupError):
                self._warm.terminate() if self._ready.is_set() else self._warm.kill()
            try:
                await asyncio.wait_for(self._warm.wait(), _END_SECONDS)
            except TimeoutError:
                # One that is suspended hears nothing else; its workers end with it.
                with contextlib.suppress(ProcessLookupError):
                    self._warm.kill()
                await self._warm.wait()
        if self._service is not None:
            self._service.close()

    async def _begin(self) -> None:
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        ours.setblocking(False)
        self._service = ours
        self._listening = asyncio.create_task(self._listen(ours))
        with theirs, contextlib.suppress(OSError):
            self._warm = await asyncio.create_subprocess_exec(
                *(sys.executable, "-P", "-m", "cutpath.page.warm", str(theirs.fileno())),
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.DEVNULL,
                stderr=asyncio.subprocess.DEVNULL,
                # Threads for large matrices, of which there are none here, would forbid a fork.
                env={**_environment(), "OPENBLAS_NUM_THREADS": "1"},
                pass_fds=(theirs.fileno(),),
                # Ctrl-C is for the service, which ends its workers.
                start_new_session=True,
            )

    async def _listen(self, service: socket.socket) -> None:
        """Hear what the warm process says until it is gone."""
        loop = asyncio.get_running_loop()
        with contextlib.suppress(OSError):
            while said := await loop.sock_recv(service, 64):
                self._ready.set()
                if said == b"whole":
                    self._whole()
        self._service = None
        service.close()
        self._ready.set()

    async def _forked(self, service: socket.socket) -> Worker:
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_STREAM)
        with theirs:
            number = next(self._numbers)
            try:
                socket.send_fds(service, [b"make %d" % number], [theirs.fileno()])
            except OSError:
                ours.close()
                raise
        answers, questions = await asyncio.open_unix_connection(sock=ours, limit=_LONGEST_ANSWER)
        return _Forked(answers, questions, service, number)

    async def _alone(self) -> Worker:
        process = await asyncio.create_subprocess_exec(
            *(sys.executable, "-P", "-m", "cutpath.page.worker"),
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            env=_environment(),
            limit=_LONGEST_ANSWER,
            start_new_session=True,
        )
        return _Alone(process)


class _Forked:
    """One that the warm process has forked, and alone can signal."""

    def __init__(
        self, answers: asyncio.StreamReader, questions: asyncio.StreamWriter, service: socket.socket, number: int
    ) -> None:
        self.answers, self.questions = answers, questions
        self._service, self._number = service, number

    def interrupt(self) -> None:
        self._tell(b"stop")

    def kill(self) -> None:
        self._tell(b"end")
        # Without anybody who asks it would end as well, if only once it has answered.
        self.questions.close()

    async def gone(self) -> None:
        pass

    def _tell(self, what: bytes) -> None:
        with contextlib.suppress(OSError):
            self._service.send(b"%b %d" % (what, self._number))


class _Alone:
    """One that was started by itself."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        assert process.stdin is not None and process.stdout is not None
        self.answers, self.questions = process.stdout, process.stdin
        self._process = process

    def interrupt(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            self._process.send_signal(signal.SIGINT)

    def kill(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            self._process.kill()

    async def gone(self) -> None:
        await self._process.wait()


def _environment() -> dict[str, str]:
    """The package as this process has it, and nothing that happens to lie in the folder that the job is in."""
    above = str(Path(__file__).absolute().parents[2])
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, (above, os.environ.get("PYTHONPATH", ""))))}

"""Processes that compute for the page, so that none blocks another and each can be ended."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import signal
import sys
from pathlib import Path
from typing import Any, Final

#: Enough for the stair, its riser counts, its boards and an edit at once, twice over for a second tab.
_MOST: Final = 6
#: What is kept ready: starting one takes longer than drawing a stair.
_READY: Final = 4
#: Far longer than one takes to start.
_START_SECONDS: Final = 30.0
#: An answer with its drawings is far below this.
_LONGEST_ANSWER: Final = 256 << 20

Answer = dict[str, Any]


class WorkerLost(Exception):
    """A worker ended without an answer: it ran out of memory, or met a fault of the program."""


class Workers:
    """Some worker processes, each of which answers one question at a time."""

    def __init__(self) -> None:
        """Start with none."""
        self._idle: list[asyncio.subprocess.Process] = []
        self._every: set[asyncio.subprocess.Process] = set()
        self._places = asyncio.Semaphore(_MOST)
        self._under: dict[str, asyncio.subprocess.Process] = {}
        self._far: dict[str, str] = {}
        self._readied: dict[asyncio.subprocess.Process, asyncio.Event] = {}
        self._lines: dict[asyncio.subprocess.Process, asyncio.Task[None]] = {}
        self._starting: set[asyncio.Task[None]] = set()

    async def warm(self) -> None:
        """Have some ready, while nobody waits for them: one after the other, so that the first is so at once."""
        while len(self._idle) < _READY and len(self._every) < _MOST:
            worker = await self._start()
            self._idle.append(worker)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._readied[worker].wait(), _START_SECONDS)

    async def ask(self, question: Answer, seconds: float) -> Answer:
        """Have a question answered.

        Whoever stops waiting for the answer ends the worker that was at it.

        Args:
            question: as `cutpath.page.worker` takes it.
            seconds: how long it may take.

        Raises:
            TimeoutError: it took longer; the worker is ended.
            WorkerLost: the worker ended by itself.
        """
        async with self._places:
            worker = self._idle.pop() if self._idle else await self._start()
            run = str(question.get("run", ""))
            if run:
                self._under[run] = worker
            try:
                answer = await asyncio.wait_for(self._asked(worker, question, run), seconds)
            except BaseException:
                self._end(worker)
                task = asyncio.create_task(self.warm())
                self._starting.add(task)
                task.add_done_callback(self._starting.discard)
                raise
            finally:
                self._under.pop(run, None)
                self._far.pop(run, None)
            self._idle.append(worker)
            return answer

    def far(self, run: str) -> str:
        """How far the work on the question of that `run` is, in words; "" where that is not known."""
        return self._far.get(run, "")

    def stop(self, run: str) -> bool:
        """Have the work on the question of that `run` stopped with the best so far, as Ctrl-C stops a nest.

        Returns:
            Whether such work is under way and can be told.
        """
        worker = self._under.get(run)
        if worker is None or os.name == "nt" or not self._readied[worker].is_set():
            # One that only starts would end.
            return False
        with contextlib.suppress(ProcessLookupError):
            worker.send_signal(signal.SIGINT)
        return True

    async def close(self) -> None:
        """End all."""
        for task in self._starting:
            task.cancel()
        for worker in list(self._every):
            self._end(worker)
            with contextlib.suppress(Exception):
                await worker.wait()

    async def _start(self) -> asyncio.subprocess.Process:
        # The package as this process has it, and nothing that happens to lie in the folder that the job is in.
        above = str(Path(__file__).absolute().parents[2])
        paths = os.pathsep.join(filter(None, (above, os.environ.get("PYTHONPATH", ""))))
        worker = await asyncio.create_subprocess_exec(
            *(sys.executable, "-P", "-m", "cutpath.page.worker"),
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": paths},
            limit=_LONGEST_ANSWER,
            # Ctrl-C is for the service, which ends its workers.
            start_new_session=True,
        )
        self._every.add(worker)
        self._readied[worker] = asyncio.Event()
        self._lines[worker] = asyncio.create_task(self._ready(worker))
        return worker

    async def _ready(self, worker: asyncio.subprocess.Process) -> None:
        """Wait for the line by which a worker says that it takes questions."""
        assert worker.stdout is not None
        with contextlib.suppress(OSError, ValueError):
            await worker.stdout.readline()
        self._readied[worker].set()

    async def _asked(self, worker: asyncio.subprocess.Process, question: Answer, run: str) -> Answer:
        assert worker.stdin is not None and worker.stdout is not None
        try:
            await self._readied[worker].wait()
            worker.stdin.write(json.dumps(question).encode() + b"\n")
            await worker.stdin.drain()
            while line := await worker.stdout.readline():
                found: Answer = json.loads(line)
                if "far" not in found:
                    return found
                if run in self._under:
                    self._far[run] = str(found["far"])
        except (OSError, ValueError) as why:
            raise WorkerLost from why
        raise WorkerLost

    def _end(self, worker: asyncio.subprocess.Process) -> None:
        self._every.discard(worker)
        self._readied.pop(worker).set()
        self._lines.pop(worker).cancel()
        with contextlib.suppress(ProcessLookupError):
            worker.kill()

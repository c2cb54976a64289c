"""Processes that compute for the page, so that none blocks another and each can be ended."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
from typing import Any, Final

from cutpath.page.start import Starter, Worker

#: Enough for the stair, its riser counts, its boards and an edit at once, twice over for a second tab.
_MOST: Final = 6
#: What is kept ready: starting one that is not forked takes longer than drawing a stair.
_READY: Final = 4
#: Far longer than one takes to start.
_START_SECONDS: Final = 30.0

Answer = dict[str, Any]


class WorkerLost(Exception):
    """A worker ended without an answer: it ran out of memory, or met a fault of the program."""


class _NotBegun(WorkerLost):
    """It had ended before it read the question, which another may be asked instead."""


class Workers:
    """Some worker processes, each of which answers one question at a time."""

    def __init__(self) -> None:
        """Start with none."""
        self._idle: list[Worker] = []
        self._every: set[Worker] = set()
        self._places = asyncio.Semaphore(_MOST)
        self._under: dict[str, Worker] = {}
        self._far: dict[str, str] = {}
        self._readied: dict[Worker, asyncio.Event] = {}
        self._lines: dict[Worker, asyncio.Task[None]] = {}
        self._starting: set[asyncio.Task[None]] = set()
        self._early: set[Worker] = set()
        self._closed = False
        self._starter = Starter(self._renew)

    async def warm(self) -> None:
        """Have some ready, while nobody waits for them: one after the other, so that the first is so at once."""
        # Where none can be started, the next question says so.
        with contextlib.suppress(TimeoutError, WorkerLost):
            while not self._closed and len(self._idle) < _READY and len(self._every) < _MOST:
                worker = await self._start()
                self._idle.append(worker)
                await asyncio.wait_for(self._readied[worker].wait(), _START_SECONDS)

    async def ask(self, question: Answer, seconds: float) -> Answer:
        """Have a question answered.

        Whoever stops waiting for the answer ends the worker that was at it.

        Args:
            question: as `cutpath.page.worker` takes it.
            seconds: how long it may take.

        Raises:
            TimeoutError: it took longer; the worker is ended.
            WorkerLost: the worker ended by itself, or none can be started.
        """
        async with self._places:
            for _ in range(_MOST):
                with contextlib.suppress(_NotBegun):
                    return await self._ask(question, seconds)
            raise WorkerLost

    async def _ask(self, question: Answer, seconds: float) -> Answer:
        worker = await self._free(seconds)
        run = str(question.get("run", ""))
        if run:
            self._under[run] = worker
        try:
            answer = await asyncio.wait_for(self._asked(worker, question, run), seconds)
        except BaseException:
            self._end(worker)
            self._warm_again()
            raise
        finally:
            self._under.pop(run, None)
            self._far.pop(run, None)
        if worker in self._early:
            self._end(worker)
            self._warm_again()
        else:
            self._idle.append(worker)
        return answer

    async def _free(self, seconds: float) -> Worker:
        """One that takes questions; those that ended meanwhile, as where memory ran out, are passed over."""
        for _ in range(_MOST):
            worker = self._idle.pop() if self._idle else await self._start()
            try:
                await asyncio.wait_for(self._readied[worker].wait(), seconds)
            except BaseException:
                self._end(worker)
                raise
            if not worker.answers.at_eof():
                return worker
            self._end(worker)
        raise WorkerLost

    def _warm_again(self) -> None:
        task = asyncio.create_task(self.warm())
        self._starting.add(task)
        task.add_done_callback(self._starting.discard)

    def _renew(self) -> None:
        """Let go of workers that would have to load much for some questions, now that others have it already."""
        self._early = set(self._every)
        for worker in self._idle:
            self._end(worker)
        self._idle.clear()
        self._warm_again()

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
        worker.interrupt()
        return True

    async def close(self) -> None:
        """End all, for good."""
        self._closed = True
        for task in self._starting:
            task.cancel()
        for worker in list(self._every):
            self._end(worker)
            with contextlib.suppress(Exception):
                await worker.gone()
        await self._starter.close()

    async def _start(self) -> Worker:
        try:
            worker = await self._starter.start()
        except OSError as why:
            raise WorkerLost from why
        if self._closed:
            worker.kill()
            await worker.gone()
            raise WorkerLost
        self._every.add(worker)
        self._readied[worker] = asyncio.Event()
        self._lines[worker] = asyncio.create_task(self._ready(worker))
        return worker

    async def _ready(self, worker: Worker) -> None:
        """Wait for the line by which a worker says that it takes questions."""
        with contextlib.suppress(OSError, ValueError):
            await worker.answers.readline()
        self._readied[worker].set()

    async def _asked(self, worker: Worker, question: Answer, run: str) -> Answer:
        begun = False
        try:
            worker.questions.write(json.dumps(question).encode() + b"\n")
            await worker.questions.drain()
            while line := await worker.answers.readline():
                found: Answer = json.loads(line)
                if "begun" in found:
                    begun = True
                elif "far" not in found:
                    return found
                elif run in self._under:
                    self._far[run] = str(found["far"])
        except (OSError, ValueError) as why:
            raise WorkerLost if begun else _NotBegun from why
        raise WorkerLost if begun else _NotBegun

    def _end(self, worker: Worker) -> None:
        if worker not in self._every:
            # All were ended while this one was at work.
            return
        self._every.discard(worker)
        self._early.discard(worker)
        self._readied.pop(worker).set()
        self._lines.pop(worker).cancel()
        worker.kill()

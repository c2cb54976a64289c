"""Searching for a short strip with spyrrow, in a process of its own."""

from __future__ import annotations

import contextlib
import json
import math
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from msgspec import Struct

from cutpath.faults import Fault
from cutpath.outline import Point


class SearchFailed(Fault):
    """The search's process ended before it was done."""


class Item(Struct, frozen=True):
    """What is to be packed: a polygon, how many of it, and the angles it may stand at, degrees; None: any."""

    points: tuple[Point, ...]
    count: int
    angles: tuple[float, ...] | None


class StripLayout(Struct, frozen=True):
    """A layout on a strip.

    Attributes:
        length: of the strip.
        placed: item's number, angle in degrees, shift along and across; the turn comes first, about the origin.
    """

    length: float
    placed: tuple[tuple[int, float, float, float], ...]


class Searched(Struct, frozen=True):
    """What a search came to.

    Attributes:
        found: the last few layouts, each shorter than the one before.
        settled: the search ended by itself or at its goal, not by the clock.
        stopped: it was stopped by Ctrl-C.
    """

    found: tuple[StripLayout, ...]
    settled: bool
    stopped: bool


#: From so many seconds on a search has a second phase.
_LONG = 8

#: Layouts that are kept of a search.
_KEPT = 6


def can_search() -> bool:
    """Whether spyrrow is installed."""
    from importlib.util import find_spec

    return find_spec("spyrrow") is not None


def search(
    items: Sequence[Item],
    height: float,
    *,
    seconds: float,
    seed: int,
    goal: float = -math.inf,
    tick: Callable[[], None] = lambda: None,
) -> Searched:
    """Pack items on a strip of a height, as short as can be.

    Args:
        items: what is to be packed, without gaps between.
        height: of the strip.
        seconds: most time.
        seed: of the search.
        goal: a length that is short enough: the first layout found that has it is the last.
        tick: called a few times a second.

    Raises:
        SearchFailed: the search's process broke off.
    """
    late = time.monotonic() + seconds
    whole = max(2, math.ceil(seconds))
    # What the second phase would shorten, pressing shortens as well.
    compress = max(1, round(whole * 0.1))
    task = {
        "height": height,
        "items": [{"points": i.points, "count": i.count, "angles": i.angles} for i in items],
        # Neither a search for a goal nor a short one needs the second phase, which only shortens by hairs.
        "explore": whole if math.isfinite(goal) or whole < _LONG else whole - compress,
        "compress": compress,
        "seed": seed,
    }
    found: list[StripLayout] = []
    settled = stopped = False
    try:
        with _worker(task) as lines:
            while (left := late - time.monotonic()) > 0:
                try:
                    line = lines.get(timeout=min(0.1, left))
                except queue.Empty:
                    tick()
                    continue
                if line is None:
                    # Nobody but the search itself can have ended it before its last line.
                    raise SearchFailed("the search for sheets broke off: ask for 0 seconds of it to do without")
                if "settled" in line:
                    settled = bool(line["settled"])
                    break
                if not found or line["length"] < found[-1].length:
                    placed = tuple((int(n), float(a), float(x), float(y)) for n, a, x, y in line["placed"])
                    found.append(StripLayout(line["length"], placed))
                    if line["length"] <= goal:
                        settled = True
                        break
                tick()
    except KeyboardInterrupt:
        stopped = True
    return Searched(tuple(found[-_KEPT:]), settled, stopped)


@contextmanager
def _worker(task: dict[str, Any]) -> Iterator[queue.Queue[dict[str, Any] | None]]:
    """The lines that the search writes, as they come; None after the last. The process is ended on leaving."""
    program = Path(__file__).with_name("worker.py")
    # A session of its own, so that Ctrl-C reaches this process only, which keeps what was found.
    process = subprocess.Popen(
        [sys.executable, "-P", str(program)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )
    assert process.stdin is not None and process.stdout is not None
    lines: queue.Queue[dict[str, Any] | None] = queue.Queue()
    try:
        threading.Thread(target=_read, args=(process.stdout, lines), daemon=True).start()
        with contextlib.suppress(BrokenPipeError):  # it ended at once, which its missing last line tells
            process.stdin.write(json.dumps(task))
            process.stdin.close()
        yield lines
    finally:
        process.kill()
        process.wait()


def _read(stream: IO[str], lines: queue.Queue[dict[str, Any] | None]) -> None:
    for line in stream:
        try:
            lines.put(json.loads(line))
        except ValueError:
            break  # cut off when the process was ended
    lines.put(None)

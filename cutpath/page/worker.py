"""One process that computes for the page: a question as a line of JSON comes in, its answer goes out as another.

Before the answer comes a line that the work has begun, and may come others that tell how far it is. It ends when nobody
asks any more. The service starts it by `python -m cutpath.page.worker`, or has it forked (`cutpath.page.warm`).
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import sys
import time
import traceback
from pathlib import Path
from typing import Any, BinaryIO, Final

#: Far more than any job takes, and less than brings a machine to its knees.
_MOST_MEMORY: Final = 4 << 30
#: More often nobody reads how far it is.
_EVERY_SECONDS: Final = 0.25
#: By its number in Linux, as <linux/prctl.h> has it.
_PR_SET_PDEATHSIG: Final = 1


def main() -> None:
    """Answer until the questions end."""
    bound()
    end_with_parent()
    # What is told to stop is a nest (`cutpath.page.answers.stoppable`); there is nothing else to be stopped so.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    questions = os.fdopen(os.dup(0), "rb")
    answers = os.fdopen(os.dup(1), "wb")
    # Whatever a library prints must not be taken for an answer.
    nowhere = os.open(os.devnull, os.O_RDWR)
    os.dup2(nowhere, 0)
    os.dup2(nowhere, 1)
    serve(questions, answers)


def serve(questions: BinaryIO, answers: BinaryIO) -> None:
    """Answer each line."""
    from cutpath.page.answers import ANSWERS

    last = 0.0

    def put(found: dict[str, Any]) -> None:
        answers.write(json.dumps(found).encode() + b"\n")
        answers.flush()

    def tell(what: str, done: int, of: int) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last >= _EVERY_SECONDS:
            last = now
            put({"far": f"{what} {done + 1} of {of}" if of else f"{what} {done + 1}"})

    load()
    put({"ready": True})
    for line in questions:
        put({"begun": True})
        asked = json.loads(line)
        last = time.monotonic()
        put(_answered(ANSWERS[asked["what"]], asked, tell))


def load() -> None:
    """Load what nearly every answer needs, before anybody waits for one."""
    import shapely  # noqa: F401
    import tomlkit  # noqa: F401

    import cutpath.export.drawn
    import cutpath.page.grips
    import cutpath.page.understood
    import cutpath.plan.mends
    import cutpath.plan.stages
    import cutpath.report.check  # noqa: F401


def _answered(answer: Any, asked: dict[str, Any], tell: Any) -> dict[str, Any]:
    from cutpath.faults import Fault
    from cutpath.page.answers import told

    try:
        return {"ok": True, **answer(asked, Path(asked["path"]), tell)}
    except Fault as fault:
        return {"ok": False, "faults": told(fault)}
    except (MemoryError, RecursionError):
        return {"ok": False, "faults": [{"key": "", "text": "this takes more memory than there is"}]}
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        where = "/".join(Path(last.filename).parts[-3:])
        said = f"a fault of the program, not of yours: {type(error).__name__} at {where}, line {last.lineno}"
        return {"ok": False, "faults": [{"key": "", "text": f"{said}; please report this with the job"}]}


def bound() -> None:
    """Take no more memory than a job can need, where the system knows such a bound."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        _, most = resource.getrlimit(resource.RLIMIT_AS)
        least = _MOST_MEMORY if most == resource.RLIM_INFINITY else min(most, _MOST_MEMORY)
        resource.setrlimit(resource.RLIMIT_AS, (least, most))


def end_with_parent() -> None:
    """Have the system end this process with the one that started it, where it knows such a thing.

    Elsewhere it ends once it has answered, which can take as long as the longest nest.
    """
    if sys.platform == "linux":
        import ctypes

        with contextlib.suppress(AttributeError, OSError):
            ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, int(signal.SIGKILL), 0, 0, 0)


if __name__ == "__main__":
    sys.path[:] = [path for path in sys.path if path]
    main()

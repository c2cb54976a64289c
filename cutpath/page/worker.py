"""One process that computes for the page: a question as a line of JSON comes in, its answer goes out as another.

It ends when nobody asks any more. `python -m cutpath.page.worker` is what the service starts.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import sys
import traceback
from pathlib import Path
from typing import Any, BinaryIO, Final

#: Far more than any job takes, and less than brings a machine to its knees.
_MOST_MEMORY: Final = 4 << 30


def main() -> None:
    """Answer until the questions end."""
    _bound()
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

    for line in questions:
        asked = json.loads(line)
        answers.write(json.dumps(_answered(ANSWERS[asked["what"]], asked)).encode() + b"\n")
        answers.flush()


def _answered(answer: Any, asked: dict[str, Any]) -> dict[str, Any]:
    from cutpath.faults import Fault
    from cutpath.page.answers import told

    try:
        return {"ok": True, **answer(asked, Path(asked["path"]))}
    except Fault as fault:
        return {"ok": False, "faults": told(fault)}
    except (MemoryError, RecursionError):
        return {"ok": False, "faults": [{"key": "", "text": "this takes more memory than there is"}]}
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        where = "/".join(Path(last.filename).parts[-3:])
        said = f"a fault of the program, not of yours: {type(error).__name__} at {where}, line {last.lineno}"
        return {"ok": False, "faults": [{"key": "", "text": f"{said}; please report this with the job"}]}


def _bound() -> None:
    """Take no more memory than a job can need, where the system knows such a bound."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        _, most = resource.getrlimit(resource.RLIMIT_AS)
        least = _MOST_MEMORY if most == resource.RLIM_INFINITY else min(most, _MOST_MEMORY)
        resource.setrlimit(resource.RLIMIT_AS, (least, most))


if __name__ == "__main__":
    sys.path[:] = [path for path in sys.path if path]
    main()

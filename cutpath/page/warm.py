"""One process that has loaded what answers need, and forks the page's workers: a hundredth of a second each.

The service starts it by `python -m cutpath.page.warm HANDLE` and tells it over the socket of that handle, a message
each: `make NUMBER` with a socket for the questions and answers of a new worker, `stop NUMBER` to interrupt one, `end
NUMBER` to kill one. It says `ready` once it takes messages, and `whole` once all is loaded that any answer needs. Only
this process knows for certain whether a worker of its is there still, so nobody else signals them. Where the service is
gone nobody waits for an answer, so it ends with all workers; they end with it, however it ends.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import select
import signal
import socket
import sys
from pathlib import Path
from typing import Final, NoReturn

from cutpath.page.worker import bound, end_with_parent, load, serve

#: What few questions need, loaded while nobody asks for a worker: boards, drawings, all files of an export.
LATER: Final = (
    "cutpath.design.strength.judge",
    "cutpath.pieces.gather",
    "cutpath.pictures.rail_cuts",
    "cutpath.page.mended",
    "cutpath.nest.boards.columns",
    "highspy",
    "cutpath.report.solve",
    "cutpath.report.nest",
    "cutpath.report.lumber",
    "cutpath.export.one",
    "cutpath.place.place",
    "cutpath.pattern.pdf",
    "ezdxf",
    "reportlab.pdfgen.canvas",
    "cutpath.export.shaped_files",
    "cutpath.tables.result_lumber",
    "cutpath.report.export",
)
_THREADS: Final = Path("/proc/self/task")
_ENDS: Final = {signal.SIGTERM}


def main(handle: int) -> None:
    """Fork workers until the service is gone."""
    bound()
    # As in a worker: what is told to stop is a nest, and nothing else.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    service = socket.socket(fileno=handle)
    service.set_inheritable(False)
    Warm(service).go()


class Warm:
    """What is loaded, and the workers that were forked from it."""

    def __init__(self, service: socket.socket) -> None:
        """Begin with no worker.

        Args:
            service: gives the messages.
        """
        self._service = service
        self._pids: dict[str, int] = {}

    def go(self) -> None:
        """Load and fork until the service is gone or says that this is the end."""
        signal.signal(signal.SIGTERM, self._close)
        load()
        gc.freeze()
        with contextlib.suppress(OSError):
            self._service.send(b"ready")
            self._until_loaded()
            while self._message():
                pass
        self._close()

    def _until_loaded(self) -> None:
        for name in LATER:
            while select.select([self._service], [], [], 0)[0]:
                if not self._message():
                    return
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        gc.freeze()
        self._service.send(b"whole")

    def _message(self) -> bool:
        """Do what the service says next; False where it is gone."""
        said, handles, _, _ = socket.recv_fds(self._service, 64, 1)
        what, _, number = said.decode().partition(" ")
        # Told to end between a fork and its note, this process would leave one behind.
        signal.pthread_sigmask(signal.SIG_BLOCK, _ENDS)
        self._reap()
        if what == "make":
            with socket.socket(fileno=handles[0]) as theirs:
                self._pids[number] = self._forked(theirs) if alone() else self._started(theirs)
        elif number in self._pids:
            os.kill(self._pids[number], signal.SIGINT if what == "stop" else signal.SIGKILL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _ENDS)
        return bool(said)

    def _forked(self, theirs: socket.socket) -> int:
        here = os.getpid()
        pid = os.fork()
        if pid == 0:
            end_with_parent()
            if os.getppid() != here:
                os._exit(1)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            signal.pthread_sigmask(signal.SIG_UNBLOCK, _ENDS)
            self._service.close()
            _work(theirs)
        return pid

    def _started(self, theirs: socket.socket) -> int:
        """A worker that loads everything anew, where a library has started a thread, with which no fork is safe."""
        command = (sys.executable, "-P", "-m", "cutpath.page.worker")
        both = [(os.POSIX_SPAWN_DUP2, theirs.fileno(), handle) for handle in (0, 1)]
        return os.posix_spawn(sys.executable, command, os.environ, file_actions=both)

    def _reap(self) -> None:
        for number, pid in list(self._pids.items()):
            if os.waitpid(pid, os.WNOHANG)[0]:
                del self._pids[number]

    def _close(self, *_: object) -> NoReturn:
        """End at once with all workers, whatever is being loaded."""
        for pid in self._pids.values():
            os.kill(pid, signal.SIGKILL)
        for pid in self._pids.values():
            os.waitpid(pid, 0)
        os._exit(0)


def alone() -> bool:
    """Whether this process has a single thread; a fork copies locks that others hold, but not those who open them."""
    try:
        return len(os.listdir(_THREADS)) == 1
    except OSError:
        return False


def _work(theirs: socket.socket) -> NoReturn:
    try:
        with theirs.makefile("rb") as questions, theirs.makefile("wb") as answers:
            serve(questions, answers)
    finally:
        # What the process that was forked would do at its end is not this one's to do.
        os._exit(0)


if __name__ == "__main__":
    sys.path[:] = [path for path in sys.path if path]
    main(int(sys.argv[1]))

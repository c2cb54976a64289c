"""The page served on the loopback address until it is told to end."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import signal
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import uvicorn

from cutpath.faults import Fault
from cutpath.page.app import application

_ADDRESS: Final = "127.0.0.1"
#: At once; a browser keeps six connections to one page.
_MOST_CONNECTIONS: Final = 64


class _Server(uvicorn.Server):
    """Ends on Ctrl-C and on being told to, and tells which it was instead of raising the signal again."""

    def __init__(self, config: uvicorn.Config, started: Callable[[], None]) -> None:
        super().__init__(config)
        self._told_start = started
        self.by: int | None = None

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Note the signal that ends the page."""
        usual = {each: signal.signal(each, self._ended) for each in (signal.SIGINT, signal.SIGTERM)}
        try:
            yield
        finally:
            for each, handler in usual.items():
                signal.signal(each, handler)

    def _ended(self, number: int, frame: object) -> None:
        self.by = self.by or number
        self.should_exit = True

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, and say so."""
        await super().startup(sockets)
        if self.started:
            self._told_start()


def serve(path: Path, port: int, started: Callable[[str], None], note: Callable[[str], None]) -> bool:
    """Serve the page of a job until Ctrl-C.

    Nothing is kept here that a restart would lose: text and changes are in the page, the job in its file.

    Args:
        path: the job file, which is there.
        port: 0: any that is free.
        started: is called with the address, which holds a key made for this run, once the page answers.
        note: is told what has changed on the disk.

    Returns:
        Whether Ctrl-C ended it; otherwise it was told to end.

    Raises:
        Fault: the port can't be had.
    """
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    with listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((_ADDRESS, port))
        except OSError as why:
            raise Fault(
                f"--port {port}: can't be had ({(why.strerror or 'no reason given').lower()})",
                way_out="give another, or leave --port out",
            ) from None
        port = listening.getsockname()[1]
        key = secrets.token_urlsafe(24)
        hosts = frozenset({f"{_ADDRESS}:{port}", f"localhost:{port}"})
        config = uvicorn.Config(
            application(path.absolute(), key, hosts, note),
            log_config=None,
            log_level="critical",
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            ws="none",
            http="h11",
            loop="asyncio",
            lifespan="on",
            limit_concurrency=_MOST_CONNECTIONS,
            timeout_keep_alive=30,
            timeout_graceful_shutdown=1,
        )
        server = _Server(config, lambda: started(f"http://{_ADDRESS}:{port}/{key}/"))
        asyncio.run(server.serve([listening]))
    return server.by == signal.SIGINT

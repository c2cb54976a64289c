"""The page served on the loopback address, and where asked for in the local network, until it is told to end."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import os
import secrets
import signal
import socket
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final

import uvicorn
from msgspec import Struct

from cutpath.faults import Fault
from cutpath.page.app import application

_LOOPBACK: Final = "127.0.0.1"
#: Ports that nobody is assigned (RFC 6335, section 6: from 49152), beyond those that Linux gives to whoever asks for
#: any (`net.ipv4.ip_local_port_range`, by default to 60999), so that no passing link of another program is at one.
_FIRST_OWN: Final = 61000
_OWN: Final = 65536 - _FIRST_OWN
#: At once; a browser keeps six connections to one page.
_MOST_CONNECTIONS: Final = 64


class Served(Struct, frozen=True):
    """Where a page is: its address on this machine, and in the local network, "" where it is not served there.

    Both hold a key made for this run.
    """

    here: str
    lan: str


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


def serve(
    path: Path,
    port: int | None,
    started: Callable[[Served], None],
    note: Callable[[str], None],
    *,
    lan: str = "",
) -> bool:
    """Serve the page of a job until Ctrl-C.

    Nothing is kept here that a restart would lose: text and changes are in the page, the job in its file.

    Args:
        path: the job file, which is there.
        port: None: the job's own, by which pages that are still open find it again, or any where that is not free; 0:
            any that is free.
        started: is told where, once the page answers.
        note: is told what has changed on the disk.
        lan: this machine's address in the local network, to be served there too; "": on the loopback address alone.

    Returns:
        Whether Ctrl-C ended it; otherwise it was told to end.

    Raises:
        Fault: the port can't be had.
    """
    path = path.absolute()
    with contextlib.ExitStack() as closing:
        listening = _listening([_LOOPBACK, *([lan] if lan else [])], port, path)
        for each in listening:
            closing.enter_context(each)
        port = listening[0].getsockname()[1]
        key = secrets.token_urlsafe(24)
        names = [_LOOPBACK, "localhost", *([lan] if lan else [])]
        hosts = frozenset(f"{name}:{port}" for name in names)
        config = uvicorn.Config(
            application(path, key, hosts, note),
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
        at = Served(f"http://{_LOOPBACK}:{port}/{key}/", f"http://{lan}:{port}/{key}/" if lan else "")
        server = _Server(config, lambda: started(at))
        asyncio.run(server.serve(listening))
    return server.by == signal.SIGINT


def _listening(addresses: Sequence[str], port: int | None, path: Path) -> list[socket.socket]:
    """Sockets at one port of all addresses."""
    if port is not None:
        return _at_port(addresses, port)
    try:
        return _at_port(addresses, port_of(path))
    except Fault:
        return _at_port(addresses, 0)


def _at_port(addresses: Sequence[str], port: int) -> list[socket.socket]:
    found: list[socket.socket] = []
    try:
        for address in addresses:
            one = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
            found.append(one)
            if os.name != "nt":
                # There it would let another program listen at the same place.
                one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind((address, port))
            port = one.getsockname()[1]
    except OSError as why:
        for each in found:
            each.close()
        raise Fault(
            f"--port {port}: can't be had ({(why.strerror or 'no reason given').lower()})",
            way_out="give another, or leave --port out",
        ) from None
    return found


def port_of(path: Path) -> int:
    """The port that a job's page has where it is free: one of the private ones (RFC 6335), by the file's name."""
    return _FIRST_OWN + int.from_bytes(hashlib.sha256(os.fsencode(path)).digest()[:4]) % _OWN

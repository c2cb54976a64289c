"""The page in the local network: only when asked for, by its key, and as a code that a phone reads."""

from __future__ import annotations

import contextlib
import http.client
import os
import re
import select
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutpath.faults import Fault
from cutpath.page import lan
from cutpath.page.lan import lan_address, square_code
from cutpath.page.serve import port_of
from tests.test_page import LATE, PLAIN, end, start


@pytest.fixture
def address() -> str:
    try:
        return lan_address()
    except Fault as fault:
        pytest.skip(str(fault))


@pytest.fixture
def job(tmp_path: Path) -> Path:
    job = tmp_path / "porch.toml"
    job.write_text(PLAIN)
    return job


def asked(address: str, port: int, path: str, **headers: str) -> int:
    link = http.client.HTTPConnection(address, port, timeout=LATE)
    try:
        link.request("GET", path, headers=headers)
        return link.getresponse().status
    finally:
        link.close()


@pytest.mark.slow
def test_nothing_but_loopback_listens_unless_asked(address: str, job: Path) -> None:
    served = start(job)
    try:
        assert asked("127.0.0.1", served.port, f"/{served.key}/") == 200
        with pytest.raises(OSError):
            socket.create_connection((address, served.port), timeout=5).close()
    finally:
        end(served)


@pytest.mark.slow
def test_the_local_network_is_served_by_its_key(address: str, job: Path) -> None:
    served = start(job, "--lan")
    try:
        assert served.process.stdout is not None
        line = served.process.stdout.readline()
        there = re.search(r"http://([\d.]+):(\d+)/([\w-]{32})/", line)
        assert there and there.groups() == (address, str(served.port), served.key), line
        # Into a pipe no code is written.
        assert served.process.stdout.readline() == "Ctrl-C ends it.\n"
        for key, status in ((served.key, 200), ("", 403), (served.key[:-1] + "-", 403), (served.key + "x", 403)):
            assert asked(address, served.port, f"/{key}/") == status
            assert asked(address, served.port, f"/{key}/disk") == status
        assert asked(address, served.port, f"/{served.key}/", Host="evil.example") == 403
        own = f"http://{address}:{served.port}"
        assert asked(address, served.port, f"/{served.key}/disk", Origin=own) == 200
        assert asked(address, served.port, f"/{served.key}/disk", Origin="http://evil.example") == 403
    finally:
        end(served)


def test_the_code_holds_the_address() -> None:
    """What stands on the terminal, taken apart into its squares, is the code of that address."""
    import segno

    for text in ("http://192.168.178.23:54321/" + "k" * 32 + "/", "http://10.0.0.2:49152/" + "-_aZ09" * 5 + "xy/"):
        rows: list[list[bool]] = []
        for line in square_code(text):
            rows += [[c in "█▀" for c in line], [c in "█▄" for c in line]]
        code = segno.make(text, error="l", micro=False)
        wanted = [[not module for module in row] for row in code.matrix_iter(border=4)]
        assert rows[: len(wanted)] == wanted and len(rows) - len(wanted) <= 1


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="there are no such terminals")
def test_a_terminal_shows_the_code(address: str, job: Path) -> None:
    ours, theirs = os.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "cutpath", "serve", str(job), "--no-open", "--lan"],
        stdout=theirs,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONUTF8": "1"},
    )
    os.close(theirs)
    said, late = b"", time.monotonic() + LATE
    try:
        while b"Ctrl-C ends it." not in said and time.monotonic() < late:
            if select.select([ours], [], [], 1)[0]:
                said += os.read(ours, 1 << 16)
    finally:
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=LATE)
        os.close(ours)
    text = said.decode()
    found = re.search(r"http://(?!127)[\d.]+:\d+/[\w-]{32}/", text)
    assert found and all(f"\x1b[97;40m{line}\x1b[0m" in text for line in square_code(found[0])), text


@pytest.mark.parametrize(
    ("found", "words"),
    [("127.0.0.1", "in no network"), ("0.0.0.0", "in no network"), ("8.8.8.8", "no address of a local network"),
     (None, "in no network")],
)  # fmt: skip
def test_an_address_that_is_none_of_a_local_network_is_not_served(
    monkeypatch: pytest.MonkeyPatch, found: str | None, words: str
) -> None:
    class Asking:
        def __enter__(self) -> Asking:
            return self

        def __exit__(self, *_: object) -> None:
            pass

        def connect(self, _: object) -> None:
            if found is None:
                raise OSError("network is unreachable")

        def getsockname(self) -> tuple[str | None, int]:
            return found, 1

    monkeypatch.setattr(lan.socket, "socket", lambda *_: Asking())
    with pytest.raises(Fault, match=words):
        lan_address()


def test_the_own_port_of_a_job_is_one_that_nothing_else_is_given() -> None:
    """RFC 6335, section 6: private ones begin at 49152. What asks Linux for any port gets one of a range it names."""
    given = Path("/proc/sys/net/ipv4/ip_local_port_range")
    past = int(given.read_text().split()[1]) if given.exists() else 49151
    ports = {port_of(Path(f"/jobs/{number}.toml")) for number in range(5000)}
    assert len(ports) > 2000 and max(ports) <= 65535
    assert min(ports) > past or past > 60999, "a machine that gives out more than is usual"


@pytest.mark.slow
def test_a_job_has_its_own_port_while_that_is_free(tmp_path: Path) -> None:
    """Whatever else goes on here may hold any one port, but not those of many jobs."""
    for number in range(20):
        job = tmp_path / f"{number}.toml"
        job.write_text(PLAIN)
        first = start(job)
        if first.port == port_of(job):
            break
        end(first)
    else:
        raise AssertionError("of twenty jobs none has its own port")
    try:
        second = start(job)
        assert second.port != first.port
        end(second)
    finally:
        end(first)
    # A moment later it is free again, as long as nobody else took it meanwhile.
    again = start(job)
    try:
        assert again.key != first.key
        with contextlib.suppress(OSError), socket.socket() as free:
            free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            free.bind(("127.0.0.1", first.port))
            raise AssertionError(f"port {first.port} is free, and {again.port} was chosen")
    finally:
        end(again)

"""The page over a real socket: who may ask, what is refused, and that its answers are the commands'."""

from __future__ import annotations

import hashlib
import http.client
import io
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import zipfile
from base64 import b64decode
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from cutpath.cli.main import run
from cutpath.faults import Fault
from cutpath.job.keys import JOB
from cutpath.job.starter import starter
from tests.jobs import FIXTURES
from tests.test_nest_stopped import interrupted_nest

DEMO = FIXTURES / "orchard-steps.toml"
PLAIN = '[site]\ntotal_rise = 42\n\n[stair]\nunit_run = "10 1/2"  # as the deck has it\n'


#: Hundreds of parts on boards of many lengths, whose nest takes its time.
LONG = "[site]\ntotal_rise = 42\n[stringer]\ncount = 200\n" + "".join(
    f'[[stock]]\nsize = "2x12"\nlength = {length}\nwidths = [{width}]\n'
    for length, width in ((143.3, 11.25), (167.1, 11.2), (191.7, 11.15), (119.9, 11.1))
)


#: Far longer than anything takes that is waited for, on a machine that is busy with other things, seconds.
LATE = 120


@dataclass
class Served:
    process: subprocess.Popen[str]
    job: Path
    port: int
    key: str

    def ask(self, method: str, where: str, body: bytes | None = None, **more: str) -> tuple[int, dict[str, str], bytes]:
        own = f"127.0.0.1:{self.port}"
        headers = {"Host": own, "Origin": f"http://{own}", "Content-Type": "application/json"}
        headers |= {name.replace("_", "-"): value for name, value in more.items()}
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LATE)
        try:
            link.request(method, where, body, {name: value for name, value in headers.items() if value})
            got = link.getresponse()
            return got.status, {name.lower(): value for name, value in got.getheaders()}, got.read()
        finally:
            link.close()

    def post(self, where: str, **asked: Any) -> dict[str, Any]:
        status, _, body = self.ask("POST", f"/{self.key}/{where}", json.dumps(asked).encode())
        assert status in (200, 409), body
        return json.loads(body)

    def changed(self, text: str, *changes: dict[str, Any]) -> dict[str, Any]:
        return self.post("answer/read", text=text, changes=list(changes))


def start(job: Path, *more: str) -> Served:
    process = subprocess.Popen(
        [sys.executable, "-m", "cutpath", "serve", str(job), "--no-open", *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = re.search(r"http://127\.0\.0\.1:(\d+)/([\w-]{32})/", line)
    assert found, line + process.communicate(timeout=10)[1]
    return Served(process, job, int(found[1]), found[2])


def end(served: Served, by: int = signal.SIGINT) -> tuple[int, str]:
    served.process.send_signal(by)
    said = served.process.communicate(timeout=LATE)[1]
    return served.process.returncode, said


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    job = tmp_path_factory.mktemp("page") / "orchard-steps.toml"
    job.write_bytes(DEMO.read_bytes())
    served = start(job)
    yield served
    assert end(served)[0] == 130


@pytest.fixture(scope="module")
def _porch() -> Iterator[list[Served]]:
    running: list[Served] = []
    yield running
    for served in running:
        if served.process.poll() is None:
            end(served)


@pytest.fixture
def own_page(_porch: list[Served], tmp_path_factory: pytest.TempPathFactory) -> Served:
    """A page on a plain job alone in its folder, which a test may change or end; it goes on where none has ended it."""
    if not _porch or _porch[0].process.poll() is not None:
        job = tmp_path_factory.mktemp("porch") / "porch.toml"
        job.write_text(PLAIN)
        _porch[:] = [start(job)]
    (served,) = _porch
    for each in served.job.parent.iterdir():
        shutil.rmtree(each) if each.is_dir() else each.unlink()
    served.job.write_text(PLAIN)
    return served


# ---- who may ask


@pytest.mark.slow
def test_the_page_and_its_parts_come_from_here_alone(page: Served) -> None:
    status, headers, body = page.ask("GET", f"/{page.key}/", Origin="")
    assert status == 200 and headers["content-type"].startswith("text/html")
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy and "http" not in policy
    assert headers["referrer-policy"] == "no-referrer" and headers["x-content-type-options"] == "nosniff"
    text = body.decode()
    # No address but of the page's own parts, no script or style within the page.
    assert re.findall(r'(?:src|href)="([^"#]*)"', text) == ["static/page.css", "data:,", "static/page.js"]
    assert "<style" not in text and not re.search(r"\son\w+=", text) and not re.search(r"<script[^>]*>[^<]", text)
    parts = [each.name for each in (files("cutpath.page") / "static").iterdir() if each.name != "page.html"]
    assert len(parts) > 5
    for name in parts:
        got, _, part = page.ask("GET", f"/{page.key}/static/{name}", Origin="")
        assert got == 200 and b"http" + b"s://" not in part, name


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "evil.example"},
        {"Host": "127.0.0.1"},
        {"Host": "127.0.0.1:1"},
        {"Host": "[::1]:80"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": ""},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
    ],
)
def test_another_host_or_page_is_refused(page: Served, headers: dict[str, str]) -> None:
    where = f"/{page.key}/answer/read"
    body = json.dumps({"text": PLAIN}).encode()
    assert page.ask("POST", where, body)[0] == 200
    status, _, said = page.ask("POST", where, body, **headers)
    assert status == 403 and b"orchard" not in said.lower()


@pytest.mark.parametrize("key", ["", "x", "{key}x", "{key}%00", "static", "../{key}"])
def test_without_the_key_nothing_answers(page: Served, key: str) -> None:
    key = key.format(key=page.key)
    for where in ("", "disk", "static/page.js"):
        status, headers, body = page.ask("GET", f"/{key}/{where}", Origin="")
        assert status == 403 and b"key" in body and headers["content-security-policy"]


def test_what_a_browser_asks_by_itself_is_answered_with_nothing(page: Served) -> None:
    """It asks for an icon of whatever it shows that names none, without a key; refused, it would tell an error."""
    for method in ("GET", "HEAD"):
        status, headers, body = page.ask(method, "/favicon.ico", Origin="", Sec_Fetch_Site="same-origin")
        assert (status, body) == (204, b"") and headers["content-security-policy"]
    assert page.ask("GET", "/favicon.ico", Origin="", Host="evil.example")[0] == 403
    assert page.ask("GET", "/favicon.icon", Origin="")[0] == page.ask("GET", "/favicon.ico/x", Origin="")[0] == 403


@pytest.mark.parametrize(
    "where",
    ["static/../app.py", "static/..%2fapp.py", "static/%2e%2e/guard.py", "static//etc/passwd", "../disk", "static/x",
     "orchard-steps.toml", "disk/", "answer/disk"],
)  # fmt: skip
def test_a_path_leads_nowhere_else(page: Served, where: str) -> None:
    for method in ("GET", "POST", "PUT", "DELETE"):
        status, _, body = page.ask(method, f"/{page.key}/{where}", b'{"text": ""}')
        assert status in (404, 405, 307, 403, 400), (method, status)
        assert b"import" not in body and b"root:" not in body


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"null", b'"x"', b"{}", b'{"text": 1}', b"\xff\xfe", b"[" * 100_000,
     b'{"text": "", "changes": 3}', b'{"text": "", "changes": [{"do": "eval", "key": "stair"}]}',
     b'{"text": "", "changes": [{"do": "set"}]}'],
)  # fmt: skip
def test_a_malformed_body_is_refused_in_a_line(page: Served, body: bytes) -> None:
    status, _, said = page.ask("POST", f"/{page.key}/answer/read", body)
    assert status == 400
    found = json.loads(said)
    assert not found["ok"] and "\n" not in found["faults"][0]["text"]
    assert page.ask("POST", f"/{page.key}/save", body)[0] == 400
    assert page.job.read_bytes() == DEMO.read_bytes()


def test_a_body_of_another_kind_or_too_large_is_refused(page: Served) -> None:
    where = f"/{page.key}/answer/read"
    assert page.ask("POST", where, b"text=x", Content_Type="application/x-www-form-urlencoded")[0] == 415
    assert page.ask("POST", where, b"{}", Content_Type="text/plain")[0] == 415
    assert page.ask("POST", where, b"{}", Content_Length=str(1 << 40))[0] == 413
    link = http.client.HTTPConnection("127.0.0.1", page.port, timeout=LATE)
    own = f"127.0.0.1:{page.port}"

    def endless() -> Iterator[bytes]:
        for _ in range(200):
            yield b" " * (1 << 16)

    headers = {"Host": own, "Origin": f"http://{own}", "Content-Type": "application/json"}
    try:
        link.request("POST", where, endless(), headers, encode_chunked=True)
        assert link.getresponse().status == 413
    except (BrokenPipeError, ConnectionResetError):
        pass  # It was refused before all of it was sent.
    finally:
        link.close()
    long = json.dumps({"text": "#" * (1 << 21)}).encode()
    assert page.ask("POST", where, long)[0] == 400
    assert page.ask("GET", f"/{page.key}/", Origin="")[0] == 200


@pytest.mark.slow
def test_many_at_once_are_answered_or_refused(page: Served) -> None:
    body = json.dumps({"text": PLAIN}).encode()
    with ThreadPoolExecutor(50) as asking:
        got = list(asking.map(lambda _: page.ask("POST", f"/{page.key}/answer/read", body)[0], range(50)))
    assert set(got) <= {200, 503} and got.count(200) >= 10
    assert page.ask("POST", f"/{page.key}/answer/read", body)[0] == 200


# ---- the command


@pytest.mark.slow
def test_it_writes_the_starter_where_there_is_no_job_and_ends_as_it_should(tmp_path: Path) -> None:
    served = start(tmp_path / "job.toml")
    assert served.job.read_text() == starter("in")
    status, said = end(served)
    assert status == 130 and said.strip() == f"cutpath: stopped; {served.job} is written"
    assert end(start(served.job), signal.SIGTERM) == (0, "")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["job.toml"]


@pytest.mark.slow
def test_work_that_nobody_waits_for_is_ended(own_page: Served) -> None:
    """A nest of hundreds of parts on boards of many lengths takes its time; who asked goes away meanwhile."""
    text = LONG.replace("count = 200", "count = 400")
    assert text != LONG and own_page.post("answer/read", text=text)["faults"] == []
    link = socket.create_connection(("127.0.0.1", own_page.port))
    own = f"127.0.0.1:{own_page.port}"
    body = json.dumps({"text": text, "run": "left"}).encode()
    head = f"Host: {own}\r\nOrigin: http://{own}\r\nContent-Type: application/json\r\nContent-Length: {len(body)}"
    link.sendall(f"POST /{own_page.key}/answer/boards HTTP/1.1\r\n{head}\r\n\r\n".encode() + body)
    late = time.monotonic() + LATE
    while not own_page.post("far", text="", run="left")["far"]:
        assert time.monotonic() < late
        time.sleep(0.02)
    before = workers_of(own_page)
    link.close()
    # Had it been answered, the worker would be there still: only work that is broken off ends one.
    while before <= workers_of(own_page):
        assert time.monotonic() < late, "the worker that was at it goes on"
        time.sleep(0.05)
    assert own_page.post("answer/stair", text=PLAIN)["ok"]


@pytest.mark.slow
def test_a_long_nest_tells_how_far_it_is_and_being_told_to_stop_ends_nothing_else(own_page: Served) -> None:
    assert own_page.post("stop", text="", run="nobody's") == {"ok": True, "stopped": False}
    assert own_page.post("far", text="", run="nobody's") == {"ok": True, "far": ""}
    with ThreadPoolExecutor(1) as apart:
        asked = apart.submit(own_page.post, "answer/boards", text=LONG, run="mine")
        said: set[str] = set()
        while not said and not asked.done():
            time.sleep(0.05)
            said |= {own_page.post("far", text="", run="mine")["far"]} - {""}
        reached = False
        while not reached and not asked.done():
            reached = own_page.post("stop", text="", run="mine")["stopped"]
            time.sleep(0.05)
        found = asked.result(timeout=LATE)
    assert said and re.fullmatch(r".+ \d+( of \d+)?", said.pop())
    # Wherever it was: before the nest, in it with nothing laid yet, or drawing what is laid.
    assert reached
    assert sum(int(row[2]) for row in found["boards"]) == 200 if found["ok"] else "any layout" in str(found["faults"])
    assert own_page.post("stop", text="", run="mine") == {"ok": True, "stopped": False}
    assert own_page.post("far", text="", run="mine")["far"] == ""


@pytest.mark.slow
def test_a_nest_that_is_stopped_keeps_the_best_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    from cutpath.page.answers import boards, stoppable

    text = DEMO.read_text()
    assert boards({"text": text}, DEMO)["stopped"] == ""
    calls = interrupted_nest(monkeypatch, 2)
    found = boards({"text": text}, DEMO)
    assert calls == [2] and "best layout so far is kept" in found["stopped"] and found["buy"]
    interrupted_nest(monkeypatch, 1)
    with pytest.raises(Fault, match="stopped before there was any layout"):
        boards({"text": text}, DEMO)
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        signal.raise_signal(signal.SIGINT)
        with pytest.raises(KeyboardInterrupt), stoppable():
            signal.raise_signal(signal.SIGINT)
        signal.raise_signal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, before)


def workers_of(served: Served) -> set[int]:
    """Processes that compute for a service: what it has started, and what was forked from that; none that has ended."""
    found = subprocess.run(["ps", "-eo", "pid,ppid,stat,args"], capture_output=True, text=True, check=True).stdout
    rows = [line.split(None, 3) for line in found.splitlines()[1:]]
    ours = {served.process.pid}
    while more := {int(pid) for pid, parent, *_ in rows if int(parent) in ours} - ours:
        ours |= more
    return {int(pid) for pid, _, stat, args in rows if int(pid) in ours and "cutpath.page." in args and stat[0] != "Z"}


def test_what_can_t_be_served_is_one_line(tmp_path: Path, page: Served, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "there.toml").write_text(PLAIN)
    (tmp_path / "link.toml").symlink_to(tmp_path / "there.toml")
    (tmp_path / "bad.toml").write_bytes(b"\xff")
    for arguments, words in (
        ([str(tmp_path)], "is a folder"),
        ([str(tmp_path / "link.toml")], "is a link"),
        ([str(tmp_path / "bad.toml")], "is not UTF-8"),
        ([str(tmp_path / "no" / "job.toml")], "can't be written"),
        ([str(tmp_path / "there.toml"), "--port", str(page.port)], f"--port {page.port}: can't be had"),
        ([str(tmp_path / "there.toml"), "--port", "70000"], "--port"),
    ):
        assert run(["serve", *arguments, "--no-open"]) == 2
        said = capsys.readouterr().err
        assert words in said and said.count("\n") == 1


# ---- answers


@pytest.mark.slow
def test_answers_are_those_of_the_commands(page: Served, capsys: pytest.CaptureFixture[str]) -> None:
    text = page.job.read_text()
    boards = page.post("answer/boards", text=text)
    assert run(["check", str(page.job)]) == 0
    shown = capsys.readouterr().out
    assert boards["ok"] and boards["checked"]["checks"]
    shown = shown[shown.index("\ncheck ") :]
    for check in boards["checked"]["checks"]:
        # A wide table is parted, and a long cell goes over several lines: the words stand in this check's rows.
        rows = [line for part in shown.split(f"\n{check['id']} ")[1:] for line in part.split("\n")[:5]]
        assert words(check["outcome"], check["value"], check["limit"], check["source"]) <= words(*rows), check
    assert run(["nest", str(page.job)]) == 0
    shown = capsys.readouterr().out
    assert "".join(boards["total"].split()) in "".join(shown.split())
    for row in (*boards["buy"], *boards["boards"]):
        assert any(words(*row) <= words(*two) for two in pairwise(shown.splitlines())), row
    found = page.post("answer/counts", text=text)
    assert run(["solve", str(page.job)]) == 0
    shown = capsys.readouterr().out
    assert [row["risers"] for row in found["rows"] if row["chosen"]] == [6]
    assert len(found["rows"]) > 3
    for row in found["rows"]:
        assert words(*row["cells"]) <= words(shown), row


def words(*texts: str) -> set[str]:
    return {word.strip(",") for text in texts for word in text.split()}


def test_faults_carry_their_keys_in_the_words_of_the_command(page: Served, capsys, tmp_path: Path) -> None:
    text = (
        page.job.read_text()
        .replace('unit_run = "10 1/2"', 'unit_run = "10 1/"')
        .replace("quantity = 2", "quantity = -2")
    )
    job = tmp_path / "wrong.toml"
    job.write_text(text)
    assert run(["check", str(job)]) == 2
    said = capsys.readouterr().err.splitlines()
    faults = page.post("answer/read", text=text)["faults"]
    assert {fault["key"] for fault in faults} == {"stair.unit_run", "stock[0].quantity"}
    assert [f"cutpath: {job}: {fault['key']}: {fault['text']}" for fault in faults] == said
    for what in ("stair", "counts", "boards", "export"):
        answer = page.post(f"answer/{what}", text=text, to="zip")
        assert not answer["ok"] and {fault["key"] for fault in answer["faults"]} == {f["key"] for f in faults}


@pytest.mark.slow
def test_an_export_is_the_command_s_byte_for_byte(own_page: Served, tmp_path: Path) -> None:
    text = own_page.job.read_text()
    made = own_page.post("answer/export", text=text, to="folder")
    assert made["ok"] and made["written"], made
    assert run(["export", str(own_page.job), "-o", str(tmp_path / "by-command")]) == (0 if made["holds"] else 1)

    def files(folder: Path) -> dict[str, bytes]:
        return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

    ours, theirs = files(own_page.job.parent / "porch"), files(tmp_path / "by-command")
    assert ours == theirs and "result.json" in ours
    packed = own_page.post("answer/export", text=text, to="zip")
    with zipfile.ZipFile(io.BytesIO(b64decode(packed["zip"]))) as found:
        assert {name.removeprefix("porch/"): found.read(name) for name in found.namelist()} == theirs
    # What somebody else put there is never written over.
    (own_page.job.parent / "porch" / "mine.txt").write_text("keep")
    refused = own_page.post("answer/export", text=text.replace("42", "43"), to="folder")
    assert not refused["ok"] and "mine.txt" in refused["faults"][0]["text"]
    assert {k: v for k, v in files(own_page.job.parent / "porch").items() if k != "mine.txt"} == theirs


@pytest.mark.slow
def test_a_failing_check_keeps_cut_files_back_as_in_the_command(own_page: Served, tmp_path: Path) -> None:
    text = PLAIN + "\n[stringer]\nthroat_least = 9\n"
    made = own_page.post("answer/export", text=text, to="zip")
    assert made["files"] == ["result.json"] and "throat" in made["refused"]
    despite = own_page.post("answer/export", text=text, to="zip", despite_checks=True)
    assert len(despite["files"]) > 5


#: Jobs that fail in one way each, what fails, and the keys that buttons then set.
MENDABLE: dict[str, tuple[str, str, str, set[str]]] = {
    "throat": ("orchard-steps", "throat_least = 5\n", "throat_least = 5.3\n", {"stair.unit_run", "cutter.corner"}),
    "nosing": ("orchard-steps", "nosing = 1\n", "nosing = 2\n", {"stair.nosing"}),
    "clear-width": ("orchard-steps", "clear_width = 36", "clear_width = 30", {"stair.clear_width"}),
    "spacing": ("orchard-steps", "count = 3", "count = 2", {"stringer.count"}),
    "sill-depth": ("orchard-steps", 'high = "1 1/2"', "high = 3", {"stringer.sill_notch.high"}),
    "bending": ("orchard-steps", "[wood]", '[loads]\nlive = "220 psf"\n\n[wood]', {"support[0].at", "stringer.count"}),
    "span": ("boat-landing", "[site]", "[site]", {"support[0].at", "support[0].length"}),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("check", MENDABLE)
def test_a_mend_makes_what_it_promises(page: Served, check: str) -> None:
    name, old, new, keys = MENDABLE[check]
    text = (FIXTURES / f"{name}.toml").read_text()
    assert old in text
    text = text.replace(old, new, 1)
    found = [mend for mend in page.post("answer/more", text=text)["mends"] if mend["check"] == check]
    made = [mend for mend in found if mend["changes"]]
    assert made and keys <= {change["key"] for mend in made for change in mend["changes"]}, found
    for mend in made:
        mended = page.changed(text, *mend["changes"])
        assert not mended["faults"], mended["faults"]
        again = page.post("answer/stair", text=mended["text"])
        assert again["ok"], again
        row = next(each for each in again["checks"] if each["id"] == check)
        assert (row["outcome"] == "ok") == mend["enough"]
        assert mend["fails"] == again["failing"] or not mend["enough"]
        promised, value = (float(told.rstrip("%")) for told in (mend["gives"].split()[1], row["value"].split()[0]))
        assert value == pytest.approx(promised, abs=1e-3)


@pytest.mark.slow
def test_what_no_key_mends_is_told_in_words_and_what_holds_in_none(page: Served) -> None:
    text = page.job.read_text()
    assert page.post("answer/more", text=text)["mends"] == []
    found = page.post("answer/more", text=text.replace("throat_least = 5\n", "throat_least = 9\n"))["mends"]
    assert any(mend["change"].startswith("wider stock") and not mend["changes"] for mend in found)


@pytest.mark.slow
def test_a_packet_is_shown_in_a_tab_that_reaches_nothing_else(own_page: Served) -> None:
    found = own_page.post("packet", text=PLAIN)
    assert found["ok"], found
    status, headers, html = own_page.ask("GET", f"/{own_page.key}/{found['at']}", Origin="")
    policy = headers["content-security-policy"]
    assert status == 200 and b"packet" in html.lower() and b"<svg" in html
    assert "sandbox" in policy and "allow-same-origin" not in policy and "connect-src" not in policy
    assert "default-src 'none'" in policy and "unsafe" not in policy and headers["cache-control"] == "no-store"
    for where in ("packet/x", "packet/", "packet/../disk"):
        assert own_page.ask("GET", f"/{own_page.key}/{where}", Origin="")[0] in (404, 405, 307)
    for body in (b"", b"{}", b'{"text": 3}'):
        assert own_page.ask("POST", f"/{own_page.key}/packet", body)[0] == 400
    wrong = own_page.post("packet", text="x")
    assert not wrong["ok"] and wrong["faults"]
    failing = PLAIN + "\n[stringer]\nthroat_least = 9\n"
    refused = own_page.post("packet", text=failing)
    assert not refused["ok"] and "throat" in refused["faults"][0]["text"]
    assert own_page.post("packet", text=failing, despite_checks=True)["ok"]


# ---- the text, changed in place


def test_a_change_keeps_comments_order_and_spelling(page: Served) -> None:
    text = page.job.read_text()
    found = page.changed(text, {"do": "set", "key": "stair.unit_rise", "typed": "7 1/2"})
    assert found["text"] == text.replace('unit_rise = "7 1/4" ', 'unit_rise = "7 1/2" ')
    assert found["typed"]["values"]["stock[0].price"] == "34.20"
    assert found["understood"]["stair.unit_rise"] == "7.5 in (7 1/2)"
    back = page.changed(found["text"], {"do": "set", "key": "stair.unit_rise", "typed": "7 1/4"})
    assert back["text"] == text


@pytest.mark.parametrize(
    ("changes", "old", "new"),
    [
        ([{"do": "set", "key": "site.profile[1].down", "typed": "42"}], '[24, "41 3/8"]', "[24, 42]"),
        ([{"do": "set", "key": "site.profile[3].along", "typed": "87 1/8"}], '"86 5/8"', '"87 1/8"'),
        ([{"do": "remove", "key": "site.profile[2]"}], "[48, 44], ", ""),
        ([{"do": "set", "key": "machine.bed", "typed": "96, 48"}], "bed = [144, 60]", "bed = [96, 48]"),
        ([{"do": "set", "key": "stock[1].size", "typed": "2x10"}], '"2x12"\nlength = "8', '"2x10"\nlength = "8'),
        ([{"do": "set", "key": "stair.nosing", "typed": ""}], "nosing = 1\n", ""),
        ([{"do": "set", "key": "stock[0].price", "typed": "35.10"}], "34.20", "35.10"),
        ([{"do": "remove", "key": "wood"}], '[wood]\nspecies = "Southern Pine"\ngrade = "No. 2"\n\n', ""),
    ],
)  # fmt: skip
def test_a_change_changes_nothing_else(page: Served, changes: list[dict[str, Any]], old: str, new: str) -> None:
    text = page.job.read_text()
    assert text.count(old) == 1
    found = page.changed(text, *changes)
    assert found["ok"], found
    assert found["text"] == text.replace(old, new)


def test_rows_come_go_and_change_places(page: Served) -> None:
    text = page.job.read_text()
    more = page.changed(text, {"do": "add", "key": "stock"})
    assert more["typed"]["rows"]["stock"] == 3
    assert {"stock[2].size", "stock[2].length"} <= {fault["key"] for fault in more["faults"]}
    swapped = page.changed(text, {"do": "move", "key": "stock[0]", "to": 1})
    assert swapped["typed"]["values"]["stock[1].price"] == "34.20" and not swapped["faults"]
    none = page.changed(text, {"do": "remove", "key": "stock[0]"}, {"do": "remove", "key": "stock[0]"})
    assert none["ok"] and "stock" not in none["typed"]["rows"] and "[[stock]]" not in none["text"]
    reading = page.changed(text, {"do": "add", "key": "site.profile"})
    assert reading["typed"]["tapes"] == ["out", "out", "out", "along", "out", "out"]
    taut = page.changed(text, {"do": "tape", "key": "site.profile[2]", "to": "along"})
    assert "{along = 48, down = 44}" in taut["text"] and taut["typed"]["tapes"][2] == "along"
    assert [fault["key"] for fault in taut["faults"]] == ["site.profile[2]"], "such a tape is too short there"
    empty = page.changed(
        "", {"do": "add", "key": "site.profile"}, {"do": "set", "key": "site.profile[0].out", "typed": "0"}
    )
    assert empty["text"].strip() == '[site]\nprofile = [[0, ""]]'


def test_every_key_of_the_table_can_be_set_and_taken_out(page: Served) -> None:
    from cutpath.page.edit import changed
    from cutpath.page.form import Field, Group, first, rest

    keys: list[str] = []

    def walk(parts: tuple[Field | Group, ...]) -> None:
        for part in parts:
            if isinstance(part, Field):
                keys.append(part.key.replace("[]", "[0]"))
            else:
                walk(part.fields)

    walk((*first(), *rest()))
    assert len(keys) == len(set(keys)) > 100
    assert {key.split(".")[0].split("[")[0] for key in keys} == {key.name for key in JOB.keys}
    for key in keys:
        rows = [{"do": "add", "key": key.split("[")[0]}] if "[" in key else []
        text = "# kept\n"
        for change in (*rows, {"do": "set", "key": key, "typed": "1 1/2"}):
            text = changed(text, change)
        assert "1 1/2" in text and text.startswith("# kept"), key
        assert "1 1/2" not in changed(text, {"do": "set", "key": key, "typed": ""}), key


@pytest.mark.parametrize(
    "key", ["", "nothing", "stair.__class__", "stock[99].size", "stair..nosing", "a" * 9999, "site.profile[0].up"]
)
def test_a_key_that_is_none_is_refused(page: Served, key: str) -> None:
    found = page.changed(page.job.read_text(), {"do": "set", "key": key, "typed": "1"})
    assert not found["ok"] and found["faults"][0]["text"]


# ---- the file


def test_line_ends_and_mark_of_the_file_are_kept(own_page: Served) -> None:
    data = b"\xef\xbb\xbf" + PLAIN.replace("\n", "\r\n").encode()
    own_page.job.write_bytes(data)
    found = json.loads(own_page.ask("GET", f"/{own_page.key}/disk", Origin="")[2])
    assert found["text"] == PLAIN
    assert own_page.post("save", text=PLAIN.replace("42", "43"), known=found["state"])["ok"]
    assert own_page.job.read_bytes() == data.replace(b"42", b"43")


@pytest.mark.slow
def test_a_link_put_in_its_place_is_not_followed(own_page: Served, tmp_path: Path) -> None:
    other = tmp_path / "other.txt"
    other.write_text(PLAIN)
    own_page.job.unlink()
    own_page.job.symlink_to(other)
    state = hashlib.sha256(PLAIN.encode()).hexdigest()
    refused = own_page.post("save", text="x = 1\n", known=state)
    assert not refused["ok"] and "is a link" in refused["faults"][0]["text"]
    assert other.read_text() == PLAIN


# Last, so that no service is started anew for another.
def test_it_is_saved_whole_and_never_over_what_is_newer_and_ends_with_its_workers(own_page: Served) -> None:
    job = own_page.job
    os.chmod(job, 0o640)
    before = json.loads(own_page.ask("GET", f"/{own_page.key}/disk", Origin="")[2])
    assert before["text"] == PLAIN and before["state"] == hashlib.sha256(PLAIN.encode()).hexdigest()
    new = PLAIN + "# and more\n"
    saved = own_page.post("save", text=new, known=before["state"])
    assert saved["ok"] and job.read_text() == new and job.stat().st_mode & 0o777 == 0o640
    job.write_text("# somebody else's\n")
    refused = own_page.post("save", text=PLAIN, known=saved["state"])
    assert not refused["ok"] and refused["meanwhile"]["text"] == "# somebody else's\n"
    assert job.read_text() == "# somebody else's\n"
    assert own_page.post("save", text=PLAIN, known=refused["meanwhile"]["state"])["ok"]
    assert [each.name for each in job.parent.iterdir()] == [job.name]
    assert own_page.post("answer/stair", text=PLAIN)["ok"]
    ours = workers_of(own_page)
    assert ours
    status, said = end(own_page)
    # An export that was made before is told as well.
    told = r"cutpath: stopped; (the files are in place in \S+, and )?porch\.toml is saved"
    assert status == 130 and re.fullmatch(told, said.strip())
    for pid in ours:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)

"""The page as a web application: one page, its parts from the package, and questions answered by workers."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import json
import os
import re
import secrets
from collections.abc import AsyncIterator, Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from cutpath.faults import Fault
from cutpath.page.guard import Guard
from cutpath.page.jobfile import ChangedMeanwhile, OnDisk, read_file, save_file
from cutpath.page.workers import WorkerLost, Workers
from cutpath.tomlfile.read import MOST_BYTES

#: How long each question may take, seconds.
_SECONDS: Final = {
    "read": 10.0,
    "stair": 60.0,
    "more": 120.0,
    "counts": 120.0,
    "boards": 600.0,
    "export": 900.0,
    "packet": 900.0,
}

#: Kept for their tabs until others take their place.
_MOST_PACKETS: Final = 4

_STATIC: Final = {
    "page.css": "text/css",
    **dict.fromkeys(
        ("page.js", "ask.js", "drag.js", "drawn.js", "fields.js", "file.js", "lay.js", "out.js"), "text/javascript"
    ),
}


def application(path: Path, key: str, hosts: frozenset[str], note: Callable[[str], None]) -> ASGIApp:
    """The page of one job file.

    Args:
        path: the file; nothing else is read or written, but the rules that it names and the folder of its export.
        key: the first part of every address.
        hosts: as `Guard` takes them.
        note: is told what has changed on the disk.
    """
    workers = Workers()

    @contextlib.asynccontextmanager
    async def running(app: Starlette) -> AsyncIterator[None]:
        warming = asyncio.create_task(workers.warm())
        try:
            yield
        finally:
            warming.cancel()
            await workers.close()

    async def page(request: Request) -> Response:
        return Response(_page(path.name, _mark(path)), media_type="text/html")

    async def static(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in _STATIC:
            return Response("no such part of the page\n", 404, media_type="text/plain")
        return Response(_part(name), media_type=_STATIC[name])

    async def disk(request: Request) -> Response:
        try:
            return JSONResponse({"ok": True, **_told(await asyncio.to_thread(read_file, path))})
        except Fault as fault:
            return _fault(fault)

    async def save(request: Request) -> Response:
        asked = await _asked(request)
        if asked is None or not isinstance(asked.get("known"), str):
            return _bad("a text and the file's state are wanted")
        try:
            kept = await asyncio.to_thread(save_file, path, asked["text"], asked["known"])
        except ChangedMeanwhile as meanwhile:
            return JSONResponse({"ok": False, "meanwhile": _told(meanwhile.found), "faults": []}, 409)
        except Fault as fault:
            return _fault(fault)
        note(f"{path.name} is saved")
        return JSONResponse({"ok": True, **_told(kept)})

    async def answer(request: Request) -> Response:
        what = request.path_params["what"]
        if what not in _SECONDS or what == "packet":
            return Response("nothing to be asked here\n", 404, media_type="text/plain")
        asked = await _asked(request)
        if asked is None:
            return _bad("a text is wanted")
        wrong = _unfit(what, asked)
        if wrong:
            return _bad(wrong)
        found = await _while_wanted(workers, request, {**asked, "what": what, "path": str(path)}, _SECONDS[what])
        if found is None:
            return Response(status_code=499)
        if found.get("changed"):
            note(f"the files are in place in {found['folder']}")
        return JSONResponse(found)

    async def stop(request: Request) -> Response:
        asked = await _asked(request)
        run = asked.get("run") if asked else None
        if not isinstance(run, str) or not run:
            return _bad("a run is wanted")
        return JSONResponse({"ok": True, "stopped": workers.stop(run)})

    async def far(request: Request) -> Response:
        asked = await _asked(request)
        return JSONResponse({"ok": True, "far": workers.far(str(asked.get("run", ""))) if asked else ""})

    packets: dict[str, str] = {}

    async def make_packet(request: Request) -> Response:
        asked = await _asked(request)
        if asked is None:
            return _bad("a text is wanted")
        question = {**asked, "what": "packet", "path": str(path)}
        found = await _while_wanted(workers, request, question, _SECONDS["packet"])
        if found is None or not found["ok"]:
            return JSONResponse(found) if found else Response(status_code=499)
        while len(packets) >= _MOST_PACKETS:
            del packets[next(iter(packets))]
        number = secrets.token_urlsafe(9)
        packets[number] = found["html"]
        return JSONResponse({"ok": True, "at": f"packet/{number}"})

    async def show_packet(request: Request) -> Response:
        html = packets.get(request.path_params["number"])
        if html is None:
            return Response("this packet is no longer here: open it anew from the page\n", 404, media_type="text/plain")
        return Response(html, media_type="text/html", headers={"Content-Security-Policy": _packet_policy(html)})

    app = Starlette(
        routes=[
            Route("/", page, methods=["GET"]),
            Route("/static/{name}", static, methods=["GET"]),
            Route("/disk", disk, methods=["GET"]),
            Route("/save", save, methods=["POST"]),
            Route("/stop", stop, methods=["POST"]),
            Route("/far", far, methods=["POST"]),
            Route("/packet", make_packet, methods=["POST"]),
            Route("/packet/{number}", show_packet, methods=["GET"]),
            Route("/answer/{what}", answer, methods=["POST"]),
        ],
        lifespan=running,
    )
    return Guard(app, key, hosts)


async def _while_wanted(
    workers: Workers, request: Request, question: dict[str, Any], seconds: float
) -> dict[str, Any] | None:
    """The answer to a question; who goes away before it comes ends the work on it, but for files on their way."""
    work = asyncio.create_task(workers.ask(question, seconds))
    # How work ended that nobody waits for any more is nobody's concern; unasked it would be told on standard error.
    work.add_done_callback(lambda done: done.cancelled() or done.exception())
    gone = asyncio.create_task(_gone(request))
    wanted = {work} if question.get("to") == "folder" else {work, gone}
    try:
        await asyncio.wait(wanted, return_when=asyncio.FIRST_COMPLETED)
        return work.result() if work.done() else None
    except TimeoutError:
        return _said(f"this took more than {seconds:.0f} seconds and was ended; the command line has no such bound")
    except WorkerLost:
        return _said("what computes this ended without an answer: it may have run out of memory")
    finally:
        gone.cancel()
        work.cancel()


async def _gone(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass


async def _asked(request: Request) -> dict[str, Any] | None:
    """What is asked, if it is a table with a text that could be a job's."""
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        return None
    if not isinstance(asked, dict) or not isinstance(asked.get("text"), str):
        return None
    return asked if len(asked["text"]) <= MOST_BYTES else None


def _unfit(what: str, asked: dict[str, Any]) -> str:
    """What is wrong with a question of a kind; "": nothing."""
    if what == "export" and asked.get("to") not in ("folder", "zip"):
        return "an export goes to a folder or a zip"
    changes = asked.get("changes", [])
    if not isinstance(changes, list) or len(changes) > 50 or not all(map(_is_change, changes)):
        return "changes are a list of what to do at which key"
    return ""


def _is_change(change: object) -> bool:
    return (
        isinstance(change, dict)
        and change.get("do") in ("set", "add", "remove", "move", "tape")
        and isinstance(change.get("key"), str)
        and isinstance(change.get("typed", ""), str)
        and isinstance(change.get("to", ""), str | int)
    )


def _told(found: OnDisk) -> dict[str, str]:
    return {"text": found.text, "state": found.state}


def _said(text: str) -> dict[str, Any]:
    return {"ok": False, "faults": [{"key": "", "text": text}]}


def _fault(fault: Fault) -> Response:
    return JSONResponse({"ok": False, "faults": [{"key": "", "text": line} for line in fault.lines]})


def _bad(text: str) -> Response:
    return JSONResponse(_said(text), 400)


@cache
def _part(name: str) -> bytes:
    return (files("cutpath.page") / "static" / name).read_bytes()


def _packet_policy(html: str) -> str:
    """What a packet may do in its tab: what it allows itself, and nothing that reaches the page."""
    own = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', html)
    allowed = own[1] if own else "default-src 'none'"
    return f"{allowed}; frame-ancestors 'none'; sandbox allow-scripts allow-modals"


def _mark(path: Path) -> str:
    """Tells one job file's pages from another's, in a browser that keeps both."""
    return hashlib.sha256(os.fsencode(path)).hexdigest()[:16]


@cache
def _page(name: str, mark: str) -> str:
    from jinja2 import Environment, PackageLoader

    from cutpath.cautions import CAUTIONS, SHORT_CAUTION
    from cutpath.page.answers import folder_of
    from cutpath.page.form import Field, first, rest

    page = Environment(
        loader=PackageLoader("cutpath.page", "static"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("page.html")
    return page.render(
        name=name,
        mark=mark,
        folder=folder_of(Path(name)).name,
        first=first(),
        rest=rest(),
        cautions=CAUTIONS,
        caution=SHORT_CAUTION,
        is_field=lambda part: isinstance(part, Field),
    )

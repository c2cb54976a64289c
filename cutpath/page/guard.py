"""Who may ask the page, and for how much: address, key, origin and size are judged before anything else is done."""

from __future__ import annotations

import asyncio
import hmac
from typing import Final

from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: A job is at most 1 MiB (`cutpath.tomlfile.read.MOST_BYTES`); as JSON a text of it can take six times that.
MOST_BODY: Final = 6 << 20

#: A browser beside the service sends a job in no time; who takes longer holds a place for nothing.
_BODY_SECONDS: Final = 10.0

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
)
_HEADERS: Final = (
    (b"content-security-policy", _POLICY.encode()),
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


#: What browsers ask of themselves for a part or a packet that is opened in a tab of its own. There is none: an empty
#: answer, that of a 204, tells another page that looks for this service no more than a refusal, and is no error.
_ICON: Final = "/favicon.ico"


class _TooLarge(Exception):
    """A body is over what is taken."""


class Guard:
    """Lets through what comes from the page itself, with the key of this run in its path, and takes the key off it."""

    def __init__(self, app: ASGIApp, key: str, hosts: frozenset[str]) -> None:
        """Guard an application.

        Args:
            app: what answers.
            key: the first part of every path.
            hosts: host and port by which the page is asked for, as in "127.0.0.1:8000".
        """
        self._app, self._key, self._hosts = app, key, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return

        async def closed(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", ()))
                own = {name.lower() for name, _ in given}
                message = {**message, "headers": [*given, *(each for each in _HEADERS if each[0] not in own)]}
            await send(message)

        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, closed)
            return
        try:
            body = await asyncio.wait_for(_body(receive), _BODY_SECONDS)
        except _TooLarge:
            await PlainTextResponse("larger than any job is\n", 413)(scope, receive, closed)
            return
        except TimeoutError:
            await PlainTextResponse("the request took too long to arrive\n", 408)(scope, receive, closed)
            return
        if body is None:
            return
        path = scope["path"][len(self._key) + 1 :]
        await self._app({**scope, "path": path, "raw_path": path.encode()}, _again(body, receive), closed)

    def _refusal(self, scope: Scope) -> Response | None:
        hosts, origins = _headers(scope, b"host"), _headers(scope, b"origin")
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            return PlainTextResponse("asked for by a name that is not this page's\n", 403)
        if scope["path"] == _ICON:
            return Response(status_code=204)
        key = scope["path"][1:].partition("/")[0]
        if not hmac.compare_digest(key.encode(), self._key.encode()):
            return PlainTextResponse("the address lacks the key that `cutpath serve` printed\n", 403)
        own = f"http://{hosts[0]}"
        posted = scope["method"] == "POST"
        if any(origin != own for origin in origins) or (posted and not origins):
            return PlainTextResponse("asked from another page\n", 403)
        if any(site not in ("same-origin", "none") for site in _headers(scope, b"sec-fetch-site")):
            return PlainTextResponse("asked from another page\n", 403)
        if posted and [kind.partition(";")[0] for kind in _headers(scope, b"content-type")] != ["application/json"]:
            return PlainTextResponse("JSON is taken, and nothing else\n", 415)
        lengths = _headers(scope, b"content-length")
        if any(not length.isdecimal() or int(length[:20]) > MOST_BODY for length in lengths):
            return PlainTextResponse("larger than any job is\n", 413)
        return None


def _headers(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


async def _body(receive: Receive) -> bytes | None:
    """The whole body; None where the asker went away."""
    found = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        found += message.get("body", b"")
        if len(found) > MOST_BODY:
            raise _TooLarge
        if not message.get("more_body"):
            return bytes(found)


def _again(body: bytes, receive: Receive) -> Receive:
    """What gives a body once, then whatever comes."""
    given = False

    async def replay() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replay

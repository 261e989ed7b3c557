"""Keeps the worktable to this machine: other sites' pages can neither read from it nor act through it.

A page of another site may point its own name at this machine (DNS rebinding), so requests must name this
machine as their Host. It may send forms here, so whatever changes something must come from a page of the
worktable itself (Origin, RFC 6454). No header lets another origin read an answer.
"""

from __future__ import annotations

from collections.abc import Collection

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kitprep.worktable.statuses import REFUSED

READING = frozenset({"GET", "HEAD"})
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' blob:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


def own_hosts(port: int) -> frozenset[str]:
    """What a browser on this machine calls the worktable."""
    return frozenset(f"{name}:{port}" for name in ("localhost", "127.0.0.1"))


class Guard:
    """Refuses what does not come from this machine's own page, before any route sees it.

    Parameters
    ----------
    app : ASGIApp
        What is guarded.
    hosts : collection of str
        The names with port by which it may be asked for.
    """

    def __init__(self, app: ASGIApp, hosts: Collection[str]) -> None:
        self._app = app
        self._hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope["method"], Headers(scope=scope))
        if refusal is None:
            await self._app(scope, receive, _with_headers(send))
            return
        answer = JSONResponse({"error": {"text": refusal, "cause": "Refused"}}, REFUSED)
        await answer(scope, receive, _with_headers(send))

    def _refusal(self, method: str, headers: Headers) -> str | None:
        host = headers.get("host", "")
        if host not in self._hosts:
            return "This worktable answers only to the machine it runs on; open the address that it printed."
        if method not in READING and headers.get("origin") != f"http://{host}":
            return "Only the worktable's own page may change something; open the address that it printed."
        return None


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-cache")
        await send(message)

    return sending

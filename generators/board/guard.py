"""Who may ask: this machine only, with the token of this run, from the page itself.

Other pages in the same browser can send requests to an address on this machine, and a name of theirs can be
made to lead to it (DNS rebinding). So each request must name this host and port, know the token, and come
from no other origin.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable

from aiohttp import web

HOST = "127.0.0.1"
NAMES = (HOST, "localhost")
LONGEST_BODY = 64 * 1024

HEADERS = {
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
}
"""Nothing from elsewhere is loaded, no other page holds this one, and its address is told to nobody."""

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


def refusal(request: web.Request, token: str, port: int) -> str:
    """Why a request is refused; empty for one that may be answered."""
    hosts = {f"{name}:{port}" for name in NAMES}
    if request.headers.get("Host", "") not in hosts:
        return "another host"
    origin = request.headers.get("Origin")
    if origin is not None and origin not in {f"http://{host}" for host in hosts}:
        return "another origin"
    if request.headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin"):
        return "another site"
    given = request.match_info.get("token", "")
    if not hmac.compare_digest(given.encode(), token.encode()):
        return "no token of this run"
    if request.method == "POST":
        if origin is None:
            return "no origin"
        if request.content_type != "application/json":
            return "no JSON"
    elif request.method != "GET":
        return "another method"
    return ""


def guarded(token: str, port: Callable[[], int]) -> Callable[..., Awaitable[web.StreamResponse]]:
    """The middleware that asks this of every request, and puts the headers on every answer."""

    @web.middleware
    async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
        why = refusal(request, token, port())
        if why:
            return web.Response(status=403, text=f"refused: {why}\n", headers=HEADERS)
        try:
            return await handler(request)
        except web.HTTPException as error:
            return web.Response(status=error.status, text=f"{error.reason}\n", headers=HEADERS)

    return guard

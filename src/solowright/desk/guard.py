"""Who may talk to the desk: only the window that was opened with this start's token.

A web page elsewhere can make a browser send requests to 127.0.0.1. Against it: the Host must be ours (so
a foreign name that leads here, DNS rebinding, gets nothing), the Origin must be ours for anything that
changes something, and every request needs the token. The token stands in the address that is opened, is
swapped at once for a cookie that scripts can't read and other sites can't send, and dies with the server.
"""

from __future__ import annotations

import hmac
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Nothing but our own files; no inline script or style. Systems are inline SVG, drawn with presentation
# attributes alone, so that not even they need an exception. Scripts may still set an element's style.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; media-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
_SAFE = ("GET", "HEAD")


class Guard:
    """Wraps an application: answers strangers itself, and puts ``HEADERS`` on every answer."""

    def __init__(self, app: ASGIApp, token: str, port: int, *, host: str = "127.0.0.1") -> None:
        self._app = app
        self._token = token
        self._hosts = {f"{host}:{port}", f"localhost:{port}"}
        self._cookie = f"solowright-{port}"  # cookies don't tell ports apart

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        answer = self._refusal(scope) or self._swap(scope)
        await (answer or self._app)(scope, receive, send_with_headers)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self._hosts:
            return PlainTextResponse("This server answers only on its own address.", 421)
        origin = headers.get("origin")
        ours = origin is not None and origin.lower().removeprefix("http://") in self._hosts
        if (origin is not None and not ours) or (scope["method"] not in _SAFE and not ours):
            return JSONResponse({"error": "This request comes from another page than the desk."}, 403)
        if headers.get("sec-fetch-site", "none") in ("cross-site", "same-site") and not self._opens(scope):
            return JSONResponse({"error": "This request comes from another site than the desk."}, 403)
        if not self._opens(scope) and not self._knows(headers):
            return PlainTextResponse(
                "This window doesn't belong to the desk that is running. "
                "Open the address that solowright desk printed when it started.",
                401,
            )
        return None

    def _opens(self, scope: Scope) -> bool:
        """Whether this is the opening address with the right token."""
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        return bool(scope["method"] == "GET" and scope["path"] == "/" and self._fits(given))

    def _knows(self, headers: Headers) -> bool:
        try:
            cookies = SimpleCookie(headers.get("cookie", ""))
        except CookieError:
            return False
        return self._cookie in cookies and self._fits(cookies[self._cookie].value)

    def _fits(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self._token.encode())

    def _swap(self, scope: Scope) -> Response | None:
        """The token in the address becomes a cookie, and leaves the address."""
        if not self._opens(scope):
            return None
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._cookie, self._token, httponly=True, samesite="strict", path="/")
        return answer

"""Keeps strangers out of everything but the sign-in page, and sets the security headers.

Streamlit's own addresses for uploads, media and figures know nothing of our sessions, so this
stands in front of all of them. The page's websocket stays open to strangers: each page checks
the session itself and shows nothing but the way to sign in.
"""

import re
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.routes.session import operator_of

# Streamlit starts its own scripts inline and components from blob addresses; nothing else, and
# nothing from another host, may run, load or be told anything.
_CONTENT_SECURITY_POLICY = (
    "default-src 'self'",
    "script-src 'self' 'unsafe-inline' blob:",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "worker-src 'self' blob:",
    "object-src 'none'",
    "base-uri 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
)
SECURITY_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}
_HOST = re.compile(r"[A-Za-z0-9.-]+(:\d+)?|\[[0-9A-Fa-f:.]+\](:\d+)?")
# What a browser needs before anybody has signed in; none of it knows of any case.
_OPEN_TO_ALL = (
    *("/sign-in/", "/session/"),
    *("/static/", "/_stcore/health", "/_stcore/host-config"),
)
_OPEN_FILES = (
    *("/sign-in", "/sign-out", "/set-up"),
    *("/favicon.png", "/favicon.ico", "/manifest.json"),
)
# These check the session themselves, so that their answer fits what was asked for.
_CHECK_THEMSELVES = ("/pictures/", "/reports/")
# No page of ours uses these; closed, so that no later page can leak through them.
_CLOSED = ("/_stcore/agent", "/_stcore/metrics", "/_stcore/allowed-message-origins")
# Streamlit's own login: open to strangers where the shop has an identity provider, else closed.
# Signing out is always ours.
_PROVIDER = ("/auth/login", "/oauth2callback")
_PROVIDER_CLOSED = ("/auth", "/oauth2")


def content_security_policy(host: str) -> str:
    """Return the policy; older browsers do not count the page's websocket as its own host."""
    own_websocket = f" ws://{host} wss://{host}" if _HOST.fullmatch(host) else ""
    return "; ".join((*_CONTENT_SECURITY_POLICY, f"connect-src 'self' blob:{own_websocket}"))


class SecurityHeaders:
    """Adds the headers to every answer, whoever made it."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        policy = content_security_policy(Headers(scope=scope).get("host", ""))

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(SECURITY_HEADERS)
                headers["Content-Security-Policy"] = policy
            await send(message)

        await self._app(scope, receive, send_with_headers)


class SignedInOnly:
    """Sends a stranger's page request to the sign-in page and refuses any other."""

    def __init__(self, app: ASGIApp, *, services: Services, has_provider: bool = False) -> None:
        self._app = app
        self._services = services
        self._has_provider = has_provider

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer = await self._refusal(Request(scope)) if scope["type"] == "http" else None
        await (answer or self._app)(scope, receive, send)

    async def _refusal(self, request: Request) -> Response | None:
        path = request.url.path
        if self._has_provider and path in _PROVIDER:
            return None
        if path.startswith((*_CLOSED, *_PROVIDER_CLOSED)):
            return PlainTextResponse(text.NOTHING_HERE, status_code=404)
        if path in _OPEN_FILES or path.startswith((*_OPEN_TO_ALL, *_CHECK_THEMSELVES)):
            return None
        if await run_in_threadpool(operator_of, request, self._services):
            return None
        if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
            back = request.url.path + (f"?{request.url.query}" if request.url.query else "")
            where = "/sign-in" if back == "/" else f"/sign-in?next={quote(back, safe='')}"
            return RedirectResponse(where, status_code=303)
        return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)

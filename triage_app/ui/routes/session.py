"""Who sent this request, by the session cookie, and the cookie itself."""

from starlette.requests import HTTPConnection
from starlette.responses import Response

from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.ui.wiring import SESSION_COOKIE


def operator_of(request: HTTPConnection, services: Services) -> Operator | None:
    """Return who is signed in on this connection, or None."""
    return services.sign_in.who(request.cookies.get(SESSION_COOKIE))


def set_session_cookie(response: Response, token: str, *, secure: bool) -> None:
    """Hand the token to the browser: never to scripts, never to other sites' requests."""
    response.set_cookie(
        SESSION_COOKIE, token, httponly=True, samesite="lax", secure=secure, path="/"
    )


def drop_session_cookie(response: Response, *, secure: bool) -> None:
    response.delete_cookie(SESSION_COOKIE, httponly=True, samesite="lax", secure=secure, path="/")

"""Who sent this request and from where, by its cookies, and the cookies themselves."""

import re
from collections.abc import Iterable

from starlette.requests import HTTPConnection
from starlette.responses import Response

from triage_app.domain.ids import AccountId
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.sign_in import Caller, Seat
from triage_app.ui.wiring import PEOPLE_COOKIE, SESSION_COOKIE

# Who has signed in on this tablet, the last one first. Each id is unguessable, so whoever sends
# one got it by signing in as that person here.
PEOPLE_KEPT = 8
_PEOPLE_FOR_S = 180 * 24 * 3600
_ACCOUNT_ID = re.compile(r"[A-Za-z0-9-]{1,64}")
_SYSTEMS = (
    ("Android", "Android"),
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Windows", "Windows"),
    ("Mac OS", "Mac"),
    ("CrOS", "Chromebook"),
    ("Linux", "Linux"),
)
_BROWSERS = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("Safari", "Safari"))


def token_of(request: HTTPConnection) -> str | None:
    return request.cookies.get(SESSION_COOKIE)


def operator_of(request: HTTPConnection, services: Services) -> Operator | None:
    """Return who is signed in on this connection, or None; None too while locked."""
    return services.sign_in.who(token_of(request))


def seat_of(request: HTTPConnection, services: Services) -> Seat | None:
    """Return whose session this is, locked or not, without counting as use."""
    return services.sign_in.seat(token_of(request))


def caller_of(request: HTTPConnection) -> Caller:
    client = request.client
    return Caller(
        address=client.host if client else "",
        device=_device(request.headers.get("user-agent", "")),
        known=frozenset(known_people(request)),
    )


def known_people(request: HTTPConnection) -> list[AccountId]:
    """Return who has signed in on this browser, the last one first."""
    kept = request.cookies.get(PEOPLE_COOKIE, "").split(".")
    return [AccountId(each) for each in kept[:PEOPLE_KEPT] if _ACCOUNT_ID.fullmatch(each)]


def set_session_cookie(response: Response, token: str, *, secure: bool) -> None:
    """Hand the token to the browser: never to scripts, never to other sites' requests."""
    response.set_cookie(
        SESSION_COOKIE, token, httponly=True, samesite="lax", secure=secure, path="/"
    )


def set_people_cookie(response: Response, people: Iterable[AccountId], *, secure: bool) -> None:
    """Let this browser remember who signs in here; it lets nobody in."""
    kept = list(dict.fromkeys(people))[:PEOPLE_KEPT]
    response.set_cookie(
        PEOPLE_COOKIE,
        ".".join(kept),
        max_age=_PEOPLE_FOR_S,
        httponly=True,
        samesite="lax",
        secure=secure,
        path="/",
    )


def drop_session_cookie(response: Response, *, secure: bool) -> None:
    response.delete_cookie(SESSION_COOKIE, httponly=True, samesite="lax", secure=secure, path="/")


def _device(user_agent: str) -> str:
    """Return "Chrome, Android" or so, for a person to know a screen of theirs by."""
    found = [
        next((name for sign, name in table if sign in user_agent), "")
        for table in (_BROWSERS, _SYSTEMS)
    ]
    return ", ".join(filter(None, found)) or "unknown browser"

"""Signing in by the shop's identity provider, through Streamlit's own login (OpenID Connect).

Streamlit speaks with the provider and puts the checked claims into a signed cookie of its own,
good for 30 days. Here that cookie is taken in exchange for a session of ours, once, and let go.
"""

import json
from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from streamlit.auth_util import get_cookie_with_chunks, get_origin_from_redirect_uri
from streamlit.user_info import generate_login_redirect_url
from streamlit.web.server.server_util import get_cookie_secret
from streamlit.web.server.starlette.starlette_app_utils import decode_signed_value
from streamlit.web.server.starlette.starlette_server_config import (
    TOKENS_COOKIE_NAME,
    USER_COOKIE_NAME,
)

from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.services import Services
from triage_app.ui.routes.forms import local_path
from triage_app.ui.routes.plain_pages import PlainPages
from triage_app.ui.routes.session import (
    caller_of,
    known_people,
    set_people_cookie,
    set_session_cookie,
    token_of,
)
from triage_app.ui.routes.sign_in_forms import sign_in_body

_NEXT_COOKIE = "underbody_next"
_PROVIDER = "default"


class OutsideRoutes:
    """Only there where the shop has configured a provider."""

    def __init__(self, services: Services, pages: PlainPages) -> None:
        self._services = services
        self._pages = pages

    def routes(self) -> list[Route]:
        return [
            Route("/sign-in/outside", self.leave, methods=["GET"]),
            Route("/sign-in/arrived", self.arrive, methods=["GET"]),
        ]

    def leave(self, request: Request) -> Response:
        """Send the browser to the provider by way of Streamlit's login."""
        response = RedirectResponse(generate_login_redirect_url(_PROVIDER), status_code=303)
        response.set_cookie(
            _NEXT_COOKIE,
            local_path(request.query_params.get("next", "/")),
            max_age=600,
            httponly=True,
            samesite="lax",
            secure=self._pages.is_secure(request),
        )
        return response

    async def arrive(self, request: Request) -> Response:
        """Exchange the provider's word for a session of ours, or say why not."""
        response = await run_in_threadpool(self._arrive, request)
        for name in request.cookies:
            if name.startswith((USER_COOKIE_NAME, TOKENS_COOKIE_NAME)) or name == _NEXT_COOKIE:
                response.delete_cookie(name, path="/")
        return response

    def _arrive(self, request: Request) -> Response:
        try:
            token = self._services.outside_sign_in.enter(
                claims_of(request.cookies), caller=caller_of(request)
            )
        except (NotAllowedError, InvalidInputError, StorageError) as error:
            body = sign_in_body(back="/", problem=str(error), has_provider=True)
            return self._pages.answer(request, body, status=403)
        self._services.sign_in.sign_out(token_of(request))
        back = local_path(request.cookies.get(_NEXT_COOKIE, "/"))
        response = RedirectResponse(back, status_code=303)
        seat = self._services.sign_in.seat(token)
        if seat is not None:
            people = [seat.account.id, *known_people(request)]
            set_people_cookie(response, people, secure=self._pages.is_secure(request))
        set_session_cookie(response, token, secure=self._pages.is_secure(request))
        return response


def has_arrived(cookies: Mapping[str, str]) -> bool:
    """Tell whether the provider's word is among the cookies and wants to be exchanged."""
    return USER_COOKIE_NAME in cookies


def claims_of(cookies: Mapping[str, str]) -> Mapping[str, object]:
    """Return the claims in Streamlit's signed cookie; none where it is not ours or not signed."""
    secret = get_cookie_secret()

    def signed(name: str) -> bytes | None:
        kept = cookies.get(name)
        return None if kept is None else decode_signed_value(secret, name, kept.encode("latin-1"))

    held = get_cookie_with_chunks(signed, USER_COOKIE_NAME)
    try:
        claims = json.loads(held) if held else {}
    except ValueError:
        return {}
    if not isinstance(claims, dict) or claims.get("origin") != get_origin_from_redirect_uri():
        return {}
    return claims if claims.get("is_logged_in") is True else {}

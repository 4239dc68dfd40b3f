"""Posted forms: small, from our own page, and with the token that page was given."""

import hmac
import secrets
from urllib.parse import parse_qsl, urlsplit

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from triage_app.domain.errors import InvalidInputError, NotAllowedError
from triage_app.ui import text
from triage_app.ui.wiring import FORM_COOKIE

FORM_FIELD = "form_token"
MAX_FORM_BYTES = 8_192


def form_token(request: Request) -> str:
    """Return the token that this browser's forms carry; a new one when it has none yet."""
    return request.cookies.get(FORM_COOKIE) or secrets.token_urlsafe(24)


def set_form_cookie(response: Response, token: str, *, secure: bool) -> None:
    response.set_cookie(
        FORM_COOKIE, token, httponly=True, samesite="strict", secure=secure, path="/"
    )


async def posted_form(request: Request) -> dict[str, str]:
    """Return the fields; NotAllowedError when the form was not posted by a page of ours.

    A browser tells other sites' requests apart by the Origin header; the double-submitted token
    holds where that header is missing.
    """
    if not _is_same_origin(request):
        raise NotAllowedError(text.FORM_FROM_ELSEWHERE)
    fields = dict(parse_qsl((await _small_body(request)).decode("utf-8", "replace")))
    kept = request.cookies.get(FORM_COOKIE, "")
    sent = fields.get(FORM_FIELD, "")
    if not kept or not hmac.compare_digest(kept.encode(), sent.encode()):
        raise NotAllowedError(text.FORM_TOO_OLD)
    return fields


def local_path(text_from_user: str) -> str:
    r"""Return the text if it is a path on this server, else ``/``.

    Browsers read ``//host`` and ``/\host`` as another server, so neither passes.
    """
    is_local = (
        text_from_user.startswith("/")
        and not text_from_user.startswith(("//", "/\\"))
        and text_from_user.isprintable()
        and "\\" not in text_from_user
    )
    return text_from_user if is_local else "/"


def _is_same_origin(request: Request) -> bool:
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = request.headers.get("origin")
    return origin is None or urlsplit(origin).netloc == request.headers.get("host")


async def _small_body(request: Request) -> bytes:
    body = b""
    try:
        async for chunk in request.stream():
            body += chunk
            if len(body) > MAX_FORM_BYTES:
                raise InvalidInputError(text.FORM_TOO_LARGE)
    except ClientDisconnect as error:
        raise InvalidInputError(text.FORM_TOO_OLD) from error
    return body

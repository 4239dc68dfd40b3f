"""The few pages that are plain HTML with forms: signing in, setting up, one's own account."""

from html import escape
from importlib.resources import files
from string import Template

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from triage_app.ui import text
from triage_app.ui.routes.forms import FORM_FIELD, form_token, set_form_cookie


def _asset(name: str) -> str:
    return files("triage_app.ui").joinpath("assets", name).read_text(encoding="utf-8")


class PlainPages:
    """Puts a body into our frame, with a token for its forms; nothing of it is kept by browsers."""

    def __init__(
        self, *, secure_cookie: bool, is_demo: bool = False, has_provider: bool = False
    ) -> None:
        self._secure_cookie = secure_cookie
        self.is_demo = is_demo
        self.has_provider = has_provider
        self._frame = Template(_asset("sign_in.html"))
        self._style = _asset("sign_in.css")
        self._script = _asset("sign_in.js")

    def answer(
        self, request: Request, body: str, *, status: int = 200, about: str = text.ABOUT
    ) -> Response:
        """Return the page; ``body`` is HTML in which ``$form_token`` stands for the token."""
        token = form_token(request)
        page = self._frame.substitute(
            title=escape(text.PROGRAM),
            style=self._style,
            script=self._script,
            demo="yes" if self.is_demo else "no",
            about=escape(about),
            body=body.replace("$form_token", escape(token)),
        )
        response = HTMLResponse(page, status_code=status, headers={"Cache-Control": "no-store"})
        set_form_cookie(response, token, secure=self.is_secure(request))
        return response

    def is_secure(self, request: Request) -> bool:
        """Tell whether this browser's cookies must never travel in clear.

        Also where a proxy says that it was reached over TLS: whoever makes that up keeps their own
        cookies from travelling, and nothing else.
        """
        schemes = {request.url.scheme, request.headers.get("x-forwarded-proto", "")}
        return self._secure_cookie or "https" in schemes


def hidden(name: str, value: str) -> str:
    return f'<input type="hidden" name="{escape(name)}" value="{typed(value)}">'


def token_field() -> str:
    """Return the hidden field that every form of ours carries."""
    return f'<input type="hidden" name="{FORM_FIELD}" value="$form_token">'


def problem_line(problem: str) -> str:
    # A "$" typed by a person must not be taken for the place of the token.
    shown = escape(problem).replace("$", "&#36;")
    return f'<p class="problem" role="alert">{shown}</p>' if problem else ""


def typed(value: str) -> str:
    """Return what a person typed as it may stand in our HTML."""
    return escape(value).replace("$", "&#36;")

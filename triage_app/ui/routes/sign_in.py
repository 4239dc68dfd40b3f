"""The sign-in page: a name and the shop's code, then an HttpOnly cookie."""

from html import escape
from importlib.resources import files
from string import Template

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.routes.forms import (
    FORM_FIELD,
    form_token,
    local_path,
    posted_form,
    set_form_cookie,
)
from triage_app.ui.routes.session import (
    drop_session_cookie,
    operator_of,
    set_session_cookie,
)
from triage_app.ui.routes.start import start_page
from triage_app.ui.wiring import SESSION_COOKIE


def _asset(name: str) -> str:
    return files("triage_app.ui").joinpath("assets", name).read_text(encoding="utf-8")


class SignInRoutes:
    def __init__(self, services: Services, *, secure_cookie: bool) -> None:
        self._services = services
        self._secure = secure_cookie
        self._page = Template(_asset("sign_in.html"))
        self._style = _asset("sign_in.css")

    def routes(self) -> list[Route]:
        return [
            Route("/sign-in", self.show, methods=["GET"]),
            Route("/sign-in", self.sign_in, methods=["POST"]),
            Route("/sign-out", self.show, methods=["GET"]),
            Route("/sign-out", self.sign_out, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        back = local_path(request.query_params.get("next", "/"))
        return await self._answer(request, back=back)

    async def sign_in(self, request: Request) -> Response:
        """Set the cookie and go on to where the person wanted to be; refuse with a sentence."""
        fields: dict[str, str] = {}
        try:
            fields = await posted_form(request)
            token = await run_in_threadpool(
                self._services.sign_in.sign_in,
                name=fields.get("name", ""),
                code=fields.get("code", ""),
            )
        except (NotAllowedError, InvalidInputError, StorageError) as error:
            return await self._answer(
                request,
                back=local_path(fields.get("next", "/")),
                name=fields.get("name", ""),
                problem=str(error),
                status=503 if isinstance(error, StorageError) else 403,
            )
        back = local_path(fields.get("next", "/"))
        if back == "/":
            back = await run_in_threadpool(start_page, self._services)
        response = RedirectResponse(back, status_code=303)
        set_session_cookie(response, token, secure=self._secure)
        return response

    async def sign_out(self, request: Request) -> Response:
        """End the session on the server, so that a copy of the cookie is worth nothing."""
        try:
            await posted_form(request)
        except (NotAllowedError, InvalidInputError) as error:
            return await self._answer(request, problem=str(error), status=403)
        token = request.cookies.get(SESSION_COOKIE)
        await run_in_threadpool(self._services.sign_in.sign_out, token)
        response = RedirectResponse("/sign-in", status_code=303)
        drop_session_cookie(response, secure=self._secure)
        return response

    async def _answer(
        self,
        request: Request,
        *,
        back: str = "/",
        name: str = "",
        problem: str = "",
        status: int = 200,
    ) -> Response:
        token = form_token(request)
        operator = await run_in_threadpool(operator_of, request, self._services)
        if operator is not None and not problem:
            body = _signed_in_body(operator.name, token=token, back=back)
        else:
            body = _form_body(token=token, back=back, name=name, problem=problem)
        page = self._page.substitute(
            title=escape(text.PROGRAM), style=self._style, body=body, about=escape(text.ABOUT)
        )
        response = HTMLResponse(page, status_code=status, headers={"Cache-Control": "no-store"})
        set_form_cookie(response, token, secure=self._secure)
        return response


def _form_body(*, token: str, back: str, name: str, problem: str) -> str:
    shown_problem = f'<p class="problem" role="alert">{escape(problem)}</p>' if problem else ""
    return f"""
    {shown_problem}
    <form method="post" action="/sign-in">
      {_hidden(FORM_FIELD, token)}{_hidden("next", back)}
      <label for="name">{escape(text.YOUR_NAME)}</label>
      <p class="hint" id="name-hint">{escape(text.YOUR_NAME_HINT)}</p>
      <input id="name" name="name" value="{escape(name)}" required minlength="2" maxlength="80"
             autocomplete="name" aria-describedby="name-hint" autofocus>
      <label for="code">{escape(text.SHOP_CODE)}</label>
      <p class="hint" id="code-hint">{escape(text.SHOP_CODE_HINT)}</p>
      <input id="code" name="code" required maxlength="200" autocomplete="off"
             autocapitalize="characters" spellcheck="false" aria-describedby="code-hint">
      <button type="submit">{escape(text.SIGN_IN)}</button>
    </form>"""


def _signed_in_body(name: str, *, token: str, back: str) -> str:
    return f"""
    <p>{escape(text.signed_in_as(name))}</p>
    <p><a class="button" href="{escape(back)}">{escape(text.GO_ON)}</a></p>
    <form method="post" action="/sign-out">
      {_hidden(FORM_FIELD, token)}
      <button type="submit" class="quiet">{escape(text.SIGN_OUT)}</button>
    </form>"""


def _hidden(name: str, value: str) -> str:
    return f'<input type="hidden" name="{escape(name)}" value="{escape(value)}">'

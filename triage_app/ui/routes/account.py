"""One's own account: the password, and the screens on which one is signed in.

A plain page, because what is typed on a Streamlit page stays in the memory of that page.
"""

from collections.abc import Callable
from html import escape

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from triage_app.domain.accounts import roles_in_words
from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.domain.sessions import Session
from triage_app.services import Services
from triage_app.services.sign_in import Seat
from triage_app.ui import people_text as text
from triage_app.ui.routes.forms import posted_form
from triage_app.ui.routes.plain_pages import PlainPages, problem_line, token_field, typed
from triage_app.ui.routes.session import operator_of, seat_of, token_of
from triage_app.ui.routes.sign_in_forms import password_field, sign_out_form

_Act = Callable[[Request, dict[str, str]], Response]


class AccountRoutes:
    def __init__(self, services: Services, pages: PlainPages) -> None:
        self._services = services
        self._pages = pages

    def routes(self) -> list[Route]:
        return [
            Route("/account", self.show, methods=["GET"]),
            Route("/account/password", self.change_password, methods=["POST"]),
            Route("/account/end-session", self.end_session, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        done = text.PASSWORD_CHANGED if "changed" in request.query_params else ""
        return await run_in_threadpool(self._show, request, done=done)

    async def change_password(self, request: Request) -> Response:
        """Change the password and end the other sessions; the page says which it was not."""
        return await self._change(request, self._change_password)

    async def end_session(self, request: Request) -> Response:
        return await self._change(request, self._end_session)

    async def _change(self, request: Request, act: _Act) -> Response:
        try:
            fields = await posted_form(request)
            return await run_in_threadpool(act, request, fields)
        except (NotAllowedError, InvalidInputError, StorageError) as error:
            status = 503 if isinstance(error, StorageError) else 403
            return await run_in_threadpool(self._show, request, problem=str(error), status=status)

    def _change_password(self, request: Request, fields: dict[str, str]) -> Response:
        by = operator_of(request, self._services)
        if by is None:
            return RedirectResponse("/sign-in?next=%2Faccount", status_code=303)
        self._services.own_account.change_password(
            now=fields.get("now", ""),
            new=fields.get("new", ""),
            token=token_of(request) or "",
            by=by,
        )
        return RedirectResponse("/account?changed=1", status_code=303)

    def _end_session(self, request: Request, fields: dict[str, str]) -> Response:
        by = operator_of(request, self._services)
        if by is not None:
            self._services.own_account.end_session(fields.get("session", ""), by=by)
        return RedirectResponse("/account", status_code=303)

    def _show(
        self, request: Request, *, problem: str = "", done: str = "", status: int = 200
    ) -> Response:
        seat = seat_of(request, self._services)
        if seat is None or seat.operator is None:
            return PlainTextResponse(text.LOCKED, status_code=403)
        account = seat.account
        sessions = self._services.own_account.sessions(by=seat.operator)
        line = text.sign_in_line(account.sign_in_name, roles_in_words(account.roles))
        body = f"""
    <h2>{typed(account.name)}</h2>
    <p>{typed(line)}</p>
    {problem_line(problem)}{f'<p class="done" role="status">{escape(done)}</p>' if done else ""}
    {self._password_form(seat)}
    <h3>{escape(text.YOUR_SCREENS)}</h3>
    <ul class="screens">{"".join(_screen(one, seat.session.id) for one in sessions)}</ul>
    <p><a class="button" href="/">{escape(text.GO_ON)}</a></p>
    {sign_out_form()}"""
        return self._pages.answer(request, body, status=status, about=text.OWN_ACCOUNT)

    def _password_form(self, seat: Seat) -> str:
        if not seat.account.password_hash:
            return f"<p>{escape(text.NO_PASSWORD_HERE)}</p>"
        least = self._services.shop_settings.now().password_min_length
        return f"""
    <form method="post" action="/account/password">
      {token_field()}
      <h3>{escape(text.CHANGE_PASSWORD)}</h3>
      {password_field("now", text.PASSWORD_NOW, "current-password")}
      {password_field("new", text.NEW_PASSWORD, "new-password", text.password_hint(least))}
      <button type="submit">{escape(text.CHANGE_PASSWORD)}</button>
    </form>"""


def _screen(session: Session, current: str) -> str:
    here = session.id == current
    way = (
        f"<b>{escape(text.THIS_SCREEN)}</b>"
        if here
        else f"""<form method="post" action="/account/end-session">{token_field()}
        <input type="hidden" name="session" value="{typed(session.id)}">
        <button type="submit" class="small">{escape(text.END_SESSION)}</button></form>"""
    )
    return f"<li><span>{typed(text.screen_line(session))}</span>{way}</li>"

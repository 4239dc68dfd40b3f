"""The first start: the start code makes the first administrator, and nothing after that."""

from html import escape

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.domain.permissions import ROLE_NAMES, Role
from triage_app.services import Services
from triage_app.ui import people_text as text
from triage_app.ui.routes.forms import posted_form
from triage_app.ui.routes.plain_pages import PlainPages, problem_line, token_field, typed
from triage_app.ui.routes.session import caller_of, set_people_cookie, set_session_cookie
from triage_app.ui.routes.sign_in_forms import password_field

# An adjuster is somebody else's; whoever sets a shop up may well work in it too.
_OTHER_ROLES = (Role.SENIOR_TECHNICIAN, Role.ESTIMATOR)


class SetUpRoutes:
    def __init__(self, services: Services, pages: PlainPages) -> None:
        self._services = services
        self._pages = pages

    def routes(self) -> list[Route]:
        return [
            Route("/set-up", self.show, methods=["GET"]),
            Route("/set-up", self.set_up, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        return await run_in_threadpool(self._show, request, {}, "", 200)

    async def set_up(self, request: Request) -> Response:
        """Make the first account, sign its person in, and go on to the page of people."""
        fields: dict[str, str] = {}
        try:
            fields = await posted_form(request)
            return await run_in_threadpool(self._set_up, request, fields)
        except (NotAllowedError, InvalidInputError, StorageError) as error:
            status = 503 if isinstance(error, StorageError) else 403
            return await run_in_threadpool(self._show, request, fields, str(error), status)

    def _set_up(self, request: Request, fields: dict[str, str]) -> Response:
        token = self._services.sign_in.set_up(
            code=fields.get("code", ""),
            name=fields.get("name", ""),
            password=fields.get("password", ""),
            roles=[role for role in _OTHER_ROLES if fields.get(role)],
            caller=caller_of(request),
        )
        response = RedirectResponse("/people", status_code=303)
        seat = self._services.sign_in.seat(token)
        if seat is not None:
            set_people_cookie(response, [seat.account.id], secure=self._pages.is_secure(request))
        set_session_cookie(response, token, secure=self._pages.is_secure(request))
        return response

    def _show(
        self, request: Request, fields: dict[str, str], problem: str, status: int
    ) -> Response:
        if not self._services.sign_in.needs_set_up():
            return RedirectResponse("/sign-in", status_code=303)
        least = self._services.shop_settings.now().password_min_length
        boxes = "".join(_box(role, is_on=bool(fields.get(role))) for role in _OTHER_ROLES)
        body = f"""
    <h2>{escape(text.SET_UP)}</h2>
    <p>{escape(text.SET_UP_WHY)}</p>
    {problem_line(problem)}
    <form method="post" action="/set-up">
      {token_field()}
      <label for="code">{escape(text.START_CODE)}</label>
      <p class="hint" id="code-hint">{escape(text.START_CODE_HINT)}</p>
      <input id="code" name="code" value="{typed(fields.get("code", ""))}" required maxlength="200"
             autocomplete="off" autocapitalize="characters" spellcheck="false"
             aria-describedby="code-hint">
      <label for="name">{escape(text.YOUR_NAME)}</label>
      <p class="hint" id="name-hint">{escape(text.YOUR_NAME_HINT)}</p>
      <input id="name" name="name" value="{typed(fields.get("name", ""))}" required minlength="2"
             maxlength="80" autocomplete="name" aria-describedby="name-hint" autofocus>
      {password_field("password", text.PASSWORD, "new-password", text.password_hint(least))}
      <fieldset><legend>{escape(text.SET_UP_ROLES)}</legend>{boxes}
      <p class="hint">{escape(text.SET_UP_ROLES_HINT)}</p></fieldset>
      <button type="submit">{escape(text.SET_UP_DO)}</button>
    </form>"""
        return self._pages.answer(request, body, status=status)


def _box(role: Role, *, is_on: bool) -> str:
    checked = " checked" if is_on else ""
    return (
        f'<label class="box"><input type="checkbox" name="{role}" value="1"{checked}>'
        f"<span>{escape(ROLE_NAMES[role])}</span></label>"
    )

"""Signing in and out: a name and a password, then an HttpOnly cookie."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import (
    InvalidInputError,
    NotAllowedError,
    OwnPasswordNeededError,
    StorageError,
)
from triage_app.services import Services
from triage_app.services.sign_in import Caller
from triage_app.ui.routes.forms import local_path, posted_form
from triage_app.ui.routes.outside import has_arrived
from triage_app.ui.routes.plain_pages import PlainPages
from triage_app.ui.routes.session import (
    caller_of,
    drop_session_cookie,
    known_people,
    seat_of,
    set_people_cookie,
    set_session_cookie,
    token_of,
)
from triage_app.ui.routes.sign_in_forms import own_password_body, sign_in_body, signed_in_body
from triage_app.ui.routes.start import start_page


class SignInRoutes:
    def __init__(self, services: Services, pages: PlainPages) -> None:
        self._services = services
        self._pages = pages

    def routes(self) -> list[Route]:
        return [
            Route("/sign-in", self.show, methods=["GET"]),
            Route("/sign-in", self.sign_in, methods=["POST"]),
            Route("/sign-out", self.show, methods=["GET"]),
            Route("/sign-out", self.sign_out, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        """Show the form; whom it is for is clear where a session is locked or a tile was taken."""
        return await run_in_threadpool(self._show, request)

    def _show(self, request: Request) -> Response:
        back = local_path(request.query_params.get("next", "/"))
        if self._pages.has_provider and has_arrived(request.cookies):
            return RedirectResponse("/sign-in/arrived", status_code=303)
        if self._services.sign_in.needs_set_up():
            return RedirectResponse("/set-up", status_code=303)
        seat = seat_of(request, self._services)
        is_switch = "switch" in request.query_params
        if seat is not None and not seat.locked and not is_switch:
            return self._pages.answer(request, signed_in_body(seat.account.name, back=back))
        asked = request.query_params.get("who", "")
        people = self._services.sign_in.faces(known_people(request))
        name = asked if any(person.sign_in_name == asked for person in people) else ""
        locked_for = ""
        if seat is not None and seat.locked and not is_switch:
            name, locked_for = seat.account.sign_in_name, seat.account.name
        return self._form(request, back=back, name=name, locked_for=locked_for)

    async def sign_in(self, request: Request) -> Response:
        """Set the cookie and go on to where the person wanted to be; refuse with a sentence."""
        fields: dict[str, str] = {}
        try:
            fields = await posted_form(request)
            token = await run_in_threadpool(self._token_for, fields, caller_of(request))
        except OwnPasswordNeededError as error:
            return await run_in_threadpool(self._choose_own, request, fields, str(error))
        except (NotAllowedError, InvalidInputError, StorageError) as error:
            if isinstance(error, InvalidInputError) and fields.get("own"):
                return await run_in_threadpool(self._choose_own, request, fields, str(error))
            return await run_in_threadpool(self._refused, request, fields, error)
        return await run_in_threadpool(self._go_on, request, token, fields.get("next", "/"))

    def _token_for(self, fields: dict[str, str], caller: Caller) -> str:
        return self._services.sign_in.sign_in(
            name=fields.get("name", ""),
            password=fields.get("password", ""),
            own=fields.get("own", ""),
            caller=caller,
        )

    def _go_on(self, request: Request, token: str, wanted: str) -> Response:
        # The session that was here before ends: nobody goes on in it, and no token is kept.
        self._services.sign_in.sign_out(token_of(request))
        back = local_path(wanted)
        response = RedirectResponse(
            start_page(self._services) if back == "/" else back, status_code=303
        )
        seat = self._services.sign_in.seat(token)
        if seat is not None:
            people = [seat.account.id, *known_people(request)]
            set_people_cookie(response, people, secure=self._pages.is_secure(request))
        set_session_cookie(response, token, secure=self._pages.is_secure(request))
        return response

    async def sign_out(self, request: Request) -> Response:
        """End the session on the server, so that a copy of the cookie is worth nothing."""
        try:
            await posted_form(request)
        except (NotAllowedError, InvalidInputError) as error:
            return await run_in_threadpool(self._refused, request, {}, error)
        await run_in_threadpool(self._services.sign_in.sign_out, token_of(request))
        response = RedirectResponse("/sign-in", status_code=303)
        drop_session_cookie(response, secure=self._pages.is_secure(request))
        return response

    def _refused(self, request: Request, fields: dict[str, str], error: Exception) -> Response:
        return self._form(
            request,
            back=local_path(fields.get("next", "/")),
            name=fields.get("name", ""),
            problem=str(error),
            status=503 if isinstance(error, StorageError) else 403,
        )

    def _choose_own(self, request: Request, fields: dict[str, str], problem: str) -> Response:
        body = own_password_body(
            name=fields.get("name", ""),
            password=fields.get("password", ""),
            back=local_path(fields.get("next", "/")),
            problem=problem,
            least=self._services.shop_settings.now().password_min_length,
        )
        return self._pages.answer(request, body, status=403)

    def _form(
        self,
        request: Request,
        *,
        back: str,
        name: str,
        problem: str = "",
        locked_for: str = "",
        status: int = 200,
    ) -> Response:
        body = sign_in_body(
            back=back,
            people=self._services.sign_in.faces(known_people(request)),
            name=name,
            problem=problem,
            locked_for=locked_for,
            is_demo=self._pages.is_demo,
            has_provider=self._pages.has_provider,
        )
        return self._pages.answer(request, body, status=status)

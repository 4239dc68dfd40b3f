"""Locking a screen that is left alone, and going on with it: what the cover on a page calls."""

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import InvalidInputError, NotAllowedError, StorageError
from triage_app.services import Services
from triage_app.ui import people_text as text
from triage_app.ui.routes.forms import posted_form
from triage_app.ui.routes.session import caller_of, operator_of, seat_of, token_of

_Act = Callable[[Request, dict[str, str]], None]


class LockRoutes:
    """Every answer is 204, or a sentence: 401 where the session is over, 403 where refused."""

    def __init__(self, services: Services) -> None:
        self._services = services

    def routes(self) -> list[Route]:
        return [
            Route("/session/lock", self.lock, methods=["POST"]),
            Route("/session/unlock", self.unlock, methods=["POST"]),
            Route("/session/used", self.used, methods=["POST"]),
        ]

    async def lock(self, request: Request) -> Response:
        """Lock the session; whoever has the tablet may, since it only makes things stricter."""
        return await self._answer(request, self._lock)

    async def unlock(self, request: Request) -> Response:
        """Go on with the same session, at the same place, once its person's password was given."""
        return await self._answer(request, self._unlock)

    async def used(self, request: Request) -> Response:
        """Note that somebody worked on this page, as typing and drawing by itself tells nobody."""
        return await self._answer(request, self._used)

    async def _answer(self, request: Request, act: _Act) -> Response:
        try:
            fields = await posted_form(request)
            if await run_in_threadpool(seat_of, request, self._services) is None:
                return PlainTextResponse(text.SESSION_OVER, status_code=401)
            await run_in_threadpool(act, request, fields)
        except (NotAllowedError, InvalidInputError) as error:
            return PlainTextResponse(str(error), status_code=403)
        except StorageError as error:
            return PlainTextResponse(str(error), status_code=503)
        return Response(status_code=204)

    def _lock(self, request: Request, _: dict[str, str]) -> None:
        self._services.sign_in.lock(token_of(request))

    def _unlock(self, request: Request, fields: dict[str, str]) -> None:
        self._services.sign_in.unlock(
            token_of(request), password=fields.get("password", ""), caller=caller_of(request)
        )

    def _used(self, request: Request, _: dict[str, str]) -> None:
        if operator_of(request, self._services) is None:
            raise NotAllowedError(text.LOCKED)

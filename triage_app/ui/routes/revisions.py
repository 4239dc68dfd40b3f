"""The revision of a case, for a screen that looks whether somebody else changed it."""

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import TriageError
from triage_app.domain.ids import CaseId, checked_id
from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.routes.session import seat_of
from triage_app.ui.routes.status import status_of


class RevisionRoutes:
    def __init__(self, services: Services) -> None:
        self._services = services

    def routes(self) -> list[Route]:
        return [Route("/revisions/{case_id}", self.revision, methods=["GET"])]

    def revision(self, request: Request) -> Response:
        """Answer with the number, 403 to strangers and to a locked screen, 404 otherwise.

        A screen asks by itself, so this does not count as use: it must still lock in time.
        """
        seat = seat_of(request, self._services)
        if seat is None or seat.operator is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        try:
            case = self._services.cases.get(CaseId(checked_id(request.path_params["case_id"])))
        except TriageError as error:
            return PlainTextResponse(str(error), status_code=status_of(error))
        return JSONResponse({"revision": case.revision}, headers={"Cache-Control": "no-store"})

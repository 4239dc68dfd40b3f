"""Issued Word reports, for signed-in people only."""

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import TriageError
from triage_app.domain.ids import CaseId, checked_id, checked_sha256
from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.routes.session import operator_of
from triage_app.ui.routes.status import status_of

WORD_TYPE = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"


class ReportRoutes:
    def __init__(self, services: Services) -> None:
        self._services = services

    def routes(self) -> list[Route]:
        return [Route("/reports/{case_id}/{sha256}", self.report, methods=["GET"])]

    def report(self, request: Request) -> Response:
        """Answer with the stored file, byte for byte as it was issued; 403 to strangers."""
        operator = operator_of(request, self._services)
        if operator is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        try:
            issued = self._services.reporting.load(
                CaseId(checked_id(request.path_params["case_id"])),
                checked_sha256(request.path_params["sha256"]),
                by=operator,
            )
        except TriageError as error:
            return PlainTextResponse(str(error), status_code=status_of(error))
        return Response(
            issued.data,
            media_type=WORD_TYPE,
            headers={
                "Content-Disposition": attachment(issued.report.file_name),
                "Cache-Control": "private, no-store",
            },
        )


def attachment(file_name: str) -> str:
    """Return the header value; the plain name for old readers, RFC 6266's form for all others."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "_" for c in file_name)
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(file_name, safe='')}"

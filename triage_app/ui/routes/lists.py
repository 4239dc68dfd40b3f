"""The findings as CSV, the marks as Web Annotations, and a report as PDF, for signed-in people."""

import json
from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.casefile.annotations import annotations
from triage_app.domain.case import Case
from triage_app.domain.errors import TriageError
from triage_app.domain.ids import CaseId, checked_id, checked_sha256
from triage_app.domain.signed import Operator
from triage_app.report.findings_list import csv_of, finding_rows, finding_tags
from triage_app.report.pdf import pdf_of
from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.picture_links import FINDINGS_FILE, MARKS_FILE
from triage_app.ui.routes.reports import attachment
from triage_app.ui.routes.session import operator_of
from triage_app.ui.routes.status import status_of

_File = tuple[str, str, bytes]


class ListRoutes:
    def __init__(self, services: Services) -> None:
        self._services = services

    def routes(self) -> list[Route]:
        return [
            Route(f"/lists/{{case_id}}/{FINDINGS_FILE}", self.findings, methods=["GET"]),
            Route(f"/lists/{{case_id}}/{MARKS_FILE}", self.marks, methods=["GET"]),
            Route("/reports/{case_id}/{sha256}/pdf", self.pdf, methods=["GET"]),
        ]

    def findings(self, request: Request) -> Response:
        """Answer with the findings that count, worst first; 403 to strangers."""
        return self._answered(request, self._findings)

    def marks(self, request: Request) -> Response:
        """Answer with every mark of every finding that counts; 403 to strangers."""
        return self._answered(request, self._marks)

    def pdf(self, request: Request) -> Response:
        """Answer with an issued report as PDF, made anew by LibreOffice; 403 to strangers."""
        return self._answered(request, self._pdf)

    def _answered(self, request: Request, make: Callable[[Request, Operator], _File]) -> Response:
        operator = operator_of(request, self._services)
        if operator is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        try:
            name, media_type, data = make(request, operator)
        except TriageError as error:
            return PlainTextResponse(str(error), status_code=status_of(error))
        headers = {"Content-Disposition": attachment(name), "Cache-Control": "private, no-store"}
        return Response(data, media_type=media_type, headers=headers)

    def _findings(self, request: Request, by: Operator) -> _File:
        case = self._case(request)
        assessment = self._services.triage.assess(case.id, by=by)
        rows = finding_rows(case, assessment, self._services.rulebook)
        return f"{case.reference}-{FINDINGS_FILE}", "text/csv; charset=utf-8", csv_of(rows)

    def _marks(self, request: Request, by: Operator) -> _File:
        case = self._case(request)
        assessment = self._services.triage.assess(case.id, by=by)
        tags = finding_tags(case, assessment, self._services.rulebook)
        data = json.dumps(annotations(case, tags), indent=2, ensure_ascii=False).encode()
        return f"{case.reference}-{MARKS_FILE}", "application/ld+json", data

    def _pdf(self, request: Request, by: Operator) -> _File:
        issued = self._services.reporting.load(
            _case_id(request), checked_sha256(request.path_params["sha256"]), by=by
        )
        name = issued.report.file_name.removesuffix(".docx")
        return f"{name}.pdf", "application/pdf", pdf_of(issued.data)

    def _case(self, request: Request) -> Case:
        return self._services.cases.get(_case_id(request))


def _case_id(request: Request) -> CaseId:
    return CaseId(checked_id(request.path_params["case_id"]))

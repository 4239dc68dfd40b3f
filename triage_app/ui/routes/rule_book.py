"""The rule book as a Word document, for signed-in people."""

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.bootstrap import rule_book_file
from triage_app.services import Services
from triage_app.settings import Settings
from triage_app.ui import text
from triage_app.ui.picture_links import RULE_BOOK_LINK
from triage_app.ui.routes.reports import WORD_TYPE, attachment
from triage_app.ui.routes.session import operator_of


class RuleBookRoutes:
    def __init__(self, services: Services, settings: Settings) -> None:
        self._services = services
        self._settings = settings

    def routes(self) -> list[Route]:
        return [Route(RULE_BOOK_LINK, self.rule_book, methods=["GET"])]

    def rule_book(self, request: Request) -> Response:
        """Answer with the book as it is now; 403 to strangers."""
        operator = operator_of(request, self._services)
        if operator is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        book = self._services.rulebook
        return Response(
            rule_book_file(self._settings, book, by=operator.name),
            media_type=WORD_TYPE,
            headers={
                "Content-Disposition": attachment(f"rule-book-r{book.stamp.revision}.docx"),
                "Cache-Control": "private, no-store",
            },
        )

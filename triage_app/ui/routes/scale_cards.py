"""The printable sheets of scale cards, for signed-in people."""

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.imaging.card_sheet import PAPER_MM, card_pdf
from triage_app.services import Services
from triage_app.ui import text
from triage_app.ui.picture_links import card_link
from triage_app.ui.routes.reports import attachment
from triage_app.ui.routes.session import operator_of


class ScaleCardRoutes:
    def __init__(self, services: Services) -> None:
        self._services = services

    def routes(self) -> list[Route]:
        return [Route(card_link(paper), self.sheet, methods=["GET"]) for paper in PAPER_MM]

    def sheet(self, request: Request) -> Response:
        """Answer with the sheet for one size of paper, at true size; 403 to strangers."""
        if operator_of(request, self._services) is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        paper = next(paper for paper in PAPER_MM if card_link(paper) == request.url.path)
        return Response(
            card_pdf(paper),
            media_type="application/pdf",
            headers={
                "Content-Disposition": attachment(f"scale-cards-{paper}.pdf"),
                "Cache-Control": "private, no-store",
            },
        )

"""Pictures of a case, for signed-in people only; never by an open media address."""

import threading
from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.domain.case import Photo
from triage_app.domain.errors import InvalidInputError, TriageError
from triage_app.domain.ids import CaseId, PhotoId, checked_id
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.permission import require
from triage_app.ui import text
from triage_app.ui.picture_links import SIDES_PX
from triage_app.ui.routes.session import operator_of
from triage_app.ui.routes.status import status_of

# A 60 MP photo takes some 200 MB while it is decoded, so few are decoded at once.
_DECODES_AT_ONCE = 2


class PictureRoutes:
    def __init__(self, services: Services) -> None:
        self._services = services
        self._decoding = threading.BoundedSemaphore(_DECODES_AT_ONCE)

    def routes(self) -> list[Route]:
        return [
            Route("/pictures/{case_id}/{photo_id}", self.picture, methods=["GET"]),
            Route("/pictures/{case_id}/{photo_id}/edges", self.edges, methods=["GET"]),
        ]

    def picture(self, request: Request) -> Response:
        """Answer 200 with a JPEG, 304 when the browser has it, 403 to strangers, 404 otherwise.

        A plain function, so that Starlette runs it in a thread and no decode holds up others.
        """
        return self._answer(request, self._picture)

    def edges(self, request: Request) -> Response:
        """Answer as ``picture`` does, with the photo's strong edges as a PNG."""
        return self._answer(request, self._edges)

    def _answer(self, request: Request, make: Callable[[Request, Operator], Response]) -> Response:
        operator = operator_of(request, self._services)
        if operator is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        try:
            return make(request, operator)
        except TriageError as error:
            return PlainTextResponse(str(error), status_code=status_of(error))

    def _picture(self, request: Request, by: Operator) -> Response:
        # First, so that a browser's own copy is no way around it.
        require(by, Action.READ)
        side_px = _side_px(request.query_params.get("side"))
        case_id, photo = self._asked_for(request)
        headers = _kept_by_the_browser(photo, str(side_px or "full"))
        if headers["ETag"] in request.headers.get("if-none-match", ""):
            return Response(status_code=304, headers=headers)
        with self._decoding:
            data = self._services.intake.photo_jpeg(
                case_id, photo.id, by=by, longest_side_px=side_px
            )
        return Response(data, media_type="image/jpeg", headers=headers)

    def _edges(self, request: Request, by: Operator) -> Response:
        require(by, Action.READ)
        case_id, photo = self._asked_for(request)
        headers = _kept_by_the_browser(photo, "edges")
        if headers["ETag"] in request.headers.get("if-none-match", ""):
            return Response(status_code=304, headers=headers)
        with self._decoding:
            data = self._services.intake.photo_edges(case_id, photo.id, by=by)
        return Response(data, media_type="image/png", headers=headers)

    def _asked_for(self, request: Request) -> tuple[CaseId, Photo]:
        case_id = CaseId(checked_id(request.path_params["case_id"]))
        photo_id = PhotoId(checked_id(request.path_params["photo_id"]))
        return case_id, self._services.cases.get(case_id).photo(photo_id)


def _kept_by_the_browser(photo: Photo, what: str) -> dict[str, str]:
    """Return headers for a picture that never changes.

    Asked again each time ("no-cache"): after signing out the browser's copy shows nothing.
    """
    return {
        "Cache-Control": "private, no-cache",
        "ETag": f'"{photo.sha256[:32]}-{what}"',
    }


def _side_px(asked: str | None) -> int | None:
    """Return an allowed longest side; None is the full size. Few sizes, so few are made."""
    if asked is None or asked == "full":
        return None
    if asked not in {str(side) for side in SIDES_PX}:
        sizes = ", ".join(str(side) for side in SIDES_PX)
        raise InvalidInputError(text.bad_picture_side(sizes))
    return int(asked)

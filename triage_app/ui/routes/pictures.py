"""Pictures of a case, for signed-in people only; never by an open media address."""

import threading

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from triage_app.domain.errors import InvalidInputError, TriageError
from triage_app.domain.ids import CaseId, PhotoId, checked_id
from triage_app.services import Services
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
        return [Route("/pictures/{case_id}/{photo_id}", self.picture, methods=["GET"])]

    def picture(self, request: Request) -> Response:
        """Answer 200 with a JPEG, 304 when the browser has it, 403 to strangers, 404 otherwise.

        A plain function, so that Starlette runs it in a thread and no decode holds up others.
        """
        if operator_of(request, self._services) is None:
            return PlainTextResponse(text.NOT_SIGNED_IN, status_code=403)
        try:
            return self._picture(request)
        except TriageError as error:
            return PlainTextResponse(str(error), status_code=status_of(error))

    def _picture(self, request: Request) -> Response:
        side_px = _side_px(request.query_params.get("side"))
        case_id = CaseId(checked_id(request.path_params["case_id"]))
        photo_id = PhotoId(checked_id(request.path_params["photo_id"]))
        photo = self._services.cases.get(case_id).photo(photo_id)
        # Asked again each time ("no-cache"): after signing out the browser's copy shows nothing.
        headers = {
            "Cache-Control": "private, no-cache",
            "ETag": f'"{photo.sha256[:32]}-{side_px or "full"}"',
        }
        if headers["ETag"] in request.headers.get("if-none-match", ""):
            return Response(status_code=304, headers=headers)
        with self._decoding:
            data = self._services.intake.photo_jpeg(case_id, photo_id, longest_side_px=side_px)
        return Response(data, media_type="image/jpeg", headers=headers)


def _side_px(asked: str | None) -> int | None:
    """Return an allowed longest side; None is the full size. Few sizes, so few are made."""
    if asked is None or asked == "full":
        return None
    if asked not in {str(side) for side in SIDES_PX}:
        sizes = ", ".join(str(side) for side in SIDES_PX)
        raise InvalidInputError(text.bad_picture_side(sizes))
    return int(asked)

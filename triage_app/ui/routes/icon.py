"""Our own small picture for the browser's tab, in the place of Streamlit's."""

from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route


def icon_route() -> Route:
    """Return the route under the name that Streamlit's page asks for; browsers go by the type."""
    drawing = files("triage_app.ui").joinpath("assets", "icon.svg").read_bytes()

    def icon(_: Request) -> Response:
        return Response(drawing, media_type="image/svg+xml")

    return Route("/favicon.png", icon, methods=["GET"])

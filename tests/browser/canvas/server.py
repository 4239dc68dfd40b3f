"""Serves the page of the canvas tests: ``python -m tests.browser.canvas.server PORT``."""

import io
import sys
from functools import cache
from pathlib import Path

from PIL import Image, ImageDraw
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from streamlit import App

from tests.browser.canvas.marks_on_file import HEIGHT_PX, STORE, WIDTH_PX, MarksOnFile
from triage_app.domain.commands import RemoveMark, ReshapeMark
from triage_app.domain.geometry import rectangle

COOKIE = "canvas_test"


@cache
def picture(width_px: int) -> bytes:
    """Return the test photo at a width: a grid of 100 px squares over light and dark bands."""
    image = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), "#7d8288")
    draw = ImageDraw.Draw(image)
    for band in range(0, WIDTH_PX, 800):
        shade = 20 + (band // 800) * 45
        draw.rectangle((band, 0, band + 400, HEIGHT_PX), fill=(shade, shade + 5, shade + 10))
    for at in range(0, WIDTH_PX, 100):
        draw.line((at, 0, at, HEIGHT_PX), fill="#c8cdd2", width=1)
        draw.line((0, at, WIDTH_PX, at), fill="#c8cdd2", width=1)
    kept = io.BytesIO()
    image.resize((width_px, width_px * HEIGHT_PX // WIDTH_PX)).save(kept, "JPEG")
    return kept.getvalue()


def show_picture(request: Request) -> Response:
    if request.cookies.get("signed_in") != COOKIE:
        return Response("Sign in first.", status_code=403)
    width_px = {"preview.jpg": 2048, "full.jpg": WIDTH_PX}[request.path_params["name"]]
    return Response(picture(width_px), media_type="image/jpeg")


def show_store(_: Request) -> Response:
    return JSONResponse(STORE.as_json())


def start_anew(_: Request) -> Response:
    fresh = MarksOnFile()
    STORE.case, STORE.log, STORE.is_full, STORE.runs = fresh.case, [], False, 0
    return JSONResponse({})


def fill_disk(request: Request) -> Response:
    STORE.is_full = request.path_params["how"] == "full"
    return JSONResponse({})


def somebody_else(request: Request) -> Response:
    """Do what a second person would: reshape or remove a mark behind the tab's back."""
    mark_id = request.path_params["mark_id"]
    mark = next(mark for mark in STORE.canvas_marks() if mark.mark_id == mark_id)
    if request.path_params["what"] == "removes":
        STORE.apply(RemoveMark(mark_id=mark.mark_id))
    else:
        outline = rectangle(0.7, 0.7, 0.9, 0.9)
        STORE.apply(
            ReshapeMark(mark_id=mark.mark_id, outline=outline, expected_revision=mark.revision)
        )
    return JSONResponse({})


def main() -> None:
    app = App(
        Path(__file__).with_name("app.py"),
        routes=[
            Route("/pictures/{name}", show_picture),
            Route("/test/store", show_store),
            Route("/test/anew", start_anew),
            Route("/test/disk/{how}", fill_disk),
            Route("/test/somebody/{what}/{mark_id}", somebody_else),
        ],
    )
    app.run(
        config={
            "server.address": "127.0.0.1",
            "server.port": int(sys.argv[1]),
            "server.headless": True,
            "server.fileWatcherType": "none",
            "browser.gatherUsageStats": False,
            "client.toolbarMode": "minimal",
            "logger.hideWelcomeMessage": True,
        }
    )


if __name__ == "__main__":
    main()

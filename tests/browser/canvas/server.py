"""Serves the page of the canvas tests: ``python -m tests.browser.canvas.server PORT``."""

import io
import math
import sys
from functools import cache
from pathlib import Path

from PIL import Image, ImageDraw
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from streamlit import App

from tests.browser.canvas.marks_on_file import HEIGHT_PX, PHOTO, STORE, WIDTH_PX, MarksOnFile
from triage_app.domain.case import Tags
from triage_app.domain.commands import AddMark, RemoveMark, ReshapeMark
from triage_app.domain.geometry import polygon, rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.imaging.edges import edges_png

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
    if request.path_params["name"] == "edges.png":
        return Response(edges_png(picture(WIDTH_PX)), media_type="image/png")
    width_px = {"preview.jpg": 2048, "full.jpg": WIDTH_PX}[request.path_params["name"]]
    return Response(picture(width_px), media_type="image/jpeg")


def show_store(_: Request) -> Response:
    return JSONResponse(STORE.as_json())


def show_revision(_: Request) -> Response:
    return JSONResponse({"revision": len(STORE.log)})


def start_anew(_: Request) -> Response:
    fresh = MarksOnFile()
    STORE.case, STORE.log, STORE.is_full, STORE.runs = fresh.case, [], False, 0
    return JSONResponse({})


def draw_many(request: Request) -> Response:
    """Put many polygons of 24 corners on the photo, as after a long day."""
    count = int(request.path_params["count"])
    for number in range(count):
        middle = (0.06 + 0.098 * (number % 10), 0.06 + 0.098 * (number // 10 % 10))
        ring = [
            (middle[0] + 0.035 * math.cos(turn), middle[1] + 0.035 * math.sin(turn))
            for turn in (math.tau * step / 24 for step in range(24))
        ]
        STORE.apply(
            AddMark(
                finding_id=FindingId(f"many-{number}"),
                mark_id=MarkId(f"many-mark-{number}"),
                photo_id=PHOTO,
                outline=polygon(ring),
                tags=Tags(note="Skid plate, scrape"),
            )
        )
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
            Route("/test/revision", show_revision),
            Route("/test/disk/{how}", fill_disk),
            Route("/test/many/{count}", draw_many),
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

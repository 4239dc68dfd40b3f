"""Our component as Streamlit mounts it: package files, passed inline, without an iframe.

Inline works from a checkout and from a wheel alike, but Streamlit sends inline code again with
each change of data. So there are two: one holds all the code, never changes and is therefore sent
once; the other has the data and a few lines that hand over to that code. Line breaks stay in,
because Streamlit takes code on one line for the name of a file.
"""

import json
from functools import cache
from importlib.resources import files

from streamlit.components.v2 import component
from streamlit.components.v2.types import ComponentRenderer

_SCRIPTS = (
    "words",
    "geometry",
    "handles",
    "stroke",
    "view",
    "outbox",
    "photo",
    "tags",
    "ink",
    "edges",
    "loupe",
    "reach",
    "watch",
    "acts",
    "hands",
    "keys",
    "bar",
    "editor",
    "canvas",
)


@cache
def code_component() -> ComponentRenderer:
    """Return the function that brings the canvas's code into the page; it shows nothing."""
    return component("underbody_photo_canvas_code", js=script())


@cache
def canvas_component() -> ComponentRenderer:
    """Return the function that mounts a canvas."""
    return component("underbody_photo_canvas", js=compact(_read("mount.js")))


def script() -> str:
    """Return all of the browser's code, with its markup and style, as one module."""
    markup, style = json.dumps(_read("canvas.html")), json.dumps(_read("canvas.css"))
    held = f"const MARKUP = {markup};\nconst STYLE = {style};\n"
    return held + compact("".join(_read(f"{name}.js") for name in _SCRIPTS))


def compact(text: str) -> str:
    """Return ``text`` without indentation, empty lines and lines that are a ``//`` comment."""
    lines = (line.strip() for line in text.splitlines())
    return "".join(f"{line}\n" for line in lines if line and not line.startswith("//"))


def _read(name: str) -> str:
    assets = files("triage_app.ui.widgets.photo_canvas").joinpath("assets")
    return assets.joinpath(name).read_text(encoding="utf-8")

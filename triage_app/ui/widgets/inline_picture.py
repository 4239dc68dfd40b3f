"""Small drawings of ours inside a page: Streamlit strips SVG from HTML but lets pictures be."""

from base64 import b64encode
from html import escape


def svg_picture(svg: str, *, alt: str, css_class: str, size_px: int | None = None) -> str:
    """Return an ``img`` that holds the drawing itself; nothing is fetched for it."""
    data = b64encode(svg.encode()).decode("ascii")
    size = f' width="{size_px}" height="{size_px}"' if size_px else ""
    source = f"data:image/svg+xml;base64,{data}"
    return f'<img class="{css_class}"{size} alt="{escape(alt)}" src="{source}">'


def svg_document(body: str, *, view_box: str) -> str:
    """Return a whole SVG document around some shapes."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view_box}">{body}</svg>'

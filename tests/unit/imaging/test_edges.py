"""The picture of strong edges, on a photo whose edges are known."""

import io

import numpy as np
from PIL import Image

from triage_app.imaging.edges import edges_png


def a_photo(turned: int | None = None) -> bytes:
    """Return a light box from (100, 60) to (300, 200) on dark ground, as a JPEG."""
    pixels = np.full((300, 400), 40, np.uint8)
    pixels[60:200, 100:300] = 200
    kept, exif = io.BytesIO(), Image.Exif()
    if turned:
        exif[0x0112] = turned
    Image.fromarray(pixels).convert("RGB").save(kept, "JPEG", quality=95, exif=exif)
    return kept.getvalue()


def edges_of(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(edges_png(data))))


def test_an_edge_lies_within_a_pixel_of_where_it_is() -> None:
    edges = edges_of(a_photo())
    row = np.flatnonzero(edges[130])
    column = np.flatnonzero(edges[:, 200])
    assert [min(row, key=lambda x: abs(x - at)) - at for at in (100, 300)] in ([0, 0], [-1, -1])
    assert len(row) == 2
    assert [min(column, key=lambda y: abs(y - at)) - at for at in (60, 200)] in ([0, 0], [-1, -1])


def test_plain_ground_has_no_edge() -> None:
    assert edges_of(a_photo())[20:50, 20:80].max() == 0


def test_edges_are_those_of_the_upright_photo() -> None:
    assert edges_of(a_photo(turned=6)).shape == (400, 300)

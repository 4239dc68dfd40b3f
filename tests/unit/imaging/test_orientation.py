"""Orientation 1 to 8 in every format that is taken, against the table of the standard."""

import numpy as np
import pytest

from tests.unit.imaging.pictures import (
    BLUE,
    GREEN,
    RED,
    YELLOW,
    Pixels,
    demo_bytes,
    demo_truth,
    encoded,
    exif,
    four_corners,
    quarters_of,
)
from triage_app.imaging.decode import decode

# CIPA DC-008 (Exif), tag 274 "Orientation": the side of the upright picture on which the stored
# row 0 lies, and the side on which the stored column 0 lies. Table from memory of the standard;
# the same table stands in TIFF 6.0, section 8.
ROW_AND_COLUMN = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def stored_as(upright: Pixels, orientation: int) -> Pixels:
    """Lay out ``upright`` as a camera with this orientation stores it, straight from the table."""
    row_side, column_side = ROW_AND_COLUMN[orientation]
    rows_are_rows = row_side in ("top", "bottom")
    stored = upright if rows_are_rows else upright.transpose(1, 0, 2)
    if row_side in ("bottom", "right"):
        stored = stored[::-1]
    if column_side in ("bottom", "right"):
        stored = stored[:, ::-1]
    return np.ascontiguousarray(stored)


@pytest.mark.parametrize("orientation", list(ROW_AND_COLUMN))
@pytest.mark.parametrize("kind", ["JPEG", "TIFF", "PNG", "WEBP", "HEIF"])
@pytest.mark.parametrize("at_least_px", [None, 24])
def test_every_orientation_of_every_format_is_turned_upright(
    kind: str, orientation: int, at_least_px: int | None
) -> None:
    upright = four_corners()
    stored = stored_as(upright, orientation)
    data = encoded(stored, kind, exif=exif(orientation))

    seen = decode(data, at_least_px=at_least_px)

    assert (seen.width_px, seen.height_px) == (96, 64)
    assert seen.pixels.width > seen.pixels.height
    for found, wanted in zip(quarters_of(seen.pixels), (RED, GREEN, BLUE, YELLOW), strict=True):
        assert np.abs(np.subtract(found, wanted)).max() <= 16


@pytest.mark.parametrize("orientation", [0, 9, 255, 65_535])
def test_an_orientation_outside_the_table_counts_as_upright(orientation: int) -> None:
    seen = decode(encoded(four_corners(), exif=exif(orientation)))
    assert (seen.width_px, seen.height_px) == (96, 64)


def test_orientation_works_where_the_sides_are_equal() -> None:
    upright = four_corners(64, 64)
    seen = decode(encoded(stored_as(upright, 6), "PNG", exif=exif(6)))
    assert quarters_of(seen.pixels) == [RED, GREEN, BLUE, YELLOW]


def test_the_rotated_demo_photo_has_the_size_of_its_truth() -> None:
    name = "04_drive_unit_mount_bracket.jpg"
    seen = decode(demo_bytes(name))
    assert [seen.width_px, seen.height_px] == demo_truth(name)["image_size_px"] == [960, 1280]
    assert seen.pixels.size == (960, 1280)


def test_heic_is_turned_by_its_container_and_not_once_more_by_exif() -> None:
    # ISO/IEC 23008-12: the container's own transforms count, Exif orientation only informs.
    data = encoded(four_corners(), "HEIF", exif=exif(1), quality=-1)
    marked = data.replace(exif(1).tobytes()[6:], exif(6).tobytes()[6:])
    assert marked != data
    seen = decode(marked)
    assert (seen.width_px, seen.height_px) == (96, 64)

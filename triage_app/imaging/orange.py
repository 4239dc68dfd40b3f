"""Proposes where orange HV cable may be seen. Suggestions: they may raise a flag, never lower.

Colour proposes (``orange_colour``): a region has a core of strong colour and takes in the weaker
colour around it (shade, dirt). Shape and surface dispose (``orange_shape``), and only of what is
very unlike a cable and away from all that is like one.
docs/explanation/orange-areas.md says what was measured.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Point, Ring, Rings, RingShape, rectangle
from triage_app.imaging.orange_colour import Colours, Mask, Pixels, read_colours
from triage_app.imaging.orange_shape import LEAST_LIKENESS, Readings, likeness, read_region

MAX_AREAS = 20
MAX_POINTS_PER_AREA = 60

_MIN_CORE_FRAC = 4e-5  # 77 pixels of 1600 x 1200
_REACH_PX = 49  # a region reaches half of this beyond its core
_MAX_REGIONS = 40
_ROOM_PX = 12  # around a region, so that its surroundings can be read
_ALL_ORANGE = 0.85  # where this share of a photo is one region, no shape is to be seen

# Frayed and charred ends are rough, short and dull, and lie next to the cable they belong to.
_NEXT_TO_PX = 50


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """One region of cable colour: its mask in a cut of the picture that begins at (top, left)."""

    mask: Mask
    top: int
    left: int
    area_px: int
    readings: Readings


def orange_areas(pixels: Pixels) -> tuple[Rings, ...]:
    """Return outlines of orange regions in upright sRGB ``pixels``, largest first."""
    mask = orange_mask(pixels)
    height_px, width_px = mask.shape
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = sorted(contours, key=cv2.contourArea, reverse=True)[:MAX_AREAS]
    rings = (_ring(contour, width_px, height_px) for contour in largest)
    return tuple(Rings(shape=RingShape.POLYGON, rings=(ring,)) for ring in rings)


def orange_mask(pixels: Pixels) -> Mask:
    """Return 1 where orange was found, 0 elsewhere, for upright sRGB pixels."""
    colours = read_colours(pixels)
    mask = np.zeros(colours.core.shape, np.uint8)
    doubtful, largest_px = [], 0
    for region in _regions(colours):
        is_all = region.area_px > _ALL_ORANGE * mask.size
        if is_all or likeness(region.readings) >= LEAST_LIKENESS:
            _cut(region, mask)[region.mask > 0] = 1
            largest_px = max(largest_px, region.area_px)
        else:
            doubtful.append(region)
    if doubtful and largest_px:
        _take_in_ends([one for one in doubtful if one.area_px < largest_px], mask)
    return mask


def _take_in_ends(regions: list[Region], mask: Mask) -> None:
    """Add regions that lie next to what is in the mask."""
    reach = np.ones((2 * _NEXT_TO_PX + 1, 2 * _NEXT_TO_PX + 1), np.uint8)
    near = cv2.dilate(mask, reach).astype(np.uint8)
    for region in regions:
        if _cut(region, near)[region.mask > 0].any():
            _cut(region, mask)[region.mask > 0] = 1


def regions_of(pixels: Pixels) -> list[Region]:
    """Return every region of cable colour, like a cable or not, largest first."""
    return list(_regions(read_colours(pixels)))


def _cut(region: Region, picture: Mask) -> Mask:
    height, width = region.mask.shape
    return picture[region.top : region.top + height, region.left : region.left + width]


def _regions(colours: Colours) -> Iterator[Region]:
    seeds = _large_pieces(colours.core)
    if not seeds.any():
        return
    closed = cv2.morphologyEx(colours.wide, cv2.MORPH_CLOSE, np.ones((13, 13), np.uint8))
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    reach = cv2.dilate(seeds, np.ones((_REACH_PX, _REACH_PX), np.uint8))
    near = np.asarray(cv2.bitwise_and(opened, reach), np.uint8)
    # Everything from here on is read where something orange is, not on the whole picture.
    from_y, from_x, part = _occupied(near)
    count, labels, stats = _pieces(near[part])
    has_core = np.bincount(labels[seeds[part] > 0], minlength=count) > 0
    has_core[0] = False
    by_size = np.argsort(-stats[:, cv2.CC_STAT_AREA], kind="stable")
    for number in [int(each) for each in by_size if has_core[each]][:_MAX_REGIONS]:
        left, top, width, height, area_px = (int(value) for value in stats[number])
        y, x = max(0, top - _ROOM_PX), max(0, left - _ROOM_PX)
        cut = labels[y : top + height + _ROOM_PX, x : left + width + _ROOM_PX]
        region = (cut == number).astype(np.uint8)
        readings = read_region(region, colours, (from_y + y, from_x + x))
        yield Region(region, from_y + y, from_x + x, area_px, readings)


def _pieces(mask: Mask) -> tuple[int, npt.NDArray[np.int32], npt.NDArray[np.int32]]:
    """Return the count of connected pieces (with 0, the rest), their labels and OpenCV's stats."""
    # The same pieces as by OpenCV's default, in a third of the time (measured on 5.0).
    count, labels, stats, _ = cv2.connectedComponentsWithStatsWithAlgorithm(
        mask, 8, cv2.CV_32S, cv2.CCL_GRANA
    )
    return count, np.asarray(labels, np.int32), np.asarray(stats, np.int32)


def _occupied(mask: Mask) -> tuple[int, int, tuple[slice, slice]]:
    """Return top, left and the cut of the mask that holds all of it, with room around."""
    left, top, width, height = cv2.boundingRect(mask)
    y, x = max(0, top - _ROOM_PX), max(0, left - _ROOM_PX)
    return y, x, (slice(y, top + height + _ROOM_PX), slice(x, left + width + _ROOM_PX))


def _large_pieces(core: Mask) -> Mask:
    """Return the pieces of core that are larger than a speck of rust."""
    opened = cv2.morphologyEx(core, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    pieces = np.asarray(opened, np.uint8)
    _, _, part = _occupied(pieces)
    _, labels, stats = _pieces(pieces[part])
    is_large = stats[:, cv2.CC_STAT_AREA] >= _MIN_CORE_FRAC * core.size
    is_large[0] = False
    seeds: Mask = np.zeros_like(core)
    seeds[part] = is_large[labels]
    return seeds


def _ring(contour: cv2.typing.MatLike, width_px: int, height_px: int) -> Ring:
    tolerance_px = 1.5
    points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    while len(points) > MAX_POINTS_PER_AREA:
        tolerance_px *= 1.5
        points = cv2.approxPolyDP(contour, tolerance_px, closed=True)
    if len(points) < 3 or cv2.contourArea(points) < 1:
        left, top, width, height = cv2.boundingRect(contour)
        return rectangle(
            left / width_px, top / height_px, (left + width) / width_px, (top + height) / height_px
        ).rings[0]
    middles = (points.reshape(-1, 2).astype(np.float64) + 0.5) / (width_px, height_px)
    return tuple(Point(float(x), float(y)) for x, y in middles)

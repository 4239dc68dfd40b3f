"""Truth masks of the demo photos, and what a proposal covers of them."""

from functools import cache

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps

from tests.unit.imaging.pictures import DEMO, Pixels, demo_truth
from triage_app.domain.geometry import Rings, rings_px

Mask = npt.NDArray[np.bool_]


@cache
def upright_pixels(name: str) -> Pixels:
    with Image.open(DEMO / name) as stored:
        pixels = np.array(ImageOps.exif_transpose(stored).convert("RGB"))
    pixels.flags.writeable = False
    return pixels


def truth_mask(name: str, *components: str) -> Mask:
    """Return where any of these components is visible on the upright photo."""
    truth = demo_truth(name)
    width_px, height_px = truth["image_size_px"]
    mask = np.zeros((height_px, width_px), np.uint8)
    for component in components:
        for outline in truth["components"].get(component, {"polygons_px": []})["polygons_px"]:
            cv2.fillPoly(mask, [np.array(outline, np.int32)], 1)
    return mask > 0


def areas_mask(areas: tuple[Rings, ...], width_px: int, height_px: int) -> Mask:
    mask = np.zeros((height_px, width_px), np.uint8)
    for area in areas:
        for ring in rings_px(area, width_px, height_px):
            cv2.fillPoly(mask, [np.floor(np.array(ring)).astype(np.int32)], 1)
    return mask > 0


def wider(mask: Mask, by_px: int) -> Mask:
    kernel = np.ones((2 * by_px + 1, 2 * by_px + 1), np.uint8)
    return cv2.dilate(mask.astype(np.uint8), kernel) > 0

"""Draws the sheet of detections for the docs: ``python -m tests.orange.sheet OUT.jpg``."""

import sys
from pathlib import Path

import cv2
import numpy as np

from tests.orange.drawn import Scene
from tests.orange.halves import HELD_BACK
from triage_app.imaging.orange import orange_mask

_WIDTH, _HEIGHT, _COLUMNS = 320, 240, 3


def sheet() -> np.ndarray:
    scenes = [one for one in HELD_BACK.scenes() if one.cable.any()]
    scenes += list(HELD_BACK.cables(3))
    negatives = list(HELD_BACK.negatives(1))
    scenes += [one for one in negatives if one.name.split()[0] in ("cones", "fruit", "sunset")]
    tiles = [_tile(scene) for scene in scenes]
    rows = [tiles[at : at + _COLUMNS] for at in range(0, len(tiles), _COLUMNS)]
    return np.vstack([np.hstack(row) for row in rows])


def _tile(scene: Scene) -> np.ndarray:
    contours, _ = cv2.findContours(
        orange_mask(scene.pixels), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE
    )
    picture = np.ascontiguousarray(scene.pixels[..., ::-1])
    thick = max(2, picture.shape[1] // 160)
    for colour, width in (((0, 0, 0), 2 * thick), ((255, 255, 0), thick)):
        cv2.drawContours(picture, contours, -1, colour, width)
    return cv2.resize(picture, (_WIDTH, _HEIGHT), interpolation=cv2.INTER_AREA)


if __name__ == "__main__":
    _, stored = cv2.imencode(".jpg", sheet(), [cv2.IMWRITE_JPEG_QUALITY, 80])
    Path(sys.argv[1]).write_bytes(stored.tobytes())

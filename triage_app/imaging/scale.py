"""Finds the printed scale marker in a photo and says where its corners are."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.geometry import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleMarker:
    """An ArUco marker (dictionary 4X4_50). Corners from its own top left, clockwise as printed.

    ``side_px`` is the mean length of its four sides in pixels of the whole upright photo.
    """

    id: int
    corners: tuple[Point, Point, Point, Point]
    side_px: float


def find_scale_markers(
    pixels: npt.NDArray[np.uint8], *, width_px: int, height_px: int
) -> tuple[ScaleMarker, ...]:
    """Find markers in upright RGB ``pixels``, a scaled copy of a photo of the given size."""
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    found, ids, _ = detector.detectMarkers(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY))
    if not found:
        return ()
    size = np.array([pixels.shape[1], pixels.shape[0]], dtype=np.float64)
    markers = []
    for corners_px, marker_id in zip(found, np.asarray(ids).ravel(), strict=True):
        # OpenCV counts from the middle of the first pixel, we from its edge.
        fractions = np.clip((corners_px.reshape(4, 2).astype(np.float64) + 0.5) / size, 0.0, 1.0)
        full_px = fractions * np.array([width_px, height_px])
        sides_px = np.linalg.norm(full_px - np.roll(full_px, -1, axis=0), axis=1)
        one, two, three, four = (Point(float(x), float(y)) for x, y in fractions)
        markers.append(
            ScaleMarker(
                id=int(marker_id), corners=(one, two, three, four), side_px=float(sides_px.mean())
            )
        )
    return tuple(sorted(markers, key=lambda marker: marker.id))

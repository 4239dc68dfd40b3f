"""The lens of a phone: assumed from the photo's own note, or calibrated once from a printed board.

A pinhole with radial distortion about the middle of the photo, as in OpenCV's camera model with
both tangential terms zero. That is the same for all eight ways in which a phone may be turned.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.errors import InvalidInputError
from triage_app.imaging.card_design import charuco_board

Floats = npt.NDArray[np.float64]

# Phones correct their own pictures; what is left moves a corner of the photo by up to about 2 %
# of its way from the middle. Judgement, as one standard deviation of OpenCV's k1.
UNKNOWN_K1_STANDARD = 0.03
# Main, wide and tele lenses of phones are 13 to 80 mm as of 35 mm film. Common knowledge.
_UNKNOWN_FOCAL_FRAC = (0.75, 0.36, 2.3)
_NOTED_FOCAL_SPREAD = 0.06
_FILM_LONG_SIDE_MM = 36.0
_FILM_DIAGONAL_MM = 43.27

LEAST_BOARD_PHOTOS = 6
_LEAST_CORNERS = 8
_LEAST_TURN_DEG = 25.0  # views all from one side cannot tell focal length from distance
_LEAST_FOCAL, _MOST_FOCAL = 0.3, 3.0
_MOST_MISS_PX_FRAC = 1.0 / 1_500


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """Lengths in fractions of the photo's longer side. ``focal_range`` holds the true one."""

    focal_frac: float = _UNKNOWN_FOCAL_FRAC[0]
    focal_range: tuple[float, float] = _UNKNOWN_FOCAL_FRAC[1:]
    k1: float = 0.0
    k2: float = 0.0
    k1_standard: float = UNKNOWN_K1_STANDARD
    is_calibrated: bool = False

    def to_frame(self, points_px: Floats, size_px: tuple[int, int]) -> Floats:
        """Return points (n, 2) of the upright photo as (pixel - centre) / focal, undistorted."""
        centre, focal_px = self._frame(size_px)
        flat = (np.asarray(points_px, dtype=np.float64).reshape(-1, 2) - centre) / focal_px
        if not (self.k1 or self.k2) or not len(flat):
            return flat
        distortion = np.array([self.k1, self.k2, 0.0, 0.0])
        stop = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 60, 1e-12)
        undone = cv2.undistortImagePoints(flat.reshape(-1, 1, 2), np.eye(3), distortion, arg1=stop)
        return np.asarray(undone, dtype=np.float64).reshape(-1, 2)

    def to_pixels(self, points: Floats, size_px: tuple[int, int]) -> Floats:
        """Return the upright pixels of undistorted points (n, 2); undoes ``to_frame``."""
        centre, focal_px = self._frame(size_px)
        square = np.sum(points**2, axis=1, keepdims=True)
        return np.asarray(points * (1 + self.k1 * square + self.k2 * square**2) * focal_px + centre)

    def focal_px(self, size_px: tuple[int, int]) -> float:
        return self.focal_frac * max(size_px)

    def _frame(self, size_px: tuple[int, int]) -> tuple[Floats, float]:
        return np.array(size_px, dtype=np.float64) / 2, self.focal_px(size_px)


def lens_from_note(film_mm: float | None, size_px: tuple[int, int]) -> Lens:
    """Return the lens that a photo notes about itself, as of 35 mm film; None is not noted.

    The note counts by the diagonal (CIPA DC-008 leaves it open); a note beside any phone is left
    out. A photo that was cut to another shape has a diagonal of its own, hence the spread.
    """
    if film_mm is None or not 8 <= film_mm <= 200:
        return Lens()
    diagonal = float(np.hypot(*size_px)) / max(size_px)
    by_diagonal = film_mm / _FILM_DIAGONAL_MM * diagonal
    by_side = film_mm / _FILM_LONG_SIDE_MM
    low, high = sorted((by_diagonal, by_side))
    return Lens(
        focal_frac=by_side,
        focal_range=(low * (1 - _NOTED_FOCAL_SPREAD), high * (1 + _NOTED_FOCAL_SPREAD)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """What the photos of the board say, in fractions of the longer side; see ``LensRecord``."""

    focal_frac: float
    focal_standard_frac: float
    k1: float
    k2: float
    k1_standard: float
    miss_px: float
    photo_count: int


def board_corners(grey: npt.NDArray[np.uint8]) -> tuple[Floats, npt.NDArray[np.int64]]:
    """Return the inner corners of the board in pixels (n, 2) and their numbers; none if unseen."""
    found, ids, _, _ = cv2.aruco.CharucoDetector(charuco_board()).detectBoard(grey)
    if np.ndim(ids) == 0:  # None where nothing is seen, whatever its type says
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    numbers = np.asarray(ids, dtype=np.int64).ravel()
    return np.asarray(found, dtype=np.float64).reshape(-1, 2) + 0.5, numbers


def calibrate(
    views: Sequence[tuple[Floats, npt.NDArray[np.int64]]], size_px: tuple[int, int]
) -> Calibrated:
    """Fit the lens to the board as seen in several photos of one size, any way up.

    ``views`` come from ``board_corners``, turned so that each is as wide as ``size_px``. Raises
    InvalidInputError when the photos cannot tell the lens.
    """
    usable = [view for view in views if len(view[1]) >= _LEAST_CORNERS]
    if len(usable) < LEAST_BOARD_PHOTOS:
        raise InvalidInputError(
            f"The board is to be seen well in {len(usable)} of {len(views)} photos; "
            f"{LEAST_BOARD_PHOTOS} or more are needed, from different sides."
        )
    places = np.asarray(charuco_board().getChessboardCorners(), dtype=np.float32)
    objects = [places[ids].reshape(-1, 1, 3) for _, ids in usable]
    images = [(found - 0.5).astype(np.float32).reshape(-1, 1, 2) for found, _ in usable]
    longest = max(size_px)
    start = np.array(
        [[0.75 * longest, 0, (size_px[0] - 1) / 2], [0, 0.75 * longest, (size_px[1] - 1) / 2],
         [0, 0, 1]]
    )  # fmt: skip
    flags = (
        cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_ASPECT_RATIO
        | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K3
    )  # fmt: skip
    miss_px, matrix, distortion, turns, _, spread, _, _ = cv2.calibrateCameraExtended(
        objects, images, size_px, start, np.zeros(5), flags=flags
    )
    spread, focal_px = np.asarray(spread).ravel(), float(matrix[0, 0])
    agrees = miss_px <= max(1.0, _MOST_MISS_PX_FRAC * longest)
    # Of the two focal lengths, which are kept equal, OpenCV states how sure it is of the second.
    is_sure = spread[1] <= 0.03 * focal_px and _LEAST_FOCAL < focal_px / longest < _MOST_FOCAL
    if not (agrees and is_sure and _widest_turn_deg(turns) >= _LEAST_TURN_DEG):
        raise InvalidInputError(
            "The photos of the board do not agree on one lens. Lay the board flat, keep one zoom, "
            "and take it from different sides, close enough to fill the picture."
        )
    k1, k2 = np.asarray(distortion).ravel()[:2]
    return Calibrated(
        focal_frac=focal_px / longest,
        focal_standard_frac=float(spread[1]) / longest,
        k1=float(k1),
        k2=float(k2),
        # What a fixed centre and two numbers leave out is no smaller than this. Judgement.
        k1_standard=max(0.004, 2.0 * float(spread[4])),
        miss_px=float(miss_px),
        photo_count=len(usable),
    )


def _widest_turn_deg(turns: Sequence[npt.NDArray[Any]]) -> float:
    """Return the widest angle between any two views of the board's plane."""
    normals = np.array([cv2.Rodrigues(np.asarray(turn))[0][:, 2] for turn in turns])
    return float(np.degrees(np.arccos(np.clip(normals @ normals.T, -1.0, 1.0).min())))

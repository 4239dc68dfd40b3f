"""The plane that a scale gives: points of the photo -> millimetres, with all that is unsure.

Uncertainty goes through by sigma points: the mapping is kept in ``2 n + 1`` versions, the fitted
one and, for each of the ``n`` independent directions in which it may be off, one a standard
deviation to either side (a square root of the covariance; Julier and Uhlmann 2004, from memory).
A size is worked out in each; half the difference of a pair is that direction's share.
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from triage_app.domain.errors import NoScaleError
from triage_app.imaging.lens import Lens

Floats = npt.NDArray[np.float64]

STEEPEST_DEG = 75.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """Where the camera stood over the plane: height and foot point in mm.

    ``or_else`` are the other places where it may have stood, by other focal lengths.
    """

    height_mm: float
    foot_mm: tuple[float, float]
    or_else: tuple["Camera", ...] = ()

    @property
    def places(self) -> tuple["Camera", ...]:
        return (self, *self.or_else)

    @property
    def nearest_mm(self) -> float:
        """The least height at which it may have stood."""
        return min(place.height_mm for place in self.places)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """One photo's plane. ``to_plane`` (v, 3, 3) and ``distortion`` (v,) are the versions.

    ``size`` (v,) multiplies lengths: how well the scale itself is known. ``pointing_px`` is how
    well a person points at a place. ``camera`` is None where no perspective is known; ``spread``
    then widens every interval by these factors (low, high). ``scale`` says what it rests on.
    """

    size_px: tuple[int, int]
    lens: Lens
    to_plane: Floats
    distortion: Floats
    size: Floats
    pointing_px: float
    camera: Camera | None
    spread: tuple[float, float] = (1.0, 1.0)
    scale: str
    cautions: tuple[str, ...] = ()
    card_numbers: tuple[int, ...] = ()
    shift_px: float = 0.0

    def to_mm(self, points_px: Floats) -> Floats:
        """Return points (n, 2) of the upright photo in mm of the plane; shape (v, n, 2).

        Raises NoScaleError for a place at or beyond the plane's horizon.
        """
        seen = self.lens.to_frame(points_px, self.size_px)
        square = np.sum(seen**2, axis=1)
        straight = seen[None] * (1.0 - self.distortion[:, None] * square[None])[..., None]
        ones = np.ones((*straight.shape[:2], 1))
        moved = np.concatenate([straight, ones], axis=2) @ self.to_plane.transpose(0, 2, 1)
        depth = moved[..., 2]
        if depth.size and (depth <= 0).any():
            raise NoScaleError(
                "The mark reaches beyond where the plane of the scale ends in this photo."
            )
        return np.asarray(moved[..., :2] / depth[..., None] * self.size[:, None, None])

    def steepest_deg(self, points_mm: Floats) -> float:
        """Return the angle off the plane's normal at which the farthest point is seen."""
        if self.camera is None or not len(points_mm):
            return 0.0
        away = np.linalg.norm(points_mm - np.array(self.camera.foot_mm), axis=1).max()
        return float(np.degrees(np.arctan2(away, self.camera.height_mm)))


def versions(values: Floats, covariance: Floats, size_standard: float) -> tuple[Floats, ...]:
    """Return ``to_plane``, ``distortion``, ``size`` of the sigma points of a fit.

    ``values`` are eight of the homography (plane to photo) and the distortion; the first version
    is the fit itself, then come the pairs, one direction after the other, + before -.
    """
    steps = deviations(covariance)
    moves = np.zeros((2 * len(values) + 3, len(values)))
    moves[1:-2:2], moves[2:-2:2] = steps, -steps
    all_values = values + moves
    forward = np.concatenate([all_values[:, :8], np.ones((len(moves), 1))], axis=1)
    sizes = np.ones(len(moves))
    sizes[-2:] += (size_standard, -size_standard)
    to_plane = np.linalg.inv(forward.reshape(-1, 3, 3))
    # One sign for all: in front of the camera is positive, as it is at the scale itself.
    return to_plane * np.sign(to_plane[:, 2:, 2:]), all_values[:, 8], sizes


def deviations(covariance: Floats) -> Floats:
    """Return independent steps of one standard deviation, as rows; a root of the covariance."""
    size = np.sqrt(np.maximum(np.diag(covariance), 1e-300))
    strength, directions = np.linalg.eigh(covariance / np.outer(size, size))
    return np.asarray((directions * np.sqrt(np.maximum(strength, 0.0)) * size[:, None]).T)


def camera_over(to_photo: Floats, lens: Lens) -> Camera:
    """Return where the camera stood, by a homography (3, 3) from mm to the photo's frame.

    The likeliest focal length comes first; the ends of what the lens may have follow.
    """
    likely, *others = (
        _stood(to_photo, focal_frac / lens.focal_frac)
        for focal_frac in (lens.focal_frac, *lens.focal_range)
    )
    return replace(likely, or_else=tuple(others))


def squareness(to_photo: Floats) -> Floats:
    """Return by how much a rigid plane is missed: log of the ratio of sides, cosine between them.

    Both are 0 for the view of a pinhole with the focal length that the frame assumes.
    """
    right, down = to_photo[:, 0], to_photo[:, 1]
    long, high = np.linalg.norm(right), np.linalg.norm(down)
    return np.array([np.log(long / high), right @ down / (long * high)])


def _stood(to_photo: Floats, longer: float) -> Camera:
    view = np.diag([1.0 / longer, 1.0 / longer, 1.0]) @ to_photo
    per_mm = (np.linalg.norm(view[:, 0]) + np.linalg.norm(view[:, 1])) / 2
    view = view / per_mm * np.sign(view[2, 2])
    right = view[:, 0] / np.linalg.norm(view[:, 0])
    down = view[:, 1] - right * (right @ view[:, 1])
    down /= np.linalg.norm(down)
    turn = np.stack([right, down, np.cross(right, down)], axis=1)
    place = -turn.T @ view[:, 2]
    return Camera(height_mm=float(abs(place[2])), foot_mm=(float(place[0]), float(place[1])))

"""Planes from what a person points at: a rectangle of known sides, or one known distance."""

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.errors import NoScaleError
from triage_app.domain.geometry import Point
from triage_app.domain.measuring import KnownDistance, KnownRectangle
from triage_app.imaging import plane_fit
from triage_app.imaging.lens import Lens
from triage_app.imaging.plane import Plane, camera_over, versions
from triage_app.imaging.scale_reading import POINTING_FRAC, check_one_view, check_square

Floats = npt.NDArray[np.float64]

# A typed side is believed to half a per cent, one standard deviation. Judgement.
_TYPED_STANDARD = 0.005
# Two points say nothing of how the surface is turned away. Turned by up to 35 degrees, a length
# beside the known one reads up to 1/cos(35 deg) = 1.22 times too long or too short. Judgement.
_ANY_TILT = (0.82, 1.22)
NO_PERSPECTIVE = (
    "Scale from two points: no perspective correction. Lengths that run another way, or lie "
    "elsewhere, can be far off; never used for the distance to HV."
)


def plane_of_rectangle(known: KnownRectangle, *, size_px: tuple[int, int], lens: Lens) -> Plane:
    """Return the plane of a rectangle pointed at; NoScaleError if it cannot be one."""
    check_one_view(size_px)
    corners_px = _pixels(known.corners, size_px)
    first_mm, second_mm = known.first_mm, known.second_mm
    at_mm = np.array([[0, 0], [first_mm, 0], [first_mm, second_mm], [0, second_mm]])
    side, across = (np.roll(corners_px, -step, axis=0) - corners_px for step in (1, 2))
    turning = side[:, 0] * across[:, 1] - side[:, 1] * across[:, 0]
    if not ((turning > 0).all() or (turning < 0).all()):
        raise NoScaleError("The four corners make no rectangle; point at them in order around it.")
    if (turning < 0).all():
        at_mm[
            :, 1
        ] *= -1  # pointed at counterclockwise; the plane is seen from its front all the same
    seen = lens.to_frame(corners_px, size_px)
    to_photo, _ = cv2.findHomography(at_mm, seen, 0)
    start = np.append((np.asarray(to_photo) / to_photo[2, 2]).ravel()[:8], [0.0, 0.0])
    pointing_px = POINTING_FRAC * max(size_px)
    fit = plane_fit.fit_plane(
        [_as_sightings(at_mm, seen, pointing_px / lens.focal_px(size_px))],
        start,
        plane_fit.Priors(
            shift=0.0, shift_standard=1.0, distortion_standard=lens.k1_standard, size_standard=1.0
        ),
    )
    kept = [*range(8), 9]
    covariance = fit.covariance[np.ix_(kept, kept)]
    check_square(fit.values[kept], covariance, lens, "The rectangle")
    to_plane, distortion, size = versions(fit.values[kept], covariance, _TYPED_STANDARD)
    what = known.what or "rectangle"
    plane = Plane(
        size_px=size_px,
        lens=lens,
        to_plane=to_plane,
        distortion=distortion,
        size=size,
        pointing_px=pointing_px,
        camera=camera_over(np.append(fit.values[:8], 1.0).reshape(3, 3), lens),
        scale=f"{what} of {first_mm:g} x {second_mm:g} mm, four corners pointed at",
    )
    _check_holds(plane, corners_px)
    return plane


def _check_holds(plane: Plane, corners_px: Floats) -> None:
    """Raise NoScaleError where a hand's shake leaves no plane even at the corners themselves."""
    try:
        plane.to_mm(corners_px)
    except NoScaleError as error:
        raise NoScaleError(
            "The four corners lie too near to each other, or nearly on one line; point at a larger "
            "rectangle, seen less flat."
        ) from error


def plane_of_distance(known: KnownDistance, *, size_px: tuple[int, int], lens: Lens) -> Plane:
    """Return a plane seen straight on, scaled by one distance; wide intervals, with a caution."""
    check_one_view(size_px)
    ends = lens.to_frame(_pixels(known.ends, size_px), size_px)
    apart = float(np.linalg.norm(ends[0] - ends[1]))
    pointing_px = POINTING_FRAC * max(size_px)
    standard = float(
        np.hypot(2**0.5 * pointing_px / (apart * lens.focal_px(size_px)), _TYPED_STANDARD)
    )
    if standard > 0.1:
        raise NoScaleError("The two points lie too near to each other to give a scale.")
    per_mm = apart / known.length_mm
    return Plane(
        size_px=size_px,
        lens=lens,
        to_plane=np.repeat(np.diag([1 / per_mm, 1 / per_mm, 1.0])[None], 3, axis=0),
        distortion=np.zeros(3),
        size=np.array([1.0, 1.0 + standard, 1.0 - standard]),
        pointing_px=pointing_px,
        camera=None,
        spread=_ANY_TILT,
        scale=f"{known.what or 'distance'} of {known.length_mm:g} mm, two points, no perspective",
        cautions=(NO_PERSPECTIVE,),
    )


def _pixels(points: tuple[Point, ...], size_px: tuple[int, int]) -> Floats:
    return np.array([[p.x_frac, p.y_frac] for p in points]) * size_px


def _as_sightings(at_mm: Floats, seen: Floats, standard: float) -> plane_fit.Sightings:
    """Take each corner as two sightings, across and down."""
    return plane_fit.Sightings(
        at_mm=np.repeat(at_mm, 2, axis=0),
        seen=np.repeat(seen, 2, axis=0),
        along=np.tile(np.eye(2), (len(seen), 1)),
        to_white=np.zeros(2 * len(seen)),
        standard=np.full(2 * len(seen), standard),
    )

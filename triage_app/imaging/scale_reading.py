"""Photo with scale cards -> plane in millimetres, or one sentence why there is none."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.errors import NoScaleError
from triage_app.domain.scale import SIDE_STANDARD_MM, CardKind
from triage_app.imaging import card, plane_fit
from triage_app.imaging.card import SeenMarker
from triage_app.imaging.card_design import CARD_OF, CELLS, Card
from triage_app.imaging.lens import Lens
from triage_app.imaging.plane import Plane, camera_over, deviations, squareness, versions

Floats = npt.NDArray[np.float64]
Rgb = npt.NDArray[np.uint8]

# How well a person points at a place on the screen, as a share of the photo's longer side and one
# standard deviation. Judgement: a pixel and a half of a screen a thousand pixels wide.
POINTING_FRAC = 0.0015

# Longer than wide by this much is no single view of a lens. Judgement; phones take 4:3 to 2.17:1.
_PANORAMA = 2.3
_LEAST_CELL_PX = 3.0
# Borders of rendered and drawn photos miss the model by 0.03 to 0.08 px; more shows in the fit.
_EDGE_STANDARD_PX = 0.08
_CORNER_STANDARD_PX = 0.5
# The half pixel by which black squares look small: measured on the demo photos, 0.2 to 0.5.
_SHIFT_PX, _SHIFT_STANDARD_PX = 0.35, 0.5
_ROUNDS_LOOSE = 2
_BENT_PX, _BENT_CELLS = 0.35, 0.03
_UNSQUARE = 0.06
_LEAST_BORDERS = 12
_CORNERS = np.array([[0, 0], [CELLS, 0], [CELLS, CELLS], [0, CELLS]], dtype=np.float64)

TWO_ON_ONE = "Lay cards of different numbers."
UNMEASURED = (
    "The black square of the {kind} card has not been measured yet. Measure it on the print from "
    "edge to edge and type it in once; until then there are no millimetres."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    card: Card
    side_mm: float
    markers: tuple[SeenMarker, ...]

    def in_card_mm(self, marker_id: int, cells: Floats) -> Floats:
        """Return places in cells of a marker in mm of its card, as measured on the print."""
        printed = self.side_mm / self.card.side_mm
        place = next(each for each in self.card.markers if each.id == marker_id)
        middle = np.array([place.x_mm, place.y_mm])
        return np.asarray((middle + (cells - CELLS / 2) * self.card.side_mm / CELLS) * printed)

    @property
    def corners(self) -> tuple[Floats, Floats]:
        """The corners of all its markers: in mm of the card, and in upright pixels."""
        in_mm = [self.in_card_mm(marker.id, _CORNERS) for marker in self.markers]
        return np.concatenate(in_mm), np.concatenate([m.corners_px for m in self.markers])


def read_plane(rgb: Rgb, *, sides_mm: Mapping[CardKind, float], lens: Lens) -> Plane:
    """Return the plane of the cards in an upright photo; raises NoScaleError.

    ``sides_mm`` are the measured black squares; a kind that is not in it was not measured.
    """
    height_px, width_px = rgb.shape[:2]
    size_px = (width_px, height_px)
    check_one_view(size_px)
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY).astype(np.uint8, copy=False)
    markers = card.find_markers(grey)
    _check_markers(grey, markers)
    seen = _cards(_whole_markers(markers, size_px), sides_mm)
    fit = _fitted(rgb, seen, lens, size_px)
    kept = [*range(8), 9]
    values, covariance = fit.values[kept], fit.covariance[np.ix_(kept, kept)]
    check_square(values, covariance, lens, "The card")
    to_plane, distortion, size = versions(values, covariance, _size_standard(seen))
    return Plane(
        size_px=size_px,
        lens=lens,
        to_plane=to_plane,
        distortion=distortion,
        size=size,
        pointing_px=POINTING_FRAC * max(size_px),
        camera=camera_over(np.append(values[:8], 1.0).reshape(3, 3), lens),
        scale=", ".join(
            f"card {each.card.number} (black square {each.side_mm:g} mm as measured)"
            for each in seen
        ),
        card_numbers=tuple(each.card.number for each in seen),
        shift_px=fit.shift * lens.focal_px(size_px),
    )


def check_one_view(size_px: tuple[int, int]) -> None:
    """Raise NoScaleError for a panorama, which is no view through one lens."""
    if max(size_px) > _PANORAMA * min(size_px):
        raise NoScaleError(
            "The photo is a panorama, stitched from several views; it gives no millimetres. Take "
            "one single photo."
        )


def _check_markers(grey: npt.NDArray[np.uint8], markers: Sequence[SeenMarker]) -> None:
    if not markers and card.is_mirrored(grey):
        raise NoScaleError(
            "The card is mirrored: the photo was flipped, or the card was printed mirrored. A "
            "mirrored picture is not measured; print the card anew or turn mirroring off."
        )
    if not markers:
        raise NoScaleError(
            "No scale card is seen whole. Its black square must be whole, sharp, and not too small."
        )
    for number, count in Counter(marker.id for marker in markers).items():
        if count > 1:
            raise NoScaleError(f"Marker {number} is there {count} times. {TWO_ON_ONE}")


def _whole_markers(markers: Sequence[SeenMarker], size_px: tuple[int, int]) -> list[SeenMarker]:
    """Return the markers with their white border inside the photo and large enough."""
    large = [marker for marker in markers if marker.cell_px >= _LEAST_CELL_PX]
    if not large:
        raise NoScaleError("The scale card is too small in this photo. Take it from nearer.")
    whole = [marker for marker in large if _border_inside(marker, size_px)]
    if not whole:
        raise NoScaleError(
            "The scale card is cut off at the border of the photo. Take it with the whole card."
        )
    return whole


def _border_inside(marker: SeenMarker, size_px: tuple[int, int]) -> bool:
    out = 0.6
    around = np.array(
        [[-out, -out], [CELLS + out, -out], [CELLS + out, CELLS + out], [-out, CELLS + out]]
    )
    corners_px = card.moved(card.corner_homography(marker.corners_px), around)
    return bool((corners_px >= 0).all() and (corners_px <= size_px).all())


def _cards(markers: Sequence[SeenMarker], sides_mm: Mapping[CardKind, float]) -> list[_Seen]:
    """Return the cards whose side is known, the largest in the photo first."""
    by_card: dict[int, list[SeenMarker]] = {}
    for marker in markers:
        by_card.setdefault(CARD_OF[marker.id].number, []).append(marker)
    cards = [(CARD_OF[found[0].id], found) for found in by_card.values()]
    known = [
        _Seen(card=one, side_mm=sides_mm[one.kind], markers=tuple(found))
        for one, found in cards
        if one.kind in sides_mm
    ]
    if not known:
        raise NoScaleError(UNMEASURED.format(kind=cards[0][0].kind))
    return sorted(known, key=lambda each: -sum(marker.cell_px for marker in each.markers))


def _fitted(rgb: Rgb, seen: list[_Seen], lens: Lens, size_px: tuple[int, int]) -> plane_fit.Fit:
    """Fit with free card sizes first, so that cards can be seen to disagree, then together."""
    focal_px = lens.focal_px(size_px)
    values = _start(seen, lens, size_px)
    loose = _priors(seen, lens, focal_px, loose=True)
    for _ in range(_ROUNDS_LOOSE):
        fit = plane_fit.fit_plane(_sightings(rgb, seen, values, lens, size_px), values, loose)
        _check_sizes(fit, seen)
        values = fit.values
    sightings = _sightings(rgb, seen, values, lens, size_px)
    fit = plane_fit.fit_plane(sightings, values, _priors(seen, lens, focal_px, loose=False))
    miss = np.concatenate([each.standard for each in sightings]) * fit.residuals
    _check_flat(float(np.sqrt(np.mean(miss**2))) * focal_px, seen)
    return fit


def _priors(seen: Sequence[_Seen], lens: Lens, focal_px: float, *, loose: bool) -> plane_fit.Priors:
    return plane_fit.Priors(
        shift=_SHIFT_PX / focal_px,
        shift_standard=_SHIFT_STANDARD_PX / focal_px,
        distortion_standard=lens.k1_standard,
        size_standard=0.3 if loose else _size_standard(seen) * 2**0.5,
    )


def _size_standard(seen: Sequence[_Seen]) -> float:
    return max(SIDE_STANDARD_MM / each.side_mm for each in seen)


def _start(seen: Sequence[_Seen], lens: Lens, size_px: tuple[int, int]) -> Floats:
    first_mm, first_px = seen[0].corners
    to_photo, _ = cv2.findHomography(first_mm, lens.to_frame(first_px, size_px), 0)
    to_photo = np.asarray(to_photo) / to_photo[2, 2]
    values = [*to_photo.ravel()[:8], _SHIFT_PX / lens.focal_px(size_px), 0.0]
    back = np.linalg.inv(to_photo)
    for each in seen[1:]:
        in_mm, in_px = each.corners
        values += _place(in_mm, card.moved(back, lens.to_frame(in_px, size_px)))
    return np.array(values)


def _place(own: Floats, in_plane: Floats) -> list[float]:
    """Return x, y, turn and relative size that bring points of a card into the plane."""
    from_middle = own - own.mean(0)
    away = in_plane - in_plane.mean(0)
    # As complex numbers, turn and size are one factor (least squares).
    one, other = from_middle @ (1, 1j), away @ (1, 1j)
    factor = (other @ one.conj()) / (one @ one.conj())
    shift = in_plane.mean(0) @ (1, 1j) - factor * (own.mean(0) @ (1, 1j))
    return [shift.real, shift.imag, float(np.angle(factor)), float(abs(factor)) - 1.0]


def _sightings(
    rgb: Rgb, seen: Sequence[_Seen], values: Floats, lens: Lens, size_px: tuple[int, int]
) -> list[plane_fit.Sightings]:
    """Measure every card where ``values`` expect it."""
    return [
        plane_fit.together(
            [
                _marker_sightings(rgb, each, marker, _to_photo(values, index), lens, size_px)
                for marker in each.markers
            ]
        )
        for index, each in enumerate(seen)
    ]


def _to_photo(values: Floats, index: int) -> Callable[[Floats], Floats]:
    """Return what brings places of a card, in mm, into the photo's frame."""

    def to_photo(in_card_mm: Floats) -> Floats:
        place = values[10 + 4 * (index - 1) :][:4]
        frame = plane_fit.project(
            values, plane_fit.placed(in_card_mm, place) if index else in_card_mm
        )
        return np.asarray(frame * (1.0 + values[9] * np.sum(frame**2, axis=1, keepdims=True)))

    return to_photo


def _marker_sightings(
    rgb: Rgb,
    seen: _Seen,
    marker: SeenMarker,
    to_photo: Callable[[Floats], Floats],
    lens: Lens,
    size_px: tuple[int, int],
) -> plane_fit.Sightings:
    corners_px = lens.to_pixels(to_photo(seen.in_card_mm(marker.id, _CORNERS)), size_px)
    light, corner_px = card.light_around(rgb, corners_px)
    to_px = card.corner_homography(corners_px - corner_px)
    measured = card.measure_edges(light, marker.id, to_px)
    if len(measured.at_cells) < _LEAST_BORDERS:
        return _corner_sightings(seen, marker, lens, size_px)
    noise_px = np.hypot(_EDGE_STANDARD_PX, measured.noise_px / 3)
    return plane_fit.Sightings(
        at_mm=seen.in_card_mm(marker.id, measured.at_cells),
        seen=lens.to_frame(measured.seen_px + corner_px, size_px),
        along=measured.along,
        to_white=np.ones(len(noise_px)),
        standard=noise_px / lens.focal_px(size_px),
    )


def _corner_sightings(
    seen: _Seen, marker: SeenMarker, lens: Lens, size_px: tuple[int, int]
) -> plane_fit.Sightings:
    """Take the four corners, each as two sightings along the sides that meet there.

    For markers so small that a cell is only a few pixels wide.
    """
    out = marker.corners_px - np.roll(marker.corners_px, 1, axis=0)
    before = out / np.linalg.norm(out, axis=1, keepdims=True)
    after = -np.roll(before, -1, axis=0)
    frame = lens.to_frame(marker.corners_px, size_px)
    in_mm = seen.in_card_mm(marker.id, _CORNERS)
    return plane_fit.Sightings(
        at_mm=np.concatenate([in_mm, in_mm]),
        seen=np.concatenate([frame, frame]),
        along=np.concatenate([before, after]),
        to_white=np.ones(8),
        standard=np.full(8, _CORNER_STANDARD_PX / lens.focal_px(size_px)),
    )


def _check_sizes(fit: plane_fit.Fit, seen: Sequence[_Seen]) -> None:
    for each, (larger, standard) in zip(seen[1:], fit.sizes(), strict=True):
        typed = _size_standard(seen) * 2**0.5
        if abs(larger) > 3.0 * float(np.hypot(standard, typed)):
            raise NoScaleError(
                f"Cards {seen[0].card.number} and {each.card.number} do not agree: by the first, "
                f"the black square of the second is {each.side_mm * (1 + larger):.1f} mm, and "
                f"{each.side_mm:g} mm was typed in. One lies on another surface, or a side is "
                "wrong."
            )


def _check_flat(miss_px: float, seen: Sequence[_Seen]) -> None:
    cell_px = min(marker.cell_px for each in seen for marker in each.markers)
    if miss_px <= max(_BENT_PX, _BENT_CELLS * cell_px):
        return
    if len(seen) > 1:
        numbers = " and ".join(str(each.card.number) for each in seen)
        raise NoScaleError(f"Cards {numbers} do not lie in one plane. Lay them on one surface.")
    raise NoScaleError(
        f"Card {seen[0].card.number} does not look flat: it is bent, blurred, wet or shaded. Lay "
        "it flat and take the photo again."
    )


def check_square(values: Floats, covariance: Floats, lens: Lens, what: str) -> None:
    """Raise NoScaleError where no lens that may have been used sees a rigid plane like this.

    ``values`` are eight of the homography and the distortion, with their ``covariance``.
    """
    misses = []
    for focal_frac in np.geomspace(*lens.focal_range, 9):
        longer = focal_frac / lens.focal_frac
        to_rigid = np.diag([1 / longer, 1 / longer, 1.0])

        def miss(moved_values: Floats, to_rigid: Floats = to_rigid) -> Floats:
            return squareness(to_rigid @ np.append(moved_values[:8], 1.0).reshape(3, 3))

        at = miss(values)
        slopes = [miss(values + step) - at for step in deviations(covariance)]
        spread = np.sqrt(np.sum(np.array(slopes) ** 2, axis=0))
        misses.append(float(np.max(np.abs(at) / (_UNSQUARE / 3 + spread))))
    if min(misses) > 3.0:
        raise NoScaleError(
            f"{what} looks stretched: the photo was edited or stitched, or a side is not as typed."
        )

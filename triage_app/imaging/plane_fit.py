"""Fits the plane of a scale card to what was seen of it, and says how sure the fit is.

Model, Gauss-Newton on all sightings at once: a homography from the plane of the first card to the
photo (Hartley and Zisserman, Multiple View Geometry, 2nd ed., ch. 4), one shift of every border
between black and white towards the black side (tone curve and sharpening of a finished JPEG, one
number for the photo), what is left of the lens's radial distortion, and for each further card its
place, turn and relative size in the plane. The last three have priors; the covariance is that of
the normal equations, widened where the residuals are larger than assumed.

Frame of the photo here: ``(pixel - centre) / focal``, x right, y down. Plane: mm, x right, y down.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

_STEPS = 12
_ENOUGH = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class Sightings:
    """One card as seen: ``n`` places on it whose distance along one direction was measured.

    ``at_mm`` (n, 2) in the card's own frame; ``seen`` (n, 2) the place in the photo's frame;
    ``along`` (n, 2) unit direction in the photo in which it was measured; ``to_white`` (n,) 1.0
    where that direction points from black to white, 0.0 where there is no such border;
    ``standard`` (n,) one standard deviation in the photo's frame.
    """

    at_mm: Floats
    seen: Floats
    along: Floats
    to_white: Floats
    standard: Floats


def together(sightings: list[Sightings]) -> Sightings:
    """Return the sightings of several markers of one card as one."""
    return Sightings(
        at_mm=np.concatenate([each.at_mm for each in sightings]),
        seen=np.concatenate([each.seen for each in sightings]),
        along=np.concatenate([each.along for each in sightings]),
        to_white=np.concatenate([each.to_white for each in sightings]),
        standard=np.concatenate([each.standard for each in sightings]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """What is known beforehand: means and standard deviations, in the photo's frame."""

    shift: float
    shift_standard: float
    distortion_standard: float
    size_standard: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """``values``: eight of the homography, shift, distortion, then x, y, turn, size per card.

    ``covariance`` belongs to ``values``. ``misfit`` is the root of chi square per degree of
    freedom: about 1 where the sightings agree with the model.
    """

    values: Floats
    covariance: Floats
    misfit: float
    residuals: Floats

    @property
    def shift(self) -> float:
        return float(self.values[8])

    @property
    def distortion(self) -> float:
        return float(self.values[9])

    def sizes(self) -> list[tuple[float, float]]:
        """Return for each further card how much larger it is than typed, and its deviation."""
        at = range(13, len(self.values), 4)
        return [(float(self.values[i]), float(np.sqrt(self.covariance[i, i]))) for i in at]


def fit_plane(cards: list[Sightings], start: Floats, priors: Priors) -> Fit:
    """Fit all ``cards``, of which the first gives the frame; ``start`` is as in ``Fit.values``."""
    values = start.copy()
    prior_mean, prior_weight = _priors(len(values), priors)
    for _ in range(_STEPS):
        residuals, slopes = _equations(cards, values)
        normal = slopes.T @ slopes + np.diag(prior_weight)
        gradient = slopes.T @ residuals + prior_weight * (prior_mean - values)
        step = _solved(normal, gradient)
        values = values + step
        if np.sqrt(step @ normal @ step) < _ENOUGH:
            break
    residuals, slopes = _equations(cards, values)
    normal = slopes.T @ slopes + np.diag(prior_weight)
    spread = residuals @ residuals + prior_weight @ (prior_mean - values) ** 2
    freedom = len(residuals) + np.count_nonzero(prior_weight) - len(values)
    misfit = float(np.sqrt(spread / freedom)) if freedom > 0 else 1.0
    covariance = _inverse(normal) * max(1.0, misfit) ** 2
    return Fit(values=values, covariance=covariance, misfit=misfit, residuals=residuals)


def project(values: Floats, at_mm: Floats) -> Floats:
    """Return where points (n, 2) of the plane lie in the photo's frame, lens left aside."""
    scale = at_mm @ values[6:8] + 1.0
    x = (at_mm @ values[0:2] + values[2]) / scale
    y = (at_mm @ values[3:5] + values[5]) / scale
    return np.stack([x, y], axis=-1)


def placed(at_mm: Floats, place: Floats) -> Floats:
    """Return points of a card in the plane's frame; ``place`` is x, y, turn, relative size."""
    cos, sin = np.cos(place[2]), np.sin(place[2])
    turn = np.array([[cos, -sin], [sin, cos]]) * (1.0 + place[3])
    return np.asarray(at_mm @ turn.T + place[:2])


def _priors(count: int, priors: Priors) -> tuple[Floats, Floats]:
    mean, weight = np.zeros(count), np.zeros(count)
    mean[8], weight[8] = priors.shift, priors.shift_standard**-2
    weight[9] = priors.distortion_standard**-2
    weight[13::4] = priors.size_standard**-2
    return mean, weight


def _equations(cards: list[Sightings], values: Floats) -> tuple[Floats, Floats]:
    """Return measured minus modelled, and the slopes of the modelled, both per deviation."""
    residuals, slopes = [], []
    for index, card in enumerate(cards):
        at = slice(10 + 4 * (index - 1), 14 + 4 * (index - 1)) if index else None
        in_plane = card.at_mm if at is None else placed(card.at_mm, values[at])
        modelled, by_values, by_place = _slopes(values, in_plane)
        square = np.sum(card.seen**2, axis=1)
        seen = card.seen * (1.0 - values[9] * square)[:, None]
        gap = np.sum((seen - modelled) * card.along, axis=1) + values[8] * card.to_white
        slope = np.zeros((len(card.seen), len(values)))
        slope[:, :8] = np.einsum("nk,nkv->nv", card.along, by_values)
        slope[:, 8] = -card.to_white
        slope[:, 9] = np.sum(card.seen * card.along, axis=1) * square
        if at is not None:
            moved = _place_slopes(card.at_mm, values[at])
            slope[:, at] = np.einsum("nk,nkp,npv->nv", card.along, by_place, moved)
        residuals.append(gap / card.standard)
        slopes.append(slope / card.standard[:, None])
    return np.concatenate(residuals), np.concatenate(slopes)


def _slopes(values: Floats, at_mm: Floats) -> tuple[Floats, Floats, Floats]:
    """Return projections (n, 2), their slopes by the homography (n, 2, 8) and by place."""
    x_mm, y_mm = at_mm[:, 0], at_mm[:, 1]
    scale = at_mm @ values[6:8] + 1.0
    seen = project(values, at_mm)
    by_values = np.zeros((len(at_mm), 2, 8))
    rows = np.stack([x_mm, y_mm, np.ones_like(x_mm)], axis=1) / scale[:, None]
    by_values[:, 0, 0:3] = rows
    by_values[:, 1, 3:6] = rows
    by_values[:, :, 6:8] = -seen[:, :, None] * rows[:, None, :2]
    linear = values[[0, 1, 3, 4]].reshape(2, 2)
    by_place = (linear[None] - seen[:, :, None] * values[6:8][None, None]) / scale[:, None, None]
    return seen, by_values, by_place


def _place_slopes(at_mm: Floats, place: Floats) -> Floats:
    cos, sin = np.cos(place[2]), np.sin(place[2])
    size = 1.0 + place[3]
    x_mm, y_mm = at_mm[:, 0], at_mm[:, 1]
    slopes = np.zeros((len(at_mm), 2, 4))
    slopes[:, 0, 0] = slopes[:, 1, 1] = 1.0
    slopes[:, 0, 2] = size * (-sin * x_mm - cos * y_mm)
    slopes[:, 1, 2] = size * (cos * x_mm - sin * y_mm)
    slopes[:, 0, 3] = cos * x_mm - sin * y_mm
    slopes[:, 1, 3] = sin * x_mm + cos * y_mm
    return slopes


def _solved(normal: Floats, gradient: Floats) -> Floats:
    # The unknowns differ in size by many powers of ten; equal diagonals keep the digits.
    size = np.sqrt(np.diag(normal))
    return np.asarray(np.linalg.solve(normal / np.outer(size, size), gradient / size) / size)


def _inverse(normal: Floats) -> Floats:
    size = np.sqrt(np.diag(normal))
    return np.asarray(np.linalg.inv(normal / np.outer(size, size)) / np.outer(size, size))

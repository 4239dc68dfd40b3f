"""Drawn scenes with exact masks: cables in bad light and dirt, and orange things that are none.

They look like the real thing only in what the method reads: colour, light across the surface,
width, border, texture. Colours of the cable vary around the oranges of RAL 2003, 2004, 2008 and
2009 (sRGB from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

Pixels = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]
_Light = npt.NDArray[Any]  # light in linear sRGB, about 0 to 1

_CABLE_SRGB = ((250, 132, 43), (226, 83, 3), (237, 107, 33), (222, 83, 7), (255, 117, 20))
_RUST_SRGB = ((126, 66, 36), (148, 80, 44), (104, 58, 36), (160, 96, 60), (176, 98, 52))
_SIZE = (1_200, 1_600)


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture and where cable is to be seen on it (nowhere, on a negative)."""

    name: str
    pixels: Pixels
    cable: Mask


def cable_scene(seed: int, ground: Pixels) -> Scene:
    """Return one to three cables over ``ground``, lit, dirty and photographed."""
    random = np.random.default_rng(seed)
    light = _linear(_fitted(ground, random))
    cable = np.zeros(_SIZE, np.bool_)
    ground_light = light
    for _ in range(random.integers(1, 4)):
        light, mask = _with_cable(light, random)
        cable |= mask
    if random.random() < 0.5:
        light, hidden = _behind_parts(light, ground_light, random)
        cable &= ~hidden
    if random.random() < 0.4:
        light = _with_rust(light, random)
    return Scene(f"cable {seed}", _photographed(light, random), cable)


def cone_scene(seed: int, ground: Pixels) -> Scene:
    """Return traffic cones: as orange as a cable, broad, with pale bands."""
    random = np.random.default_rng(seed)
    light = _linear(_fitted(ground, random))
    for _ in range(random.integers(1, 4)):
        height = int(random.integers(200, 700))
        half = height * random.uniform(0.24, 0.34)
        x, y = random.uniform(0.1, 0.9) * _SIZE[1], random.uniform(0.3, 0.7) * _SIZE[0]
        top, foot = y - height / 2, y + height / 2
        body = _polygon([(x - half * 0.12, top), (x + half * 0.12, top), (x + half, foot),
                         (x - half, foot)])  # fmt: skip
        base = _polygon([(x - 1.4 * half, foot), (x + 1.4 * half, foot),
                         (x + 1.4 * half, foot + 0.09 * height),
                         (x - 1.4 * half, foot + 0.09 * height)])  # fmt: skip
        rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]]
        widths = np.maximum(half * (rows - top) / height, 1)
        across = np.clip((columns - x) / widths, -1, 1)
        shade = (0.25 + 0.75 * np.clip(np.sqrt(1 - across**2) + 0.3 * across, 0, 1))[..., None]
        colour = _linear_colour(_CABLE_SRGB, random)
        light = np.where((body | base)[..., None], colour * shade, light)
        if random.random() < 0.7:
            for at in (0.35, 0.62):
                band = body & (abs(rows - (top + at * height)) < 0.07 * height)
                light = np.where(band[..., None], _vector([0.8, 0.8, 0.78]) * shade, light)
    return _negative(f"cones {seed}", light, random)


def fruit_scene(seed: int, ground: Pixels) -> Scene:
    """Return a heap of oranges: round, pitted, shaded like balls."""
    random = np.random.default_rng(seed)
    light = _linear(_fitted(ground, random))
    pits = 1 + 0.12 * random.normal(0, 1, _SIZE).astype(np.float32)
    pitted: _Light = cv2.GaussianBlur(pits, (0, 0), 2)[..., None].astype(np.float32)
    rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]].astype(np.float32)
    for _ in range(random.integers(1, 9)):
        radius = random.uniform(60, 190)
        x, y = random.uniform(0.1, 0.9) * _SIZE[1], random.uniform(0.2, 0.9) * _SIZE[0]
        u, v = (columns - x) / radius, (rows - y) / radius
        depth = np.sqrt(np.clip(1 - u * u - v * v, 0, 1))
        lit = np.clip(0.75 * depth - 0.45 * v - 0.3 * u, 0.08, 1)[..., None]
        colour = _linear_colour(((245, 140, 20), (240, 120, 15), (250, 155, 40)), random)
        ball = (u * u + v * v < 1)[..., None]
        light = np.where(ball, colour * lit * pitted + 0.25 * (lit**30), light)
    return _negative(f"fruit {seed}", light, random)


def sunset_scene(seed: int, ground: Pixels) -> Scene:
    """Return an evening sky with sun, cloud bands and a dark foreground."""
    random = np.random.default_rng(seed)
    rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]].astype(np.float32)
    horizon = random.uniform(0.55, 0.85) * _SIZE[0]
    t = np.clip(rows / horizon, 0, 1)[..., None]
    top = _linear_colour(((40, 50, 100), (70, 50, 90), (120, 70, 80)), random)
    low = _linear_colour(((255, 120, 30), (250, 150, 60), (240, 90, 40)), random)
    light = top * (1 - t**1.5) + low * t**1.5
    cloud = cv2.GaussianBlur(random.normal(0, 1, _SIZE).astype(np.float32), (0, 0), 90, sigmaY=12)
    light = light * (1 + 0.5 * np.clip(cloud / cloud.std(), -1.5, 1.5))[..., None].clip(0.3)
    x, y = random.uniform(0.2, 0.8) * _SIZE[1], horizon - random.uniform(20, 250)
    glow = np.exp(-np.hypot(columns - x, rows - y) / random.uniform(40, 120))[..., None]
    light = light + glow * _vector([1.6, 1.0, 0.4])
    hills = horizon + 40 * np.sin(columns / random.uniform(90, 300)) + 10 * np.sin(columns / 23)
    light = np.where((rows > hills)[..., None], _vector([0.01, 0.01, 0.012]), light)
    return _negative(f"sunset {seed}", light.astype(np.float32), random)


def rust_scene(seed: int, ground: Pixels) -> Scene:
    """Return patches and runs of rust over ``ground``."""
    random = np.random.default_rng(seed)
    light = _linear(_fitted(ground, random))
    for _ in range(random.integers(2, 5)):
        light = _with_rust(light, random)
    return _negative(f"rust {seed}", light, random)


NEGATIVE_KINDS = (cone_scene, fruit_scene, sunset_scene, rust_scene)


def _negative(name: str, light: _Light, random: np.random.Generator) -> Scene:
    return Scene(name, _photographed(light, random), np.zeros(_SIZE, np.bool_))


def _fitted(ground: Pixels, random: np.random.Generator) -> Pixels:
    """Return a cut of ``ground``, turned at random, in the size of all scenes."""
    turned = np.rot90(ground, int(random.integers(0, 4)))
    if random.random() < 0.5:
        turned = turned[:, ::-1]
    share = random.uniform(0.6, 1.0)
    height, width = (int(side * share) for side in turned.shape[:2])
    y = int(random.integers(0, turned.shape[0] - height + 1))
    x = int(random.integers(0, turned.shape[1] - width + 1))
    cut = np.ascontiguousarray(turned[y : y + height, x : x + width])
    return cv2.resize(cut, _SIZE[::-1], interpolation=cv2.INTER_AREA).astype(np.uint8)


def _with_cable(light: _Light, random: np.random.Generator) -> tuple[_Light, Mask]:
    path, radius = _path(random), random.uniform(7, 46)
    drawn = np.zeros(_SIZE, np.uint8)
    cv2.polylines(drawn, [path], isClosed=False, color=1, thickness=1)
    away, nearest = cv2.distanceTransformWithLabels(
        1 - drawn, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    mask = away <= radius
    # Light across the cable: the signed place between its two edges, brightest off the middle.
    grad_y, grad_x = np.gradient(cv2.GaussianBlur(away, (0, 0), 1.5))
    turn = random.uniform(0, 2 * np.pi)
    side = grad_x * np.cos(turn) + grad_y * np.sin(turn)
    across = np.clip(away / radius, 0, 1) * side
    upright = np.sqrt(np.clip(1 - (away / radius) ** 2, 0, 1))
    shade = np.clip(0.55 * upright + 0.5 * across + 0.12, 0.06, 1.2)
    if random.random() < 0.35:  # a corrugated sleeve
        order = _order_along(drawn, nearest.astype(np.int32), path)
        shade = shade * (0.72 + 0.28 * np.sin(order * 2 * np.pi / random.uniform(9, 22)))
    gloss = random.uniform(0, 0.5) * np.clip(shade, 0, 1) ** 12
    colour = _linear_colour(_CABLE_SRGB, random)
    surface = colour * shade[..., None] + gloss[..., None]
    surface = _dirty(surface.astype(np.float32), random)
    soft = np.clip(radius - away + 0.5, 0, 1)[..., None].astype(np.float32)
    light = (light * (1 - soft) + surface * soft).astype(np.float32)
    end, before = path[-1, 0].astype(float), path[-12, 0].astype(float)
    ahead = (end - before) / max(float(np.hypot(*(end - before))), 1e-6)
    kind = random.random()
    if kind < 0.25:
        return _with_strands(light, end, ahead, radius, random), mask
    if kind < 0.5:
        return _with_connector(light, mask, end, ahead, radius, random)
    return light, mask


def _with_strands(light: _Light, end: _Light, ahead: _Light, radius: float,
                  random: np.random.Generator) -> _Light:  # fmt: skip
    """Return the light with soot over the cut end and bare strands that stand out of it."""
    rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]].astype(np.float32)
    soot = np.exp(-(((columns - end[0]) ** 2 + (rows - end[1]) ** 2) / (1.5 * radius) ** 2))
    light = light * (1 - 0.85 * soot)[..., None]
    for _ in range(random.integers(8, 24)):
        turn = np.arctan2(ahead[1], ahead[0]) + random.normal(0, 0.4)
        start = end + random.uniform(-0.7, 0.7) * radius * np.array([-ahead[1], ahead[0]])
        tip = start + random.uniform(0.6, 2.2) * radius * np.array([np.cos(turn), np.sin(turn)])
        colour = _vector([0.5, 0.3, 0.18]) * random.uniform(0.3, 1.5)
        cv2.line(light, _pixel(start), _pixel(tip), colour.tolist(), max(1, int(radius / 9)))
    return light


def _with_connector(light: _Light, mask: Mask, end: _Light, ahead: _Light, radius: float,
                    random: np.random.Generator) -> tuple[_Light, Mask]:  # fmt: skip
    """Return the light with an orange plug at the end of the cable; the plug is in the mask."""
    aside = np.array([-ahead[1], ahead[0]])
    long, broad = radius * random.uniform(2, 5), radius * random.uniform(1.4, 2.6)
    corners = [end - broad * aside, end + broad * aside,
               end + long * ahead + broad * aside, end + long * ahead - broad * aside]  # fmt: skip
    plug = _polygon([(float(x), float(y)) for x, y in corners])
    rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]].astype(np.float32)
    along = ((columns - end[0]) * ahead[0] + (rows - end[1]) * ahead[1]) / long
    shade = 0.35 + 0.5 * random.random() + 0.25 * np.where(along > random.uniform(0.3, 0.7), 1, 0)
    surface = _linear_colour(_CABLE_SRGB, random) * shade[..., None]
    surface = _dirty(surface.astype(np.float32), random)
    return np.where(plug[..., None], surface, light).astype(np.float32), mask | plug


def _behind_parts(light: _Light, ground: _Light,
                  random: np.random.Generator) -> tuple[_Light, Mask]:  # fmt: skip
    """Return the light with bars of the ground before the cables, and where they hide them."""
    hidden = np.zeros(_SIZE, np.bool_)
    for _ in range(random.integers(1, 5)):
        x, y = random.uniform(0, 1, 2) * _SIZE[::-1]
        turn, half = random.uniform(0, np.pi), random.uniform(20, 110)
        aside = half * np.array([-np.sin(turn), np.cos(turn)])
        along = 2_500 * np.array([np.cos(turn), np.sin(turn)])
        middle = np.array([x, y])
        corners = (-along - aside, along - aside, along + aside, aside - along)
        hidden |= _polygon([tuple(middle + corner) for corner in corners])
    return np.where(hidden[..., None], ground, light).astype(np.float32), hidden


def _pixel(place: _Light) -> tuple[int, int]:
    return round(float(place[0])), round(float(place[1]))


def _order_along(drawn: npt.NDArray[np.uint8], nearest: npt.NDArray[np.int32],
                 path: npt.NDArray[np.int32]) -> _Light:  # fmt: skip
    """Return for each pixel how far along the path its nearest path pixel lies, in px."""
    points = path.reshape(-1, 2)
    lengths = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    y, x = np.nonzero(drawn)
    nearest_point = np.argmin(
        (points[:, 0][:, None] - x) ** 2 + (points[:, 1][:, None] - y) ** 2, axis=0
    )
    table = np.zeros(int(nearest.max()) + 1, np.float32)
    table[nearest[y, x]] = lengths[nearest_point]
    return table[nearest].astype(np.float32)


def _path(random: np.random.Generator) -> npt.NDArray[np.int32]:
    height, width = _SIZE
    knots = random.uniform(-0.1, 1.1, (4, 2)) * (width, height)
    t = np.linspace(0, 1, 240)[:, None]
    curve = (
        (1 - t) ** 3 * knots[0]
        + 3 * (1 - t) ** 2 * t * knots[1]
        + 3 * (1 - t) * t**2 * knots[2]
        + t**3 * knots[3]
    )
    points: npt.NDArray[np.int32] = np.rint(curve).astype(np.int32).reshape(-1, 1, 2)
    return points


def _dirty(surface: _Light, random: np.random.Generator) -> _Light:
    """Return the surface under a film of dust and patches of mud."""
    noise = cv2.GaussianBlur(
        random.normal(0, 1, _SIZE).astype(np.float32), (0, 0), random.uniform(6, 40)
    )
    cover = np.clip(
        random.uniform(0, 0.35) + random.uniform(0, 0.35) * noise / noise.std(), 0, 0.85
    )[..., None]
    mud = _vector([0.12, 0.09, 0.065]) * random.uniform(0.4, 1.6)
    dirty: _Light = (surface * (1 - cover) + mud * cover).astype(np.float32)
    return dirty


def _with_rust(light: _Light, random: np.random.Generator) -> _Light:
    fine = random.normal(0, 1, _SIZE).astype(np.float32)
    patches = cv2.GaussianBlur(fine, (0, 0), random.uniform(8, 40), sigmaY=random.uniform(8, 60))
    grain = cv2.GaussianBlur(fine, (0, 0), random.uniform(1, 3))
    level = patches / patches.std() + 0.5 * grain / grain.std()
    cover = np.clip((level - random.uniform(1.1, 2.2)) * 1.5, 0, 0.95)[..., None]
    colour = _linear_colour(_RUST_SRGB, random)
    spotted = colour * np.clip(1 + 0.35 * grain / grain.std(), 0.3, 2)[..., None]
    rusty: _Light = (light * (1 - cover) + spotted * cover).astype(np.float32)
    return rusty


def _photographed(light: _Light, random: np.random.Generator) -> Pixels:
    """Return the scene under tubes or a hand lamp, as a phone stores it."""
    rows, columns = np.mgrid[: _SIZE[0], : _SIZE[1]].astype(np.float32)
    if random.random() < 0.5:  # a hand lamp: a warm pool of light
        x, y = random.uniform(0.2, 0.8, 2) * _SIZE[::-1]
        pool = np.exp(-(((columns - x) / 700) ** 2 + ((rows - y) / 700) ** 2))
        light = light * (0.15 + 1.3 * pool)[..., None]
        cast = (random.uniform(1.0, 1.35), 1.0, random.uniform(0.6, 1.0))
    else:  # tubes: even, white to cool, some with a green cast
        cast = (random.uniform(0.75, 1.05), random.uniform(1.0, 1.06), random.uniform(0.9, 1.3))
    light = light * _vector(cast) * 2 ** random.uniform(-2.0, 0.6)
    light = cv2.GaussianBlur(light.astype(np.float32), (0, 0), random.uniform(0.5, 1.2))
    if random.random() < 0.1:  # shaken
        length = int(random.integers(6, 18))
        light = cv2.blur(light, (length, 1) if random.random() < 0.5 else (1, length))
    coded = np.clip(light, 0, 1) ** (1 / 2.2) * 255
    noise = random.normal(0, random.uniform(1, 5), coded.shape)
    seen = np.clip(coded + noise, 0, 255).astype(np.uint8)
    _, stored = cv2.imencode(".jpg", seen[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 88])
    read: Pixels = cv2.cvtColor(
        np.asarray(cv2.imdecode(stored, cv2.IMREAD_COLOR)), cv2.COLOR_BGR2RGB
    ).astype(np.uint8)
    return read


def _vector(numbers: Sequence[float]) -> _Light:
    return np.array(numbers, np.float32)


def _polygon(points: list[tuple[float, float]]) -> Mask:
    mask = np.zeros(_SIZE, np.uint8)
    cv2.fillPoly(mask, [np.rint(points).astype(np.int32)], 1)
    return mask > 0


def _linear(pixels: Pixels) -> _Light:
    return ((pixels.astype(np.float32) / 255) ** 2.2).astype(np.float32)


def _linear_colour(
    colours: tuple[tuple[int, int, int], ...], random: np.random.Generator
) -> _Light:
    chosen = _vector(colours[int(random.integers(0, len(colours)))]) / 255
    varied = chosen * random.uniform(0.92, 1.08, 3)
    return (np.clip(varied, 0, 1) ** 2.2).astype(np.float32)

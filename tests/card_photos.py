"""Photos of scale cards for tests: drawn, seen by OpenCV's own camera model, made into a JPEG.

The camera is ``cv2.projectPoints`` (pinhole, k1, k2); blur, noise, a tone curve and sharpening
follow in the order in which a phone does them, so that black squares end up a little small.
"""

import io
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from triage_app.imaging.card_design import CELLS, Card, pattern

Floats = npt.NDArray[np.float64]
_PER_MM = 12  # every border of both cards then lies between two pixels
_TIMES = 4  # each pixel of the photo is the mean of so many times so many


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """The camera: its place over the plane (mm), by OpenCV's rotation and translation vectors."""

    rotation: tuple[float, float, float]
    translation_mm: tuple[float, float, float]
    size_px: tuple[int, int] = (1600, 1200)
    focal_frac: float = 0.75
    k1: float = 0.0
    k2: float = 0.0

    @property
    def matrix(self) -> Floats:
        focal_px = self.focal_frac * max(self.size_px)
        width_px, height_px = self.size_px
        # OpenCV counts from the middle of the first pixel.
        return np.array(
            [[focal_px, 0, (width_px - 1) / 2], [0, focal_px, (height_px - 1) / 2], [0, 0, 1]]
        )

    def see(self, points_mm: Floats) -> Floats:
        """Return where points (n, 3) of the scene lie, counted from the first pixel's edge."""
        distortion = np.array([self.k1, self.k2, 0.0, 0.0])
        seen, _ = cv2.projectPoints(
            np.asarray(points_mm, dtype=np.float64).reshape(-1, 1, 3),
            np.array(self.rotation, dtype=np.float64),
            np.array(self.translation_mm, dtype=np.float64),
            self.matrix,
            distortion,
        )
        return np.asarray(seen, dtype=np.float64).reshape(-1, 2) + 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A card lying in the scene; ``printed`` is what the printer made of its size."""

    card: Card
    x_mm: float = 0.0
    y_mm: float = 0.0
    turn_deg: float = 0.0
    behind_mm: float = 0.0
    printed: float = 1.0


def card_picture(card: Card) -> npt.NDArray[np.uint8]:
    """Return the card as drawn, ``_PER_MM`` pixels to the millimetre."""
    height, width = round(card.height_mm * _PER_MM), round(card.width_mm * _PER_MM)
    picture = np.full((height, width), 235, dtype=np.uint8)
    cell = card.side_mm / CELLS * _PER_MM
    for place in card.markers:
        left = (card.width_mm / 2 + place.x_mm - card.side_mm / 2) * _PER_MM
        top = (card.height_mm / 2 + place.y_mm - card.side_mm / 2) * _PER_MM
        for row in range(CELLS):
            for column in range(CELLS):
                if not pattern(place.id)[row, column]:
                    x, y = left + column * cell, top + row * cell
                    picture[round(y) : round(y + cell), round(x) : round(x + cell)] = 18
    return picture


def photo_of(phone: Phone, laid: list[Laid], *, seed: int = 0, finish: bool = True) -> Image.Image:
    """Return the photo of cards on a dark, speckled surface; ``finish`` makes a phone's of it."""
    random = np.random.default_rng(seed)
    width, height = phone.size_px
    wide, high = width * _TIMES, height * _TIMES
    scene = np.full((high, wide), 0.09, dtype=np.float32)
    for each in laid:
        _lay(scene, phone, each)
    small = cv2.resize(scene, (width, height), interpolation=cv2.INTER_AREA)
    light: Floats = np.asarray(small, dtype=np.float64)
    if finish:
        light = np.asarray(cv2.GaussianBlur(light, (0, 0), random.uniform(0.6, 1.1)), dtype=float)
        speckle = cv2.GaussianBlur(random.normal(0, 1, light.shape), (0, 0), 3)
        light = light * (1 + 0.15 * speckle) + random.normal(0, 0.004, light.shape)
    code: Floats = np.clip(light, 0, 1).astype(np.float64) ** (1 / 2.2)
    if finish:
        code = code + 0.35 * (code**2) * (1 - code) * 3  # a tone curve that lifts the light parts
        code = code + random.uniform(0.3, 0.7) * (code - cv2.GaussianBlur(code, (0, 0), 1.2))
    picture = Image.fromarray((np.clip(code, 0, 1) * 255).astype(np.uint8)).convert("RGB")
    if not finish:
        return picture
    return Image.open(io.BytesIO(as_jpeg(picture)))


def as_jpeg(picture: Image.Image, *, exif: Image.Exif | None = None) -> bytes:
    out = io.BytesIO()
    picture.convert("RGB").save(out, "JPEG", quality=88, exif=exif or Image.Exif())
    return out.getvalue()


def on_surface(laid: Laid, points_mm: Floats) -> Floats:
    """Return points (n, 2) of a card's own frame in the scene (n, 3)."""
    turn = np.radians(laid.turn_deg)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    flat = points_mm * laid.printed @ matrix.T + (laid.x_mm, laid.y_mm)
    return np.column_stack([flat, np.full(len(flat), laid.behind_mm)])


def _lay(scene: npt.NDArray[np.float32], phone: Phone, laid: Laid) -> None:
    """Draw one card into the scene, by the homography through its corners, piece by piece.

    The lens bends what a homography does not; a card is drawn in 12 x 12 pieces for it.
    """
    picture = card_picture(laid.card)
    half = np.array([laid.card.width_mm, laid.card.height_mm]) / 2
    pieces = 12 if phone.k1 or phone.k2 else 1
    for row in range(pieces):
        for column in range(pieces):
            low = np.array([column, row]) / pieces
            corners = np.array(
                [
                    low,
                    low + np.array([1 / pieces, 0]),
                    low + 1 / pieces,
                    low + np.array([0, 1 / pieces]),
                ]
            )
            seen = phone.see(on_surface(laid, (corners * 2 - 1) * half)) * _TIMES - 0.5
            _draw_piece(scene, picture, corners * picture.shape[::-1] - 0.5, seen)


def _draw_piece(
    scene: npt.NDArray[np.float32], picture: npt.NDArray[np.uint8], own_px: Floats, seen: Floats
) -> None:
    left, top = np.maximum(np.floor(seen.min(0)).astype(int) - 2, 0)
    right, bottom = np.ceil(seen.max(0)).astype(int) + 3
    window = scene[top:bottom, left:right]
    if window.size == 0:
        return
    at = (seen - (left, top)).astype(np.float32)
    to_window = cv2.getPerspectiveTransform(own_px.astype(np.float32), at)
    mask = np.zeros(window.shape, dtype=np.uint8)
    cv2.fillConvexPoly(mask, np.round(at * 16).astype(np.int32), 255, shift=4)
    drawn = cv2.warpPerspective(
        picture,
        to_window,
        window.shape[::-1],
        flags=cv2.INTER_AREA,
        borderMode=cv2.BORDER_REPLICATE,
    )
    window[mask > 0] = (drawn[mask > 0] / 255.0).astype(np.float32)

"""The printed scale cards: which markers they carry, and where each black and white edge lies.

Lengths are in millimetres *as designed*; what a printer made of them is measured by a person and
multiplies all of them alike. Frame of a card: x to the right, y down, origin in its middle.
Marker numbers and patterns are those of OpenCV's dictionary DICT_4X4_50.
"""

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt

from triage_app.domain.scale import CardKind

CELLS = 6  # four by four of pattern, and a black border of one cell all around
DICTIONARY = cv2.aruco.DICT_4X4_50


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkerPlace:
    """One marker on a card: its number in the dictionary and the middle of its black square."""

    id: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One card. ``number`` is that of its first marker; all its black squares are equal."""

    number: int
    kind: CardKind
    width_mm: float
    height_mm: float
    side_mm: float
    markers: tuple[MarkerPlace, ...]


def _square(number: int) -> Card:
    return Card(
        number=number,
        kind=CardKind.SQUARE,
        width_mm=80.0,
        height_mm=80.0,
        side_mm=60.0,
        markers=(MarkerPlace(id=number, x_mm=0.0, y_mm=0.0),),
    )


def _long(number: int) -> Card:
    return Card(
        number=number,
        kind=CardKind.LONG,
        width_mm=184.0,
        height_mm=54.0,
        side_mm=40.0,
        markers=(
            MarkerPlace(id=number, x_mm=-65.0, y_mm=0.0),
            MarkerPlace(id=number + 1, x_mm=65.0, y_mm=0.0),
        ),
    )


SQUARE_CARDS = tuple(_square(number) for number in range(10))
LONG_CARDS = tuple(_long(number) for number in range(10, 20, 2))
CARD_OF = {place.id: card for card in SQUARE_CARDS + LONG_CARDS for place in card.markers}


@lru_cache(maxsize=64)
def pattern(marker_id: int) -> npt.NDArray[np.bool_]:
    """Return the marker's cells as rows of True for white; shape (6, 6)."""
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    drawn = cv2.aruco.generateImageMarker(dictionary, marker_id, CELLS)
    return np.asarray(drawn) > 127


@dataclass(frozen=True, slots=True)
class Edges:
    """Pieces of the borders between black and white, one cell long, in a marker's own frame.

    ``start`` and ``end`` are (n, 2) in cells from the marker's top left; ``to_white`` (n, 2) is
    the unit direction from the black side to the white one.
    """

    start: npt.NDArray[np.float64]
    end: npt.NDArray[np.float64]
    to_white: npt.NDArray[np.float64]


@lru_cache(maxsize=64)
def edges(marker_id: int) -> Edges:
    """Return every piece of border of one marker; the paper around it is white."""
    white = np.pad(pattern(marker_id), 1, constant_values=True)
    starts, ends, normals = [], [], []
    for row in range(CELLS + 1):
        for column in range(CELLS):
            above, below = white[row, column + 1], white[row + 1, column + 1]
            if above != below:
                starts.append((column, row))
                ends.append((column + 1, row))
                normals.append((0, 1 if below else -1))
            left, right = white[column + 1, row], white[column + 1, row + 1]
            if left != right:
                starts.append((row, column))
                ends.append((row, column + 1))
                normals.append((1 if right else -1, 0))
    one, two, three = (np.array(each, dtype=np.float64) for each in (starts, ends, normals))
    return Edges(start=one, end=two, to_white=three)


BOARD_SQUARES = (5, 7)  # across, down
BOARD_SQUARE_MM = 34.0
BOARD_MARKER_MM = 25.0


def charuco_board() -> cv2.aruco.CharucoBoard:
    """Return the board for calibrating a lens; its markers are none that a scale card has."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_100)
    return cv2.aruco.CharucoBoard(BOARD_SQUARES, BOARD_SQUARE_MM, BOARD_MARKER_MM, dictionary)

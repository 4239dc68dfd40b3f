"""Sizes read from a photo: the number, how sure it is, and on what it rests.

The interval is the 95 % one, widened on the side to which the damage may lie off the plane of the
scale. For sizes the *upper* end counts, for the way to HV the *near* end: never the kinder one.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.geometry import Point
from triage_app.domain.ids import MarkId, PhotoId
from triage_app.domain.vehicle import checked_number, checked_text

MAX_REFERENCE_MM = 5_000.0
MAX_DEPTH_MM = 1_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredMm:
    """A length in mm with its standard uncertainty and 95 % interval, off-plane part included."""

    value_mm: float
    standard_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredMm2:
    """An area in mm² with its standard uncertainty and 95 % interval, off-plane part included."""

    value_mm2: float
    standard_mm2: float
    low_mm2: float
    high_mm2: float


class Size(StrEnum):
    """What was measured; the value is the name of the field of ``Measures`` that holds it."""

    LENGTH = "length_mm"
    WIDTH = "width_mm"
    DISTANCE_TO_HV = "distance_to_hv_mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class FromPhoto:
    """Where one size of a finding comes from, if not typed: a mark on a photo with a scale.

    It holds as long as the finding's size is still ``value_mm``; typed over, it says nothing.
    ``scale`` names card or rectangle, its side, and who measured that.
    """

    size: Size
    photo_id: PhotoId
    mark_id: MarkId
    mark_revision: int
    value_mm: float
    standard_mm: float
    low_mm: float
    high_mm: float
    scale: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "scale", checked_text(self.scale, "The scale"))
        numbers = (self.low_mm, self.value_mm, self.high_mm, self.standard_mm)
        if not all(math.isfinite(number) and number >= 0 for number in numbers):
            raise InvalidInputError("A size from a photo is not a number of millimetres.")
        if not self.low_mm <= self.value_mm <= self.high_mm:
            raise InvalidInputError("A size from a photo lies outside its own interval.")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRectangle:
    """Four corners of a flat rectangle on the photo, clicked in order around it, and its sides.

    The first side, from the first to the second corner, is ``first_mm`` long.
    """

    corners: tuple[Point, Point, Point, Point]
    first_mm: float
    second_mm: float
    what: str = ""

    def __post_init__(self) -> None:
        for length_mm in (self.first_mm, self.second_mm):
            checked_number(length_mm, "A side of the rectangle in mm", 5, MAX_REFERENCE_MM)
        object.__setattr__(self, "what", checked_text(self.what, "What the rectangle is"))


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDistance:
    """Two points on the photo and how far apart they are; says nothing about perspective."""

    ends: tuple[Point, Point]
    length_mm: float
    what: str = ""

    def __post_init__(self) -> None:
        checked_number(self.length_mm, "The known distance in mm", 5, MAX_REFERENCE_MM)
        object.__setattr__(self, "what", checked_text(self.what, "What the distance is"))
        one, two = self.ends
        if one == two:
            raise InvalidInputError("The two points of a known distance are the same point.")


Reference = KnownRectangle | KnownDistance

# ISO/IEC 7810, ID-1: bank, licence and many membership cards (read in a copy of the standard).
ID_1_MM = (85.60, 53.98)

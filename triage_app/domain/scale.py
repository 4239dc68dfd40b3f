"""What a shop measures once: the black squares of its printed cards, and the lens of a phone.

A printer changes sizes, so a card gives no millimetres until a person has measured the print.
"""

from dataclasses import dataclass
from enum import StrEnum

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_text


class CardKind(StrEnum):
    """The two cards on the printed sheet; the black squares of one kind are all equal."""

    SQUARE = "square"
    LONG = "long"


DESIGN_SIDE_MM = {CardKind.SQUARE: 60.0, CardKind.LONG: 40.0}
# How well a person reads a steel rule at a printed edge, as a standard deviation. Judgement: a
# careful reader is at most half a millimetre off, seen as the 95 % interval.
SIDE_STANDARD_MM = 0.25
# What printers do to a page (a shrink to fit, a photocopy). Judgement; beyond it a unit or a
# digit was mistaken.
_LEAST, _MOST = 0.75, 1.35


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSide:
    """The side of the black square on the shop's prints of one kind of card, as measured."""

    kind: CardKind
    side_mm: float
    measured: Signed

    def __post_init__(self) -> None:
        design_mm = DESIGN_SIDE_MM[self.kind]
        if not _LEAST * design_mm <= self.side_mm <= _MOST * design_mm:
            raise InvalidInputError(
                f"The black square of the {self.kind} card is drawn {design_mm:g} mm wide, and no "
                f"printer makes {self.side_mm:g} mm of it. Measure one black square from edge to "
                "edge, in millimetres."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class LensRecord:
    """One lens of one phone, calibrated once. All in fractions of the photo's longer side.

    ``focal_frac`` is the focal length; ``k1``, ``k2`` are OpenCV's radial distortion with the
    centre of the photo as its centre, so that they hold however the phone was turned.
    ``miss_px`` is the root mean square of what the board's corners missed, in pixels.
    """

    camera: str
    focal_frac: float
    k1: float
    k2: float
    k1_standard: float
    focal_standard_frac: float
    miss_px: float
    photo_count: int
    calibrated: Signed

    def __post_init__(self) -> None:
        name = checked_text(self.camera, "The name of the camera")
        if not name:
            raise InvalidInputError("The photo does not say which camera took it.")
        object.__setattr__(self, "camera", name)

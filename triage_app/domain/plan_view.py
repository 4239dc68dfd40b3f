"""The plan view of an underside: which zone lies where, on a generic car with a flat battery.

Frame: fractions of the drawing, x to the right, y down; the front of the car is up and the
driver's left is on the left, as if one looked down through the car. Our own drawing, of no car.
"""

from dataclasses import dataclass

from rules import ZoneId
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Signed

WIDTH_TO_HEIGHT = 0.46


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanZone:
    """One zone as a rectangle on the plan, in fractions."""

    zone: ZoneId
    left: float
    top: float
    right: float
    bottom: float

    def holds(self, x_frac: float, y_frac: float) -> bool:
        return self.left <= x_frac <= self.right and self.top <= y_frac <= self.bottom


def _zone(name: str, left: float, top: float, right: float, bottom: float) -> PlanZone:
    return PlanZone(zone=ZoneId(name), left=left, top=top, right=right, bottom=bottom)


# Together they cover the whole drawing, so that every pin lies in a zone.
PLAN_ZONES: tuple[PlanZone, ...] = (
    _zone("front_end", 0.0, 0.0, 1.0, 0.12),
    _zone("front_left", 0.0, 0.12, 0.27, 0.31),
    _zone("front_centre", 0.27, 0.12, 0.73, 0.31),
    _zone("front_right", 0.73, 0.12, 1.0, 0.31),
    _zone("sill_left", 0.0, 0.31, 0.14, 0.69),
    _zone("battery_front", 0.14, 0.31, 0.86, 0.44),
    _zone("battery_mid", 0.14, 0.44, 0.86, 0.56),
    _zone("battery_rear", 0.14, 0.56, 0.86, 0.69),
    _zone("sill_right", 0.86, 0.31, 1.0, 0.69),
    _zone("rear_left", 0.0, 0.69, 0.27, 0.88),
    _zone("rear_centre", 0.27, 0.69, 0.73, 0.88),
    _zone("rear_right", 0.73, 0.69, 1.0, 0.88),
    _zone("rear_end", 0.0, 0.88, 1.0, 1.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPin:
    """Where on the car a photo was taken, in fractions of the plan."""

    x_frac: float
    y_frac: float
    signed: Signed

    def __post_init__(self) -> None:
        if not (0 <= self.x_frac <= 1 and 0 <= self.y_frac <= 1):
            raise InvalidInputError("The place on the plan lies outside the drawing.")

    @property
    def zone(self) -> ZoneId:
        return zone_at(self.x_frac, self.y_frac)


def zone_at(x_frac: float, y_frac: float) -> ZoneId:
    """Return the zone at a place of the plan; on a line between two, the first of the table."""
    for zone in PLAN_ZONES:
        if zone.holds(x_frac, y_frac):
            return zone.zone
    raise InvalidInputError("The place on the plan lies outside the drawing.")

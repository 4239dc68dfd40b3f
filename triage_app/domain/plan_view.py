"""The plan view of an underside: which zone lies where, on a generic car with a flat battery.

Frame: fractions of the drawing, x to the right, y down; the front of the car is up and the
driver's left is on the left, as if one looked down through the car. Our own drawing, of no car.
"""

from dataclasses import dataclass

from rules import Side, ZoneId
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


# How far across its zone a place lies when only the side is known; a zone that lies on one side
# of the car says no more by it.
_ACROSS_FRAC = {Side.LEFT: 0.2, Side.CENTRE: 0.5, Side.RIGHT: 0.8}


def zone_box(zone: ZoneId) -> PlanZone | None:
    """Return where a zone lies, or None for a zone that the plan does not know."""
    return next((one for one in PLAN_ZONES if one.zone == zone), None)


def place_of(
    zone: ZoneId | None, side: Side | None = None, pin: PlanPin | None = None
) -> tuple[float, float] | None:
    """Return x and y of a finding on the plan, in fractions; None where nobody named a zone.

    The pin of its photo is taken while it lies in the zone that was named: what a person said of
    the finding itself counts for more than where the photo was taken. Without a zone, no place:
    a photo's pin says where the camera was, not where the damage is.
    """
    box = zone_box(zone) if zone is not None else None
    if box is None:
        return None
    if pin is not None and pin.zone == zone:
        return pin.x_frac, pin.y_frac
    is_across = box.left < 0.5 < box.right
    across = _ACROSS_FRAC[side] if is_across and side is not None else 0.5
    return box.left + across * (box.right - box.left), (box.top + box.bottom) / 2

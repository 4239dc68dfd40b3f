"""The line along which an object passed under the car, as a person drew it on the plan view.

It only ever adds: a finding that the line touches lies on it; of any other finding nothing is
known by it, since an object may bounce, break or turn, and the rules then look at the zones.
"""

from dataclasses import dataclass

from rules import Side, ZoneId
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.plan_view import PlanZone, zone_box
from triage_app.domain.signed import Signed

# How far beside the line an object still reaches, as a share of the drawing's width. Judgement:
# about a hand's width on either side on a car 1.8 m wide.
REACH_FRAC = 0.08
# A finding that somebody put on one side may reach over the middle by as much.
_OVER_MIDDLE_FRAC = 0.08
_SHORTEST_FRAC = 0.02

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpactLine:
    """From where to where the object passed, in fractions of the plan, and who says so."""

    start_x_frac: float
    start_y_frac: float
    end_x_frac: float
    end_y_frac: float
    signed: Signed

    def __post_init__(self) -> None:
        if not all(0 <= value <= 1 for value in (*self.start, *self.end)):
            raise InvalidInputError("The line of travel reaches outside the drawing.")
        if max(abs(a - b) for a, b in zip(self.start, self.end, strict=True)) < _SHORTEST_FRAC:
            raise InvalidInputError("Draw the line of travel from where to where; this is a point.")

    @property
    def start(self) -> Place:
        return self.start_x_frac, self.start_y_frac

    @property
    def end(self) -> Place:
        return self.end_x_frac, self.end_y_frac

    def touches(self, zone: ZoneId | None, side: Side | None) -> bool:
        """Tell whether the line, as wide as an object may be, passes where a finding lies."""
        box = zone_box(zone) if zone is not None else None
        return box is not None and _meets(self.start, self.end, _part(box, side))


def _part(box: PlanZone, side: Side | None) -> tuple[float, float, float, float]:
    """Return the part of a zone in which a finding lies, widened by the reach of the object."""
    left, right = box.left, box.right
    if box.left < 0.5 < box.right:
        if side is Side.LEFT:
            right = 0.5 + _OVER_MIDDLE_FRAC
        elif side is Side.RIGHT:
            left = 0.5 - _OVER_MIDDLE_FRAC
    return left - REACH_FRAC, box.top, right + REACH_FRAC, box.bottom


def _meets(start: Place, end: Place, box: tuple[float, float, float, float]) -> bool:
    """Tell whether a line has a point in a box: what is left of it after cutting at each side."""
    left, top, right, bottom = box
    first, last = 0.0, 1.0
    for at, to, low, high in (
        (start[0], end[0], left, right),
        (start[1], end[1], top, bottom),
    ):
        step = to - at
        if step == 0:
            if not low <= at <= high:
                return False
            continue
        enter, leave = sorted(((low - at) / step, (high - at) / step))
        first, last = max(first, enter), min(last, leave)
    return first <= last

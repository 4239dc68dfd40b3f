"""Cameras whose clock was wrong: what a clock showed, and when that really was."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import checked_text

_LONGEST_OFF = timedelta(days=20 * 366)


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraClock:
    """A comparison of a camera's clock with the wall clock, made by a named person.

    ``camera`` is the model as photos tell it; empty stands for every camera of the case that has
    no comparison of its own. ``shown`` has no zone, as in EXIF; ``really`` has one and is kept in
    UTC.
    """

    camera: str = ""
    shown: datetime
    really: datetime
    signed: Signed

    def __post_init__(self) -> None:
        object.__setattr__(self, "camera", checked_text(self.camera, "The camera"))
        if self.shown.tzinfo is not None:
            raise InvalidInputError("What a camera's clock shows has no time zone.")
        if self.really.tzinfo is None:
            raise InvalidInputError("The time on the wall clock needs its time zone.")
        object.__setattr__(self, "really", self.really.astimezone(UTC))
        if abs(self.offset) > _LONGEST_OFF:
            raise InvalidInputError("No camera clock is off by more than twenty years; look again.")

    @property
    def offset(self) -> timedelta:
        """What to add to a time of this camera, read as if it were UTC, to get the real time."""
        return self.really - self.shown.replace(tzinfo=UTC)


def real_time(
    taken_at: datetime | None, camera: str, clocks: Iterable[CameraClock]
) -> datetime | None:
    """Return when a photo was really taken, in UTC.

    None where the photo tells no time, or nobody compared its camera's clock: an uncompared clock
    is not taken to be right.
    """
    if taken_at is None:
        return None
    by_camera = {clock.camera: clock for clock in clocks}
    clock = by_camera.get(camera) or by_camera.get("")
    return None if clock is None else taken_at.replace(tzinfo=UTC) + clock.offset

"""What makes a record void, and what has to be done then. A void record stays on record."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from triage_app.domain.safing.entries import Happening


class VoidCause(StrEnum):
    """Why a record no longer stands."""

    LOW_VOLTAGE_RECONNECTED = "the 12 V supply was connected again"
    DISCONNECT_REFITTED = "the service disconnect was fitted again"
    CHARGER_CONNECTED = "a charger was connected"
    LOCK_REMOVED = "the lock was taken off"
    WHEEL_TURNED = "a wheel was turned"
    VEHICLE_MOVED = "the vehicle was moved"
    VOLTAGE_FOUND = "a reading is above the limit"
    VOLTAGE_RISING = "a later reading of a point is higher than the one before"
    TEMPERATURE_RISING = "the temperature is rising"
    SIGN_SEEN = "a warning sign of the battery was noticed"
    TOO_OLD = "the record is too old"
    CLOCK_MOVED_BACK = "the clock stands before the last entry"
    NEW_POINT = "a finding makes a test point that nobody read"

    @property
    def do_now(self) -> str:
        """What has to be done now, in a sentence or two."""
        return _DO_NOW[self]


CAUSE_OF = {
    Happening.LOW_VOLTAGE_RECONNECTED: VoidCause.LOW_VOLTAGE_RECONNECTED,
    Happening.DISCONNECT_REFITTED: VoidCause.DISCONNECT_REFITTED,
    Happening.CHARGER_CONNECTED: VoidCause.CHARGER_CONNECTED,
    Happening.LOCK_REMOVED: VoidCause.LOCK_REMOVED,
    Happening.WHEEL_TURNED: VoidCause.WHEEL_TURNED,
    Happening.VEHICLE_MOVED: VoidCause.VEHICLE_MOVED,
}
_OFF = "Stop work and keep hands off. "
_AGAIN = " Then begin the record again, by the maker's procedure."
_DO_NOW = {
    VoidCause.LOW_VOLTAGE_RECONNECTED: f"{_OFF}Take the 12 V supply off again: it can close the "
    f"contactors.{_AGAIN}",
    VoidCause.DISCONNECT_REFITTED: f"{_OFF}Everything counts as live: open the service disconnect, "
    f"lock and tag it.{_AGAIN}",
    VoidCause.CHARGER_CONNECTED: f"{_OFF}Switch the charger off at its supply and unplug it."
    f"{_AGAIN}",
    VoidCause.LOCK_REMOVED: f"{_OFF}Find out who took the lock off and why; what is not locked and "
    f"tagged counts as live.{_AGAIN}",
    VoidCause.WHEEL_TURNED: f"{_OFF}Block the wheels: a turning motor may have charged the system."
    f"{_AGAIN}",
    VoidCause.VEHICLE_MOVED: f"{_OFF}Cable ends may touch something else than before, and wheels "
    f"may have turned.{_AGAIN}",
    VoidCause.VOLTAGE_FOUND: "Stop and step back; gloves stay on. The high-voltage system is live: "
    f"look for the source that is still connected, by the maker's procedure.{_AGAIN}",
    VoidCause.VOLTAGE_RISING: "Stop and step back; gloves stay on. Something still feeds this "
    f"point: look for it, and wait the maker's discharge time again.{_AGAIN}",
    VoidCause.TEMPERATURE_RISING: "Everybody away from the car, and keep 15 m (50 ft) on every "
    "side. Call the fire service if it goes on rising or any sign is seen. No waiting time is "
    f"ever enough by itself.{_AGAIN}",
    VoidCause.SIGN_SEEN: "Everybody away from the car and call the fire service; tell them that it "
    "is an electric car with a damaged battery. Vent gas is flammable and toxic.",
    VoidCause.TOO_OLD: f"{_OFF}Nobody has read the points since.{_AGAIN}",
    VoidCause.CLOCK_MOVED_BACK: f"{_OFF}Have the clock of the server set right; until then nobody "
    f"can tell how old the record is.{_AGAIN}",
    VoidCause.NEW_POINT: f"{_OFF}The new points count as live.{_AGAIN}",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Void:
    """Why a record is void: the cause, the particulars, and when it came about if that is known."""

    cause: VoidCause
    detail: str = ""
    at: datetime | None = None

    @property
    def sentence(self) -> str:
        return f"{self.cause}: {self.detail}" if self.detail else str(self.cause)

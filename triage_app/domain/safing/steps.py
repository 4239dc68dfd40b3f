"""The steps of making safe, in the order in which they are done, and why each matters.

The maker's procedure comes first; this is the frame in which what was done is recorded.
"""

from enum import StrEnum


class StepGroup(StrEnum):
    """Steps that are done together."""

    AREA = "Area and car"
    DATA = "Codes and cell data"
    PROTECTION = "Protection and people"
    DE_ENERGISE = "De-energise"
    READ = "Prove, read, prove"


class Step(StrEnum):
    """One step. The order of the members is the order of the work."""

    MAKER_PROCEDURE = "maker's procedure"
    AREA_BARRED = "area barred off"
    CHARGER_UNPLUGGED = "charger unplugged"
    KEY_AWAY = "key taken away"
    WHEELS_BLOCKED = "wheels blocked"
    FIRST_TEMPERATURE = "first temperature"
    DATA_SAVED = "codes and cell data saved"
    PROTECTION = "protective equipment and second person"
    SOURCES_IDENTIFIED = "all sources identified"
    VEHICLE_OFF = "vehicle switched off"
    LOW_VOLTAGE_OFF = "12 V supply off"
    DISCONNECT_OPEN = "service disconnect open"
    LOCKED_AND_TAGGED = "locked and tagged"
    TRY_START = "try-start"
    DISCHARGE_WAITED = "discharge time waited"
    INSTRUMENT_PROVED = "instrument proved"
    INSTRUMENT_PROVED_AGAIN = "instrument proved again"

    @property
    def group(self) -> StepGroup:
        return _GROUPS[self]

    @property
    def why(self) -> str:
        """Why it matters, in one sentence."""
        return _WHY[self]

    @property
    def is_before(self) -> tuple["Step", ...]:
        """The steps that come before this one."""
        return STEPS[: STEPS.index(self)]


STEPS = tuple(Step)
_GROUPS = {
    Step.MAKER_PROCEDURE: StepGroup.AREA,
    Step.AREA_BARRED: StepGroup.AREA,
    Step.CHARGER_UNPLUGGED: StepGroup.AREA,
    Step.KEY_AWAY: StepGroup.AREA,
    Step.WHEELS_BLOCKED: StepGroup.AREA,
    Step.FIRST_TEMPERATURE: StepGroup.AREA,
    Step.DATA_SAVED: StepGroup.DATA,
    Step.PROTECTION: StepGroup.PROTECTION,
    Step.SOURCES_IDENTIFIED: StepGroup.DE_ENERGISE,
    Step.VEHICLE_OFF: StepGroup.DE_ENERGISE,
    Step.LOW_VOLTAGE_OFF: StepGroup.DE_ENERGISE,
    Step.DISCONNECT_OPEN: StepGroup.DE_ENERGISE,
    Step.LOCKED_AND_TAGGED: StepGroup.DE_ENERGISE,
    Step.TRY_START: StepGroup.DE_ENERGISE,
    Step.DISCHARGE_WAITED: StepGroup.DE_ENERGISE,
    Step.INSTRUMENT_PROVED: StepGroup.READ,
    Step.INSTRUMENT_PROVED_AGAIN: StepGroup.READ,
}
_WHY = {
    Step.MAKER_PROCEDURE: "only the maker knows every source of this car, and the order and the "
    "waiting time that it needs",
    Step.AREA_BARRED: "whoever walks in without knowing is the one who gets hurt",
    Step.CHARGER_UNPLUGGED: "a charger feeds the high-voltage system from outside",
    Step.KEY_AWAY: "a key in reach can wake the car and close its contactors",
    Step.WHEELS_BLOCKED: "a turning permanent-magnet motor makes voltage",
    Step.FIRST_TEMPERATURE: "without a first reading nobody can see a rise",
    Step.DATA_SAVED: "what the car knows of its cells may be gone once the 12 V supply is off",
    Step.PROTECTION: "until every point is read, everything counts as live",
    Step.SOURCES_IDENTIFIED: "a source that nobody thought of stays connected",
    Step.VEHICLE_OFF: "a car that is switched on holds its contactors closed",
    Step.LOW_VOLTAGE_OFF: "the 12 V supply holds the contactors closed and can close them again",
    Step.DISCONNECT_OPEN: "it parts the battery from the rest of the car",
    Step.LOCKED_AND_TAGGED: "what is not locked and tagged counts as energised",
    Step.TRY_START: "it shows whether something still holds the system awake",
    Step.DISCHARGE_WAITED: "capacitors hold their charge for minutes after the battery is off",
    Step.INSTRUMENT_PROVED: "a dead meter reads zero on a live cable",
    Step.INSTRUMENT_PROVED_AGAIN: "a meter that died in between has read zero everywhere",
}

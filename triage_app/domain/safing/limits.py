"""The figures that the record is judged by, and where each is from."""

from dataclasses import dataclass
from datetime import date, timedelta

from rules.published import (
    CLASS_B_TOP_DC_V,
    GLOVE_RETEST_MONTHS,
    GLOVE_SHELF_MONTHS,
    HV_ABOVE_AC_V,
    HV_ABOVE_DC_V,
    METER_RATED_V,
    glove_class,
    lowest_glove_class,
)
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.safing.entries import (
    Current,
    MeterCategory,
    PointReading,
    Protection,
    SafingInstrument,
)

LONGEST_AGE = timedelta(hours=8)
LONGEST_WATCH = timedelta(minutes=60)
SHORTEST_BETWEEN_TURNS = timedelta(seconds=60)
LARGEST_RISE_C = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SafingPolicy:
    """What the shop has set. As shipped it is the loosest allowed: a shop may only tighten it.

    All four are judgement.
    ``oldest`` is how old its first reading, and the air test of the gloves at any reading, may
    get, ``between_turns`` the time between the two readings of
    a point, ``watch_every`` that between two temperatures, ``rise_c`` the rise over the lowest
    reading at one place that voids a record.
    """

    oldest: timedelta = LONGEST_AGE
    between_turns: timedelta = SHORTEST_BETWEEN_TURNS
    watch_every: timedelta = timedelta(minutes=15)
    rise_c: float = LARGEST_RISE_C

    def __post_init__(self) -> None:
        if not timedelta(0) < self.oldest <= LONGEST_AGE:
            raise InvalidInputError("A make-safe record stands for more than 0 and at most 8 h.")
        if not timedelta(0) < self.watch_every <= LONGEST_WATCH:
            raise InvalidInputError("The temperature is read at least once an hour.")
        if self.between_turns < SHORTEST_BETWEEN_TURNS or not 0 <= self.rise_c <= LARGEST_RISE_C:
            raise InvalidInputError("A shop may tighten what the make-safe record asks, only.")


def limit_v(maker_dc_v: float | None, current: Current) -> float:
    """Return the highest voltage that counts as absent: the maker's, 60 V DC / 30 V AC at most."""
    ceiling = HV_ABOVE_DC_V.value if current is Current.DC else HV_ABOVE_AC_V.value
    return ceiling if maker_dc_v is None else min(maker_dc_v, ceiling)


def is_above_limit(reading: PointReading, maker_dc_v: float | None) -> bool:
    return reading.highest_v > limit_v(maker_dc_v, reading.current)


def counted_voltage_v(system_voltage_v: float | None) -> float:
    """Return the highest system voltage; not known counts as the top of voltage class B."""
    return CLASS_B_TOP_DC_V.value if system_voltage_v is None else system_voltage_v


def protection_fault(worn: Protection, *, voltage_v: float, on: date) -> str:
    """Return what is wrong with gloves and protection on a day, or "" when nothing is."""
    worn_class = glove_class(worn.glove_class)
    needed = lowest_glove_class(voltage_v)
    if worn_class is None:
        return f"there is no glove class '{worn.glove_class}'; it is 00, 0, 1, 2, 3 or 4"
    if worn_class.max_dc_v < voltage_v:
        return (
            f"gloves of class {worn_class.name} end at {worn_class.max_dc_v:g} V DC and this car "
            f"counts as {voltage_v:g} V; class {needed.name} is the least"
        )
    if not (worn.air_tested_today and worn.leather_over_rubber and worn.face_and_arc):
        return "air test today, leather over rubber, and face and arc protection are all needed"
    return _glove_dates_fault(worn, on)


def _glove_dates_fault(worn: Protection, on: date) -> str:
    tested, issued = worn.gloves_tested_on, worn.gloves_issued_on
    if tested is None:
        return "nobody wrote down when the gloves were tested"
    if tested > on or (issued is not None and issued > on):
        return "the gloves were tested or put into service on a day that has not come yet"
    if issued is not None and issued > _months_after(tested, GLOVE_SHELF_MONTHS.value):
        return (
            f"the gloves were tested on {tested} and put into service on {issued}, more than "
            f"{GLOVE_SHELF_MONTHS.value:g} months later"
        )
    start = max(tested, issued) if issued else tested
    if on > _months_after(start, GLOVE_RETEST_MONTHS.value):
        return (
            f"the gloves are in service since {start} without a new test, more than "
            f"{GLOVE_RETEST_MONTHS.value:g} months"
        )
    return ""


def meter_fault(meter: SafingInstrument, *, voltage_v: float, on: date) -> str:
    """Return why no voltage may be read with this instrument, or "" where it may."""
    if meter.category not in (MeterCategory.CAT_III, MeterCategory.CAT_IV):
        return f"the {meter.name} is not known to be of measurement category III or IV"
    needed_v = max(METER_RATED_V.value, voltage_v)
    if meter.rated_v is None or meter.rated_v < needed_v:
        return f"the {meter.name} is not known to be rated for {needed_v:g} V"
    if meter.calibration_due is None:
        return f"nobody wrote down until when the {meter.name} is calibrated"
    if meter.calibration_due < on:
        return f"the calibration of the {meter.name} had run out on {meter.calibration_due}"
    return ""


def _months_after(day: date, months: float) -> date:
    """Return the same day some months later, or the last day of a shorter month."""
    count = day.month - 1 + int(months)
    year, month = day.year + count // 12, count % 12 + 1
    first_of_next = date(year + month // 12, month % 12 + 1, 1)
    return min(date(year, month, 1) + timedelta(days=day.day - 1), first_of_next - timedelta(1))

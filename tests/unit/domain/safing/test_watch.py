"""The temperature watch: rise, rate, next reading; and photos against the record."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from rules.published import GLOVE_CLASSES, lowest_glove_class
from tests.builders import NOON, SIGNED, a_case, a_finding, a_mark, a_photo
from tests.safing_records import (
    GLOVES,
    POLICY,
    THERMOMETER,
    a_temperature,
    entered,
    recorded_case,
    status,
)
from triage_app.domain.clocks import CameraClock
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.safing.entries import Keeping, TemperatureReading, WatchSign
from triage_app.domain.safing.limits import SafingPolicy, protection_fault
from triage_app.domain.safing.photo_times import photos_before, photos_without_time
from triage_app.domain.safing.watch import watch_of


def test_rise_and_rate_are_since_the_first_reading_at_a_place() -> None:
    entries = entered(
        [a_temperature(20.0), a_temperature(19.0), a_temperature(22.0), a_temperature(40, "rear")],
        every=timedelta(minutes=30),
    )
    front, rear = watch_of(entries, POLICY).places
    assert (front.rise_c, front.per_hour_c, front.highest_rise_c) == (2.0, 2.0, 3.0)
    assert (front.lately_per_hour_c, rear.lately_per_hour_c) == (6.0, None)
    assert front.is_rising
    assert (rear.rise_c, rear.per_hour_c, rear.is_rising) == (None, None, False)


def test_the_first_temperature_of_the_record_is_part_of_the_series() -> None:
    [trend] = watch_of(recorded_case().safing, POLICY).places
    assert [one.value_c for one in trend.readings] == [24.0]


def test_the_next_reading_is_due_after_the_interval_of_the_shop() -> None:
    watch = watch_of(entered([a_temperature(20.0)]), POLICY)
    assert watch.next_due == NOON + timedelta(minutes=15)
    assert not watch.is_overdue(NOON + timedelta(minutes=15))
    assert watch.is_overdue(NOON + timedelta(minutes=16))
    assert watch_of((), POLICY).is_overdue(NOON)


def test_signs_and_how_the_car_is_kept_away_are_told() -> None:
    seen = TemperatureReading(
        place="front",
        value_c=20,
        instrument=THERMOMETER,
        signs=(WatchSign.ODOUR,),
        kept=Keeping.BARRIER,
    )
    watch = watch_of(entered([seen]), POLICY)
    assert (watch.signs, watch.kept) == (((WatchSign.ODOUR, NOON),), Keeping.BARRIER)


def test_a_photo_from_before_the_record_is_pointed_out_where_its_time_is_known() -> None:
    photo = replace(a_photo(1), taken_at=datetime(2031, 5, 4, 11, 0))  # noqa: DTZ001 - camera
    case = a_case(a_finding(1, marks=(a_mark(1, photo=photo),)), photos=(photo, a_photo(2)))
    assert photos_without_time(case) == (photo,)
    clock = CameraClock(shown=NOON.replace(tzinfo=None), really=NOON, signed=SIGNED)
    told = replace(case, clocks=(clock,))
    assert photos_before(told, NOON) == (photo,)
    assert photos_before(told, NOON - timedelta(hours=2)) == ()
    assert photos_before(told, None) == (photo,)


@pytest.mark.parametrize(
    "change",
    [
        {"oldest": timedelta(hours=9)},
        {"oldest": timedelta(0)},
        {"between_turns": timedelta(seconds=59)},
        {"rise_c": 1.1},
        {"watch_every": timedelta(hours=2)},
    ],
)
def test_a_shop_tightens_and_never_loosens(change: dict[str, object]) -> None:
    with pytest.raises(InvalidInputError):
        SafingPolicy(**change)  # type: ignore[arg-type]


# ASTM D120 / IEC 60903 DC values (read in a copy), at and just above each class.
@pytest.mark.parametrize(
    ("dc_v", "name"), [(400, "00"), (750, "00"), (751, "0"), (800, "0"), (1500, "0"), (1501, "1")]
)
def test_the_lowest_glove_class_follows_the_table(dc_v: float, name: str) -> None:
    assert lowest_glove_class(dc_v).name == name
    assert [each.max_dc_v for each in GLOVE_CLASSES] == sorted(e.max_dc_v for e in GLOVE_CLASSES)


def test_no_gloves_are_enough_above_class_4() -> None:
    with pytest.raises(ValueError, match="No class"):
        lowest_glove_class(60_000)


def test_six_months_end_on_the_last_day_of_a_shorter_month() -> None:
    tested = datetime(2031, 8, 31, tzinfo=NOON.tzinfo).date()
    worn = replace(GLOVES, gloves_tested_on=tested, gloves_issued_on=None)
    last = datetime(2032, 2, 29, tzinfo=NOON.tzinfo).date()
    assert protection_fault(worn, voltage_v=400, on=last) == ""
    assert protection_fault(worn, voltage_v=400, on=last + timedelta(1))


def test_a_status_is_told_for_a_case_without_entries() -> None:
    assert status(a_case()).reader == ""

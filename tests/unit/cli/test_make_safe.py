"""The make-safe record from the command line: a whole one, refusals, what voids it."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.unit.cli.shell import Said, Shell
from triage_app.domain.vehicle import SIGNS

METER = (
    *("--instrument", "Two-pole tester", "--serial", "V-7", "--category", "III"),
    *("--rated-v", "1500", "--calibration-due", "2999-12-31"),
)
DAY = datetime.now(UTC).date()
STEPS: tuple[tuple[str, ...], ...] = (
    ("maker-procedure", "--document", "Invented manual", "--document-date", "2030-04"),
    ("area-barred", "--reference", "chain and signs"),
    ("charger-unplugged",),
    ("key-away",),
    ("wheels-blocked",),
    (
        *("first-temperature", "--value", "21", "--reference", "underside"),
        *("--instrument", "Contact thermometer"),
    ),
    ("data-saved", "--instead", "Left out: it wakes the system", "--reference", "page 3"),
    (
        *("protection", "--reader", "Rene Reader", "--glove-class", "0"),
        *("--gloves-tested", f"{DAY - timedelta(days=9)}", "--air-tested", "--leather"),
        "--face-and-arc",
    ),
    ("sources-identified", "--reference", "battery, 12 V"),
    ("vehicle-off",),
    ("low-voltage-off",),
    ("disconnect-open",),
    ("locked-and-tagged", "--reference", "lock 4"),
    ("try-start",),
    ("discharge-waited",),
    ("instrument-proved", "--reference", "PU-1", "--value", "240", *METER),
)


@pytest.fixture
def car(shop: Shell) -> Shell:
    """Return a shop whose case R-1 has one test point, with two hours before now to fill."""
    without = [
        *("front-drive-unit", "rear-drive-unit", "charger", "dc-dc", "compressor", "heater"),
        "junction",
    ]
    units = [part for unit in without for part in ("--without", unit)]
    for sign in SIGNS:
        shop.must("answer-sign", "R-1", sign, "no")
    shop.must("choose-layout", "R-1", *units, "--document", "Layout sheet 3")
    return shop


def at(minutes_ago: float) -> tuple[str, str]:
    return "--at", (datetime.now(UTC) - timedelta(minutes=minutes_ago)).isoformat()


def steps_done(car: Shell) -> None:
    for number, step in enumerate(STEPS):
        limit = ("--discharge-min", "5") if number == 0 else ()
        car.must("record-step", "R-1", *step, *limit, *at(150 - 6 * number))


def read_twice(car: Shell) -> None:
    for turn, minutes_ago in (("1", 40), ("2", 30)):
        car.must(
            "record-reading", "R-1", "1", turn, "0", "0", "-0.1", "--contact", *at(minutes_ago)
        )


def whole(car: Shell) -> Said:
    steps_done(car)
    read_twice(car)
    proof = ("--reference", "PU-1", "--value", "239", *METER)
    return car.must("record-step", "R-1", "instrument-proved-again", *proof, *at(20))


def test_a_whole_record_names_points_time_and_people_and_what_is_not_covered(car: Shell) -> None:
    said = whole(car).out
    assert "Absence of voltage recorded at battery output; " in said
    assert "read by Rene Reader, recorded by Ada Nowak; limit 60 V DC / 30 V AC." in said
    assert "Not covered: the battery, inside its enclosure" in said
    assert "The battery itself remains energised." in said
    assert "1 battery output: first 0 / 0 / -0.1 V DC, second 0 / 0 / -0.1 V DC" in said


def test_the_state_as_json_is_never_a_bare_word(car: Shell) -> None:
    whole(car)
    told = car.must("make-safe", "R-1", "--json").json
    assert (told["state"], told["covered"]) == ("recorded", ["battery output"])
    assert told["battery"] == "The battery itself remains energised."
    assert told["points"][0]["second"]["negative_to_chassis_v"] == -0.1
    assert told["isolation"][0]["said"] == "outstanding: nobody measured it here"


def test_what_happened_voids_it_and_says_what_to_do(car: Shell) -> None:
    whole(car)
    said = car.must("record-happening", "R-1", "low-voltage-reconnected").out
    assert "Make-safe record: VOID. Everything of the high-voltage system counts as live." in said
    assert "What to do now: Stop work and keep hands off." in said
    again = car.must("record-happening", "R-1", "begin-again").out
    assert "Absence of voltage: NOT RECORDED." in again


def test_a_step_too_early_is_refused_with_what_is_missing_and_why(car: Shell) -> None:
    car.run("record-step", "R-1", "vehicle-off").refused(
        "comes after 'maker's procedure', which is not recorded", "only the maker knows"
    )


def test_without_the_makers_discharge_time_nothing_is_recorded(car: Shell) -> None:
    car.run("record-step", "R-1", *STEPS[0]).refused("no other figure stands for it")


def test_a_step_done_again_takes_what_rested_on_it(car: Shell) -> None:
    whole(car)
    car.run("record-step", "R-1", "vehicle-off").refused("theirs stands")
    said = car.must("record-step", "R-1", "vehicle-off", "--again").out
    assert "Due next: 12 V supply off" in said


def test_a_stated_time_before_what_it_follows_is_refused(car: Shell) -> None:
    car.must("record-step", "R-1", *STEPS[0], "--discharge-min", "5", *at(10))
    car.run("record-step", "R-1", *STEPS[1], *at(11)).refused("is before the entry that it follows")
    car.run("record-step", "R-1", *STEPS[1], "--at", "2031-11-30T14:05").wrong_usage(
        "with its zone"
    )


def test_a_point_that_the_car_does_not_have_is_named(car: Shell) -> None:
    car.run("record-reading", "R-1", "2", "1", "0", "0", "0").wrong_usage("no test point '2'")


def test_a_temperature_says_when_the_next_is_due_and_a_sign_voids(car: Shell) -> None:
    whole(car)
    thermometer = ("--place", "underside", "--instrument", "Contact thermometer")
    said = car.must("record-temperature", "R-1", "21.2", *thermometer, "--kept", "distance").out
    assert "Temperature: the next reading is due at" in said
    assert "  underside: 21.2 °C at " in said
    assert "The car is kept away by: 15 m (50 ft) on every side" in said
    void = car.must("record-temperature", "R-1", "21.2", *thermometer, "--sign", "hissing").out
    assert "a warning sign of the battery was noticed: hissing" in void
    told = car.must("make-safe", "R-1", "--json").json
    warmth = next(each for each in told["temperatures"] if each["place"] == "underside")
    assert [felt["value_c"] for felt in warmth["readings"][1:]] == [21.2, 21.2]
    assert warmth["rise_c"] == pytest.approx(21.2 - warmth["readings"][0]["value_c"])
    assert (told["signs"][0][0], told["kept"]) == ("hissing", "not known")


def test_isolation_shows_its_calculation_and_becomes_a_record_that_waits(car: Shell) -> None:
    """Worked example X3 of the project's table of facts, section 9: 75 ohm/V."""
    said = car.must(
        *("record-isolation", "R-1", "the high-voltage bus outside the battery"),
        *("--working-v", "400", "--carries", "dc-only", "--instrument", "meter M-1"),
        *("--procedure", "Invented manual 7-2"),
        *("--two-voltages", "400", "66.6667", "333.3333", "200000", "296.2963"),
    ).out
    assert "the high-voltage bus outside the battery: below the reference." in said
    assert " ohm / 400 V = 75 ohm/V" in said
    evidence = car.must("evidence", "R-1").out
    assert "Record 1, the whole car: isolation_resistance, criterion not met" in evidence
    assert "waiting for another person to accept it" in evidence


def test_a_template_with_a_cable_makes_a_point_of_it(shop: Shell) -> None:
    said = shop.must("choose-layout", "R-1", "--template", "5", "--with", "second heater").out
    assert "DC charging cable, at the inlet: first NOT READ, second NOT READ" in said
    assert "second heater: first NOT READ" in said

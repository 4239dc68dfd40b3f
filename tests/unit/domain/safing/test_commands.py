"""Every refusal of an entry: which step or point is missing, and why it matters."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.builders import NOON
from tests.safing_records import (
    EVERY,
    GLOVES,
    METER,
    PROCEDURE,
    READER,
    RECORDER,
    a_reading,
    a_step,
    a_temperature,
    recorded_case,
    small_case,
    whole_record,
    with_entries,
)
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError
from triage_app.domain.ids import PhotoId, SafingId
from triage_app.domain.safing.commands import (
    RecordHappening,
    RecordReading,
    RecordStep,
    RecordTemperature,
)
from triage_app.domain.safing.entries import (
    Current,
    Entered,
    Happened,
    Happening,
    MeterCategory,
    Protection,
    StepDone,
)
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.signed import Signed

RECORD = whole_record(["unit:battery_output"])


def up_to(step: Step) -> Case:
    """Return the case with everything before ``step`` recorded."""
    at = next(i for i, what in enumerate(RECORD) if getattr(what, "step", None) is step)
    return small_case(*RECORD[:at])


def next_signed(case: Case, *, by: str = RECORDER, after: timedelta = EVERY) -> Signed:
    return Signed(by=by, at=case.safing[-1].done_at + after)


def add(case: Case, what: Entered, *, again: bool = False, **signed: object) -> Case:
    kind = RecordStep if isinstance(what, StepDone) else RecordReading
    new_id = SafingId(f"new{len(case.safing)}")
    command = kind(entry_id=new_id, what=what, again=again)  # type: ignore[arg-type]
    return command.apply(case, next_signed(case, **signed))  # type: ignore[arg-type]


@pytest.mark.parametrize("step", STEPS)
def test_each_step_is_taken_after_all_before_it(step: Step) -> None:
    case = up_to(step)
    done = add(case, a_step(step, points=["unit:battery_output"]))
    assert len(done.safing) == len(case.safing) + 1


@pytest.mark.parametrize("step", STEPS[1:])
def test_a_step_too_early_is_refused_with_the_missing_one_and_why(step: Step) -> None:
    missing = STEPS[STEPS.index(step) - 1]
    case = small_case(*(a_step(each) for each in STEPS[: STEPS.index(missing)]))
    with pytest.raises(InvalidInputError) as refused:
        add(case, a_step(step, points=["unit:battery_output"]))
    assert f"comes after '{missing}', which is not recorded: {missing.why}" in str(refused.value)


def worn(**change: object) -> StepDone:
    return StepDone(step=Step.PROTECTION, protection=replace(GLOVES, **change))  # type: ignore[arg-type]


TODAY = NOON.date()


@pytest.mark.parametrize(
    ("done", "said"),
    [
        (StepDone(step=Step.MAKER_PROCEDURE), "the maker's document and its date"),
        (
            StepDone(step=Step.MAKER_PROCEDURE, procedure=replace(PROCEDURE, discharge_min=None)),
            "discharge time is not written down; no other figure stands for it",
        ),
        (StepDone(step=Step.AREA_BARRED), "the barrier and the signs are not written down"),
        (StepDone(step=Step.AREA_BARRED, instead="no need"), "nothing may be done in its place"),
        (StepDone(step=Step.FIRST_TEMPERATURE), "the place and the instrument are needed"),
        (StepDone(step=Step.PROTECTION), "gloves, protection and the name of the reader"),
        (worn(reader=RECORDER), "cannot read and record at once"),
        (worn(glove_class="7"), "no glove class '7'"),
        (worn(air_tested_today=False), "air test today"),
        (worn(leather_over_rubber=False), "leather over rubber"),
        (worn(face_and_arc=False), "face and arc protection"),
        (worn(gloves_tested_on=None), "when the gloves were tested"),
        (worn(gloves_tested_on=TODAY + timedelta(1)), "a day that has not come yet"),
        (worn(gloves_tested_on=TODAY - timedelta(184), gloves_issued_on=None), "6 months"),
        (
            worn(gloves_tested_on=TODAY - timedelta(400), gloves_issued_on=TODAY - timedelta(9)),
            "more than 12 months later",
        ),
        (StepDone(step=Step.SOURCES_IDENTIFIED), "every source of voltage"),
        (StepDone(step=Step.LOCKED_AND_TAGGED), "the lock and the tag"),
    ],
)
def test_a_step_that_lacks_something_is_refused(done: StepDone, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said) as refused:
        add(up_to(done.step), done)
    assert done.step.why in str(refused.value).lower() or done.step.why in str(refused.value)


def test_gloves_are_judged_against_the_highest_voltage_and_unknown_counts_as_high() -> None:
    low = worn(glove_class="00")
    case = up_to(Step.PROTECTION)
    assert add(case, low) is not case  # 400 V: the table's number; class 0 is common practice
    unknown = replace(case, vehicle=replace(case.vehicle, system_voltage_v=None))
    with pytest.raises(InvalidInputError, match="counts as 1500 V; class 0 is the least"):
        add(unknown, low)


def proof(step: Step = Step.INSTRUMENT_PROVED, **change: object) -> StepDone:
    meter = replace(METER, **change)  # type: ignore[arg-type]
    return replace(a_step(step, points=["unit:battery_output"]), instrument=meter)


@pytest.mark.parametrize(
    ("done", "said"),
    [
        (proof(category=None), "category III or IV"),
        (proof(category=MeterCategory.CAT_II), "category III or IV"),
        (proof(rated_v=600), "rated for 1000 V"),
        (proof(rated_v=None), "rated for 1000 V"),
        (proof(calibration_due=None), "until when .* is calibrated"),
        (proof(calibration_due=date(2031, 5, 3)), "had run out on 2031-05-03"),
        (replace(proof(), value=None, unit=""), "the known source"),
        (replace(proof(), reference=""), "the known source"),
        (replace(proof(), value=0.2), "does not show that the instrument works"),
        (proof(Step.INSTRUMENT_PROVED_AGAIN, serial="V-8"), "another instrument"),
        (replace(proof(Step.INSTRUMENT_PROVED_AGAIN), value=190.0), "one of the two is wrong"),
    ],
)
def test_an_instrument_that_is_not_proved_or_not_fit_is_refused(done: StepDone, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        add(up_to(done.step), done)


def test_the_discharge_time_is_the_makers_and_is_waited() -> None:
    opened = add(up_to(Step.DISCONNECT_OPEN), a_step(Step.DISCONNECT_OPEN))
    locked = (a_step(Step.LOCKED_AND_TAGGED), a_step(Step.TRY_START))
    case = with_entries(opened, *locked, after=timedelta(0), every=timedelta(0))
    with pytest.raises(InvalidInputError, match="the maker's 5 min are not over, 60 s left"):
        add(case, a_step(Step.DISCHARGE_WAITED), after=timedelta(minutes=4))
    with pytest.raises(InvalidInputError, match="1 s left"):
        add(case, a_step(Step.DISCHARGE_WAITED), after=timedelta(minutes=4, seconds=59))
    assert add(case, a_step(Step.DISCHARGE_WAITED), after=timedelta(minutes=5)) is not case


def test_the_makers_alternative_takes_the_place_of_a_disconnect() -> None:
    instead = StepDone(step=Step.DISCONNECT_OPEN, instead="None fitted: cut loop opened")
    case = up_to(Step.DISCONNECT_OPEN)
    with pytest.raises(InvalidInputError, match="document and page of the maker"):
        add(case, instead)
    assert add(case, replace(instead, reference="manual 3-1, page 9")) is not case


def test_gloves_that_were_air_tested_hours_ago_are_tested_again_before_a_reading() -> None:
    case = small_case(*RECORD[:16])  # everything up to the first proof of the instrument
    worn = next(each for each in case.safing if getattr(each.what, "protection", None))
    since = case.safing[-1].done_at - worn.done_at
    allowed = add(case, a_reading(), after=timedelta(hours=8) - since)
    assert len(allowed.safing) == len(case.safing) + 1
    with pytest.raises(InvalidInputError, match="air-tested before each day of use"):
        add(case, a_reading(), after=timedelta(hours=8, seconds=1) - since)


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (replace(a_reading(), contact_confirmed=False), "zero on a live part"),
        (a_reading(turn=2), "first reading of 'battery output' is missing"),
    ],
)
def test_a_reading_that_says_nothing_is_refused(reading: Entered, said: str) -> None:
    case = small_case(*RECORD[: len(STEPS) - 1])
    with pytest.raises(InvalidInputError, match=said):
        add(case, reading)


def test_a_reading_before_the_instrument_is_proved_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="'instrument proved' is recorded: a dead meter"):
        add(up_to(Step.INSTRUMENT_PROVED), a_reading())


def test_the_reader_does_not_record() -> None:
    case = small_case(*RECORD[: len(STEPS) - 1])
    with pytest.raises(InvalidInputError, match="the reader keeps the gloves on"):
        add(case, a_reading(), by=READER)


def test_the_second_reading_comes_some_time_after_the_first() -> None:
    case = small_case(*RECORD[: len(STEPS)])
    with pytest.raises(InvalidInputError, match="at least 60 s have to pass"):
        add(case, a_reading(turn=2), after=timedelta(seconds=59))
    assert add(case, a_reading(turn=2), after=timedelta(seconds=60)) is not case


def test_ac_and_dc_are_no_two_readings_of_one_point() -> None:
    case = small_case(*RECORD[: len(STEPS)])
    with pytest.raises(InvalidInputError, match="read in DC first and in AC now"):
        add(case, replace(a_reading(turn=2), current=Current.AC))


@pytest.mark.parametrize("turns", [0, 1])
def test_the_last_proof_is_refused_while_a_point_is_unread(turns: int) -> None:
    case = small_case(*RECORD[: len(STEPS) - 1 + turns])
    with pytest.raises(InvalidInputError, match="reading of 'battery output' is missing: zero at"):
        add(case, RECORD[-1])


def test_no_point_at_all_is_no_record() -> None:
    with pytest.raises(InvalidInputError, match="No test point is named"):
        add(up_to(STEPS[-1]), a_step(STEPS[-1]))


def test_a_clock_that_was_moved_back_is_refused() -> None:
    case = up_to(Step.KEY_AWAY)
    with pytest.raises(InvalidInputError, match="the clock was moved back"):
        add(case, a_step(Step.KEY_AWAY), after=timedelta(seconds=-1))


def test_a_time_that_has_not_come_is_refused() -> None:
    case = up_to(Step.KEY_AWAY)
    signed = next_signed(case)
    later = RecordStep(
        entry_id=SafingId("n"), what=a_step(Step.KEY_AWAY), done_at=signed.at + timedelta(hours=1)
    )
    with pytest.raises(InvalidInputError, match="has not come yet"):
        later.apply(case, signed)


def test_what_somebody_else_recorded_stands_and_is_named() -> None:
    case = up_to(Step.WHEELS_BLOCKED)
    with pytest.raises(StaleCaseError, match="Rita Recorder has recorded 'key taken away' already"):
        add(case, a_step(Step.KEY_AWAY), by="Olga Other")
    assert len(add(case, a_step(Step.KEY_AWAY), again=True).safing) == len(case.safing) + 1


def test_a_point_that_somebody_else_read_stands_and_is_named() -> None:
    case = small_case(*RECORD[: len(STEPS)])
    with pytest.raises(StaleCaseError, match="reading 1 of 'battery output' already"):
        add(case, a_reading(), by="Olga Other")


def test_a_void_record_takes_no_step_until_it_is_begun_again() -> None:
    case = with_entries(recorded_case(), Happened(what=Happening.LOCK_REMOVED))
    with pytest.raises(InvalidInputError, match=r"the lock was taken off\). Begin it again"):
        add(case, a_step(Step.MAKER_PROCEDURE), again=True)


def test_what_happened_and_what_was_felt_is_taken_whatever_came_before() -> None:
    case = with_entries(recorded_case(), Happened(what=Happening.LOCK_REMOVED))
    early = Signed(by=RECORDER, at=NOON - timedelta(hours=2))
    felt = RecordTemperature(entry_id=SafingId("t"), what=a_temperature(20))
    moved = RecordHappening(entry_id=SafingId("m"), what=Happened(what=Happening.VEHICLE_MOVED))
    assert len(moved.apply(felt.apply(case, early), early).safing) == len(case.safing) + 2


def test_a_repeat_changes_nothing() -> None:
    command = RecordStep(entry_id=SafingId("k"), what=a_step(Step.KEY_AWAY))
    case = up_to(Step.KEY_AWAY)
    case = command.apply(case, next_signed(case))
    assert command.apply(case, next_signed(case)) is case


def test_a_photo_of_another_case_is_refused() -> None:
    command = RecordTemperature(
        entry_id=SafingId("t"), what=a_temperature(20), photo_id=PhotoId("nowhere")
    )
    with pytest.raises(NotFoundError):
        command.apply(small_case(), Signed(by=RECORDER, at=NOON))


def test_the_reader_needs_a_name() -> None:
    with pytest.raises(InvalidInputError, match="Name the person"):
        Protection(reader=" ", glove_class="0")

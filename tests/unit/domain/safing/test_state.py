"""The state machine: recorded only for a whole record in order; void on everything that voids."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.builders import a_case, a_finding, some_tags
from tests.safing_records import (
    EVERY,
    SMALL_LAYOUT,
    THERMOMETER,
    a_reading,
    a_step,
    a_temperature,
    recorded_case,
    small_case,
    status,
    whole_record,
    with_entries,
)
from triage_app.domain.case import Case
from triage_app.domain.safing.entries import (
    Entered,
    Happened,
    Happening,
    LayoutChosen,
    TemperatureReading,
    WatchSign,
)
from triage_app.domain.safing.layouts import HvLayout
from triage_app.domain.safing.state import SafingState
from triage_app.domain.safing.steps import STEPS, Step
from triage_app.domain.safing.voids import CAUSE_OF, VoidCause

BATTERY = "unit:battery_output"
RECORD = whole_record([BATTERY])
LAST = len(RECORD) - 1
READINGS = {LAST - 2, LAST - 1}


def reached(order: list[int]) -> int:
    """Say how far an order of entries gets: the same rule in three lines, to check against."""
    at = 0
    for index in order:
        if index <= at and not (at > LAST and index in READINGS):
            at = index + 1
    return at


@given(st.permutations(range(len(RECORD))))
def test_each_step_once_is_recorded_in_one_order_only(order: list[int]) -> None:
    state = status(small_case(*(RECORD[index] for index in order))).state
    in_order = order == sorted(order)
    assert state is (SafingState.RECORDED if in_order else SafingState.NOT_RECORDED)


@given(st.sampled_from([[], [*range(len(RECORD))]]), st.lists(st.integers(0, LAST), max_size=45))
def test_whatever_the_order_and_the_repeats_recorded_means_a_whole_chain(
    first: list[int], then: list[int]
) -> None:
    order = [*first, *then]
    found = status(small_case(*(RECORD[index] for index in order)))
    assert (found.state is SafingState.RECORDED) == (reached(order) > LAST)
    assert found.voids == ()
    assert bool(found.missing) == (found.state is SafingState.NOT_RECORDED)


@given(st.data())
def test_swapping_two_neighbours_is_never_recorded(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, LAST - 1))
    swapped = [*RECORD[:at], RECORD[at + 1], RECORD[at], *RECORD[at + 2 :]]
    assert status(small_case(*swapped)).state is SafingState.NOT_RECORDED


@pytest.mark.parametrize("index", range(len(RECORD)))
def test_leaving_one_out_names_it_and_says_why_it_matters(index: int) -> None:
    found = status(small_case(*RECORD[:index], *RECORD[index + 1 :]))
    assert found.state is SafingState.NOT_RECORDED
    first = found.missing[0]
    what = RECORD[index]
    expected = getattr(what, "step", None) or f"{'first' if what.turn == 1 else 'second'} reading"  # type: ignore[union-attr]
    assert first.what.startswith(str(expected))
    assert first.why
    assert found.covered == ()


def test_a_whole_record_names_points_time_and_people_and_what_is_not_covered() -> None:
    case = recorded_case()
    found = status(case)
    assert found.state is SafingState.RECORDED
    assert found.covered == ("battery output",)
    assert found.stands_since == case.safing[-1].done_at
    assert (found.reader, found.recorders) == ("Rene Reader", ("Rita Recorder",))
    assert found.not_covered[0].startswith("the battery, inside its enclosure")
    assert found.not_covered[1].startswith("not fitted by Invented layout sheet: front drive unit")


def test_the_limit_is_the_makers_and_never_above_the_ceiling() -> None:
    found = status(recorded_case())
    assert (found.limit_dc_v, found.limit_ac_v) == (30, 30)


@pytest.mark.parametrize("what", [each for each in Happening if each in CAUSE_OF])
def test_what_happens_to_the_car_voids_and_says_what_to_do(what: Happening) -> None:
    found = status(with_entries(recorded_case(), Happened(what=what)))
    assert found.state is SafingState.VOID
    assert [void.cause for void in found.voids] == [CAUSE_OF[what]]
    assert found.voids[0].cause.do_now
    assert found.stands_since is not None
    assert found.covered == ()


def test_it_voids_while_the_record_is_still_being_made() -> None:
    case = small_case(*RECORD[:12], Happened(what=Happening.WHEEL_TURNED), *RECORD[12:])
    found = status(case)
    assert found.state is SafingState.VOID
    assert "Begin it again" in found.left_out[0][1]


def test_age_voids_after_the_hours_that_the_shop_set() -> None:
    case = recorded_case()
    whole = timedelta(hours=8) - 2 * EVERY  # counted from the first reading, two entries before
    assert status(case, later=whole).state is SafingState.RECORDED
    found = status(case, later=whole + timedelta(seconds=1))
    assert [void.cause for void in found.voids] == [VoidCause.TOO_OLD]
    assert "its first reading, of" in found.voids[0].detail


def test_a_clock_that_was_moved_back_voids() -> None:
    found = status(recorded_case(), later=timedelta(minutes=-1))
    assert [void.cause for void in found.voids] == [VoidCause.CLOCK_MOVED_BACK]


@pytest.mark.parametrize("index", range(1, len(RECORD)))
def test_an_entry_from_before_the_one_it_follows_does_not_count(index: int) -> None:
    case = small_case(*RECORD)
    entries = list(case.safing)
    at = index + 1  # the layout comes first
    earlier = entries[at - 1].done_at - timedelta(seconds=1)
    entries[at] = replace(
        entries[at], done_at=earlier, recorded=replace(entries[at].recorded, at=earlier)
    )
    found = status(replace(case, safing=tuple(entries)), later=timedelta(minutes=30))
    assert found.state is SafingState.NOT_RECORDED
    assert "the clock was moved back" in found.left_out[0][1]


@pytest.mark.parametrize(
    ("volts", "causes"),
    [
        pytest.param(30.0, [VoidCause.VOLTAGE_RISING], id="at the limit, but risen"),
        pytest.param(30.1, [VoidCause.VOLTAGE_FOUND, VoidCause.VOLTAGE_RISING], id="above"),
        pytest.param(-396.0, [VoidCause.VOLTAGE_FOUND, VoidCause.VOLTAGE_RISING], id="reversed"),
    ],
)
def test_a_later_reading_voids(volts: float, causes: list[VoidCause]) -> None:
    found = status(with_entries(recorded_case(), a_reading(BATTERY, 1, volts)))
    assert [void.cause for void in found.voids] == causes


def test_a_later_reading_that_is_no_higher_changes_nothing() -> None:
    found = status(with_entries(recorded_case(), a_reading(BATTERY, 1, 0.0)))
    assert found.state is SafingState.RECORDED


@pytest.mark.parametrize(("first", "second"), [(0.0, 0.1), (-2.0, 2.5), (3.0, -4.0)])
def test_a_rising_second_reading_voids(first: float, second: float) -> None:
    whats = [*RECORD[:-3], a_reading(BATTERY, 1, first), a_reading(BATTERY, 2, second), RECORD[-1]]
    assert [void.cause for void in status(small_case(*whats)).voids] == [VoidCause.VOLTAGE_RISING]


def test_a_falling_second_reading_is_a_discharge() -> None:
    whats = [*RECORD[:-3], a_reading(BATTERY, 1, 8.0), a_reading(BATTERY, 2, 3.0), RECORD[-1]]
    assert status(small_case(*whats)).state is SafingState.RECORDED


def test_voltage_is_taken_down_even_where_no_reading_was_due() -> None:
    found = status(small_case(*RECORD[:5], a_reading(BATTERY, 1, 380.0)))
    assert [void.cause for void in found.voids] == [VoidCause.VOLTAGE_FOUND]


@pytest.mark.parametrize(
    ("value_c", "state"), [(25.0, "recorded"), (25.1, "void"), (22.0, "recorded")]
)
def test_a_rising_temperature_voids(value_c: float, state: str) -> None:
    found = status(with_entries(recorded_case(), a_temperature(value_c)))
    assert found.state == state


def test_a_rise_over_the_lowest_reading_counts_not_over_the_first() -> None:
    found = status(with_entries(recorded_case(), a_temperature(21.0), a_temperature(22.5)))
    assert [void.cause for void in found.voids] == [VoidCause.TEMPERATURE_RISING]


def test_a_rise_is_seen_in_order_of_time_whenever_it_was_written_in() -> None:
    case = with_entries(recorded_case(), a_temperature(24.9))
    cooler = with_entries(case, a_temperature(23.0)).safing[-1]
    earlier = replace(cooler, done_at=case.safing[-1].done_at - timedelta(minutes=1))
    found = status(replace(case, safing=(*case.safing, earlier)))
    assert [void.cause for void in found.voids] == [VoidCause.TEMPERATURE_RISING]
    assert "from 23 to 24.9 °C" in found.voids[0].detail


def test_begun_again_a_rise_and_a_sign_since_arrival_are_still_said() -> None:
    seen = replace(a_temperature(30.0), signs=(WatchSign.HISSING,))
    case = with_entries(recorded_case(), seen, Happened(what=Happening.BEGIN_AGAIN))
    found = status(case)
    assert found.state is SafingState.NOT_RECORDED
    assert any("rose by" in remark and "does not undo" in remark for remark in found.remarks)
    assert any("hissing at" in remark for remark in found.remarks)


def test_what_is_always_taken_does_not_turn_the_order_back() -> None:
    case = recorded_case()
    late = with_entries(case, a_reading(turn=2)).safing[-1]
    early = replace(late, done_at=case.safing[0].done_at)
    found = status(replace(case, safing=(*case.safing, early)), now=case.safing[-2].done_at)
    assert VoidCause.CLOCK_MOVED_BACK in [void.cause for void in found.voids]


def test_another_place_is_another_series() -> None:
    found = status(with_entries(recorded_case(), a_temperature(31.0, "rear, in the sun")))
    assert found.state is SafingState.RECORDED


def test_a_sign_voids_and_calls_the_fire_service() -> None:
    seen = TemperatureReading(
        place="rear", value_c=20, instrument=THERMOMETER, signs=(WatchSign.HISSING,)
    )
    found = status(with_entries(recorded_case(), seen))
    assert [void.cause for void in found.voids] == [VoidCause.SIGN_SEEN]
    assert "call the fire service" in found.voids[0].cause.do_now


def severed(case: Case) -> Case:
    return case.with_finding(a_finding(3, tags=some_tags("hv_cable", "severed")))


def test_a_new_finding_that_makes_a_point_nobody_read_voids() -> None:
    found = status(severed(recorded_case()))
    assert [void.cause for void in found.voids] == [VoidCause.NEW_POINT]
    assert "finding 3, HV cable: end towards the battery" in found.voids[0].detail
    assert "away from the battery" in found.voids[0].detail


def test_a_new_layout_with_more_units_voids() -> None:
    found = status(with_entries(recorded_case(), LayoutChosen(layout=HvLayout())))
    assert [void.cause for void in found.voids] == [VoidCause.NEW_POINT]


def test_a_new_finding_that_nobody_named_is_said_to_be_not_covered() -> None:
    case = recorded_case().with_finding(a_finding(4, tags=some_tags(None, None)))
    found = status(case)
    assert found.state is SafingState.RECORDED
    assert "finding 4: nobody has said what it is" in found.not_covered


def test_begun_again_nothing_of_before_counts() -> None:
    again: tuple[Entered, ...] = (Happened(what=Happening.BEGIN_AGAIN),)
    case = with_entries(recorded_case(), Happened(what=Happening.LOCK_REMOVED), *again)
    found = status(case)
    assert found.state is SafingState.NOT_RECORDED
    assert found.next_step is Step.MAKER_PROCEDURE
    assert [missing.what for missing in found.missing][: len(STEPS) - 1] == list(STEPS[:-1])
    assert status(with_entries(case, *RECORD)).state is SafingState.RECORDED


def test_an_earlier_step_done_again_takes_what_rested_on_it() -> None:
    found = status(with_entries(recorded_case(), a_step(Step.DISCONNECT_OPEN)))
    assert found.state is SafingState.NOT_RECORDED
    assert found.next_step is Step.LOCKED_AND_TAGGED


def test_a_record_written_in_later_is_said_to_be_so() -> None:
    case = recorded_case()
    late = tuple(
        replace(entry, recorded=replace(entry.recorded, at=case.safing[-1].done_at + 50 * EVERY))
        for entry in case.safing
    )
    found = status(replace(case, safing=late))
    assert any("written in later" in remark for remark in found.remarks)


def test_without_any_entry_nothing_is_recorded() -> None:
    found = status(a_case())
    assert found.state is SafingState.NOT_RECORDED
    assert found.next_step is Step.MAKER_PROCEDURE
    assert len(found.missing) == len(STEPS) + 2 * 8  # the eight units of our list, twice each


def test_the_small_layout_is_what_these_tests_rest_on() -> None:
    assert [read.point.id for read in status(small_case()).points] == [BATTERY]
    assert len(SMALL_LAYOUT.left_out) == 7

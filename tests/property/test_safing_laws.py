"""Laws of the make-safe record over any layout and any findings."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.builders import a_case, a_finding, some_tags
from tests.safing_records import COMPONENTS, entered, status, whole_record
from triage_app.domain.case import Case
from triage_app.domain.safing.entries import LayoutChosen, PointReading
from triage_app.domain.safing.islands import isolation_by_island
from triage_app.domain.safing.layouts import HvLayout, HvUnit
from triage_app.domain.safing.points import points_of
from triage_app.domain.safing.state import SafingState

PARTS = ("hv_cable", "hv_connector", "front_drive_unit", "skid_plate", "battery_enclosure", None)
DAMAGES = ("severed", "scrape", "dent", "crack", None)

layouts = st.sets(st.sampled_from(HvUnit)).map(
    lambda units: HvLayout(
        units=(HvUnit.BATTERY_OUTPUT, *units), document="Invented layout sheet", extra=("DC cable",)
    )
)
tags = st.builds(some_tags, st.sampled_from(PARTS), st.sampled_from(DAMAGES))


@st.composite
def cars(draw: st.DrawFn) -> Case:
    """Draw a car with a layout and up to three findings."""
    found = draw(st.lists(tags, max_size=3))
    case = a_case(*(a_finding(number, tags=each) for number, each in enumerate(found, start=1)))
    chosen = entered([LayoutChosen(layout=draw(layouts))])
    return replace(case, safing=chosen)


@settings(max_examples=40)
@given(cars(), st.data())
def test_a_record_that_lacks_one_reading_of_any_point_is_never_recorded(
    case: Case, data: st.DataObject
) -> None:
    ids = tuple(point.id for point in points_of(case, COMPONENTS))
    whats = [case.safing[0].what, *whole_record(ids)]
    assert status(replace(case, safing=entered(whats))).state is SafingState.RECORDED
    readings = [at for at, what in enumerate(whats) if isinstance(what, PointReading)]
    out = data.draw(st.sampled_from(readings))
    found = status(replace(case, safing=entered([*whats[:out], *whats[out + 1 :]])))
    assert found.state is SafingState.NOT_RECORDED
    assert found.covered == ()


@settings(max_examples=40)
@given(cars(), tags)
def test_one_more_finding_never_takes_a_point_away_and_never_mends_a_record(
    case: Case, more: object
) -> None:
    ids = [point.id for point in points_of(case, COMPONENTS)]
    whats = [case.safing[0].what, *whole_record(ids)]
    before = replace(case, safing=entered(whats))
    after = before.with_finding(a_finding(9, tags=more))  # type: ignore[arg-type]  # drawn tags
    new = [point.id for point in points_of(after, COMPONENTS)]
    assert set(ids) <= set(new)
    expected = SafingState.RECORDED if set(ids) == set(new) else SafingState.VOID
    assert status(after).state is expected


@settings(max_examples=40)
@given(cars())
def test_every_point_is_of_one_island_and_every_island_is_outstanding_at_first(case: Case) -> None:
    points = points_of(case, COMPONENTS)
    islands = isolation_by_island(case, points)
    assert sorted(name for one in islands for name in one.points) == sorted(
        point.name for point in points
    )
    assert all(one.is_outstanding for one in islands)

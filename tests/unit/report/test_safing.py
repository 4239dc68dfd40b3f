"""The make-safe record in the report: its state never a bare word, its numbers all there."""

from dataclasses import replace
from datetime import timedelta

from tests.builders import a_photo
from tests.safing_records import (
    EVERY,
    a_step,
    a_temperature,
    entered,
    recorded_case,
    small_case,
    with_entries,
    with_photo_taken,
)
from tests.unit.report.material import a_rulebook, material
from triage_app.domain.case import Case
from triage_app.domain.isolation import IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.entries import Happened, Happening, Keeping, WatchSign
from triage_app.domain.safing.photo_times import NONE_DURING
from triage_app.domain.safing.steps import Step
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import PlotPicture, ReportModel, Text, paragraphs_of, pictures_of
from triage_app.report.pictures import picture_files


def model_of(case: Case) -> ReportModel:
    given = material(case)
    at = case.safing[-1].done_at if case.safing else given.issued.at
    given = replace(given, issued=replace(given.issued, at=at))
    return report_from(given, a_rulebook(), Layout(shop_name="Invented Body Shop"))


def said(case: Case) -> str:
    model = model_of(case)
    return "\n".join(
        "".join(part.text for part in paragraph.texts if isinstance(part, Text))
        for block in model.blocks
        for paragraph in paragraphs_of(block)
    )


def test_a_record_is_told_with_points_time_people_and_what_is_not_covered() -> None:
    page = said(recorded_case())
    assert "Absence of voltage recorded at 1 test point" in page
    assert "read by Rene Reader, recorded by Rita Recorder" in page
    assert "Make-safe record: not recorded." not in page
    assert "The battery itself remains energised." in page
    for told in ("instrument proved again", "proving unit PU-1; 240 V", "0 V DC", "24 °C"):
        assert told in page


def test_a_void_record_says_why_and_what_to_do() -> None:
    page = said(with_entries(recorded_case(), Happened(what=Happening.CHARGER_CONNECTED)))
    assert "Make-safe record: VOID. a charger was connected" in page
    assert "Switch the charger off at its supply" in page
    assert "Absence of voltage recorded at" not in page


def test_photos_are_told_against_a_record_only_while_it_stands() -> None:
    case = recorded_case()
    early, late = (
        with_photo_taken(case, case.safing[at].done_at + timedelta(hours=hours))
        for at, hours in ((0, -1), (-1, 1))
    )
    assert "Photos from before the record: photo 01." in said(early)
    assert "Photos from before the record" not in said(late)
    for taken in (early, late):
        page = said(with_entries(taken, Happened(what=Happening.CHARGER_CONNECTED)))
        assert NONE_DURING in page
        assert "Photos from before the record" not in page


def test_a_case_without_a_record_says_so() -> None:
    assert "Make-safe record: not recorded." in said(replace(small_case(), safing=()))


def test_isolation_is_told_with_its_numbers() -> None:
    measured = IsolationMeasurement(
        island="the bus",
        working_v=360,
        two_voltages=TwoVoltages(vb=360, v1=60, v2=300, resistor_ohm=180_000, v_prime=225),
        instrument="meter M-1",
        procedure="Invented manual",
    )
    page = said(replace(small_case(), safing=entered([measured])))
    assert "72000 ohm / 360 V = 200 ohm/V" in page
    assert "below the reference." in page


def test_the_watch_is_plotted_and_says_rise_signs_distance_and_what_is_due() -> None:
    warmer = replace(
        a_temperature(24.5), kept=Keeping.BARRIER, signs=(WatchSign.ODOUR, WatchSign.SMOKE)
    )
    case = with_entries(recorded_case(), warmer, a_temperature(21.0, "rear"))
    page = said(case)
    for told in (
        "+0.5 °C since the first reading there",
        "°C per hour",
        "odour (",
        "rear: a single reading, so no rise can be seen.",
        "How the car was kept away at the last reading: not known.",
        "The next reading was due at",
    ):
        assert told in page
    plots = [one for one in pictures_of(model_of(case).blocks) if isinstance(one, PlotPicture)]
    assert [one.name for one in plots] == ["temperature-watch"]
    files = picture_files(plots, lambda _: b"", lambda *_: None)
    assert files["temperature-watch"].data.startswith(b"\x89PNG")
    assert "none. That says nothing" in said(recorded_case())


def test_an_entry_that_does_not_count_is_told_with_the_reason() -> None:
    case = recorded_case()
    late = with_entries(case, a_step(Step.TRY_START)).safing[-1]
    backdated = replace(late, done_at=late.done_at - 9 * EVERY)
    page = said(replace(case, safing=(*case.safing, backdated)))
    assert "the clock was moved back" in page
    assert "clock was moved back" not in said(case)


def test_a_photo_of_a_step_is_named() -> None:
    case = recorded_case()
    photo = a_photo()
    with_photo = replace(case, photos=(photo,))
    shown = replace(case.safing[2], photo_id=photo.id)
    entries = (*case.safing[:2], shown, *case.safing[3:])
    assert "chain, four signs; photo 01" in said(replace(with_photo, safing=entries))

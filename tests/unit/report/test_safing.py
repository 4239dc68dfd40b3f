"""The make-safe record in the report: its state never a bare word, its numbers all there."""

from dataclasses import replace

from tests.safing_records import (
    entered,
    recorded_case,
    small_case,
    with_entries,
)
from tests.unit.report.material import a_rulebook, material
from triage_app.domain.case import Case
from triage_app.domain.isolation import IsolationMeasurement, TwoVoltages
from triage_app.domain.safing.entries import Happened, Happening
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import Text, paragraphs_of


def said(case: Case) -> str:
    given = material(case)
    at = case.safing[-1].done_at if case.safing else given.issued.at
    given = replace(given, issued=replace(given.issued, at=at))
    model = report_from(given, a_rulebook(), Layout(shop_name="Invented Body Shop"))
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

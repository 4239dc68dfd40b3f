"""A command as JSON: each kind comes back as it went."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import get_args

import pytest

from rules import ComponentId, HvFlag, Risk, ZoneId
from rules.work import Labour
from tests.builders import (
    AN_INSTRUMENT,
    NOON,
    SIGNED,
    a_finding,
    a_photo,
    a_test,
    record_of,
    some_tags,
)
from tests.safing_records import SMALL_LAYOUT, a_reading, a_step, a_temperature
from triage_app.casefile.commands import command_from_json, command_to_json
from triage_app.domain.admission.commands import AnswerSign, DecideAdmission
from triage_app.domain.admission.entries import HoldCause, HoldDecided, SignAnswered, Verdict
from triage_app.domain.case import IssuedReport, Measures, Release
from triage_app.domain.commands import (
    AddFinding,
    AddMark,
    AddPhoto,
    AnyCommand,
    DescribeIncident,
    DescribeVehicle,
    MoveMark,
    RemoveMark,
    ReshapeMark,
    RestoreFinding,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence_commands import AcceptEvidence, DeclineEvidence, WithdrawEvidence
from triage_app.domain.geometry import Ellipse, Point, rectangle
from triage_app.domain.ids import (
    AdmissionId,
    EvidenceId,
    FindingId,
    InspectionId,
    MarkId,
    PhotoId,
    ReviewId,
    SafingId,
    Sha256,
)
from triage_app.domain.inspection.commands import InspectItems, PointAtPhotos
from triage_app.domain.inspection.entries import (
    ExpectedPhoto,
    Item,
    ItemsInspected,
    ItemState,
    PhotosPointedAt,
)
from triage_app.domain.isolation import IsolationMeasurement, TwoVoltages
from triage_app.domain.measuring import KnownRectangle
from triage_app.domain.photo_commands import (
    CompareClock,
    DrawImpactLine,
    JudgeOrangeArea,
    PairPhotos,
    PartPhotos,
    PinPhoto,
    SayNothingFound,
)
from triage_app.domain.plan.commands import GiveFigures, ImportPrices, TypePrice
from triage_app.domain.plan.decision import TotalLossChoice
from triage_app.domain.plan.given import LabourRate, PlanFigures, PriceRow
from triage_app.domain.proposals import Opinion
from triage_app.domain.report_commands import RecordRelease, RecordReport
from triage_app.domain.review.commands import CorrectFinding, SignReviews
from triage_app.domain.review.entries import GivenReview, ReviewVerdict
from triage_app.domain.safing.commands import (
    ChooseLayout,
    RecordHappening,
    RecordIsolation,
    RecordReading,
    RecordStep,
    RecordTemperature,
)
from triage_app.domain.safing.entries import Happened, Happening, LayoutChosen
from triage_app.domain.safing.steps import Step
from triage_app.domain.scale_command import ScalePhoto
from triage_app.domain.vehicle import Answer, Incident, Vehicle

S1 = SafingId("S1")
F1, M1, P1, E1 = FindingId("F1"), MarkId("M1"), PhotoId("P1"), EvidenceId("E1")
A_MARK = AddMark(
    finding_id=F1,
    mark_id=M1,
    photo_id=P1,
    outline=rectangle(0.1, 0.2, 0.3, 0.4),
    tags=some_tags(measures=Measures(depth_mm=3.5, covers_off=True)),
)
A_RECTANGLE = KnownRectangle(
    corners=(Point(0.1, 0.1), Point(0.3, 0.1), Point(0.3, 0.2), Point(0.1, 0.2)),
    first_mm=85.6,
    second_mm=53.98,
)
A_DRAFT = IssuedReport(
    sha256=Sha256("ab" * 32),
    case_revision=4,
    rulebook_sha256="cd" * 32,
    file_name="report.docx",
    issued=SIGNED,
)
A_REVIEW = GivenReview(
    id=ReviewId("V1"),
    finding_id=F1,
    verdict=ReviewVerdict.LOWERED,
    hv_flag=HvFlag.WITHIN_REACH,
    risk=Risk.LOW,
    reason="Cover off, cable whole.",
    content='{"format":1}',
)
ONE_OF_EACH: list[AnyCommand] = [
    DescribeVehicle(vehicle=Vehicle(plate="AB 12", system_voltage_v=400.0)),
    DescribeIncident(incident=Incident(smoke=Answer.NO, what_happened="A kerb.")),
    AddPhoto(photo=a_photo(orange_areas=(rectangle(0.1, 0.2, 0.3, 0.4),))),
    ScalePhoto(photo_id=P1, reference=A_RECTANGLE),
    A_MARK,
    AddFinding(finding_id=F1, tags=some_tags()),
    ReshapeMark(
        mark_id=M1,
        outline=Ellipse(centre=Point(0.5, 0.5), radius_x_px=9.0, radius_y_px=3.0),
        expected_revision=2,
    ),
    RemoveMark(mark_id=M1),
    MoveMark(mark_id=M1, to_finding_id=F1),
    TagFinding(finding_id=F1, tags=some_tags(), expected_revision=3),
    WithdrawFinding(finding_id=F1, reason="A shadow.", expected_revision=1),
    RestoreFinding(finding_id=F1),
    JudgeOrangeArea(photo_id=P1, area=1, opinion=Opinion.NO_CABLE, reason="A strap."),
    CompareClock(
        camera="Demo Render",
        shown=datetime(2031, 5, 4, 9, 0),  # noqa: DTZ001 - a camera's clock has no zone
        really=datetime(2031, 5, 4, 8, 0, tzinfo=UTC),
    ),
    PinPhoto(photo_id=P1, x_frac=0.5, y_frac=0.2),
    PairPhotos(before_id=P1, after_id=PhotoId("P2")),
    PartPhotos(before_id=P1, after_id=PhotoId("P2")),
    SayNothingFound(photo_id=P1, is_so=True),
    DrawImpactLine(start=(0.4, 0.0), end=(0.5, 1.0)),
    RecordReport(report=A_DRAFT),
    RecordRelease(
        report=replace(A_DRAFT, release=Release(journal_head="ef" * 32, journal_count=4))
    ),
    SignReviews(given=(A_REVIEW,)),
    CorrectFinding(
        finding_id=F1,
        tags=some_tags("skid_plate", "dent"),
        expected_revision=2,
        given=replace(A_REVIEW, verdict=ReviewVerdict.CORRECTED),
    ),
    record_of(a_test(value=2.5, instrument=AN_INSTRUMENT), a_finding(), replaces="E0"),
    AcceptEvidence(record_id=E1),
    DeclineEvidence(record_id=E1, reason="Another car's sheet."),
    WithdrawEvidence(record_id=E1, reason="Another car's sheet."),
    RecordStep(entry_id=S1, what=a_step(Step.INSTRUMENT_PROVED), note="CAT III", again=True),
    RecordReading(entry_id=S1, what=a_reading(volts=2.5), photo_id=P1),
    RecordTemperature(entry_id=S1, what=a_temperature(21.5), done_at=NOON),
    RecordHappening(entry_id=S1, what=Happened(what=Happening.LOCK_REMOVED)),
    ChooseLayout(entry_id=S1, what=LayoutChosen(layout=SMALL_LAYOUT)),
    RecordIsolation(
        entry_id=S1,
        what=IsolationMeasurement(
            island="rear drive unit",
            working_v=400,
            two_voltages=TwoVoltages(vb=400, v1=240, v2=160, resistor_ohm=2e5, v_prime=96),
            instrument="meter",
            procedure="Invented manual 7-2",
        ),
    ),
    AnswerSign(
        entry_id=AdmissionId("A1"),
        what=SignAnswered(sign="odour", answer=Answer.YES, note="Sweet."),
    ),
    DecideAdmission(
        entry_id=AdmissionId("A2"),
        what=HoldDecided(
            verdict=Verdict.ADMITTED,
            reason="Coolant, by test strip.",
            seen=(HoldCause(sign="odour", answer=Answer.YES, answered_in="A1"),),
        ),
    ),
    InspectItems(
        entry_id=InspectionId("I1"),
        what=ItemsInspected(
            items=(Item(zone=ZoneId("front_end"), component=ComponentId("radiator")),),
            state=ItemState.NOT_ACCESSIBLE,
            reason="Shield on.",
            covers_off=False,
        ),
    ),
    PointAtPhotos(
        entry_id=InspectionId("I2"),
        what=PhotosPointedAt(expected=ExpectedPhoto.VIN_PLATE, photo_ids=(P1,)),
    ),
    ImportPrices(
        file_name="list.csv",
        sha256=Sha256("ab" * 32),
        rows=(PriceRow(operation="make_safe", hours=Decimal("1.2"), quoted_on=date(2031, 3, 14)),),
    ),
    TypePrice(row=PriceRow(operation="replace:hv_cable", part=Decimal("386.00"))),
    GiveFigures(
        figures=PlanFigures(
            rates=(LabourRate(labour=Labour.HV_QUALIFIED, amount=Decimal("126.00")),),
            tax_percent=Decimal(19),
            total_loss=TotalLossChoice(rule_id="TL-AL", equality_counts=True, counts_tax=False),
        ),
        base=PlanFigures(),
    ),
]


def test_there_is_one_of_each_command_here() -> None:
    assert {type(command) for command in ONE_OF_EACH} == set(get_args(AnyCommand))
    assert len({command.kind for command in ONE_OF_EACH}) == len(ONE_OF_EACH)


@pytest.mark.parametrize("command", ONE_OF_EACH, ids=[command.kind for command in ONE_OF_EACH])
def test_a_command_comes_back_as_it_went(command: AnyCommand) -> None:
    text = command_to_json(command)
    assert command_from_json(text) == command
    assert json.loads(text)["kind"] == command.kind


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The command is not JSON"),
        ("[]", "at 'kind': there is no command 'None'"),
        ('{"kind": "car sold"}', "at 'kind': there is no command 'car sold'"),
        ('{"kind": ["photo added"]}', "there is no command"),
        ('{"kind": "mark removed"}', "at 'mark_id': this field is missing"),
        ('{"kind": "mark removed", "mark_id": 3}', "at 'mark_id': input should be a valid string"),
        ('{"kind": "mark removed", "mark_id": "M", "x": 1}', "at 'x': there is no such field"),
    ],
)
def test_what_is_no_command_is_refused(text: str, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        command_from_json(text)

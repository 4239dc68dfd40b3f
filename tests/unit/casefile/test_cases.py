"""A case as JSON: what goes out comes in again, and what is wrong is named in one sentence."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings

from tests.builders import (
    AN_INSTRUMENT,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_mark,
    a_photo,
    a_test,
    record_of,
)
from tests.unit.casefile import strategies
from triage_app.casefile.cases import case_from_json, case_to_json, parse_case
from triage_app.domain.case import CASE_FORMAT, Case
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence_commands import AcceptEvidence
from triage_app.domain.geometry import Ellipse, Point
from triage_app.domain.ids import EvidenceId
from triage_app.domain.signed import Signed

Plain = dict[str, Any]  # JSON that a test bends out of shape


def a_full_case() -> Case:
    """Two findings; a test of the first was accepted, its retest waits."""
    ellipse = Ellipse(centre=Point(0.5, 0.5), radius_x_px=20.0, radius_y_px=10.0, angle_deg=30.0)
    case = a_case(
        a_finding(1), a_finding(2, marks=(a_mark(2, outline=ellipse),)), photos=(a_photo(),)
    )
    test = a_test(value=2.5, instrument=AN_INSTRUMENT)
    case = record_of(test, case.findings[0]).apply(case, SIGNED)
    case = AcceptEvidence(record_id=EvidenceId("E1")).apply(
        case, Signed(by=SENIOR.name, at=SIGNED.at)
    )
    return record_of(test, case.findings[0], record_id="E2", replaces="E1").apply(case, SIGNED)


def test_a_case_without_evidence_is_written_as_before_there_was_any() -> None:
    """So that a case stored by an earlier version keeps the hash that its journal holds."""
    text = case_to_json(a_case(a_finding(1)))
    assert "evidence" not in json.loads(text)
    assert case_from_json(text).evidence == ()


@settings(max_examples=40, deadline=None)
@given(case=strategies.cases())
def test_any_case_comes_back_equal_and_its_text_is_the_same(case: Case) -> None:
    text = case_to_json(case)
    assert case_from_json(text) == case
    assert parse_case(text) == case
    assert case_to_json(case_from_json(text)) == text


def test_the_text_is_canonical() -> None:
    text = case_to_json(a_full_case())
    plain = json.loads(text)
    assert plain["format"] == CASE_FORMAT
    assert text == json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def test_spaces_and_the_order_of_fields_do_not_matter() -> None:
    plain = json.loads(case_to_json(a_full_case()))
    shuffled = json.dumps(dict(reversed(plain.items())), indent=3)
    assert case_from_json(shuffled) == a_full_case()


def test_a_time_in_another_zone_is_the_same_time() -> None:
    plain = json.loads(case_to_json(a_full_case()))
    plain["opened"]["at"] = "2031-05-04T14:00:00+02:00"
    assert case_from_json(json.dumps(plain)) == a_full_case()


def finding(plain: Plain) -> Plain:
    found: Plain = plain["findings"][0]
    return found


def evidence(plain: Plain, number: int = 0) -> Plain:
    found: Plain = plain["evidence"][number]
    return found


def seen(plain: Plain) -> Plain:
    found: Plain = evidence(plain)["seen"][0]
    return found


def measures(plain: Plain) -> Plain:
    found: Plain = finding(plain)["tags"]["measures"]
    return found


def outline(plain: Plain, number: int = 0) -> Plain:
    found: Plain = plain["findings"][number]["marks"][0]["outline"]
    return found


def first_ring(plain: Plain) -> list[Plain]:
    found: list[Plain] = outline(plain)["rings"][0]
    return found


BENT: list[tuple[str, Callable[[Plain], object], str]] = [
    ("no format", lambda c: c.pop("format"), "'format': this field is missing"),
    ("text as format", lambda c: c.update(format="1"), "'format': input should be 1"),
    ("no reference", lambda c: c.pop("reference"), "'reference': this field is missing"),
    ("empty reference", lambda c: c.update(reference=""), "'reference': this text has 1 to 60"),
    ("control in reference", lambda c: c.update(reference="a\x1b"), "'reference': this text holds"),
    ("unknown field", lambda c: c.update(colour="red"), "'colour': there is no such field"),
    (
        "unknown field deep down",
        lambda c: measures(c).update(depth_in=1),
        "'findings.0.tags.measures.depth_in': there is no such field",
    ),
    (
        "text for a number",
        lambda c: measures(c).update(depth_mm="3"),
        "'findings.0.tags.measures.depth_mm': input should be a valid number",
    ),
    (
        "true for a number",
        lambda c: measures(c).update(depth_mm=True),
        "'findings.0.tags.measures.depth_mm': input should be a valid number",
    ),
    (
        "no number",
        lambda c: measures(c).update(depth_mm=float("nan")),
        "'findings.0.tags.measures.depth_mm': input should be a finite number",
    ),
    (
        "a number too great for the domain",
        lambda c: measures(c).update(depth_mm=1e9),
        "'findings.0.tags.measures': the depth in mm must be between 0 and 10000",
    ),
    ("1 for true", lambda c: finding(c)["tags"].update(hangs_free=1), "'findings.0.tags.hangs_fr"),
    ("unknown side", lambda c: finding(c)["tags"].update(side="top"), "'findings.0.tags.side'"),
    (
        "a point outside",
        lambda c: first_ring(c)[2].update(x_frac=1.5),
        "'findings.0.marks.0.outline.rings.0.2': an outline reaches outside the photo",
    ),
    (
        "a rectangle of three corners",
        lambda c: first_ring(c).pop(),
        "'findings.0.marks.0.outline': a rectangle has one ring of four corners",
    ),
    (
        "a shape of no kind",
        lambda c: outline(c).update(shape="star"),
        "'findings.0.marks.0.outline.shape': input should be 'rectangle' or 'polygon'",
    ),
    (
        "an ellipse without a centre",
        lambda c: outline(c, 1).pop("centre"),
        "'findings.1.marks.0.outline.centre': this field is missing",
    ),
    (
        "an ellipse that reaches outside",
        lambda c: outline(c, 1).update(radius_x_px=5000),
        "'findings.1.marks.0.outline': An outline reaches outside the photo",
    ),
    ("no outline", lambda c: finding(c)["marks"][0].update(outline=None), "marks.0.outline': "),
    ("a time without a zone", lambda c: c["opened"].update(at="2031-05-04T12:00:00"), "'opened': "),
    ("a number for a time", lambda c: c["opened"].update(at=1), "'opened.at': input should be"),
    (
        "a camera time with a zone",
        lambda c: c["photos"][0].update(taken_at="2031-05-04T12:00:00Z"),
        "'photos.0.taken_at': the camera's own clock has no time zone",
    ),
    ("no money", lambda c: c["incident"].update(pre_loss_value="NaN"), "'incident.pre_loss_value'"),
    ("a VIN with an O", lambda c: c["vehicle"].update(vin="O" * 17), "'vehicle': a VIN has 17"),
    ("a path as id", lambda c: c.update(id="../../x"), "'id': An identifier may hold only"),
    (
        "a path as hash",
        lambda c: c["photos"][0].update(sha256="../../x"),
        "'photos.0.sha256': A SHA-256 is 64 digits",
    ),
    ("a photo of no size", lambda c: c["photos"][0].update(width_px=0), "'photos.0.width_px': "),
    (
        "a mark on no photo",
        lambda c: finding(c)["marks"][0].update(photo_id="P0"),
        "'findings.0.marks.0.photo_id': the case has no photo 'P0'",
    ),
    ("a photo twice", lambda c: c["photos"].append(c["photos"][0]), "'photos.1.id': 'P"),
    (
        "one number twice",
        lambda c: c["findings"][1].update(number=1),
        "'findings.1.number': '1' is",
    ),
    (
        "a mark twice",
        lambda c: c["findings"][1]["marks"][0].update(id="M1"),
        "'findings.1.marks.0.id': 'M1' is there twice",
    ),
    ("nobody's signature", lambda c: c["opened"].update(by=""), "'opened.by': this text has 1 to"),
    (
        "a signature that cannot be shown",
        lambda c: finding(c)["created"].update(by="Erin\u0000"),
        "'findings.0.created.by': this text holds characters",
    ),
    (
        "a component that is no id",
        lambda c: finding(c)["tags"].update(component="<b>cable</b>"),
        "'findings.0.tags.component': An identifier may hold only",
    ),
    (
        "an outcome that no test has",
        lambda c: evidence(c)["entry"].update(outcome="passed"),
        "'evidence.0.entry.outcome': input should be 'criterion met'",
    ),
    (
        "a test without an outcome",
        lambda c: evidence(c)["entry"].update(outcome=None),
        "'evidence.0.entry': say which test it was and how it came out",
    ),
    (
        "a calibration date that is none",
        lambda c: evidence(c)["entry"]["instrument"].update(calibration_due="2031-02-30"),
        "'evidence.0.entry.instrument.calibration_due': day value is outside",
    ),
    (
        "accepted by whoever recorded it",
        lambda c: evidence(c)["decisions"][0]["signed"].update(by="ESTIMATOR, Erin"),
        "'evidence.0.decisions.0.signed': 'ESTIMATOR, Erin' put it on record themselves",
    ),
    (
        "accepted twice",
        lambda c: evidence(c)["decisions"].append(evidence(c)["decisions"][0]),
        "'evidence.0.decisions': it is decided on once",
    ),
    (
        "a record about no finding of the case",
        lambda c: (evidence(c).update(finding_id="F9"), seen(c).update(finding_id="F9")),
        "'evidence.0.seen': the case has no finding 'F9'",
    ),
    (
        "a record bound to another finding",
        lambda c: seen(c).update(finding_id="F2"),
        "'evidence.0.seen': a record about one finding is bound to that finding only",
    ),
    (
        "a retest of nothing",
        lambda c: evidence(c, 1).update(replaces="E9"),
        "'evidence.1.replaces': no earlier record 'E9' of this test",
    ),
    (
        "a retest of another test",
        lambda c: evidence(c, 1)["entry"].update(test="hv_circuit"),
        "'evidence.1.replaces': no earlier record 'E1' of this test",
    ),
    ("a record twice", lambda c: evidence(c, 1).update(id="E1", replaces=None), "'evidence.1.id'"),
    ("a number twice", lambda c: evidence(c, 1).update(number=1), "'evidence.1.number': '1' is"),
    ("a test that is no id", lambda c: evidence(c)["entry"].update(test="a b"), "entry.test': An"),
    ("revision 0", lambda c: c.update(revision=0), "'revision': this number counts from 1"),
]


@pytest.mark.parametrize(("bend", "said"), [row[1:] for row in BENT], ids=[row[0] for row in BENT])
def test_what_is_wrong_is_named_in_one_sentence(bend: Callable[[Plain], object], said: str) -> None:
    plain = json.loads(case_to_json(a_full_case()))
    bend(plain)
    with pytest.raises(InvalidInputError) as caught:
        case_from_json(json.dumps(plain))
    message = str(caught.value)
    assert message.startswith("The case file is wrong at '")
    assert said in message
    assert "\n" not in message
    assert message.endswith(".")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is not JSON"),
        ("{", "is not JSON"),
        ('{"format": 1', "is not JSON"),
        ("[" * 100_000, "is not JSON"),
        ("[]", "wrong at 'the top'"),
        ("null", "wrong at 'the top'"),
        ('"\ud800"', "unable to parse"),
        ('"\\ud800"', "is not JSON"),
    ],
)
def test_what_is_no_case_at_all_is_refused(text: str, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        case_from_json(text)


def test_a_newer_format_says_so_whatever_else_is_new() -> None:
    plain = json.loads(case_to_json(a_full_case())) | {"format": CASE_FORMAT + 1, "news": {}}
    with pytest.raises(InvalidInputError, match="made by a newer version of this program"):
        case_from_json(json.dumps(plain))


def test_a_format_that_never_was_is_refused() -> None:
    plain = json.loads(case_to_json(a_full_case())) | {"format": 0}
    with pytest.raises(InvalidInputError, match="has format 0, which this program does not know"):
        case_from_json(json.dumps(plain))

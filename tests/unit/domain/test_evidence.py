"""What a record of evidence may say: half of a result, or two things at once, is refused."""

from datetime import date
from typing import Any

import pytest

from rules import Disposition, EvidenceKind, OpenTestId, TestOutcome
from tests.builders import A_CRITERION, AN_INSTRUMENT, SIGNED, a_test, an_instruction
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import (
    Decision,
    EvidenceEntry,
    Instruction,
    Instrument,
    MakerCriterion,
    Verdict,
)

A_TEST: dict[str, Any] = {
    "kind": EvidenceKind.TEST_RESULT,
    "test": OpenTestId("isolation_resistance"),
    "outcome": TestOutcome.MET,
}
A_WORD: dict[str, Any] = {
    "kind": EvidenceKind.MAKER_INSTRUCTION,
    "instruction": Instruction.REPLACE,
    "criterion": A_CRITERION,
}
REPLACED: dict[str, Any] = {"kind": EvidenceKind.PART_REPLACED}


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        pytest.param({**A_TEST, "test": None}, "which test", id="no test"),
        pytest.param({**A_TEST, "outcome": None}, "how it came out", id="no outcome"),
        pytest.param({**A_TEST, "value": 3.0}, "unit of the value 3", id="no unit"),
        pytest.param({**A_TEST, "unit": "ohm"}, "value in ohm", id="no value"),
        pytest.param({**A_TEST, "value": float("nan"), "unit": "V"}, "number", id="not a number"),
        pytest.param({**A_TEST, "value": 1e13, "unit": "V"}, "number", id="beyond measuring"),
        pytest.param(
            {**A_TEST, "instruction": Instruction.REPAIR}, "Only an instruction", id="two things"
        ),
        pytest.param({**A_WORD, "instruction": None}, "asks for", id="instruction without a word"),
        pytest.param({**A_WORD, "criterion": None}, "in which document", id="no document"),
        pytest.param({**A_WORD, "test": A_TEST["test"]}, "Only a test result", id="word and test"),
        pytest.param(
            {**REPLACED, "outcome": TestOutcome.MET}, "Only a test result", id="part and outcome"
        ),
        pytest.param(
            {**REPLACED, "instruction": Instruction.REPAIR}, "Only an instruction", id="part, word"
        ),
        pytest.param({**REPLACED, "note": "x" * 4001}, "note is longer", id="too long"),
    ],
)
def test_what_does_not_go_together_is_refused(fields: dict[str, Any], said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        EvidenceEntry(**fields)


@pytest.mark.parametrize("missing", ["text", "document", "document_date"])
def test_half_a_criterion_is_refused(missing: str) -> None:
    whole = {"text": "At most 5 kPa", "document": "Manual", "document_date": "2030-06"}
    with pytest.raises(InvalidInputError, match="whole"):
        MakerCriterion(**{**whole, missing: "  "})


def test_a_serial_without_an_instrument_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="Name the instrument"):
        Instrument(name=" ", serial="IT-1", calibration_due=date(2031, 1, 1))


@pytest.mark.parametrize("verdict", [Verdict.DECLINED, Verdict.WITHDRAWN])
def test_only_an_acceptance_needs_no_reason(verdict: Verdict) -> None:
    assert Decision(verdict=Verdict.ACCEPTED, signed=SIGNED).reason == ""
    with pytest.raises(InvalidInputError, match=f"Say why the record is {verdict}"):
        Decision(verdict=verdict, reason=" \n", signed=SIGNED)


@pytest.mark.parametrize(
    ("entry", "favourable"),
    [
        pytest.param(a_test(outcome=TestOutcome.MET), True, id="met"),
        pytest.param(a_test(outcome=TestOutcome.NOT_MET), False, id="not met"),
        pytest.param(a_test(outcome=TestOutcome.INCONCLUSIVE), False, id="inconclusive"),
        pytest.param(EvidenceEntry(**REPLACED), True, id="part replaced"),
        pytest.param(an_instruction(Instruction.REPLACE), False, id="maker says replace"),
        pytest.param(an_instruction(Instruction.MONITOR), False, id="maker says monitor"),
    ],
)
def test_only_what_could_lower_an_answer_is_favourable(
    entry: EvidenceEntry, *, favourable: bool
) -> None:
    assert entry.is_favourable is favourable


def test_texts_are_kept_trimmed() -> None:
    entry = a_test(value=1.5, instrument=AN_INSTRUMENT)
    assert EvidenceEntry(**A_TEST, value=1.5, unit=" Mohm ", note=" dry\x00 ").unit == entry.unit
    assert EvidenceEntry(**A_TEST, note=" dry\x00 ").note == "dry"


def test_the_maker_can_say_every_disposition() -> None:
    assert {word.disposition for word in Instruction} == set(Disposition)

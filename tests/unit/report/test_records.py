"""Evidence in the report: what remains beside the hazard, who recorded, who accepted, and why."""

from dataclasses import replace

import pytest

from rules import OverlayStamp, Rulebook, assess, load_rulebook
from tests.builders import (
    A_CRITERION,
    A_REPLACED_PART,
    AN_INSTRUMENT,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_test,
    record_of,
    some_tags,
)
from tests.unit.report.material import material
from triage_app.domain.case import Case
from triage_app.domain.evidence_commands import AcceptEvidence
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import EvidenceId
from triage_app.domain.signed import Signed
from triage_app.report import Layout
from triage_app.report.build import report_from
from triage_app.report.model import Block, Heading, ReportModel, paragraphs_of

BOOK = load_rulebook()
BY_SENIOR = Signed(by=SENIOR.name, at=SIGNED.at)


def recorded(*, accepted: bool) -> Case:
    """Return a case whose cut cable was replaced and tested, on record with all that belongs."""
    case = a_case(a_finding(1, tags=some_tags("hv_cable", "severed")))
    finding = case.findings[0]
    entries = {
        "E1": A_REPLACED_PART,
        "E2": a_test("isolation_resistance", value=2.4, instrument=AN_INSTRUMENT),
        "E3": a_test("hv_circuit"),
    }
    for record_id, entry in entries.items():
        case = record_of(entry, finding, record_id=record_id).apply(case, SIGNED)
        if accepted:
            case = AcceptEvidence(record_id=EvidenceId(record_id)).apply(case, BY_SENIOR)
    return case


def report_of(case: Case, book: Rulebook = BOOK) -> ReportModel:
    given = material(case, assess(case_facts(case), book))
    return report_from(given, book, Layout(shop_name="Invented Body Shop"))


def words_of(*blocks: Block) -> str:
    lines = []
    for block in blocks:
        if isinstance(block, Heading):
            lines.append(block.text)
        lines += [
            "".join(getattr(part, "text", "") for part in paragraph.texts)
            for paragraph in paragraphs_of(block)
        ]
    return "\n".join(lines)


def chapter(report: ReportModel, title: str) -> str:
    blocks = list(report.blocks)
    start = next(
        at for at, one in enumerate(blocks) if isinstance(one, Heading) and one.text == title
    )
    level = blocks[start].level if isinstance(blocks[start], Heading) else 1  # type: ignore[union-attr]
    end = next(
        (
            at
            for at, one in enumerate(blocks[start + 1 :], start + 1)
            if isinstance(one, Heading) and one.level <= level
        ),
        len(blocks),
    )
    return words_of(*blocks[start:end])


def test_what_remains_stands_beside_the_hazard_which_stays() -> None:
    case = recorded(accepted=True)
    [answer] = assess(case_facts(case), BOOK).findings
    assert answer.residual is not None
    said = chapter(report_of(case), "What remains")
    assert "The hazard now stays as it was found:  ■■■■ High " in said
    for reason in answer.residual.reasons:
        assert reason.because in said
        assert f"({reason.rule_id}" in said
    assert "releases nothing" in said


def test_each_record_says_value_instrument_criterion_who_recorded_and_who_accepted() -> None:
    said = chapter(report_of(recorded(accepted=True)), "What remains")
    assert "2.4 Mohm, Insulation tester, IT-1, calibrated until" in said
    criterion = f"{A_CRITERION.text} ({A_CRITERION.document}, {A_CRITERION.document_date})"
    assert criterion in said
    assert f"Recorded by {SIGNED.by}" in said
    assert f"Accepted by {SENIOR.name}" in said
    assert "New cable fitted." in said


def test_a_record_that_nobody_accepted_is_shown_and_does_not_count() -> None:
    report = report_of(recorded(accepted=False))
    said = chapter(report, "What remains")
    assert "No record about this finding counts at present, so all of its hazard remains." in said
    assert "Waiting for another person to accept it." in said
    assert "by the accepted records" not in words_of(*report.blocks[:20])


def test_page_one_says_how_the_car_stands_and_travels_with_the_status_of_the_source() -> None:
    case = recorded(accepted=True)
    answer = assess(case_facts(case), BOOK)
    report = report_of(case)
    page_one = words_of(*report.blocks[:20])
    assert answer.quarantine.label in page_one
    assert f"{answer.transport.label} (source: read" in page_one
    assert "set by finding 1" in page_one
    assert "by the accepted records; the hazard now and the HV flags stay" in page_one
    full = chapter(report, "The car as a whole")
    assert answer.quarantine.text in full
    assert answer.transport.text in full
    for number in answer.transport.un_numbers:
        assert number.number in full


def test_every_rule_that_fired_stands_in_the_appendix_once() -> None:
    case = recorded(accepted=True)
    answer = assess(case_facts(case), BOOK)
    rules = chapter(report_of(case), "Rules that fired").splitlines()
    fired = {reason.rule_id for one in answer.findings for reason in one.reasons}
    fired |= {
        why.rule_id for one in answer.findings if one.residual for why in one.residual.reasons
    }
    fired |= {reason.rule_id for reason in answer.stop_conditions}
    for rule_id in fired:
        assert rules.count(rule_id) == 1


def test_every_cited_document_stands_in_the_sources_once_with_clause_and_status() -> None:
    case = recorded(accepted=True)
    answer = assess(case_facts(case), BOOK)
    sources = chapter(report_of(case), "Sources")
    for one in answer.findings:
        for reason in one.reasons:
            for cited in reason.citations:
                document = BOOK.sources[cited.source]
                assert sources.count(f"{document.title}; {document.edition}") == 1
                assert f"{cited.statement} ({cited.status.value})" in sources


@pytest.mark.parametrize("accepted", [True, False])
def test_tests_that_are_answered_are_not_called_outstanding(accepted: bool) -> None:  # noqa: FBT001 - a case of the test
    case = recorded(accepted=accepted)
    said = chapter(report_of(case), "Tests outstanding")
    isolation = BOOK.open_tests[a_test().test].text  # type: ignore[index]  # a test has a test
    assert (isolation in said) is not accepted


def test_the_record_names_the_shops_own_file_that_lies_over_the_book() -> None:
    case = recorded(accepted=True)
    stamp = replace(
        BOOK.stamp, overlay=OverlayStamp(name="Shop rules", revision="3", sha256="ab" * 32)
    )
    said = chapter(report_of(case, replace(BOOK, stamp=stamp)), "Record")
    assert "with the shop's rules 'Shop rules' revision 3" in said
    assert "ab" * 32 in said


def test_a_source_without_clauses_is_not_given_a_dash_for_one() -> None:
    sources = chapter(report_of(recorded(accepted=True)), "Sources")
    assert not [line for line in sources.splitlines() if line.startswith("-:")]

"""Laws of evidence: it never touches the first answer, and less of it never leaves less."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from rules import (
    Assessment,
    CaseAssessment,
    CaseFacts,
    Disposition,
    Evidence,
    EvidenceKind,
    Likelihood,
    Risk,
    TestOutcome,
    assess,
)
from rules.terms import Origin
from tests.property.rule_facts import BOOK, cases

TESTS = sorted(BOOK.open_tests)
MAX_FINDINGS = 3


def results() -> st.SearchStrategy[Evidence]:
    """Return results of a test, most of them met, on one of the findings or on the car."""
    return st.builds(
        Evidence,
        id=st.uuids().map(str),
        kind=st.just(EvidenceKind.TEST_RESULT),
        finding_id=st.sampled_from(["1", "2", "3", None]),
        test=st.sampled_from(TESTS),
        outcome=st.sampled_from([*[TestOutcome.MET] * 4, *TestOutcome]),
        has_criterion=st.sampled_from([True, True, True, False]),
    )


def renewals() -> st.SearchStrategy[Evidence]:
    return st.builds(
        Evidence,
        id=st.uuids().map(str),
        kind=st.just(EvidenceKind.PART_REPLACED),
        finding_id=st.sampled_from(["1", "2", "3"]),
    )


def instructions() -> st.SearchStrategy[Evidence]:
    return st.builds(
        Evidence,
        id=st.uuids().map(str),
        kind=st.just(EvidenceKind.MAKER_INSTRUCTION),
        finding_id=st.sampled_from(["1", "2", "3"]),
        instruction=st.sampled_from(Disposition),
    )


@st.composite
def cases_with_evidence(draw: st.DrawFn) -> CaseFacts:
    """Return a case in which, often, every test of a finding is met, and some more is on record."""
    case = draw(cases(min_size=1, max_size=MAX_FINDINGS))
    records = draw(st.lists(results() | renewals() | instructions(), max_size=6))
    for finding in case.findings:
        if draw(st.booleans()):
            records += [
                Evidence(
                    id=f"{finding.finding_id} {test}",
                    kind=EvidenceKind.TEST_RESULT,
                    finding_id=finding.finding_id,
                    test=BOOK.open_tests[test].id,
                    outcome=TestOutcome.MET,
                    has_criterion=True,
                )
                for test in TESTS
            ]
    return replace(case, evidence=tuple({record.id: record for record in records}.values()))


def left(found: Assessment) -> tuple[Likelihood, Risk, Disposition]:
    now = found.residual or found
    return now.likelihood, now.risk, now.disposition


def leaves_no_less(more: CaseAssessment, less: CaseAssessment) -> bool:
    """Tell whether nothing that ``more`` leaves is milder than in ``less``."""
    for one in less.findings:
        high, low = left(more.of(one.finding_id)), left(one)
        if high[0] > low[0] or high[1] < low[1] or high[2] < low[2]:
            return False
    return True


@given(cases_with_evidence())
def test_evidence_never_touches_the_first_answer(case: CaseFacts) -> None:
    with_records, without = assess(case, BOOK), assess(replace(case, evidence=()), BOOK)
    for found in with_records.findings:
        assert replace(found, residual=None) == without.of(found.finding_id)
    bare = replace(
        with_records, residual_risk=None, residual_open_tests=(), failed_on_car=(), findings=()
    )
    assert bare == replace(without, findings=())


@given(cases_with_evidence(), st.data())
def test_dropping_what_could_lower_never_leaves_less(case: CaseFacts, data: st.DataObject) -> None:
    lowering = [
        record
        for record in case.evidence
        if record.result is TestOutcome.MET or record.kind is EvidenceKind.PART_REPLACED
    ]
    if lowering:
        dropped = data.draw(st.sampled_from(lowering))
        fewer = tuple(record for record in case.evidence if record is not dropped)
        assert leaves_no_less(assess(replace(case, evidence=fewer), BOOK), assess(case, BOOK))


@given(cases_with_evidence(), st.data())
def test_a_worse_result_or_a_lost_criterion_never_leaves_less(
    case: CaseFacts, data: st.DataObject
) -> None:
    met = [record for record in case.evidence if record.outcome is TestOutcome.MET]
    if met:
        chosen = data.draw(st.sampled_from(met))
        worse = data.draw(
            st.sampled_from(
                [
                    replace(chosen, has_criterion=False),
                    replace(chosen, outcome=TestOutcome.INCONCLUSIVE),
                    replace(chosen, outcome=TestOutcome.NOT_MET),
                ]
            )
        )
        records = tuple(worse if record is chosen else record for record in case.evidence)
        assert leaves_no_less(assess(replace(case, evidence=records), BOOK), assess(case, BOOK))


@given(cases_with_evidence(), instructions())
def test_a_makers_word_never_leaves_less(case: CaseFacts, word: Evidence) -> None:
    said = replace(case, evidence=(*case.evidence, word))
    assert leaves_no_less(assess(said, BOOK), assess(case, BOOK))


@given(cases_with_evidence())
def test_what_remains_is_never_less_than_what_nobody_answered(case: CaseFacts) -> None:
    for found in assess(case, BOOK).findings:
        if found.residual is None:
            continue
        counted = {reason.rule_id for reason in found.residual.reasons}
        rows = [row for row in BOOK.evidence.rules if row.id in counted]
        answered = {rule_id for row in rows for rule_id in row.answers}
        for reason in found.reasons:
            then = BOOK.rules[reason.rule_id].then
            assert reason.origin is Origin.BOOK
            if reason.rule_id not in answered:
                assert found.residual.likelihood <= (then.likelihood or Likelihood.F)
                assert found.residual.disposition >= (then.disposition or Disposition.MONITOR)


@given(cases_with_evidence())
def test_eliminated_only_where_the_part_was_replaced_and_nothing_of_it_is_outstanding(
    case: CaseFacts,
) -> None:
    replaced = {
        record.finding_id for record in case.evidence if record.kind is EvidenceKind.PART_REPLACED
    }
    for found in assess(case, BOOK).findings:
        if found.residual is not None and found.residual.likelihood is Likelihood.F:
            assert found.finding_id in replaced
            still_open = {test.id for test in found.residual.open_tests}
            assert still_open <= BOOK.evidence.tests_by_facts | {"maker_criterion"}


@given(cases_with_evidence())
def test_the_case_leaves_the_worst_of_its_findings_and_never_less_than_its_signs(
    case: CaseFacts,
) -> None:
    whole = assess(case, BOOK)
    touched = any(found.residual is not None for found in whole.findings)
    assert (whole.residual_risk is not None) is touched
    if whole.residual_risk is not None:
        assert whole.residual_risk >= max(left(found)[1] for found in whole.findings)


@given(cases_with_evidence())
def test_the_order_of_records_does_not_matter(case: CaseFacts) -> None:
    backwards = replace(case, evidence=tuple(reversed(case.evidence)))
    assert assess(backwards, BOOK) == assess(case, BOOK)

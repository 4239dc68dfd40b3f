"""What remains after the accepted records: a second answer, beside the first and never in it.

Each rule of the first answer keeps what it asked until a row of evidence that names it counts;
the worst of all is what remains. So fewer records never leave less, and consequence, HV flag and
first risk are not even in reach here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from rules.case_answer import CaseAssessment
from rules.case_outcome import signs_risk
from rules.evidence import Evidence, EvidenceKind, TestOutcome
from rules.evidence_rule import EvidenceRule
from rules.model import Assessment, Reason, Residual
from rules.rule import Fired
from rules.rulebook import Rulebook
from rules.seen import Seen
from rules.standing import Standing, stand, tests_after_renewal
from rules.terms import Consequence, Disposition, Likelihood, OpenTestId, Origin, RuleId


@dataclass(frozen=True, slots=True)
class Judged:
    """A finding after the first pass: as seen, every rule that fired, and the answer."""

    seen: Seen
    fired: Sequence[Fired]
    first: Assessment

    @property
    def asked(self) -> frozenset[OpenTestId]:
        return frozenset([test.id for test in self.first.open_tests])

    def asked_by_shop_alone(self, book: Rulebook) -> frozenset[OpenTestId]:
        """Return the tests of ours that no rule of ours asks of this finding, only a shop's."""
        ours = [one.then.tests for one in self.fired if one.reason.origin is Origin.BOOK]
        more = self.asked.difference(*ours)
        return frozenset([test for test in more if book.open_tests[test].origin is Origin.BOOK])


class _Left(NamedTuple):
    """What one rule still asks for, and which rules say so."""

    likelihood: Likelihood | None
    likelihood_by: tuple[RuleId, ...]
    disposition: Disposition | None
    disposition_by: tuple[RuleId, ...]


def with_residuals(
    judged: Sequence[Judged], evidence: Sequence[Evidence], book: Rulebook
) -> tuple[Assessment, ...]:
    """Return the assessments, each one that a record touches with what remains of it.

    A test that the book does not know, as an older book or a shop's rules may have had, answers
    nothing; where its criterion was not met it raises like any other.
    """
    if not evidence:
        return tuple([one.first for one in judged])
    standing = _standing(judged, evidence, book)
    settled = {
        one.first.finding_id
        for one in judged
        if (now := standing.get(one.first.finding_id)) is not None and _is_settled(one, now, book)
    }
    return tuple(
        [
            replace(one.first, residual=_residual(one, standing[finding_id], settled, book))
            if (finding_id := one.first.finding_id) in standing
            else one.first
            for one in judged
        ]
    )


def with_residual_case(
    case: CaseAssessment, evidence: Sequence[Evidence], book: Rulebook
) -> CaseAssessment:
    """Return the case with the worst that remains; as it was while no record touches a finding.

    No record of a test answers a warning sign, so what remains is never less than the signs say. A
    test of the whole car that was not met counts even where no finding asks for it: nobody knows
    which part failed, so it counts as the worst one of the car.
    """
    failed = _failed_on_car(evidence, book)
    if not failed and all(finding.residual is None for finding in case.findings):
        return case
    risks = [signs_risk(case, book)]
    if failed:
        worst = min([one.consequence for one in case.findings], default=Consequence.CATASTROPHIC)
        risks.append(book.risk_matrix[worst, Likelihood.A])
    remains = [finding.residual or finding for finding in case.findings]
    of_findings = {test.id for finding in case.findings for test in finding.open_tests}
    still_open = {test.id for one in remains for test in one.open_tests}
    still_open |= {test.id for test in case.open_tests} - of_findings
    still_open |= failed & book.open_tests.keys()
    return replace(
        case,
        residual_risk=max([*[one.risk for one in remains], *risks]),
        residual_open_tests=tuple([book.open_tests[test] for test in sorted(still_open)]),
        failed_on_car=tuple([_test_in_words(test, book) for test in sorted(failed)]),
    )


def _failed_on_car(evidence: Sequence[Evidence], book: Rulebook) -> set[OpenTestId]:
    failed = {
        record.test
        for record in evidence
        if record.finding_id is None
        and record.test is not None
        and record.result is TestOutcome.NOT_MET
    }
    return failed - book.evidence.tests_by_facts


def _standing(
    judged: Sequence[Judged], evidence: Sequence[Evidence], book: Rulebook
) -> dict[str, Standing]:
    """Return how each finding stands that a record touches.

    A record of the whole car touches the findings that ask for its test, and those whose new part
    asks for it. Where only a shop's rule asks for a test of ours, a criterion met for the whole car
    is not enough: it would answer rows of ours on a finding that the book alone keeps apart.
    """
    of_car = [record for record in evidence if record.finding_id is None]
    own: dict[str, list[Evidence]] = {}
    for record in evidence:
        if record.finding_id is not None:
            own.setdefault(record.finding_id, []).append(record)
    standing: dict[str, Standing] = {}
    for one in judged:
        asked, finding_id = one.asked, one.first.finding_id
        records, renewal = own.get(finding_id, []), frozenset[OpenTestId]()
        if any(record.kind is EvidenceKind.PART_REPLACED for record in records):
            renewal = tests_after_renewal(one.seen, book.evidence)
        wanted = asked | renewal
        alone = one.asked_by_shop_alone(book) - renewal
        records = records + [
            record
            for record in of_car
            if record.test in wanted
            and (record.test not in alone or record.result is not TestOutcome.MET)
        ]
        if records:
            standing[finding_id] = stand(one.seen, asked, records, book.evidence)
    return standing


def _is_settled(one: Judged, standing: Standing, book: Rulebook) -> bool:
    """Tell whether nothing of the finding itself is left that could harm what lies beside it."""
    alone = [fired for fired in one.fired if not fired.reason.with_findings]
    left = [_left(fired, _answers(fired, standing, set(), book)).likelihood for fired in alone]
    return not standing.raising and all(one is None or one >= Likelihood.D for one in left)


def _residual(one: Judged, standing: Standing, settled: set[str], book: Rulebook) -> Residual:
    counted: set[RuleId] = set()
    left: list[_Left] = []
    for fired in one.fired:
        answers = _answers(fired, standing, settled, book)
        counted.update([row.id for row in answers])
        left.append(_left(fired, answers))
    for row in standing.raising:
        counted.add(row.id)
        left.append(_Left(row.then.likelihood, (row.id,), row.then.disposition, (row.id,)))
    likelihood = min([a.likelihood for a in left if a.likelihood is not None], default=Likelihood.A)
    disposition = max(
        [a.disposition for a in left if a.disposition is not None], default=Disposition.TEST_FIRST
    )
    return Residual(
        likelihood=likelihood,
        risk=book.risk_matrix[one.first.consequence, likelihood],
        disposition=disposition,
        reasons=_reasons(standing, counted, book),
        decided_by=_united([a.likelihood_by for a in left if a.likelihood is likelihood]),
        repair_decided_by=_united([a.disposition_by for a in left if a.disposition is disposition]),
        open_tests=tuple([book.open_tests[test] for test in sorted(standing.still_open)]),
    )


def _answers(
    fired: Fired, standing: Standing, settled: set[str], book: Rulebook
) -> list[EvidenceRule]:
    """Return the rows that answer this rule.

    What fired because of other findings is answered only when those are settled too. A shop's own
    rule, which no row of the book names, goes with the old part. A row of ours that a shop made to
    fire sooner, and to ask no more, is answered as ours is.
    """
    if not settled.issuperset(fired.reason.with_findings):
        return []
    is_shops = fired.reason.origin is not Origin.BOOK
    named = _ours(fired.reason.rule_id, book) if is_shops else fired.reason.rule_id
    return [
        row
        for row in standing.answering
        if named in row.answers or (is_shops and row.given.replaced)
    ]


def _ours(rule_id: RuleId, book: Rulebook) -> RuleId | None:
    """Return the rule of ours that a shop's row repeats with a stricter limit, if it is one."""
    rule = book.rules[rule_id]
    if rule.tightens is None:
        return None
    ours, then = book.rules[rule.tightens].then, rule.then
    asks_no_more = (then.likelihood, then.disposition) == (ours.likelihood, ours.disposition)
    return rule.tightens if asks_no_more else None


def _left(fired: Fired, answers: Sequence[EvidenceRule]) -> _Left:
    """Return what the rule still asks for: the least that a row which answers it leaves."""
    likelihood, disposition = fired.then.likelihood, fired.then.disposition
    levels = [row.then.likelihood for row in answers if row.then.likelihood is not None]
    works = [row.then.disposition for row in answers if row.then.disposition is not None]
    if likelihood is not None:
        likelihood = max([likelihood, *levels])
    if disposition is not None:
        disposition = min([disposition, *works])
    own = (fired.reason.rule_id,)
    return _Left(
        likelihood,
        own
        if likelihood is fired.then.likelihood
        else tuple([row.id for row in answers if row.then.likelihood is likelihood]),
        disposition,
        own
        if disposition is fired.then.disposition
        else tuple([row.id for row in answers if row.then.disposition is disposition]),
    )


def _united(deciders: Sequence[tuple[RuleId, ...]]) -> tuple[RuleId, ...]:
    return tuple(sorted({rule_id for one in deciders for rule_id in one}))


def _reasons(standing: Standing, counted: set[RuleId], book: Rulebook) -> tuple[Reason, ...]:
    rows = sorted(
        [row for row in (*standing.answering, *standing.raising) if row.id in counted],
        key=lambda row: row.id,
    )
    return tuple([row.reason(_given_in_words(row, standing, book)) for row in rows])


def _test_in_words(test: OpenTestId, book: Rulebook) -> str:
    return book.open_tests[test].text if test in book.open_tests else test


def _given_in_words(row: EvidenceRule, standing: Standing, book: Rulebook) -> tuple[str, ...]:
    given = row.given
    words = ["the part was replaced"] if given.replaced else []
    words += [f"criterion met: {book.open_tests[test].text}" for test in sorted(given.met)]
    words += [
        f"criterion not met: {_test_in_words(test, book)}"
        for test in sorted(
            standing.failed if given.any_not_met else given.not_met & standing.failed
        )
    ]
    if given.instruction is not None:
        words.append(f"the maker's instruction: {given.instruction.name.lower().replace('_', ' ')}")
    return tuple(words)

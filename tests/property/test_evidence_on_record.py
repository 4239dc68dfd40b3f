"""Laws of the records: twice is once, order of different records is nothing, doubt never helps."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from rules import TestOutcome, assess, load_rulebook
from tests.builders import (
    A_REPLACED_PART,
    NOON,
    SENIOR,
    SIGNED,
    a_case,
    a_finding,
    a_test,
    an_instruction,
    record_of,
    some_tags,
)
from triage_app.casefile import case_to_json
from triage_app.domain.case import Case, Finding
from triage_app.domain.commands import AnyCommand, TagFinding
from triage_app.domain.errors import InvalidInputError, TriageError
from triage_app.domain.evidence import EvidenceEntry, Instruction
from triage_app.domain.evidence_commands import (
    AcceptEvidence,
    DeclineEvidence,
    RecordEvidence,
    WithdrawEvidence,
)
from triage_app.domain.evidence_standing import counted_evidence
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import EvidenceId, FindingId
from triage_app.domain.signed import Signed
from triage_app.domain.what_if import SupposeEvidence, suppose

BOOK = load_rulebook()
CASE = a_case(a_finding(1), a_finding(2))
NUMBERS = ("E1", "E2", "E3", "E4")
PEOPLE = (SIGNED, Signed(by=SENIOR.name, at=NOON), Signed(by="Third Person", at=NOON))
ENTRIES = (
    a_test(),
    a_test(criterion=None),
    a_test(outcome=TestOutcome.NOT_MET),
    a_test("hv_circuit"),
    A_REPLACED_PART,
    an_instruction(Instruction.REPLACE),
)

record_ids = st.sampled_from(NUMBERS).map(EvidenceId)
finding_or_car = st.sampled_from([a_finding(1), a_finding(2), None])
records = st.builds(
    lambda number, entry, finding, replaces: record_of(
        entry, finding, record_id=number, whole_car=CASE, replaces=replaces
    ),
    st.sampled_from(NUMBERS),
    st.sampled_from(ENTRIES),
    finding_or_car,
    st.none() | st.sampled_from(NUMBERS),
)
commands = st.one_of(
    records,
    st.builds(AcceptEvidence, record_id=record_ids),
    st.builds(DeclineEvidence, record_id=record_ids, reason=st.just("no")),
    st.builds(WithdrawEvidence, record_id=record_ids, reason=st.just("no")),
    st.builds(
        TagFinding,
        finding_id=st.sampled_from(["F1", "F2"]).map(FindingId),
        tags=st.sampled_from([some_tags(note="a"), some_tags(note="b")]),
        expected_revision=st.integers(1, 3),
    ),
)
steps = st.lists(st.tuples(commands, st.sampled_from(PEOPLE)), max_size=14)


def played(case: Case, story: list[tuple[AnyCommand, Signed]], *, times: int = 1) -> Case:
    """Return the case after every step that is not refused, each taken so many times in a row."""
    for command, signed in story:
        for _ in range(times):
            try:
                case = command.apply(case, signed)
            except TriageError:
                continue
    return case


@given(steps)
def test_each_step_taken_twice_is_as_good_as_once(story: list[tuple[AnyCommand, Signed]]) -> None:
    assert played(CASE, story, times=2) == played(CASE, story)


@given(steps)
def test_nothing_put_on_record_is_ever_lost_or_changed(
    story: list[tuple[AnyCommand, Signed]],
) -> None:
    before = CASE
    for step in story:
        after = played(before, [step])
        for old in before.evidence:
            new = after.evidence_record(old.id)
            assert new.decisions[: len(old.decisions)] == old.decisions
            assert (new.entry, new.seen, new.recorded) == (old.entry, old.seen, old.recorded)
        before = after


@given(steps)
def test_what_counts_was_accepted_by_somebody_else_and_nothing_good_of_it_is_stale(
    story: list[tuple[AnyCommand, Signed]],
) -> None:
    case = played(CASE, story)
    for one in counted_evidence(case):
        record = case.evidence_record(EvidenceId(one.id.partition("@")[0]))
        assert record.is_accepted
        assert record.decisions[0].signed.by != record.recorded.by
        seen = {each.finding_id: each.revision for each in record.seen}
        if record.entry.is_favourable and one.finding_id is not None:
            finding_id = FindingId(one.finding_id)
            assert seen[finding_id] == case.finding(finding_id).revision


@given(steps, records)
def test_a_record_that_nobody_accepted_yet_adds_nothing(
    story: list[tuple[AnyCommand, Signed]], more: RecordEvidence
) -> None:
    """It may put good ones on hold: what counts is then less, and never more."""
    before = played(CASE, story)
    after = played(before, [(more, SIGNED)])
    assert set(counted_evidence(after)) <= set(counted_evidence(before))


@given(st.permutations([*range(3)]), st.permutations([*range(3)]))
def test_the_order_of_recording_and_accepting_does_not_matter(
    recording: list[int], accepting: list[int]
) -> None:
    entries = (a_test(), a_test("hv_circuit", TestOutcome.NOT_MET), A_REPLACED_PART)
    story: list[tuple[AnyCommand, Signed]] = [
        (record_of(entries[at], a_finding(1), record_id=NUMBERS[at]), SIGNED) for at in recording
    ]
    story += [
        (AcceptEvidence(record_id=EvidenceId(NUMBERS[at])), PEOPLE[1 + at % 2]) for at in accepting
    ]
    counted = counted_evidence(played(CASE, story))
    assert sorted(one.id for one in counted) == ["E1", "E2", "E3"]


@given(steps)
def test_no_record_ever_changes_the_first_answer(story: list[tuple[AnyCommand, Signed]]) -> None:
    case = played(CASE, story)
    with_records, without = (
        assess(case_facts(one), BOOK) for one in (case, replace(case, evidence=()))
    )
    for one in with_records.findings:
        assert replace(one, residual=None) == without.of(one.finding_id)
    assert (with_records.risk, with_records.hv_flag) == (without.risk, without.hv_flag)


@given(steps, st.sampled_from(ENTRIES), finding_or_car)
def test_what_is_supposed_leaves_the_case_as_it_is(
    story: list[tuple[AnyCommand, Signed]], entry: EvidenceEntry, finding: Finding | None
) -> None:
    case = played(CASE, story)
    text = case_to_json(case)
    supposed = SupposeEvidence(finding_id=finding.id if finding else None, entry=entry)
    try:
        after = suppose(case, [supposed])
    except InvalidInputError:  # such as a part replaced on the whole car
        after = case
    assert case_to_json(case) == text
    assert after.evidence[: len(case.evidence)] == case.evidence

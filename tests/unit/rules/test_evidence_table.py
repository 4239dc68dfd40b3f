# ruff: noqa: E501  # a refusal a line: row, what is changed, what is said
"""The table of evidence is read strictly and checked as a whole; no row can go or soften."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest

from rules import (
    Disposition,
    Evidence,
    Likelihood,
    OpenTestId,
    Rulebook,
    RulebookError,
    TestOutcome,
    load_rulebook,
    second_pass,
)
from rules.evidence_rule import EvidenceRule
from rules.example import EvidenceExample
from rules.proofs.evidence import evidence_faults
from rules.proofs.evidence_examples import evidence_example_faults, row_faults
from rules.proofs.evidence_steps import prove_evidence
from rules.proofs.setting import seen_in
from rules.rule import Fired
from rules.standing import Standing
from rules.terms import UNIDENTIFIED_DAMAGE, RuleId
from tests.unit.rules.book import the_book

PACKAGE_TABLES = Path(str(resources.files("rules") / "tables"))
ROWS = the_book().evidence.rules
MET = TestOutcome.MET


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    """Return a copy of the book that a test may spoil."""
    return Path(shutil.copytree(PACKAGE_TABLES, tmp_path / "tables"))


def spoil(tables: Path, row: str, old: str, new: str, file: str = "evidence.toml") -> None:
    """Replace the first ``old`` after the start of the row."""
    path = tables / file
    text = path.read_text(encoding="utf-8")
    start = text.index(f'"{row}"') if row else 0
    assert old in text[start:], f"{old!r} is not in {row}"
    path.write_text(text[:start] + text[start:].replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("row", "old", "new", "says"),
    [
        pytest.param("EVD-020", 'met = ["isolation_resistance"', 'met = ["taste"', "given, met: the book has no 'taste'", id="unknown test"),
        pytest.param("EVD-020", '"LIK-032"', '"LIK-999"', "answers: the book has no 'LIK-999'", id="unknown rule"),
        pytest.param("EVD-020", 'likelihood = "D"', 'likelihood = "F"', "likelihood: F is reached only where the part was replaced", id="F without replacement"),
        pytest.param("EVD-020", 'likelihood = "D"', 'likelihood = "B"', "then: leaves no less than LIK-032", id="leaves no less"),
        pytest.param("EVD-021", '"LIK-031"', '"LIK-030"', "answers: LIK-030 speaks of no part and damage of this row", id="never meets"),
        pytest.param("EVD-021", 'damage = ["loose", "displaced"]', 'damage = ["loose", "severed"]', "hv_cable/severed, which is cut, holed or broken at HV", id="severed by a test"),
        pytest.param("EVD-030", 'family = ["worn", "dented"]', 'family = ["worn", "dented", "heat"]', "/burn_or_arc_mark, which shows an arc or burn", id="burn by a test"),
        pytest.param("EVD-043", 'damage = ["loose", "displaced"]', 'damage = ["loose", "puncture"]', "/puncture, which is cut, holed or broken at HV", id="punctured by a test"),
        pytest.param("EVD-040", '"LIK-035"', '"LIK-035", "LIK-003"', "LIK-003 is about a bare conductor", id="bare conductor by a test"),
        pytest.param("EVD-071", '"LIK-043"]', '"LIK-043", "REP-071"]', "then: leaves no less than", id="nothing left of the repair"),
        pytest.param("EVD-062", 'answers = [', 'answers = ["REP-061", ', "then: leaves no less than REP-061", id="replace left as it is"),
        pytest.param("EVD-080", '"REP-081"]', '"REP-081", "REP-004"]', "then: leaves no less than REP-004", id="repair left as it is"),
        pytest.param("EVD-047", '"REP-045"]', '"REP-045", "REP-003"]', "REP-003 asks for a repair: only the maker's criterion", id="repair by a mere test"),
        pytest.param("EVD-060", '"REP-008"', '"REP-008", "LIK-999"', "the book has no 'LIK-999'", id="unknown among known"),
        pytest.param("EVD-020", "given = { met = [", "given = { replaced = true, not_met = [", "given: needs met or replaced, or one of the words that raise", id="lowers and raises"),
        pytest.param("EVD-020", 'answers = ["LIK-032", "REP-023"]\n', "", "answers: must name the rules", id="answers nothing"),
        pytest.param("EVD-001", "given =", 'answers = ["LIK-010"]\ngiven =', "answers: a row that raises answers nothing", id="raises and answers"),
        pytest.param("EVD-020", "because =", 'of_old_part = ["cell_data"]\nbecause =', "of_old_part: a test goes with the old part only", id="old part kept"),
        pytest.param("EVD-122", 'of_old_part = ["drive_unit_inside"]', 'of_old_part = ["isolation_resistance"]', "of_old_part: names a test that is asked for under met", id="asked and gone"),
        pytest.param("EVD-020", 'group = ["hv_conductor"]', 'group = ["hv_rope"]', "the book has no 'hv_rope'", id="unknown kind of part"),
        pytest.param("EVD-021", 'cites = ["R100-03"]\n', "", "cites: a rule on the basis 'standard' must cite", id="unsourced"),
        pytest.param("EVD-020", "because =", 'ppe = "gloves"\nbecause =', "ppe: is not a field", id="gloves are no evidence"),
        pytest.param("EVD-020", "given = {", 'given = { safing = true, ', "safing: is not a field", id="a make-safe record is no evidence"),
        pytest.param("EVD-003", '"EVD-004"', '"EVD-003"', "'EVD-003' is there twice", id="id twice"),
        pytest.param("EVD-020", '"EVD-020"', '"LIK-920"', "must look like EVD-001", id="another table's id"),
        pytest.param("", 'replacement_only = [', 'replacement_only = ["LIK-999", ', "replacement_only: the book has no 'LIK-999'", id="unknown in a list"),
    ],
)  # fmt: skip
def test_a_row_that_is_not_allowed_is_refused_by_file_row_and_field(
    tables: Path, row: str, old: str, new: str, says: str
) -> None:
    spoil(tables, row, old, new)
    with pytest.raises(RulebookError, match=r"^evidence\.toml, ") as refused:
        load_rulebook(tables)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        pytest.param('id = "EVD-020 a"', 'id = "EVD-999 a"', "the book has no 'EVD-999'", id="rule"),
        pytest.param("hit_given = { not_met = [", "hit_given = { passed = [", "passed: is not a field", id="word"),
        pytest.param('not_met = ["lv_circuit"]', 'not_met = ["taste"]', "the book has no 'taste'", id="test"),
    ],
)  # fmt: skip
def test_an_example_of_evidence_is_read_as_strictly(
    tables: Path, old: str, new: str, says: str
) -> None:
    spoil(tables, "", old, new, file="examples_evidence.toml")
    with pytest.raises(RulebookError, match=r"^examples_evidence\.toml, ") as refused:
        load_rulebook(tables)
    assert says in str(refused.value)


def book_with(*rows: EvidenceRule, **lists: frozenset[RuleId]) -> Rulebook:
    """Return the book with these rows of evidence, and no others."""
    evidence = replace(the_book().evidence, rules=rows, **lists)  # type: ignore[arg-type]  # by name
    return replace(the_book(), evidence=evidence)


def rows_with(changed: EvidenceRule) -> tuple[EvidenceRule, ...]:
    return tuple(changed if row.id == changed.id else row for row in ROWS)


def row_of(rule_id: str) -> EvidenceRule:
    return next(row for row in ROWS if row.id == rule_id)


def test_the_table_of_the_book_leaves_nothing_hanging() -> None:
    assert evidence_faults(the_book()) == ()
    assert list(evidence_example_faults(the_book())) == []


@pytest.mark.parametrize("rule_id", sorted(the_book().evidence.replacement_only))
def test_a_rule_that_no_test_answers_must_be_listed(rule_id: RuleId) -> None:
    shorter = the_book().evidence.replacement_only - {rule_id}
    faults = evidence_faults(book_with(*ROWS, replacement_only=shorter))
    assert f"{rule_id}: no test answers it, and it is not listed under replacement_only." in faults


@pytest.mark.parametrize(
    "rule_id",
    sorted(
        rule.id
        for rule in the_book().rules.values()
        if rule.then.likelihood is not None and rule.id not in the_book().evidence.by_facts
    ),
)
def test_a_likelihood_rule_that_no_row_answers_is_a_fault(rule_id: RuleId) -> None:
    rows = tuple(replace(row, answers=row.answers - {rule_id}) for row in ROWS)
    assert any(fault.startswith(f"{rule_id}: no ") for fault in evidence_faults(book_with(*rows)))


def test_a_test_that_nobody_is_asked_to_make_is_a_fault() -> None:
    row = row_of("EVD-050")
    met = row.given.met | {next(t for t in the_book().open_tests if t == "tyre_inside")}
    odd = replace(row, given=replace(row.given, met=met))
    faults = evidence_faults(book_with(*rows_with(odd)))
    assert any("EVD-050: needs tyre_inside, which no rule asks for" in fault for fault in faults)


def test_a_part_without_a_row_for_its_replacement_is_a_fault() -> None:
    faults = evidence_faults(book_with(*(row for row in ROWS if row.id != "EVD-162")))
    assert "exhaust: needs one row of evidence for this part replaced, has 0." in faults


def test_less_evidence_never_leaves_less() -> None:
    proof = prove_evidence(the_book())
    assert proof.faults == ()
    assert proof.steps > 10_000


def test_the_proof_finds_a_failed_test_that_counts_as_met(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Evidence, "result", property(lambda record: record.outcome and MET))
    faults = prove_evidence(the_book()).faults
    assert any("from 'no result' to 'criterion not met' leaves less" in fault for fault in faults)


def test_the_proof_finds_a_rule_that_is_lowered_without_an_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def every(_fired: Fired, standing: Standing, *_rest: object) -> list[EvidenceRule]:
        return list(standing.answering)

    monkeypatch.setattr(second_pass, "_answers", every)
    faults = prove_evidence(the_book()).faults
    assert any("is lowered, though no row answers it" in fault for fault in faults)


def softer(row: EvidenceRule) -> Iterator[tuple[str, EvidenceRule]]:
    """Yield the row a step softer in one thing: a test fewer, or a step less left or raised."""
    given, then = row.given, row.then
    for test in sorted(given.met):
        yield f"without {test}", replace(row, given=replace(given, met=given.met - {test}))
    for test in sorted(given.not_met):
        yield f"blind to {test}", replace(row, given=replace(given, not_met=given.not_met - {test}))
    if given.any_not_met:
        yield "blind", replace(row, given=replace(given, any_not_met=False))
    if then.likelihood is not None and then.likelihood < Likelihood.F:
        milder = list(Likelihood)[list(Likelihood).index(then.likelihood) + 1]
        yield "likelihood", replace(row, then=replace(then, likelihood=milder))
    if then.disposition:
        less = Disposition(then.disposition - 1)
        yield "repair", replace(row, then=replace(then, disposition=less))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_an_example_notices_a_softer_row(row: EvidenceRule) -> None:
    unnoticed = [
        name
        for name, changed in softer(row)
        if not any(row_faults(changed, _examples_of(row), book_with(*rows_with(changed))))
    ]
    said = {f"without {test}" for test in row.given.met if _is_always_asked(row, test)}
    assert set(unnoticed) <= (said if row.given.replaced else set())


def _is_always_asked(row: EvidenceRule, test: OpenTestId) -> bool:
    """Tell whether the rules ask for the test whatever the damage; the row then only says it."""
    book = the_book()
    pairs = [pair for pair in book.pairs if row in book.evidence.of(seen_in(book, pair, {}))]
    known = [pair for pair in pairs if pair[1] != UNIDENTIFIED_DAMAGE]
    return all(any(test in one.rule.then.tests for one in book.pairs[pair].alone) for pair in known)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_an_example_notices_when_a_row_is_removed(row: EvidenceRule) -> None:
    book = book_with(*(one for one in ROWS if one.id != row.id))
    assert any(row_faults(row, _examples_of(row), book))


def _examples_of(row: EvidenceRule) -> list[EvidenceExample]:
    return [example for example in the_book().evidence.examples if example.rule == row.id]

"""Rows of the book in words: complete, and without an id where there is a word for it."""

import re

import pytest

from rules import RuleId, load_rulebook
from rules.aloud import TOPICS, RuleAloud, rules_aloud

BOOK = load_rulebook()
ALOUD = {rule.id: rule for rule in rules_aloud(BOOK)}
CROSS_REFERENCE = re.compile(r"\b[A-Z]{3}-\d{3}\b")


def test_every_row_that_judges_is_read_aloud_once() -> None:
    wanted = {*BOOK.rule_ids, *(row.id for row in BOOK.evidence.rules)}
    assert set(ALOUD) == wanted
    assert len(rules_aloud(BOOK)) == len(wanted)


@pytest.mark.parametrize("rule", ALOUD.values(), ids=list(ALOUD))
def test_a_row_says_when_then_and_because_without_ids(rule: RuleAloud) -> None:
    assert rule.when
    assert rule.then
    assert rule.because
    assert rule.topic in TOPICS.values()
    said = " ".join((*rule.when, *rule.beside, *rule.then, *rule.fires_on, *rule.near_misses))
    assert "_" not in said
    assert set(CROSS_REFERENCE.findall(said)) <= {*BOOK.rules, *BOOK.stop_rules}


def test_what_nobody_said_is_read_aloud_too() -> None:
    assert ALOUD[RuleId("CON-003")].when == (
        "an HV-coloured conductor shows (if nobody has said: see CON-020)",
    )
    assert "or nobody has said" in " ".join(ALOUD[RuleId("HVF-002")].when)


def test_a_combination_names_the_other_finding_and_where_it_is() -> None:
    assert ALOUD[RuleId("CMB-004")].beside[0] == "there is another finding in the same zone"


def test_a_row_of_evidence_says_what_stays_as_it_was() -> None:
    for row in BOOK.evidence.rules:
        assert ALOUD[row.id].then[-1] == "the hazard now and the HV flag stay as they were"

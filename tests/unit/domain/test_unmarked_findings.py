"""A finding that no photo shows: put on record by its tags alone."""

import pytest

from tests.builders import SIGNED, a_case, a_finding, some_tags
from triage_app.domain.case import Tags
from triage_app.domain.commands import AddFinding
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import FindingId


def add(tags: Tags) -> AddFinding:
    return AddFinding(finding_id=FindingId("F9"), tags=tags)


def test_a_finding_without_a_mark_counts_and_gets_the_next_number() -> None:
    finding = add(some_tags()).apply(a_case(a_finding(3)), SIGNED).finding(FindingId("F9"))
    assert (finding.number, finding.marks, finding.is_open) == (4, (), True)


def test_adding_the_same_finding_twice_changes_nothing() -> None:
    case = add(some_tags()).apply(a_case(), SIGNED)
    assert add(some_tags()).apply(case, SIGNED) is case


def test_a_finding_with_neither_mark_nor_word_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="Say what is damaged"):
        add(Tags()).apply(a_case(), SIGNED)

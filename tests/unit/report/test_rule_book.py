"""The printed rule book holds the whole book, as it judges, and never says that a car is safe."""

import re

import pytest

from rules import Rulebook, load_rulebook
from rules.aloud import rules_aloud
from tests.builders import SIGNED
from tests.unit.report.word_file import WordFile, text_of
from triage_app.report import Layout, render_rule_book


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load_rulebook()


@pytest.fixture(scope="module")
def printed(book: Rulebook) -> str:
    layout = Layout(shop_name="Invented Body Shop")
    return text_of(WordFile(render_rule_book(book, layout=layout, printed=SIGNED)).body)


def test_every_rule_stands_in_it_with_when_then_why_and_source(
    book: Rulebook, printed: str
) -> None:
    for rule in rules_aloud(book):
        assert rule.id in printed
        for line in (*rule.when, *rule.beside, *rule.then, rule.because):
            assert line in printed
        for line in (*rule.fires_on, *rule.near_misses):
            assert line in printed
        for cited in rule.citations:
            assert f"{cited.says} ({cited.status.value})" in printed


def test_every_word_action_test_and_source_stands_in_it(book: Rulebook, printed: str) -> None:
    for part in book.components.values():
        assert part.label in printed
        assert all(synonym in printed for synonym in part.synonyms)
    for said in (
        *(damage.description for damage in book.damage_types.values()),
        *(zone.description for zone in book.zones.values()),
        *(action.text for action in book.actions.values()),
        *(test.text for test in book.open_tests.values()),
        *(meaning.says for meaning in book.consequences.values()),
        *(meaning.says for meaning in book.likelihoods.values()),
        *(fact.citation.says for fact in book.facts.values()),
        *(level.text for level in book.quarantine_levels.values()),
        *(each.text for each in book.transport_classes.values()),
        *(source.edition for source in book.sources.values()),
    ):
        assert said in printed


def test_it_says_which_book_it_is_who_printed_it_and_what_changed(
    book: Rulebook, printed: str
) -> None:
    assert f"Invented Body Shop · {book.stamp.words}" in printed
    assert book.stamp.sha256 in printed
    assert SIGNED.by in printed
    assert "No published limit was found for a dent" in printed


def test_it_puts_the_makers_procedure_first_and_calls_no_car_safe(printed: str) -> None:
    assert printed.index("The vehicle maker's procedure") < printed.index("How the book is read")
    calls_it_safe = [
        said for said in re.findall(r"[^.]*\bsafe\b[^.]*\.", printed) if "make-safe" not in said
    ]
    for said in calls_it_safe:
        assert "Nothing in this book says" in said or "made safe" in said or "afe side" in said, (
            said
        )

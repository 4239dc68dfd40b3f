"""The rule book on the screen: every row can be found, read aloud and followed to its source."""

import re
from html import unescape

import pytest

from rules import Rulebook, load_rulebook
from rules.aloud import TOPICS, rules_aloud
from tests.ui.conftest import OpenPage, said
from triage_app.ui import rule_book_text as text
from triage_app.ui.navigation import Place
from triage_app.ui.rule_book.entry import Kind


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load_rulebook()


def page(open_page: OpenPage, search: str = "", show: str = text.EVERYTHING) -> str:
    tab = open_page(Place.RULES)
    tab.radio(key="rules-kind").set_value(show)
    tab.text_input(key="rules-search").set_value(search).run()
    assert not tab.exception
    return unescape(said(tab))


def shown(html: str) -> set[str]:
    return set(re.findall(r'id="rb-([^"]+)"', html))


def test_every_row_of_the_book_is_on_the_page(open_page: OpenPage, book: Rulebook) -> None:
    keys = (
        *(book.components.keys(), book.damage_types.keys(), book.zones.keys()),
        *(book.rule_ids, [row.id for row in book.evidence.rules]),
        *(book.actions.keys(), book.open_tests.keys(), book.sources.keys()),
    )
    assert shown(page(open_page)) == {str(key) for some in keys for key in some}


@pytest.mark.parametrize("search", ["ORANGE cable", "orange-cable", "oränge  càble", "traction ca"])
def test_a_part_is_found_by_another_name_however_it_is_written(
    open_page: OpenPage, search: str
) -> None:
    found = shown(page(open_page, search))
    assert "hv_cable" in found
    assert "wheel_arch_liner" not in found
    assert "CON-010" in found, "the rules that speak of the part are found with it"


def test_the_search_looks_in_descriptions_and_rule_texts(open_page: OpenPage) -> None:
    assert "HVF-001" in shown(page(open_page, "belongs to the high-voltage system"))
    assert "CON-003" in shown(page(open_page, "con-003"))
    assert page(open_page, "no such word at all").count(text.NOTHING) == 1


def test_a_rule_is_read_from_when_to_its_source_with_its_status(
    open_page: OpenPage, book: Rulebook
) -> None:
    html = page(open_page, show=Kind.RULE)
    for rule in rules_aloud(book):
        for line in (*rule.when, *rule.beside, *rule.then, rule.because):
            assert line in html
        for line in (*rule.fires_on, *rule.near_misses):
            assert line in html
        for cited in rule.citations:
            assert f"{cited.says} <b>[{cited.status.value}]</b>" in html


def test_rules_can_be_shown_topic_by_topic(open_page: OpenPage, book: Rulebook) -> None:
    tab = open_page(Place.RULES)
    tab.radio(key="rules-kind").set_value(Kind.RULE).run()
    tab.selectbox(key="rules-topic").set_value(TOPICS["hv_flag.toml"]).run()
    wanted = {rule.id for rule in book.rules.values() if rule.table == "hv_flag.toml"}
    assert shown(said(tab)) == wanted


def test_a_source_leads_to_its_rules_and_a_rule_to_its_source(open_page: OpenPage) -> None:
    everything = page(open_page)
    assert '<a href="#rb-fmvss_305">' in everything
    assert '<a href="#rb-HVF-001">' in everything
    # Where the other end is not shown, it opens beside: leaving would lose what is entered.
    assert '<a href="/rules?find=fmvss_305" target="_blank">' in page(open_page, show=Kind.RULE)


def test_the_address_of_a_rule_shows_that_rule_unfolded(open_page: OpenPage) -> None:
    html = said(open_page(Place.RULES, address={"find": "HVF-011"}))
    assert re.search(r'id="rb-HVF-011" open', html)


def test_every_risk_stands_in_the_table_by_word_pattern_and_colour(
    open_page: OpenPage, book: Rulebook
) -> None:
    html = page(open_page, show=text.RISK)
    table = html.partition('<table class="ub-matrix">')[2].partition("</table>")[0]
    assert table.count('class="ub-swatch"') == len(book.risk_matrix)
    for meaning in (*book.consequences.values(), *book.likelihoods.values()):
        assert meaning.says in html


def test_the_page_says_which_book_it_is_and_what_changed(
    open_page: OpenPage, book: Rulebook
) -> None:
    html = page(open_page, show=text.CHANGES)
    assert book.stamp.words in html
    assert book.stamp.sha256 in html
    assert "Revision 1" in html
    assert 'href="/rule-book.docx"' in html

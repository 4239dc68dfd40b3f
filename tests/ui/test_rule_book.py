"""Looking up words in the rule book."""

from tests.ui.conftest import OpenPage, said
from triage_app.ui.navigation import Place


def test_a_part_is_found_by_another_name_for_it(open_page: OpenPage) -> None:
    tab = open_page(Place.RULES)
    tab.text_input(key="rules-search").set_value("ORANGE cable").run()
    page = said(tab)
    assert "<dt>HV cable</dt>" in page
    assert "<dt>Wheel-arch liner</dt>" not in page


def test_every_source_says_how_far_it_was_checked(open_page: OpenPage) -> None:
    assert "[read in a copy]" in said(open_page(Place.RULES))

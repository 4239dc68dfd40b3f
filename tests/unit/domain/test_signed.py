"""Names on record: whose they are, and which two are one person's."""

import pytest

from triage_app.domain.signed import is_same_person


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param("Ada Nowak", "Ada Nowak", id="same"),
        pytest.param("Ada Nowak", "  ada   NOWAK ", id="case and spaces"),
        pytest.param("Ada Nowak", "Ada\u00a0Nowak", id="no-break space"),
        pytest.param("Ada Nowak", "Nowak, Ada", id="order and comma"),
        pytest.param("José Weiß", "Jose Weiss", id="accent and sharp s"),
        pytest.param("Ada Nowak", "\uff21da Nowak", id="full-width letter"),
        pytest.param("Łukasz Jørgen", "Lukasz Jorgen", id="letters with a stroke"),
        pytest.param("Jörg Müller", "Joerg Mueller", id="umlaut written out"),
        pytest.param("Jörg Müller", "Jorg Muller", id="umlaut left out"),
        pytest.param("Bjørn Ærø", "Bjorn Aero", id="joined letter"),
        pytest.param("??", "?? ", id="no letters at all"),
    ],
)
def test_two_spellings_of_one_name_are_one_person(one: str, other: str) -> None:
    assert is_same_person(one, other)
    assert is_same_person(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param("Ada Nowak", "Ada Novak", id="another letter"),
        pytest.param("Ada Nowak", "Ada", id="only a first name"),
        pytest.param("李 明", "王 明", id="not Latin"),
        pytest.param("??", "!!", id="no letters, different"),
    ],
)
def test_two_names_are_two_persons(one: str, other: str) -> None:
    assert not is_same_person(one, other)

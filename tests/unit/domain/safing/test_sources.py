"""Where steps and figures are from: each with how far it was checked, memory told as memory."""

from rules.published import HV_ABOVE_DC_V, ISOLATION_COMBINED_OHM_PER_V, ISOLATION_DC_OHM_PER_V
from rules.terms import SourceStatus
from triage_app.domain.safing.sources import BASES, JUDGEMENT


def one(words: str) -> str:
    [found] = [basis.cited for basis in BASES if words in basis.cited]
    return found


def test_each_names_its_source_or_says_that_it_is_judgement() -> None:
    for basis in BASES:
        assert basis.status in {*SourceStatus, JUDGEMENT}
        assert bool(basis.source) == (basis.status != JUDGEMENT)


def test_the_model_practice_comes_with_the_warning_of_its_scope() -> None:
    assert "as model practice; read)" in one("the order:".capitalize())
    assert "1910.331(c)(3); from memory)" in one("leaves work on vehicles by qualified persons out")


def test_the_limits_of_un_r100_are_those_that_the_program_reckons_with() -> None:
    assert f"{HV_ABOVE_DC_V.value:g} V DC and 30 V AC" in one("no proof of absence")
    assert one(f"{ISOLATION_DC_OHM_PER_V.value:g} ohm/V").endswith(
        "(UN R100 5.1.3.1; read in a copy)."
    )
    assert "read in a copy" in one(f"{ISOLATION_COMBINED_OHM_PER_V.value:g} ohm/V")

"""Outside check: the book against the project's table of published values, cell by cell.

Sources are named beside each test; the status of each value (read, from memory ...) is compared
too, so that the book never claims to be better founded than the table.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from rules import Consequence, HvFlag, Likelihood, Risk, SignalWord, SourceStatus
from rules.rulebook import Fact
from tests.unit.rules.book import judge, the_book

PUBLISHED: dict[str, Any] = json.loads(  # Any: JSON
    (Path(__file__).parents[2] / "data" / "facts_checks.json").read_text(encoding="utf-8")
)
ROWS = {row["id"]: row for row in PUBLISHED["checks"]}
STATUS = {
    ("VERIFIED", "primary text"): SourceStatus.READ,
    ("VERIFIED", "secondary copy/summary"): SourceStatus.READ_IN_A_COPY,
    ("VERIFIED", "own run"): SourceStatus.COMPUTED,
    ("MEMORY", "high"): SourceStatus.MEMORY,
    ("MEMORY", "medium"): SourceStatus.MEMORY,
    ("MEMORY", "low"): SourceStatus.MEMORY,
}
MATRIX = PUBLISHED["risk_matrix"]


# MIL-STD-882E, Table III (two independent public transcriptions).
@pytest.mark.parametrize("level", [level.value for level in Likelihood])
@pytest.mark.parametrize("category", list(Consequence), ids=lambda one: one.name.lower())
def test_each_cell_of_table_iii_is_the_published_one(category: Consequence, level: str) -> None:
    published = MATRIX["rows"][level][category - 1]
    assert the_book().risk_matrix[category, Likelihood(level)].name.title() == published


@pytest.mark.parametrize(
    ("category", "level", "risk"),
    [
        (Consequence.CRITICAL, "E", Risk.MEDIUM),
        (Consequence.MARGINAL, "B", Risk.SERIOUS),
        (Consequence.MARGINAL, "D", Risk.MEDIUM),
        (Consequence.MARGINAL, "E", Risk.MEDIUM),
        (Consequence.NEGLIGIBLE, "B", Risk.MEDIUM),
    ],
    ids=["II/E", "III/B", "III/D", "III/E", "IV/B"],
)
def test_the_cells_that_are_often_copied_too_low_are_right(
    category: Consequence, level: str, risk: Risk
) -> None:
    assert the_book().risk_matrix[category, Likelihood(level)] is risk


def test_table_iii_counts_five_high_four_serious_eight_medium_three_low() -> None:
    cells = [
        risk for (_, level), risk in the_book().risk_matrix.items() if level is not Likelihood.F
    ]
    assert [cells.count(risk) for risk in (Risk.HIGH, Risk.SERIOUS, Risk.MEDIUM, Risk.LOW)] == [
        5,
        4,
        8,
        3,
    ]


@pytest.mark.parametrize("fact", the_book().facts.values(), ids=lambda fact: fact.id)
def test_a_fact_of_the_book_has_the_published_value_and_status(fact: Fact) -> None:
    if fact.id not in ROWS:
        assert fact.value is None
        return
    row = ROWS[fact.id]
    assert fact.citation.status is STATUS[row["status"], row["basis"]]
    if fact.value is not None:
        published = row["value"][0] if isinstance(row["value"], list) else row["value"]
        assert (fact.value, fact.unit) == (published, row["unit"])


# 49 CFR 571.305, S4: high voltage is above 60 V DC; UN R100 draws class B at the same place.
@pytest.mark.parametrize(
    "case", [one for one in PUBLISHED["hv_cases"] if one["kind"] == "DC"], ids=lambda one: one["v"]
)
def test_high_voltage_begins_above_60_v_dc(case: dict[str, Any]) -> None:  # Any: JSON
    shield = judge("skid_plate", "scrape", volts=case["v"], at=4000.0, zone="rear_end")
    assert (shield.hv_flag is HvFlag.AT_HV) is case["hv"]


# NFPA 70E, Table 130.4(E)(b): restricted 0.3 m, limited 1.0 m (fixed) and 3.0 m (movable).
@pytest.mark.parametrize(
    ("distance_mm", "flag"),
    [
        (0.0, HvFlag.AT_HV),
        (1000 * ROWS["APP-01"]["value"] + 10, HvFlag.AT_HV),
        (1000 * ROWS["APP-01"]["value"] + 11, HvFlag.WITHIN_REACH),
        (1000 * ROWS["APP-02"]["value"] + 10, HvFlag.WITHIN_REACH),
        (1000 * ROWS["APP-02"]["value"] + 11, HvFlag.NONE),
    ],
    ids=["touching", "at 0.3 m", "past 0.3 m", "at 1.0 m", "past 1.0 m"],
)
@pytest.mark.parametrize("zone", ["front_centre", "rear_left"])
def test_an_approach_boundary_holds_after_the_uncertainty(
    distance_mm: float, flag: HvFlag, zone: str
) -> None:
    found = judge("suspension_arm", "scrape", at=distance_mm, zone=zone)
    assert found.hv_flag is flag


def test_the_movable_boundary_is_the_one_of_the_table_and_from_memory() -> None:
    [cited] = the_book().rules["CMB-001"].citations  # type: ignore[index]  # RuleId in a test
    assert cited.status is SourceStatus.MEMORY
    assert the_book().facts["APP-03"].value == ROWS["APP-03"]["value"] == 3.0


# ANSI Z535.4, 4.14: what each signal word means.
@pytest.mark.parametrize("word", list(SignalWord), ids=lambda one: one.name)
def test_a_signal_word_means_what_the_standard_says(word: SignalWord) -> None:
    published = PUBLISHED["signal_words"][word.name]
    ours = the_book().signal_words[word].says.lower()
    if "injury" in published and word is not SignalWord.NOTICE:
        modal = published.split()[0]
        assert ours.startswith(modal)
        assert ("kill" in ours) is ("death" in published)
    else:
        assert "not about injury" in ours


def test_a_signal_word_never_claims_less_than_its_consequence() -> None:
    least = the_book().least_signal_word
    assert least[Consequence.CATASTROPHIC] >= SignalWord.WARNING
    assert least[Consequence.CRITICAL] >= SignalWord.WARNING
    assert least[Consequence.MARGINAL] >= SignalWord.CAUTION
    assert the_book().hv_signal_word >= SignalWord.WARNING

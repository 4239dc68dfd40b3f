"""Outside check: classes, isolation, approach, gloves, transport and total loss, row by row.

Each test names its source; the values stand in ``tests/data/facts_checks.json`` and, for rows
without a number, in ``tests/data/facts_statements.json``, both copied from the project's table of
published values with the status of each.
"""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from rules import FactsError, SourceStatus
from rules.published import (
    CLASS_B_TOP_AC_V,
    CLASS_B_TOP_DC_V,
    GLOVE_CLASSES,
    GLOVE_RETEST_MONTHS,
    GLOVE_SHELF_MONTHS,
    GLOVE_STATUS,
    HV_ABOVE_AC_V,
    HV_ABOVE_DC_V,
    ISOLATION_COMBINED_OHM_PER_V,
    ISOLATION_DC_OHM_PER_V,
    TOTAL_LOSS_STATUS,
    Current,
    GloveClass,
    Published,
    VoltageClass,
    is_high_voltage,
    lowest_glove_class,
    reaches_total_loss,
    voltage_class,
)
from rules.rulebook import Fact
from tests.unit.rules.book import the_book
from tests.unit.rules.test_published_values import PUBLISHED, ROWS, STATUS

STATEMENTS: dict[str, str] = json.loads(
    (Path(__file__).parents[2] / "data" / "facts_statements.json").read_text(encoding="utf-8")
)["status"]
TRANSPORT_FACTS = [fact for fact in the_book().facts.values() if fact.id.startswith("TRN-")]


def status_of(fact_id: str) -> SourceStatus:
    row = ROWS[fact_id]
    return STATUS[row["status"], row["basis"]]


# 49 CFR 571.305 S4; UN R100 definitions; ISO 6469-3: voltage classes.
@pytest.mark.parametrize(
    "case", PUBLISHED["hv_cases"], ids=lambda one: f"{one['v']} V {one['kind']}"
)
def test_high_voltage_begins_where_the_table_says(case: dict[str, Any]) -> None:  # Any: JSON
    assert is_high_voltage(case["v"], Current(case["kind"])) is case["hv"]


@pytest.mark.parametrize(
    ("volts", "current", "expected"),
    [
        (0.0, Current.DC, VoltageClass.A),
        (60.0, Current.DC, VoltageClass.A),
        (60.1, Current.DC, VoltageClass.B),
        (1500.0, Current.DC, VoltageClass.B),
        (1500.1, Current.DC, VoltageClass.BEYOND_B),
        (30.0, Current.AC, VoltageClass.A),
        (30.1, Current.AC, VoltageClass.B),
        (1000.0, Current.AC, VoltageClass.B),
        (1000.1, Current.AC, VoltageClass.BEYOND_B),
        (None, Current.DC, VoltageClass.B),
        (None, Current.AC, VoltageClass.B),
    ],
)
def test_voltage_classes_end_where_un_r100_says(
    volts: float | None, current: Current, expected: VoltageClass
) -> None:
    assert voltage_class(volts, current) is expected


@pytest.mark.parametrize(
    ("held", "fact_id", "kind"),
    [
        (HV_ABOVE_DC_V, "R100-01", "from"),
        (CLASS_B_TOP_DC_V, "R100-01", "to"),
        (HV_ABOVE_AC_V, "R100-02", "from"),
        (CLASS_B_TOP_AC_V, "R100-02", "to"),
    ],
    ids=["DC begins", "DC ends", "AC begins", "AC ends"],
)
def test_the_class_limits_are_the_published_pair(held: Published, fact_id: str, kind: str) -> None:
    low, high = ROWS[fact_id]["value"]
    assert held.value == (low if kind == "from" else high)


@pytest.mark.parametrize("volts", [-1.0, float("nan"), float("inf")], ids=str)
def test_a_voltage_that_cannot_be_has_no_class(volts: float) -> None:
    with pytest.raises(FactsError, match="0 or more"):
        voltage_class(volts)


# UN R100, 5.1.3.1 and 5.1.3.2: isolation in ohm for each volt of working voltage.
@pytest.mark.parametrize(
    ("held", "fact_id"),
    [
        (ISOLATION_DC_OHM_PER_V, "R100-03"),
        (ISOLATION_COMBINED_OHM_PER_V, "R100-04"),
        (ISOLATION_COMBINED_OHM_PER_V, "R100-05"),
    ],
    ids=["DC bus", "AC bus", "joined buses"],
)
def test_an_isolation_reference_is_the_published_one(held: Published, fact_id: str) -> None:
    assert (held.value, held.unit) == (ROWS[fact_id]["value"], ROWS[fact_id]["unit"])
    assert held.status is status_of(fact_id)


@pytest.mark.parametrize("vector", PUBLISHED["isolation"]["vectors"], ids=lambda one: one["id"])
def test_the_worked_isolation_examples_fall_on_the_right_side(
    vector: dict[str, Any],  # Any: JSON
) -> None:
    ohm_per_volt = vector["Ri"] / vector["Vb"]
    assert (ohm_per_volt >= ISOLATION_DC_OHM_PER_V.value) is vector["meets_100"]
    assert (ohm_per_volt >= ISOLATION_COMBINED_OHM_PER_V.value) is vector["meets_500"]


# ASTM D120; IEC 60903; 29 CFR 1910.137: glove classes (the DC values are not in the OSHA table).
@pytest.mark.parametrize("glove", GLOVE_CLASSES, ids=lambda one: f"class {one.name}")
def test_a_glove_class_holds_up_to_the_published_voltages(glove: GloveClass) -> None:
    row = ROWS[f"GLV-{glove.name}"]
    assert (glove.max_ac_v, glove.max_dc_v) == (row["value"]["ac"], row["value"]["dc"])
    assert status_of(f"GLV-{glove.name}") is GLOVE_STATUS


@pytest.mark.parametrize("case", PUBLISHED["glove_cases"], ids=lambda one: f"{one['vdc']} V")
def test_the_least_glove_class_is_the_published_one(case: dict[str, Any]) -> None:  # Any: JSON
    assert lowest_glove_class(case["vdc"]).name == case["min_class"]


@pytest.mark.parametrize(
    ("held", "fact_id"),
    [(GLOVE_RETEST_MONTHS, "GLV-T"), (GLOVE_SHELF_MONTHS, "GLV-S")],
    ids=["retest", "shelf"],
)
def test_a_glove_interval_is_the_published_one(held: Published, fact_id: str) -> None:
    assert (held.value, held.unit) == (ROWS[fact_id]["value"], ROWS[fact_id]["unit"])
    assert held.status is status_of(fact_id)


# NFPA 70E, Table 130.4(E)(b): approach boundaries at 301 V to 1 kV DC.
@pytest.mark.parametrize("fact_id", ["APP-01", "APP-02", "APP-03"])
def test_an_approach_boundary_of_the_book_is_the_published_one(fact_id: str) -> None:
    fact = the_book().facts[fact_id]
    assert (fact.value, fact.unit) == (ROWS[fact_id]["value"], ROWS[fact_id]["unit"])
    assert fact.citation.status is status_of(fact_id)


# 49 CFR 173.185(f); ADR SP 376, P908/LP904, P911/LP906; UN Model Regulations.
def test_every_transport_row_of_the_table_is_in_the_book() -> None:
    published = {fact_id for fact_id in {**ROWS, **STATEMENTS} if fact_id.startswith("TRN-")}
    assert {fact.id for fact in TRANSPORT_FACTS} == published
    assert len(published) == 14


@pytest.mark.parametrize("fact", the_book().facts.values(), ids=lambda fact: fact.id)
def test_a_statement_of_the_book_claims_no_better_status_than_the_table(fact: Fact) -> None:
    assert fact.citation.status.value == STATEMENTS[fact.id]


@pytest.mark.parametrize(
    ("transport_class", "packing", "fact_id"),
    [
        ("damaged or defective", ("P908", "LP904"), "TRN-09"),
        ("critical", ("P911", "LP906"), "TRN-10"),
    ],
    ids=["not liable to react", "critical"],
)
def test_packing_instructions_are_those_of_adr(
    transport_class: str, packing: tuple[str, ...], fact_id: str
) -> None:
    entries = {
        one.name.lower().replace("_", " "): e for one, e in the_book().transport_classes.items()
    }
    entry = entries[transport_class]
    assert entry.packing == packing
    assert the_book().facts[fact_id].citation in entry.citations
    assert all(one in the_book().facts[fact_id].citation.says for one in packing)


@pytest.mark.parametrize("number", ["3480", "3481", "3171", "3556", "3557", "3558"])
def test_a_un_number_stands_in_the_fact_that_it_cites(number: str) -> None:
    [row] = [one for one in the_book().un_numbers if one.number == f"UN {number}"]
    assert any(f"UN {number}" in cited.says for cited in row.citations)


def test_marks_and_surface_limit_of_the_texts_are_the_published_ones() -> None:
    texts = " ".join(one.text for one in the_book().transport_classes.values())
    assert f"letters of {ROWS['TRN-07']['value']} mm or more" in texts
    assert f"below {ROWS['TRN-11']['value']} degrees C" in texts


def test_distances_and_hours_of_the_quarantine_are_the_published_ones() -> None:
    texts = " ".join(one.text for one in the_book().quarantine_levels.values())
    assert f"{ROWS['DMG-02']['value']} m ({ROWS['DMG-01']['value']} ft)" in texts
    assert f"{ROWS['DMG-06']['value']} hours" in texts


# Insurance practice: repair + salvage against the value before the loss.
@pytest.mark.parametrize(
    "case",
    PUBLISHED["total_loss_formula_cases"],
    ids=lambda one: f"{one['repair']}+{one['salvage']}",
)
def test_the_total_loss_formula_gives_the_published_answer(
    case: dict[str, Any],  # Any: JSON
) -> None:
    repair, salvage, value = (Decimal(case[name]) for name in ("repair", "salvage", "acv"))
    assert reaches_total_loss(repair=repair, salvage=salvage, value=value) is case["total"]
    strictly = reaches_total_loss(
        repair=repair, salvage=salvage, value=value, equality_counts=False
    )
    assert strictly is (repair + salvage > value)
    assert TOTAL_LOSS_STATUS.value == STATEMENTS["TL-00"]


@pytest.mark.parametrize("amount", [Decimal(-1), Decimal("NaN"), Decimal("Infinity")], ids=str)
def test_no_amount_of_money_is_refused(amount: Decimal) -> None:
    with pytest.raises(FactsError, match="amount of money"):
        reaches_total_loss(repair=amount, salvage=Decimal(0), value=Decimal(1))

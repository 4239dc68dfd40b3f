"""Isolation: the published worked examples, both formula forms, and readings that are refused.

Checked against the project's table of facts, section 9 (UN R100 annex 1.2.3; 49 CFR 571.305 S7.6).
"""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.isolation import (
    CurrentSystem,
    IsolationMeasurement,
    IsolationVerdict,
    TwoVoltages,
)

FACTS: dict[str, Any] = json.loads(  # Any: JSON
    (Path(__file__).parents[2] / "data" / "facts_checks.json").read_text(encoding="utf-8")
)["isolation"]


def measured(given: TwoVoltages, system: CurrentSystem) -> IsolationMeasurement:
    return IsolationMeasurement(
        island="rear drive unit",
        working_v=given.vb,
        system=system,
        two_voltages=given,
        instrument="meter M-1, 10 Mohm",
        procedure="Invented manual 7-2",
    )


@pytest.mark.parametrize("row", FACTS["vectors"], ids=lambda row: row["id"])
def test_the_worked_examples_come_out_exactly(row: dict[str, Any]) -> None:
    readings = TwoVoltages(
        vb=row["Vb"], v1=row["V1"], v2=row["V2"], resistor_ohm=row["Ro"], v_prime=row["Vprime"]
    )
    assert readings.side == row["Ro_side"]
    assert readings.resistance_ohm == pytest.approx(row["Ri"], rel=2e-6)
    assert readings.resistance_305_ohm == pytest.approx(row["Ri"], rel=2e-6)
    for system, meets in (
        (CurrentSystem.DC_ONLY, "meets_100"),
        (CurrentSystem.CONNECTED, "meets_500"),
    ):
        result = measured(readings, system)
        assert result.ohm_per_v == pytest.approx(row["ohm_per_volt"], rel=2e-6)
        assert (result.verdict is IsolationVerdict.NOT_BELOW) == row[meets]


@pytest.mark.parametrize("row", FACTS["reject"], ids=lambda row: row["why"])
def test_readings_that_cannot_belong_together_are_refused(row: dict[str, Any]) -> None:
    with pytest.raises(InvalidInputError):
        TwoVoltages(
            vb=row.get("Vb", row["V1"] + row["V2"]),
            v1=row["V1"],
            v2=row["V2"],
            resistor_ohm=row["Ro"],
            v_prime=row["Vprime"],
        )


# A circuit of two resistances to chassis, solved here on its own, gives what a meter would show.
@given(st.floats(1e4, 1e7), st.floats(1e4, 1e7), st.floats(5e4, 5e5), st.floats(200, 1000))
def test_a_simulated_car_gives_back_its_weaker_side(
    positive_ohm: float, negative_ohm: float, resistor_ohm: float, vb: float
) -> None:
    total = positive_ohm + negative_ohm
    v1, v2 = vb * negative_ohm / total, vb * positive_ohm / total
    weaker, stronger = sorted((positive_ohm, negative_ohm))
    parallel = stronger * resistor_ohm / (stronger + resistor_ohm)
    v_prime = vb * parallel / (parallel + weaker)
    readings = TwoVoltages(vb=vb, v1=v1, v2=v2, resistor_ohm=resistor_ohm, v_prime=v_prime)
    assert readings.resistance_ohm == pytest.approx(weaker, rel=1e-6)
    assert readings.resistance_305_ohm == pytest.approx(weaker, rel=1e-6)


def by_tester(**change: Any) -> IsolationMeasurement:
    given: dict[str, Any] = {
        "island": "rear drive unit",
        "working_v": 400.0,
        "positive_ohm": 2e6,
        "negative_ohm": 1e5,
        "test_v": 500.0,
        "instrument": "tester",
        "procedure": "Invented manual",
    }
    return IsolationMeasurement(**(given | change))


def test_of_the_two_poles_the_lower_counts() -> None:
    assert by_tester().ohm_per_v == 250
    assert by_tester().verdict is IsolationVerdict.BELOW  # not known counts as 500 ohm/V
    assert by_tester(system=CurrentSystem.DC_ONLY).verdict is IsolationVerdict.NOT_BELOW


def test_exactly_the_reference_is_not_below_it() -> None:
    assert by_tester(negative_ohm=200_000.0).verdict is IsolationVerdict.NOT_BELOW
    assert by_tester(negative_ohm=199_999.0).verdict is IsolationVerdict.BELOW


@pytest.mark.parametrize(
    "change",
    [
        {"test_v": 250.0},
        {"test_v": None},
        {"positive_ohm": None},
        {"negative_ohm": -1.0},
        {"procedure": ""},
        {"island": " "},
        {"working_v": 0.0},
        {"working_v": float("nan")},
        {"positive_ohm": None, "negative_ohm": None, "test_v": None},
    ],
)
def test_a_measurement_with_a_gap_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(InvalidInputError):
        by_tester(**change)


def test_the_result_never_says_more_than_below_or_not_below() -> None:
    assert {str(verdict) for verdict in IsolationVerdict} == {
        "below the reference",
        "not below the reference; compare the maker's value",
    }


def test_the_calculation_shows_its_numbers() -> None:
    x1 = TwoVoltages(vb=400, v1=240, v2=160, resistor_ohm=200_000, v_prime=96)
    lines = measured(x1, CurrentSystem.DC_ONLY).calculation
    assert lines[0] == "Ri = 200000 x 400 x (1/96 - 1/240) = 500000 ohm (UN R100)"
    assert "(1 + 160/240) x ((240 - 96)/96) = 500000 ohm" in lines[1]
    assert lines[2] == "500000 ohm / 400 V = 1250 ohm/V"


def test_millions_of_ohm_are_written_out() -> None:
    held = IsolationMeasurement(
        island="rear drive unit",
        working_v=400,
        positive_ohm=2_200_000,
        negative_ohm=1_800_000,
        test_v=500,
        instrument="tester IT-1",
        procedure="Invented manual 7-2",
    )
    assert held.calculation == (
        "positive 2200000 ohm, negative 1800000 ohm at 500 V; the lower counts",
        "1800000 ohm / 400 V = 4500 ohm/V",
    )

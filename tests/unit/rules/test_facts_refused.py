"""Facts that cannot be meant are refused, never read as the milder answer."""

from typing import Any

import pytest

from rules import CaseFacts, Facts, FactsError, VehicleFacts


@pytest.mark.parametrize("answer", ["yes", "no", 1, 0, "", []])
def test_a_sign_that_is_neither_yes_no_nor_unknown_is_refused(answer: Any) -> None:
    with pytest.raises(FactsError, match="smoke"):
        VehicleFacts(signs={"smoke": answer})


@pytest.mark.parametrize("value", ["12", True, float("nan"), -1])
def test_a_size_that_is_no_number_is_refused(value: Any) -> None:
    with pytest.raises(FactsError, match="distance_to_hv_mm"):
        Facts(finding_id="1", distance_to_hv_mm=value)


@pytest.mark.parametrize("value", ["400", True, float("inf"), 1501])
def test_a_voltage_that_is_no_number_is_refused(value: Any) -> None:
    with pytest.raises(FactsError, match="system_voltage_v"):
        VehicleFacts(system_voltage_v=value, signs={})


def test_two_findings_of_one_id_are_refused_since_one_would_hide_the_other() -> None:
    with pytest.raises(FactsError, match="id '1'"):
        CaseFacts(vehicle=VehicleFacts(signs={}), findings=(Facts(finding_id="1"),) * 2)

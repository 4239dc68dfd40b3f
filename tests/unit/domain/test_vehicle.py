"""Vehicle and incident: what is accepted, what is pointed out, what unknown means."""

from decimal import Decimal

import pytest

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import MAX_TEXT, Answer, Incident, Vehicle, vin_check_digit


def test_the_check_digit_of_seventeen_ones_is_one() -> None:
    """The usual self-test of the method of 49 CFR 565.15: 89 mod 11 = 1 (from memory)."""
    assert vin_check_digit("1" * 17) == "1"


@pytest.mark.parametrize(
    ("vin", "check_digit"),
    [
        pytest.param("11111121111111111", "3", id="a 2 at weight 2: 89 + 2 = 91 = 8*11 + 3"),
        pytest.param("11111111121111111", "X", id="a 2 at weight 9: 89 + 9 = 98 = 8*11 + 10"),
        pytest.param("B1111111111111111", "9", id="B is 2, at weight 8: 89 + 8 = 97 = 8*11 + 9"),
        pytest.param(
            "1111111Z111111111", "4", id="Z is 9, at weight 10: 89 + 80 = 169 = 15*11 + 4"
        ),
    ],
)
def test_check_digits_worked_by_hand(vin: str, check_digit: str) -> None:
    """The weights of the 17 positions sum to 89, so a VIN of ones has 89 = 8*11 + 1."""
    assert vin_check_digit(vin) == check_digit


def test_a_wrong_check_digit_is_pointed_out_and_not_refused() -> None:
    """Outside North America position 9 may hold anything."""
    assert Vehicle(vin="1" * 8 + "5" + "1" * 8).vin_check_digit_differs
    assert not Vehicle(vin="1" * 17).vin_check_digit_differs
    assert not Vehicle().vin_check_digit_differs


def test_a_vin_is_trimmed_and_upper_case() -> None:
    assert Vehicle(vin=" 1111111111111111a ").vin == "1111111111111111A"
    assert Vehicle(vin="  ").vin is None


@pytest.mark.parametrize(
    "vin", ["1" * 16, "1" * 18, "I" + "1" * 16, "O" + "1" * 16, "-" * 17, "é" * 17]
)
def test_an_impossible_vin_is_refused(vin: str) -> None:
    with pytest.raises(InvalidInputError, match="17 letters and digits"):
        Vehicle(vin=vin)


@pytest.mark.parametrize("volts", [-1.0, 1500.1, float("nan"), float("inf")])
def test_an_impossible_voltage_is_refused(volts: float) -> None:
    with pytest.raises(InvalidInputError, match="system voltage"):
        Vehicle(system_voltage_v=volts)


def test_signs_that_nobody_answered_are_unknown_not_no() -> None:
    assert set(Incident().signs.values()) == {None}
    assert Incident(smoke=Answer.NO, odour=Answer.YES).signs == {
        "smoke": False,
        "fire": None,
        "hissing": None,
        "popping": None,
        "odour": True,
        "rising_temperature": None,
        "swelling": None,
        "water": None,
        "battery_leak": None,
        "broken_battery_mounts": None,
        "crushed_lifting_points": None,
    }


@pytest.mark.parametrize("value", ["-1", "1000000000", "NaN", "Infinity"])
def test_an_impossible_value_is_refused(value: str) -> None:
    with pytest.raises(InvalidInputError, match="pre-loss value"):
        Incident(pre_loss_value=Decimal(value))


def test_control_characters_are_dropped_and_long_text_is_refused() -> None:
    assert Vehicle(description="low\x00 floor\x1b[31m ").description == "low floor[31m"
    with pytest.raises(InvalidInputError, match="longer than"):
        Vehicle(description="x" * (MAX_TEXT + 1))

"""Passwords: argon2id as shipped, and what may be one."""

import pytest

from tests.unit.services.shop import CHEAP
from triage_app.domain.errors import InvalidInputError
from triage_app.services.passwords import Passwords, refuse_weak

GOOD = "odd bolts hum quietly"


def test_as_shipped_it_is_argon2id_with_the_parameters_of_rfc_9106() -> None:
    """RFC 9106, 4, second recommended option: t=3, p=4, m=2^16 KiB, 128-bit salt, 256-bit tag."""
    made = Passwords().hashed(GOOD)
    assert made.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    assert Passwords().is_right(GOOD, made)
    assert not Passwords().is_outdated(made)
    assert Passwords().is_outdated(CHEAP.hash(GOOD))


def test_two_of_one_password_look_different() -> None:
    passwords = Passwords(CHEAP)
    assert passwords.hashed(GOOD) != passwords.hashed(GOOD)


def test_letters_typed_on_another_keyboard_are_the_same_password() -> None:
    passwords = Passwords(CHEAP)
    assert passwords.is_right("Scho\u0308ne alte Hu\u0308te", passwords.hashed("Schöne alte Hüte"))


@pytest.mark.parametrize("password_hash", ["", "not a hash", "$argon2id$broken"])
def test_no_password_fits_what_is_no_hash(password_hash: str) -> None:
    passwords = Passwords(CHEAP)
    for password in ("", "nobody's", "not a hash"):
        assert not passwords.is_right(password, password_hash)


@pytest.mark.parametrize(
    "password",
    [
        GOOD,
        "fünf grüne Äpfel im Heu",
        "1x 3!q 7Zk 9#w 2pL",
        "ёлка гудит под крышей",
        "x7Qw9Lp2Vn4Bt6Ry8",
    ],
)
def test_a_good_password_is_taken_whatever_signs_it_has(password: str) -> None:
    refuse_weak(password, least_length=15, names=("Erin Estimator", "erin"))


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("", "at least 15"),
        ("fourteen chars", "at least 15"),
        ("x" * 257, "at most 256"),
        ("a" * 20, "easily guessed"),
        ("123456789012345", "easily guessed"),
        ("passwordpassword", "easily guessed"),
        ("qwertyuiopqwertyuiop", "easily guessed"),
        ("erin estimator 12", "easily guessed"),
        ("underbody triage", "easily guessed"),
        ("Erin Erin Erin Erin", "easily guessed"),
    ],
)
def test_what_is_short_or_easily_guessed_is_refused(password: str, why: str) -> None:
    with pytest.raises(InvalidInputError, match=why):
        refuse_weak(password, least_length=15, names=("Erin Estimator", "erin"))


def test_a_shop_that_asks_for_eight_still_refuses_common_ones() -> None:
    for common in ("password1", "iloveyou2", "baseball99"):
        with pytest.raises(InvalidInputError, match="easily guessed"):
            refuse_weak(common, least_length=8, names=())
    refuse_weak("x7Qw9Lp2", least_length=8, names=())

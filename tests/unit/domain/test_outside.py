"""What the identity provider's word means here. Missing, odd or unverified names nobody."""

import pytest

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.outside import OutsideRules, groups_from
from triage_app.domain.permissions import Role

SAM = {"sub": "U-1", "email": "Sam@X.example", "email_verified": True}


def test_a_verified_address_names_a_person_in_any_case_of_letters() -> None:
    rules = OutsideRules()
    assert rules.id_in(SAM) == "Sam@X.example"
    assert rules.is_same("sam@x.example", "Sam@X.example")


@pytest.mark.parametrize(
    "claims",
    [
        {},
        {"email": "sam@x.example"},
        SAM | {"email_verified": False},
        SAM | {"email_verified": "true"},
        SAM | {"email_verified": 1},
        SAM | {"email": None},
        SAM | {"email": ["sam@x.example"]},
        SAM | {"email": " "},
    ],
    ids=str,
)
def test_anything_less_names_nobody(claims: dict[str, object]) -> None:
    assert OutsideRules().id_in(claims) == ""


def test_a_subject_is_compared_to_the_letter() -> None:
    rules = OutsideRules(claim="sub")
    assert rules.id_in(SAM) == "U-1"
    assert not rules.is_same("u-1", "U-1")


def test_groups_give_roles() -> None:
    claim, roles = groups_from("groups: hv-team=senior_technician, all=estimator, all=adjuster")
    rules = OutsideRules(groups_claim=claim, roles_of_group=roles)
    assert rules.roles_in({"groups": ["hv-team", "unknown"]}) == {Role.SENIOR_TECHNICIAN}
    assert rules.roles_in({"groups": "all"}) == {Role.ESTIMATOR, Role.ADJUSTER}


@pytest.mark.parametrize("held", [None, 1, {"hv-team": True}, [1, None], ["HV-TEAM"], []], ids=str)
def test_odd_groups_give_no_role(held: object) -> None:
    claim, roles = groups_from("groups: hv-team=senior_technician")
    rules = OutsideRules(groups_claim=claim, roles_of_group=roles)
    assert rules.roles_in({"groups": held}) == frozenset()
    assert rules.roles_in({}) == frozenset()


def test_no_groups_are_no_mapping() -> None:
    assert groups_from(" ") == ("", {})


@pytest.mark.parametrize(
    "text", ["groups", "groups:", ": a=estimator", "groups: a", "groups: a=boss", "g: =estimator"]
)
def test_a_mapping_that_cannot_be_read_starts_nothing(text: str) -> None:
    with pytest.raises(InvalidInputError, match="groups: hv-team=senior_technician"):
        groups_from(text)

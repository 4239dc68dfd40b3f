"""The command line acts in the roles that it is told, and as shipped not as a senior technician."""

import pytest

from tests.unit.cli.shell import Shell
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.permissions import Action, Role, may
from triage_app.settings import Settings, roles_from


def test_as_shipped_the_command_line_decides_nothing_about_high_voltage() -> None:
    roles = roles_from(Settings().roles)
    assert may(roles, Action.MAKE_CASE)
    assert may(roles, Action.TAKE_IN)
    assert not may(roles, Action.ACCEPT_EVIDENCE)


def test_who_says_adjuster_opens_no_case(shell: Shell) -> None:
    said = shell.run("new", "--ref", "R-1", "--role", "adjuster")
    said.refused("Ada Nowak, adjuster", "may not open a case")
    assert shell.must("list", "--json").json["cases"] == []


def test_a_role_that_does_not_exist_is_named(shell: Shell) -> None:
    shell.run("new", "--ref", "R-1", "--role", "boss").refused("'boss' does not name roles")


@pytest.mark.parametrize("text", ["", " , "])
def test_no_role_named_is_no_role_at_all(text: str) -> None:
    assert roles_from(text) == frozenset()


def test_two_roles_are_both_taken() -> None:
    assert roles_from("adjuster, senior_technician") == {Role.ADJUSTER, Role.SENIOR_TECHNICIAN}


def test_one_wrong_role_among_good_ones_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="does not name roles"):
        roles_from("estimator,boss")

"""People and settings on the command line: what an administrator does at the server."""

import re

import pytest

from tests.people import HERE
from tests.unit.cli.shell import Shell
from triage_app.bootstrap import open_services
from triage_app.domain.errors import NotAllowedError
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services.sign_in import WRONG
from triage_app.settings import Settings

OWN = "four quite odd words"


def password_in(text: str) -> str:
    found = re.search(r"([A-Z2-9]{4}-){2}[A-Z2-9]{4}", text)
    assert found
    return found.group()


def sign_in(shell: Shell, password: str, own: str = "") -> Operator | None:
    services = open_services(Settings(cases_url=shell.cases_url, files_url=shell.files_url))
    try:
        token = services.sign_in.sign_in(name="sam", password=password, own=own, caller=HERE)
        return services.sign_in.who(token)
    finally:
        services.close()


def add_sam(shell: Shell) -> str:
    said = shell.must("people", "add", "Sam Senior", "--gets", "senior_technician,administrator")
    return password_in(said.out)


def test_a_person_is_added_and_signs_in_with_the_first_password(shell: Shell) -> None:
    operator = sign_in(shell, add_sam(shell), OWN)
    assert operator is not None
    assert operator.name == "Sam Senior"
    assert operator.roles == {Role.SENIOR_TECHNICIAN, Role.ADMINISTRATOR}
    assert shell.must("people").out == (
        "Sam Senior (sam) · senior technician (HV reviewer), administrator\n"
    )


def test_an_administrator_who_forgot_their_password_gets_a_new_one_at_the_server(
    shell: Shell,
) -> None:
    sign_in(shell, add_sam(shell), OWN)
    new = password_in(shell.must("people", "password", "sam").out)
    with pytest.raises(NotAllowedError, match=WRONG):
        sign_in(shell, OWN)
    assert sign_in(shell, new, "another four odd words") is not None


def test_roles_are_changed_and_what_was_done_is_on_record(shell: Shell) -> None:
    add_sam(shell)
    shell.must("people", "add", "Ana Admin", "--gets", "administrator")
    assert "estimator" in shell.must("people", "roles", "sam", "--gets", "estimator").out
    assert "disabled by Ada Nowak" in shell.must("people", "disable", "Sam Senior").out
    assert "disabled" not in shell.must("people", "enable", "sam").out
    assert shell.must("people", "end-sessions", "sam").out == "Sam Senior: 0 sessions ended.\n"
    assert (
        "as s@x.example"
        in shell.must("people", "outside", "sam", "--outside-id", "s@x.example").out
    )
    log = shell.must("people", "log").out
    for did in ("added as", "→ estimator", "disabled", "enabled again", "sessions ended"):
        assert did in log
    assert "(by Ada Nowak)" in log


@pytest.mark.parametrize(
    ("argv", "word"),
    [
        (["add", "senior, SAM", "--gets", "estimator"], "There is an account of Sam Senior"),
        (["add", "Eve Other"], "at least one role"),
        (["add", "Eve Other", "--gets", "boss"], "'boss' does not name roles"),
        (["roles", "sam", "--gets", "estimator"], "last administrator"),
        (["disable", "sam"], "last administrator"),
        (["disable", "nobody"], "There is no account of 'nobody'"),
        (["add", "Eve Other", "--gets", "estimator", "--sign-in-name", "sam"], "is taken"),
        (["add", "Eve Other", "--gets", "estimator", "--sign-in-name", "a b"], "without spaces"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_cannot_be_is_refused_with_one_sentence(
    shell: Shell, argv: list[str], word: str
) -> None:
    add_sam(shell)
    before = shell.must("people").out
    shell.run("people", *argv).refused(word)
    assert shell.must("people").out == before


def test_whom_is_asked_for(shell: Shell) -> None:
    shell.run("people", "disable").wrong_usage("Say whom")


def test_who_is_no_administrator_lists_nobody(shell: Shell) -> None:
    shell.run("people", "--role", "senior_technician").refused("may not manage people")
    shell.run("settings", "--idle-minutes", "5", "--role", "estimator").refused("settings")


def test_settings_are_shown_and_changed(shell: Shell) -> None:
    assert "second-person-clears  yes" in shell.must("settings").out
    changed = shell.must("settings", "--second-person-clears", "no", "--idle-minutes", "5").out
    assert "second-person-clears  no" in changed
    assert "idle-minutes          5" in changed
    assert "Last changed by Ada Nowak" in shell.must("settings").out
    shell.run("settings", "--idle-minutes", "0").refused("from 1 to 60")

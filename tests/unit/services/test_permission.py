"""Roles by actions: the table, the refusals, and that no service method goes without."""

import inspect
from collections.abc import Iterator
from typing import get_args

import pytest

from tests.builders import ADJUSTER, ESTIMATOR, some_tags
from tests.unit.services.shop import a_shop
from triage_app.domain.command_actions import COMMAND_ACTIONS
from triage_app.domain.commands import AnyCommand, WithdrawFinding
from triage_app.domain.errors import NotAllowedError
from triage_app.domain.evidence_commands import AcceptEvidence
from triage_app.domain.ids import CaseId, EvidenceId, FindingId
from triage_app.domain.permissions import PERMISSIONS, ROLE_NAMES, Action, Role, may
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.permission import ACTION_NEEDED, needs, require

# Written out once more, apart from the table, so that a slip in it shows: E, S, R, A.
EXPECTED = {
    Action.READ: "ESRA",
    Action.MAKE_CASE: "ES",
    Action.ADD_PHOTO: "ES",
    Action.MARK: "ES",
    Action.RECORD_EVIDENCE: "ES",
    Action.ACCEPT_EVIDENCE: "S",
    Action.PLAN: "ES",
    Action.RECORD_MAKE_SAFE: "ES",
    Action.VOID_MAKE_SAFE: "ES",
    Action.ANSWER_SIGN: "ES",
    Action.DECIDE_ADMISSION: "S",
    Action.INSPECT: "ES",
    Action.REVIEW_FINDING: "S",
    Action.SIGN: "S",
    Action.ISSUE_DRAFT: "ES",
    Action.RELEASE: "S",
    Action.MEASURE_CARDS: "ES",
    Action.HAND_ON: "ESA",
    Action.TAKE_IN: "A",
    Action.OWN_ACCOUNT: "ESRA",
    Action.MANAGE_PEOPLE: "A",
    Action.CHANGE_SETTINGS: "A",
}
LETTERS = {
    Role.ESTIMATOR: "E",
    Role.SENIOR_TECHNICIAN: "S",
    Role.ADJUSTER: "R",
    Role.ADMINISTRATOR: "A",
}

# Each method once more by hand, so that one guarded by another action than its own shows. Whatever
# is not named here is work on a case: for estimators and senior technicians.
METHODS_FOR = {
    "S": {
        *("admission.decide", "evidence.accept", "evidence.decline", "reporting.release"),
        *("review.acknowledge", "review.correct", "review.decide"),
    },
    "A": {
        *("archive.import_bundle", "archive.tidy", "demo_people.make", "shop_settings.change"),
        *("people.add", "people.all", "people.called", "people.disable", "people.enable"),
        *("people.end_sessions", "people.log", "people.reset_password", "people.sessions"),
        *("people.set_outside_id", "people.set_roles"),
    },
    "ESA": {"archive.export"},
    "ESRA": {
        *("intake.photo_edges", "intake.photo_jpeg", "photo_views.mark_quality"),
        *("reporting.load", "triage.assess", "triage.what_if"),
        *("own_account.account", "own_account.change_password"),
        *("own_account.end_session", "own_account.sessions"),
    },
}

# These ask in their body, because the right depends on what they are given.
ASK_BY_COMMAND = {"marking.apply", "safing.record", "safing.rehearse"}
# These work on values that the caller already holds, or on no case at all; they load none.
LOAD_NOTHING = {
    "marking.check_tags": "compares words with the rule book",
    "evidence.check": "compares an entry with the rule book and the clock",
    "review.queue": "the case is in hand",
    "reporting.blockers": "the case is in hand",
    "safing.status": "the case is in hand",
    "safing.points": "the case is in hand",
    "safing.watch": "the case is in hand",
    "safing.is_overdue": "the watch is in hand",
    "safing.photos_before": "the case is in hand",
    "admission.status": "the case is in hand",
    "inspection.checklist": "the case is in hand",
    "inspection.unexplained": "the case is in hand",
    "planning.plan": "the case is in hand",
    "planning.inputs": "the case is in hand",
    "planning.needed": "the case is in hand",
    "planning.price_ids": "ids of the rule book, of no case",
    "triage.assess_case": "the case is in hand",
    "triage.assess_facts": "the facts are in hand",
    "triage.what_if_case": "the case is in hand",
    "measuring.between": "the photo and its marks are in hand; gives a number",
    "measuring.plane_of": "the photo is in hand; gives numbers, no pixels",
    "measuring.sizes_of": "the photo and its mark are in hand; gives numbers",
    "photo_views.quality_of": "the case is in hand; gives words, no pixels",
    "safing.isolation": "the case is in hand",
    "scale_records.card_sides": "figures of the shop's cards, of no case",
    "scale_records.lenses": "figures of the shop's cameras, of no case",
    "shop_settings.now": "what the shop has set, of no case",
    "sign_in.needs_set_up": "tells whether anybody has an account",
    "sign_in.set_up": "asks for the start code; this is how the first person comes to have roles",
    "sign_in.sign_in": "asks for a password; this is how a person comes to have roles",
    "outside_sign_in.enter": "asks for the word of the identity provider",
    "sign_in.enter": "the identity provider has vouched for them",
    "sign_in.faces": "names of people who have signed in on the browser that asks",
    "sign_in.seat": "tells whose the token is",
    "sign_in.who": "tells whose the token is",
    "sign_in.lock": "locks the session whose token is given",
    "sign_in.unlock": "asks for the password of the session whose token is given",
    "sign_in.sign_out": "ends the session whose token is given",
}


@pytest.fixture
def shop() -> Services:
    return a_shop()


def methods(shop: Services) -> Iterator[tuple[str, object]]:
    """Yield every public method of every theme; the stores themselves are no services."""
    for theme, held in sorted(vars(shop).items()):
        if theme.startswith("_") or not type(held).__module__.startswith("triage_app.services"):
            continue
        for name, method in inspect.getmembers(held, inspect.ismethod):
            if not name.startswith("_"):
                yield f"{theme}.{name}", method


def person(*roles: Role) -> Operator:
    return Operator(name="Pat Person", roles=frozenset(roles))


def test_no_service_method_goes_without_a_right(shop: Services) -> None:
    bare = {name for name, method in methods(shop) if not hasattr(method, ACTION_NEEDED)}
    assert bare == ASK_BY_COMMAND | LOAD_NOTHING.keys()


def test_every_guarded_method_refuses_whom_the_table_refuses(shop: Services) -> None:
    tried = 0
    for name, method in methods(shop):
        action = getattr(method, ACTION_NEEDED, None)
        for role in Role:
            if action is None or may({role}, action):
                continue
            # No case, no photo, nothing: the refusal comes before any of it is looked at.
            wanted = inspect.signature(method).parameters.values()  # type: ignore[arg-type]
            given = {each.name: None for each in wanted if each.default is each.empty}
            with pytest.raises(NotAllowedError, match="may not"):
                method(**{**given, "by": person(role)})  # type: ignore[operator]
            assert name
            tried += 1
    assert tried > len(list(methods(shop)))


def test_each_method_is_for_just_those_who_are_written_here(shop: Services) -> None:
    wanted = {name: letters for letters, names in METHODS_FOR.items() for name in names}
    guarded = {
        name: EXPECTED[action]
        for name, method in methods(shop)
        if (action := getattr(method, ACTION_NEEDED, None)) is not None
    }
    assert guarded == {name: wanted.get(name, "ES") for name in guarded}
    assert wanted.keys() <= guarded.keys()


@pytest.mark.parametrize("action", Action, ids=lambda action: action.name)
@pytest.mark.parametrize("role", Role)
def test_the_table_allows_just_what_is_written_here(role: Role, action: Action) -> None:
    assert may({role}, action) is (LETTERS[role] in EXPECTED[action])


def test_the_table_knows_every_action_and_role() -> None:
    assert PERMISSIONS.keys() == set(Action)
    assert ROLE_NAMES.keys() == set(Role)


def test_every_command_asks_for_a_right() -> None:
    assert COMMAND_ACTIONS.keys() == set(get_args(AnyCommand))


def test_who_holds_no_role_may_do_nothing() -> None:
    assert not any(may(frozenset(), action) for action in Action)


def test_who_holds_two_roles_may_do_what_either_allows() -> None:
    both = person(Role.ADMINISTRATOR, Role.SENIOR_TECHNICIAN)
    require(both, Action.MANAGE_PEOPLE)
    require(both, Action.SIGN)


def test_an_administrator_is_not_by_that_qualified_for_high_voltage() -> None:
    for action in (Action.REVIEW_FINDING, Action.SIGN, Action.DECIDE_ADMISSION, Action.RELEASE):
        assert not may({Role.ADMINISTRATOR}, action)


def test_a_refusal_says_in_one_sentence_who_what_and_who_may() -> None:
    with pytest.raises(NotAllowedError) as refused:
        require(ADJUSTER, Action.TAKE_IN)
    assert str(refused.value) == (
        "Ida Insurer, adjuster (reads only), may not take a whole case in or clear files away; "
        "that is for an administrator."
    )


def test_an_adjuster_changes_nothing(shop: Services) -> None:
    case = shop.intake.open_case(by=ESTIMATOR, reference="R-1")
    with pytest.raises(NotAllowedError):
        shop.marking.add_finding(case.id, some_tags(), by=ADJUSTER)
    assert shop.cases.get(case.id) == case


@pytest.mark.parametrize(
    "command",
    [
        AcceptEvidence(record_id=EvidenceId("E1")),
        WithdrawFinding(finding_id=FindingId("F1"), reason="Not here.", expected_revision=1),
    ],
    ids=lambda command: command.kind,
)
def test_a_command_by_another_way_asks_for_the_same_right(
    shop: Services, command: AnyCommand
) -> None:
    with pytest.raises(NotAllowedError):
        shop.marking.apply(CaseId("none"), command, by=ADJUSTER)


def test_an_estimator_cannot_accept_evidence_as_an_undo(shop: Services) -> None:
    command = AcceptEvidence(record_id=EvidenceId("E1"))
    with pytest.raises(NotAllowedError, match="senior technician"):
        shop.marking.apply(CaseId("none"), command, by=ESTIMATOR)


def test_a_method_without_a_person_cannot_be_guarded() -> None:
    with pytest.raises(TypeError, match="needs a person"):

        @needs(Action.READ)
        def read() -> None:
            """Take nobody."""

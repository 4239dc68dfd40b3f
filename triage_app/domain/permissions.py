"""Who may do what: the roles, the actions, and one table that joins them.

A person has one or more roles and may do what any of them allows; no role allows nothing. The
table is a judgement of this project about work in a body shop, not the text of a standard.
Further conditions stand with the action itself: a second named person accepts evidence, and
nobody lowers what must not be lowered, whatever their role.
"""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from types import MappingProxyType


class Role(StrEnum):
    """What somebody is in the shop. The value is stored and never changes."""

    ESTIMATOR = "estimator"
    SENIOR_TECHNICIAN = "senior_technician"
    ADJUSTER = "adjuster"
    ADMINISTRATOR = "administrator"


class Action(StrEnum):
    """Something a person does, worded so that "may not ..." can stand before it."""

    READ = "read cases"
    MAKE_CASE = "open a case or describe its vehicle and incident"
    ADD_PHOTO = "add photos or say anything about them"
    MARK = "mark, tag or withdraw damage"
    RECORD_EVIDENCE = "record or withdraw evidence"
    ACCEPT_EVIDENCE = "accept or decline evidence"
    PLAN = "give prices and figures of the plan or choose a total-loss rule"
    RECORD_MAKE_SAFE = "record in the make-safe record"
    ANSWER_SIGN = "answer whether a warning sign is there"
    DECIDE_ADMISSION = "decide that a car held outside may come in"
    INSPECT = "work through the inspection checklist"
    REVIEW_FINDING = "confirm, escalate or lower a finding"
    SIGN = "sign a finding or report"
    ISSUE_DRAFT = "issue a draft report"
    RELEASE = "release a report"
    VOID_MAKE_SAFE = "void the make-safe record"
    HAND_ON = "hand a whole case on as one file"
    TAKE_IN = "take a whole case in or clear files away"
    MEASURE_CARDS = "put scale cards and lenses on record"
    OWN_ACCOUNT = "look after an account of their own"
    MANAGE_PEOPLE = "manage people"
    CHANGE_SETTINGS = "change the shop's settings"


ROLE_NAMES: Mapping[Role, str] = MappingProxyType(
    {
        Role.ESTIMATOR: "estimator",
        Role.SENIOR_TECHNICIAN: "senior technician (HV reviewer)",
        Role.ADJUSTER: "adjuster (reads only)",
        Role.ADMINISTRATOR: "administrator",
    }
)

_E, _S, _R, _A = Role.ESTIMATOR, Role.SENIOR_TECHNICIAN, Role.ADJUSTER, Role.ADMINISTRATOR

# An administrator looks after people and files, and is not by that qualified for high voltage:
# whoever does both holds both roles. Voiding only ever makes things stricter, so it is not rare.
_TABLE: tuple[tuple[Action, tuple[Role, ...]], ...] = (
    (Action.READ, (_E, _S, _R, _A)),
    (Action.MAKE_CASE, (_E, _S)),
    (Action.ADD_PHOTO, (_E, _S)),
    (Action.MARK, (_E, _S)),
    (Action.RECORD_EVIDENCE, (_E, _S)),
    (Action.ACCEPT_EVIDENCE, (_S,)),
    (Action.PLAN, (_E, _S)),
    (Action.RECORD_MAKE_SAFE, (_E, _S)),
    (Action.VOID_MAKE_SAFE, (_E, _S)),
    (Action.ANSWER_SIGN, (_E, _S)),
    (Action.DECIDE_ADMISSION, (_S,)),
    (Action.INSPECT, (_E, _S)),
    (Action.REVIEW_FINDING, (_S,)),
    (Action.SIGN, (_S,)),
    (Action.ISSUE_DRAFT, (_E, _S)),
    (Action.RELEASE, (_S,)),
    (Action.MEASURE_CARDS, (_E, _S)),
    (Action.HAND_ON, (_E, _S, _A)),
    (Action.TAKE_IN, (_A,)),
    (Action.OWN_ACCOUNT, (_E, _S, _R, _A)),
    (Action.MANAGE_PEOPLE, (_A,)),
    (Action.CHANGE_SETTINGS, (_A,)),
)

PERMISSIONS: Mapping[Action, frozenset[Role]] = MappingProxyType(
    {action: frozenset(roles) for action, roles in _TABLE}
)


def may(roles: Iterable[Role], action: Action) -> bool:
    """Tell whether any of these roles allows the action; an action not in the table, nobody."""
    return not PERMISSIONS.get(action, frozenset()).isdisjoint(roles)


def allowed_roles(action: Action) -> str:
    """Return who may do it, in words: "a senior technician (HV reviewer) or an administrator"."""
    named = [_with_article(ROLE_NAMES[role]) for role in Role if role in PERMISSIONS[action]]
    return " or ".join(filter(None, [", ".join(named[:-1]), named[-1]]))


def _with_article(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"

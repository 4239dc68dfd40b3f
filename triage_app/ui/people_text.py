"""Every sentence about people: signing in, setting up, accounts, sessions, the shop's settings."""

# ruff: noqa: S105 - these are words about passwords and none of them is one

from collections.abc import Sequence

from triage_app.domain.accounts import Account, PeopleEntry, roles_in_words
from triage_app.domain.sessions import Session
from triage_app.domain.signed import Operator

SIGN_IN = "Sign in"
SIGN_OUT = "Sign out"
SWITCH = "Switch"
GO_ON = "Go on to the cases"
SIGN_IN_NAME = "Sign-in name, or your full name"
PASSWORD = "Password"
SHOW = "Show"
BY_PROVIDER = "Sign in by the shop's identity provider"
WHO_IS_HERE = "Who is here?"
DEMO_PASSWORD_HINT = (
    "Demo: these people are invented. The password of each is the start code, printed where the "
    "program was started."
)
LOCKED = "This screen is locked."
LOCKED_TITLE = "Locked"
UNLOCK = "Unlock"
SOMEBODY_ELSE = "Somebody else"
UNREACHABLE = "The program cannot be reached. Try once more."
SESSION_OVER = "This session is over. Sign in again; nothing that was stored is lost."
CHOOSE_OWN = "Choose a password of your own"
NEW_PASSWORD = "New password"
CHOOSE_AND_GO_ON = "Keep it and sign in"

SET_UP = "Set this shop up"
SET_UP_WHY = (
    "Nobody has an account here yet. You become the first administrator and make the accounts of "
    "all others. After that the start code opens nothing any more."
)
START_CODE = "Start code"
START_CODE_HINT = "Printed where the program was started."
YOUR_NAME = "Your name"
YOUR_NAME_HINT = "As it should stand in the record and in the report; it cannot be changed later."
SET_UP_ROLES = "I am also"
SET_UP_ROLES_HINT = (
    "A role is what the shop says of a person; it makes nobody qualified for high voltage."
)
SET_UP_DO = "Make the first account"

OWN_ACCOUNT = "Your own account"
CHANGE_PASSWORD = "Change the password"
PASSWORD_NOW = "Password now"
PASSWORD_CHANGED = "The password is changed. Everywhere else you are signed out."
NO_PASSWORD_HERE = "You sign in by the shop's identity provider and have no password here."
YOUR_SCREENS = "Where you are signed in"
THIS_SCREEN = "this screen"
END_SESSION = "End"


def signed_in_as(name: str) -> str:
    return f"Signed in as {name}."


def locked_for(name: str) -> str:
    return f"{name} was away for a while. Their password goes on where they were."


def password_hint(least: int) -> str:
    return (
        f"At least {least} characters. A few words that belong to no saying make a good one; "
        "spaces count, and nothing is asked about digits or signs."
    )


def sign_in_line(sign_in_name: str, roles: str) -> str:
    return f"Sign-in name: {sign_in_name}. Roles: {roles}."


def screen_line(session: Session) -> str:
    where = f" at {session.address}" if session.address else ""
    since = f"{session.opened_at:%Y-%m-%d %H:%M} UTC"
    return f"{session.device or 'unknown browser'}{where}, since {since}"


# People -----------------------------------------------------------------------------------------

PAGE_PEOPLE = "People"
PEOPLE_NEXT = "add everybody who works here, each with the roles that the shop gives them."
PEOPLE_NOT_YOURS = "an administrator makes accounts; ask one of yours."
ADD_PERSON = "Add a person"
FULL_NAME = "Full name"
ROLES = "Roles"
OWN_SIGN_IN_NAME = "Sign-in name"
OWN_SIGN_IN_NAME_HINT = "Leave empty to take the first name."
OUTSIDE_ID = "Known to the identity provider as"
OUTSIDE_ID_HINT = "Only where the shop signs in by one; then there is no password here."
ADD = "Make the account"
CHANGE = "Change"
SAVE_ROLES = "Save the roles"
RESET_PASSWORD = "New first password"
DISABLE = "Disable"
ENABLE = "Enable again"
END_SESSIONS = "Sign out everywhere"
DISABLED = "disabled"
NO_PASSWORD_YET = "has not signed in yet"
LOG = "What was done to accounts"
ROLES_SAVED = "The roles are saved; they count from the next click on."
NEVER_DELETED = (
    "An account is disabled and never deleted, and its name cannot be changed: names stand in "
    "journals and under signatures."
)


def person_line(account: Account, sessions: int) -> str:
    parts = [roles_in_words(account.roles), f"signs in as {account.sign_in_name}"]
    if account.outside_id:
        parts.append(f"from outside as {account.outside_id}")
    if account.disabled:
        parts.append(f"{DISABLED} by {account.disabled.by}")
    elif account.must_choose:
        parts.append(NO_PASSWORD_YET)
    if sessions:
        parts.append(f"signed in on {sessions} screen{'' if sessions == 1 else 's'}")
    return " · ".join(parts)


def first_password(account: Account, password: str) -> str:
    return (
        f"For {account.name}: sign-in name {account.sign_in_name}, first password {password} . "
        "It is shown this once, lasts 7 days, and is good for choosing an own one only."
    )


def added(name: str) -> str:
    return f"{name} can sign in by the identity provider now."


def disabled(name: str) -> str:
    return f"{name} is disabled and signed out everywhere."


def enabled(name: str) -> str:
    return f"{name} can sign in again."


def ended(name: str, number: int) -> str:
    return f"{name} is signed out on {number} screen{'' if number == 1 else 's'}."


def log_line(entry: PeopleEntry) -> str:
    when = f"{entry.signed.at:%Y-%m-%d %H:%M} UTC"
    return f"{when} · {entry.name}: {entry.did} · by {entry.signed.by}"


def read_only(operator: Operator) -> Sequence[str]:
    """Return the title and the sentence of the line that a person sees who changes no case."""
    return (
        "Read only.",
        f"{operator.name}, {roles_in_words(operator.roles)}, may look at every case and change "
        "nothing in it. What would change something is refused.",
    )


# The shop's settings ----------------------------------------------------------------------------

PAGE_SETTINGS = "Settings"
SETTINGS_NEXT = "set what the shop has agreed; as shipped all of it is on its careful side."
SECOND_PERSON = "Who recorded a finding at high voltage cannot be the one who lowers it"
IDLE_MINUTES = "Minutes without a touch before a screen is locked"
SESSION_HOURS = "Hours before everybody signs in anew"
PASSWORD_LENGTH = "Least characters of a password"
PASSWORD_LENGTH_HINT = (
    "NIST SP 800-63B-4 (2025) asks for 15 where a password is the only proof; its edition of 2017 "
    "asked for 8."
)
SAVE_SETTINGS = "Save the settings"
SETTINGS_SAVED = "The settings are saved and count from now on."


def changed_by(name: str, when: str) -> str:
    return f"Last changed by {name}, {when}."

"""People for tests: accounts by the same way as in a shop, with one password for all of them."""

from collections.abc import Iterable

from triage_app.domain.accounts import Account
from triage_app.domain.permissions import Role
from triage_app.domain.signed import Operator
from triage_app.services import Services
from triage_app.services.sign_in import Caller

PASSWORD = "odd bolts hum quietly"  # noqa: S105 - of invented people
ADMINISTRATOR = Operator(name="Ana Admin", roles=frozenset({Role.ADMINISTRATOR}))
ALL_ROLES = frozenset(Role)
HERE = Caller(address="192.0.2.7", device="a test")


def a_person(
    shop: Services, name: str, roles: Iterable[Role] = ALL_ROLES, *, password: str = PASSWORD
) -> Account:
    """Return the account of this name, made where there is none, with a password of its own."""
    for account in shop.people.all(by=ADMINISTRATOR):
        if account.name == name:
            return account
    given = shop.people.add(name, roles, by=ADMINISTRATOR)
    shop.sign_in.sign_out(
        shop.sign_in.sign_in(name=name, password=given.password, own=password, caller=HERE)
    )
    return given.account


def signed_in(shop: Services, name: str, roles: Iterable[Role] = ALL_ROLES) -> str:
    """Return a token of this person, whose account is made where there is none."""
    a_person(shop, name, roles)
    return shop.sign_in.sign_in(name=name, password=PASSWORD, caller=HERE)

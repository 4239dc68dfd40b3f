"""Who somebody is by the word of the shop's identity provider (OpenID Connect): claims -> person.

Claims are what the provider signed and Streamlit's login checked; here only what they mean for a
shop is decided. Whatever is missing or of another kind names nobody.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.permissions import Role

EMAIL = "email"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutsideRules:
    """``claim`` is compared with what an account is known as outside.

    With ``roles_of_group`` a person's groups give them their roles at each sign-in, and an account
    where they have none; without it, an administrator makes the account.
    """

    claim: str = EMAIL
    groups_claim: str = ""
    roles_of_group: Mapping[str, frozenset[Role]] = field(
        default_factory=lambda: MappingProxyType({})
    )

    def id_in(self, claims: Mapping[str, object]) -> str:
        """Return what the provider calls this person; "" where that cannot be relied on.

        An address counts only where the provider says that it has verified it: otherwise anybody
        could claim to have somebody else's.
        """
        value = claims.get(self.claim)
        if not isinstance(value, str):
            return ""
        if self.claim == EMAIL and claims.get("email_verified") is not True:
            return ""
        return value.strip()

    def is_same(self, one: str, other: str) -> bool:
        """Compare two ids; addresses in any case of letters, all else exactly (OIDC Core, 2)."""
        if self.claim == EMAIL:
            return one.casefold() == other.casefold()
        return one == other

    def roles_in(self, claims: Mapping[str, object]) -> frozenset[Role]:
        """Return the roles that this person's groups give them."""
        held = claims.get(self.groups_claim)
        groups = [held] if isinstance(held, str) else held
        if not isinstance(groups, list):
            return frozenset()
        named = [group for group in groups if isinstance(group, str)]
        return frozenset[Role]().union(
            *(self.roles_of_group.get(group, frozenset()) for group in named)
        )


def groups_from(text: str) -> tuple[str, Mapping[str, frozenset[Role]]]:
    """Read ``groups: hv-team=senior_technician, office=administrator``; raise InvalidInputError.

    Before the colon stands the claim; a group may be named more than once. "" is no mapping.
    """
    if not text.strip():
        return "", MappingProxyType({})
    claim, _, pairs = text.partition(":")
    named = [pair.rpartition("=") for pair in pairs.split(",") if pair.strip()]
    roles: dict[str, frozenset[Role]] = {}
    for group, _, role in named:
        if role.strip() not in set(Role) or not group.strip():
            raise InvalidInputError(_HOW)
        known = roles.get(group.strip(), frozenset())
        roles[group.strip()] = known | {Role(role.strip())}
    if not claim.strip() or not roles:
        raise InvalidInputError(_HOW)
    return claim.strip(), MappingProxyType(roles)


_HOW = (
    "Write which group has which role as in "
    "'groups: hv-team=senior_technician, office=administrator'; the roles are "
    f"{', '.join(Role)}."
)

"""Settings from the environment; each lists itself for the documentation."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Self

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.permissions import Role


class PageSize(StrEnum):
    """Paper of the Word report."""

    A4 = "A4"
    LETTER = "Letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """One value per environment variable; ``metadata`` says what it is for."""

    cases_url: str = field(
        default="sqlite:///data/cases.db",
        metadata={"env": "UNDERBODY_CASES", "about": "Database with the cases, as a URL."},
    )
    files_url: str = field(
        default="file://data/files",
        metadata={"env": "UNDERBODY_FILES", "about": "Folder of originals and reports, as a URL."},
    )
    operator: str = field(
        default="",
        metadata={
            "env": "UNDERBODY_OPERATOR",
            "about": "Name that the command line records; --by overrides it.",
        },
    )
    roles: str = field(
        default="estimator,administrator",
        metadata={
            "env": "UNDERBODY_ROLES",
            "about": "Roles that the command line acts in, with commas; --role overrides it. They "
            "are taken on trust: whoever can start a command can reach the shop's files.",
        },
    )
    address: str = field(
        default="127.0.0.1",
        metadata={"env": "UNDERBODY_ADDRESS", "about": "Address on which the app listens."},
    )
    port: int = field(
        default=8501,
        metadata={"env": "UNDERBODY_PORT", "about": "Port of the app; 0 takes a free one."},
    )
    sign_in_code: str = field(
        default="",
        metadata={
            "env": "UNDERBODY_SIGN_IN_CODE",
            "about": "Start code: makes the first administrator of a shop without people, and "
            "opens nothing afterwards. Empty makes a new one at each start and prints it.",
        },
    )
    demo: bool = field(
        default=False,
        metadata={
            "env": "UNDERBODY_DEMO",
            "about": "Set by 'underbody demo': its invented people sign in with the start code. "
            "Never for a shop's own cases.",
        },
    )
    secure_cookie: bool = field(
        default=False,
        metadata={
            "env": "UNDERBODY_SECURE_COOKIE",
            "about": "1 when the app is reached over TLS: the cookie then never travels in clear. "
            "A proxy that sends X-Forwarded-Proto tells so by itself.",
        },
    )
    oidc: bool = field(
        default=False,
        metadata={
            "env": "UNDERBODY_OIDC",
            "about": "1 where the section [auth] of .streamlit/secrets.toml names the shop's "
            "identity provider (OpenID Connect).",
        },
    )
    oidc_claim: str = field(
        default="email",
        metadata={
            "env": "UNDERBODY_OIDC_CLAIM",
            "about": "Claim that is compared with what an account is known as outside: email "
            "(only a verified one counts), sub, or another.",
        },
    )
    oidc_groups: str = field(
        default="",
        metadata={
            "env": "UNDERBODY_OIDC_GROUPS",
            "about": "Which group outside has which role here, as in 'groups: "
            "hv-team=senior_technician, office=administrator'. Empty: an administrator makes the "
            "accounts.",
        },
    )
    shop_name: str = field(
        default="",
        metadata={"env": "UNDERBODY_SHOP_NAME", "about": "Name of the shop, for the report."},
    )
    shop_rules: str = field(
        default="",
        metadata={
            "env": "UNDERBODY_SHOP_RULES",
            "about": "File with the shop's own rules, laid over the rule book; if it cannot be "
            "used, nothing starts. Empty: the book alone.",
        },
    )
    safing_hours: int = field(
        default=8,
        metadata={
            "env": "UNDERBODY_SAFING_HOURS",
            "about": "Hours for which a make-safe record stands, 1 to 8; then it is void.",
        },
    )
    page_size: PageSize = field(
        default=PageSize.A4,
        metadata={"env": "UNDERBODY_PAGE_SIZE", "about": "Paper of the report: A4 or Letter."},
    )

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Self:
        """Return the settings; InvalidInputError names the variable that cannot be read."""
        given = os.environ if environment is None else environment
        values: dict[str, object] = {}
        for setting in fields(cls):
            name = setting.metadata["env"]
            if name in given:
                values[setting.name] = _read(name, given[name], setting.default)
        return cls(**values)  # type: ignore[arg-type]  # each value was read by its default's type


def roles_from(text: str) -> frozenset[Role]:
    """Return the roles named with commas; InvalidInputError for a word that is none."""
    try:
        return frozenset(Role(word.strip()) for word in text.split(",") if word.strip())
    except ValueError as error:
        raise InvalidInputError(
            f"'{text}' does not name roles; they are {', '.join(Role)}."
        ) from error


def _read(name: str, text: str, default: object) -> object:
    try:
        if isinstance(default, bool):
            return {"1": True, "true": True, "yes": True, "0": False, "false": False, "": False}[
                text.strip().lower()
            ]
        if isinstance(default, int):
            return int(text)
        if isinstance(default, PageSize):
            return PageSize(text)
    except (ValueError, KeyError) as error:
        raise InvalidInputError(f"The setting {name} cannot be '{text}'.") from error
    return text

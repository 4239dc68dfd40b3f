"""What a shop may set for itself, and how far; a value out of its range is refused."""

from dataclasses import dataclass

from triage_app.domain.errors import InvalidInputError
from triage_app.domain.signed import Signed

# NIST SP 800-63B-4 (2025), 3.1.1.2: 15 characters where the password is the only factor; read in
# a copy. Its edition of 2017 asked for 8, which is as far as a shop may go down.
PASSWORD_LENGTH = 15
SHORTEST_PASSWORD_LENGTH, LONGEST_PASSWORD_LENGTH = 8, 64
LONGEST_IDLE_MINUTES = 60
LONGEST_SESSION_HOURS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSettings:
    """The settings as they stand; as shipped every one of them is on its careful side.

    ``second_person_clears``: whoever recorded a finding at high voltage cannot be the one who
    lowers it. ``idle_minutes``: after that a screen is locked. ``session_hours``: after that a
    person signs in anew, however busy they were. Both times are judgement. ``changed`` is None
    until somebody changed something.
    """

    second_person_clears: bool = True
    idle_minutes: int = 10
    session_hours: int = 12
    password_min_length: int = PASSWORD_LENGTH
    changed: Signed | None = None

    def __post_init__(self) -> None:
        for value, least, most, what in (
            (self.idle_minutes, 1, LONGEST_IDLE_MINUTES, "minutes before a screen is locked"),
            (self.session_hours, 1, LONGEST_SESSION_HOURS, "hours before signing in anew"),
            (
                self.password_min_length,
                SHORTEST_PASSWORD_LENGTH,
                LONGEST_PASSWORD_LENGTH,
                "characters of a password",
            ),
        ):
            if not least <= value <= most:
                raise InvalidInputError(
                    f"The number of {what} is from {least} to {most}, got {value}."
                )

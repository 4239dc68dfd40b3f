"""Where the steps and figures of the record are from, each with how far its text was checked.

None of it is a limit for releasing a vehicle; those are the maker's. What is nobody's published
figure says so.
"""

from dataclasses import dataclass
from typing import Final

from rules.published import (
    GLOVE_RETEST_MONTHS,
    GLOVE_SHELF_MONTHS,
    GLOVE_SOURCE,
    GLOVE_STATUS,
    HV_ABOVE_AC_V,
    HV_ABOVE_DC_V,
    ISOLATION_COMBINED_OHM_PER_V,
    ISOLATION_DC_OHM_PER_V,
    KEEP_AWAY_M,
    METER_INPUT_MOHM,
    METER_RATED_V,
    Published,
)
from rules.terms import SourceStatus

JUDGEMENT: Final = "our judgement, no published source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What is done or asked for, from which source, and how far that was checked."""

    says: str
    source: str
    status: str

    @property
    def cited(self) -> str:
        """The whole in one line."""
        said = self.says[0].upper() + self.says[1:]
        return f"{said} ({'; '.join(part for part in (self.source, self.status) if part)})."


def _published(value: Published, says: str = "") -> Basis:
    said = says or f"{value.says} {value.value:g} {value.unit}"
    return Basis(says=said, source=value.source, status=value.status)


BASES: Final = (
    Basis(
        says="the order: safe procedure, every source disconnected, stored energy released, lock "
        "and tag, absence of voltage verified",
        source="29 CFR 1910.333(b)(2), as model practice",
        status=SourceStatus.READ,
    ),
    Basis(
        says="that rule leaves work on vehicles by qualified persons out of its scope, which is "
        "why it is a model here and no law",
        source="29 CFR 1910.331(c)(3)",
        status=SourceStatus.MEMORY,
    ),
    Basis(
        says="what is switched off and not locked and tagged counts as energised",
        source="29 CFR 1910.333(b)(1)",
        status=SourceStatus.READ,
    ),
    Basis(
        says="the steps: identify sources, open disconnects, verify by eye, release stored "
        "electrical and mechanical energy, lock and tag, verify absence of voltage",
        source="NFPA 70E-2018, 120.5(1)-(8); the 2024 edition numbers them anew (from memory)",
        status=SourceStatus.READ_IN_A_COPY,
    ),
    Basis(
        says="the instrument is proved on a known source before and after each test",
        source="NFPA 70E-2018, 120.5(7); 29 CFR 1910.333(b)(2)(iv)(B) above 600 V",
        status=SourceStatus.READ_IN_A_COPY,
    ),
    Basis(
        says="stored energy that can come back is verified again until the work is done",
        source="29 CFR 1910.147(d)(5)(ii)",
        status=SourceStatus.READ_IN_A_COPY,
    ),
    _published(
        HV_ABOVE_DC_V,
        f"voltage class A ends at {HV_ABOVE_DC_V.value:g} V DC and {HV_ABOVE_AC_V.value:g} V AC: a "
        "class limit, the ceiling where the maker gives none lower, and no proof of absence",
    ),
    Basis(
        says="glove class 00 ends at 750 V DC and class 0 at 1500 V DC; the table is a minimum, "
        "and class 0 is common practice at 400 V",
        source=GLOVE_SOURCE,
        status=GLOVE_STATUS,
    ),
    _published(GLOVE_RETEST_MONTHS),
    _published(GLOVE_SHELF_MONTHS),
    Basis(
        says="gloves are looked at and air-tested before each day of use",
        source="29 CFR 1910.137(c)(2)(ii)",
        status=SourceStatus.READ_IN_A_COPY,
    ),
    _published(METER_RATED_V),
    _published(ISOLATION_DC_OHM_PER_V),
    _published(ISOLATION_COMBINED_OHM_PER_V),
    _published(METER_INPUT_MOHM),
    _published(KEEP_AWAY_M),
    Basis(
        says="signal words: DANGER will, WARNING could result in death or serious injury; CAUTION "
        "could result in minor or moderate injury; NOTICE is not about injury",
        source="ANSI Z535.4-2007, 4.14",
        status=SourceStatus.READ_IN_A_COPY,
    ),
    Basis(
        says="the electricity warning sign",
        source="ISO 7010 W012",
        status=SourceStatus.MEMORY,
    ),
    Basis(
        says="how long a record stands, the time between two readings, how far two proofs may "
        "differ, which rise of temperature voids, and how often it is read",
        source="",
        status=JUDGEMENT,
    ),
)

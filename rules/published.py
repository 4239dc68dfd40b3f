"""Values from standards and regulations that the make-safe record rests on, each with its source.

They are references for people who judge, never limits for releasing a vehicle; those are the
maker's. The status says how far a value was checked and is printed beside it.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum, StrEnum
from typing import Final

from rules.terms import FactsError, SourceStatus


class Current(StrEnum):
    """Kind of current; voltages of AC are r.m.s."""

    AC = "AC"
    DC = "DC"


class VoltageClass(IntEnum):
    """Voltage classes of UN R100 and ISO 6469-3; ordered so that the worse is ``max()``."""

    A = 0
    B = 1
    BEYOND_B = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """One value with its unit, where it stands, and how far it was checked."""

    value: float
    unit: str
    says: str
    source: str
    status: SourceStatus

    @property
    def cited(self) -> str:
        """The value with source and status, in one line."""
        return f"{self.says}: {self.value:g} {self.unit} ({self.source}; {self.status})"


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveClass:
    """A class of insulating gloves and the highest voltage it may be used at."""

    name: str
    max_dc_v: float
    max_ac_v: float


HV_ABOVE_DC_V: Final = Published(
    value=60,
    unit="V DC",
    says="voltage class A ends at",
    source="UN R100 definitions; ISO 6469-3; 49 CFR 571.305 S4",
    status=SourceStatus.READ_IN_A_COPY,
)
HV_ABOVE_AC_V: Final = Published(
    value=30,
    unit="V AC",
    says="voltage class A ends at",
    source="UN R100 definitions; ISO 6469-3; 49 CFR 571.305 S4",
    status=SourceStatus.READ_IN_A_COPY,
)
CLASS_B_TOP_DC_V: Final = Published(
    value=1500,
    unit="V DC",
    says="voltage class B ends at",
    source="UN R100 definitions; ISO 6469-3",
    status=SourceStatus.MEMORY,
)
CLASS_B_TOP_AC_V: Final = Published(
    value=1000,
    unit="V AC",
    says="voltage class B ends at",
    source="UN R100 definitions; ISO 6469-3",
    status=SourceStatus.MEMORY,
)
TOTAL_LOSS_SOURCE: Final = "insurance practice; sources differ between reaching and exceeding"
TOTAL_LOSS_STATUS: Final = SourceStatus.READ_IN_A_COPY
GLOVE_SOURCE: Final = "ASTM D120; IEC 60903; 29 CFR 1910.137 table I-4 for AC"
GLOVE_STATUS: Final = SourceStatus.READ_IN_A_COPY
GLOVE_CLASSES: Final = (
    GloveClass(name="00", max_dc_v=750, max_ac_v=500),
    GloveClass(name="0", max_dc_v=1500, max_ac_v=1000),
    GloveClass(name="1", max_dc_v=11_250, max_ac_v=7_500),
    GloveClass(name="2", max_dc_v=25_500, max_ac_v=17_000),
    GloveClass(name="3", max_dc_v=39_750, max_ac_v=26_500),
    GloveClass(name="4", max_dc_v=54_000, max_ac_v=36_000),
)
GLOVE_RETEST_MONTHS: Final = Published(
    value=6,
    unit="months",
    says="gloves in service are tested again after",
    source="29 CFR 1910.137(c)(2)(viii), table I-5",
    status=SourceStatus.READ,
)
GLOVE_SHELF_MONTHS: Final = Published(
    value=12,
    unit="months",
    says="gloves are put into service after their test within",
    source="29 CFR 1910.137, footnote of table I-5",
    status=SourceStatus.READ_IN_A_COPY,
)
METER_RATED_V: Final = Published(
    value=1000,
    unit="V",
    says="voltmeter of measurement category III or better, rated for at least",
    source="IEC 61010-1 names the categories; their use on vehicles is common practice",
    status=SourceStatus.COMMON_PRACTICE,
)
METER_INPUT_MOHM: Final = Published(
    value=10,
    unit="Mohm",
    says="input resistance of the voltmeter of an isolation test, at least",
    source="UN R100 annex 1.2.2; 49 CFR 571.305 S7.6.2",
    status=SourceStatus.READ_IN_A_COPY,
)
ISOLATION_DC_OHM_PER_V: Final = Published(
    value=100,
    unit="ohm/V",
    says="isolation of a DC bus, at least",
    source="UN R100 5.1.3.1",
    status=SourceStatus.READ_IN_A_COPY,
)
ISOLATION_COMBINED_OHM_PER_V: Final = Published(
    value=500,
    unit="ohm/V",
    says="isolation of an AC bus, or of AC and DC buses that are connected, at least",
    source="UN R100 5.1.3.1, 5.1.3.2",
    status=SourceStatus.READ_IN_A_COPY,
)
KEEP_AWAY_M: Final = Published(
    value=15,
    unit="m",
    says="distance of a damaged car to buildings, cars and whatever burns, 50 ft or",
    source="NHTSA guidance for tow operators, as cited by a state senate's bill report",
    status=SourceStatus.READ_IN_A_COPY,
)


def lowest_glove_class(dc_v: float) -> GloveClass:
    """Return the lowest class whose DC value covers ``dc_v``; ValueError beyond class 4."""
    for glove in GLOVE_CLASSES:
        if dc_v <= glove.max_dc_v:
            return glove
    raise ValueError(f"No class of gloves covers {dc_v:g} V DC.")


def glove_class(name: str) -> GloveClass | None:
    """Return the class with this name, or None where there is none."""
    return next((glove for glove in GLOVE_CLASSES if glove.name == name), None)


def voltage_class(voltage_v: float | None, current: Current = Current.DC) -> VoltageClass:
    """Return the class of a voltage; one that nobody knows is class B. FactsError below 0."""
    if voltage_v is None:
        return VoltageClass.B
    if not 0 <= voltage_v < float("inf"):
        raise FactsError(f"A voltage must be a number, 0 or more, got {voltage_v!r}.")
    is_ac = current is Current.AC
    if voltage_v <= (HV_ABOVE_AC_V if is_ac else HV_ABOVE_DC_V).value:
        return VoltageClass.A
    top = (CLASS_B_TOP_AC_V if is_ac else CLASS_B_TOP_DC_V).value
    return VoltageClass.B if voltage_v <= top else VoltageClass.BEYOND_B


def is_high_voltage(voltage_v: float | None, current: Current = Current.DC) -> bool:
    """Tell whether a voltage lies above class A; one that nobody knows does."""
    return voltage_class(voltage_v, current) > VoltageClass.A


def reaches_total_loss(
    *, repair: Decimal, salvage: Decimal, value: Decimal, equality_counts: bool = True
) -> bool:
    """Tell whether repair and salvage together reach the value before the loss.

    The formula of insurance practice; which rule holds is the law of the place and the policy, and
    sources differ on equality, so both are asked of the shop. FactsError for no amount of money.
    """
    for what, amount in (("repair", repair), ("salvage", salvage), ("value", value)):
        if not amount.is_finite() or amount < 0:
            raise FactsError(f"The {what} must be an amount of money, got {amount}.")
    total = repair + salvage
    return total >= value if equality_counts else total > value

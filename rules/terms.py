"""The words of a triage: ids, levels, flags and errors. Worse values compare as such."""

from enum import IntEnum, StrEnum
from typing import NewType

ComponentId = NewType("ComponentId", str)
DamageId = NewType("DamageId", str)
ZoneId = NewType("ZoneId", str)
RuleId = NewType("RuleId", str)
ActionId = NewType("ActionId", str)
OpenTestId = NewType("OpenTestId", str)
SourceId = NewType("SourceId", str)

UNIDENTIFIED_COMPONENT = ComponentId("unidentified_component")
UNIDENTIFIED_DAMAGE = DamageId("unidentified_damage")

# Outstanding by itself wherever a result was judged without the maker's criterion.
MAKER_CRITERION = OpenTestId("maker_criterion")

# Class B ends here (UN R100, from memory); a road car above it is a typing error.
MAX_SYSTEM_VOLTAGE_V = 1500.0


class RulebookError(Exception):
    """The rule book on disk cannot be used; the text names table, row and field."""


class FactsError(ValueError):
    """Facts that cannot be true, such as a negative length; the text is fit to be shown."""


class Consequence(IntEnum):
    """Severity category of MIL-STD-882E table I. A lower number is worse."""

    CATASTROPHIC = 1
    CRITICAL = 2
    MARGINAL = 3
    NEGLIGIBLE = 4


class Likelihood(StrEnum):
    """Probability level of MIL-STD-882E table II. A comes first and is worst."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"
    F = "F"


class Risk(IntEnum):
    """Risk level of MIL-STD-882E table III; ordered so that the worst is ``max()``."""

    ELIMINATED = 0
    LOW = 1
    MEDIUM = 2
    SERIOUS = 3
    HIGH = 4


class HvFlag(IntEnum):
    """How close a finding is to high voltage; ordered so that the worst is ``max()``."""

    NONE = 0
    WITHIN_REACH = 1
    AT_HV = 2


class SignalWord(IntEnum):
    """Signal words as ANSI Z535.4 defines them; ordered so that the worst is ``max()``."""

    NOTICE = 0
    CAUTION = 1
    WARNING = 2
    DANGER = 3


class Disposition(IntEnum):
    """What the part itself needs; ordered so that the most work is ``max()``."""

    MONITOR = 0
    CLEAN_AND_PROTECT = 1
    REPAIR = 2
    TEST_FIRST = 3
    REPLACE = 4


class Quarantine(IntEnum):
    """How far the car is kept away; ordered so that the strictest is ``max()``."""

    NOT_ASKED = 0
    HOLD_OUTSIDE = 1
    KEEP_APART = 2
    EMERGENCY = 3


class TransportClass(IntEnum):
    """How the battery may be carried (ADR special provision 376); the strictest is ``max()``."""

    EXPERT_DECIDES = 0
    DAMAGED_OR_DEFECTIVE = 1
    CRITICAL = 2


class Role(StrEnum):
    """What a component is there for."""

    HIGH_VOLTAGE = "high_voltage"
    CONTAINMENT = "containment"
    STRUCTURAL = "structural"
    PROTECTIVE = "protective"
    CONTROL = "control"
    COMFORT = "comfort"
    UNKNOWN = "unknown"


class Powertrain(StrEnum):
    """Kind of drive; decides which fluids and voltages are to be expected."""

    BATTERY_ELECTRIC = "battery electric"
    PLUG_IN_HYBRID = "plug-in hybrid"
    HYBRID = "hybrid"
    MILD_HYBRID_48V = "48 V mild hybrid"
    UNKNOWN = "unknown"


class Side(StrEnum):
    """Side of the car as its driver sees it."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Basis(StrEnum):
    """What a rule rests on."""

    REGULATION = "regulation"
    STANDARD = "standard"
    COMMON_PRACTICE = "common practice"
    JUDGEMENT = "judgement"


class Origin(StrEnum):
    """Who wrote a row: our book, or the shop's own rules (its overlay)."""

    BOOK = "rule book"
    SHOP = "shop's rules"


class SourceStatus(StrEnum):
    """How far a cited value was checked (shared with ``facts``); printed beside the value."""

    READ = "read"
    READ_IN_A_COPY = "read in a copy"
    COMPUTED = "computed"
    MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"


def in_words(name: str) -> str:
    """Return the name of a sign as it is said, such as ``rising temperature``."""
    return name.replace("_", " ")

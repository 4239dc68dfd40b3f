"""Isolation resistance of one island: the arithmetic of two methods, and nothing beyond it.

It is an outstanding test by the maker's procedure and a qualified person, never a step of making
safe: the two-voltage method needs a live bus, and an insulation tester stresses a damaged one.
Sources: UN R100 rev 2, annex 1.2.3 (read in a copy); 49 CFR 571.305 S7.6.6-7 (from memory).
"""

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from rules.published import ISOLATION_COMBINED_OHM_PER_V, ISOLATION_DC_OHM_PER_V, Published
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.vehicle import checked_text

# How far V1 + V2 may be from Vb before the readings are refused. Judgement: meter classes and a
# bus that moves a little between readings; the published methods give no figure.
MAX_MISMATCH_FRAC = 0.05


class IsolationMethod(StrEnum):
    """How isolation was measured."""

    TWO_VOLTAGES = "two voltages and a known resistor"
    TESTER = "insulation tester"


class IsolationVerdict(StrEnum):
    """All that the arithmetic can say."""

    BELOW = "below the reference"
    NOT_BELOW = "not below the reference; compare the maker's value"


class CurrentSystem(StrEnum):
    """What the island carries, which decides the reference. Not known counts as the higher one."""

    DC_ONLY = "DC only"
    CONNECTED = "AC, or AC and DC that are connected"
    UNKNOWN = "not known"

    @property
    def reference(self) -> Published:
        if self is CurrentSystem.DC_ONLY:
            return ISOLATION_DC_OHM_PER_V
        return ISOLATION_COMBINED_OHM_PER_V


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoVoltages:
    """Readings of the two-voltage method in V, the resistor in ohm.

    ``v1`` is negative to chassis, ``v2`` positive to chassis. The resistor goes to the side with
    the larger reading, and ``v_prime`` is that side read again with it.
    Raises InvalidInputError where the readings cannot belong together.
    """

    vb: float
    v1: float
    v2: float
    resistor_ohm: float
    v_prime: float

    def __post_init__(self) -> None:
        if any(not isfinite(given) or given <= 0 for given in self._given):
            raise InvalidInputError(
                "Every voltage and the resistor must be above zero; a reading of zero means that "
                "the meter, a probe or the bus is not as the method needs it."
            )
        if self.v_prime >= self.larger:
            raise InvalidInputError(
                f"With the resistor the reading must fall: {self.v_prime:g} V is not below "
                f"{self.larger:g} V. Was the resistor on the {self.side} side?"
            )
        if abs(self.v1 + self.v2 - self.vb) > MAX_MISMATCH_FRAC * self.vb:
            raise InvalidInputError(
                f"V1 and V2 make {self.v1 + self.v2:g} V and not the {self.vb:g} V between the "
                "poles; read all three again, with a meter of at least 10 Mohm."
            )

    @property
    def _given(self) -> tuple[float, ...]:
        return (self.vb, self.v1, self.v2, self.resistor_ohm, self.v_prime)

    @property
    def side(self) -> str:
        """The side that the resistor goes to: the one with the larger reading."""
        return "negative" if self.v1 >= self.v2 else "positive"

    @property
    def larger(self) -> float:
        return max(self.v1, self.v2)

    @property
    def resistance_ohm(self) -> float:
        """Resistance of the weaker side to chassis by the form of UN R100, in ohm."""
        return self.resistor_ohm * self.vb * (1 / self.v_prime - 1 / self.larger)

    @property
    def resistance_305_ohm(self) -> float:
        """The same by the form of 49 CFR 571.305; the two agree when Vb = V1 + V2, in ohm."""
        smaller = min(self.v1, self.v2)
        ratio = 1 + smaller / self.larger
        return self.resistor_ohm * ratio * (self.larger - self.v_prime) / self.v_prime

    @property
    def calculation(self) -> tuple[str, str]:
        """Both forms with their numbers, to be followed by hand."""
        r, p, big = _plain(self.resistor_ohm), _plain(self.v_prime), _plain(self.larger)
        small = _plain(min(self.v1, self.v2))
        return (
            f"Ri = {r} x {_plain(self.vb)} x (1/{p} - 1/{big}) = {_plain(self.resistance_ohm)} ohm "
            "(UN R100)",
            f"Ri = {r} x (1 + {small}/{big}) x (({big} - {p})/{p}) = "
            f"{_plain(self.resistance_305_ohm)} ohm (49 CFR 571.305)",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class IsolationMeasurement:
    """Isolation of one island as measured by a qualified person with the maker's procedure.

    Either ``two_voltages``, or what an insulation tester showed: the resistance of each pole to
    chassis in ohm, at ``test_v``. ``working_v`` is the nominal voltage that both are divided by.
    """

    island: str
    working_v: float
    system: CurrentSystem = CurrentSystem.UNKNOWN
    two_voltages: TwoVoltages | None = None
    positive_ohm: float | None = None
    negative_ohm: float | None = None
    test_v: float | None = None
    instrument: str
    procedure: str

    def __post_init__(self) -> None:
        for name in ("island", "instrument", "procedure"):
            kept = checked_text(getattr(self, name), f"The {name}")
            object.__setattr__(self, name, kept)
            if not kept:
                raise InvalidInputError(f"Say which {name}; the maker's procedure comes first.")
        if not (isfinite(self.working_v) and 0 < self.working_v <= 1500):
            raise InvalidInputError("The working voltage must be above 0 and at most 1500 V.")
        tester = (self.positive_ohm, self.negative_ohm, self.test_v)
        if (self.two_voltages is None) == all(given is None for given in tester):
            raise InvalidInputError(
                "Give the readings of one method: two voltages, or what the tester showed."
            )
        if self.two_voltages is None:
            self._check_tester(tester)

    def _check_tester(self, given: tuple[float | None, ...]) -> None:
        if any(each is None or not isfinite(each) or each < 0 for each in given):
            raise InvalidInputError(
                "Give the resistance of both poles to chassis in ohm, and the test voltage."
            )
        if not self.test_v or self.test_v < self.working_v:
            raise InvalidInputError(
                f"A test at less than the working voltage of {self.working_v:g} V says nothing of "
                "what happens at it."
            )

    @property
    def method(self) -> IsolationMethod:
        return IsolationMethod.TWO_VOLTAGES if self.two_voltages else IsolationMethod.TESTER

    @property
    def resistance_ohm(self) -> float:
        """The lower of what the methods give, in ohm."""
        if self.two_voltages is not None:
            return min(self.two_voltages.resistance_ohm, self.two_voltages.resistance_305_ohm)
        return min(self.positive_ohm or 0.0, self.negative_ohm or 0.0)

    @property
    def ohm_per_v(self) -> float:
        return self.resistance_ohm / self.working_v

    @property
    def verdict(self) -> IsolationVerdict:
        """Below the reference or not; never more than that."""
        # A rounding error in the last digits must not decide at the very limit.
        if self.ohm_per_v < self.system.reference.value * (1 - 1e-9):
            return IsolationVerdict.BELOW
        return IsolationVerdict.NOT_BELOW

    @property
    def calculation(self) -> tuple[str, ...]:
        """How the result comes about, with its numbers."""
        if self.two_voltages is not None:
            lines: tuple[str, ...] = self.two_voltages.calculation
        else:
            lines = (
                f"positive {_plain(self.positive_ohm or 0.0)} ohm, negative "
                f"{_plain(self.negative_ohm or 0.0)} ohm at {self.test_v:g} V; the lower counts",
            )
        return (
            *lines,
            f"{_plain(self.resistance_ohm)} ohm / {_plain(self.working_v)} V = "
            f"{self.ohm_per_v:.5g} ohm/V",
        )


def _plain(value: float) -> str:
    """Return six significant digits without a power of ten: millions of ohm are read aloud."""
    return f"{float(f'{value:.6g}'):.12g}"

"""Proof that the book is complete: every part, damage, zone and distance class has an outcome."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from rules.model import Component
from rules.proofs.setting import FAR_MM, HIGH_V, LIMITED_MM, RESTRICTED_MM, Setting, seen_in
from rules.proofs.verdict import Verdict, verdict
from rules.rulebook import Rulebook
from rules.terms import ComponentId, HvFlag, Risk, ZoneId

_K = TypeVar("_K")

# How far the finding is from high voltage, as it may have been measured.
DISTANCE_CLASSES: Mapping[str, Setting] = {
    "not measured": {},
    "measured, covers on": {
        "distance_to_hv_mm": FAR_MM,
        "distance_uncertainty_mm": 0.0,
        "covers_off": False,
    },
    "within 0.3 m": {
        "distance_to_hv_mm": RESTRICTED_MM,
        "distance_uncertainty_mm": 0.0,
        "covers_off": True,
    },
    "within 1.0 m": {
        "distance_to_hv_mm": LIMITED_MM,
        "distance_uncertainty_mm": 0.0,
        "covers_off": True,
    },
    "beyond": {
        "distance_to_hv_mm": FAR_MM,
        "distance_uncertainty_mm": 0.0,
        "covers_off": True,
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageRow:
    """One part over every damage, zone and distance class: how many cells, and their outcomes.

    Sizes, conductor and covers are left unknown, so the shares are those of the worst case.
    """

    component: str
    cells: int
    uncovered: int
    risks: Mapping[Risk, int]
    flags: Mapping[HvFlag, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """Of the findings that one may meet on a demo-like car, how many carry which HV flag."""

    name: str
    findings: int
    flags: Mapping[HvFlag, int]

    def percent(self, flag: HvFlag) -> float:
        return 100 * self.flags.get(flag, 0) / self.findings if self.findings else 0.0


def coverage(book: Rulebook) -> tuple[CoverageRow, ...]:
    """Return one row for each part of the book."""
    return tuple(_row(book, component) for component in book.components.values())


def hv_shares(book: Rulebook) -> tuple[Share, ...]:
    """Return, for each distance class, the HV flags over every damage to parts in their zones."""
    return tuple(_share(book, name, distance) for name, distance in DISTANCE_CLASSES.items())


def _row(book: Rulebook, component: Component) -> CoverageRow:
    verdicts = Counter[Verdict]()
    for distance in DISTANCE_CLASSES.values():
        verdicts += _verdicts(book, component.id, (None, *book.zones), distance)
    return CoverageRow(
        component=component.label,
        cells=verdicts.total(),
        uncovered=sum(count for one, count in verdicts.items() if not one.is_asked),
        risks=_counted((one.risk, count) for one, count in verdicts.items()),
        flags=_counted((one.hv_flag, count) for one, count in verdicts.items()),
    )


def _share(book: Rulebook, name: str, distance: Setting) -> Share:
    verdicts = Counter[Verdict]()
    for component in book.components.values():
        verdicts += _verdicts(book, component.id, component.zones, distance)
    flags = _counted((one.hv_flag, count) for one, count in verdicts.items())
    return Share(name=name, findings=verdicts.total(), flags=flags)


def _verdicts(
    book: Rulebook,
    component: ComponentId,
    zones: Iterable[ZoneId | None],
    distance: Setting,
) -> Counter[Verdict]:
    """Judge every damage in every zone; zones that are alike to the rules are judged once."""
    verdicts = Counter[Verdict]()
    for zone, alike in _alike(book, zones).items():
        setting = {**distance, "zone": zone, "system_voltage_v": HIGH_V}
        for damage in book.damage_types:
            verdicts[verdict(seen_in(book, (component, damage), setting), book)] += alike
    return verdicts


def _alike(book: Rulebook, zones: Iterable[ZoneId | None]) -> dict[ZoneId | None, int]:
    """Return one zone of each kind with the number of its kind; rules know no more of a zone."""
    kinds: dict[tuple[bool, ...] | None, ZoneId | None] = {}
    counts: Counter[ZoneId | None] = Counter()
    for zone_id in zones:
        kind = None if zone_id is None else _kind(book, zone_id)
        counts[kinds.setdefault(kind, zone_id)] += 1
    return dict(counts)


def zone_kinds(book: Rulebook) -> tuple[ZoneId | None, ...]:
    """Return "not said" and one zone of each kind that the rules can tell apart."""
    return tuple(_alike(book, (None, *book.zones)))


def _kind(book: Rulebook, zone_id: ZoneId) -> tuple[bool, ...]:
    zone = book.zones[zone_id]
    near = any(book.zones[other].hv_runs_here for other in zone.adjacent)
    return zone.hv_runs_here, zone.battery_bolted_here, near


def _counted(parts: Iterable[tuple[_K, int]]) -> Counter[_K]:
    counted = Counter[_K]()
    for part, count in parts:
        counted[part] += count
    return counted

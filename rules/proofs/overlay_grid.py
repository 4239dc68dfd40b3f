"""The situations in which book and overlay are compared, and which rules fire in which of them.

Once part and damage have chosen the rules that speak, whether one fires hangs on the other facts
alone (``rules.condition``). So each rule is asked once for every situation, not once for each pair.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rules.condition import Check, unmeasured_if_met
from rules.proofs.coverage import DISTANCE_CLASSES
from rules.proofs.setting import LOW_V, Setting, plain_settings, seen_in
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.seen import Seen
from rules.terms import (
    MAX_SYSTEM_VOLTAGE_V,
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Powertrain,
    RuleId,
    ZoneId,
)

_JUST_LESS = 0.001
_SIZES = {"depth_mm_min": "depth_mm", "length_mm_min": "length_mm"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """Facts of a finding beyond part and damage, and what they are called."""

    name: str
    setting: Setting


@dataclass(frozen=True)
class Grid:
    """Every situation, as both books see it."""

    situations: tuple[Situation, ...]
    seen_before: tuple[Seen, ...]
    seen_after: tuple[Seen, ...]
    _before: dict[RuleId, int] = field(default_factory=dict)
    _after: dict[RuleId, int] = field(default_factory=dict)

    def alike(
        self, before: Sequence[Rule], after: Sequence[Rule]
    ) -> Iterator[tuple[Situation, list[Rule], list[Rule]]]:
        """Yield one situation of each kind, with what fires in it before and after.

        Situations are of one kind when the same rules fire in them, in both books.
        """
        masks = [(rule, self._mask(rule, self._before, self.seen_before)) for rule in before]
        more = [(rule, self._mask(rule, self._after, self.seen_after)) for rule in after]
        groups = [(1 << len(self.situations)) - 1]
        for mask in {mask for _, mask in (*masks, *more)}:
            groups = [part for group in groups for part in (group & mask, group & ~mask) if part]
        for group in groups:
            first = group & -group
            yield (
                self.situations[first.bit_length() - 1],
                [rule for rule, mask in masks if mask & first],
                [rule for rule, mask in more if mask & first],
            )

    def _mask(self, rule: Rule, known: dict[RuleId, int], seen: Sequence[Seen]) -> int:
        """Return the situations in which a rule fires, as the bits of a number."""
        if rule.id not in known:
            known[rule.id] = sum(
                1 << number
                for number, one in enumerate(seen)
                if unmeasured_if_met(rule.checks, one) is not None
            )
        return known[rule.id]


def grid(ours: Rulebook, both: Rulebook) -> Grid:
    """Return all zones of a kind x distance classes x settings, at every limit of either book."""
    checks = [check for rule in both.rules.values() for check in rule.checks]
    situations = tuple(
        Situation(
            name=f"zone {zone or 'not given'}, HV {name}, {named}",
            setting={**setting, **distance, "zone": zone},
        )
        for zone in _zones(both)
        for name, distance in _distances(checks).items()
        for named, setting in _settings(both, checks)
    )
    nobody = (UNIDENTIFIED_COMPONENT, UNIDENTIFIED_DAMAGE)
    return Grid(
        situations,
        tuple(seen_in(ours, nobody, one.setting) for one in situations),
        tuple(seen_in(both, nobody, one.setting) for one in situations),
    )


def moved_zones(both: Rulebook) -> frozenset[str]:
    """Return the zones in which the shop says that high voltage runs too."""
    changes = () if both.overlay is None else both.overlay.changes
    return frozenset(change.row for change in changes) & frozenset(both.zones)


def _zones(both: Rulebook) -> list[ZoneId | None]:
    """Return no zone, and one of each kind; a zone that the shop moved is a kind of its own."""
    moved = moved_zones(both)
    kinds = {
        (
            zone.hv_runs_here,
            any(both.zones[other].hv_runs_here for other in zone.adjacent),
            zone.id in moved,
            bool(moved.intersection(zone.adjacent)),
        ): zone.id
        for zone in both.zones.values()
    }
    return [None, *kinds.values()]


def _distances(checks: Sequence[Check]) -> Mapping[str, Setting]:
    limits = sorted({check.limit for check in checks if check.key == "hv_within_mm"})
    at_limits: dict[str, Setting] = {
        f"{limit:g} mm away": {
            "distance_to_hv_mm": limit,
            "distance_uncertainty_mm": 0.0,
            "covers_off": True,
        }
        for limit in limits
    }
    return {**DISTANCE_CLASSES, **at_limits}


def _settings(both: Rulebook, checks: Sequence[Check]) -> list[tuple[str, Setting]]:
    """Return everything unknown and everything mild, each as it is and with one fact changed."""
    unknown, mild = plain_settings(both)
    changes: dict[str, Setting] = {
        "": {},
        "48 V": {"system_voltage_v": LOW_V, "powertrain": Powertrain.MILD_HYBRID_48V},
        "conductor in sight": {"hv_conductor_visible": True},
        "no conductor in sight": {"hv_conductor_visible": False},
        "orange near by": {"near_orange_area": True},
        "an end hangs free": {"hangs_free": True},
        "no end hangs free": {"hangs_free": False},
    }
    for key, fact in _SIZES.items():
        for limit in sorted({check.limit for check in checks if check.key == key}):
            for size in (limit, max(0.0, limit - _JUST_LESS)):
                changes[f"{fact} {size:g}"] = {fact: size}
    for limit in sorted({check.limit for check in checks if check.key == "voltage_v_over"}):
        above = min(limit + 1, MAX_SYSTEM_VOLTAGE_V)
        changes[f"{above:g} V"] = {"system_voltage_v": above}
    return [
        (", ".join(filter(None, (base, name))), {**setting, **change})
        for base, setting in (("nothing measured", unknown), ("everything mild", mild))
        for name, change in changes.items()
    ]

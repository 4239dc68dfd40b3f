"""Proof that a shop's overlay lowers nothing: book and book with overlay, cell by cell.

Pairs for which the same rules speak in both are judged alike, so each kind of pair is compared
once, in every zone, distance class and setting. Beyond outcomes, no action and no test that the
book asks for may be lost, and no combination may stop to fire.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rules.condition import Check
from rules.proofs.coverage import DISTANCE_CLASSES
from rules.proofs.overlay_examples import idle_rules
from rules.proofs.setting import LOW_V, Pair, Setting, plain_settings, seen_in
from rules.proofs.steps import Proof, prove_damage, prove_steps
from rules.proofs.verdict import Verdict, fired_in, verdict_of_fired
from rules.proofs.wiring import wiring_faults
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import Origin, ZoneId

_JUST_LESS = 0.001
_SIZES = {"depth_mm_min": "depth_mm", "length_mm_min": "length_mm"}


def overlay_faults(ours: Rulebook, both: Rulebook) -> tuple[str, ...]:
    """Return one sentence for each fault of the overlay over ``ours``, with its file and row.

    First what it would lower, then the laws that hold for any book.
    """
    file = "" if both.overlay is None else both.overlay.file
    book_faults = (
        *prove_overlay(ours, both, whole=False).faults,
        *wiring_faults(both),
        *idle_rules(both),
        *prove_steps(both).faults,
        *prove_damage(both).faults,
    )
    return tuple(f"{file}, {fault}" for fault in book_faults)


def prove_overlay(ours: Rulebook, both: Rulebook, *, whole: bool = True) -> Proof:
    """Compare every pair of ours, and every word of the shop with the one that it is like.

    Not ``whole`` leaves out the pairs for which the very same rows and words speak in both.
    """
    judgements = steps = 0
    faults: list[str] = []
    same_map = ours.zones == both.zones
    for kind in _kinds(ours, both):
        if not whole and same_map and kind.is_the_same:
            continue
        cells = _cells(both, kind)
        judgements += 2 * len(cells)
        steps += len(cells) * len(kind.pairs)
        faults += _lowered(ours, both, kind, cells)
        faults += _lost_combinations(kind)
    return Proof(judgements=judgements, steps=steps, faults=tuple(dict.fromkeys(faults)))


@dataclass(frozen=True)
class _Kind:
    """Pairs alike to the rules: the book judges ``milder``, the book with overlay ``worse``."""

    pairs: tuple[tuple[Pair, Pair], ...]
    before: tuple[Rule, ...]
    after: tuple[Rule, ...]
    beside_before: frozenset[tuple[str, str]]
    beside_after: frozenset[tuple[str, str]]
    touched: tuple[str, ...]

    @property
    def is_the_same(self) -> bool:
        return (
            self.before == self.after
            and self.beside_before == self.beside_after
            and not self.touched
        )

    @cached_property
    def checks(self) -> list[Check]:
        return [check for rule in (*self.before, *self.after) for check in rule.checks]


def _kinds(ours: Rulebook, both: Rulebook) -> Iterable[_Kind]:
    kinds: dict[object, _Kind] = {}
    for milder, worse in _compared(both):
        before = tuple(one.rule for one in ours.pairs[milder].alone)
        after = tuple(one.rule for one in both.pairs[worse].alone)
        beside = _combinations(ours, milder), _combinations(both, worse)
        touched = _touched(ours, both, milder, worse)
        key = (tuple(r.id for r in before), tuple(r.id for r in after), *beside, touched)
        pairs = (*kinds[key].pairs, (milder, worse)) if key in kinds else ((milder, worse),)
        kinds[key] = _Kind(pairs, before, after, *beside, touched)
    return kinds.values()


def _compared(both: Rulebook) -> Iterator[tuple[Pair, Pair]]:
    """Yield each pair of the book with overlay beside the pair of ours that it must cover."""
    for component, damage in both.pairs:
        part, harm = both.components[component], both.damage_types[damage]
        yield (part.like or part.id, harm.like or harm.id), (component, damage)


def _combinations(book: Rulebook, pair: Pair) -> frozenset[tuple[str, str]]:
    of_pair = book.pairs[pair]
    part, harm = book.components[pair[0]], book.damage_types[pair[1]]
    because = {("because", rule.id) for rule in of_pair.because_of_another}
    upon = {("upon", rule.id) for rule in of_pair.upon_another}
    asked = {rule.id: rule.finding for rule in book.quarantine_rules.values()}
    asked |= {rule.id: rule.finding for rule in book.transport_rules.values()}
    of_car = {
        ("of the car", rule_id)
        for rule_id, finding in asked.items()
        if finding and finding.may_be_part(part) and finding.may_be_damage(harm)
    }
    return frozenset(because | upon | of_car)


def _touched(ours: Rulebook, both: Rulebook, milder: Pair, worse: Pair) -> tuple[str, ...]:
    """Return the rows of the shop that changed the words of this pair."""
    part = both.components[worse[0]]
    moved = part.hv_runs_behind is not ours.components[milder[0]].hv_runs_behind
    return tuple(
        word
        for word, is_shops in (
            (worse[0], moved or part.origin is Origin.SHOP),
            (worse[1], both.damage_types[worse[1]].origin is Origin.SHOP),
        )
        if is_shops
    )


def _cells(both: Rulebook, kind: _Kind) -> list[tuple[str, Setting]]:
    """Return every zone kind, distance class and setting, each with its name."""
    return [
        (f"zone {zone or 'not given'}, HV {name}, {named}", {**setting, **distance, "zone": zone})
        for zone in _zones(both)
        for name, distance in _distances(kind.checks).items()
        for named, setting in _settings(both, kind.checks)
    ]


def _zones(both: Rulebook) -> list[ZoneId | None]:
    """Return no zone, and one of each kind; a zone that the shop moved is a kind of its own."""
    moved = _moved_zones(both)
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


def _moved_zones(both: Rulebook) -> frozenset[str]:
    changes = () if both.overlay is None else both.overlay.changes
    return frozenset(change.row for change in changes) & frozenset(both.zones)


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
    unknown, mild = plain_settings(both)
    named: list[tuple[str, Setting]] = [
        ("nothing measured", unknown),
        ("everything mild", mild),
        ("48 V and mild", {**mild, "system_voltage_v": LOW_V}),
        ("48 V and nothing measured", {**unknown, "system_voltage_v": LOW_V}),
        ("conductor in sight", {**mild, "hv_conductor_visible": True}),
        ("orange near by", {**mild, "near_orange_area": True}),
        ("an end hangs free", {**mild, "hangs_free": True}),
    ]
    for key, fact in _SIZES.items():
        for limit in sorted({check.limit for check in checks if check.key == key}):
            sizes = (limit, max(0.0, limit - _JUST_LESS))
            named += [(f"{fact} {size:g}", {**mild, fact: size}) for size in sizes]
    return named


def _lowered(
    ours: Rulebook, both: Rulebook, kind: _Kind, cells: Sequence[tuple[str, Setting]]
) -> Iterator[str]:
    milder, worse = kind.pairs[0]
    for name, setting in cells:
        before = fired_in(kind.before, seen_in(ours, milder, setting))
        after = fired_in(kind.after, seen_in(both, worse, setting))
        less = _less(before, after, ours, both)
        if less:
            rows = _blamed(before, after, kind, setting, both)
            yield f"{rows}: would lower {'/'.join(worse)} ({name}): {less}."
            return


def _less(before: Sequence[Rule], after: Sequence[Rule], ours: Rulebook, both: Rulebook) -> str:
    """Say what is less than in the book alone; nothing if nothing is."""
    low, high = verdict_of_fired(before, ours), verdict_of_fired(after, both)
    if low.is_asked and not high.is_asked:
        return "no row would say what it is"
    if not high.covers(low):
        return f"{_words(low)} would become {_words(high)}"
    lost = (_actions(before, low, ours) | _tests(before)) - (
        _actions(after, high, both) | _tests(after)
    )
    return f"{', '.join(sorted(lost))} would no longer be asked for" if lost else ""


def _actions(fired: Iterable[Rule], found: Verdict, book: Rulebook) -> frozenset[str]:
    asked = frozenset(action for rule in fired for action in rule.then.actions)
    return asked | book.safing_actions[found.hv_flag]


def _tests(fired: Iterable[Rule]) -> frozenset[str]:
    return frozenset(test for rule in fired for test in rule.then.tests)


def _blamed(
    before: Sequence[Rule], after: Sequence[Rule], kind: _Kind, setting: Setting, both: Rulebook
) -> str:
    """Return the shop's rows that made the difference."""
    known = {rule.id for rule in before}
    rows = [rule.id for rule in after if rule.id not in known and rule.origin is Origin.SHOP]
    zone = setting.get("zone")
    moved = [str(zone)] if zone in _moved_zones(both) else []
    return ", ".join([*rows, *kind.touched, *moved]) or "overlay"


def _words(found: Verdict) -> str:
    levels = (found.risk, found.hv_flag, found.signal_word, found.disposition)
    names = ", ".join(level.name.lower().replace("_", " ") for level in levels)
    return f"{found.consequence.name.lower()} {found.likelihood.value} ({names})"


def _lost_combinations(kind: _Kind) -> Iterator[str]:
    for _, rule_id in sorted(kind.beside_before - kind.beside_after):
        rows = ", ".join(kind.touched) or "overlay"
        worse = "/".join(kind.pairs[0][1])
        yield f"{rows}: the rule {rule_id} would no longer see {worse}."

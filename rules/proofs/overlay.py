"""Proof that a shop's overlay lowers nothing: book and book with overlay, cell by cell.

Pairs for which the same rules speak in both are judged alike, so each kind of pair is compared
once; and so is each kind of situation (zone, distance class, setting) to these rules. Beyond
outcomes, no action and no test that the book asks for may be lost, and no combination may stop to
fire.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rules.proofs.evidence import evidence_faults
from rules.proofs.evidence_examples import evidence_example_faults
from rules.proofs.overlay_examples import idle_rules
from rules.proofs.overlay_grid import Situation, grid, moved_zones
from rules.proofs.setting import Pair
from rules.proofs.steps import Proof, prove_damage, prove_steps
from rules.proofs.verdict import Verdict, verdict_of_fired
from rules.proofs.wiring import wiring_faults
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import Origin


def overlay_faults(ours: Rulebook, both: Rulebook) -> tuple[str, ...]:
    """Return one sentence for each fault of the overlay over ``ours``, with its file and row.

    First what it would lower, then the laws that hold for any book.
    """
    file = "" if both.overlay is None else both.overlay.file
    book_faults = (
        *prove_overlay(ours, both).faults,
        *wiring_faults(both),
        *idle_rules(both),
        *evidence_faults(both),
        *evidence_example_faults(both),
        *prove_steps(both).faults,
        *prove_damage(both).faults,
    )
    return tuple(f"{file}, {fault}" for fault in book_faults)


def prove_overlay(ours: Rulebook, both: Rulebook) -> Proof:
    """Compare every pair of ours, and every word of the shop with the one that it is like."""
    judgements = steps = 0
    faults: list[str] = []
    situations = grid(ours, both)
    for kind in _kinds(ours, both):
        compared = list(situations.alike(kind.before, kind.after))
        judgements += 2 * len(compared)
        steps += len(situations.situations) * len(kind.pairs)
        faults += _lowered(ours, both, kind, compared)
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


def _lowered(
    ours: Rulebook,
    both: Rulebook,
    kind: _Kind,
    compared: Iterable[tuple[Situation, list[Rule], list[Rule]]],
) -> Iterator[str]:
    for situation, before, after in compared:
        less = _less(before, after, ours, both)
        if less:
            rows = _blamed(before, after, kind, situation, both)
            pair = "/".join(kind.pairs[0][1])
            yield f"{rows}: would lower {pair} ({situation.name}): {less}."
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
    before: Sequence[Rule],
    after: Sequence[Rule],
    kind: _Kind,
    situation: Situation,
    both: Rulebook,
) -> str:
    """Return the shop's rows that made the difference."""
    known = {rule.id for rule in before}
    rows = [rule.id for rule in after if rule.id not in known and rule.origin is Origin.SHOP]
    zone = situation.setting.get("zone")
    moved = [str(zone)] if zone in moved_zones(both) else []
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

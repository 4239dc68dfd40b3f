"""Proof that nothing lowers: the order of each fact is written down, and every single step tested.

The worst of all rules counts, so rules that a step does not touch add the same to both sides. It is
therefore enough to compare, for each step, the rules that ask for its fact, in every setting of the
other facts that those rules ask for; and once for pairs that have the same such rules.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from rules.proofs.setting import (
    FAR_MM,
    LOW_V,
    Order,
    Pair,
    Setting,
    Value,
    facts_of,
    orders,
    plain_settings,
    seen_in,
)
from rules.proofs.verdict import Verdict, verdict, verdict_of
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    DamageId,
    HvFlag,
    Powertrain,
    ZoneId,
)

Table = Mapping[tuple[Value, ...], Verdict]

# From milder to worse, for the same part: each later damage is at least as bad in every respect.
DAMAGE_CHAINS = (
    ("scrape", "gouge", "puncture"),
    ("dent", "puncture"),
    ("deformation", "fracture"),
    ("crack", "fracture", "severed"),
    ("chafed", "severed"),
    ("pinched", "severed"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """How many judgements and steps were compared, and which steps lowered something."""

    judgements: int
    steps: int
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One fact going from one value to the next worse one."""

    name: str
    milder: Value
    worse: Value


def prove_steps(book: Rulebook) -> Proof:
    """Compare every single step of every fact, for every kind of pair of part and damage."""
    judgements = steps = 0
    faults: list[str] = []
    for (name, rules), pair in _kinds(book).items():
        order = orders(book, [check for rule in rules for check in rule.checks])
        table = _judge_all(book, pair, order, rules)
        judgements += len(table)
        for step, low, high, setting in _single_steps(name, order, table):
            steps += 1
            if not high.covers(low) and not _is_excepted(step, setting, low, high, book):
                faults.append(_fault(pair, step, setting))
    return Proof(judgements=judgements, steps=steps, faults=tuple(faults))


def prove_damage(book: Rulebook) -> Proof:
    """Compare worse damage with milder, and what nobody identified with everything known."""
    judgements = steps = 0
    faults: list[str] = []
    for setting in plain_settings(book):
        known = {pair: verdict(seen_in(book, pair, setting), book) for pair in book.pairs}
        judgements += len(known)
        for milder, worse, with_repair in _pairs_in_order(book):
            steps += 1
            low, high = known[milder], known[worse]
            if not (high.covers(low) if with_repair else high.hazard_covers(low)):
                faults.append(f"{'/'.join(worse)} is judged milder than {'/'.join(milder)}.")
    return Proof(judgements=judgements, steps=steps, faults=tuple(dict.fromkeys(faults)))


def _kinds(book: Rulebook) -> Mapping[tuple[str, tuple[Rule, ...]], Pair]:
    """Return, for each fact and each set of rules that ask for it together, one pair with them."""
    kinds: dict[tuple[str, tuple[Rule, ...]], Pair] = {}
    for pair, of_pair in book.pairs.items():
        rules = [candidate.rule for candidate in of_pair.alone]
        for name in facts_of([check for rule in rules for check in rule.checks]):
            asking = tuple(rule for rule in rules if name in facts_of(rule.checks))
            kinds.setdefault((name, asking), pair)
    return kinds


def _judge_all(
    book: Rulebook, pair: Pair, order: Mapping[str, Order], rules: Sequence[Rule]
) -> Table:
    return {
        key: verdict_of(rules, seen_in(book, pair, dict(zip(order, key, strict=True))), book)
        for key in product(*(one.values for one in order.values()))
    }


def _single_steps(
    name: str, order: Mapping[str, Order], table: Table
) -> Iterator[tuple[Step, Verdict, Verdict, Setting]]:
    """Yield every step of the fact, in every setting of the others, with both verdicts."""
    place = list(order).index(name)
    for milder, worse in order[name].steps:
        step = Step(name, milder, worse)
        for key, low in table.items():
            if key[place] is milder:
                high = table[(*key[:place], worse, *key[place + 1 :])]
                yield step, low, high, dict(zip(order, key, strict=True))


def _is_excepted(step: Step, setting: Setting, low: Verdict, high: Verdict, book: Rulebook) -> bool:
    """Tell whether the design leaves this step to the map of the car.

    A distance that nobody measured, or measured without saying how well, is near where high
    voltage runs. Elsewhere it is within reach, never less, and on a car recorded as 48 V it is
    nothing; there a short measured distance flags all the same, since somebody found an HV part.
    """
    if step.name not in {"distance_to_hv_mm", "distance_uncertainty_mm"} or step.worse is not None:
        return False
    drive = setting.get("powertrain")
    if setting.get("system_voltage_v") == LOW_V and drive is Powertrain.MILD_HYBRID_48V:
        return step.milder != FAR_MM
    zone = setting.get("zone")
    no_hv_here = zone is not None and not book.zones[ZoneId(str(zone))].hv_runs_here
    only_the_flag = replace(high, hv_flag=low.hv_flag).covers(low)
    return no_hv_here and only_the_flag and high.hv_flag >= HvFlag.WITHIN_REACH


def _fault(pair: Pair, step: Step, setting: Setting) -> str:
    rest = ", ".join(f"{fact}={value}" for fact, value in setting.items())
    return (
        f"{'/'.join(pair)}: {step.name} from {step.milder} to {step.worse} lowers the outcome "
        f"({rest})."
    )


def _pairs_in_order(book: Rulebook) -> Iterator[tuple[Pair, Pair, bool]]:
    """Yield milder pair, worse pair, and whether the repair must not be less either.

    What an unidentified part needs is to be identified first, so its repair is left out.
    """
    for component, damage in book.pairs:
        yield (component, damage), (UNIDENTIFIED_COMPONENT, damage), False
        yield (component, damage), (component, UNIDENTIFIED_DAMAGE), False
    for component in book.components:
        for names in DAMAGE_CHAINS:
            for milder, worse in pairwise(names):
                yield (component, DamageId(milder)), (component, DamageId(worse)), True

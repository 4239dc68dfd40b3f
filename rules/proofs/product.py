"""The full product: what every part and damage gives in every setting that the rows can tell apart.

A row tells two settings apart only at its limits and at what is known, so a few hundred settings
stand for all. The answer is kept as one digest for each part, compact enough to be read in review.
"""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import product as crossed

from rules.condition import unmeasured_if_met
from rules.proofs.coverage import DISTANCE_CLASSES, zone_kinds
from rules.proofs.setting import Pair, Setting, Value, plain_settings, seen_in
from rules.rule import Rule
from rules.rulebook import Rulebook
from rules.tally import Tally
from rules.terms import ComponentId, Powertrain

DIGEST_LETTERS = 12
# Just below, at and just above a limit: whoever moves one by a tenth is noticed.
_AROUND = (0.92, 1.0, 1.08)

Asked = tuple[object, ...]
Answers = tuple[Asked, ...]


class Product:
    """The settings of a book, and what rows ask for in each of them."""

    def __init__(self, book: Rulebook) -> None:
        self._book = book
        any_pair = next(iter(book.pairs))
        self._seen = tuple(seen_in(book, any_pair, setting) for setting in product_settings(book))
        self._asked: dict[tuple[Rule, ...], Answers] = {}
        self._places: dict[int, tuple[Rule, frozenset[int]]] = {}

    def answers(self, rules: Sequence[Rule]) -> Answers:
        """Return what these rules ask for together, setting by setting."""
        fires = [(rule, self._fires(rule)) for rule in rules]
        memo: dict[tuple[int, ...], Asked] = {}
        answers: list[Asked] = []
        for place in range(len(self._seen)):
            fired = tuple([number for number, (_, at) in enumerate(fires) if place in at])
            if fired not in memo:
                memo[fired] = asked_by([fires[number][0] for number in fired])
            answers.append(memo[fired])
        return tuple(answers)

    def of_pair(self, pair: Pair) -> Answers:
        """Return the answers of a pair as the book has it."""
        rules = tuple([candidate.rule for candidate in self._book.pairs[pair].alone])
        key = tuple(rules)
        if key not in self._asked:
            self._asked[key] = self.answers(rules)
        return self._asked[key]

    def _fires(self, rule: Rule) -> frozenset[int]:
        """Return the settings in which the rule fires on a pair that it takes."""
        held = self._places.get(id(rule))
        if held is None or held[0] is not rule:
            places = frozenset(
                place
                for place, seen in enumerate(self._seen)
                if unmeasured_if_met(rule.checks, seen) is not None
            )
            held = self._places[id(rule)] = (rule, places)
        return held[1]

    def digest(self, component: ComponentId) -> str:
        """Return the digest of one part over every damage and setting."""
        digest = hashlib.sha256()
        for damage in sorted(self._book.damage_types):
            digest.update(damage.encode())
            digest.update(self._of_answers[self.of_pair((component, damage))])
        return digest.hexdigest()[:DIGEST_LETTERS]

    @cached_property
    def _of_answers(self) -> "_Digests":
        return _Digests()

    @property
    def size(self) -> int:
        """How many answers the whole product holds."""
        return len(self._book.pairs) * len(self._seen)


class _Digests(dict[Answers, bytes]):
    """The digest of each list of answers, worked out once."""

    def __missing__(self, answers: Answers) -> bytes:
        self[answers] = hashlib.sha256(repr(answers).encode()).digest()
        return self[answers]


def asked_by(rules: Iterable[Rule]) -> Asked:
    """Return all that these rules ask for together, in a form that can be compared."""
    tally = Tally()
    for rule in rules:
        tally.add(rule.then)
    return (
        None if tally.consequence is None else int(tally.consequence),
        None if tally.likelihood is None else tally.likelihood.value,
        int(tally.hv_flag),
        None if tally.disposition is None else int(tally.disposition),
        int(tally.signal_word),
        tuple(sorted(tally.actions)),
        tuple(sorted(tally.tests)),
    )


def product_settings(book: Rulebook) -> tuple[Setting, ...]:
    """Return every zone kind x distance class x conductor, and each other fact by itself."""
    settings: list[Setting] = []
    for zone, distance, conductor in crossed(
        zone_kinds(book), DISTANCE_CLASSES.values(), (None, False)
    ):
        settings.append(
            {
                **distance,
                "zone": zone,
                "hv_conductor_visible": conductor,
                "system_voltage_v": 400.0,
                "depth_mm": 0.0 if conductor is False else None,
                "length_mm": 0.0 if conductor is False else None,
            }
        )
    for base in _bases(book):
        settings += [base, *[{**base, fact: value} for fact, value in _single_facts(book)]]
        settings += [{**base, "system_voltage_v": 48.0, "powertrain": Powertrain.MILD_HYBRID_48V}]
    return tuple(settings)


def _bases(book: Rulebook) -> Iterator[Setting]:
    unknown, mild = plain_settings(book)
    for zone in zone_kinds(book):
        yield {**unknown, "zone": zone}
        yield {**mild, "zone": zone}


def _single_facts(book: Rulebook) -> Iterator[tuple[str, Value]]:
    fact_of = {
        "depth_mm_min": "depth_mm",
        "length_mm_min": "length_mm",
        "hv_within_mm": "distance_to_hv_mm",
        "voltage_v_over": "system_voltage_v",
    }
    limits = {
        (fact_of[check.key], check.limit)
        for rule in book.rules.values()
        for check in rule.checks
        if check.key in fact_of
    }
    for fact, limit in sorted(limits):
        yield from ((fact, limit * factor) for factor in _AROUND)
    for fact in (*sorted(set(fact_of.values())), "distance_uncertainty_mm", "covers_off"):
        yield fact, None
    for fact in ("hv_conductor_visible", "on_impact_line", "hangs_free"):
        yield from ((fact, value) for value in (True, False, None))
    yield "near_orange_area", True

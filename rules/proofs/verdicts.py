"""Every verdict of the book in a form short enough to be kept beside it and read in review.

One line for each part, damage type, zone and text; whoever changes any answer, word or neighbour
sees which lines change. Print it with ``python -m rules verdicts``.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from rules.case_rule import CaseRule
from rules.condition import Selector
from rules.engine import assess
from rules.example import ExpectedCase
from rules.model import CaseFacts, Facts, VehicleFacts, Zone
from rules.proofs.product import DIGEST_LETTERS, Product
from rules.proofs.wiring import case_outcome_of
from rules.rule import Beside
from rules.rulebook import Rulebook
from rules.terms import ComponentId, DamageId, Quarantine, TransportClass, ZoneId


def verdict_lines(book: Rulebook) -> Iterator[str]:
    """Yield every line: answers of findings, words, reach of fluids, signs, rows about the car."""
    product = Product(book)
    yield f"# {product.size} answers: each part x damage x setting; digests of SHA-256"
    for part in book.components.values():
        yield f"answers {part.id} {product.digest(part.id)}"
    yield from word_lines(book)
    yield from car_lines(book)


def word_lines(book: Rulebook) -> Iterator[str]:
    """Yield a digest of each word, text and published value, and the matrix."""
    tables: Mapping[str, Mapping[Any, object]] = {  # Any: keys differ from table to table
        "part": book.components,
        "damage": book.damage_types,
        "zone": book.zones,
        "line": {line.id: line for line in book.vocabulary.travel_lines},
        "action": book.actions,
        "test": book.open_tests,
        "fact": book.facts,
        "source": book.sources,
        "likelihood": book.likelihoods,
        "signal word": book.signal_words,
    }
    for name, table in tables.items():
        for key, row in table.items():
            yield f"{name} {_plain(key)} {_digest(row)}"
    for consequence, meaning in book.consequences.items():
        cells = [risk.name for (one, _), risk in book.risk_matrix.items() if one is consequence]
        least = book.least_signal_word[consequence].name
        yield f"consequence {consequence.name} {_digest(meaning)} {' '.join(cells)} {least}"
    yield f"signal word at HV {book.hv_signal_word.name}"
    for flag, ids in book.safing_actions.items():
        yield f"safing {flag.name} {','.join(sorted(ids))}"


def car_lines(book: Rulebook) -> Iterator[str]:
    """Yield what findings do to each other, where fluid reaches, and what is said of the car."""
    for zone in book.zones.values():
        yield f"zone {zone.id} {_reach(book, zone)}"
    yield from together_lines(book)
    yield from _signs(book)
    yield from _cars(book)


def together_lines(book: Rulebook) -> Iterator[str]:
    """Yield, for each row about two findings, which pairs it takes and beside which."""
    for rule in book.rules.values():
        if rule.beside is not None:
            yield f"together {rule.id} {_pairs(book, rule.selector)} {_beside(book, rule.beside)}"


def _digest(value: object) -> str:
    return hashlib.sha256(repr(_plain(value)).encode()).hexdigest()[:DIGEST_LETTERS]


def _plain(value: object) -> object:
    """Return the value without anything that differs from run to run."""
    if isinstance(value, Enum):
        return value.name
    if is_dataclass(value):
        return [(field.name, _plain(getattr(value, field.name))) for field in fields(value)]
    if isinstance(value, frozenset):
        return sorted(map(str, value))
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value


def _reach(book: Rulebook, zone: Zone) -> str:
    """Return which zones fluid from here reaches, by asking for a leak beside HV in each."""
    reached = [other for other in book.zones if _leak_reaches(book, zone.id, other)]
    return f"reaches {','.join(reached)}"


def _leak_reaches(book: Rulebook, zone: ZoneId, other: ZoneId) -> bool:
    leak = _finding("1", "radiator", "leak", zone)
    plug = _finding("2", "hv_connector", "corrosion", other)
    facts = CaseFacts(vehicle=VehicleFacts(signs={}), findings=(leak, plug))
    found = assess(facts, book).of("1")
    return any("2" in reason.with_findings for reason in found.reasons)


def _finding(finding_id: str, component: str, damage: str, zone: ZoneId) -> Facts:
    return Facts(
        finding_id=finding_id,
        component=ComponentId(component),
        damage=DamageId(damage),
        zone=zone,
    )


def _pairs(book: Rulebook, selector: Selector) -> str:
    """Return how many pairs the selector takes, and their digest."""
    taken = [
        f"{part}/{damage}"
        for part, damage in book.pairs
        if selector.takes_part(book.components[part])
        and selector.takes_damage(book.damage_types[damage])
    ]
    return f"{len(taken)} {_digest(tuple(taken))}"


def _beside(book: Rulebook, beside: Beside) -> str:
    asked = [f"{check.key} {check.limit:g} {check.unknown}" for check in beside.checks]
    pairs = _pairs(book, beside.selector)
    return f"beside {pairs} {', '.join(asked)} {beside.where.value} {beside.at_least}"


def _signs(book: Rulebook) -> Iterator[str]:
    scrape = _finding("1", "wheel", "scrape", next(iter(book.zones)))
    for sign in sorted(book.signs):
        for answer in (True, None):
            signs = {**dict.fromkeys(book.signs, False), sign: answer}
            vehicle = VehicleFacts(signs=signs, battery_seen_whole=True)
            case = assess(CaseFacts(vehicle=vehicle, findings=(scrape,)), book)
            said = "yes" if answer else "not known"
            asked = _digest((case.actions, case.open_tests))
            yield f"sign {sign} {said}: {_case_words(case_outcome_of(case))} {asked}"
    for stop in book.stop_rules.values():
        yield f"sign {stop.id} {_digest(stop.then)}"


def _cars(book: Rulebook) -> Iterator[str]:
    rules: tuple[CaseRule[Quarantine] | CaseRule[TransportClass], ...] = (
        *book.quarantine_rules.values(),
        *book.transport_rules.values(),
    )
    for rule in rules:
        pairs = "" if rule.finding is None else _pairs(book, rule.finding)
        signs = ",".join(sorted(rule.signs))
        yield f"car {rule.id} {rule.then.name} {signs} {rule.answer} {pairs}"
    for level in book.quarantine_levels.values():
        yield f"quarantine {level.level.name} {_digest(level)}"
    for entry in book.transport_classes.values():
        yield f"transport {entry.transport_class.name} {_digest(entry)}"
    for number in book.un_numbers:
        yield f"{number.number} {_digest(number)}"


def _case_words(outcome: ExpectedCase) -> str:
    risk = "NOT_ASSESSED" if outcome.risk is None else outcome.risk.name
    levels = (outcome.hv_flag, outcome.signal_word, outcome.quarantine, outcome.transport)
    return " ".join([risk, *[level.name for level in levels]])

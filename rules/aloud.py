"""Rules as a person reads them aloud: labels for ids, whole sentences, nothing abbreviated."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rules.aloud_words import (
    REPAIR_WORDS,
    asked_in_words,
    beside_in_words,
    examples_in_words,
    then_in_words,
)
from rules.case_rule import CaseRule, LevelT
from rules.condition import Selector
from rules.evidence_rule import EvidenceRule
from rules.model import Citation
from rules.rule import Rule, StopRule
from rules.rulebook import Rulebook
from rules.terms import Basis, Origin, RuleId, in_words

# What each table judges, in the order in which a person asks.
TOPICS: Mapping[str, str] = {
    "hv_flag.toml": "How near to high voltage",
    "consequence.toml": "How badly somebody can be hurt",
    "likelihood.toml": "How likely that is",
    "danger.toml": "What calls for the word DANGER",
    "combination.toml": "What one finding means because of another",
    "repair.toml": "What the part needs",
    "stop_signs.toml": "Signs on the car as a whole",
    "quarantine.toml": "How far the car is kept away",
    "transport.toml": "How the battery may travel",
    "evidence.toml": "What remains after a test or a replacement",
}
STOP_TABLE = "stop_signs.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleAloud:
    """One row of the book in words. ``when`` and ``beside`` are joined by "and".

    ``beside`` speaks of another finding, empty where none is asked for. ``speaks_of`` are the
    names, synonyms included, of every part and damage that the row asks for. ``fires_on`` and
    ``near_misses`` are the row's own examples.
    """

    id: RuleId
    topic: str
    when: tuple[str, ...]
    beside: tuple[str, ...]
    then: tuple[str, ...]
    because: str
    basis: Basis
    citations: tuple[Citation, ...]
    origin: Origin
    speaks_of: tuple[str, ...]
    fires_on: tuple[str, ...]
    near_misses: tuple[str, ...]


def rules_aloud(rulebook: Rulebook) -> tuple[RuleAloud, ...]:
    """Return every rule of the book in words, topic by topic, each in the order of its table."""
    rules = [_rule(rulebook, rule) for rule in rulebook.rules.values()]
    stops = [_stop(rulebook, stop) for stop in rulebook.stop_rules.values()]
    evidence = [_evidence(rulebook, rule) for rule in rulebook.evidence.rules]
    quarantine = [
        _case_rule(rulebook, rule, rulebook.quarantine_levels[rule.then].label)
        for rule in rulebook.quarantine_rules.values()
    ]
    transport = [
        _case_rule(rulebook, rule, rulebook.transport_classes[rule.then].label)
        for rule in rulebook.transport_rules.values()
    ]
    topics = list(TOPICS.values())
    every = (*rules, *stops, *quarantine, *transport, *evidence)
    return tuple(sorted(every, key=lambda rule: _place(topics, rule.topic)))


def topic_of(table: str) -> str:
    """Return what a table judges; a table that is new here is named by its file."""
    return TOPICS.get(table, table.removesuffix(".toml").replace("_", " ").capitalize())


def _place(topics: list[str], topic: str) -> int:
    return topics.index(topic) if topic in topics else len(topics)


def _rule(book: Rulebook, rule: Rule) -> RuleAloud:
    hits, misses = examples_in_words(book, rule.id)
    selectors = [rule.selector, *([rule.beside.selector] if rule.beside else [])]
    return RuleAloud(
        id=rule.id,
        topic=topic_of(rule.table),
        when=tuple(asked_in_words(book, rule.selector, rule.checks))
        or ("whatever the finding is",),
        beside=tuple(beside_in_words(book, rule.beside)) if rule.beside else (),
        then=tuple(then_in_words(book, rule.then)),
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        origin=rule.origin,
        speaks_of=tuple(_names(book, selectors)),
        fires_on=hits,
        near_misses=misses,
    )


def _stop(book: Rulebook, stop: StopRule) -> RuleAloud:
    hits, misses = examples_in_words(book, stop.id)
    answer = {True: "yes", False: "no", None: "nobody has said"}[stop.answer]
    return RuleAloud(
        id=stop.id,
        topic=topic_of(STOP_TABLE),
        when=(f"{in_words(stop.sign)} on the car: {answer}",),
        beside=(),
        then=tuple(then_in_words(book, stop.then)),
        because=stop.reason.because,
        basis=stop.reason.basis,
        citations=stop.reason.citations,
        origin=stop.reason.origin,
        speaks_of=(in_words(stop.sign),),
        fires_on=hits,
        near_misses=misses,
    )


def _case_rule(book: Rulebook, rule: CaseRule[LevelT], level: str) -> RuleAloud:
    hits, misses = examples_in_words(book, rule.id)
    signs = [in_words(sign) for sign in sorted(rule.signs)]
    if signs:
        answer = "yes" if rule.answer else "nobody has said"
        when: tuple[str, ...] = (f"{' or '.join(signs)} on the car: {answer}",)
    elif rule.finding is not None:
        when = ("there is a finding", *asked_in_words(book, rule.finding, ()))
    else:
        when = ("nobody recorded the whole battery as seen without damage",)
    return RuleAloud(
        id=rule.id,
        topic=topic_of(rule.table),
        when=when,
        beside=(),
        then=(f"at least: {level}",),
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        origin=Origin.BOOK,
        speaks_of=(*signs, *(_names(book, [rule.finding]) if rule.finding else ())),
        fires_on=hits,
        near_misses=misses,
    )


def _evidence(book: Rulebook, rule: EvidenceRule) -> RuleAloud:
    hits, misses = examples_in_words(book, rule.id)
    return RuleAloud(
        id=rule.id,
        topic=topic_of(rule.table),
        when=(*asked_in_words(book, rule.selector, ()), *_given(book, rule)),
        beside=(),
        then=tuple(_remains(book, rule)),
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        origin=Origin.BOOK,
        speaks_of=tuple(_names(book, [rule.selector])),
        fires_on=hits,
        near_misses=misses,
    )


def _given(book: Rulebook, rule: EvidenceRule) -> Iterator[str]:
    given = rule.given
    if given.replaced:
        yield (
            "the part was replaced, and every test asked of the finding met its criterion, save "
            "those of the old part"
        )
    yield from (f"criterion met: {book.open_tests[test].text}" for test in sorted(given.met))
    if given.any_not_met:
        yield "any test of it did not meet its criterion"
    if given.not_met:
        tests = " ".join(book.open_tests[test].text for test in sorted(given.not_met))
        yield f"any of these did not meet its criterion: {tests}"
    if given.instruction is not None:
        yield f"the maker says of this part: {REPAIR_WORDS[given.instruction]}"


def _remains(book: Rulebook, rule: EvidenceRule) -> Iterator[str]:
    if rule.answers:
        yield f"answered are {', '.join(sorted(rule.answers))}; of them remains:"
    least = "" if rule.answers else " at least"
    if rule.then.likelihood is not None:
        name = book.likelihoods[rule.then.likelihood].name
        yield f"likelihood{least} {rule.then.likelihood.value} {name}"
    if rule.then.disposition is not None:
        yield f"the part needs{least}: {REPAIR_WORDS[rule.then.disposition]}"
    yield "the hazard now and the HV flag stay as they were"


def _names(book: Rulebook, selectors: Iterable[Selector]) -> Iterator[str]:
    for selector in selectors:
        if selector.asks_part:
            for part in filter(selector.takes_part, book.components.values()):
                yield from (part.label, *part.synonyms)
        if selector.asks_damage:
            for damage in filter(selector.takes_damage, book.damage_types.values()):
                yield from (damage.label, *damage.synonyms)

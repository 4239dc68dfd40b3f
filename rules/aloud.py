"""Rules as a person reads them aloud: labels for ids, whole sentences, nothing abbreviated."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rules.condition import MET, Check, Selector
from rules.evidence_rule import EvidenceRule
from rules.example import EvidenceExample, Example
from rules.explain import ASKED, FLAG_WORDS, records_in_words
from rules.model import CaseFacts, Citation, Facts
from rules.rule import Beside, Nearness, Outcome, Rule, StopRule
from rules.rulebook import Rulebook
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Basis,
    Disposition,
    Origin,
    RuleId,
)

# What each table judges, in the order in which a person asks.
TOPICS: Mapping[str, str] = {
    "hv_flag.toml": "How near to high voltage",
    "consequence.toml": "How badly somebody can be hurt",
    "likelihood.toml": "How likely that is",
    "danger.toml": "What calls for the word DANGER",
    "combination.toml": "What one finding means because of another",
    "repair.toml": "What the part needs",
    "stop_signs.toml": "Signs on the car as a whole",
    "evidence.toml": "What remains after a test or a replacement",
}
STOP_TABLE = "stop_signs.toml"
_WHERE = {
    Nearness.SAME_ZONE: "in the same zone",
    Nearness.SAME_OR_ADJACENT_ZONE: "in the same zone or one beside it",
    Nearness.ANYWHERE: "anywhere on the car",
}
_REPAIR_WORDS = {
    Disposition.MONITOR: "note it and look again",
    Disposition.CLEAN_AND_PROTECT: "clean and protect",
    Disposition.REPAIR: "repair",
    Disposition.TEST_FIRST: "test first, then decide",
    Disposition.REPLACE: "replace",
}
_FACT_WORDS = {
    "length_mm": "length {:g} mm",
    "width_mm": "width {:g} mm",
    "depth_mm": "depth {:g} mm",
    "distance_to_hv_mm": "HV {:g} mm away",
    "distance_uncertainty_mm": "give or take {:g} mm",
}
_YES_NO_WORDS = {
    "covers_off": ("covers off", "covers on"),
    "hv_conductor_visible": ("HV-coloured conductor shows", "no HV-coloured conductor shows"),
    "hangs_free": ("an end hangs free", "no end hangs free"),
}
_SAID_APART = {"finding_id", "component", "damage", "zone", "side", "near_orange_area"}


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
    topics = list(TOPICS.values())
    return tuple(sorted((*rules, *stops, *evidence), key=lambda rule: _place(topics, rule.topic)))


def topic_of(table: str) -> str:
    """Return what a table judges; a table that is new here is named by its file."""
    return TOPICS.get(table, table.removesuffix(".toml").replace("_", " ").capitalize())


def _place(topics: list[str], topic: str) -> int:
    return topics.index(topic) if topic in topics else len(topics)


def _rule(book: Rulebook, rule: Rule) -> RuleAloud:
    hits, misses = _examples(book, rule.id)
    selectors = [rule.selector, *([rule.beside.selector] if rule.beside else [])]
    return RuleAloud(
        id=rule.id,
        topic=topic_of(rule.table),
        when=tuple(_asked(book, rule.selector, rule.checks)) or ("whatever the finding is",),
        beside=tuple(_beside(book, rule.beside)) if rule.beside else (),
        then=tuple(_then(book, rule.then)),
        because=rule.because,
        basis=rule.basis,
        citations=rule.citations,
        origin=rule.origin,
        speaks_of=tuple(_names(book, selectors)),
        fires_on=hits,
        near_misses=misses,
    )


def _stop(book: Rulebook, stop: StopRule) -> RuleAloud:
    hits, misses = _examples(book, stop.id)
    answer = {True: "yes", False: "no", None: "nobody has said"}[stop.answer]
    return RuleAloud(
        id=stop.id,
        topic=topic_of(STOP_TABLE),
        when=(f"{stop.sign} on the car: {answer}",),
        beside=(),
        then=tuple(_then(book, stop.then)),
        because=stop.reason.because,
        basis=stop.reason.basis,
        citations=stop.reason.citations,
        origin=stop.reason.origin,
        speaks_of=(stop.sign,),
        fires_on=hits,
        near_misses=misses,
    )


def _evidence(book: Rulebook, rule: EvidenceRule) -> RuleAloud:
    hits, misses = _examples(book, rule.id)
    return RuleAloud(
        id=rule.id,
        topic=topic_of(rule.table),
        when=(*_asked(book, rule.selector, ()), *_given(book, rule)),
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
    if given.not_met:
        tests = " ".join(book.open_tests[test].text for test in sorted(given.not_met))
        yield f"any of these did not meet its criterion: {tests}"
    if given.any_not_met:
        yield "some test did not meet its criterion"
    if given.instruction is not None:
        yield f"the maker says of this part: {_REPAIR_WORDS[given.instruction]}"


def _remains(book: Rulebook, rule: EvidenceRule) -> Iterator[str]:
    if rule.answers:
        yield f"answered are {', '.join(sorted(rule.answers))}; of them remains:"
    least = "" if rule.answers else " at least"
    if rule.then.likelihood is not None:
        name = book.likelihoods[rule.then.likelihood].name
        yield f"likelihood{least} {rule.then.likelihood.value} {name}"
    if rule.then.disposition is not None:
        yield f"the part needs{least}: {_REPAIR_WORDS[rule.then.disposition]}"
    yield "the hazard now and the HV flag stay as they were"


def _names(book: Rulebook, selectors: Iterable[Selector]) -> Iterator[str]:
    for selector in selectors:
        if selector.asks_part:
            for part in filter(selector.takes_part, book.components.values()):
                yield from (part.label, *part.synonyms)
        if selector.asks_damage:
            for damage in filter(selector.takes_damage, book.damage_types.values()):
                yield from (damage.label, *damage.synonyms)


def _asked(book: Rulebook, selector: Selector, checks: Iterable[Check]) -> Iterator[str]:
    yield from _part(book, selector)
    yield from _damage(book, selector)
    for check in checks:
        yield _check(check)


def _part(book: Rulebook, selector: Selector) -> Iterator[str]:
    if selector.components == frozenset((str(UNIDENTIFIED_COMPONENT),)):
        yield "nobody has said which part it is"
        return
    if selector.components is not None:
        labels = [one.label for one in book.components.values() if one.id in selector.components]
        yield f"the part is {_any_of(labels)}"
    if selector.groups is not None:
        labels = [one.label for one in book.components.values() if one.group in selector.groups]
        yield f"the part is {_any_of(labels)}"
    if selector.roles is not None:
        roles = [role.value.replace("_", "-") for role in selector.roles]
        yield f"the part's role is {_any_of(sorted(roles))}"
    if selector.is_hv is not None:
        yield f"the part {'belongs' if selector.is_hv else 'does not belong'} to high voltage"
    if selector.hv_runs_behind is not None:
        runs = "runs" if selector.hv_runs_behind else "does not run"
        yield f"high voltage {runs} behind or beside the part"


def _damage(book: Rulebook, selector: Selector) -> Iterator[str]:
    known = book.damage_types.values()
    if selector.damages == frozenset((str(UNIDENTIFIED_DAMAGE),)):
        yield "nobody has said what the damage is"
        return
    if selector.damages is not None:
        labels = [one.label for one in known if one.id in selector.damages]
        yield f"the damage is {_small(_any_of(labels))}"
    if selector.families is not None:
        labels = [one.label for one in known if one.family in selector.families]
        yield f"the damage is {_small(_any_of(labels))}"


def _check(check: Check) -> str:
    words = ASKED.get(check.key, check.key.replace("_", " ")).format(check.limit)
    if not check.question.may_be_unknown:
        return words
    if check.unknown == MET:
        return f"{words}, or nobody has said"
    return f"{words} (if nobody has said: see {check.unknown})"


def _beside(book: Rulebook, beside: Beside) -> Iterator[str]:
    yield f"there is another finding {_WHERE.get(beside.where, beside.where.value)}"
    yield from (f"of it, {words}" for words in _asked(book, beside.selector, beside.checks))


def _then(book: Rulebook, then: Outcome) -> Iterator[str]:
    if then.consequence is not None:
        name = book.consequences[then.consequence].name
        yield f"consequence at least {then.consequence.value} {name}"
    if then.likelihood is not None:
        name = book.likelihoods[then.likelihood].name
        yield f"likelihood at least {then.likelihood.value} {name}"
    if then.hv_flag is not None:
        yield f"HV flag: {FLAG_WORDS[then.hv_flag]}"
    if then.disposition is not None:
        yield f"the part needs at least: {_REPAIR_WORDS[then.disposition]}"
    if then.signal_word is not None:
        yield f"signal word at least {then.signal_word.name}"
    ordered = sorted((book.actions[one] for one in then.actions), key=lambda one: one.order)
    yield from (f"do: {action.text}" for action in ordered)
    yield from (f"test outstanding: {book.open_tests[one].text}" for one in sorted(then.tests))


def _any_of(labels: Iterable[str]) -> str:
    """Return labels as "a, b or c", all but the first with a small letter."""
    every = [label if number == 0 else _small(label) for number, label in enumerate(labels)]
    return " or ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def _small(label: str) -> str:
    return label[:1].lower() + label[1:] if label[1:2].islower() else label


def _examples(book: Rulebook, rule: RuleId) -> tuple[tuple[str, ...], tuple[str, ...]]:
    every: tuple[Example | EvidenceExample, ...] = (*book.examples, *book.evidence.examples)
    own = [one for one in every if one.rule == rule]
    hits = tuple(_case(book, example.hit) for example in own)
    return hits, tuple(_case(book, example.miss) for example in own)


def _case(book: Rulebook, case: CaseFacts) -> str:
    signs = {True: "yes", False: "no", None: "nobody has said"}
    words = [f"{sign}: {signs[answer]}" for sign, answer in case.vehicle.signs.items()]
    volts = case.vehicle.system_voltage_v
    words += [] if volts is None else [f"a car of {volts:g} V"]
    found = [_finding(book, finding) for finding in case.findings]
    words += [", beside: ".join(found)] if found else []
    records = records_in_words(case)
    return "; ".join([*words, f"on record: {', '.join(records)}"] if records else words)


def _finding(book: Rulebook, facts: Facts) -> str:
    part, damage = book.components[facts.component], book.damage_types[facts.damage]
    words = [f"{part.label}, {_small(damage.label)}"]
    if facts.zone is not None:
        words.append(f"in: {_small(book.zones[facts.zone].label)}")
    for name in facts.__dataclass_fields__:
        value = getattr(facts, name)
        if value is None or name in _SAID_APART:
            continue
        if name in _YES_NO_WORDS:
            words.append(_YES_NO_WORDS[name][0 if value else 1])
        else:
            words.append(_FACT_WORDS.get(name, name.replace("_", " ") + " {}").format(value))
    words += ["near an orange area"] if facts.near_orange_area else []
    return ", ".join(words)

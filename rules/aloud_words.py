"""Conditions, outcomes and examples of a row in words, with labels for ids."""

from collections.abc import Iterable, Iterator

from rules.condition import MET, Check, Selector
from rules.evidence import Evidence
from rules.example import EvidenceExample, Example
from rules.explain import ASKED, FLAG_WORDS
from rules.model import CaseFacts, Facts, VehicleFacts
from rules.rule import Beside, Nearness, Outcome
from rules.rulebook import Rulebook
from rules.terms import (
    UNIDENTIFIED_COMPONENT,
    UNIDENTIFIED_DAMAGE,
    Disposition,
    Powertrain,
    RuleId,
    in_words,
)

_WHERE = {
    Nearness.SAME_ZONE: "in the same zone",
    Nearness.SAME_OR_ADJACENT_ZONE: "in the same zone or one beside it",
    Nearness.ALONG_LINE: "in zones that follow one another along one line of travel",
    Nearness.ANYWHERE: "anywhere on the car",
}
REPAIR_WORDS = {
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
    "on_impact_line": (
        "it lies on the drawn line of impact",
        "it does not lie on the drawn line of impact",
    ),
    "hangs_free": ("an end hangs free", "no end hangs free"),
}
_SAID_APART = {"finding_id", "component", "damage", "zone", "side", "near_orange_area"}


def asked_in_words(book: Rulebook, selector: Selector, checks: Iterable[Check]) -> Iterator[str]:
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


def beside_in_words(book: Rulebook, beside: Beside) -> Iterator[str]:
    where = _WHERE.get(beside.where, beside.where.value)
    number = beside.at_least
    yield (
        f"there is another finding {where}"
        if number == 1
        else (f"there are {number} or more other findings {where}")
    )
    yield from (f"of it, {words}" for words in asked_in_words(book, beside.selector, beside.checks))


def then_in_words(book: Rulebook, then: Outcome) -> Iterator[str]:
    if then.consequence is not None:
        name = book.consequences[then.consequence].name
        yield f"consequence at least {then.consequence.value} {name}"
    if then.likelihood is not None:
        name = book.likelihoods[then.likelihood].name
        yield f"likelihood at least {then.likelihood.value} {name}"
    if then.hv_flag is not None:
        yield f"HV flag: {FLAG_WORDS[then.hv_flag]}"
    if then.disposition is not None:
        yield f"the part needs at least: {REPAIR_WORDS[then.disposition]}"
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


def examples_in_words(book: Rulebook, rule: RuleId) -> tuple[tuple[str, ...], tuple[str, ...]]:
    every: tuple[Example | EvidenceExample, ...] = (*book.examples, *book.evidence.examples)
    own = [example for example in every if example.rule == rule]
    hits = tuple(_case(book, example.hit) for example in own)
    return hits, tuple(_case(book, example.miss) for example in own)


def _case(book: Rulebook, case: CaseFacts) -> str:
    words = [*_car(case.vehicle)]
    found = [_finding(book, finding) for finding in case.findings]
    words += [", beside: ".join(found)] if found else []
    # An example asks about its first finding; a record may be of the one beside it.
    own = {case.findings[0].finding_id, None} if case.findings else {None}
    records = ", ".join(
        ("" if record.finding_id in own else "of the one beside: ") + _record(book, record)
        for record in case.evidence
    )
    return "; ".join([*words, f"on record: {records}"] if records else words)


def _record(book: Rulebook, record: Evidence) -> str:
    if record.test is not None and record.outcome is not None:
        whole_car = " (whole car)" if record.finding_id is None else ""
        criterion = "" if record.has_criterion else " without the maker's criterion"
        test = book.open_tests[record.test].text.rstrip(".")
        return f"{test}{whole_car}: {record.outcome.value}{criterion}"
    if record.instruction is not None:
        return f"the maker says: {REPAIR_WORDS[record.instruction]}"
    return "the part was replaced"


def _car(vehicle: VehicleFacts) -> Iterator[str]:
    answers = vehicle.signs
    for sign, answer in answers.items():
        if answer is not False:
            yield f"{in_words(sign)}: {'yes' if answer else 'nobody has said'}"
    if answers and False in answers.values():
        yield "no other sign" if len(set(answers.values())) > 1 else "no sign at all"
    if vehicle.battery_seen_whole:
        yield "the whole battery was seen without damage"
    if vehicle.system_voltage_v is not None:
        yield f"a car of {vehicle.system_voltage_v:g} V"
    if vehicle.powertrain is not Powertrain.UNKNOWN:
        yield f"drive: {vehicle.powertrain.value}"


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

"""One rule in plain words: when it fires, what it asks for, why, from which source."""

from collections.abc import Iterator

from rules.case_rule import CaseRule
from rules.condition import MET, Check, Selector
from rules.evidence_rule import Given
from rules.example import EvidenceExample, Example
from rules.model import CaseFacts, Citation, Facts
from rules.rule import Beside, Outcome, Rule, StopRule
from rules.rulebook import Rulebook
from rules.terms import (
    Basis,
    Disposition,
    HvFlag,
    Origin,
    Powertrain,
    Quarantine,
    RuleId,
    TransportClass,
    in_words,
)

ASKED = {
    "depth_mm_min": "the depth is {0:g} mm or more",
    "length_mm_min": "the length is {0:g} mm or more",
    "hv_within_mm": "the measured distance to HV less its uncertainty is {0:g} mm or less",
    "distance_unknown": "the distance to HV was not measured with its uncertainty and covers off",
    "depth_not_measured": "the depth was not measured",
    "length_not_measured": "the length was not measured",
    "hv_zone": "high voltage runs in the zone",
    "near_hv_zone": "high voltage runs in the zone or in a neighbouring one",
    "conductor_visible": "an HV-coloured conductor shows",
    "hangs_free": "an end hangs free",
    "on_impact_line": "the damage lies on the drawn line of impact",
    "battery_bolted_here": "the battery is bolted to the body in the zone",
    "voltage_v_over": "the system voltage is above {0:g} V",
    "near_orange": "a mark lies in or near an area that looks like orange cable",
}

FLAG_WORDS = {HvFlag.NONE: "none", HvFlag.WITHIN_REACH: "within reach", HvFlag.AT_HV: "at HV"}


def explain(rulebook: Rulebook, rule_id: str) -> tuple[str, ...]:
    """Return the rule as lines of text; nothing if the book has no such rule."""
    rule = rulebook.rules.get(RuleId(rule_id))
    stop = rulebook.stop_rules.get(RuleId(rule_id))
    if rule is not None:
        lines = [_title(rule), *_when(rule.selector, rule.checks)]
        lines += _beside(rule.beside) if rule.beside is not None else ()
        lines += _then(rule.then)
        lines += _why(rulebook, rule.because, rule.basis, rule.citations)
    elif stop is not None:
        answer = "yes" if stop.answer else "not known"
        lines = [_stop_title(stop, rulebook), f"when   {in_words(stop.sign)} is {answer}"]
        lines += _then(stop.then)
        lines += _why(rulebook, stop.reason.because, stop.reason.basis, stop.reason.citations)
    else:
        lines = [*_case_rule(rulebook, RuleId(rule_id)), *_evidence(rulebook, RuleId(rule_id))]
    return (*lines, *_examples(rulebook, RuleId(rule_id))) if lines else ()


def _case_rule(book: Rulebook, rule_id: RuleId) -> Iterator[str]:
    """Yield a rule about quarantine or transport; nothing if the book has no such rule."""
    quarantine = book.quarantine_rules.get(rule_id)
    transport = book.transport_rules.get(rule_id)
    if quarantine is not None:
        yield f"{rule_id} ({quarantine.table})"
        yield from case_rule_when(quarantine)
        yield f"then   quarantine: {book.quarantine_levels[quarantine.then].label}"
        yield from _why(book, quarantine.because, quarantine.basis, quarantine.citations)
    if transport is not None:
        yield f"{rule_id} ({transport.table})"
        yield from case_rule_when(transport)
        yield f"then   transport: {book.transport_classes[transport.then].label}"
        yield from _why(book, transport.because, transport.basis, transport.citations)


def _evidence(book: Rulebook, rule_id: RuleId) -> Iterator[str]:
    """Yield a row about evidence; nothing if the book has no such row."""
    for row in book.evidence.rules:
        if row.id != rule_id:
            continue
        yield f"{row.id} ({row.table})"
        yield from _when(row.selector, ())
        yield from (f"given  {text}" for text in given_in_words(row.given))
        if row.of_old_part:
            yield f"{'':<7}tests of the old part: {', '.join(sorted(row.of_old_part))}"
        if row.answers:
            yield f"then   answered: {', '.join(sorted(row.answers))}"
        word = "remains" if row.answers else "at least"
        if row.then.likelihood is not None:
            yield f"then   {word} likelihood: {row.then.likelihood}"
        if row.then.disposition is not None:
            yield f"then   {word} repair: {_level(row.then.disposition)}"
        yield from _why(book, row.because, row.basis, row.citations)


def given_in_words(given: Given) -> Iterator[str]:
    """Yield what must be on record for a row of evidence to count."""
    if given.replaced:
        yield "the part was replaced, and every test asked is met, save those of the old part"
    if given.met:
        yield f"criterion met: {', '.join(sorted(given.met))}"
    if given.not_met:
        yield f"criterion not met, any of: {', '.join(sorted(given.not_met))}"
    if given.any_not_met:
        yield "criterion not met, in any test"
    if given.instruction is not None:
        yield f"the maker's instruction: {_level(given.instruction)}"


def _level(level: Disposition) -> str:
    return level.name.lower().replace("_", " ")


def case_rule_when(rule: CaseRule[Quarantine] | CaseRule[TransportClass]) -> Iterator[str]:
    """Yield in words when a rule about the whole car fires."""
    if rule.signs:
        answer = "yes" if rule.answer else "not known"
        yield f"when   {' or '.join(map(in_words, sorted(rule.signs)))} is {answer}"
    elif rule.finding is not None:
        yield from _when(rule.finding, (), "when")
    else:
        yield "when   nobody recorded the whole battery as seen without damage"


def _title(rule: Rule) -> str:
    if rule.origin is Origin.BOOK:
        return f"{rule.id} ({rule.table})"
    ours = f", stricter than {rule.tightens}, which stands beside it" if rule.tightens else ""
    return f"{rule.id} (the shop's own, from {rule.table}{ours})"


def _stop_title(stop: StopRule, rulebook: Rulebook) -> str:
    if stop.reason.origin is Origin.SHOP and rulebook.overlay is not None:
        return f"{stop.id} (the shop's own, from {rulebook.overlay.file})"
    return f"{stop.id} (stop_signs.toml)"


def _when(selector: Selector, checks: tuple[Check, ...], word: str = "when") -> Iterator[str]:
    asked = [*_selector(selector), *(_check(one) for one in checks)] or ["always"]
    for number, text in enumerate(asked):
        yield f"{word if number == 0 else 'and':<7}{text}"


def _selector(selector: Selector) -> Iterator[str]:
    named = {
        "the part is": selector.components,
        "the part is of the kind": selector.groups,
        "the part's role is": selector.roles,
        "the damage is": selector.damages,
        "the damage is of the family": selector.families,
    }
    for text, names in named.items():
        if names is not None:
            yield f"{text} {' or '.join(sorted(names))}"
    if selector.is_hv is not None:
        yield f"the part {'belongs' if selector.is_hv else 'does not belong'} to high voltage"
    if selector.hv_runs_behind is not None:
        runs = "runs" if selector.hv_runs_behind else "does not run"
        yield f"high voltage {runs} behind the part"


def _check(check: Check) -> str:
    text = ASKED[check.key].format(check.limit)
    if not check.question.may_be_unknown:
        return text
    unknown = "counts as so" if check.unknown == MET else f"is left to {check.unknown}"
    return f"{text} (if nobody said: {unknown})"


def _beside(beside: Beside) -> Iterator[str]:
    yield from _when(beside.selector, beside.checks, "beside")
    number = "" if beside.at_least == 1 else f", {beside.at_least} of them or more"
    yield f"{'':<7}in: {beside.where.value}{number}"


def _then(then: Outcome) -> Iterator[str]:
    words = {
        "consequence": None if then.consequence is None else then.consequence.name.lower(),
        "likelihood": then.likelihood,
        "HV flag": None if then.hv_flag is None else FLAG_WORDS[then.hv_flag],
        "repair": None if then.disposition is None else _level(then.disposition),
        "signal word": None if then.signal_word is None else then.signal_word.name,
        "actions": ", ".join(sorted(then.actions)) or None,
        "tests": ", ".join(sorted(then.tests)) or None,
    }
    for name, word in words.items():
        if word is not None:
            yield f"then   {name}: {word}"


def _why(
    book: Rulebook, because: str, basis: Basis, citations: tuple[Citation, ...]
) -> Iterator[str]:
    yield f"why    {because}"
    yield f"basis  {basis.value}"
    for cited in citations:
        title = book.sources[cited.source].title
        yield f"source {title}, {cited.clause}: {cited.says} ({cited.status.value})"


def _examples(book: Rulebook, rule_id: RuleId) -> Iterator[str]:
    every: tuple[Example | EvidenceExample, ...] = (*book.examples, *book.evidence.examples)
    for example in every:
        if example.rule == rule_id:
            yield f"hit    {_case(example.hit)}"
            yield f"miss   {_case(example.miss)}"


def _case(case: CaseFacts) -> str:
    signs = {True: "yes", False: "no", None: "unknown"}
    answers = case.vehicle.signs
    words = [
        f"{in_words(sign)}: {signs[answer]}"
        for sign, answer in answers.items()
        if answer is not False
    ]
    words += ["every other sign: no"] if False in answers.values() else []
    words += ["battery seen whole"] if case.vehicle.battery_seen_whole else []
    volts = case.vehicle.system_voltage_v
    words += [] if volts is None else [f"{volts:g} V"]
    drive = case.vehicle.powertrain
    words += [] if drive is Powertrain.UNKNOWN else [drive.value]
    words += [_finding(finding) for finding in case.findings]
    words += [f"on record: {', '.join(records)}"] if (records := records_in_words(case)) else []
    return "; ".join(words)


def records_in_words(case: CaseFacts) -> list[str]:
    """Return what is on record in an example; "beside" is the second finding."""
    words: list[str] = []
    for record in case.evidence:
        where = {None: "for the whole car: ", case.findings[0].finding_id: ""}
        whose = where.get(record.finding_id, "of the one beside: ")
        if record.outcome is not None:
            lacks = "" if record.result is record.outcome else " without the maker's criterion"
            words.append(f"{whose}{record.test} {record.outcome.value}{lacks}")
        elif record.instruction is not None:
            words.append(f"{whose}the maker says {_level(record.instruction)}")
        else:
            words.append(f"{whose}{record.kind.value}")
    return words


def _finding(facts: Facts) -> str:
    known = {
        name: getattr(facts, name)
        for name in facts.__dataclass_fields__
        if name not in {"finding_id", "component", "damage", "near_orange_area"}
    }
    words = [f"{name} {value}" for name, value in known.items() if value is not None]
    words += ["near_orange_area"] if facts.near_orange_area else []
    return ", ".join([f"{facts.component} / {facts.damage}", *words])

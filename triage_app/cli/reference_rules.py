"""The page of the rule book, made from the loaded book."""

from collections.abc import Iterable, Iterator

from rules import Basis, Citation, Quarantine, Reason, Rulebook, TransportClass
from rules.case_rule import CaseRule
from rules.condition import MET, Check, Selector
from rules.evidence_rule import EvidenceRule
from rules.explain import given_in_words
from rules.rule import Outcome, Rule, StopRule
from triage_app.cli.markdown import code, table

_INTRO = """# Rule book

This page is generated from the rule book; write it anew with `make docs`.

Rules are independent: the outcome of a finding is the worst that any rule asks for, and the union
of all actions and tests. What is not known counts as worse, and no rule lowers anything.
A flag for high voltage asks for the vehicle maker's procedure first, then local codes and
licensed, qualified practice. A disconnected battery still holds its energy.
"""


def rules_page(book: Rulebook) -> str:
    """Return the page: words, rules, actions, tests and sources, each by its id."""
    return "\n".join(
        [
            _INTRO,
            f"{book.title}, revision {book.stamp.revision}.\n",
            *_words(book),
            *_rules(book),
            *_of_evidence(book),
            *_texts(book),
            *_sources(book),
        ]
    )


def _words(book: Rulebook) -> Iterator[str]:
    yield "## Components\n"
    yield table(
        ("id", "component", "role", "HV", "zones"),
        (
            (
                code(each.id),
                f"{each.label}: {each.description}",
                each.role.value.replace("_", " "),
                "is HV" if each.is_hv else "HV runs behind" if each.hv_runs_behind else "",
                ", ".join(map(code, each.zones)),
            )
            for each in book.components.values()
        ),
    )
    yield "## Damage types\n"
    yield table(
        ("id", "damage", "measures"),
        (
            (code(each.id), f"{each.label}: {each.description}", ", ".join(each.measures))
            for each in book.damage_types.values()
        ),
    )
    yield "## Zones\n"
    yield table(
        ("id", "zone", "HV runs here", "beside"),
        (
            (
                code(each.id),
                f"{each.label}: {each.description}",
                "yes" if each.hv_runs_here else "",
                ", ".join(map(code, each.adjacent)),
            )
            for each in book.zones.values()
        ),
    )


def _rules(book: Rulebook) -> Iterator[str]:
    yield "## Rules\n"
    yield table(
        ("id", "when", "then", "because", "rests on"),
        (
            (
                code(each.id),
                "; ".join(_when(each)),
                "; ".join(_then(each.then)),
                each.because,
                _basis(each.basis, each.citations),
            )
            for each in book.rules.values()
        ),
    )
    yield "## Signs that stop work on the whole car\n"
    yield table(
        ("id", "when", "because", "rests on"),
        (
            (code(each.id), _sign(each), each.reason.because, _reason(each.reason))
            for each in book.stop_rules.values()
        ),
    )
    yield from _of_the_car(book)
    yield "## Risk\n"
    yield f"From the consequence and the likelihood, by {_cited([book.risk_citation])}.\n"
    yield table(
        ("consequence", *(level.value for level in book.likelihoods)),
        (
            (
                f"{consequence.value} {meaning.name}",
                *(book.risk_matrix[consequence, level].name.lower() for level in book.likelihoods),
            )
            for consequence, meaning in book.consequences.items()
        ),
    )
    yield table(
        ("level", "name", "what it means here"),
        (
            *(
                (str(level.value), each.name, each.says)
                for level, each in book.consequences.items()
            ),
            *((level.value, each.name, each.says) for level, each in book.likelihoods.items()),
        ),
    )


def _of_evidence(book: Rulebook) -> Iterator[str]:
    yield "## What remains after a test or a replacement\n"
    yield (
        "A second answer beside the first: the hazard now and the HV flag never change. Of the\n"
        "rules that a row answers, what it says remains; the worst of all rules counts. What\n"
        "fired because of another finding is answered only when that one is settled too. Level F\n"
        "needs the part replaced. Gloves, signs, training, a make-safe record, a chemistry, a low\n"
        "charge, a fired fuse and missing codes are no evidence.\n"
    )
    yield table(
        ("id", "when", "on record", "answers", "remains", "because", "rests on"),
        (
            (
                code(each.id),
                "; ".join(_selected(each.selector)) or "any finding",
                "; ".join(given_in_words(each.given)),
                ", ".join(map(code, sorted(each.answers))) or "raises",
                "; ".join(_remains(each)),
                each.because,
                _basis(each.basis, each.citations),
            )
            for each in book.evidence.rules
        ),
    )
    for what, rules in (
        ("Only a part replaced answers", book.evidence.replacement_only),
        ("Only better facts answer", book.evidence.by_facts),
        ("Entered as a fact, never closed by a result", book.evidence.tests_by_facts),
    ):
        yield f"{what}: {', '.join(map(code, sorted(rules)))}.\n"


def _remains(rule: EvidenceRule) -> Iterator[str]:
    if rule.then.likelihood is not None:
        yield f"likelihood {rule.then.likelihood.value}"
    if rule.then.disposition is not None:
        yield rule.then.disposition.name.lower().replace("_", " ")


def _of_the_car(book: Rulebook) -> Iterator[str]:
    levels, classes = book.quarantine_levels, book.transport_classes
    yield "## Quarantine of the car\n"
    yield table(
        ("level", "what it asks for", "rests on"),
        ((each.label, each.text, _cited(each.citations)) for each in levels.values()),
    )
    yield table(
        ("id", "when", "then", "because", "rests on"),
        (
            (*_case_rule(each), levels[each.then].label, each.because, _rests(each))
            for each in book.quarantine_rules.values()
        ),
    )
    yield "## Transport of the battery\n"
    yield table(
        ("class", "what it asks for", "packing instructions", "rests on"),
        (
            (each.label, each.text, ", ".join(each.packing), _cited(each.citations))
            for each in classes.values()
        ),
    )
    yield table(
        ("number", "travels under it", "rests on"),
        ((each.number, each.travels, _cited(each.citations)) for each in book.un_numbers),
    )
    yield table(
        ("id", "when", "then", "because", "rests on"),
        (
            (*_case_rule(each), classes[each.then].label, each.because, _rests(each))
            for each in book.transport_rules.values()
        ),
    )


def _case_rule(rule: CaseRule[Quarantine] | CaseRule[TransportClass]) -> tuple[str, str]:
    if rule.signs:
        answer = "yes" if rule.answer else "not known"
        return code(rule.id), f"{', '.join(sorted(rule.signs))}: {answer}"
    if rule.finding is not None:
        return code(rule.id), f"found: {'; '.join(_selected(rule.finding))}"
    return code(rule.id), "nobody recorded the whole battery as seen without damage"


def _rests(rule: CaseRule[Quarantine] | CaseRule[TransportClass]) -> str:
    return _basis(rule.basis, rule.citations)


def _when(rule: Rule) -> Iterator[str]:
    yield from _selected(rule.selector)
    yield from map(_check, rule.checks)
    if rule.beside:
        other = [*_selected(rule.beside.selector), *map(_check, rule.beside.checks)]
        yield f"beside another finding ({rule.beside.where.value}): {'; '.join(other)}"


def _selected(selector: Selector) -> Iterator[str]:
    for what, wanted in (
        ("part", selector.components),
        ("kind of part", selector.groups),
        ("role", selector.roles),
        ("damage", selector.damages),
        ("kind of damage", selector.families),
    ):
        if wanted is not None:
            yield f"{what} {', '.join(sorted(map(str, wanted)))}"
    for is_so, what in ((selector.is_hv, "is HV"), (selector.hv_runs_behind, "HV runs behind")):
        if is_so is not None:
            yield what if is_so else f"not: {what}"


def _check(check: Check) -> str:
    limit = f" {check.limit:g}" if check.question.has_limit else ""
    if not check.question.may_be_unknown:
        return f"{check.key}{limit}"
    unknown = "not known counts as met" if check.unknown == MET else f"not known: {check.unknown}"
    return f"{check.key}{limit} ({unknown})"


def _then(outcome: Outcome) -> Iterator[str]:
    if outcome.consequence is not None:
        yield f"consequence {outcome.consequence.value}"
    if outcome.likelihood is not None:
        yield f"likelihood {outcome.likelihood.value}"
    for level in (outcome.hv_flag, outcome.disposition, outcome.signal_word):
        if level is not None:
            yield level.name.lower().replace("_", " ")
    for what in (outcome.actions, outcome.tests):
        if what:
            yield ", ".join(map(code, sorted(what)))


def _sign(rule: StopRule) -> str:
    answer = {True: "yes", False: "no", None: "not known"}[rule.answer]
    return f"{rule.sign}: {answer}"


def _texts(book: Rulebook) -> Iterator[str]:
    yield "## Actions\n"
    yield table(
        ("id", "what to do", "safing"),
        (
            (code(each.id), each.text, "yes" if each.is_safing else "")
            for each in sorted(book.actions.values(), key=lambda each: each.order)
        ),
    )
    yield "## Tests that may be outstanding\n"
    yield table(
        ("id", "test", "by"),
        ((code(each.id), each.text, each.by) for each in book.open_tests.values()),
    )


def _sources(book: Rulebook) -> Iterator[str]:
    yield "## Sources\n"
    yield "How far each was checked is printed with it.\n"
    yield table(
        ("id", "document", "publisher", "edition", "checked"),
        (
            (code(each.id), each.title, each.publisher, each.edition, each.status.value)
            for each in book.sources.values()
        ),
    )


def _basis(basis: Basis, citations: Iterable[Citation]) -> str:
    cited = _cited(citations)
    return f"{basis.value}: {cited}" if cited else basis.value


def _reason(reason: Reason) -> str:
    return _basis(reason.basis, reason.citations)


def _cited(citations: Iterable[Citation]) -> str:
    return "; ".join(
        f"{each.source} {each.clause}: {each.says} ({each.status.value})" for each in citations
    )

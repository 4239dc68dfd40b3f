"""The appendix: every rule that fired, and every document with what was taken from it."""

from collections.abc import Iterable, Iterator

from rules import Citation, Reason, Source, SourceStatus
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, words
from triage_app.report.model import Block, Cell, Look, Paragraph, Table, Text
from triage_app.report.sections.reasons import basis
from triage_app.report.subject import Subject

# Named by the report itself, whatever the rule book cites. Statuses as in our table of facts.
_OWN_SOURCES = (
    (
        "MIL-STD-882E",
        "system safety: risk levels, consequence and likelihood",
        "Department of Defense (USA)",
        SourceStatus.READ_IN_A_COPY,
    ),
    (
        "ANSI Z535.4",
        "product safety signs: signal words",
        "American National Standards Institute",
        SourceStatus.READ_IN_A_COPY,
    ),
    (
        "ISO 7010",
        "warning sign W012, electricity",
        "International Organization for Standardization",
        SourceStatus.MEMORY,
    ),
)


def rules(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return every rule that fired once, with the findings that it decided or spoke of."""
    title = heading(1, texts.RULES_FIRED, "rules_fired")
    fired = {reason.rule_id: reason for _, reason in _reasons(subject)}
    if not fired:
        return [title, words(texts.RULES_FIRED_NONE)]
    return [
        title,
        intro(texts.RULES_FIRED_INTRO),
        Table(
            title=texts.RULES_FIRED,
            header=("Rule", "Because", "Rests on", "Decided for", "Also fired for"),
            rows=tuple(_rule_row(subject, fired[rule_id]) for rule_id in sorted(fired)),
            width_fracs=(0.11, 0.37, 0.26, 0.13, 0.13),
            caption=numbering.next("Table", "Rules that fired, by their numbers in the rule book."),
        ),
    ]


def _rule_row(subject: Subject, reason: Reason) -> tuple[Cell, ...]:
    decided: list[int] = []
    also: list[int] = []
    for finding in subject.findings:
        of_it = subject.of_finding(finding)
        rest = of_it.residual
        deciders = {*of_it.decided_by, *of_it.repair_decided_by}
        deciders |= {one.rule_id for one in of_it.hv_reasons}
        every = {one.rule_id for one in of_it.reasons}
        if rest is not None:
            deciders |= {*rest.decided_by, *rest.repair_decided_by}
            every |= {one.rule_id for one in rest.reasons}
        if reason.rule_id in every | deciders:
            (decided if reason.rule_id in deciders else also).append(finding.number)
    whole = "-" if decided or also else texts.WHOLE_CAR
    return (
        cell(reason.rule_id, strong=True),
        cell(reason.because),
        cell(basis(subject, reason)),
        cell(labels.numbers_listed(sorted(decided)) or whole),
        cell(labels.numbers_listed(sorted(also)) or "-"),
    )


def sources(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return every document once: edition, clauses used, what they say, how far checked."""
    cited: dict[str, list[Citation]] = {}
    for citation in _citations(subject):
        held = cited.setdefault(citation.source, [])
        if citation not in held:
            held.append(citation)
    book = subject.rulebook
    known = [source for id_, source in book.sources.items() if id_ in cited]
    rows = [_source_row(source, cited[source.id]) for source in known]
    rows += [
        (cell(f"{title}, {about}. {publisher}"), cell("-"), cell(str(status)))
        for title, about, publisher, status in _OWN_SOURCES
        if not any(source.title.startswith(title) for source in known)
    ]
    return [
        heading(1, "Sources", "sources"),
        intro(texts.SOURCES_INTRO),
        Table(
            title="Sources",
            header=(
                "Document and edition",
                "Clauses used, and what they say in our words",
                "Checked",
            ),
            rows=tuple(rows),
            width_fracs=(0.34, 0.51, 0.15),
            caption=numbering.next("Table", "Documents that this report rests on."),
        ),
    ]


def _source_row(source: Source, citations: Iterable[Citation]) -> tuple[Cell, ...]:
    lines = [
        f"{cited.statement} ({cited.status.value})"
        for cited in sorted(citations, key=lambda one: (one.clause, one.says))
    ]
    said = tuple(Paragraph(texts=(Text(text=line),), look=Look.CELL) for line in lines)
    return (
        cell(f"{source.title}; {source.edition}. {source.publisher}"),
        Cell(content=said),
        cell(str(source.status)),
    )


def _citations(subject: Subject) -> Iterator[Citation]:
    for _, reason in _reasons(subject):
        yield from reason.citations
    yield from subject.assessment.quarantine.citations
    yield from subject.assessment.transport.citations
    for number in subject.assessment.transport.un_numbers:
        yield from number.citations
    yield subject.rulebook.risk_citation


def _reasons(subject: Subject) -> Iterator[tuple[str, Reason]]:
    """Yield every reason with whose it is, the whole car's last."""
    answer = subject.assessment
    for one in answer.findings:
        rest = one.residual.reasons if one.residual else ()
        for reason in (*one.reasons, *one.hv_reasons, *rest):
            yield one.finding_id, reason
    for reason in (*answer.stop_conditions, *answer.quarantine.reasons, *answer.transport.reasons):
        yield "", reason

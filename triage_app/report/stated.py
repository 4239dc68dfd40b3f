"""Case + assessment -> the statement of its report, in the words that the report uses."""

from collections.abc import Iterator

from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.cases import case_to_json
from triage_app.domain.case import Finding
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.evidence import EvidenceRecord
from triage_app.domain.evidence_standing import standing_of
from triage_app.domain.findings import case_facts
from triage_app.domain.inspection.checklist import checklist_of
from triage_app.domain.inspection.entries import ItemState
from triage_app.domain.plan.decision import Line
from triage_app.domain.plan.figures import Price
from triage_app.domain.plan.given import inputs_of
from triage_app.domain.plan.money import amount
from triage_app.domain.plan.plan import Plan, make_plan
from triage_app.domain.review.queue import FindingReview
from triage_app.report import labels
from triage_app.report.plain_text import one_line
from triage_app.report.statement import Item, Statement, Topic
from triage_app.report.subject import Subject

_Facts = tuple[tuple[str, str], ...]


def statement_of(subject: Subject) -> Statement:
    """Return everything that is compared from report to report."""
    case = subject.case
    items = [
        *_findings(subject),
        *(_record(subject, record) for record in case.evidence),
        *_money(subject),
        _whole(subject),
    ]
    return Statement(
        case_id=case.id,
        case_revision=case.revision,
        case_sha256=sha256_of(case_to_json(case).encode(errors="surrogatepass")),
        items=tuple(items),
    )


def _findings(subject: Subject) -> Iterator[Item]:
    reviews = {item.finding.id: item for item in subject.queue.items}
    gone = [finding for finding in subject.case.findings if finding.withdrawn]
    for finding in (*subject.findings, *gone):
        withdrawal = finding.withdrawn
        yield Item(
            topic=Topic.FINDING,
            id=finding.id,
            title=f"Finding {finding.number}. {subject.name(finding)}",
            withdrawn=f"{one_line(withdrawal.reason)} ({withdrawal.signed.by})"
            if withdrawal
            else "",
            facts=() if withdrawal else _of_finding(subject, finding, reviews.get(finding.id)),
        )


def _of_finding(subject: Subject, finding: Finding, review: FindingReview | None) -> _Facts:
    answer, tags = subject.of_finding(finding), finding.tags
    rest = answer.residual
    shown = sorted({subject.photo_names[mark.photo_id] for mark in finding.marks})
    return (
        ("Part and damage", subject.name(finding)),
        ("Where", labels.place_label(tags, subject.rulebook)),
        ("Hazard now", labels.risk_word(answer.risk)),
        ("High voltage", labels.HV_FLAG_WORDS[answer.hv_flag]),
        ("Repair needed", labels.DISPOSITION_WORDS[answer.disposition]),
        ("What remains", labels.risk_word(rest.risk) if rest else "as hazard now"),
        ("Size", labels.sizes(finding)),
        ("Distance to nearest HV part", labels.distance(finding)),
        ("HV conductor visible", labels.yes_no(tags.hv_conductor_visible)),
        ("A cable end hangs free", labels.yes_no(tags.hangs_free)),
        ("Photos", labels.listed(shown) or "none"),
        ("Marks", str(len(finding.marks))),
        ("Review", _review(review)),
        ("Note", one_line(tags.note) or "none"),
        *((f"Test: {test.text}", "outstanding") for test in subject.open_tests_of(finding)),
    )


def _review(review: FindingReview | None) -> str:
    if review is None or review.signed is None:
        return "not signed"
    given = review.signed.given
    return (
        f"{given.verdict} by {one_line(review.signed.signed.by)}: {labels.risk_word(given.risk)}, "
        f"{labels.HV_FLAG_IN_LINE[given.hv_flag]}"
    )


def _record(subject: Subject, record: EvidenceRecord) -> Item:
    entry = record.entry
    test = subject.rulebook.open_tests.get(entry.test) if entry.test else None
    outcome = str(entry.outcome or entry.instruction or "recorded")
    value = "none" if entry.value is None else f"{entry.value:g} {entry.unit}"
    return Item(
        topic=Topic.RECORD,
        id=record.id,
        title=f"Record {record.number}. {test.text if test else str(entry.kind).capitalize()}",
        facts=(
            ("Result", outcome),
            ("Value", value),
            ("Standing", str(standing_of(subject.case, record))),
            ("Note", one_line(entry.note) or "none"),
        ),
    )


def _money(subject: Subject) -> Iterator[Item]:
    given = subject.case.plan
    if given is None:
        return
    try:
        plan = make_plan(
            case_facts(subject.case, subject.rulebook.components),
            subject.rulebook,
            inputs_of(given, subject.case.incident),
            numbers={finding.id: finding.number for finding in subject.case.findings},
        )
    except InvalidInputError as error:
        yield _decision((("Price range", f"cannot be reckoned: {error}"),))
        return
    yield _decision(_range(plan))
    for operation, price in sorted(given.prices.items()):
        yield Item(topic=Topic.PRICE, id=operation, title=operation, facts=_price(price))


def _decision(facts: _Facts) -> Item:
    return Item(topic=Topic.DECISION, id="decision", title="Price range and decision", facts=facts)


def _range(plan: Plan) -> _Facts:
    currency, span = plan.inputs.figures.currency, plan.span
    most = "not known, prices are missing" if span.most is None else f"{amount(span.most):,}"
    line = plan.line
    threshold = (
        f"{line.limit:,.2f} {currency}, {line.words}"
        if isinstance(line, Line)
        else " ".join(line.missing)
    )
    names = [plan.question(test).label for test in plan.hinges.tests]
    return (
        ("Price range, without tax", f"{amount(span.least):,} to {most} {currency}"),
        ("Threshold", threshold),
        ("Decision", "; ".join(sorted(map(str, plan.hinges.possible)))),
        ("Hinges on", "; ".join(names) or "no test: it is settled"),
    )


def _price(price: Price) -> _Facts:
    values = (
        ("Hours", price.hours),
        ("Part", price.part),
        ("Outside service", price.outside),
        ("Each day", price.day),
        ("Supplier", price.supplier or None),
        ("Quoted on", price.quoted_on),
    )
    return tuple((name, str(value)) for name, value in values if value is not None)


def _whole(subject: Subject) -> Item:
    answer, case = subject.assessment, subject.case
    items = checklist_of(case, subject.rulebook).items
    counted = {state: sum(one.state is state for one in items) for state in ItemState}
    return Item(
        topic=Topic.CASE,
        id="case",
        title="The case as a whole",
        facts=(
            ("Hazard now, overall", labels.risk_word(answer.risk) if answer.risk else "not said"),
            ("Make-safe record", str(subject.safing.state)),
            ("Where the car stands", answer.quarantine.label),
            ("How the battery may travel", answer.transport.label),
            ("Not accessible", str(counted[ItemState.NOT_ACCESSIBLE])),
            ("Not inspected", str(counted[ItemState.NOT_INSPECTED])),
            ("Photos", str(len(case.photos))),
            ("Vehicle", one_line(case.vehicle.description) or labels.NOT_RECORDED),
            ("VIN", case.vehicle.vin or labels.NOT_RECORDED),
            ("Incident", one_line(case.incident.what_happened) or labels.NOT_RECORDED),
            ("Rule book", answer.stamp.words),
        ),
    )

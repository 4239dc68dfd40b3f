"""Required actions, outstanding tests and withdrawn findings of the whole case."""

from rules import Action, OpenTest
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, words
from triage_app.report.model import Block, Cell, Table
from triage_app.report.subject import Subject


def actions(subject: Subject, numbering: Numbering) -> list[Block]:
    """All steps in order; their numbers are those that the findings refer to."""
    title = heading(1, "Required actions", "actions")
    ordered = sorted(subject.assessment.actions, key=lambda action: action.order)
    if not ordered:
        return [title, words(texts.ACTIONS_NONE)]
    return [
        title,
        intro(texts.ACTIONS_INTRO),
        Table(
            title="Required actions in order",
            header=("Step", "What must be done", "Kind", "For findings"),
            rows=tuple(_action_row(subject, action) for action in ordered),
            width_fracs=(0.08, 0.59, 0.15, 0.18),
            caption=numbering.next(
                "Table", "Required actions in the order in which they are done."
            ),
        ),
    ]


def _action_row(subject: Subject, action: Action) -> tuple[Cell, ...]:
    number = str(subject.step_numbers[action.id])
    kind = "Safing" if action.is_safing else action.signal_word.name.capitalize()
    return (
        cell(number, strong=True),
        cell(action.text),
        cell(kind, strong=action.is_safing),
        cell(_findings_with(subject, action)),
    )


def tests(subject: Subject, numbering: Numbering) -> list[Block]:
    """All outstanding tests, by whom, and for which findings."""
    title = heading(1, "Tests outstanding", "tests")
    if not subject.open_tests:
        return [title, words(texts.TESTS_NONE)]
    return [
        title,
        intro(texts.TESTS_INTRO),
        Table(
            title="Tests outstanding",
            header=("Test", "By", "For findings"),
            rows=tuple(
                (cell(test.text), cell(test.by), cell(_findings_with(subject, test)))
                for test in subject.open_tests
            ),
            width_fracs=(0.6, 0.22, 0.18),
            caption=numbering.next("Table", "Tests whose results are still missing."),
        ),
    ]


def withdrawn(subject: Subject, numbering: Numbering) -> list[Block]:
    """Return findings that no longer count, with reason and name; nothing when there are none."""
    found = [finding for finding in subject.case.findings if finding.withdrawn]
    if not found:
        return []
    rows = tuple(
        (
            cell(str(finding.number), strong=True),
            cell(subject.name(finding)),
            cell(finding.withdrawn.reason),
            cell(f"{finding.withdrawn.signed.by}, {labels.moment(finding.withdrawn.signed.at)}"),
        )
        for finding in found
        if finding.withdrawn
    )
    return [
        heading(1, "Withdrawn findings", "withdrawn"),
        intro(texts.WITHDRAWN_INTRO),
        Table(
            title="Withdrawn findings",
            header=("No.", "Part and damage", "Reason", "Withdrawn by"),
            rows=rows,
            width_fracs=(0.08, 0.27, 0.4, 0.25),
            caption=numbering.next("Table", "Withdrawn findings."),
        ),
    ]


def _findings_with(subject: Subject, wanted: Action | OpenTest) -> str:
    numbers = [
        finding.number
        for finding in subject.findings
        if wanted in (*subject.of_finding(finding).actions, *subject.open_tests_of(finding))
    ]
    if not numbers:
        return "the whole case"
    return "all" if len(numbers) == len(subject.findings) else labels.numbers_listed(numbers)

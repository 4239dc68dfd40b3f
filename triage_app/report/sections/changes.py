"""What was added, changed and withdrawn since the report that was released last."""

from collections import Counter
from collections.abc import Sequence

from triage_app.domain.errors import InvalidInputError
from triage_app.report import labels, texts
from triage_app.report.blocks import Numbering, cell, heading, intro, lead, link, words
from triage_app.report.carried import statement_in
from triage_app.report.model import Block, Cell, Paragraph, Table, Text
from triage_app.report.plain_text import one_line
from triage_app.report.revision import Difference, Kind, differences
from triage_app.report.statement import Statement, Topic
from triage_app.report.subject import Subject
from triage_app.services.reporting import Earlier

_TITLE = "Changes since the last released report"
_ONLY_ONE = (Topic.DECISION, Topic.CASE)


def since_last_release(subject: Subject, now: Statement) -> tuple[Difference, ...] | None:
    """Return what differs from the last released report; None where that cannot be told.

    A file that another version released may carry no statement; the report then says so.
    """
    if subject.material.earlier is None:
        return ()
    try:
        before = statement_in(subject.material.earlier.data)
    except InvalidInputError:
        return None
    return None if before is None else differences(before, now)


def line(subject: Subject, found: Sequence[Difference] | None) -> list[Paragraph]:
    """Return for page one how much changed; nothing where no report was released before."""
    earlier = subject.material.earlier
    if earlier is None:
        return []
    texts_: list[Text] = [Text(text="Supplement.", strong=True)]
    if found is None:
        said = f" {texts.NOT_COMPARABLE} "
    elif not found:
        said = f" {texts.NOTHING_CHANGED} {_which(earlier)}. "
    else:
        said = f" Since {_which(earlier)}: {_counted(found)}. "
    return [Paragraph(texts=(*texts_, Text(text=said), link("Side by side", "changes")))]


def blocks(
    subject: Subject, found: Sequence[Difference] | None, numbering: Numbering
) -> list[Block]:
    """Return every difference, old and new side by side; nothing in a first report."""
    earlier = subject.material.earlier
    if earlier is None:
        return []
    made: list[Block] = [
        heading(1, _TITLE, "changes", starts_page=True),
        lead("Compared with:", f"{_which(earlier)}; SHA-256 of its file {earlier.report.sha256}."),
    ]
    if found is None:
        return [*made, words(texts.NOT_COMPARABLE)]
    if not found:
        return [*made, words(f"{texts.NOTHING_CHANGED} {_which(earlier)}.")]
    return [
        *made,
        intro(texts.CHANGES_INTRO),
        Table(
            title=_TITLE,
            header=(
                "Change",
                "What",
                f"Revision {earlier.report.case_revision}",
                f"Revision {subject.case.revision}, now",
            ),
            rows=tuple(_row(one) for one in found),
            width_fracs=(0.12, 0.26, 0.31, 0.31),
            caption=numbering.next("Table", "What changed, old and new side by side."),
        ),
    ]


def _row(one: Difference) -> tuple[Cell, ...]:
    what = f"{one.title}: {one.fact}" if one.fact else one.title
    return (
        cell(str(one.kind), strong=one.kind is not Kind.CHANGED),
        cell(one_line(what)),
        cell(one_line(one.before)),
        cell(one_line(one.after)),
    )


def _counted(found: Sequence[Difference]) -> str:
    """Count things and not rows: a finding of which three facts changed is one."""
    things = {(one.topic, one.kind, one.title) for one in found}
    counts = Counter((topic, kind) for topic, kind, _ in things)
    said = []
    for topic in Topic:
        for kind in Kind:
            number = counts[topic, kind]
            if number and topic in _ONLY_ONE:
                said.append(f"{topic} {kind}")
            elif number:
                said.append(f"{labels.count(number, topic)} {kind}")
    return labels.listed(said)


def _which(earlier: Earlier) -> str:
    report = earlier.report
    return (
        f"the report of revision {report.case_revision}, released by {one_line(report.issued.by)}, "
        f"{labels.moment(report.issued.at)}"
    )

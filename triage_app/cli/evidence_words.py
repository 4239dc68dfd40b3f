"""Records of evidence, and answers before and after, as lines for a terminal."""

from collections.abc import Iterator

from rules import Likelihood
from triage_app.cli.words import printable
from triage_app.domain.case import Case
from triage_app.domain.evidence import EvidenceEntry, EvidenceRecord
from triage_app.domain.evidence_standing import Standing, changed_findings, standing_of
from triage_app.domain.signed import Signed
from triage_app.domain.what_changed import Changes, Level, LevelChange, ListChange, ListName

_GRADES = {True: ", worse", False: ", less", None: ""}
_WITH_IDS = {
    ListName.RULES,
    ListName.HV_REASONS,
    ListName.RESIDUAL_RULES,
    ListName.STOP_CONDITIONS,
}


def record_lines(case: Case, record: EvidenceRecord) -> Iterator[str]:
    """Yield a record: what it says of what, who put it there, and what it is worth now."""
    about = "the whole car"
    if record.finding_id is not None:
        about = f"finding {case.finding(record.finding_id).number}"
    standing = standing_of(case, record)
    yield printable(f"Record {record.number}, {about}: {_said(record.entry)}: {standing}.")
    for line in (_criterion(record.entry), _instrument(record.entry), record.entry.note):
        if line:
            yield f"  {printable(line)}"
    changed = [str(finding.number) for finding in changed_findings(case, record)]
    if changed and record.finding_id is None and standing is Standing.COUNTS:
        yield f"  It says nothing of what changed since: finding {', '.join(changed)}."
    yield f"  recorded by {_signed(record.recorded)}"
    for decision in record.decisions:
        why = f" because: {printable(decision.reason)}" if decision.reason else ""
        yield f"  {decision.verdict} by {_signed(decision.signed)}{why}"


def change_lines(case: Case, changes: tuple[Changes, ...]) -> Iterator[str]:
    """Yield what would be different, the case first; one line when nothing would."""
    numbers = {str(finding.id): finding.number for finding in case.findings}
    if not changes:
        yield "Nothing would be different."
    for one in changes:
        yield "The case" if one.finding_id is None else f"Finding {numbers[one.finding_id]}"
        for level in one.levels:
            yield f"  {_level_line(level)}"
        for each in one.lists:
            yield from _list_lines(each)


def _level_line(change: LevelChange) -> str:
    grade = _GRADES[change.is_worse]
    return f"{change.what}: {_level(change.before)} -> {_level(change.after)}{grade}"


def _list_lines(change: ListChange) -> Iterator[str]:
    for sign, items in (("+", change.added), ("-", change.dropped)):
        for item in items:
            text = f"{item.id}: {item.text}" if change.what in _WITH_IDS else item.text
            yield f"  {sign} {change.what}: {printable(text)}"


def _level(level: Level | None) -> str:
    if level is None:
        return "none"
    return level.value if isinstance(level, Likelihood) else level.name.lower().replace("_", " ")


def _said(entry: EvidenceEntry) -> str:
    if entry.test is not None:
        value = "" if entry.value is None else f", {entry.value:g} {entry.unit}"
        return f"{entry.test}, {entry.outcome}{value}"
    return f"{entry.kind}, {entry.instruction}" if entry.instruction else str(entry.kind)


def _criterion(entry: EvidenceEntry) -> str:
    given = entry.criterion
    if given is None:
        missing = entry.test is not None
        return "the maker's criterion is not given: it counts as inconclusive" if missing else ""
    return f"the maker asks for: {given.text} ({given.document}, {given.document_date})"


def _instrument(entry: EvidenceEntry) -> str:
    used = entry.instrument
    if used is None:
        return ""
    due = used.calibration_due or "not known"
    serial = f" {used.serial}" if used.serial else ""
    return f"measured with {used.name}{serial}, calibration due: {due}"


def _signed(signed: Signed) -> str:
    return f"{printable(signed.by)}, {signed.at:%Y-%m-%d %H:%M} UTC"

"""Put on record what was found out later, and accept, decline or withdraw it; list the records."""

import argparse
from collections.abc import Callable
from datetime import date

from rules import EvidenceKind, OpenTestId, TestOutcome
from triage_app.cli.command import Command, Desk
from triage_app.cli.documents import EvidenceDocument, StandingRecord, show
from triage_app.cli.evidence_words import record_lines
from triage_app.cli.finders import finding_numbered, record_numbered
from triage_app.cli.words import HV_NOTICE
from triage_app.domain.case import Case
from triage_app.domain.evidence import (
    EvidenceEntry,
    EvidenceRecord,
    Instruction,
    Instrument,
    MakerCriterion,
)
from triage_app.domain.evidence_standing import Standings

_OUTCOMES = {
    "met": TestOutcome.MET,
    "not-met": TestOutcome.NOT_MET,
    "inconclusive": TestOutcome.INCONCLUSIVE,
}


def _test_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument(
        "finding", metavar="FINDING", type=int, nargs="?", help="its number; else the whole car"
    )
    parser.add_argument(
        "--test", metavar="ID", required=True, help="see: underbody check-rules --list"
    )
    parser.add_argument(
        "--outcome", choices=list(_OUTCOMES), required=True, help="against the maker's criterion"
    )
    measured = parser.add_argument_group("what was measured")
    measured.add_argument("--value", metavar="V", type=float, help="measured value")
    measured.add_argument("--unit", metavar="TEXT", default="", help="its unit")
    measured.add_argument("--instrument", metavar="TEXT", default="", help="measured with what")
    measured.add_argument("--serial", metavar="TEXT", default="", help="its serial number")
    measured.add_argument(
        "--calibration-due", metavar="DATE", type=date.fromisoformat, help="such as 2031-11-30"
    )
    _maker_arguments(parser, "the maker's criterion; without it a result counts as inconclusive")
    _common_arguments(parser)


def _replacement_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("finding", metavar="FINDING", type=int, help="its number")
    _maker_arguments(parser, "the maker's instruction it was fitted by")
    _common_arguments(parser)


def _instruction_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("finding", metavar="FINDING", type=int, help="its number")
    parser.add_argument(
        "--says",
        choices=[each.value for each in Instruction],
        required=True,
        help="what the part needs by the maker; it can raise the answer, never lower it",
    )
    _maker_arguments(parser, "where the maker says so; all three are needed")
    _common_arguments(parser)


def _maker_arguments(parser: argparse.ArgumentParser, title: str) -> None:
    maker = parser.add_argument_group(title)
    maker.add_argument("--criterion", metavar="TEXT", default="", help="what the maker asks for")
    maker.add_argument("--document", metavar="TEXT", default="", help="the maker's document")
    maker.add_argument(
        "--document-date", metavar="TEXT", default="", help="its date or edition, or 'undated'"
    )


def _common_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--note", metavar="TEXT", default="", help="anything else")
    parser.add_argument(
        "--retest-of", metavar="RECORD", type=int, help="supersedes this record once accepted"
    )
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _record_test(options: argparse.Namespace, desk: Desk) -> int:
    entry = EvidenceEntry(
        kind=EvidenceKind.TEST_RESULT,
        test=OpenTestId(options.test),
        outcome=_OUTCOMES[options.outcome],
        value=options.value,
        unit=options.unit,
        instrument=_instrument(options),
        criterion=_criterion(options),
        note=options.note,
    )
    return _record(options, desk, entry)


def _record_replacement(options: argparse.Namespace, desk: Desk) -> int:
    entry = EvidenceEntry(
        kind=EvidenceKind.PART_REPLACED, criterion=_criterion(options), note=options.note
    )
    return _record(options, desk, entry)


def _record_instruction(options: argparse.Namespace, desk: Desk) -> int:
    entry = EvidenceEntry(
        kind=EvidenceKind.MAKER_INSTRUCTION,
        instruction=Instruction(options.says),
        criterion=_criterion(options),
        note=options.note,
    )
    return _record(options, desk, entry)


def _instrument(options: argparse.Namespace) -> Instrument | None:
    if not (options.instrument or options.serial or options.calibration_due):
        return None
    return Instrument(
        name=options.instrument, serial=options.serial, calibration_due=options.calibration_due
    )


def _criterion(options: argparse.Namespace) -> MakerCriterion | None:
    if not (options.criterion or options.document or options.document_date):
        return None
    return MakerCriterion(
        text=options.criterion, document=options.document, document_date=options.document_date
    )


def _record(options: argparse.Namespace, desk: Desk, entry: EvidenceEntry) -> int:
    by = desk.operator
    case = desk.case(options.case)
    about = None if options.finding is None else finding_numbered(case, options.finding).id
    retest = options.retest_of
    after = desk.services.evidence.record(
        case,
        entry,
        by=by,
        finding_id=about,
        replaces=None if retest is None else record_numbered(case, retest).id,
    )
    return _say(options, after, after.evidence[-1])


def _decision_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("record", metavar="RECORD", type=int, help="its number")
    parser.add_argument("--json", action="store_true", help="print the case as JSON")


def _reason_arguments(parser: argparse.ArgumentParser) -> None:
    _decision_arguments(parser)
    parser.add_argument("--reason", metavar="TEXT", required=True, help="goes on record")


def _accept(options: argparse.Namespace, desk: Desk) -> int:
    by = desk.operator
    case = desk.case(options.case)
    record = record_numbered(case, options.record)
    after = desk.services.evidence.accept(case.id, record.id, by=by)
    return _say(options, after, after.evidence_record(record.id))


def _decline(options: argparse.Namespace, desk: Desk) -> int:
    return _decide(options, desk, desk.services.evidence.decline)


def _withdraw(options: argparse.Namespace, desk: Desk) -> int:
    return _decide(options, desk, desk.services.evidence.withdraw)


def _decide(options: argparse.Namespace, desk: Desk, decide: Callable[..., Case]) -> int:
    by = desk.operator
    case = desk.case(options.case)
    record = record_numbered(case, options.record)
    after = decide(case.id, record.id, reason=options.reason, by=by)
    return _say(options, after, after.evidence_record(record.id))


def _say(options: argparse.Namespace, case: Case, record: EvidenceRecord) -> int:
    if options.json:
        show(case)
        return 0
    for line in record_lines(case, record):
        print(line)
    return 0


def _list_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="reference or id")
    parser.add_argument("--json", action="store_true", help="print as JSON")


def _list(options: argparse.Namespace, desk: Desk) -> int:
    case = desk.case(options.case)
    if options.json:
        show(_document(case))
        return 0
    if case.evidence:
        print(HV_NOTICE)
    for record in case.evidence:
        for line in record_lines(case, record):
            print(line)
    print(f"{len(case.evidence)} records of evidence.")
    return 0


def _document(case: Case) -> EvidenceDocument:
    standings = Standings(case)
    return EvidenceDocument(
        records=tuple(
            StandingRecord(
                record=record,
                standing=standings.of(record),
                changed_findings=tuple(one.number for one in standings.changed(record)),
            )
            for record in case.evidence
        )
    )


COMMANDS = (
    Command(
        name="record-test",
        about="put a test result on record; it counts once another named person accepts it",
        arguments=_test_arguments,
        run=_record_test,
    ),
    Command(
        name="record-replacement",
        about="put on record that the part of a finding was replaced",
        arguments=_replacement_arguments,
        run=_record_replacement,
    ),
    Command(
        name="record-instruction",
        about="put on record what the vehicle maker says that a part needs",
        arguments=_instruction_arguments,
        run=_record_instruction,
    ),
    Command(
        name="evidence",
        about="list the records of evidence of a case and what each is worth now",
        arguments=_list_arguments,
        run=_list,
    ),
    Command(
        name="accept-evidence",
        about="let a record of somebody else count",
        arguments=_decision_arguments,
        run=_accept,
    ),
    Command(
        name="decline-evidence",
        about="say why a record of somebody else may not count",
        arguments=_reason_arguments,
        run=_decline,
    ),
    Command(
        name="withdraw-evidence",
        about="take a record out of use; it stays on record with the reason",
        arguments=_reason_arguments,
        run=_withdraw,
    ),
)

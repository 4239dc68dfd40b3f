"""Take in a whole case in one go from a case file (TOML) and the photos beside it.

Everything that can be checked is checked before anything is stored. Ids are made from the text
of the case file, so that running the same file again finishes a run that was cut short and
otherwise changes nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from triage_app.casefile.canonical import sha256_of
from triage_app.domain.case import Case
from triage_app.domain.errors import InvalidInputError, PhotoRejectedError
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, MarkId, PhotoId, SafingId
from triage_app.domain.inspection.entries import Item
from triage_app.domain.inspection.items import items_of
from triage_app.domain.permissions import Action
from triage_app.domain.signed import Operator, Signed
from triage_app.services.case_evidence import checker, put_on_record
from triage_app.services.case_gate import decide, inspect, point_at
from triage_app.services.case_make_safe import put_entry, rehearsal
from triage_app.services.case_plan import Checks, Plan, PlannedFinding, key_of, plan_case, wrong
from triage_app.services.intake import PhotoAnswer, PhotoOutcome
from triage_app.services.permission import require
from triage_app.services.services import Services


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFileRun:
    """The case as it now is, and the answer to each photo in the order of the file."""

    case: Case
    photos: tuple[PhotoOutcome, ...]


def load_case_file(
    services: Services, folder: Traversable, toml_text: str, *, by: Operator
) -> CaseFileRun:
    """Open the case that ``toml_text`` describes, with its photos from ``folder``.

    ``folder`` is a Path, or a folder of package files. Raises InvalidInputError naming the field
    (then nothing was stored), PhotoRejectedError when a photo cannot be used (then the case
    holds the others, and the same case file may be run again), StorageError.
    """
    checks = Checks(
        tags=services.marking.check_tags,
        evidence=checker(services.evidence, by),
        make_safe=rehearsal(services.safing, by),
        signed=Signed(by=by.name, at=services.clock()),
    )
    plan = plan_case(toml_text, folder, checks)
    if plan.decision is not None:
        require(by, Action.DECIDE_ADMISSION)
    _check_items(services, plan, plan.case(checks.signed))
    case = services.intake.open_case(
        by=by,
        reference=plan.reference,
        vehicle=plan.vehicle,
        incident=plan.incident,
        case_id=case_id_of(toml_text),
    )
    outcomes, photo_ids = _take_in_photos(services, case, plan, by)
    for number, finding in enumerate(plan.findings, start=1):
        case = _mark(services, case, plan.key, number, finding, photo_ids, by)
    _put_on_record(services, case, plan, by)
    _at_the_gate(services, case, plan, photo_ids, by)
    _make_safe(services, case.id, plan, photo_ids, by)
    return CaseFileRun(case=services.cases.get(case.id), photos=outcomes)


def case_id_of(toml_text: str) -> CaseId:
    """Return the id of the case that a case file with this text opens."""
    return CaseId(f"F{key_of(toml_text)}")


def _check_items(services: Services, plan: Plan, case: Case) -> None:
    """Raise InvalidInputError for a part that the checklist of this car does not have."""
    listed = items_of(case, services.rulebook.components)
    for number, planned in enumerate(plan.inspection, start=1):
        for part in planned.parts:
            if Item(zone=planned.zone, component=part) not in listed:
                raise wrong(
                    f"inspection {number}",
                    f"the checklist of this car has no '{part}' in '{planned.zone}'",
                )
        if planned.zone not in services.rulebook.zones:
            raise wrong(f"inspection {number}, zone", f"there is no zone '{planned.zone}'")


def _at_the_gate(
    services: Services, case: Case, plan: Plan, photo_ids: Mapping[str, PhotoId], by: Operator
) -> None:
    if plan.decision is not None:
        decide(services, services.cases.get(case.id), plan.key, plan.decision, by)
    for number, planned in enumerate(plan.inspection, start=1):
        inspect(services, services.cases.get(case.id), plan.key, number, planned, by)
    for number, expected in enumerate(plan.expected_photos, start=1):
        point_at(services, case, plan.key, number, expected, photo_ids, by)


def _put_on_record(services: Services, case: Case, plan: Plan, by: Operator) -> None:
    for number, finding in enumerate(plan.findings, start=1):
        for count, planned in enumerate(finding.evidence, start=1):
            case = put_on_record(
                services.evidence,
                case,
                planned,
                record_id=EvidenceId(f"F{plan.key}-{number}-E{count}"),
                finding_id=FindingId(f"F{plan.key}-{number}"),
                by=by,
            )
    for count, planned in enumerate(plan.evidence, start=1):
        record_id = EvidenceId(f"F{plan.key}-E{count}")
        case = put_on_record(
            services.evidence, case, planned, record_id=record_id, finding_id=None, by=by
        )


def _make_safe(
    services: Services, case_id: CaseId, plan: Plan, photo_ids: Mapping[str, PhotoId], by: Operator
) -> None:
    case = services.cases.get(case_id)
    for number, entry in enumerate(plan.make_safe, start=1):
        entry_id = SafingId(f"F{plan.key}-S{number}")
        case = put_entry(
            services.safing, case, entry, entry_id=entry_id, photo_ids=photo_ids, by=by
        )


def _take_in_photos(
    services: Services, case: Case, plan: Plan, by: Operator
) -> tuple[tuple[PhotoOutcome, ...], dict[str, PhotoId]]:
    outcomes, photo_ids = [], {}
    for name, (file_name, file) in plan.photos.items():
        try:
            data = file.read_bytes()
        except OSError as error:
            raise PhotoRejectedError(
                f"The file '{file_name}' cannot be read. Case {case.reference} holds the photos "
                "before it; run the same case file again when the file can be read."
            ) from error
        outcome = _take_in(services, case, file_name, data, by)
        outcomes.append(outcome)
        if outcome.photo is not None:
            photo_ids[name] = outcome.photo.id
    refused = [outcome for outcome in outcomes if outcome.photo is None]
    if refused:
        raise PhotoRejectedError(
            f"The photo '{refused[0].file_name}' was refused: {refused[0].reason} "
            f"Case {case.reference} holds the other photos and no finding yet; replace the file "
            "and run the same case file again."
        )
    return tuple(outcomes), photo_ids


def _take_in(
    services: Services, case: Case, file_name: str, data: bytes, by: Operator
) -> PhotoOutcome:
    known = case.photo_with(sha256_of(data))
    if known is not None:  # From an earlier run; decoding it again would only take time.
        return PhotoOutcome(file_name=file_name, answer=PhotoAnswer.DUPLICATE, photo=known)
    return services.intake.add_photo(case.id, data, file_name=file_name, by=by)


def _mark(
    services: Services,
    case: Case,
    key: str,
    number: int,
    finding: PlannedFinding,
    photo_ids: Mapping[str, PhotoId],
    by: Operator,
) -> Case:
    finding_id = FindingId(f"F{key}-{number}")
    known = case.find_finding(finding_id)
    if known and known.revision >= len(finding.marks):
        return case  # It was drawn whole before; what people changed since stays.
    if not finding.marks:
        return services.marking.add_finding(case.id, finding.tags, by=by, finding_id=finding_id)
    for count, mark in enumerate(finding.marks, start=1):
        try:
            case = services.marking.mark(
                case.id,
                photo_ids[mark.photo],
                mark.outline,
                by=by,
                finding_id=finding_id,
                mark_id=MarkId(f"F{key}-{number}-{count}"),
                tags=finding.tags if case.find_finding(finding_id) is None else None,
            ).case
        except InvalidInputError as error:
            raise wrong(mark.where, str(error)) from error
    return case

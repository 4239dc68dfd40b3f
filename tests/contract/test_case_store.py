"""What every case store promises, whatever it is kept in."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import NOON, SIGNED, a_case, a_photo, some_tags
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.cases import case_to_json
from triage_app.domain.case import Case, IssuedReport
from triage_app.domain.commands import (
    AddMark,
    AddPhoto,
    DescribeVehicle,
    RemoveMark,
    ReshapeMark,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.errors import InvalidInputError, NotFoundError, StaleCaseError
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import CaseId, FindingId, MarkId, PhotoId, Sha256
from triage_app.domain.journal import first_bad_entry
from triage_app.domain.report_commands import RecordReport
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Vehicle
from triage_app.services.ports import CaseStore
from triage_app.storage.open import Stores

NOWHERE = CaseId("nowhere")


@pytest.fixture
def cases(stores: Stores) -> CaseStore:
    return stores.cases


def a_mark_command(number: int = 1, *, finding: str | None = None) -> AddMark:
    return AddMark(
        finding_id=FindingId(finding or f"F{number}"),
        mark_id=MarkId(f"M{number}"),
        photo_id=a_photo().id,
        outline=rectangle(0.1, 0.1, 0.2, 0.2),
    )


def opened(cases: CaseStore, reference: str = "R-0001") -> Case:
    return cases.create(a_case(reference=reference), SIGNED)


def later(minutes: int, by: str = SIGNED.by) -> Signed:
    return Signed(by=by, at=NOON + timedelta(minutes=minutes))


def test_a_case_comes_back_as_it_was_stored(cases: CaseStore) -> None:
    case = opened(cases)
    assert cases.get(case.id) == a_case()
    assert cases.id_of("R-0001") == case.id


def test_opening_a_case_twice_gives_the_stored_one(cases: CaseStore) -> None:
    case = opened(cases)
    changed = cases.apply(case.id, a_mark_command(), SIGNED).after
    assert cases.create(a_case(), later(5)) == changed
    assert len(cases.journal(case.id)) == 2


def test_a_reference_belongs_to_one_case(cases: CaseStore) -> None:
    opened(cases)
    with pytest.raises(InvalidInputError, match="already a case 'R-0001'"):
        cases.create(replace(a_case(), id=CaseId("another")), SIGNED)
    assert cases.count() == 1


def test_an_unknown_case_is_not_found(cases: CaseStore) -> None:
    with pytest.raises(NotFoundError):
        cases.get(NOWHERE)
    with pytest.raises(NotFoundError):
        cases.journal(NOWHERE)
    with pytest.raises(NotFoundError):
        cases.apply(NOWHERE, a_mark_command(), SIGNED)
    with pytest.raises(NotFoundError, match="'R-9'"):
        cases.id_of("R-9")


def test_a_change_raises_the_revision_by_one_and_is_stored(cases: CaseStore) -> None:
    case = opened(cases)
    applied = cases.apply(case.id, a_mark_command(), SIGNED)
    assert applied.before == case
    assert applied.after.revision == case.revision + 1
    assert cases.get(case.id) == applied.after
    assert [finding.id for finding in applied.after.findings] == ["F1"]


def test_a_repeated_change_writes_nothing(cases: CaseStore) -> None:
    case = opened(cases)
    first = cases.apply(case.id, a_mark_command(), SIGNED).after
    again = cases.apply(case.id, a_mark_command(), later(1))
    assert again.before == again.after == first
    assert len(cases.journal(case.id)) == 2
    assert cases.summaries()[0].changed_at == NOON


def test_a_change_that_fails_stores_nothing(cases: CaseStore) -> None:
    case = opened(cases)
    with pytest.raises(NotFoundError, match="has no photo"):
        cases.apply(case.id, replace(a_mark_command(), photo_id=PhotoId("P9")), SIGNED)
    assert cases.get(case.id) == case
    assert len(cases.journal(case.id)) == 1


def test_two_edits_of_one_finding_revision_conflict_and_the_first_stays(cases: CaseStore) -> None:
    case = opened(cases)
    cases.apply(case.id, a_mark_command(), SIGNED)
    first = TagFinding(finding_id=FindingId("F1"), tags=some_tags(), expected_revision=1)
    second = replace(first, tags=some_tags("skid_plate", "dent"))
    kept = cases.apply(case.id, first, SIGNED).after
    with pytest.raises(StaleCaseError, match="Somebody else changed finding 1 first"):
        cases.apply(case.id, second, SIGNED)
    assert cases.get(case.id) == kept


def test_edits_of_two_findings_do_not_conflict(cases: CaseStore) -> None:
    case = opened(cases)
    for number in (1, 2):
        cases.apply(case.id, a_mark_command(number), SIGNED)
    for number in (1, 2):
        tag = TagFinding(finding_id=FindingId(f"F{number}"), tags=some_tags(), expected_revision=1)
        cases.apply(case.id, tag, SIGNED)
    assert all(finding.tags == some_tags() for finding in cases.get(case.id).findings)


def test_the_journal_says_who_did_what_when_and_what_it_changed(cases: CaseStore) -> None:
    case = opened(cases)
    cases.apply(case.id, a_mark_command(), later(1, by="Ari Adept"))
    cases.apply(case.id, DescribeVehicle(vehicle=Vehicle(plate="AB 12")), later(2))
    entries = cases.journal(case.id)
    assert [entry.kind for entry in entries] == ["case opened", "mark drawn", "vehicle described"]
    assert entries[1].signed == later(1, by="Ari Adept")
    drawn, described = json.loads(entries[1].detail), json.loads(entries[2].detail)
    assert drawn["command"]["kind"] == "mark drawn"
    assert drawn["before"] == {"findings": []}
    assert [finding["id"] for finding in drawn["after"]["findings"]] == ["F1"]
    assert list(described["before"]) == list(described["after"]) == ["vehicle"]
    assert described["after"]["vehicle"]["plate"] == "AB 12"


def test_the_journal_holds_of_a_list_only_what_changed(cases: CaseStore) -> None:
    case = opened(cases)
    for number in (1, 2):
        cases.apply(case.id, a_mark_command(number), SIGNED)
    cases.apply(case.id, RemoveMark(mark_id=MarkId("M2")), SIGNED)
    detail = json.loads(cases.journal(case.id)[-1].detail)
    assert [finding["id"] for finding in detail["before"]["findings"]] == ["F2"]
    assert detail["before"]["findings"][0]["marks"][0]["id"] == "M2"
    assert detail["after"]["findings"][0]["marks"] == []


def test_the_journal_is_whole_and_ends_with_the_hash_of_the_case(cases: CaseStore) -> None:
    case = opened(cases)
    for number in range(1, 6):
        cases.apply(case.id, a_mark_command(number), later(number))
    entries = cases.journal(case.id)
    assert first_bad_entry(entries) is None
    assert [entry.sequence for entry in entries] == [1, 2, 3, 4, 5, 6]
    assert entries[-1].case_sha256 == sha256_of(case_to_json(cases.get(case.id)))


def test_every_command_is_kept(cases: CaseStore) -> None:
    case = opened(cases)
    report = IssuedReport(
        sha256=Sha256("ab" * 32),
        case_revision=3,
        rulebook_sha256="cd" * 32,
        file_name="r.docx",
        issued=SIGNED,
    )
    for command in (
        AddPhoto(photo=a_photo(2)),
        a_mark_command(),
        ReshapeMark(
            mark_id=MarkId("M1"), outline=rectangle(0.3, 0.3, 0.5, 0.5), expected_revision=1
        ),
        WithdrawFinding(finding_id=FindingId("F1"), reason="A shadow.", expected_revision=2),
        RecordReport(report=report),
    ):
        cases.apply(case.id, command, SIGNED)
    kept = cases.get(case.id)
    assert len(kept.photos) == 2
    assert kept.findings[0].marks[0].outline == rectangle(0.3, 0.3, 0.5, 0.5)
    assert kept.findings[0].withdrawn is not None
    assert kept.reports == (report,)
    assert kept.revision == 6


def test_a_list_shows_the_newest_change_first(cases: CaseStore) -> None:
    for number in (1, 2, 3):
        cases.create(a_case(reference=f"R-{number}"), later(number))
    cases.apply(CaseId("case-r-1"), a_mark_command(), later(9))
    assert [summary.reference for summary in cases.summaries()] == ["R-1", "R-3", "R-2"]
    assert [summary.reference for summary in cases.summaries(limit=1, offset=1)] == ["R-3"]
    newest = cases.summaries(limit=1)[0]
    assert (newest.finding_count, newest.photo_count, newest.changed_at) == (1, 1, later(9).at)


def test_times_within_a_second_are_kept_in_order(cases: CaseStore) -> None:
    for number, microseconds in ((1, 0), (2, 500), (3, 50)):
        at = NOON + timedelta(microseconds=microseconds)
        cases.create(a_case(reference=f"R-{number}"), Signed(by="Erin Estimator", at=at))
    assert [summary.reference for summary in cases.summaries()] == ["R-2", "R-3", "R-1"]


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("r-1", ["R-1"]),
        ("ÉTÉ", ["R-2"]),
        ("strasse", ["R-2"]),
        ("%", ["R-3"]),
        ("_", []),
        ("\\", []),
        ("  R-  ", ["R-1", "R-2", "R-3"]),
        ("", ["R-1", "R-2", "R-3"]),
        ("nothing like it", []),
    ],
)
def test_a_search_looks_in_reference_and_vehicle(
    cases: CaseStore, search: str, found: list[str]
) -> None:
    for reference, words in (("R-1", "van"), ("R-2", "été, Straße"), ("R-3", "100 %")):
        cases.create(a_case(reference=reference, vehicle=Vehicle(description=words)), SIGNED)
    assert sorted(summary.reference for summary in cases.summaries(search=search)) == found
    assert cases.count(search=search) == len(found)


def test_the_store_knows_every_file_that_a_case_needs(cases: CaseStore) -> None:
    case = opened(cases)
    cases.apply(case.id, AddPhoto(photo=a_photo(2)), SIGNED)
    cases.create(
        replace(a_case(photos=(a_photo(2), a_photo(3))), id=CaseId("b"), reference="B"), SIGNED
    )
    assert cases.blob_names() == {a_photo(number).sha256 for number in (1, 2, 3)}


def test_an_imported_case_keeps_its_journal(cases: CaseStore, stores: Stores) -> None:
    case = opened(cases)
    changed = cases.apply(case.id, a_mark_command(), later(7)).after
    entries = cases.journal(case.id)
    with pytest.raises(InvalidInputError, match="here already"):
        cases.insert_whole(changed, entries)
    elsewhere = replace(changed, id=CaseId("else"), reference="E-1")
    cases.insert_whole(elsewhere, [replace(entry, case_id=elsewhere.id) for entry in entries])
    assert cases.get(elsewhere.id) == elsewhere
    assert [entry.kind for entry in cases.journal(elsewhere.id)] == ["case opened", "mark drawn"]
    assert stores.cases.summaries(search="E-1")[0].changed_at == later(7).at


def test_an_imported_case_may_not_take_a_reference(cases: CaseStore) -> None:
    case = opened(cases)
    with pytest.raises(InvalidInputError, match="already a case 'R-0001'"):
        cases.insert_whole(replace(case, id=CaseId("else")), [])
    assert cases.count() == 1


def test_an_imported_case_goes_on_like_any_other(cases: CaseStore) -> None:
    case = opened(cases)
    entries = cases.journal(case.id)
    elsewhere = replace(case, id=CaseId("else"), reference="E-1")
    cases.insert_whole(elsewhere, [replace(entry, case_id=elsewhere.id) for entry in entries])
    after = cases.apply(elsewhere.id, a_mark_command(), SIGNED).after
    assert after.revision == 2
    assert cases.journal(elsewhere.id)[-1].previous_hash == entries[-1].entry_hash

"""Write what this release stores, so that later ones can prove that they still read it.

``python -m tests.make_release_fixture`` once per release; what it wrote is never changed again.
"""

import json
import sys
import tempfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from rules import Powertrain, Side, TestOutcome, ZoneId
from tests.builders import (
    A_REPLACED_PART,
    AN_INSTRUMENT,
    SENIOR,
    SIGNED,
    a_case,
    a_jpeg,
    a_photo,
    a_test,
    an_instruction,
    record_of,
    some_tags,
)
from tests.contract.stand_ins import plain_summary
from triage_app import __version__
from triage_app.domain.case import Case, Finding, IssuedReport, Measures
from triage_app.domain.commands import (
    AddFinding,
    AddMark,
    AddPhoto,
    AnyCommand,
    DescribeIncident,
    DescribeVehicle,
    TagFinding,
    WithdrawFinding,
)
from triage_app.domain.evidence_commands import AcceptEvidence, DeclineEvidence, WithdrawEvidence
from triage_app.domain.geometry import Ellipse, Outline, Point, polygon, rectangle
from triage_app.domain.ids import CaseId, EvidenceId, FindingId, MarkId
from triage_app.domain.report_commands import RecordReport
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Answer, Incident, Vehicle
from triage_app.services.archive import Archive
from triage_app.storage.backup import backup
from triage_app.storage.database_copy import copy_cases, sqlite_url
from triage_app.storage.open import Stores, open_database, open_stores

RELEASES = Path(__file__).parent / "data" / "releases"
CASE_ID = CaseId("case-release")
BY_SENIOR = Signed(by=SENIOR.name, at=SIGNED.at)

VEHICLE = Vehicle(
    description="Invented van",
    plate="ÜB 12",
    vin="1M8GDM9AXKP042788",
    powertrain=Powertrain.BATTERY_ELECTRIC,
    system_voltage_v=400.0,
    battery_energy_kwh=58.5,
    battery_chemistry="NMC",
    charge_on_arrival_percent=43.0,
    odometer_km=31_415.0,
)
INCIDENT = Incident(
    happened_on="2031-05-03",
    what_happened="It hit a kerb.\nThen it stopped.",
    arrived_how="On a tow truck",
    insurer_reference="I-1",
    pre_loss_value=Decimal("21500.50"),
    currency="EUR",
    smoke=Answer.NO,
    fire=Answer.NO,
    water=Answer.YES,
)
OUTLINES: tuple[Outline, ...] = (
    rectangle(0.1, 0.2, 0.4, 0.5),
    polygon([(0.1, 0.1), (0.9, 0.2), (0.5, 0.8)]),
    Ellipse(centre=Point(0.5, 0.5), radius_x_px=30.0, radius_y_px=12.5, angle_deg=30.0),
)
MEASURES = Measures(
    length_mm=120.0,
    depth_mm=3.5,
    distance_to_hv_mm=240.0,
    distance_uncertainty_mm=12.0,
    covers_off=True,
    measured_how="steel rule",
)


def _commands(stores: Stores) -> list[AnyCommand]:
    photos = [
        replace(
            a_photo(n, sha256=stores.blobs.put(a_jpeg(160, 120, seed=n)), width_px=160),
            height_px=120,
            orange_areas=(rectangle(0.2, 0.2, 0.3, 0.3),),
        )
        for n in (1, 2)
    ]
    marks = [
        AddMark(
            finding_id=FindingId(f"F{number}"),
            mark_id=MarkId(f"M{number}"),
            photo_id=photos[number % 2].id,
            outline=outline,
        )
        for number, outline in enumerate(OUTLINES, start=1)
    ]
    tags = replace(
        some_tags(measures=MEASURES, note="Cut through."),
        zone=ZoneId("front"),
        side=Side.LEFT,
        hv_conductor_visible=True,
        hangs_free=True,
    )
    report = IssuedReport(
        sha256=stores.blobs.put(b"a Word report"),
        case_revision=9,
        rulebook_sha256="ab" * 32,
        file_name="underbody-report-R-r9.docx",
        issued=SIGNED,
    )
    return [
        DescribeVehicle(vehicle=VEHICLE),
        DescribeIncident(incident=INCIDENT),
        *(AddPhoto(photo=photo) for photo in photos),
        *marks,
        TagFinding(finding_id=FindingId("F1"), tags=tags, expected_revision=1),
        AddFinding(finding_id=FindingId("F4"), tags=some_tags("skid_plate", "dent")),
        WithdrawFinding(finding_id=FindingId("F3"), reason="A shadow.", expected_revision=1),
        RecordReport(report=report),
        *_evidence(),
    ]


def _evidence() -> list[AnyCommand]:
    """Return one of each kind of record, and one of each decision on them."""
    leak = Finding(id=FindingId("F4"), number=4, created=SIGNED)
    entries = (
        a_test(value=2.5, instrument=AN_INSTRUMENT),
        a_test("hv_circuit", TestOutcome.NOT_MET, criterion=None),
        A_REPLACED_PART,
        an_instruction(),
    )
    records = [
        record_of(entry, leak, record_id=f"E{number}")
        for number, entry in enumerate(entries, start=1)
    ]
    return [
        *records,
        record_of(entries[1], leak, record_id="E5", replaces="E2"),
        DeclineEvidence(record_id=EvidenceId("E3"), reason="Not fitted yet."),
        WithdrawEvidence(record_id=EvidenceId("E4"), reason="Another model."),
        AcceptEvidence(record_id=EvidenceId("E1")),
    ]


def _filled(stores: Stores) -> Case:
    case = stores.cases.create(replace(a_case(photos=(), reference="RELEASE"), id=CASE_ID), SIGNED)
    for command in _commands(stores):
        by_another = isinstance(command, AcceptEvidence | DeclineEvidence)
        case = stores.cases.apply(CASE_ID, command, BY_SENIOR if by_another else SIGNED).after
    return case


def main() -> None:
    target = RELEASES / __version__
    if target.exists():
        sys.exit(f"{target} is there already, and a release is never changed.")
    target.mkdir(parents=True)
    with tempfile.TemporaryDirectory() as name:
        cases_url, files_url = f"sqlite:///{name}/cases.db", f"file://{name}/files"
        stores = open_stores(cases_url, files_url, summarise=plain_summary)
        case = _filled(stores)
        bundle = Archive(cases=stores.cases, blobs=stores.blobs).export(CASE_ID, by=SENIOR)
        (target / "case.zip").write_bytes(bundle)
        expected = {
            "journal_head": stores.cases.journal(CASE_ID)[-1].entry_hash,
            "revision": case.revision,
            "findings": len(case.findings),
            "open_findings": len(case.open_findings),
            "photos": len(case.photos),
            "evidence": len(case.evidence),
        }
        (target / "expected.json").write_text(json.dumps(expected, indent=2) + "\n")
        stores.close()
        backup(cases_url, files_url, target / "backup.zip")
        source, copy = open_database(cases_url), open_database(sqlite_url(target / "cases.db"))
        copy_cases(source, copy)
        source.dispose()
        copy.dispose()


if __name__ == "__main__":
    main()

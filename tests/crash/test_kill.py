"""A writer that is killed at any moment loses nothing that it was told is stored.

This is the death of a program, not of the machine: what the system was given stays given.
"""

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.contract.stand_ins import plain_summary
from triage_app.casefile.canonical import sha256_of
from triage_app.casefile.cases import case_to_json
from triage_app.domain.case import Finding
from triage_app.domain.commands import AddMark, AddPhoto, TagFinding
from triage_app.domain.ids import CaseId
from triage_app.domain.journal import first_bad_entry
from triage_app.storage.open import Stores, open_stores
from triage_app.storage.steps import Step

ROOT = Path(__file__).parents[2]
RANDOM_MOMENTS = 200
MOMENTS_PER_DATABASE = 40
Said = dict[str, Any]  # a line of the nursery: what JSON holds


@dataclass
class Nursery:
    """The process that forks writers."""

    process: subprocess.Popen[str]

    def send(self, line: str) -> None:
        assert self.process.stdin
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()

    def hear(self) -> Said:
        assert self.process.stdout
        said: Said = json.loads(self.process.stdout.readline())
        return said

    def start(
        self, place: "Place", reference: str, step: Step | None = None, time_: int = 1
    ) -> int:
        job = {
            "cases_url": place.cases_url,
            "files_url": place.files_url,
            "reference": reference,
            "step": step,
            "time": time_,
        }
        self.send(json.dumps(job))
        return int(self.hear()["process_id"])

    def until_gone(self) -> list[Said]:
        """Return everything that the writer had said when it died by SIGKILL."""
        self.send("wait")
        heard = []
        while "gone" not in (said := self.hear()):
            heard.append(said)
        assert said["gone"] == -signal.SIGKILL, "the writer ended before it was killed"
        return heard


@dataclass
class Place:
    """A database and a folder of files, and what writers were told is stored there."""

    folder: Path
    told: list[Said] = field(default_factory=list)

    @property
    def cases_url(self) -> str:
        return f"sqlite:///{(self.folder / 'cases.db').as_posix()}"

    @property
    def files_url(self) -> str:
        return f"file://{(self.folder / 'files').as_posix()}"

    def open(self) -> Stores:
        return open_stores(self.cases_url, self.files_url, summarise=plain_summary)


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.crash.nursery"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with process:
        yield Nursery(process)
        assert process.stdin
        process.stdin.close()


def assert_nothing_told_is_lost(place: Place, told: list[Said]) -> None:
    stores = place.open()
    try:
        for name in (said["blob"] for said in told if "blob" in said):
            stores.blobs.get(name)
        for case_id in {said["case"] for said in told}:
            assert_case_is_whole(stores, case_id, [s for s in told if s["case"] == case_id])
    finally:
        stores.close()


def assert_case_is_whole(stores: Stores, case_id: CaseId, told: list[Said]) -> None:
    case = stores.cases.get(case_id)
    entries = stores.cases.journal(case_id)
    assert first_bad_entry(entries) is None
    assert len(entries) == case.revision
    assert entries[-1].case_sha256 == sha256_of(case_to_json(case))
    revisions = [said["revision"] for said in told if "revision" in said]
    # One change may have been stored and its writer killed before it could say so.
    assert max(revisions, default=1) <= case.revision <= max(revisions, default=0) + 1
    findings: dict[str, Finding] = {finding.id: finding for finding in case.findings}
    for said in told:
        if said.get("done") == AddPhoto.kind:
            assert len(case.photos) >= said["number"]
        if said.get("done") == AddMark.kind:
            assert findings[f"F{said['number']}"].marks
        if said.get("done") == TagFinding.kind:
            assert findings[f"F{said['number']}"].tags.note == f"note {said['number']}"
    for photo in case.photos:
        stores.blobs.get(photo.sha256)


@pytest.mark.parametrize("time_", [1, 3])
@pytest.mark.parametrize("step", list(Step))
def test_a_kill_at_each_named_step_loses_nothing(
    nursery: Nursery, tmp_path: Path, step: Step, time_: int
) -> None:
    place = Place(tmp_path)
    nursery.start(place, "R-1", step, time_)
    told = nursery.until_gone()
    assert_nothing_told_is_lost(place, told)
    # And work goes on where it stopped: the same requests again are harmless.
    process_id = nursery.start(place, "R-1")
    while told[-1:] == [] or told[-1].get("revision", 0) < 5:
        told.append(nursery.hear())
    os.kill(process_id, signal.SIGKILL)
    told += nursery.until_gone()
    assert_nothing_told_is_lost(place, told)


def test_kills_at_random_moments_lose_nothing(nursery: Nursery, tmp_path: Path) -> None:
    choose = random.Random(7152)  # noqa: S311 - no secret
    told_in_all = 0
    for start in range(0, RANDOM_MOMENTS, MOMENTS_PER_DATABASE):
        place = Place(tmp_path / f"from-{start}")
        for moment in range(start, start + MOMENTS_PER_DATABASE):
            told = killed_at_random(nursery, place, f"R-{moment}", choose)
            assert_nothing_told_is_lost(place, told)
            place.told += told
        # Once more, after all later crashes on the same database.
        assert_nothing_told_is_lost(place, place.told)
        told_in_all += len(place.told)
    assert told_in_all > RANDOM_MOMENTS


def killed_at_random(
    nursery: Nursery, place: Place, reference: str, choose: random.Random
) -> list[Said]:
    process_id = nursery.start(place, reference)
    # Some die while they open the database, some after a few changes.
    told = [nursery.hear() for _ in range(choose.choice((0, 0, 1, 3, 6, 12)))]
    time.sleep(choose.uniform(0, 0.03))
    os.kill(process_id, signal.SIGKILL)
    return told + nursery.until_gone()

"""Two people on one case lose nothing, whether they share a program or a database."""

import subprocess
import sys
import threading
from dataclasses import replace
from pathlib import Path

from tests.builders import SIGNED, a_case
from tests.contract.stand_ins import plain_summary
from tests.contract.writer import draw_marks
from triage_app.domain.errors import InvalidInputError
from triage_app.domain.ids import CaseId
from triage_app.domain.journal import first_bad_entry
from triage_app.services.ports import CaseStore
from triage_app.storage.open import Stores, open_stores

ROOT = Path(__file__).parents[2]
WRITERS = ("a", "b", "c")
MARKS_EACH = 15


def assert_nothing_is_lost(cases: CaseStore) -> None:
    case = cases.get(a_case().id)
    expected = {f"{writer}-F{number}" for writer in WRITERS for number in range(MARKS_EACH)}
    assert {finding.id for finding in case.findings} == expected
    numbers = sorted(finding.number for finding in case.findings)
    assert numbers == list(range(1, len(expected) + 1))
    entries = cases.journal(case.id)
    assert first_bad_entry(entries) is None
    assert len(entries) == case.revision == len(expected) + 1


def test_writers_in_threads_lose_nothing(stores: Stores) -> None:
    case = stores.cases.create(a_case(), SIGNED)
    threads = [
        threading.Thread(target=draw_marks, args=(stores.cases, case.id, writer, MARKS_EACH))
        for writer in WRITERS
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert_nothing_is_lost(stores.cases)


def test_writers_in_processes_lose_nothing_from_the_first_moment(shared_url: str) -> None:
    # No tables and no case yet: the processes also have to agree on who makes them.
    program = [sys.executable, "-m", "tests.contract.writer", shared_url]
    running = [
        subprocess.Popen([*program, writer, str(MARKS_EACH)], cwd=ROOT) for writer in WRITERS
    ]
    assert [process.wait() for process in running] == [0, 0, 0]
    stores = open_stores(shared_url, "memory://", summarise=plain_summary)
    assert_nothing_is_lost(stores.cases)
    stores.close()


def test_of_two_cases_with_one_reference_opened_at_once_one_is_refused(stores: Stores) -> None:
    ready = threading.Barrier(2)
    refused: list[str] = []

    def open_case(number: int) -> None:
        case = replace(a_case(), id=CaseId(f"case-{number}"))
        ready.wait()
        try:
            stores.cases.create(case, SIGNED)
        except InvalidInputError as error:
            refused.append(str(error))

    threads = [threading.Thread(target=open_case, args=(number,)) for number in (1, 2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert stores.cases.count() == 1
    assert len(refused) == 1

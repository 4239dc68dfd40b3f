"""How fast the store answers: a list of 10,000 cases, and a mark on a large case."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import insert

from tests.builders import SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from tests.contract.stand_ins import plain_summary
from triage_app.casefile import case_to_json
from triage_app.domain.commands import AddMark
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.domain.signed import Signed
from triage_app.domain.vehicle import Vehicle
from triage_app.storage.open import open_database, open_stores
from triage_app.storage.rows import case_row
from triage_app.storage.tables import cases

pytestmark = pytest.mark.bench

CASES = 10_000
FINDINGS = 500
PHOTOS = 60


def best_ms(work: Callable[[], object], times: int = 7) -> float:
    taken = []
    for _ in range(times):
        started = time.perf_counter()
        work()
        taken.append((time.perf_counter() - started) * 1000)
    return min(taken)


def test_a_list_of_ten_thousand_cases(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/cases.db"
    engine = open_database(url)
    findings = tuple(a_finding(number) for number in range(1, 11))
    rows = []
    for number in range(CASES):
        vehicle = Vehicle(description=f"Invented van {number % 97}")
        case = a_case(*findings, reference=f"2031-{number:05d}", vehicle=vehicle)
        at = SIGNED.at.replace(microsecond=number)
        summary = plain_summary(case, Signed(by="Erin Estimator", at=at).at)
        rows.append(case_row(case, case_to_json(case), summary))
    with engine.begin() as connection:
        connection.execute(insert(cases), rows)
    engine.dispose()
    stores = open_stores(url, "memory://", summarise=plain_summary)
    assert len(stores.cases.summaries(limit=CASES)) == CASES
    for what, work in (
        ("newest 200 of 10,000", stores.cases.summaries),
        ("last page of 10,000", lambda: stores.cases.summaries(offset=CASES - 200)),
        ("all 10,000", lambda: stores.cases.summaries(limit=CASES)),
        ("search in 10,000", lambda: stores.cases.summaries(search="van 13")),
        ("count of a search", lambda: stores.cases.count(search="van 13")),
    ):
        print(f"{what:>24}: {best_ms(work):8.1f} ms")
    stores.close()


def test_a_mark_on_a_large_case(tmp_path: Path) -> None:
    stores = open_stores(f"sqlite:///{tmp_path}/cases.db", "memory://", summarise=plain_summary)
    photos = tuple(a_photo(number) for number in range(PHOTOS))
    findings = tuple(
        a_finding(number, tags=some_tags(), marks=(a_mark(number, photo=photos[number % PHOTOS]),))
        for number in range(1, FINDINGS + 1)
    )
    case = stores.cases.create(a_case(*findings, photos=photos), SIGNED)
    numbers = iter(range(10_000, 20_000))

    def mark() -> None:
        number = next(numbers)
        command = AddMark(
            finding_id=FindingId(f"F{number}"),
            mark_id=MarkId(f"M{number}"),
            photo_id=photos[0].id,
            outline=rectangle(0.1, 0.1, 0.2, 0.2),
        )
        stores.cases.apply(case.id, command, SIGNED)

    print(f"{'mark, 500 findings':>24}: {best_ms(mark):8.1f} ms")
    print(f"{'load, 500 findings':>24}: {best_ms(lambda: stores.cases.get(case.id)):8.1f} ms")
    stores.close()

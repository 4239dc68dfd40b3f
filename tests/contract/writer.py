"""A process of its own that draws marks on one case: ``python -m tests.contract.writer``."""

import sys

from tests.builders import SIGNED, a_case, a_photo
from tests.contract.stand_ins import plain_summary
from triage_app.domain.commands import AddMark
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import CaseId, FindingId, MarkId
from triage_app.services.ports import CaseStore
from triage_app.storage.open import open_stores


def draw_marks(cases: CaseStore, case_id: CaseId, writer: str, count: int) -> None:
    """Draw ``count`` marks, each a finding of its own, named after the writer."""
    for number in range(count):
        command = AddMark(
            finding_id=FindingId(f"{writer}-F{number}"),
            mark_id=MarkId(f"{writer}-M{number}"),
            photo_id=a_photo().id,
            outline=rectangle(0.1, 0.1, 0.2, 0.2),
        )
        cases.apply(case_id, command, SIGNED)


def main() -> None:
    url, writer, count = sys.argv[1:]
    stores = open_stores(url, "memory://", summarise=plain_summary)
    case = stores.cases.create(a_case(), SIGNED)
    draw_marks(stores.cases, case.id, writer, int(count))
    stores.close()


if __name__ == "__main__":
    main()

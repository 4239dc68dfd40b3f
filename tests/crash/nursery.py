"""A process that forks writers: each starts with everything imported, and can be killed.

It reads one JSON job a line and answers with the writer's lines: its process id, what it was told
is stored, and, after a line "wait", how it ended.
"""

import json
import os
import signal
import sys
from collections import Counter
from typing import Any

from tests.builders import SIGNED, a_case, a_photo
from tests.contract.stand_ins import plain_summary
from triage_app.casefile.canonical import sha256_of
from triage_app.domain.case import Tags
from triage_app.domain.commands import AddMark, AddPhoto, AnyCommand, TagFinding
from triage_app.domain.geometry import rectangle
from triage_app.domain.ids import FindingId, MarkId
from triage_app.storage import steps
from triage_app.storage.open import Stores, open_stores
from triage_app.storage.steps import Step

PHOTO_BYTES = 60_000


def say(**words: object) -> None:
    os.write(sys.stdout.fileno(), (json.dumps(words) + "\n").encode())


def die_at(last: Step, time: int) -> None:
    """Arrange that this process is killed when it reaches ``last`` for the given time."""
    seen: Counter[Step] = Counter()

    def reached(step: Step) -> None:
        seen[step] += 1
        if step is last and seen[step] == time:
            os.kill(os.getpid(), signal.SIGKILL)

    steps.reached = reached


def write_for_ever(stores: Stores, reference: str) -> None:
    """Open a case and go on adding to it, saying after each answer what is stored."""
    case = stores.cases.create(a_case(reference=reference, photos=()), SIGNED)
    say(case=case.id, revision=case.revision)
    number = 0
    while True:
        number += 1
        picture = f"{reference}-{number}-".encode() * (PHOTO_BYTES // 12)
        name = stores.blobs.put(picture)
        say(case=case.id, blob=name)
        photo = a_photo(number, sha256=sha256_of(picture))
        finding_id = FindingId(f"F{number}")
        mark = AddMark(
            finding_id=finding_id,
            mark_id=MarkId(f"M{number}"),
            photo_id=photo.id,
            outline=rectangle(0.1, 0.1, 0.2, 0.2),
        )
        tag = TagFinding(
            finding_id=finding_id, tags=Tags(note=f"note {number}"), expected_revision=1
        )
        commands: tuple[AnyCommand, ...] = (AddPhoto(photo=photo), mark, tag)
        for command in commands:
            after = stores.cases.apply(case.id, command, SIGNED).after
            say(case=case.id, revision=after.revision, number=number, done=command.kind)


def child(job: dict[str, Any]) -> None:  # Any: a job is what JSON holds
    if job["step"]:
        die_at(Step(job["step"]), job["time"])
    stores = open_stores(job["cases_url"], job["files_url"], summarise=plain_summary)
    write_for_ever(stores, job["reference"])


def main() -> None:
    for line in sys.stdin:
        if line == "wait\n":
            _, status = os.wait()
            say(gone=os.waitstatus_to_exitcode(status))
            continue
        process_id = os.fork()
        if process_id == 0:
            try:
                child(json.loads(line))
            finally:
                os._exit(1)
        say(process_id=process_id)


if __name__ == "__main__":
    main()

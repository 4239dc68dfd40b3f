"""Cases that are forgotten when the program ends; for tests and a first look."""

import threading
from collections.abc import Iterable
from dataclasses import dataclass

from triage_app.casefile import case_to_json
from triage_app.domain.case import Case
from triage_app.domain.commands import AnyCommand
from triage_app.domain.errors import InvalidInputError, NotFoundError
from triage_app.domain.ids import CaseId, Sha256
from triage_app.domain.journal import JournalEntry
from triage_app.domain.signed import Signed
from triage_app.services.ports import Applied, CaseSummary, CaseWithJournal, Check, Summarise
from triage_app.storage.changes import Head, blobs_of, change_by, opening
from triage_app.storage.rows import case_from, search_text


@dataclass(slots=True)
class _Kept:
    """A case is kept as text, so that what comes back went through the same codec as on disk."""

    body: str
    summary: CaseSummary
    entries: list[JournalEntry]


class MemoryCases:
    def __init__(self, summarise: Summarise) -> None:
        self._summarise = summarise
        self._lock = threading.RLock()
        self._kept: dict[CaseId, _Kept] = {}

    def create(self, case: Case, signed: Signed) -> Case:
        with self._lock:
            if case.id in self._kept:
                return self.get(case.id)
            self._refuse_taken_reference(case.reference)
            change = opening(case, signed)
            summary = self._summarise(change.case, signed.at)
            self._kept[case.id] = _Kept(change.body, summary, [change.entry])
            return change.case

    def get(self, case_id: CaseId) -> Case:
        return case_from(self._of(case_id).body)

    def id_of(self, reference: str) -> CaseId:
        with self._lock:
            for case_id, kept in self._kept.items():
                if kept.summary.reference == reference:
                    return case_id
        raise NotFoundError(f"There is no case '{reference}'.")

    def summaries(
        self, *, limit: int = 200, offset: int = 0, search: str = ""
    ) -> list[CaseSummary]:
        found = self._found(search)
        found.sort(key=lambda summary: summary.case_id)
        found.sort(key=lambda summary: summary.changed_at, reverse=True)
        return found[offset : offset + limit]

    def count(self, *, search: str = "") -> int:
        return len(self._found(search))

    def apply(
        self, case_id: CaseId, command: AnyCommand, signed: Signed, *, check: Check | None = None
    ) -> Applied:
        with self._lock:
            kept = self._of(case_id)
            before = case_from(kept.body)
            last = kept.entries[-1]
            head = Head(sequence=last.sequence, entry_hash=last.entry_hash)
            change = change_by(command, before, head, signed, check=check)
            if change is None:
                return Applied(before=before, after=before)
            summary = self._summarise(change.case, signed.at)
            entries = [*kept.entries, change.entry]
            self._kept[case_id] = _Kept(change.body, summary, entries)
            return Applied(before=before, after=change.case)

    def with_journal(self, case_id: CaseId) -> CaseWithJournal:
        kept = self._of(case_id)
        return CaseWithJournal(case=case_from(kept.body), entries=tuple(kept.entries))

    def journal(self, case_id: CaseId) -> list[JournalEntry]:
        return [*self._of(case_id).entries]

    def insert_whole(self, case: Case, entries: Iterable[JournalEntry]) -> None:
        with self._lock:
            if case.id in self._kept:
                raise InvalidInputError(f"Case {case.reference} is here already.")
            self._refuse_taken_reference(case.reference)
            kept = [*entries]
            summary = self._summarise(case, kept[-1].signed.at if kept else case.opened.at)
            self._kept[case.id] = _Kept(case_to_json(case), summary, kept)

    def blob_names(self) -> set[Sha256]:
        with self._lock:
            bodies = [kept.body for kept in self._kept.values()]
        return set().union(*(blobs_of(case_from(body)) for body in bodies))

    def _of(self, case_id: CaseId) -> _Kept:
        with self._lock:
            if case_id not in self._kept:
                raise NotFoundError(f"There is no case {case_id}.")
            return self._kept[case_id]

    def _found(self, search: str) -> list[CaseSummary]:
        wanted = search.strip().casefold()
        with self._lock:
            summaries = [kept.summary for kept in self._kept.values()]
        return [summary for summary in summaries if wanted in search_text(summary)]

    def _refuse_taken_reference(self, reference: str) -> None:
        if any(kept.summary.reference == reference for kept in self._kept.values()):
            raise InvalidInputError(
                f"There is already a case '{reference}'. Choose another reference."
            )


class MemoryShop:
    def __init__(self) -> None:
        self._kept: dict[str, str] = {}

    def put(self, name: str, text: str) -> None:
        self._kept[name] = text

    def all(self) -> dict[str, str]:
        return dict(self._kept)

"""Services: holds the ports and the rule book, and hands out the use-cases by theme."""

from collections.abc import Callable

from rules import Rulebook
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.services.archive import Archive
from triage_app.services.evidence import EvidenceRecords
from triage_app.services.intake import Intake
from triage_app.services.marking import Marking
from triage_app.services.measuring import Measuring
from triage_app.services.photo_views import PhotoViews
from triage_app.services.photos import Photos
from triage_app.services.ports import BlobStore, CaseStore, Clock, NewId, SessionStore, ShopStore
from triage_app.services.reporting import Reporting
from triage_app.services.safing import Safing
from triage_app.services.scale_records import ScaleRecords
from triage_app.services.sign_in import SignIn
from triage_app.services.triage import Triage


class Services:
    """One object per running program. Safe to share between threads; holds no case."""

    def __init__(
        self,
        *,
        cases: CaseStore,
        blobs: BlobStore,
        sessions: SessionStore,
        shop: ShopStore,
        rulebook: Rulebook,
        clock: Clock,
        new_id: NewId,
        sign_in_code: str,
        close: Callable[[], None],
        safing_policy: SafingPolicy | None = None,
    ) -> None:
        self._close = close
        self.cases = cases
        self.blobs = blobs
        self.rulebook = rulebook
        self.intake = Intake(cases=cases, blobs=blobs, clock=clock, new_id=new_id)
        self.marking = Marking(cases=cases, clock=clock, new_id=new_id, rulebook=rulebook)
        self.evidence = EvidenceRecords(cases=cases, clock=clock, new_id=new_id, rulebook=rulebook)
        self.photos = Photos(cases=cases, clock=clock)
        self.scale_records = ScaleRecords(shop=shop, clock=clock)
        self.measuring = Measuring(
            cases=cases, blobs=blobs, records=self.scale_records, marking=self.marking
        )
        self.safing = Safing(
            cases=cases,
            clock=clock,
            new_id=new_id,
            rulebook=rulebook,
            policy=safing_policy or SafingPolicy(),
        )
        self.photo_views = PhotoViews(cases=cases, blobs=blobs)
        self.triage = Triage(cases=cases, rulebook=rulebook)
        self.reporting = Reporting(
            cases=cases,
            blobs=blobs,
            triage=self.triage,
            clock=clock,
            safing_policy=safing_policy or SafingPolicy(),
        )
        self.archive = Archive(cases=cases, blobs=blobs)
        self.sign_in = SignIn(sessions=sessions, clock=clock, code=sign_in_code)

    def close(self) -> None:
        """Let go of the stores; the services are not used after that."""
        self._close()

"""Services: holds the ports and the rule book, and hands out the use-cases by theme."""

from collections.abc import Callable

from rules import Rulebook
from triage_app.domain.outside import OutsideRules
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.services.admission import Admission
from triage_app.services.archive import Archive
from triage_app.services.demo_people import DemoPeople
from triage_app.services.evidence import EvidenceRecords
from triage_app.services.inspection import Inspection
from triage_app.services.intake import Intake
from triage_app.services.lowering import LoweringGuard
from triage_app.services.marking import Marking
from triage_app.services.measuring import Measuring
from triage_app.services.outside_sign_in import OutsideSignIn
from triage_app.services.own_account import OwnAccount
from triage_app.services.passwords import Passwords
from triage_app.services.people import People
from triage_app.services.photo_views import PhotoViews
from triage_app.services.photos import Photos
from triage_app.services.planning import Planning
from triage_app.services.ports import (
    AccountStore,
    BlobStore,
    CaseStore,
    Clock,
    NewId,
    SessionStore,
    ShopStore,
)
from triage_app.services.reporting import Reporting
from triage_app.services.review import Reviewing
from triage_app.services.safing import Safing
from triage_app.services.scale_records import ScaleRecords
from triage_app.services.shop_settings import ShopSettingsRecord
from triage_app.services.sign_in import SignIn
from triage_app.services.triage import Triage


class Services:
    """One object per running program. Safe to share between threads; holds no case."""

    def __init__(
        self,
        *,
        cases: CaseStore,
        blobs: BlobStore,
        accounts: AccountStore,
        sessions: SessionStore,
        shop: ShopStore,
        rulebook: Rulebook,
        clock: Clock,
        new_id: NewId,
        sign_in_code: str,
        close: Callable[[], None],
        safing_policy: SafingPolicy | None = None,
        passwords: Passwords | None = None,
        demo: bool = False,
        outside_rules: OutsideRules | None = None,
    ) -> None:
        self._close = close
        self.cases = cases
        self.blobs = blobs
        self.rulebook = rulebook
        self.clock = clock
        self.shop_settings = ShopSettingsRecord(shop=shop, clock=clock)
        guard = LoweringGuard(rulebook=rulebook, settings=self.shop_settings)
        self.marking = Marking(
            cases=cases, clock=clock, new_id=new_id, rulebook=rulebook, guard=guard
        )
        self.intake = Intake(cases=cases, blobs=blobs, clock=clock, new_id=new_id, guard=guard)
        self.review = Reviewing(
            cases=cases, clock=clock, new_id=new_id, rulebook=rulebook, guard=guard
        )
        self.admission = Admission(cases=cases, clock=clock, new_id=new_id)
        self.inspection = Inspection(cases=cases, clock=clock, new_id=new_id, rulebook=rulebook)
        self.evidence = EvidenceRecords(cases=cases, clock=clock, new_id=new_id, rulebook=rulebook)
        self.photos = Photos(cases=cases, clock=clock, guard=guard)
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
        self.planning = Planning(cases=cases, clock=clock, rulebook=rulebook)
        self.reporting = Reporting(
            cases=cases,
            blobs=blobs,
            clock=clock,
            rulebook=rulebook,
            safing_policy=safing_policy or SafingPolicy(),
        )
        self.archive = Archive(cases=cases, blobs=blobs)
        passwords = passwords or Passwords()
        self.sign_in = SignIn(
            accounts=accounts,
            sessions=sessions,
            settings=self.shop_settings,
            passwords=passwords,
            clock=clock,
            new_id=new_id,
            code=sign_in_code,
            demo=demo,
        )
        self.people = People(
            accounts=accounts, sessions=sessions, passwords=passwords, clock=clock, new_id=new_id
        )
        self.outside_sign_in = OutsideSignIn(
            accounts=accounts,
            sign_in=self.sign_in,
            clock=clock,
            new_id=new_id,
            rules=outside_rules,
        )
        self.demo_people = DemoPeople(accounts=accounts, passwords=passwords, clock=clock)
        self.own_account = OwnAccount(
            accounts=accounts,
            sessions=sessions,
            settings=self.shop_settings,
            passwords=passwords,
            clock=clock,
        )

    def close(self) -> None:
        """Let go of the stores; the services are not used after that."""
        self._close()

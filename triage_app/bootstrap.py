"""Settings -> Services: the only module that names concrete stores and the report writer."""

import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rules import Rulebook, load_rulebook
from triage_app.domain.case import Case
from triage_app.domain.outside import OutsideRules, groups_from
from triage_app.domain.safing.limits import SafingPolicy
from triage_app.domain.signed import Signed
from triage_app.report import Layout, render_report, render_rule_book
from triage_app.services import Services
from triage_app.services.people import new_code
from triage_app.services.ports import CaseSummary
from triage_app.services.reporting import LoadPhoto, Progress, Render, ReportInput
from triage_app.services.summary import summarise
from triage_app.settings import Settings
from triage_app.storage.backup import BackupContents, backup
from triage_app.storage.open import open_stores
from triage_app.storage.restore import restore


def open_services(settings: Settings) -> Services:
    """Open the stores that the settings name (made where missing) and wire the services.

    Raises StorageError, RulebookError; then nothing was opened.
    """
    rulebook = open_rulebook(settings)
    policy = safing_policy(settings)
    outside = outside_rules(settings)

    def with_rules(case: Case, changed_at: datetime) -> CaseSummary:
        return summarise(case, changed_at, rulebook)

    stores = open_stores(
        settings.cases_url,
        settings.files_url,
        summarise=with_rules,
        rulebook_stamp=rulebook.stamp.sha256,
    )
    return Services(
        cases=stores.cases,
        blobs=stores.blobs,
        accounts=stores.accounts,
        sessions=stores.sessions,
        shop=stores.shop,
        rulebook=rulebook,
        clock=_now,
        new_id=_new_id,
        sign_in_code=settings.sign_in_code or new_code(),
        demo=settings.demo,
        outside_rules=outside,
        close=stores.close,
        safing_policy=policy,
    )


def safing_policy(settings: Settings) -> SafingPolicy:
    """Return what the shop has set for the make-safe record; InvalidInputError when too loose."""
    return SafingPolicy(oldest=timedelta(hours=settings.safing_hours))


def outside_rules(settings: Settings) -> OutsideRules | None:
    """Return what the identity provider's word means here; None where the shop has none."""
    if not settings.oidc:
        return None
    claim, roles_of_group = groups_from(settings.oidc_groups)
    return OutsideRules(
        claim=settings.oidc_claim, groups_claim=claim, roles_of_group=roles_of_group
    )


def open_rulebook(settings: Settings) -> Rulebook:
    """Return the rule book, with the shop's own rules over it where the settings name them.

    Raises RulebookError; a shop's rules that cannot be used never leave the book without them.
    """
    return load_rulebook(overlay=Path(settings.shop_rules) if settings.shop_rules else None)


def report_writer(settings: Settings, rulebook: Rulebook) -> Render:
    """Return the function that turns a case into the shop's Word report."""
    layout = Layout(page_size=settings.page_size.value, shop_name=settings.shop_name)

    def render(material: ReportInput, load_photo: LoadPhoto, progress: Progress) -> bytes:
        return render_report(material, rulebook, load_photo, layout=layout, progress=progress)

    return render


def rule_book_file(settings: Settings, rulebook: Rulebook, *, by: str) -> bytes:
    """Return the whole rule book as a Word document of the shop, printed now.

    An empty ``by`` names nobody; nothing goes on record.
    """
    layout = Layout(page_size=settings.page_size.value, shop_name=settings.shop_name)
    printed = Signed(by=by.strip(), at=_now())
    return render_rule_book(rulebook, layout=layout, printed=printed)


def backup_to(settings: Settings, target: Path) -> BackupContents:
    """Write every case and file to one new file; raises InvalidInputError, StorageError."""
    return backup(settings.cases_url, settings.files_url, target)


def restore_from(settings: Settings, source: Path) -> BackupContents:
    """Put a backup back where the settings say; refuses a place that holds cases or files.

    Raises BundleRejectedError, InvalidInputError, StorageError.
    """
    return restore(source, settings.cases_url, settings.files_url)


def _now() -> datetime:
    return datetime.now(UTC)


def _new_id() -> str:
    return uuid.uuid4().hex

"""The demo case that comes with the program; everything in it is invented."""

from importlib.resources import files

from rules import CaseFacts
from triage_app.domain.case import Case, Finding
from triage_app.domain.findings import case_facts
from triage_app.domain.ids import CaseId, FindingId
from triage_app.domain.signed import Operator, Signed
from triage_app.services.case_plan import Checks, plan_case
from triage_app.services.case_script import load_case_file
from triage_app.services.ports import Clock
from triage_app.services.services import Services

_PACKAGE = "demo_photos"
_CASE_FILE = "case.toml"
_UNCHECKED = Checks(tags=lambda _: None, evidence=lambda _: None)


def load_demo(services: Services, *, by: Operator) -> Case:
    """Take in the demo case where it is not there yet, and return it as it now is.

    What somebody changed in it since stays. Raises StorageError.
    """
    return load_case_file(services, files(_PACKAGE), _text(), by=by).case


def demo_facts(clock: Clock) -> CaseFacts:
    """Return the facts of the demo case by its tags alone, without looking at the photos."""
    plan = plan_case(_text(), files(_PACKAGE), _UNCHECKED)
    signed = Signed(by="demo", at=clock())
    findings = tuple(
        Finding(id=FindingId(f"{number}"), number=number, tags=each.tags, created=signed)
        for number, each in enumerate(plan.findings, start=1)
    )
    case = Case(
        id=CaseId("demo"),
        reference="demo",
        opened=signed,
        vehicle=plan.vehicle,
        incident=plan.incident,
        findings=findings,
    )
    return case_facts(case)


def _text() -> str:
    return files(_PACKAGE).joinpath(_CASE_FILE).read_text(encoding="utf-8")

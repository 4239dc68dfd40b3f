"""The demo case that comes with the program; everything in it is invented."""

from importlib.resources import files

from rules import CaseFacts
from triage_app.casefile.case_toml import read_case_toml
from triage_app.domain.case import Case
from triage_app.domain.errors import NotFoundError
from triage_app.domain.findings import case_facts
from triage_app.domain.signed import Operator, Signed
from triage_app.services.case_plan import Checks, plan_case
from triage_app.services.case_script import case_id_of, load_case_file
from triage_app.services.ports import Clock
from triage_app.services.services import Services

_PACKAGE = "demo_photos"
_CASE_FILE = "case.toml"


def load_demo(services: Services, *, by: Operator) -> Case:
    """Take in the demo case where it is not there yet, and return it as it now is.

    What somebody changed in it since stays; so does the demo case of an earlier version of the
    program, whose text was another. Raises StorageError.
    """
    return (
        _of_earlier_version(services)
        or load_case_file(services, files(_PACKAGE), _text(), by=by).case
    )


def _of_earlier_version(services: Services) -> Case | None:
    reference = read_case_toml(_text()).case.reference
    try:
        known = services.cases.get(services.cases.id_of(reference or ""))
    except NotFoundError:
        return None
    return None if known.id == case_id_of(_text()) else known


def demo_facts(clock: Clock) -> CaseFacts:
    """Return the facts of the demo case by its tags alone, without looking at the photos."""
    signed = Signed(by="demo", at=clock())
    unchecked = Checks(
        tags=lambda _: None, evidence=lambda _: None, make_safe=lambda *_: None, signed=signed
    )
    plan = plan_case(_text(), files(_PACKAGE), unchecked)
    return case_facts(plan.case(signed))


def _text() -> str:
    return files(_PACKAGE).joinpath(_CASE_FILE).read_text(encoding="utf-8")

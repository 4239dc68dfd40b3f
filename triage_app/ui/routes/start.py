"""Where a person lands who signed in without asking for a certain page."""

from triage_app.services import Services
from triage_app.ui.text import DEMO_PREFIX


def start_page(services: Services) -> str:
    """Return the list of cases; where there is nothing but the demo case, that case itself."""
    if services.cases.count() == 1:
        [only] = services.cases.summaries(limit=1)
        if only.reference.startswith(DEMO_PREFIX):
            return f"/triage?case={only.case_id}"
    return "/"

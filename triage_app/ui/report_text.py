"""Every sentence of the report page, and of what is missing."""

from collections.abc import Sequence

from triage_app.ui.text import PAGE_TRIAGE
from triage_app.ui.words import counted

REPORT_NEXT_MAKE = "make the report, then download it for the insurer."
REPORT_NEXT_DOWNLOAD = "download the newest report below and hand it over."
REPORT_NEXT_AGAIN = "the case has changed since the last report: make a new one."
MISSING = "Missing, or not said yet"
MISSING_MEANS = "The report can be made all the same; it then says so itself."
DRAFT = "DRAFT"
DRAFT_MEANS = (
    "Until a senior technician has reviewed each high-voltage finding, every report is marked "
    "DRAFT on every page."
)
MAKE_REPORT = "Make the Word report"
ISSUED_REPORTS = "Issued reports"
NO_REPORTS = "No report has been made yet."
DOWNLOAD = "Download"
AS_PDF = "PDF"
OTHER_FILES = "For a spreadsheet or another program"
OTHER_FILES_MEAN = (
    "What the case holds now, not what an issued report says. No picture, place or camera goes "
    "out with it."
)
FINDINGS_AS_CSV = "Findings (CSV)"
MARKS_AS_ANNOTATIONS = "Marks (Web Annotations)"
NEWEST = "newest"


def report_progress(done: int, total: int) -> str:
    return f"Drawing picture {done} of {total}"


def report_made(file_name: str) -> str:
    return f"{file_name} is ready below."


def report_line(issued: str, by: str, revision: int) -> str:
    return f"Issued {issued} by {by} · shows the case at revision {revision}"


MISSING_FINDINGS = "No finding yet: nothing is assessed."
MISSING_COMPONENT = "The damaged part is not named, finding"
MISSING_DAMAGE = "The kind of damage is not named, finding"
MISSING_ZONE = "The zone is not said, finding"
MISSING_MARK = "Not marked on any photo, finding"
MISSING_WHAT_HAPPENED = "What happened is not written down."
MISSING_HAPPENED_ON = "The date of the incident is not known."
MISSING_INSURER_REFERENCE = "The insurer's reference is missing."
MISSING_VOLTAGE = "The system voltage is not known, so it counts as high."
MISSING_VIN = "The VIN is missing."
MISSING_DESCRIPTION = "The vehicle is not described."
MISSING_ODOMETER = "The odometer reading is missing."
MISSING_PHOTOS = "No photo yet."
MISSING_RETAKE = "Better taken again, see what stands beside it, photo"


def with_numbers(sentence: str, numbers: Sequence[int]) -> str:
    return f"{sentence} {', '.join(str(number) for number in numbers)}."


def missing_saved(number: int) -> str:
    return f"{counted(number, 'finding has', 'findings have')} input that is not saved yet."


def missing_tests(number: int) -> str:
    return f"{counted(number, 'test is', 'tests are')} still open; see “{PAGE_TRIAGE}”."


def missing_signs(names: Sequence[str]) -> str:
    return f"Signs on arrival not known, so taken as present: {', '.join(names).lower()}."

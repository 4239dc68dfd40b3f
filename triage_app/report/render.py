"""The one call that makes a report: case -> words -> pictures -> Word."""

from rules import Rulebook
from triage_app.report.build import report_from
from triage_app.report.docx_writer import write_docx
from triage_app.report.layout import Layout
from triage_app.report.model import pictures_of
from triage_app.report.pictures import picture_files
from triage_app.services.reporting import LoadPhoto, Progress, ReportInput


def render_report(
    material: ReportInput,
    rulebook: Rulebook,
    load_photo: LoadPhoto,
    *,
    layout: Layout,
    progress: Progress,
) -> bytes:
    """Return the Word report of a case. The same material gives the same bytes.

    ``load_photo`` returns an original by its SHA-256 and is called once per photo, from several
    threads; ``progress`` (photos done, photos in all) only from this one. Raises
    PhotoRejectedError when a stored photo can no longer be read, and what ``load_photo`` raises.
    """
    model = report_from(material, rulebook, layout)
    files = picture_files(pictures_of(model.blocks), load_photo, progress)
    return write_docx(model, files, layout)

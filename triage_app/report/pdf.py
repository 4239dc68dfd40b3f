"""The Word report as PDF, by LibreOffice where it is installed. We lay out no PDF ourselves."""

import shutil
import subprocess
import tempfile
from pathlib import Path

from triage_app.domain.errors import InvalidInputError

_PROGRAMS = ("soffice", "libreoffice")
_LONGEST_S = 180.0


def pdf_is_possible() -> bool:
    """Tell whether LibreOffice is installed on this computer."""
    return any(shutil.which(name) for name in _PROGRAMS)


def check_pdf_is_possible() -> None:
    """Raise InvalidInputError where LibreOffice is not installed, before work is done for it."""
    _program()


def pdf_of(docx: bytes) -> bytes:
    """Return a Word file as PDF, tagged for screen readers.

    Raises InvalidInputError in one sentence where LibreOffice is missing, fails or takes longer
    than three minutes.
    """
    with tempfile.TemporaryDirectory(prefix="underbody-pdf-") as folder:
        source, made = Path(folder, "report.docx"), Path(folder, "report.pdf")
        source.write_bytes(docx)
        # A profile of its own: an office program that is open already would else take the job
        # and answer nothing.
        command = [
            _program(),
            f"-env:UserInstallation={Path(folder, 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            'pdf:writer_pdf_Export:{"UseTaggedPDF":{"type":"boolean","value":"true"}}',
            "--outdir",
            folder,
            str(source),
        ]
        try:
            subprocess.run(  # noqa: S603 - LibreOffice, by its full path and with our own names
                command, check=True, capture_output=True, timeout=_LONGEST_S
            )
        except subprocess.TimeoutExpired as error:
            raise InvalidInputError("LibreOffice took too long; the Word file is there.") from error
        except (OSError, subprocess.CalledProcessError) as error:
            raise InvalidInputError(
                "LibreOffice could not make a PDF of this report; the Word file is there."
            ) from error
        if not made.is_file():
            raise InvalidInputError(
                "LibreOffice made no PDF of this report; the Word file is there."
            )
        return made.read_bytes()


def _program() -> str:
    for name in _PROGRAMS:
        if found := shutil.which(name):
            return found
    raise InvalidInputError("A PDF needs LibreOffice Writer, which is not installed here.")

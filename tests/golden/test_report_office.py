"""LibreOffice renders the report: no page is empty, nothing is cut off, no picture is blank."""

import subprocess
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from tests.unit.report.cases import CASES
from triage_app.report import Layout

pytestmark = pytest.mark.office

DPI = 50
MARGIN_MM = 20
MM_PER_INCH = 25.4
Page = npt.NDArray[np.uint8]


@pytest.fixture(scope="module")
def pdfs(soffice: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the PDF of every case; one start of LibreOffice for all."""
    folder = tmp_path_factory.mktemp("office")
    for name, make in CASES.items():
        size = "Letter" if name == "photos only" else "A4"
        data = make().render(Layout(page_size=size, shop_name="Invented Body Shop"))
        (folder / f"{name.replace(' ', '-')}.docx").write_bytes(data)
    files = sorted(str(path) for path in folder.glob("*.docx"))
    profile = f"-env:UserInstallation=file://{folder}/profile"
    _run(soffice, profile, "--headless", "--convert-to", "pdf", "--outdir", folder, *files)
    return {name: folder / f"{name.replace(' ', '-')}.pdf" for name in CASES}


@pytest.fixture(scope="module")
def pages(pdfs: dict[str, Path], pdftoppm: Path) -> dict[str, list[Page]]:
    """Return the rendered pages of every case, in grey."""
    return {name: _pages(pdftoppm, pdf) for name, pdf in pdfs.items()}


@pytest.fixture(scope="module")
def texts(pdfs: dict[str, Path], pdftoppm: Path) -> dict[str, list[str]]:
    """Return the words of each page of every case."""
    pdftotext = pdftoppm.with_name("pdftotext")
    return {
        name: _run(pdftotext, "-layout", pdf, "-").decode().split("\f")[:-1]
        for name, pdf in pdfs.items()
    }


def _run(*command: object) -> bytes:
    done = subprocess.run(list(map(str, command)), check=True, capture_output=True, timeout=300)
    return done.stdout


def _pages(pdftoppm: Path, pdf: Path) -> list[Page]:
    folder = pdf.parent
    _run(pdftoppm, "-r", DPI, "-gray", "-png", pdf, folder / pdf.stem)
    return [
        np.asarray(Image.open(path).convert("L"), np.uint8)
        for path in sorted(folder.glob(f"{pdf.stem}-*.png"))
    ]


@pytest.mark.parametrize("name", sorted(CASES))
def test_no_page_is_empty(pages: dict[str, list[Page]], name: str) -> None:
    assert len(pages[name]) >= 4
    for page in pages[name]:
        between = page[_px(MARGIN_MM) : -_px(MARGIN_MM)]
        assert (between < 200).sum() > 60


@pytest.mark.parametrize("name", sorted(CASES))
def test_nothing_reaches_into_the_side_margins(pages: dict[str, list[Page]], name: str) -> None:
    for page in pages[name]:
        edge = _px(MARGIN_MM - 3)
        assert (page[:, :edge] > 240).all()
        assert (page[:, -edge:] > 240).all()


def test_letter_paper_has_its_own_size(pages: dict[str, list[Page]]) -> None:
    assert pages["photos only"][0].shape == pytest.approx((_px(279.4), _px(215.9)), abs=2)
    assert pages["workshop"][0].shape == pytest.approx((_px(297), _px(210)), abs=2)


@pytest.mark.parametrize("name", ["nothing", "photos only", "workshop"])
def test_the_summary_fits_on_page_one(texts: dict[str, list[str]], name: str) -> None:
    assert "repair decision; the event log." in texts[name][0]
    assert "Contents" in texts[name][1]


def test_page_x_of_y_is_right_on_every_page(texts: dict[str, list[str]]) -> None:
    for pages_ in texts.values():
        for number, text in enumerate(pages_, start=1):
            assert f"Page {number} of {len(pages_)}" in text


def test_the_page_of_the_first_finding_shows_its_photo(pages: dict[str, list[Page]]) -> None:
    """The photos of this case are mid grey; paper is white."""
    page = pages["workshop"][2]
    assert ((page > 60) & (page < 150)).mean() > 0.1


def _px(length_mm: float) -> int:
    return round(length_mm / MM_PER_INCH * DPI)

"""The printed sheets, read back as a printer would: true size, every marker, both papers."""

import shutil
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from triage_app.imaging.card import find_markers
from triage_app.imaging.card_design import CARD_OF, LONG_CARDS, charuco_board
from triage_app.imaging.card_sheet import PAPER_MM, board_pdf, card_pdf
from triage_app.imaging.lens import board_corners

_DPI = 300
pytestmark = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="needs pdftoppm: apt-get install poppler-utils"
)


def _printed(pdf: bytes, folder: Path) -> np.ndarray:
    """Return the page as poppler draws it, 300 dots per inch: an outside reading of its size."""
    (folder / "sheet.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", str(_DPI), "-gray", "-png", "sheet.pdf", "page"], cwd=folder, check=True
    )
    (page,) = folder.glob("page*.png")
    return np.asarray(Image.open(page).convert("L"))


@pytest.mark.parametrize("paper", PAPER_MM)
def test_the_sheet_has_true_size_within_two_in_a_thousand(paper: str, tmp_path: Path) -> None:
    page = _printed(card_pdf(paper), tmp_path)
    per_mm = _DPI / 25.4
    wide_mm, high_mm = PAPER_MM[paper]
    assert page.shape[1] / per_mm == pytest.approx(wide_mm, abs=0.15)
    assert page.shape[0] / per_mm == pytest.approx(high_mm, abs=0.15)
    markers = {marker.id: marker for marker in find_markers(page)}
    assert sorted(markers) == [0, 1, 2, 3, 10, 11]
    for number, marker in markers.items():
        corners = marker.corners_px / per_mm
        sides_mm = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1)
        assert sides_mm == pytest.approx(CARD_OF[number].side_mm, rel=0.002)
    middles = [markers[place.id].corners_px.mean(0) / per_mm for place in LONG_CARDS[0].markers]
    assert np.linalg.norm(middles[1] - middles[0]) == pytest.approx(130.0, rel=0.002)


@pytest.mark.parametrize("paper", PAPER_MM)
def test_the_board_is_whole_and_of_true_size(paper: str, tmp_path: Path) -> None:
    page = _printed(board_pdf(paper), tmp_path)
    found_px, numbers = board_corners(page)
    known_mm = np.asarray(charuco_board().getChessboardCorners())[:, :2]
    assert len(numbers) == len(known_mm)
    found_mm = found_px / (_DPI / 25.4)
    across = found_mm - found_mm[0]
    assert across == pytest.approx(known_mm[numbers] - known_mm[numbers[0]], abs=0.1)


def test_board_and_cards_are_never_taken_for_each_other(tmp_path: Path) -> None:
    assert find_markers(_printed(board_pdf("A4"), tmp_path)) == []
    second = tmp_path / "second"
    second.mkdir()
    assert len(board_corners(_printed(card_pdf("A4"), second))[1]) == 0


def test_no_two_cards_look_alike_however_turned() -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for number in CARD_OF:
        bits = cv2.aruco.generateImageMarker(dictionary, number, 6)[1:5, 1:5] > 127
        for other in CARD_OF:
            if other != number:
                drawn = cv2.aruco.generateImageMarker(dictionary, other, 6)[1:5, 1:5] > 127
                assert min(np.sum(bits != np.rot90(drawn, turn)) for turn in range(4)) >= 4

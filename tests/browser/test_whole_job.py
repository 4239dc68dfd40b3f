"""The whole job as a person does it: new case, photos, marks, tags, one HV flag, Word report.

Nothing is looked up behind the screen: what is checked stands on it or in the file it hands out.
"""

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from docx import Document
from docx.oxml.ns import qn
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from rules import RuleId, load_rulebook
from tests.browser.canvas.driver import Canvas
from tests.browser.chromium import FLAGS
from tests.browser.screens.conftest import Screen
from tests.ui.running import PATIENCE_S, Running, started

pytestmark = pytest.mark.browser

HEIC = "07_battery_floor_scrape.heic"
ROTATED = "04_drive_unit_mount_bracket.jpg"
UPLOADED = (HEIC, ROTATED, "06_radiator_fan_coolant_leak.jpg")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """Start the app on an empty shop."""
    folder = tmp_path_factory.mktemp("whole-job")
    process = started(folder)
    try:
        yield Running(process, folder / "log.txt")
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


@pytest.fixture
def screen(server: Running, chromium_path: Path) -> Iterator[Screen]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
        page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
        page.set_default_timeout(30_000)
        screen = Screen(page, server)
        screen.sign_in()
        yield screen
        browser.close()


def test_three_photos_two_marks_one_flag_and_a_word_report(
    screen: Screen, demo_photos: Path, tmp_path: Path, soffice: Path, pdftoppm: Path
) -> None:
    page = screen.page
    open_new_case(screen)
    upload(screen, [demo_photos / name for name in UPLOADED])

    screen.go("Mark damage")
    turn_to(screen, HEIC)
    draw_rectangle(screen, (330, 590), (760, 850))
    tag(screen, part="battery tray", damage="scrape")
    assert page.get_by_text("At high voltage", exact=True).filter(visible=True).count() == 1

    turn_to(screen, ROTATED)
    draw_polygon(screen, [(540, 530), (470, 560), (410, 700), (440, 770), (500, 740), (575, 580)])
    tag(screen, part="Drive unit mount bracket", damage="Crack", far_from_hv=True)

    page.reload()
    screen.settle()
    screen.go("Triage")
    table = page.locator(".ub-hv").first
    assert "finding 1" in table.inner_text()
    assert page.get_by_text("Why it is flagged for high voltage").count() == 1
    assert page.get_by_text(reason_for_hv_parts()).filter(visible=True).count() == 1

    report = fetch_report(screen, tmp_path)
    assert screen.complaints == []
    assert screen.asked_elsewhere == []
    check_report(report)
    check_pages(report, soffice, pdftoppm, tmp_path)


def open_new_case(screen: Screen) -> None:
    page = screen.page
    page.get_by_label("Vehicle").fill("Invented hatchback, red")
    page.get_by_label("Case reference").fill("JOB-1")
    page.get_by_role("button", name="Open the new case").click()
    page.get_by_role("heading", name="Intake and photos").wait_for()
    screen.settle()


def upload(screen: Screen, photos: list[Path]) -> None:
    screen.page.locator("input[type=file]").first.set_input_files(photos)
    screen.page.get_by_text("3 accepted").wait_for(timeout=60_000)
    screen.settle()


def turn_to(screen: Screen, file_name: str) -> None:
    """Tap the photo in the strip and wait until the canvas shows it."""
    screen.page.get_by_role("button", name=f"Photo {UPLOADED.index(file_name) + 1},").click()
    screen.settle()
    screen.page.get_by_text(f"Photo {UPLOADED.index(file_name) + 1} of {len(UPLOADED)}").wait_for()
    canvas_of(screen).wait_until_shown()


def canvas_of(screen: Screen) -> Canvas:
    return Canvas(screen.page, screen.server.address)


def take_tool(screen: Screen, name: str) -> Canvas:
    """Choose a tool, then scroll so that the whole photo can be reached."""
    canvas = canvas_of(screen)
    canvas.tool(name)
    canvas.stage.evaluate("stage => stage.scrollIntoView({ block: 'end' })")
    return canvas


def draw_rectangle(screen: Screen, start: tuple[int, int], end: tuple[int, int]) -> None:
    canvas = take_tool(screen, "rectangle")
    canvas.drag(start, end)
    await_form(screen.page)


def draw_polygon(screen: Screen, corners: list[tuple[int, int]]) -> None:
    canvas = take_tool(screen, "polygon")
    canvas.click(*corners)
    canvas.keys("Enter")
    await_form(screen.page)


def await_form(page: Page) -> None:
    page.get_by_role("button", name="Save this finding").wait_for()


def tag(screen: Screen, *, part: str, damage: str, far_from_hv: bool = False) -> None:
    page = screen.page
    choose(screen, "Damaged part", part)
    choose(screen, "Kind of damage", damage)
    if far_from_hv:
        answer(screen, "Is a high-voltage conductor or orange cable to be seen?", "No")
        answer(screen, "Does a cut cable or part hang free?", "No")
        if not page.get_by_label("Distance to the nearest high-voltage part (mm)").is_visible():
            page.get_by_text("Sizes, distances and note").click()
        fill(screen, "Distance to the nearest high-voltage part (mm)", "2000")
        fill(screen, "Uncertainty, ± mm", "50")
        answer(screen, "Were shields and covers off when this was measured?", "Yes")
    page.get_by_role("button", name="Save this finding").click()
    screen.settle()
    page.get_by_text("is saved").first.wait_for()


def choose(screen: Screen, label: str, typed: str) -> None:
    """Type a few letters of a name or synonym and take the first in the list."""
    field = screen.page.get_by_role("combobox", name=label)
    field.click()
    field.fill(typed)
    screen.page.keyboard.press("Enter")
    screen.settle()


def answer(screen: Screen, question: str, word: str) -> None:
    group = screen.page.get_by_role("radiogroup", name=question)
    group.get_by_text(word, exact=True).click()
    screen.settle()


def fill(screen: Screen, label: str, number: str) -> None:
    field = screen.page.get_by_label(label, exact=True)
    field.fill(number)
    field.press("Tab")
    screen.settle()


def fetch_report(screen: Screen, folder: Path) -> Path:
    screen.go("Report")
    page = screen.page
    page.get_by_role("button", name="Make the Word report").click()
    page.get_by_role("link", name="Download").first.wait_for(timeout=120_000)
    with page.expect_download() as download:
        page.get_by_role("link", name="Download").first.click()
    report = folder / download.value.suggested_filename
    shutil.copy(download.value.path(), report)
    return report


def reason_for_hv_parts() -> str:
    """Return why a part that is HV itself is flagged, in the words of the rule book."""
    return load_rulebook().rules[RuleId("HVF-001")].because


def check_report(path: Path) -> None:
    """Both findings, the one flag with its reason, the pictures and what each shows."""
    document = Document(str(path))
    words = "\n".join(element.text or "" for element in document.element.iter(qn("w:t")))
    headings = [
        paragraph.text
        for paragraph in document.paragraphs
        if paragraph.style and (paragraph.style.name or "").startswith("Heading")
    ]
    assert any("Battery enclosure" in heading for heading in headings), headings
    assert any("mount bracket" in heading for heading in headings), headings
    assert "at HV" in words
    assert reason_for_hv_parts() in words
    assert "DRAFT" in words
    shown = [e.get("descr") or "" for e in document.element.iter(qn("wp:docPr"))]
    assert all(shown)
    for whole_or_close in ("Photo", "Close-up from photo"):
        assert any(
            text.startswith(f"{whole_or_close} 01 with finding 1 marked: Battery enclosure")
            for text in shown
        ), shown
        assert any(
            text.startswith(f"{whole_or_close} 02 with finding 2 marked: Drive-unit mount bracket")
            for text in shown
        ), shown
    pictures = [part for part in document.part.package.iter_parts() if "/media/" in part.partname]
    assert len(pictures) >= 4


def check_pages(report: Path, soffice: Path, pdftoppm: Path, folder: Path) -> None:
    """LibreOffice draws every page; none is blank. Kept where UNDERBODY_LOOK says, to be read."""
    profile = f"-env:UserInstallation=file://{folder}/office"
    where = ("--outdir", str(folder), str(report))
    subprocess.run(
        [str(soffice), profile, "--headless", "--convert-to", "pdf", *where],
        capture_output=True,
        check=True,
        timeout=180,
    )
    pages = folder / "pages"
    pages.mkdir()
    pdf = report.with_suffix(".pdf")
    subprocess.run([pdftoppm, "-r", "50", "-png", pdf, pages / "page"], check=True, timeout=120)
    drawn = sorted(pages.glob("*.png"))
    assert len(drawn) >= 5
    for page in drawn:
        with Image.open(page) as picture:
            darkest, lightest = picture.convert("L").getextrema()
        assert (darkest, lightest) != (255, 255), page.name
    if keep := os.environ.get("UNDERBODY_LOOK"):
        shutil.copytree(pages, keep, dirs_exist_ok=True)

"""What our screens must never use, because it would open a way around the checks."""

import re
from pathlib import Path

import pytest

UI = Path(__file__).parents[3] / "triage_app" / "ui"
MODULES = sorted(UI.rglob("*.py"))
NAMES = [str(module.relative_to(UI)) for module in MODULES]

# Streamlit's media address answers anybody who has it, so nothing of a case goes through it.
OPEN_MEDIA = r"\bst\.(image|download_button|audio|video|pdf|logo)\b|media_file_mgr"
UNSAFE_HTML = r"unsafe_allow_html|unsafe_allow_javascript"


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_no_page_uses_the_open_media_address(module: Path) -> None:
    assert re.findall(OPEN_MEDIA, module.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_no_page_lets_scripts_into_its_html(module: Path) -> None:
    assert re.findall(UNSAFE_HTML, module.read_text(encoding="utf-8")) == []


def test_one_file_of_the_pages_touches_session_state() -> None:
    """The canvas keeps its own unanswered gestures beside it."""
    touching = {
        str(module.relative_to(UI))
        for module in MODULES
        if "session_state" in module.read_text(encoding="utf-8")
    }
    assert touching - {"widgets/photo_canvas/widget.py"} == {"state.py"}


@pytest.mark.parametrize(
    "name", sorted(one.name for one in (*UI.glob("*text.py"), UI / "words.py"))
)
def test_no_sentence_of_ours_calls_anything_safe(name: str) -> None:
    """The make-safe record and "made safe" name the work; nothing says that a car is safe."""
    sentences = (UI / name).read_text(encoding="utf-8")
    assert re.findall(r"(?<![Mm]ake-)(?<![Mm]ade )\b[Ss]afe\b", sentences) == []


@pytest.mark.parametrize(
    "asset", sorted((UI / "assets").iterdir()), ids=lambda asset: str(asset.name)
)
def test_no_asset_fetches_anything_from_another_host(asset: Path) -> None:
    """The name of SVG's namespace is a name; nothing fetches it."""
    text = asset.read_text(encoding="utf-8").replace('"http://www.w3.org/2000/svg"', "")
    assert re.findall(r"https?://|//cdn|@import|url\(", text) == []

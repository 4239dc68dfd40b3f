"""The wheel works on its own: installed elsewhere, it runs the demo, marks and reports."""

import json
import os
import re
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from docx import Document

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the ``bin`` folder of a new environment that holds nothing but our wheel."""
    place = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    _run([*pip, "wheel", "--no-deps", "--wheel-dir", str(place), str(ROOT)], place)
    (wheel,) = place.glob("*.whl")
    _run([sys.executable, "-m", "venv", str(place / "env")], place)
    bin_folder = place / "env" / ("Scripts" if os.name == "nt" else "bin")
    own_pip = [str(bin_folder / "python"), "-m", "pip", "--disable-pip-version-check", "--quiet"]
    _run([*own_pip, "install", "-c", str(ROOT / "constraints.txt"), str(wheel)], place)
    return bin_folder


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    """Return an empty working folder outside the checkout."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    return folder


def test_the_wheel_marks_and_reports_outside_the_checkout(installed: Path, elsewhere: Path) -> None:
    underbody = [str(installed / "underbody"), "--by", "Wheel Tester"]
    photo = ROOT / "demo_photos" / "03_cut_hv_cable_burn_mark.jpg"
    _run([*underbody, "new", "--ref", "W-1"], elsewhere)
    _run([*underbody, "add-photo", "W-1", str(photo)], elsewhere)
    tags = ["--component", "hv_cable", "--damage", "severed"]
    _run([*underbody, "mark", "W-1", "1", *tags, "--box", "0.42,0.36,0.53,0.53"], elsewhere)
    assessed = json.loads(_run([*underbody, "assess", "W-1", "--json"], elsewhere))
    assert "AT_HV" in json.dumps(assessed).upper()
    _run([*underbody, "rule-book", "-o", "book.docx"], elsewhere)
    assert "The first book." in [p.text for p in Document(str(elsewhere / "book.docx")).paragraphs]
    _run([*underbody, "report", "W-1", "-o", "out.docx"], elsewhere)
    text = "\n".join(p.text for p in Document(str(elsewhere / "out.docx")).paragraphs)
    assert "W-1" in text


@pytest.fixture
def demo_address(installed: Path, elsewhere: Path) -> Iterator[str]:
    """Start ``underbody demo`` on a free port and yield the address that it prints."""
    with subprocess.Popen(
        [str(installed / "underbody"), "demo", "--port", "0"],
        cwd=elsewhere,
        env=_clean_environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as server:
        try:
            yield _address_printed_by(server)
        finally:
            server.terminate()
            server.wait(timeout=20)


def test_the_wheel_opens_the_demo_on_loopback(demo_address: str) -> None:
    with urllib.request.urlopen(f"{demo_address}/sign-in", timeout=20) as answer:  # noqa: S310 - loopback
        assert answer.status == 200
        page = answer.read()
        assert b"Erin Estimator" in page
        assert b"start code" in page


def _address_printed_by(server: "subprocess.Popen[str]") -> str:
    assert server.stdout is not None
    seen = []
    give_up_at = time.monotonic() + 120
    while time.monotonic() < give_up_at:
        line = server.stdout.readline()
        seen.append(line)
        found = re.search(r"http://127\.0\.0\.1:\d+", line)
        if found:
            return found[0]
        if not line and server.poll() is not None:
            break
    raise AssertionError("no address printed: " + "".join(seen))


def _run(command: list[str], folder: Path) -> str:
    done = subprocess.run(
        command, cwd=folder, env=_clean_environment(), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def _clean_environment() -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("UNDERBODY_")}
    kept.pop("PYTHONPATH", None)
    return kept

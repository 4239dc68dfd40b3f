"""How long a report takes against the least that its pictures cost, and how much it holds.

The floor is what DESIGN section 11 names: each photo decoded once at the largest scale needed,
plus resizing and encoding exactly the embedded pictures, on the same threads.
"""

import json
import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

# `make bench` runs all sizes; `make test` only sees that the benchmark still works.
IS_FULL = os.environ.get("UNDERBODY_BENCH") == "full"
FULL_SIZES = (10, 40, 200)
ROUNDS = 3 if IS_FULL else 1


def _write_photos(folder: Path, how_many: int) -> None:
    """Write 12 MP photos with texture in all scales, about as large as a phone's."""
    chance = np.random.default_rng(11)
    for number in range(how_many):
        picture = np.zeros((3000, 4000, 3), np.float32)
        for cell, weight in ((4, 10), (16, 20), (64, 30), (256, 40)):
            noise = chance.normal(0, weight, (3000 // cell + 1, 4000 // cell + 1, 1))
            spread = np.repeat(np.repeat(noise, cell, axis=0), cell, axis=1)
            picture += spread[:3000, :4000]
        data = BytesIO()
        pixels = np.clip(picture + 110, 0, 255).astype(np.uint8)
        Image.fromarray(pixels).save(data, "JPEG", quality=90)
        (folder / f"{number:03d}.jpg").write_bytes(data.getvalue())


def _run(folder: Path, which: str) -> dict[str, float]:
    command = [sys.executable, "-m", "tests.bench.report_job", str(folder), which]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    answer: dict[str, float] = json.loads(done.stdout)
    return answer


@pytest.mark.bench
@pytest.mark.parametrize("how_many", FULL_SIZES if IS_FULL else FULL_SIZES[:1])
def test_report_against_its_floor(
    how_many: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _write_photos(tmp_path, how_many)

    runs = [(_run(tmp_path, "floor"), _run(tmp_path, "report")) for _ in range(ROUNDS)]

    floor = min(runs, key=lambda run: run[0]["seconds"])[0]
    report = min(runs, key=lambda run: run[1]["seconds"])[1]
    with capsys.disabled():
        print(
            f"\n{how_many} photos of 12 MP, {floor['pictures']:.0f} pictures: "
            f"report {report['seconds']:.2f} s, floor {floor['seconds']:.2f} s, "
            f"ratio {report['seconds'] / floor['seconds']:.2f}; "
            f"peak {report['peak_mb']:.0f} MB of which originals {report['originals_mb']:.0f} MB; "
            f"file {report['megabytes']:.2f} MB"
        )
    assert report["megabytes"] > 0

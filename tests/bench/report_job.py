"""One report made in a process of its own, so that its memory can be read off: see the bench.

Usage: python -m tests.bench.report_job FOLDER report|floor
"""

import json
import random
import resource
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from PIL import Image

from rules import assess, load_rulebook
from tests.builders import a_case, a_finding, a_mark, a_photo, some_tags
from tests.unit.report.material import material, photos_from, quiet
from triage_app.domain.case import Case, Photo
from triage_app.domain.findings import case_facts
from triage_app.domain.geometry import rectangle
from triage_app.imaging.decode import decode
from triage_app.report import Layout, render_report
from triage_app.report.build import report_from
from triage_app.report.model import PhotoPicture, pictures_of
from triage_app.report.pictures import QUALITIES, WORKERS, Scale, by_photo

FINDINGS = 60


def bench_case(originals: list[bytes]) -> Case:
    """Return a case whose findings are spread over all photos, one or two marks each."""
    photos = tuple(_photo(number, data) for number, data in enumerate(originals, start=1))
    chance = random.Random(7)  # noqa: S311 - places of marks, not secrets
    findings = []
    for number in range(1, FINDINGS + 1):
        left, top = chance.uniform(0.05, 0.8), chance.uniform(0.05, 0.8)
        photo = photos[number % len(photos)]
        mark = a_mark(number, photo=photo, outline=rectangle(left, top, left + 0.12, top + 0.1))
        findings.append(a_finding(number, tags=some_tags(), marks=(mark,)))
    return a_case(*findings, photos=photos)


def _photo(number: int, data: bytes) -> Photo:
    with Image.open(BytesIO(data)) as image:
        width_px, height_px = image.size
    return a_photo(number, sha256=sha256(data).hexdigest(), width_px=width_px, height_px=height_px)


def run_report(originals: list[bytes]) -> dict[str, float]:
    rulebook, case = load_rulebook(), bench_case(originals)
    given = material(case, assess(case_facts(case), rulebook))
    load = photos_from(*originals)
    started = time.perf_counter()
    data = render_report(given, rulebook, load, layout=Layout(), progress=quiet)
    return {"seconds": time.perf_counter() - started, "megabytes": len(data) / 1e6}


def run_floor(originals: list[bytes]) -> dict[str, float]:
    """Decode each photo once at the largest scale needed; resize and encode each picture."""
    rulebook, case = load_rulebook(), bench_case(originals)
    given = material(case, assess(case_facts(case), rulebook))
    model = report_from(given, rulebook, Layout())
    views = [view for view in pictures_of(model.blocks) if isinstance(view, PhotoPicture)]
    scale, load = Scale.of(views), photos_from(*originals)

    def of_one_photo(group: list[PhotoPicture]) -> int:
        pixels = decode(
            load(group[0].photo.sha256), at_least_px=max(map(scale.photo_side_px, group))
        ).pixels
        return sum(_encoded_bytes(pixels, view, scale) for view in group)

    started = time.perf_counter()
    with ThreadPoolExecutor(WORKERS) as pool:
        size = sum(pool.map(of_one_photo, by_photo(views)))
    seconds = time.perf_counter() - started
    return {"seconds": seconds, "megabytes": size / 1e6, "pictures": len(views)}


def _encoded_bytes(pixels: Image.Image, view: PhotoPicture, scale: Scale) -> int:
    crop = view.crop
    box = (
        crop.left * pixels.width,
        crop.top * pixels.height,
        crop.right * pixels.width,
        crop.bottom * pixels.height,
    )
    size = scale.picture_px(view)
    small = pixels.resize(size, Image.Resampling.LANCZOS, box=box, reducing_gap=2.0)
    out = BytesIO()
    small.save(out, "JPEG", quality=QUALITIES[0])
    return out.tell()


def _peak_mb() -> float:
    """Return the most memory this process held; the usual call counts the parent's before exec."""
    status = Path("/proc/self/status")
    if status.exists():
        lines = status.read_text().splitlines()
        return next(int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM"))
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    folder, which = Path(sys.argv[1]), sys.argv[2]
    originals = [path.read_bytes() for path in sorted(folder.glob("*.jpg"))]
    answer = (run_report if which == "report" else run_floor)(originals)
    held = sum(map(len, originals)) / 1e6
    print(json.dumps({**answer, "peak_mb": _peak_mb(), "originals_mb": held}))


if __name__ == "__main__":
    main()

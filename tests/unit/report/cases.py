"""Cases for report tests, with the originals of their photos."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO

from PIL import Image
from pillow_heif import from_pillow

from rules import RuleId, Side
from tests.builders import SIGNED, a_case, a_finding, a_jpeg, a_mark, a_photo, some_tags
from tests.unit.report.material import (
    IS_HV,
    a_rulebook,
    assessed,
    low_without_flag,
    material,
    photos_from,
    quiet,
)
from triage_app.domain.case import Measures, Photo, Withdrawal
from triage_app.domain.geometry import Ellipse, Outline, Point, polygon, rectangle
from triage_app.domain.vehicle import Incident, Vehicle
from triage_app.report import Layout, render_report
from triage_app.services.reporting import ReportInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """What a report is made from."""

    given: ReportInput
    originals: tuple[bytes, ...] = ()

    def render(self, layout: Layout | None = None) -> bytes:
        return render_report(
            self.given,
            a_rulebook(),
            photos_from(*self.originals),
            layout=layout or Layout(shop_name="Invented Body Shop"),
            progress=quiet,
        )


def photo_of(number: int, original: bytes, width_px: int, height_px: int) -> Photo:
    name = hashlib.sha256(original).hexdigest()
    return a_photo(number, sha256=name, width_px=width_px, height_px=height_px)


def a_heic(width_px: int, height_px: int, seed: int) -> bytes:
    out = BytesIO()
    with Image.open(BytesIO(a_jpeg(width_px, height_px, seed=seed))) as picture:
        from_pillow(picture).save(out, quality=70)
    return out.getvalue()


def a_jpeg_with_gps(width_px: int, height_px: int, seed: int) -> bytes:
    """Return a JPEG that says where and with what it was taken."""
    exif = Image.Exif()
    exif[0x010F] = "Demo"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (1.0, 2.0, 3.0)
    exif.get_ifd(0x8769)[0xA431] = "SERIAL-4711"
    out = BytesIO()
    with Image.open(BytesIO(a_jpeg(width_px, height_px, seed=seed))) as picture:
        picture.save(out, "JPEG", exif=exif, comment=b"taken at home")
    return out.getvalue()


def nothing() -> Prepared:
    return Prepared(given=material(a_case(photos=())))


def photos_only() -> Prepared:
    originals = (a_jpeg(640, 480, seed=1), a_jpeg(480, 640, seed=2))
    photos = (photo_of(1, originals[0], 640, 480), photo_of(2, originals[1], 480, 640))
    return Prepared(given=material(a_case(photos=photos)), originals=originals)


def workshop() -> Prepared:
    """Return a case as it comes: several views, a withdrawn finding, things left open."""
    originals = (
        a_jpeg_with_gps(640, 480, seed=1),
        a_jpeg(480, 640, seed=2),
        a_heic(640, 480, seed=3),
        a_jpeg(640, 480, seed=4),
    )
    sizes = ((640, 480), (480, 640), (640, 480), (640, 480))
    photos = tuple(
        photo_of(number, original, *size)
        for number, (original, size) in enumerate(zip(originals, sizes, strict=True), start=1)
    )
    blurred = replace(
        photos[3],
        quality=replace(photos[3].quality, complaints=("The photo is blurred; take it again.",)),
    )
    photos = (*photos[:3], blurred)
    cable = replace(
        a_finding(
            1,
            tags=replace(
                some_tags("hv_cable", "severed", zone="battery_front"),
                side=Side.LEFT,
                hv_conductor_visible=True,
            ),
            marks=(
                a_mark(1, photo=photos[0], outline=rectangle(0.3, 0.3, 0.4, 0.5)),
                a_mark(2, photo=photos[0], outline=rectangle(0.6, 0.3, 0.7, 0.5)),
                a_mark(3, photo=photos[1], outline=polygon([(0.2, 0.2), (0.5, 0.2), (0.4, 0.6)])),
            ),
        ),
    )
    scrape = a_finding(
        2,
        tags=some_tags(
            "skid_plate",
            "scrape",
            measures=Measures(
                length_mm=120,
                distance_to_hv_mm=850,
                distance_uncertainty_mm=40,
                covers_off=True,
                measured_how="tape",
            ),
            note="Old damage, dirt in the scratches.",
        ),
        marks=(
            a_mark(
                4,
                photo=photos[2],
                outline=Ellipse(
                    centre=Point(0.5, 0.5), radius_x_px=90, radius_y_px=40, angle_deg=20
                ),
            ),
        ),
    )
    unknown = a_finding(3, tags=some_tags(None, None, note="Felt, not seen."), marks=())
    withdrawn = replace(
        a_finding(4, tags=some_tags("skid_plate", "dent"), marks=()),
        withdrawn=Withdrawal(reason="Recorded twice, see finding 2.", signed=SIGNED),
    )
    case = a_case(cable, scrape, unknown, withdrawn, photos=photos)
    signs = tuple(
        replace(
            IS_HV,
            rule_id=RuleId("STP-001"),
            because=f"Nobody has said whether there was {sign}. Ask before the car comes indoors "
            "or onto the lift.",
        )
        for sign in ("smoke", "fire", "water", "hissing", "an odour")
    )
    assessment = assessed(case, low_without_flag("F2"), stop_conditions=signs)
    return Prepared(given=material(case, assessment), originals=originals)


HOSTILE_NOTES = (
    "y" * 10_000,
    "\u0627\u0644\u0643\u0627\u0628\u0644 \u0645\u0642\u0637\u0648\u0639 (400 V). " * 8,
    "\u9ad8\u5727\u30b1\u30fc\u30d6\u30eb\u304c\u5207\u65ad\u3002" * 60,
    "<w:p>&amp;\"' ]]> \x00\x0b\x1f \ufffe \ud800 \u202egpj.exe\nsecond line\tafter a tab",
)  # fmt: skip
EDGE_OUTLINES: tuple[Outline, ...] = (
    rectangle(0.0, 0.0, 1.0, 1.0),
    rectangle(0.5, 0.5, 0.5 + 1 / 640, 0.5 + 1 / 480),
    rectangle(0.8, 0.0, 1.0, 0.4),
    polygon([(0.0, 1.0), (0.1, 0.9), (0.2, 1.0)]),
)


def hostile() -> Prepared:
    """Return a case full of text and marks that could break a file or a page.

    The domain refuses such text at its door; the report must not rely on that.
    """
    original = a_jpeg(640, 480, seed=9)
    photo = photo_of(1, original, 640, 480)
    findings = []
    for number, (note, outline) in enumerate(zip(HOSTILE_NOTES, EDGE_OUTLINES, strict=True), 1):
        tags = some_tags(None if number == 1 else "hv_cable", "severed")
        object.__setattr__(tags, "note", note)
        findings.append(
            a_finding(number, tags=tags, marks=(a_mark(number, photo=photo, outline=outline),))
        )
    vehicle, incident = Vehicle(), Incident(what_happened="z" * 4_000)
    object.__setattr__(vehicle, "description", "Invented \x0b\u202e" + "W" * 3_000)
    case = a_case(
        *findings, photos=(photo,), vehicle=vehicle, incident=incident, reference='R<b>&"1'
    )
    return Prepared(given=material(case), originals=(original,))


CASES: dict[str, Callable[[], Prepared]] = {
    "nothing": nothing,
    "photos only": photos_only,
    "workshop": workshop,
    "hostile": hostile,
}

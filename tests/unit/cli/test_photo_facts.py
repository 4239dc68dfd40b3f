"""orange, clock, pin, pair: said of photos by a named person, and none of it clears a flag."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.unit.cli.shell import Shell


def orange_file(folder: Path) -> Path:
    """Return a photo of a grey floor with an orange strip, taken with an invented camera."""
    picture = np.full((1_000, 1_200, 3), 110, np.uint8)
    picture[480:520, 100:1_100] = (230, 110, 30)
    tags = Image.Exif()
    tags[0x010F], tags[0x0110] = "Demo", "Render 1"
    tags.get_ifd(0x8769)[0x9003] = "2031:05:04 09:00:00"
    tags.get_ifd(0x8769)[0xA431] = "SERIAL-123"
    tags.get_ifd(0x8825)[1], tags.get_ifd(0x8825)[2] = "N", (1.0, 2.0, 3.0)
    path = folder / "strip.jpg"
    Image.fromarray(picture).save(path, quality=95, exif=tags)
    return path


@pytest.fixture
def strip(shop: Shell, tmp_path: Path) -> Shell:
    shop.must("add-photo", "R-1", orange_file(tmp_path))
    return shop


def test_a_dismissed_area_goes_on_record_and_its_flag_stays(strip: Shell) -> None:
    strip.must(
        *("mark", "R-1", "strip.jpg", "--box", "0.4,0.42,0.5,0.46"),
        *("--component", "wheel_arch_liner", "--damage", "scrape", "--zone", "rear_left"),
        *("--distance-mm", "2000", "--uncertainty-mm", "20", "--covers-off", "yes"),
    )
    before = strip.must("assess", "R-1").json
    assert before["findings"][0]["hv_flag"] == "at_hv"
    said = strip.must("orange", "R-1", "strip.jpg", "1", "--no-cable", "--reason", "A strap.")
    assert "no cable, says Ada Nowak: A strap." in said.out
    assert "stays as it is" in said.out
    assert strip.must("assess", "R-1").json["findings"][0] == before["findings"][0]
    assert "orange area judged" in strip.must("journal", "R-1").out


def test_areas_are_listed_with_the_cautions_first(strip: Shell) -> None:
    lines = strip.must("orange", "R-1").out.splitlines()
    assert lines[0].startswith("High voltage: the vehicle maker's procedure comes first")
    assert "under.jpg: no orange area found; that says nothing." in lines[1]
    assert lines[-1] == "Photo 3, strip.jpg, area 1: nobody has said what it is"


@pytest.mark.parametrize(
    "options",
    [
        ("strip.jpg", "1", "--cable"),
        ("strip.jpg", "1", "--reason", "Seen."),
        ("strip.jpg", "--no-cable", "--reason", "Seen."),
    ],
)
def test_an_opinion_is_whole_or_is_none(strip: Shell, options: tuple[str, ...]) -> None:
    strip.run("orange", "R-1", *options).wrong_usage("--reason")


def test_an_area_that_is_not_there_is_refused(strip: Shell) -> None:
    said = strip.run("orange", "R-1", "strip.jpg", "2", "--cable", "--reason", "Seen.")
    said.refused("there is no number 2")


def test_a_wrong_camera_clock_is_put_right(strip: Shell) -> None:
    assert "time not known for certain, strip.jpg, Demo Render 1" in strip.must("clock", "R-1").out
    said = strip.must(
        *("clock", "R-1", "--camera", "Demo Render 1"),
        *("--shown", "2031-05-04T12:00", "--really", "2031-05-04T13:30+02:00"),
    )
    assert said.out.splitlines()[:2] == [
        "Demo Render 1: -1800 s to UTC",
        "2031-05-04 08:30:00 UTC, strip.jpg, Demo Render 1",
    ]


def test_a_comparison_without_a_zone_is_refused(strip: Shell) -> None:
    said = strip.run("clock", "R-1", "--shown", "2031-05-04T12:00", "--really", "2031-05-04T12:01")
    said.refused("time zone")
    strip.run("clock", "R-1", "--shown", "noon", "--really", "noon").refused("'noon' is not a time")


def test_neither_the_place_nor_a_serial_number_is_kept_in_the_case(strip: Shell) -> None:
    told = strip.must("show", "R-1", "--json").out
    assert "Demo Render 1" in told
    assert "SERIAL" not in told
    assert "gps" not in told.lower()


def test_a_photo_is_pinned_and_unpinned(strip: Shell) -> None:
    assert strip.must("pin", "R-1", "1", "--at", "0.5", "0.2").out == "under.jpg: Front centre.\n"
    assert strip.case()["photos"][0]["plan_pin"]["x_frac"] == 0.5
    assert strip.must("pin", "R-1", "1", "--off").out == "under.jpg: not pinned.\n"
    strip.run("pin", "R-1", "1", "--at", "1.5", "0.2").refused("outside the drawing")


def test_photos_are_paired_and_parted(strip: Shell) -> None:
    said = strip.must("pair", "R-1", "under.jpg", "side.jpg")
    assert said.out == "before: under.jpg, after: side.jpg\n"
    assert strip.must("pair", "R-1", "under.jpg", "side.jpg", "--part").out == ""
    assert "photo_pairs" not in strip.case()


def test_a_photo_without_damage_is_said_so_and_taken_back(strip: Shell) -> None:
    assert "strip.jpg: no mark" in strip.must("nothing-found", "R-1").out
    assert "strip.jpg" not in strip.must("nothing-found", "R-1", "strip.jpg").out
    assert "strip.jpg: no mark" in strip.must("nothing-found", "R-1", "strip.jpg", "--off").out


def test_a_line_of_impact_is_drawn_and_taken_off(strip: Shell) -> None:
    said = strip.must("impact-line", "R-1", "--from", "0.5", "0", "--to", "0.5", "1")
    assert "only ever adds" in said.out
    assert strip.case()["impact_line"]["end_y_frac"] == 1.0
    strip.must("impact-line", "R-1", "--off")
    assert "impact_line" not in strip.case()
    strip.run("impact-line", "R-1", "--from", "0.5", "0").wrong_usage("--to")

"""card, lens, scale, measure: what a shop types, and what it is told."""

from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell

# The scrape of photo 07: 310 mm between its ends (its truth file).
SCRAPE = ("0.6999,0.7625", "0.6999,0.7683", "0.2342,0.5542", "0.2342,0.5483")


@pytest.fixture
def marked(shell: Shell, demo_photos: Path) -> Shell:
    shell.must("new", "--ref", "R-9")
    shell.must("add-photo", "R-9", demo_photos / "07_battery_floor_scrape.jpg")
    shell.must(
        *("mark", "R-9", "1", "--outline", *SCRAPE),
        *("--component", "battery_enclosure", "--damage", "scrape"),
    )
    return shell


def test_the_card_is_a_pdf_and_the_board_another(shell: Shell, tmp_path: Path) -> None:
    said = shell.must("card", "-o", tmp_path / "card.pdf", "--paper", "Letter")
    assert "only after the make-safe record stands" in said.out
    shell.must("card", "--board", "-o", tmp_path / "board.pdf")
    assert (tmp_path / "card.pdf").read_bytes()[:5] == b"%PDF-"
    assert (tmp_path / "card.pdf").read_bytes() != (tmp_path / "board.pdf").read_bytes()
    assert not shell.folder.exists()


def test_card_without_anything_to_do_is_wrong_usage(shell: Shell) -> None:
    shell.run("card").wrong_usage("-o CARD.pdf")


def test_a_side_in_the_wrong_unit_is_refused(shell: Shell) -> None:
    shell.run("card", "--square-mm", "6").refused("no printer makes 6 mm", "in millimetres")


def test_measuring_waits_for_the_measured_card(marked: Shell) -> None:
    marked.run("measure", "R-9", "1").refused("has not been measured yet")
    marked.must("card", "--square-mm", "60")
    said = marked.must("measure", "R-9", "1")
    assert "card 7 (black square 60 mm as measured), measured by Ada Nowak" in said.out
    assert "distance to HV: not measured, so it counts as near" in said.out


def test_sizes_go_on_the_finding_when_told_and_say_where_they_are_from(marked: Shell) -> None:
    marked.must("card", "--square-mm", "60")
    marked.run("measure", "R-9", "1", "--use", "length").wrong_usage("--behind-mm")
    marked.must("measure", "R-9", "1", "--behind-mm", "0", "--use", "length")
    measures = marked.must("show", "R-9", "--json").json["findings"][0]["tags"]["measures"]
    assert measures["length_mm"] == pytest.approx(310, rel=0.02)
    (source,) = measures["sources"]
    assert source["size"] == "length_mm"
    assert source["low_mm"] <= 310 <= source["high_mm"]


def test_two_points_are_told_to_be_without_perspective(marked: Shell) -> None:
    said = marked.must(
        *("scale", "R-9", "1", "--ends", "0.1,0.1", "0.6,0.6", "--length-mm", "400"),
    )
    assert "no perspective correction" in said.out
    marked.run("scale", "R-9", "1", "--ends", "0.1,0.1", "0.6,0.6").wrong_usage("--length-mm")
    marked.must("scale", "R-9", "1", "--none")


def test_photos_without_the_board_calibrate_nothing(marked: Shell, demo_photos: Path) -> None:
    marked.run("lens", demo_photos / "07_battery_floor_scrape.jpg").refused("seen well in 0 of 1")
    assert marked.must("lens").out == ""


def test_inspect_shows_the_plane_or_why_there_is_none(shell: Shell, demo_photos: Path) -> None:
    photo = demo_photos / "07_battery_floor_scrape.jpg"
    (unscaled,) = shell.must("inspect", photo).json["photos"]
    assert unscaled["plane"] is None
    assert "has not been measured" in unscaled["no_scale_because"]
    (scaled,) = shell.must("inspect", photo, "--square-mm", "60").json["photos"]
    assert scaled["plane"]["cards"] == [7]
    # The camera stood 469 mm over the card (truth file); nearest is what an allowance needs.
    assert 300 < scaled["plane"]["camera_height_mm"] < 480

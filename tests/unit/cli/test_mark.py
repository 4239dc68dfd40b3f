"""mark: an outline on a photo, with tags; what cannot be right stores nothing."""

import pytest

from tests.unit.cli.shell import Shell

BOX = ("--box", "0.1,0.2,0.4,0.5")
CUT_CABLE = ("--component", "hv_cable", "--damage", "severed")


def test_a_polygon_with_tags_is_a_flagged_finding(shop: Shell) -> None:
    said = shop.must(
        *("mark", "R-1", "under.jpg", "--outline", "0.1,0.2", "0.4,0.2", "0.4,0.5"),
        *CUT_CABLE,
    )
    assert "maker's procedure comes first" in said.out.splitlines()[0]
    assert said.out.splitlines()[1].startswith("Finding 1: HV cable, ")
    assert said.out.splitlines()[2].startswith("  HV because: ")
    finding = shop.case()["findings"][0]
    assert finding["tags"]["component"] == "hv_cable"
    outline = finding["marks"][0]["outline"]
    assert outline["shape"] == "polygon"
    assert outline["rings"][0][1] == {"x_frac": 0.4, "y_frac": 0.2}


def test_every_tag_reaches_the_finding(shop: Shell) -> None:
    shop.must(
        *("mark", "R-1", "1", *BOX, *CUT_CABLE, "--zone", "front_centre", "--side", "left"),
        *("--depth-mm", "3.5", "--length-mm", "120", "--width-mm", "8", "--distance-mm", "250"),
        *("--uncertainty-mm", "20", "--covers-off", "yes", "--hv-conductor-visible", "no"),
        *("--hangs-free", "unknown", "--note", "behind the shield", "--measured-how", "tape"),
    )
    assert shop.case()["findings"][0]["tags"] == {
        "component": "hv_cable",
        "damage": "severed",
        "zone": "front_centre",
        "side": "left",
        "measures": {
            "length_mm": 120.0,
            "width_mm": 8.0,
            "depth_mm": 3.5,
            "distance_to_hv_mm": 250.0,
            "distance_uncertainty_mm": 20.0,
            "covers_off": True,
            "measured_how": "tape",
            "sources": [],
        },
        "hv_conductor_visible": False,
        "hangs_free": None,
        "note": "behind the shield",
    }


def test_what_is_left_out_is_not_known_and_counts_as_worse(shop: Shell) -> None:
    said = shop.must("mark", "R-1", "1", *BOX)
    assert "AT HIGH VOLTAGE" in said.out
    assert shop.case()["findings"][0]["tags"]["component"] is None


def test_an_ellipse_has_its_radii_in_pixels(shop: Shell) -> None:
    shop.must("mark", "R-1", "1", "--ellipse", "0.5,0.5,60,40,15", *CUT_CABLE)
    outline = shop.case()["findings"][0]["marks"][0]["outline"]
    assert (outline["radius_x_px"], outline["radius_y_px"], outline["angle_deg"]) == (60, 40, 15)


@pytest.mark.parametrize("which", ["under.jpg", "1", "id"])
def test_the_photo_is_named_by_file_name_position_or_id(shop: Shell, which: str) -> None:
    photo_id = shop.case()["photos"][0]["id"]
    shop.must("mark", "R-1", photo_id if which == "id" else which, *BOX)
    assert shop.case()["findings"][0]["marks"][0]["photo_id"] == photo_id


def test_a_further_mark_joins_its_finding(shop: Shell) -> None:
    shop.must("mark", "R-1", "1", *BOX, *CUT_CABLE)
    said = shop.must("mark", "R-1", "2", "--box", "0.5,0.5,0.7,0.7", "--finding", "1")
    assert "2 marks" in said.out
    findings = shop.case()["findings"]
    assert len(findings) == 1
    assert findings[0]["tags"]["component"] == "hv_cable"


def test_a_damage_that_no_photo_shows_is_put_on_record_by_its_tags(shop: Shell) -> None:
    said = shop.must("mark", "R-1", *CUT_CABLE, "--note", "felt, not seen")
    assert "0 marks" in said.out
    assert shop.case()["findings"][0]["marks"] == []


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--component", "flux_capacitor"], ["no component 'flux_capacitor'", "--list"]),
        (["--damage", "haunted"], ["no damage type 'haunted'"]),
        (["--zone", "attic"], ["no zone 'attic'"]),
        (["--depth-mm", "-1"], ["depth"]),
        (["--depth-mm", "nan"], ["depth"]),
        (["--distance-mm", "inf"], ["distance"]),
        (["--note", "n" * 5000], ["note"]),
    ],
)
def test_a_tag_that_cannot_be_right_is_refused(
    shop: Shell, options: list[str], words: list[str]
) -> None:
    shop.run("mark", "R-1", "1", *BOX, *options).refused(*words)
    assert shop.case()["findings"] == []


@pytest.mark.parametrize(
    ("outline", "word"),
    [
        (["--outline", "0.1,0.1", "0.2,0.2"], "3 or more points, got 2"),
        (["--outline", "0.1,0.1", "0.2,0.2", "0.3,0.3"], "no area"),
        (["--outline", "0.1,0.1", "1.2,0.2", "0.3,0.9"], "outside the photo"),
        (["--outline", "0.1,0.1", "nan,0.2", "0.3,0.9"], "not a number"),
        (["--box=-0.1,0.1,0.5,0.5"], "outside the photo"),
        (["--box", "0.5,0.5,0.2,0.9"], "width and a height"),
        (["--ellipse", "0.5,0.5,9000,10"], "outside the photo"),
        (["--ellipse", "0.5,0.5,0,10"], "greater than zero"),
    ],
)
def test_an_outline_that_cannot_be_right_is_refused(
    shop: Shell, outline: list[str], word: str
) -> None:
    shop.run("mark", "R-1", "1", *outline).refused(word)
    assert shop.case()["findings"] == []


def test_a_photo_that_is_not_there_is_refused(shop: Shell) -> None:
    shop.run("mark", "R-1", "3", *BOX).refused("no photo '3'")
    shop.run("mark", "R-1", "0", *BOX).refused("no photo '0'")
    shop.run("mark", "R-1", "gone.jpg", *BOX).refused("no photo 'gone.jpg'")


def test_two_photos_of_one_name_must_be_told_apart(shop: Shell) -> None:
    other = shop.folder.parent / "again"
    other.mkdir()
    (other / "under.jpg").write_bytes((shop.folder.parent / "side.jpg").read_bytes() + b"\0")
    shop.must("add-photo", "R-1", other / "under.jpg")
    shop.run("mark", "R-1", "under.jpg", *BOX).refused("2 photos called 'under.jpg'")


def test_a_finding_that_is_not_there_is_refused(shop: Shell) -> None:
    shop.run("mark", "R-1", "1", *BOX, "--finding", "4").refused("no finding 4")


@pytest.mark.parametrize(
    "options",
    [
        ["1"],
        ["1", "--box", "0.1,0.2"],
        ["1", "--box", "a,b,c,d"],
        ["1", *BOX, "--ellipse", "0.5,0.5,10,10"],
        [*BOX],
        ["1", *BOX, "--covers-off", "perhaps"],
        ["1", *BOX, "--side", "top"],
        ["1", *BOX, "--finding", "1", "--component", "hv_cable"],
        ["--finding", "1"],
    ],
    ids=" ".join,
)
def test_options_that_do_not_go_together_are_wrong_usage(shop: Shell, options: list[str]) -> None:
    before = shop.case()
    shop.run("mark", "R-1", *options).wrong_usage()
    assert shop.case() == before


def test_a_finding_with_neither_mark_nor_word_is_refused(shop: Shell) -> None:
    shop.run("mark", "R-1").refused("Say what is damaged")

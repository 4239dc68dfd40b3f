"""new, list, show: cases as a whole."""

from pathlib import Path

import pytest

from tests.unit.cli.shell import Shell


def test_new_opens_a_case_under_the_given_reference(shell: Shell) -> None:
    said = shell.must("new", "--ref", "R-7", "--vehicle", "Invented van", "--smoke", "no")
    assert said.out == "Case R-7 is open.\n"
    case = shell.case("R-7")
    assert case["vehicle"]["description"] == "Invented van"
    assert (case["incident"]["smoke"], case["incident"]["fire"]) == ("no", "unknown")
    assert case["opened"]["by"] == "Ada Nowak"


def test_new_without_a_reference_takes_the_next_free_one(shell: Shell) -> None:
    first = shell.must("new", "--json").json["reference"]
    second = shell.must("new", "--json").json["reference"]
    assert first.endswith("-0001")
    assert second.endswith("-0002")


def test_new_keeps_every_number_of_the_vehicle_and_the_incident(shell: Shell) -> None:
    shell.must(
        *("new", "--ref", "R-1", "--system-voltage-v", "396", "--battery-energy-kwh", "62"),
        *("--charge-percent", "71.5", "--odometer-km", "48210", "--powertrain", "plug-in hybrid"),
        *("--pre-loss-value", "23800.50", "--currency", "EUR", "--plate", "DEMO 41"),
    )
    case = shell.case()
    assert case["vehicle"]["system_voltage_v"] == 396.0
    assert case["vehicle"]["charge_on_arrival_percent"] == 71.5
    assert case["vehicle"]["powertrain"] == "plug-in hybrid"
    assert case["incident"]["pre_loss_value"] == "23800.50"


def test_new_points_out_a_vin_whose_check_digit_differs(shell: Shell) -> None:
    said = shell.must("new", "--ref", "R-1", "--vin", "11111111211111111")
    assert "check digit" in said.out


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--vin", "SHORT"], "VIN"),
        (["--system-voltage-v", "90000"], "voltage"),
        (["--system-voltage-v", "nan"], "voltage"),
        (["--pre-loss-value", "a lot"], "amount of money"),
        (["--pre-loss-value", "1e99999999"], "pre-loss value"),
        (["--ref", "x" * 300], "reference"),
        (["--ref", "\u202e"], "reference"),
    ],
)
def test_new_refuses_what_cannot_be_right_and_opens_nothing(
    shell: Shell, options: list[str], word: str
) -> None:
    shell.run("new", *options).refused(word)
    assert shell.must("list", "--json").json["cases"] == []


def test_new_refuses_a_reference_that_is_taken(shell: Shell) -> None:
    shell.must("new", "--ref", "R-1")
    shell.run("new", "--ref", "R-1").refused("R-1")
    assert shell.must("list", "--json").json["total"] == 1


def test_new_wants_to_know_who_does_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Shell(tmp_path, capsys, by=None).run("new").refused("--by", "UNDERBODY_OPERATOR")


def test_the_operator_may_come_from_the_environment(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERBODY_OPERATOR", "Max Mustername")
    shell = Shell(tmp_path, capsys, by=None)
    shell.must("new", "--ref", "R-1")
    assert shell.case()["opened"]["by"] == "Max Mustername"


def test_global_options_may_follow_the_command(shell: Shell) -> None:
    shell.must("new", "--ref", "R-1", "--by", "Somebody Else")
    assert shell.case()["opened"]["by"] == "Somebody Else"


def test_list_shows_a_line_for_each_case_newest_change_first(shop: Shell) -> None:
    shop.must("new", "--ref", "R-2")
    lines = shop.must("list").out.splitlines()
    assert [line.split(" | ")[0] for line in lines[:-1]] == ["R-2", "R-1"]
    assert "2 photos" in lines[1]
    assert "not assessed" in lines[1]
    assert lines[-1] == "2 of 2 cases."


def test_list_searches_in_references_and_vehicles(shop: Shell) -> None:
    shop.must("new", "--ref", "R-2", "--vehicle", "Invented van")
    assert [
        each["reference"] for each in shop.must("list", "--search", "van", "--json").json["cases"]
    ] == ["R-2"]


def test_show_gives_the_photos_with_what_their_quality_asks_for(shop: Shell) -> None:
    lines = shop.must("show", "R-1").out.splitlines()
    (photo,) = (line for line in lines if line.startswith("Photo 1: "))
    assert "Case R-1, Invented hatchback: not assessed." in lines
    assert "under.jpg, 640 x 480" in photo
    assert "only 640 pixels long" in photo


def test_show_says_what_stops_work_before_anything_else(shop: Shell) -> None:
    """Nobody has said anything about smoke: not known counts as worse."""
    lines = shop.must("show", "R-1").out.splitlines()
    assert lines[0].startswith("HELD OUTSIDE, UNLIFTED.")
    assert lines[1].startswith("STOP: ")
    assert any("smoke" in line for line in lines if line.startswith("STOP: "))


def test_show_says_the_hv_notice_first_when_a_finding_is_flagged(shop: Shell) -> None:
    shop.must(
        *("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4"),
        *("--component", "hv_cable", "--damage", "severed"),
    )
    lines = shop.must("show", "R-1").out.splitlines()
    assert "maker's procedure comes first" in lines[0]
    assert "still holds its energy" in lines[0]
    assert any(line.startswith("Finding 1: HV cable, ") for line in lines)
    assert any("AT HIGH VOLTAGE" in line for line in lines)


def test_a_case_is_found_by_its_id_too(shop: Shell) -> None:
    case_id = shop.case()["id"]
    assert shop.must("show", case_id, "--json").json["reference"] == "R-1"


@pytest.mark.parametrize("command", ["show", "assess", "journal"])
def test_a_missing_case_is_named_in_one_sentence(shop: Shell, command: str) -> None:
    shop.run(command, "R-404").refused("no case 'R-404'", "underbody list")

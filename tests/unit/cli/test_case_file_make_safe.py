"""run: the make-safe record in a case file, rehearsed before anything is stored."""

from pathlib import Path

import pytest

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell
from triage_app.domain.vehicle import SIGNS

HEAD = """
format = 1
[case]
reference = "R-9"
[vehicle]
system_voltage_v = 400
[incident]
INCIDENT
[[photo]]
file = "a.jpg"
name = "bay"
[[finding]]
component = "hv_cable"
damage = "severed"
"""
PROCEDURE = """
[[make_safe]]
at = "30 min ago"
recorded_by = "Rita Recorder"
photo = "bay"
step = "maker's procedure"
procedure = { document = "Invented manual", document_date = "2030-04", discharge_min = 5 }
"""
BARRED = """
[[make_safe]]
at = "20 min ago"
step = "area barred off"
reference = "chain"
"""
FELT = """
[[make_safe]]
place = "underside"
celsius = 21.5
instrument = { name = "Contact thermometer", calibration_due = "30 days from now" }
signs = ["hissing"]
kept = "neither distance nor barrier"
"""
MEASURED = """
[[make_safe]]
[make_safe.isolation]
island = "finding 1, HV cable: end away from the battery"
working_v = 400
instrument = "meter M-1"
procedure = "manual 7-2"
two_voltages = [400, 240, 160, 200000, 96]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "a.jpg").write_bytes(a_jpeg(seed=1))
    return tmp_path


def file(folder: Path, *tables: str, answered: bool = True) -> Path:
    path = folder / "case.toml"
    answer = "no" if answered else "unknown"
    head = HEAD.replace("INCIDENT", "\n".join(f'{sign} = "{answer}"' for sign in SIGNS))
    path.write_text("".join((head, *tables)), encoding="utf-8")
    return path


def test_entries_are_taken_in_with_their_person_photo_and_stated_time(
    shell: Shell, folder: Path
) -> None:
    shell.must("run", file(folder, PROCEDURE, BARRED))
    first, second = shell.case("R-9")["safing"]
    assert (first["recorded"]["by"], second["recorded"]["by"]) == ("Rita Recorder", "Ada Nowak")
    assert first["photo_id"] == shell.case("R-9")["photos"][0]["id"]
    assert first["done_at"] < second["done_at"] < second["recorded"]["at"]


def test_the_same_file_again_changes_nothing(shell: Shell, folder: Path) -> None:
    shell.must("run", file(folder, PROCEDURE, BARRED))
    once = shell.case("R-9")
    shell.must("run", file(folder, PROCEDURE, BARRED))
    assert shell.case("R-9") == once


def test_a_temperature_with_a_sign_voids(shell: Shell, folder: Path) -> None:
    shell.must("run", file(folder, PROCEDURE, FELT))
    assert "a warning sign of the battery was noticed: hissing" in shell.must(
        "make-safe", "R-9"
    ).out  # fmt: skip


def test_isolation_is_about_the_finding_that_made_the_island(shell: Shell, folder: Path) -> None:
    """Worked example X1 of the project's table of facts: not below, which is no criterion met."""
    shell.must("run", file(folder, MEASURED))
    [record] = shell.case("R-9")["evidence"]
    assert record["finding_id"] == shell.case("R-9")["findings"][0]["id"]
    assert record["entry"]["outcome"] == "inconclusive"
    assert record["entry"]["value"] == 500_000


def test_a_car_that_nobody_let_in_is_refused_before_anything_is_stored(
    shell: Shell, folder: Path
) -> None:
    shell.run("run", file(folder, MEASURED, answered=False)).refused("held outside, unlifted")
    assert "R-9" not in shell.must("list").out


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (BARRED, "'make_safe 1': 'Area barred off' comes after 'maker's procedure'"),
        (PROCEDURE.replace('"bay"', '"boot"'), "'make_safe 1, photo': there is no photo 'boot'"),
        (PROCEDURE.replace("30 min ago", "half past"), "'half past' is no time; give a TOML date"),
        (PROCEDURE.replace(", discharge_min = 5", ""), "no other figure stands for it"),
        (FELT.replace("30 days from now", "soon"), "'soon' is no date"),
        (FELT.replace("celsius = 21.5", ""), "A temperature needs celsius"),
        (FELT + 'happened = "wheel turned"\n', "Give exactly one of step, point, place"),
        ('[[make_safe]]\npoint = "tow hook"\nvolts = [0, 0, 0]\n', "no test point 'tow hook'"),
        ('[[make_safe]]\npoint = "battery output"\n', "a reading that was not taken is not zero"),
        ('[[make_safe]]\nlayout = { units = ["HV heater"] }\n', "Every car has a battery output"),
        (MEASURED.replace("far", "near").replace("away from", "beside"), "no island"),
    ],
)
def test_what_would_be_refused_is_named_and_nothing_is_stored(
    shell: Shell, folder: Path, table: str, said: str
) -> None:
    shell.run("run", file(folder, table)).refused(said)
    shell.run("show", "R-9").refused("no case 'R-9'")

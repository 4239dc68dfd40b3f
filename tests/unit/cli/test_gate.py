"""The gate and the checklist on the command line, and in a case file."""

from pathlib import Path

import pytest

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell
from triage_app.domain.vehicle import SIGNS

SENIOR = ("--role", "senior_technician")


def all_no(shell: Shell) -> None:
    for sign in SIGNS:
        shell.must("answer-sign", "R-1", sign, "no")


def test_a_new_case_is_held_by_every_sign_that_nobody_answered(shop: Shell) -> None:
    lines = shop.must("admission", "R-1").out.splitlines()
    assert "maker's procedure comes first" in lines[0]
    assert lines[1] == "HELD OUTSIDE, UNLIFTED: a senior technician has to decide."
    assert len(lines) == 2 + len(SIGNS)
    assert "  holds it: smoke: not known (nobody answered it by name)" in lines
    assert "HELD OUTSIDE, UNLIFTED" in shop.must("show", "R-1").out


def test_signs_are_answered_by_name_and_a_later_no_does_not_undo_a_yes(shop: Shell) -> None:
    all_no(shop)
    assert "nothing holds the car outside. That says nothing" in shop.must("admission", "R-1").out
    assert "HELD OUTSIDE" not in shop.must("show", "R-1").out
    shop.must("answer-sign", "R-1", "odour", "yes", "--note", "sweet")
    said = shop.must("answer-sign", "R-1", "odour", "no").out
    assert "HELD OUTSIDE, UNLIFTED" in said
    assert "  holds it: odour: yes (Ada Nowak, " in said


def test_a_senior_technician_decides_and_the_decision_covers_what_was_seen(shop: Shell) -> None:
    all_no(shop)
    shop.must("answer-sign", "R-1", "odour", "yes")
    decide = ("decide-admission", "R-1", "admit", "--reason", "Washer fluid.")
    shop.run(*decide, "--role", "estimator").refused("Ada Nowak, estimator", "senior technician")
    said = shop.must(*decide, *SENIOR).out
    assert "Admitted by decision, which covers the answers named here only." in said
    assert "  admitted by Ada Nowak, " in said
    assert said.splitlines()[-1].startswith("  decided: odour: yes (Ada Nowak, ")
    assert "  holds it: smoke: yes" in shop.must("answer-sign", "R-1", "smoke", "yes").out


def test_a_decision_about_a_car_that_nothing_holds_is_refused(shop: Shell) -> None:
    all_no(shop)
    shop.run("decide-admission", "R-1", "admit", "--reason", "Fine.").refused("nothing to decide")


def test_the_checklist_lists_what_is_left_and_takes_answers(shop: Shell) -> None:
    before = shop.must("checklist", "R-1").out
    assert "front end" in before.lower()
    assert "left to explain before release" in before.splitlines()[-1]
    seen = ("--state", "no-visible-damage", "--covers-off")
    said = shop.must("inspect-item", "R-1", "front_end", "radiator", "condenser", *seen).out
    assert said.startswith("2 items: no visible damage.\n")
    here = shop.must("checklist", "R-1", "--zone", "front_end").out
    assert "  no visible damage: radiator (Ada Nowak, " in here
    assert "covers off" in here
    assert "Front left" not in here
    assert len(shop.must("checklist", "R-1", "--json").json["inspection"]) == 1


def test_a_zone_at_once_is_for_what_was_not_seen(shop: Shell) -> None:
    shop.run("inspect-item", "R-1", "sill_left", "--state", "no-visible-damage").wrong_usage(
        "only what was not seen goes by zone"
    )
    shop.must(
        *("inspect-item", "R-1", "sill_left", "--state", "not-accessible"), "--reason", "On the bed"
    )
    shown = shop.must("checklist", "R-1", "--zone", "sill_left").out
    assert "not accessible: " in shown
    assert "On the bed" in shown
    assert "not inspected: " not in shown


def test_an_item_that_is_not_on_the_list_or_no_zone_is_named(shop: Shell) -> None:
    shop.run(
        "inspect-item", "R-1", "front_end", "rear_drive_unit", "--state", "not-inspected"
    ).refused("no item 'rear_drive_unit' in 'front_end'")
    shop.run("checklist", "R-1", "--zone", "roof").wrong_usage("no zone 'roof'")


def test_expected_photos_are_pointed_at_or_said_to_be_none(shop: Shell) -> None:
    said = shop.must("expected-photo", "R-1", "VIN-plate", "under.jpg").out
    assert said.startswith("VIN plate: under.jpg\n")
    said = shop.must("expected-photo", "R-1", "odometer", "--none-because", "No 12 V.").out
    assert said.startswith("odometer: none, because: No 12 V.\n")
    shop.run("expected-photo", "R-1", "odometer", "nowhere.jpg").refused("nowhere.jpg")
    assert "Photo: VIN plate" not in shop.must("checklist", "R-1").out


def test_an_adjuster_answers_decides_and_inspects_nothing(shop: Shell) -> None:
    adjuster = ("--role", "adjuster")
    for argv in (
        ("answer-sign", "R-1", "smoke", "no"),
        ("decide-admission", "R-1", "keep-outside", "--reason", "x"),
        ("inspect-item", "R-1", "front_end", "radiator", "--state", "not-inspected"),
        ("expected-photo", "R-1", "odometer", "--none-because", "x"),
    ):
        shop.run(*argv, *adjuster).refused("Ada Nowak, adjuster (reads only), may not")
    assert "inspection" not in shop.case()


CASE_FILE = """
format = 1
[case]
reference = "R-9"
[[photo]]
file = "a.jpg"
[[finding]]
component = "wheel"
damage = "scrape"
zone = "rear_left"
[incident]
smoke = "no"
odour = "yes"
[admission_decision]
verdict = "admitted"
reason = "Held at 20 C for an hour."
[[inspection]]
zone = "front_end"
parts = ["radiator"]
state = "no visible damage"
covers_off = true
inspected_by = "Ina Invented"
[[inspection]]
zone = "sill_left"
state = "not accessible"
reason = "On the flatbed"
[[expected_photo]]
what = "odometer"
none_because = "Dark"
"""


def case_file(folder: Path, old: str = "", new: str = "") -> Path:
    assert old in CASE_FILE
    (folder / "a.jpg").write_bytes(a_jpeg())
    file = folder / "case.toml"
    file.write_text(CASE_FILE.replace(old, new, 1) if old else CASE_FILE, encoding="utf-8")
    return file


def test_a_case_file_holds_gate_and_checklist(shell: Shell, tmp_path: Path) -> None:
    shell.must("run", case_file(tmp_path))
    case = shell.case("R-9")
    decision = case["admission"][-1]
    assert decision["what"]["verdict"] == "admitted"
    assert decision["recorded"]["by"] == "Ada Nowak"
    assert [each["recorded"]["by"] for each in case["inspection"]] == [
        "Ina Invented",
        "Ada Nowak",
        "Ada Nowak",
    ]
    sill = case["inspection"][1]["what"]
    assert len(sill["items"]) > 1
    assert sill["reason"] == "On the flatbed"
    assert "Admitted by decision" in shell.must("admission", "R-9").out


def test_running_it_again_changes_nothing(shell: Shell, tmp_path: Path) -> None:
    before = shell.must("run", case_file(tmp_path), "--json").json
    shell.must("answer-sign", "R-9", "smoke", "yes")
    after = shell.must("run", case_file(tmp_path), "--json").json
    assert after["inspection"] == before["inspection"]
    assert len(after["admission"]) == len(before["admission"]) + 1


def test_nobody_decides_in_a_case_file_who_may_not(shell: Shell, tmp_path: Path) -> None:
    said = shell.run("run", case_file(tmp_path), "--role", "estimator")
    said.refused("Ada Nowak, estimator, may not decide that a car held outside may come in")
    assert shell.must("list").out == "0 of 0 cases.\n"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"Held at 20 C for an hour."', '" "', "'admission_decision': Give the reason"),
        ('"admitted"', '"safe"', "'admission_decision, verdict' should be"),
        ('["radiator"]', '["rear_drive_unit"]', "'inspection 1': the checklist of this car has no"),
        ('["radiator"]', "[]", "'inspection 1': Name the parts that were seen"),
        ('"Ina Invented"', '"I"', "'inspection 1': A name has 2 to 80 characters"),
        ('zone = "sill_left"', 'zone = "roof"', "'inspection 2, zone': there is no zone 'roof'"),
        ('none_because = "Dark"', 'photos = ["x"]', "'expected_photo 1': There is no photo 'x'"),
        ('"odometer"', '"roof"', "'expected_photo 1, what' should be"),
    ],
)
def test_what_a_case_file_gets_wrong_is_named_and_nothing_is_stored(
    shell: Shell, tmp_path: Path, old: str, new: str, said: str
) -> None:
    shell.run("run", case_file(tmp_path, old, new)).refused(said)
    assert shell.must("list").out == "0 of 0 cases.\n"

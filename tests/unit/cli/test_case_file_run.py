"""run: a whole case from a case file, or one line that names the field."""

from pathlib import Path

import pytest

from tests.builders import a_jpeg
from tests.unit.cli.shell import Shell

CASE_FILE = """
format = 1
[case]
reference = "R-9"
[vehicle]
description = "Invented hatchback"
system_voltage_v = 400
[incident]
smoke = false
[[photo]]
file = "photos/a.jpg"
name = "front"
[[photo]]
file = "b.jpg"
[[finding]]
component = "hv_cable"
damage = "severed"
covers_off = false
[[finding.mark]]
photo = "front"
box = [0.1, 0.1, 0.4, 0.4]
[[finding.mark]]
photo = "b.jpg"
ellipse = { centre = [0.5, 0.5], radii_px = [60, 40], angle_deg = 10 }
[[finding]]
component = "skid_plate"
damage = "dent"
depth_mm = 4
[[finding.mark]]
photo = "front"
polygon = [[0.5, 0.5], [0.9, 0.5], [0.9, 0.9], [0.5, 0.9]]
holes = [[[0.6, 0.6], [0.7, 0.6], [0.7, 0.7]]]
[[finding]]
component = "coolant_hose"
note = "felt, not seen"
"""


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    """Return a case file with its two photos beside it."""
    folder = tmp_path / "case"
    (folder / "photos").mkdir(parents=True)
    (folder / "photos" / "a.jpg").write_bytes(a_jpeg(seed=1))
    (folder / "b.jpg").write_bytes(a_jpeg(seed=2))
    file = folder / "case.toml"
    file.write_text(CASE_FILE, encoding="utf-8")
    return file


def changed(case_file: Path, old: str, new: str) -> Path:
    text = case_file.read_text(encoding="utf-8")
    assert old in text
    case_file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return case_file


def test_a_case_file_becomes_a_case_with_photos_findings_and_report(
    shell: Shell, case_file: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out.docx"
    said = shell.must("run", case_file, "--report", out)
    assert said.out.startswith("a.jpg: accepted")
    assert "maker's procedure comes first" in said.out
    case = shell.case("R-9")
    assert [len(finding["marks"]) for finding in case["findings"]] == [2, 1, 0]
    assert case["incident"]["smoke"] == "no"
    assert len(case["findings"][1]["marks"][0]["outline"]["rings"]) == 2
    assert len(case["reports"]) == 1
    assert out.read_bytes().startswith(b"PK")


def test_running_it_again_changes_nothing(shell: Shell, case_file: Path) -> None:
    first = shell.must("run", case_file, "--json").out
    assert shell.must("run", case_file, "--json").out == first


def test_what_a_person_changed_since_stays_when_it_runs_again(
    shell: Shell, case_file: Path
) -> None:
    shell.must("run", case_file)
    shell.must("mark", "R-9", "1", "--box", "0.7,0.7,0.8,0.8", "--finding", "3")
    before = shell.case("R-9")
    shell.must("run", case_file)
    assert shell.case("R-9") == before


def test_a_run_that_was_cut_short_is_finished_by_the_next(shell: Shell, case_file: Path) -> None:
    (case_file.parent / "b.jpg").write_bytes(b"")
    said = shell.run("run", case_file)
    said.refused("'b.jpg' was refused", "R-9", "run the same case file again")
    assert len(shell.case("R-9")["photos"]) == 1
    (case_file.parent / "b.jpg").write_bytes(a_jpeg(seed=2))
    shell.must("run", case_file)
    assert [len(finding["marks"]) for finding in shell.case("R-9")["findings"]] == [2, 1, 0]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("covers_off", "cover_off", ["no field 'finding 1, cover_off'"]),
        ("[vehicle]", "[car]", ["no field 'car'"]),
        ("format = 1", "format = 2", ["'format' should be 1"]),
        ("format = 1", "", ["'format' is missing"]),
        ("depth_mm = 4", 'depth_mm = "4"', ["'finding 2, depth_mm' should be a valid number"]),
        ("depth_mm = 4", "depth_mm = -4", ["'finding 2'", "depth"]),
        ("depth_mm = 4", "depth_mm = nan", ["'finding 2'", "depth"]),
        ("smoke = false", "smoke = 2", ["'incident, smoke'"]),
        ("covers_off = false", 'covers_off = "maybe"', ["'finding 1, covers_off'", "unknown"]),
        ("system_voltage_v = 400", "system_voltage_v = 9000", ["'vehicle'", "voltage"]),
        ('"hv_cable"', '"flux_capacitor"', ["'finding 1'", "no component 'flux_capacitor'"]),
        ('photo = "b.jpg"', 'photo = "c.jpg"', ["'finding 1, mark 2, photo'", "no photo 'c.jpg'"]),
        ("box = [0.1, 0.1, 0.4, 0.4]", "", ["'finding 1, mark 1'", "exactly one"]),
        ("[0.1, 0.1, 0.4, 0.4]", "[0.1, 0.1, 0.4]", ["'finding 1, mark 1, box"]),
        ("[0.1, 0.1, 0.4, 0.4]", "[0.1, 0.1, 1.4, 0.4]", ["mark 1'", "outside the photo"]),
        ("[0.5, 0.5], [0.9, 0.5], [0.9, 0.9], [0.5, 0.9]", "[0.5, 0.5]", ["3 or more points"]),
        ('file = "b.jpg"', 'file = "gone.jpg"', ["'photo 2, file'", "no file 'gone.jpg'"]),
        ('file = "b.jpg"', 'file = "../b.jpg"', ["'photo 2, file'", "inside the folder"]),
        ('file = "b.jpg"', 'file = "/etc/passwd"', ["'photo 2, file'", "inside the folder"]),
        ('file = "b.jpg"', 'file = "photos\\\\a.jpg"', ["'photo 2, file'", "inside the folder"]),
        ('file = "b.jpg"', 'file = "C:b.jpg"', ["'photo 2, file'", "inside the folder"]),
        ('file = "b.jpg"', 'file = "b\\u0000.jpg"', ["'photo 2, file'", "inside the folder"]),
        ('file = "b.jpg"', 'file = "photos"', ["'photo 2, file'", "no file 'photos'"]),
        ('file = "b.jpg"', f'file = "{"n" * 300}"', ["'photo 2, file'"]),
        ('file = "b.jpg"', 'file = "b.jpg"\nname = "front"', ["'photo 2'", "used twice"]),
        ('component = "coolant_hose"\nnote = "felt, not seen"', "", ["'finding 3'", "say what"]),
        ("format = 1", "format = = 1", ["not TOML", "line 2"]),
    ],
)
def test_a_field_that_is_wrong_is_named_and_nothing_is_stored(
    shell: Shell, case_file: Path, old: str, new: str, words: list[str]
) -> None:
    shell.run("run", changed(case_file, old, new)).refused(*words)
    assert shell.must("list", "--json").json["total"] == 0


def test_a_link_out_of_the_folder_is_not_followed(
    shell: Shell, case_file: Path, tmp_path: Path
) -> None:
    secret = tmp_path / "secret.jpg"
    secret.write_bytes(a_jpeg(seed=3))
    (case_file.parent / "b.jpg").unlink()
    (case_file.parent / "b.jpg").symlink_to(secret)
    shell.run("run", case_file).refused("leads out of the folder")
    assert shell.must("list", "--json").json["total"] == 0


def test_an_ellipse_that_reaches_outside_its_photo_is_named(shell: Shell, case_file: Path) -> None:
    said = shell.run("run", changed(case_file, "[60, 40]", "[6000, 40]"))
    said.refused("'finding 1, mark 2'", "outside the photo")


def test_a_case_file_that_is_no_text_or_not_there_is_refused(shell: Shell, case_file: Path) -> None:
    shell.run("run", case_file.parent / "photos" / "a.jpg").refused("not a text file")
    shell.run("run", case_file.parent / "gone.toml").refused("does not exist")


def test_a_reference_that_is_taken_by_another_case_is_refused(
    shell: Shell, case_file: Path
) -> None:
    shell.must("new", "--ref", "R-9")
    shell.run("run", case_file).refused("R-9")
    assert shell.case("R-9")["photos"] == []


A_TEST = """
[[finding.evidence]]
test = "behind_shield"
outcome = "criterion met"
criterion = "Nothing behind it touched"
document = "Invented manual 7-2"
document_date = "2030-06"
recorded_by = "Ina Invented"
accepted = true
[[finding.evidence]]
kind = "part replaced"
note = "New plate"
"""
WHOLE_CAR = """
[[evidence]]
test = "isolation_resistance"
outcome = "inconclusive"
value = 0.4
unit = "Mohm"
instrument = "Insulation tester"
calibration_due = 2999-12-31
"""
PLATE = 'component = "coolant_hose"'


def with_evidence(case_file: Path, old: str = "", new: str = "") -> Path:
    whole = CASE_FILE.replace("[[finding]]\n" + PLATE, A_TEST + "[[finding]]\n" + PLATE) + WHOLE_CAR
    assert old in whole
    case_file.write_text(whole.replace(old, new, 1) if old else whole, encoding="utf-8")
    return case_file


def test_records_of_a_case_file_are_recorded_and_accepted(shell: Shell, case_file: Path) -> None:
    records = shell.must("run", with_evidence(case_file), "--json").json["evidence"]
    assert [each["recorded"]["by"] for each in records] == [
        "Ina Invented",
        "Ada Nowak",
        "Ada Nowak",
    ]
    assert [each["decisions"][0]["signed"]["by"] for each in records[:1]] == ["Ada Nowak"]
    assert [each["decisions"] for each in records[1:]] == [[], []]
    assert records[0]["seen"] == [{"finding_id": records[0]["finding_id"], "revision": 1}]
    assert (records[2]["finding_id"], len(records[2]["seen"])) == (None, 3)


def test_running_it_again_keeps_what_people_did_with_the_records(
    shell: Shell, case_file: Path
) -> None:
    shell.must("run", with_evidence(case_file))
    shell.must("withdraw-evidence", "R-9", "1", "--reason", "wrong car")
    before = shell.must("show", "R-9", "--json").json
    assert shell.must("run", case_file, "--json").json == before


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"Ina Invented"', '"Nowak, Ada"', "'finding 2, evidence 1': Ada Nowak runs the case file"),
        ('recorded_by = "Ina Invented"', "", "'finding 2, evidence 1': Ada Nowak runs the case"),
        ('"behind_shield"', '"kick"', "'finding 2, evidence 1': The rule book has no test 'kick'"),
        ('document_date = "2030-06"', "", "'finding 2, evidence 1': Give the maker's criterion wh"),
        ('"criterion met"', '"passed"', "'finding 2, evidence 1, outcome' should be"),
        (
            'note = "New plate"',
            'test = "hv_circuit"',
            "'finding 2, evidence 2': Only a test",
        ),
        ("2999-12-31", "2999-02-31", "not TOML"),
        ("2999-12-31", '"soon"', "'evidence 1, calibration_due' should be a valid date"),
        ('document = "Invented', 'value = 3\nunit = "mm"\ndocument = "Invented', "no instrument"),
        ("[[evidence]]", '[[evidence]]\nkind = "part replaced"', "'evidence 1': only a test can"),
    ],
)
def test_a_wrong_record_is_named_and_nothing_is_stored(
    shell: Shell, case_file: Path, old: str, new: str, said: str
) -> None:
    shell.run("run", with_evidence(case_file, old, new)).refused(said)
    assert shell.must("list").out == "0 of 0 cases.\n"

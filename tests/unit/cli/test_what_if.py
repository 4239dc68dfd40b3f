"""assess --suppose: the answer for the case as it might be, with nothing saved."""

from pathlib import Path

import pytest

from rules import EvidenceKind, Powertrain, Side, TestOutcome
from tests.builders import a_case, a_finding, a_test, record_of, some_tags
from tests.unit.cli.shell import Shell
from tests.unit.services.shop import RULEBOOK
from triage_app.cli.suppositions import read_suppositions
from triage_app.domain.case import Measures, Tags
from triage_app.domain.evidence import Instruction
from triage_app.domain.evidence_commands import seen_in
from triage_app.domain.vehicle import Answer
from triage_app.domain.what_if import (
    SupposeAccepted,
    SupposeEvidence,
    SupposeFinding,
    SupposeIncident,
    SupposeVehicle,
)

CASE = record_of(a_test(), a_finding(1)).apply(a_case(a_finding(1)), a_finding(1).created)


@pytest.fixture
def dent(shop: Shell) -> Shell:
    shop.must("mark", "R-1", "1", "--box", "0.1,0.1,0.4,0.4", "--component", "fan_shroud",
              "--damage", "scrape", "--covers-off", "yes", "--distance-mm", "1900",
              "--uncertainty-mm", "10")  # fmt: skip
    return shop


def stored(shell: Shell) -> dict[str, bytes]:
    return {
        path.name: path.read_bytes()
        for path in sorted(shell.folder.rglob("*"))
        if path.is_file() and not path.name.endswith(("-shm", "-wal"))
    }


def tags_of(*texts: str) -> Tags:
    (supposed,) = read_suppositions(texts, CASE, RULEBOOK)
    assert isinstance(supposed, SupposeFinding)
    return supposed.tags


def test_every_fact_of_a_finding_can_be_supposed_and_several_texts_add_up() -> None:
    tags = tags_of(
        "finding 1: component = skid_plate, damage = Dent, zone = front_centre, side = left",
        "finding 1 : length = 120, width = 8 mm, depth=3.5mm, distance = 250, uncertainty = 20 mm",
        "finding 1: covers off = yes, conductor_visible = no, Hangs Free = YES",
    )
    assert tags == Tags(
        component=some_tags("skid_plate").component,
        damage=some_tags(damage="dent").damage,
        zone=some_tags(zone="front_centre").zone,
        side=Side.LEFT,
        measures=Measures(
            length_mm=120,
            width_mm=8,
            depth_mm=3.5,
            distance_to_hv_mm=250,
            distance_uncertainty_mm=20,
            covers_off=True,
        ),
        hv_conductor_visible=False,
        hangs_free=True,
    )


def test_a_fact_can_be_supposed_unknown() -> None:
    tags = tags_of("finding 1: damage = unknown, distance = unknown, covers off = unknown")
    assert (tags.component, tags.damage) == (some_tags().component, None)


def test_the_car_its_signs_and_records_can_be_supposed() -> None:
    vehicle, incident, whole, part, word, waiting = read_suppositions(
        [
            "car: voltage = 800 V, drive = plug-in hybrid, smoke = yes",
            "car: test isolation_resistance = not met",
            "finding 1: part = replaced, maker says = clean and protect",
            "record 1: accepted",
        ],
        CASE,
        RULEBOOK,
    )
    assert isinstance(vehicle, SupposeVehicle)
    assert (vehicle.vehicle.system_voltage_v, vehicle.vehicle.powertrain) == (
        800,
        Powertrain.PLUG_IN_HYBRID,
    )
    assert vehicle.vehicle.description == CASE.vehicle.description
    assert isinstance(incident, SupposeIncident)
    assert incident.incident.smoke is Answer.YES
    assert isinstance(whole, SupposeEvidence)
    assert (whole.finding_id, whole.entry.outcome) == (None, TestOutcome.NOT_MET)
    assert isinstance(part, SupposeEvidence)
    assert part.entry.kind is EvidenceKind.PART_REPLACED
    assert isinstance(word, SupposeEvidence)
    assert word.entry.instruction is Instruction.CLEAN_AND_PROTECT
    assert waiting == SupposeAccepted(record_id=CASE.evidence[0].id)


def test_the_lines_say_what_would_be_different_and_nothing_is_saved(dent: Shell) -> None:
    before = stored(dent)
    said = dent.must("assess", "R-1", "--suppose", "finding 1: damage = burn_or_arc_mark")
    lines = said.out.splitlines()
    assert "maker's procedure comes first" in lines[0]
    assert lines[1] == ("Only supposed, nothing is saved: finding 1: damage = burn_or_arc_mark")
    assert "Finding 1" in lines
    assert any(line.startswith("  risk: ") and line.endswith(", worse") for line in lines)
    assert any(line.startswith("  + rules that fire: ") for line in lines)
    assert any(line.startswith("  - rules that fire: ") for line in lines)
    assert stored(dent) == before


def test_as_json_it_holds_both_answers_and_the_changes(dent: Shell) -> None:
    texts = ("finding 1: test bolt_condition = met", "car: water = yes")
    answer = dent.must("assess", "R-1", "--suppose", texts[0], "--suppose", texts[1], "--json").json
    assert answer["supposed"] == list(texts)
    assert answer["before"] == {
        key: held for key, held in dent.must("assess", "R-1").json.items() if key != "format"
    }
    assert answer["after"] != answer["before"]
    assert answer["changes"][0]["finding_id"] is None


def test_what_is_already_so_changes_nothing(dent: Shell) -> None:
    said = dent.must("assess", "R-1", "--suppose", "finding 1: damage = scrape")
    assert said.out.splitlines()[-1] == "Nothing would be different."


def test_a_case_in_a_file_can_be_supposed_otherwise(dent: Shell, tmp_path: Path) -> None:
    file = tmp_path / "case.json"
    file.write_text(dent.must("show", "R-1", "--json").out, encoding="utf-8")
    supposed = ("--suppose", "finding 1: distance = 200 mm")
    assert dent.must("assess", file, *supposed).out == dent.must("assess", "R-1", *supposed).out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "say 'finding N: ...'"),
        ("finding: damage = dent", "say 'finding N: ...'"),
        ("finding one: damage = dent", "say 'finding N: ...'"),
        ("the car is on fire", "say 'finding N: ...'"),
        ("finding 1: damage", "write NAME = VALUE"),
        ("finding 1: damage =", "write NAME = VALUE"),
        ("finding 1:", "write NAME = VALUE"),
        ("finding 1: colour = red", "a finding has no 'colour'; it has component, damage"),
        ("car: colour = red", "the car has no 'colour'; it has voltage, drive"),
        ("car: part = replaced", "the car has no 'part'"),
        ("record 1: declined", "only 'accepted'"),
    ],
)
def test_a_text_that_is_not_of_the_form_is_wrong_usage(dent: Shell, text: str, said: str) -> None:
    dent.run("assess", "R-1", "--suppose", text).wrong_usage(f"--suppose '{text}'", said)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("finding 9: damage = dent", "no finding 9"),
        ("record 9: accepted", "no record 9"),
        ("finding 1: damage = bewitched", "no damage type 'bewitched'"),
        ("finding 1: test kick = met", "no test 'kick'"),
        ("finding 1: test unknown = met", "Name the test"),
        ("finding 1: test coolant_hold = passed", "one of: met, not met, inconclusive"),
        ("finding 1: covers off = maybe", "one of: yes, no, unknown"),
        ("finding 1: part = mended", "one of: replaced"),
        ("finding 1: distance = -5", "must be between 0"),
        ("finding 1: distance = far", "'far' is not a number of mm"),
        ("finding 1: distance = nan", "'nan' is not a number of mm"),
        ("car: voltage = 1e9", "must be between 0"),
        ("car: drive = steam", "one of: battery electric"),
        ("car: smoke = perhaps", "one of: yes, no, unknown"),
    ],
)
def test_a_value_that_cannot_be_right_is_refused(dent: Shell, text: str, said: str) -> None:
    dent.run("assess", "R-1", "--suppose", text).refused(said)


def test_a_retest_is_supposed_for_the_finding_as_it_is() -> None:
    (supposed,) = read_suppositions(["finding 1: test hv_circuit = criterion met"], CASE, RULEBOOK)
    assert isinstance(supposed, SupposeEvidence)
    after = supposed.apply(CASE)
    assert after.evidence[-1].seen == seen_in(CASE, CASE.findings[0].id)
    assert after.evidence[-1].is_accepted

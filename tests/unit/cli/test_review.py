"""Review and release on the command line: what is signed is what was printed."""

import re
from pathlib import Path

import pytest
from docx import Document

from tests.unit.cli.shell import Shell

SENIOR = ("--by", "Sam Senior", "--role", "senior_technician")
LOWER = ("lower", "--hv-flag", "within-reach", "--risk", "low")


@pytest.fixture
def dented(shop: Shell) -> Shell:
    """Return a shop whose case has a dent before HV and a scrape within reach of it."""
    shop.must("mark", "R-1", "--component", "skid_plate", "--damage", "dent")
    liner = ("--component", "wheel_arch_liner", "--damage", "scrape", "--zone", "rear_left")
    shop.must("mark", "R-1", *liner)
    return shop


def hashes(shell: Shell) -> list[str]:
    """Return what the queue prints to sign, in its order."""
    return re.findall(r"to sign: ([0-9a-f]{12})$", shell.must("review", "R-1").out, re.MULTILINE)


def test_the_queue_tells_the_levels_and_what_is_to_be_signed(dented: Shell) -> None:
    lines = dented.must("review", "R-1").out.splitlines()
    assert "maker's procedure comes first" in lines[0]
    assert lines[1] == f"Case R-1, revision {dented.case()['revision']}: 2 waiting"
    assert re.match(r"  finding 1: \w+ risk, at_hv, waiting for review; to sign: ", lines[2])
    assert "within_reach" in lines[3]


def test_a_second_person_confirms_what_they_looked_at(dented: Shell) -> None:
    first, _ = hashes(dented)
    said = dented.must("review", "R-1", "1", "confirm", "--seen", first, *SENIOR).out
    assert "1 waiting" in said
    assert "reviewed and signed" in said
    assert "    confirmed by Sam Senior, " in said
    assert f"SHA-256 {first}" in said


def test_what_changed_since_is_not_signed(dented: Shell) -> None:
    first, _ = hashes(dented)
    dented.must("mark", "R-1", "1", "--outline", "0.1,0.2", "0.4,0.2", "0.4,0.5", "--finding", "1")
    said = dented.run("review", "R-1", "1", "confirm", "--seen", first, *SENIOR)
    said.refused("Finding 1 is not what you looked at any more")
    assert "reviews" not in dented.case()


def test_nothing_is_signed_unseen(dented: Shell) -> None:
    dented.run("review", "R-1", "1", "confirm", *SENIOR).wrong_usage("--seen HASH")
    dented.run("review", "R-1", "1", "confirm", "--seen", "ab12", *SENIOR).wrong_usage("SHA-256")
    assert "reviews" not in dented.case()


def test_lowering_needs_a_reason_and_shows_both_answers(dented: Shell) -> None:
    first, _ = hashes(dented)
    lower = ("review", "R-1", "1", *LOWER, "--seen", first)
    dented.run(*lower, *SENIOR).refused("Give a reason")
    said = dented.must(*lower, "--reason", "Cable seen whole.", *SENIOR).out
    assert re.search(
        r"finding 1: low risk, within_reach, .*\(the rules say: \w+ risk, at_hv\)", said
    )
    assert ": Cable seen whole." in said


def test_who_recorded_it_does_not_lower_it(dented: Shell) -> None:
    first, _ = hashes(dented)
    dented.run("review", "R-1", "1", *LOWER, "--seen", first, "--reason", "Mine.").refused(
        "Ada Nowak recorded finding 1", "another named person"
    )


def test_those_within_reach_are_acknowledged_by_their_hashes(dented: Shell) -> None:
    first, second = hashes(dented)
    dented.run("review", "R-1", "--acknowledge", first, *SENIOR).refused("as it is now")
    said = dented.must("review", "R-1", "--acknowledge", second, *SENIOR).out
    assert "acknowledged by Sam Senior" in said


def test_an_estimator_signs_nothing(dented: Shell) -> None:
    first, _ = hashes(dented)
    sign = ("review", "R-1", "1", "confirm", "--seen", first)
    dented.run(*sign, "--role", "estimator").refused("may not", "senior technician")


def test_a_release_says_what_stands_in_its_way(dented: Shell, tmp_path: Path) -> None:
    out = tmp_path / "r.docx"
    said = dented.run("release", "R-1", "--revision", "1", "-o", out, *SENIOR)
    said.refused("you looked at revision 1")
    now = str(dented.case()["revision"])
    said = dented.run("release", "R-1", "--revision", now, "-o", out, *SENIOR)
    said.refused("The report of case R-1 stays a draft.", "There are ")
    for kind in ("Admission: ", "Make safe: ", "Inspection: ", "Review: Finding 1 "):
        assert kind in said.out
    assert not out.exists()
    assert dented.case()["reports"] == []


def test_a_report_is_a_draft_until_it_is_released(dented: Shell, tmp_path: Path) -> None:
    out = tmp_path / "r.docx"
    dented.must("report", "R-1", "-o", out)
    words = "\n".join(each.text for each in Document(str(out)).paragraphs)
    assert "DRAFT. No senior technician has released this report." in words
    assert "RELEASED" not in words

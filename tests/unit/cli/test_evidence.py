"""Records of evidence on the command line: one person records, another one accepts."""

from pathlib import Path

import pytest

from tests.unit.cli.shell import Said, Shell

MAKER = ("--criterion", "holds 150 kPa", "--document", "Invented manual 3-1", "--document-date")
MET = ("--test", "coolant_hold", "--outcome", "met", *MAKER, "2030-06")
MEASURED = ("--value", "150", "--unit", "kPa", "--instrument", "Hold tester", "--serial", "HT-2")


@pytest.fixture
def leak(shop: Shell) -> Shell:
    """Return a shop whose case R-1 has one finding, a leaking coolant hose."""
    shop.must("mark", "R-1", "--component", "coolant_hose", "--damage", "leak")
    return shop


def by(shell: Shell, name: str, *argv: str) -> Said:
    return shell.run(*argv, "--by", name)


def test_recorded_by_one_and_accepted_by_another_it_stands_beside_the_first_risk(
    leak: Shell,
) -> None:
    first = leak.must("assess", "R-1").json["findings"][0]
    said = leak.must(
        *("record-test", "R-1", "1", *MET, *MEASURED, "--calibration-due", "2999-12-31"),
        *("--note", "engine cold"),
    )
    assert said.out.splitlines()[:-1] == [
        "Record 1, finding 1: coolant_hold, criterion met, 150 kPa: "
        "waiting for another person to accept it.",
        "  the maker asks for: holds 150 kPa (Invented manual 3-1, 2030-06)",
        "  measured with Hold tester HT-2, calibration due: 2999-12-31",
        "  engine cold",
    ]
    assert said.out.splitlines()[-1].startswith("  recorded by Ada Nowak, ")
    assert by(leak, "Ben Ruiz", "accept-evidence", "R-1", "1").status == 0
    answer = leak.must("assess", "R-1").json["findings"][0]
    assert answer["residual"]["risk"]
    assert (answer["risk"], answer["hv_flag"]) == (first["risk"], first["hv_flag"])
    assert (
        f"({answer['residual']['risk']} risk after accepted records)"
        in leak.must("show", "R-1").out
    )


def test_whoever_recorded_it_is_refused(leak: Shell) -> None:
    leak.must("record-test", "R-1", "1", *MET)
    by(leak, "nowak, ADA", "accept-evidence", "R-1", "1").refused("another named person")
    by(leak, "nowak, ADA", "decline-evidence", "R-1", "1", "--reason", "x").refused("another named")


def test_the_list_says_what_each_record_is_worth(leak: Shell) -> None:
    leak.must("record-test", "R-1", "1", *MET)
    leak.must("record-test", "R-1", "--test", "isolation_resistance", "--outcome", "not-met")
    leak.must("record-replacement", "R-1", "1", "--note", "new hose")
    leak.must("record-instruction", "R-1", "1", "--says", "replace", *MAKER, "2030-06")
    assert by(leak, "Ben Ruiz", "accept-evidence", "R-1", "2").status == 0
    by(leak, "Ben Ruiz", "decline-evidence", "R-1", "3", "--reason", "not fitted")
    leak.must("withdraw-evidence", "R-1", "4", "--reason", "another model")
    assert leak.must("show", "R-1").out.splitlines()[-1] == (
        "4 records of evidence, 1 waiting for acceptance. See: underbody evidence R-1"
    )
    out = leak.must("evidence", "R-1").out
    assert "maker's procedure comes first" in out.splitlines()[0]
    assert "Record 2, the whole car: isolation_resistance, criterion not met: accepted." in out
    assert "  the maker's criterion is not given: it counts as inconclusive" in out
    assert "Record 3, finding 1: part replaced: declined." in out
    assert "UTC because: not fitted" in out
    assert "Record 4, finding 1: maker's instruction, replace: withdrawn." in out
    assert out.splitlines()[-1] == "4 records of evidence."
    records = leak.must("evidence", "R-1", "--json").json["records"]
    assert [each["record"]["number"] for each in records] == [1, 2, 3, 4]
    assert [each["standing"].partition(" ")[0] for each in records] == [
        "waiting",
        "accepted",
        "declined",
        "withdrawn",
    ]


def test_a_retest_supersedes_once_it_is_accepted(leak: Shell) -> None:
    leak.must("record-test", "R-1", "1", "--test", "coolant_hold", "--outcome", "not-met")
    assert by(leak, "Ben Ruiz", "accept-evidence", "R-1", "1").status == 0
    leak.must("record-test", "R-1", "1", *MET, "--retest-of", "1")
    assert by(leak, "Ben Ruiz", "accept-evidence", "R-1", "2").status == 0
    assert "not met: superseded by a retest." in leak.must("evidence", "R-1").out


def test_damage_found_later_is_named_beside_a_result_for_the_whole_car(leak: Shell) -> None:
    leak.must("record-test", "R-1", *MET)
    assert by(leak, "Ben Ruiz", "accept-evidence", "R-1", "1").status == 0
    leak.must("mark", "R-1", "--component", "hv_cable", "--damage", "severed")
    listed = leak.must("evidence", "R-1")
    assert "  It says nothing of what changed since: finding 2." in listed.out
    assert leak.must("evidence", "R-1", "--json").json["records"][0]["changed_findings"] == [2]


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("record-test", "R-1", "9", *MET), "no finding 9"),
        (("record-test", "R-1", "--test", "kick", "--outcome", "met"), "no test 'kick'"),
        (("record-test", "R-1", "1", *MET, "--value", "3"), "unit of the value"),
        (("record-test", "R-1", "1", *MET, "--serial", "7"), "Name the instrument"),
        (("record-test", "R-1", "1", *MET[:4], "--document", "x"), "criterion whole"),
        (("record-test", "R-1", "1", *MET, "--retest-of", "4"), "no record 4"),
        (("record-instruction", "R-1", "1", "--says", "repair"), "in which document"),
        (("accept-evidence", "R-1", "1"), "no record 1"),
        (("evidence", "R-9"), "no case 'R-9'"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_stored(
    leak: Shell, argv: tuple[str, ...], said: str
) -> None:
    leak.run(*argv).refused(said)
    assert leak.must("evidence", "R-1").out == "0 records of evidence.\n"


@pytest.mark.parametrize(
    "argv",
    [
        ("record-test", "R-1", "1", "--test", "coolant_hold", "--outcome", "passed"),
        ("record-test", "R-1", "1", *MET, "--calibration-due", "soon"),
        ("record-replacement", "R-1"),
        ("decline-evidence", "R-1", "1"),
    ],
)
def test_what_is_left_out_or_misspelt_is_wrong_usage(leak: Shell, argv: tuple[str, ...]) -> None:
    leak.run(*argv).wrong_usage("usage:")


def test_a_value_with_an_instrument_out_of_calibration_is_not_accepted(leak: Shell) -> None:
    leak.must("record-test", "R-1", "1", *MET, *MEASURED, "--calibration-due", "2001-01-31")
    by(leak, "Ben Ruiz", "accept-evidence", "R-1", "1").refused("had run out on 2001-01-31")


def test_the_journal_says_it_in_plain_words(leak: Shell) -> None:
    leak.must("record-test", "R-1", "1", *MET)
    by(leak, "Ben Ruiz", "accept-evidence", "R-1", "1")
    assert "Ada Nowak: evidence recorded\n" in leak.must("journal", "R-1").out
    assert "Ben Ruiz: evidence accepted\n" in leak.must("journal", "R-1").out


def test_a_case_file_with_a_test_that_the_book_does_not_know_is_refused(
    leak: Shell, tmp_path: Path
) -> None:
    leak.must("record-test", "R-1", "1", *MET)
    text = leak.must("show", "R-1", "--json").out.replace("coolant_hold", "kick")
    (tmp_path / "case.json").write_text(text, encoding="utf-8")
    leak.run("assess", tmp_path / "case.json").refused("Record 1", "no test 'kick'")

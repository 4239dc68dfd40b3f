"""A shop's own rules on the command line: laid over the book everywhere, or nothing starts."""

from pathlib import Path

import pytest

from rules import Origin, RulebookError
from tests.unit.cli.shell import Shell
from tests.unit.rules.shop import DENT, GOOD, HEADER, written
from triage_app.bootstrap import open_rulebook, open_services
from triage_app.settings import Settings


def test_check_rules_says_what_an_overlay_adds_and_tightens(shell: Shell, tmp_path: Path) -> None:
    said = shell.must("check-rules", "--overlay", written(tmp_path, GOOD)).out
    assert "with the shop's rules 'Invented Body Shop' revision 3" in said
    assert "part: Tow-eye lid, like air_guide" in said
    assert "LIK-013, depth_mm_min 3 to 2" in said
    assert "situations compared with the book alone" in said
    assert "\n0 faults\n" in said


def test_check_rules_refuses_an_overlay_that_loosens_in_one_sentence(
    shell: Shell, tmp_path: Path
) -> None:
    loose = written(tmp_path, HEADER + DENT.replace("= 2\n", "= 4\n"))
    said = shell.run("check-rules", "--overlay", loose)
    said.refused("shop.toml, SHOP-001, depth_mm_min", "not stricter than the 3 of LIK-013")
    assert said.out == ""


@pytest.mark.parametrize("place", ["gone.toml", ""])
def test_check_rules_without_the_named_file_is_refused(
    shell: Shell, tmp_path: Path, place: str
) -> None:
    shell.run("check-rules", "--overlay", place and tmp_path / place).refused("cannot be read")


def test_the_words_of_the_shop_are_marked_in_the_list_and_in_json(
    shell: Shell, tmp_path: Path
) -> None:
    overlay = written(tmp_path, GOOD)
    listed = shell.must("check-rules", "--list", "--overlay", overlay).out
    assert "Tow-eye lid (the shop's own)" in listed
    document = shell.must("check-rules", "--json", "--overlay", overlay).json
    assert document["stamp"]["overlay"]["name"] == "Invented Body Shop"
    origins = {part["id"]: part["origin"] for part in document["components"]}
    assert origins["shop_tow_eye_lid"] == Origin.SHOP
    assert origins["hv_cable"] == Origin.BOOK


def test_every_command_takes_the_overlay_of_the_setting(
    shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERBODY_SHOP_RULES", str(written(tmp_path, GOOD)))
    assert "Tow-eye lid" in shell.must("check-rules", "--list").out


@pytest.mark.parametrize("spoiled", [GOOD[:-40], HEADER, "[[rule", GOOD.replace("LIK-013", "X")])
def test_a_broken_overlay_lets_nothing_start_and_no_store_is_made(
    spoiled: str, shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERBODY_SHOP_RULES", str(written(tmp_path, spoiled)))
    shell.run("list").refused("shop.toml")
    shell.run("check-rules").refused("shop.toml")
    assert not shell.folder.exists()


def test_services_open_with_the_overlay_or_not_at_all(tmp_path: Path) -> None:
    shop = str(written(tmp_path, GOOD))
    services = open_services(
        Settings(cases_url="memory://", files_url="memory://", shop_rules=shop)
    )
    assert services.rulebook.stamp == open_rulebook(Settings(shop_rules=shop)).stamp
    assert services.rulebook.stamp.overlay is not None
    services.close()
    with pytest.raises(RulebookError, match="cannot be read"):
        open_services(
            Settings(cases_url="memory://", files_url="memory://", shop_rules=shop + ".gone")
        )

"""Operations and test outcomes: whole, without a circle, and every fault named by row."""

import shutil
import tomllib
from collections.abc import Callable
from dataclasses import replace
from importlib import resources
from pathlib import Path
from types import MappingProxyType

import networkx  # type: ignore[import-untyped]  # ships no types
import pytest

from rules import ComponentId, Rulebook, RulebookError, ZoneId, load_rulebook
from rules.proofs.work import all_operations, work_faults
from rules.reading.judgements import Words
from rules.reading.work import read_work
from rules.work import OperationKind, Scope, WorkKind
from rules.work_order import Ordered, WorkCycleError, in_order, predecessors
from tests.unit.rules.book import the_book

FILES = ("operations.toml", "test_outcomes.toml")
TABLES = Path(str(resources.files("rules") / "tables"))


def test_the_operations_of_the_book_are_in_order() -> None:
    assert work_faults(the_book()) == ()


def test_every_part_has_every_kind_of_work_and_every_test_its_outcomes() -> None:
    book = the_book()
    assert {part for part, _ in book.work.works} == set(book.components)
    assert len(book.work.works) == len(book.components) * len(WorkKind)
    for test in book.open_tests:
        for part in book.components.values():
            ways = [one.met for one in book.work.results_of(test, part)]
            assert set(ways) == {True, False}, (test, part.id)


def test_an_hv_cable_is_never_repaired_by_splicing() -> None:
    book = the_book()
    for part in ("hv_cable", "charge_inlet", "hv_connector"):
        work = book.work.work(book.components[ComponentId(part)], WorkKind.REPAIR)
        assert "never spliced" in work.label


def test_a_battery_is_opened_only_on_the_lift_table_and_leak_tested_after_it_is_closed() -> None:
    steps = the_book().work.steps
    assert "battery_down" in steps["pack_opened"].first
    assert "lift_table" in steps["battery_down"].first
    assert {"cover_seal", "enclosure_seal_after"} <= set(steps["pack_closed"].then)
    assert {"freight_battery", "disposal_battery"} <= set(steps["battery_replaced"].then)


def test_what_pressurises_is_held_back_while_a_cooling_plate_may_be_breached() -> None:
    work = the_book().work
    for test in ("battery_cooling_hold", "coolant_hold"):
        row = next(one for name, one in work.tests.items() if name == test)
        assert row.pressurises
        assert row.care == 3
        assert row.not_while == {"no_pressure_on_cold_plate"}


def test_one_test_of_the_whole_car_is_asked_once() -> None:
    scopes = {name: one.scope for name, one in the_book().work.tests.items()}
    assert {scopes[name] for name in scopes if name in ("isolation_resistance", "cell_data")} == {
        Scope.CAR
    }
    assert [one for name, one in scopes.items() if name == "maker_criterion"] == [Scope.FINDING]


def test_in_an_unknown_place_everything_that_could_cover_the_part_comes_off() -> None:
    book = the_book()
    cable = book.components[ComponentId("hv_cable")]
    front = book.work.access_to(cable, ZoneId("battery_front"))
    assert set(front) == {"front_shield_off", "skid_plate_off"}
    assert set(front) < set(book.work.access_to(cable, None))


# ------------------------------------------------------------------ order


def test_the_order_is_one_that_networkx_finds_valid() -> None:
    """By networkx as an independent judge of the order over all operations of the book at once."""
    operations = all_operations(the_book())
    graph = networkx.DiGraph()
    graph.add_nodes_from(operations)
    for name, earlier in predecessors(operations).items():
        graph.add_edges_from((one, name) for one in earlier)
    assert networkx.is_directed_acyclic_graph(graph)
    place = {name: at for at, name in enumerate(in_order(operations))}
    assert len(place) == len(operations)
    assert all(place[one] < place[other] for one, other in graph.edges)


def test_what_was_opened_is_closed_after_all_work_and_in_the_reverse_order() -> None:
    operations = {
        "outer off": Ordered(step="outer off", back="outer on"),
        "inner off": Ordered(step="inner off", first=frozenset(["outer off"]), back="inner on"),
        "outer on": Ordered(step="outer on"),
        "inner on": Ordered(step="inner on"),
        "work": Ordered(step="work", first=frozenset(["inner off"])),
    }
    assert in_order(operations) == ("outer off", "inner off", "work", "inner on", "outer on")


def test_operations_that_wait_for_one_another_are_named() -> None:
    operations = {
        "a": Ordered(step="a", first=frozenset(["b"])),
        "b": Ordered(step="b", first=frozenset(["c"])),
        "c": Ordered(step="c", first=frozenset(["a"])),
    }
    with pytest.raises(WorkCycleError, match="wait for one another") as caught:
        in_order(operations)
    assert set(caught.value.names) == {"a", "b", "c"}


# ------------------------------------------------------------------ planted faults


def with_step(book: Rulebook, step_id: str, **changes: object) -> Rulebook:
    step = replace(book.work.steps[step_id], **changes)  # type: ignore[arg-type]  # by name
    steps = MappingProxyType({**book.work.steps, step_id: step})
    return replace(book, work=replace(book.work, steps=steps))


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        pytest.param(
            lambda book: with_step(book, "make_safe", first=("battery_down",)),
            "wait for one another",
            id="circle",
        ),
        pytest.param(
            lambda book: with_step(book, "guard_plate_off", back=None),
            "guard_plate_off: nothing undoes",
            id="left open",
        ),
        pytest.param(
            lambda book: with_step(book, "battery_up", then=("isolation_after",)),
            "battery_bolts: nothing brings",
            id="idle step",
        ),
        pytest.param(
            lambda book: with_step(book, "make_safe", kind=OperationKind.ACCESS),
            "hv_cable: nothing is made safe",
            id="not made safe",
        ),
    ],
)
def test_a_planted_fault_is_found(spoil: Callable[[Rulebook], Rulebook], says: str) -> None:
    assert any(says in fault for fault in work_faults(spoil(the_book())))


SPOILED = {
    "unknown step": (
        "operations.toml",
        'back = "re_energise"',
        'back = "re_energize"',
        ["operations.toml", "make_safe, back", "re_energize"],
    ),
    "misspelt field": (
        "operations.toml",
        'then = ["shield_clips"]',
        'than = ["shield_clips"]',
        ["operations.toml", "front_shield_on", "than"],
    ),
    "two rows for one part": (
        "operations.toml",
        'group = ["hv_lock"]',
        'group = ["hv_lock", "hv_conductor"]',
        ["work 2", "'hv_cable' has a row for replace already"],
    ),
    "a part without work": (
        "operations.toml",
        'component = ["crash_sensor"]',
        'component = ["driver_aid_sensor"]',
        ["operations.toml", "driver_aid_sensor"],
    ),
    "outside service by the hour": (
        "operations.toml",
        'labour = "outside service"\ncharges = ["outside"]',
        'labour = "outside service"\ncharges = ["hours"]',
        ["freight_battery, charges", "no hours"],
    ),
    "a test without a row": (
        "test_outcomes.toml",
        'test = "crack_test"',
        'test = "bolt_condition"',
        ["test_outcomes.toml"],
    ),
    "a test that is met adds work": (
        "test_outcomes.toml",
        'says = "No crack."',
        'says = "No crack."\npart = "replace"',
        ["crack_test_met, met", "adds no work"],
    ),
    "a test that can only be met": (
        "test_outcomes.toml",
        'id = "crack_test_crack"\ntest = "crack_test"\nmet = false',
        'id = "crack_test_crack"\ntest = "bolt_condition"\nmet = false',
        ["crack_test", "at least one that is not"],
    ),
    "pressure taken lightly": (
        "test_outcomes.toml",
        'scope = "car"\ncare = 3\npressurises = true',
        'scope = "car"\ncare = 2\npressurises = true',
        ["enclosure_seal, care", "pressurises"],
    ),
    "work on no part": (
        "test_outcomes.toml",
        'works = ["replace:battery_mount"]',
        'works = ["replace battery_mount"]',
        ["battery_fixing_mount, works", "replace:hv_cable"],
    ),
}


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_row_is_refused_by_file_row_and_field(name: str) -> None:
    file, old, new, said = SPOILED[name]
    texts = {one: (TABLES / one).read_text(encoding="utf-8") for one in FILES}
    assert old in texts[file]
    texts[file] = texts[file].replace(old, new, 1)
    operations, outcomes = (tomllib.loads(texts[one]) for one in FILES)
    book = the_book()
    words = Words(
        components=book.components,
        damage_types=book.damage_types,
        actions=book.actions,
        open_tests=book.open_tests,
        facts=book.facts,
    )
    with pytest.raises(RulebookError) as caught:
        read_work(operations, outcomes, words, book.zones)
    assert [part for part in said if part not in str(caught.value)] == []


def test_a_book_without_its_operations_does_not_load(tmp_path: Path) -> None:
    tables = Path(shutil.copytree(TABLES, tmp_path / "tables"))
    (tables / "operations.toml").unlink()
    with pytest.raises(RulebookError, match=r"operations\.toml: is missing"):
        load_rulebook(tables)

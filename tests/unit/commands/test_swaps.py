"""`pitbench swaps` from the command line; what it says of the parts stands in the tests of the words."""

import json
from dataclasses import fields, replace

import pytest

from pitbench.__main__ import main
from pitbench.commands.swaps import page, with_why
from pitbench.desk.answers import BuildChance, BuildToTest, PartWorth, plain
from pitbench.desk.workshop import Workshop
from pitbench.records.models import ClassSheet, Motor
from pitbench.store.logbook import Logbook
from pitbench.words.parts import why_words
from tests.flows.conftest import bench_run
from tests.unit.words import parts_by_hand as hand


@pytest.fixture
def path(tmp_path):
    """Heron and Plover, two runs each, parts nobody named."""
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as book:
        sheet = ClassSheet(name="club 13.5T", cells=2)
        motors = [Motor(name=name, class_id=sheet.id, turns=13.5, poles=2) for name in ("Heron", "Plover")]
        workshop = Workshop(book)
        builds = [workshop.first_build(motor.row(), {}) for motor in motors]
        runs = [
            bench_run(motor.id, build["id"], f"2026-05-10T18:{minute:02d}", 3950.0 + minute, 4.1)
            for nth, (motor, build) in enumerate(zip(motors, builds, strict=True))
            for minute in (5 * nth, 5 * nth + 10)
        ]
        book.save("two motors", [sheet, *motors, *workshop.to_save.values(), *runs])
    return path


def test_words_then_builds_then_every_kind_of_part_with_what_no_swap_has_told():
    lines = page(hand.answer())
    assert lines[0].startswith("Try rotor R8 in Whio: 41 in 100")
    heads = [line.split()[0] for line in lines if "power at load, %" in line]
    assert heads == ["build", "stator", "rotor", "end"]
    assert sum(line.startswith("R6 never moved") for line in lines) == 1
    assert any(line.split() == ["S1", "R8", "E2", "try", "next", "+1.5", "±1.0", "first", "38"] for line in lines)


def test_a_figure_nobody_measured_of_a_kind_has_no_column():
    head = next(line for line in page(hand.answer()) if line.startswith("rotor"))
    assert head.split()[-3:] == ["KV", "current", "imbalance"]


def test_columns_stand_under_their_heads():
    lines = page(hand.answer())
    at = next(nth for nth, line in enumerate(lines) if line.startswith("rotor"))
    ends = [lines[at].index(name) + len(name) for name in ("power at load, %", "KV", "current")]
    assert all(lines[at + 1][end - 1].isdigit() and lines[at + 1][end : end + 2].strip() == "" for end in ends)


def test_many_builds_are_counted():
    many = [*hand.BUILDS, *((replace(build, stator="S9"), None) for build, _ in hand.BUILDS)]
    assert "2 more builds, each under 1" in page(hand.of(hand.ROTORS, many))


def test_the_reason_for_the_next_test_is_one_sentence_in_json():
    told = plain(with_why(hand.answer()))
    assert told["test_next"] == {"stator": "S1", "rotor": "R8", "end_bell": "E2", "why": why_words(hand.ADVICE)}
    nothing = hand.of(hand.ROTORS, hand.BUILDS)
    assert plain(with_why(nothing))["test_next"] is None
    unexplained = replace(nothing, swaps=replace(nothing.swaps, test_next=BuildToTest("S1", "R8", "E2", "")))
    assert plain(with_why(unexplained))["test_next"]["why"] == ""


def test_json_is_one_object_with_every_key(path, capsys):
    assert main(["--logbook", str(path), "swaps", "--json", "--class", "club 13.5t"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed) == ["parts", "builds", "test_next"]
    for part in printed["parts"]:
        assert {f"{name}_" if name == "in" else name for name in part} == {field.name for field in fields(PartWorth)}
    for build in printed["builds"]:
        assert set(build) == {field.name for field in fields(BuildChance)}
    assert abs(sum(build["chance_best"] for build in printed["builds"]) - 1) < 1e-9
    assert {part["in"] for part in printed["parts"]} == {"Heron", "Plover"}


def test_two_motors_that_swapped_nothing_are_told_what_is_known_of_them(path, capsys):
    assert main(["swaps", "--logbook", str(path)]) == 0
    printed = capsys.readouterr().out
    assert "Nothing was ever moved: what a part is worth is known from what such a part causes" in printed
    assert "Heron" in printed and "Plover" in printed


def test_a_class_nobody_wrote_down_is_one_sentence_and_status_2(path, capsys):
    assert main(["swaps", "--logbook", str(path), "--class", "other"]) == 2
    found = capsys.readouterr()
    assert found.out == "" and len(found.err.strip().splitlines()) == 1


def test_a_logbook_that_does_not_exist_is_refused_naming_load(tmp_path, capsys):
    assert main(["swaps", "--logbook", str(tmp_path / "none.json")]) == 2
    assert "load" in capsys.readouterr().err


def test_a_class_without_motors_is_status_0(tmp_path, capsys):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("class", [ClassSheet(name="club 13.5T", cells=2)])
    assert main(["swaps", "--logbook", str(path)]) == 0
    assert capsys.readouterr().out.startswith("No parts yet")

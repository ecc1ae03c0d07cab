"""`pitbench rank` from the command line."""

import json

import pytest

from pitbench.__main__ import main
from pitbench.commands.rank import page
from pitbench.desk.comparing.ranking import rank
from pitbench.records.spoken import FIGURES
from pitbench.records.units import Units
from pitbench.store.logbook import Logbook
from tests.unit.desk.bench_side import USUAL, Bench, two_motors


@pytest.fixture
def path(tmp_path):
    bench = two_motors()
    bench.motor("Siskin")
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        kinds = ("class_sheet", "motor", "build", "bench_run")
        logbook.save("all", [record for kind in kinds for record in bench.logbook.records(kind)])
    return path


def test_words_first_then_the_table_then_who_is_missing(path, capsys):
    assert main(["rank", "--logbook", str(path), "--gearing", "heat"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Best for the main: not settled.")
    table = [line for line in lines if line.startswith(("1 ", "2 "))]
    assert [line.split()[1] for line in table] == ["Heron", "Plover"]
    assert lines[-1] == "Siskin is not ranked: no bench run yet."


def test_json_is_one_object_with_every_key(path, capsys):
    assert main(["--logbook", str(path), "rank", "--json", "--class", "club 13.5t", "--gearing", "rules"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert (printed["verdict"], printed["class"], printed["gearing_limit"]) == ("open", "club 13.5T", "rules")
    assert set(printed["motors"][0]["figures"]) == set(FIGURES)
    assert printed["not_ranked"] == [{"motor": "Siskin", "why": "no_run"}]


@pytest.mark.parametrize("words", [["--class", "other"], ["--gearing", "warm"]])
def test_what_is_not_known_is_one_sentence_and_status_2(path, capsys, words):
    assert main(["rank", "--logbook", str(path), *words]) == 2
    found = capsys.readouterr()
    assert found.out == "" and len(found.err.strip().splitlines()) == 1


def test_a_logbook_that_does_not_exist_is_refused_naming_load(tmp_path, capsys):
    assert main(["rank", "--logbook", str(tmp_path / "none.json")]) == 2
    assert "load" in capsys.readouterr().err


def test_fewer_than_two_motors_is_status_0_with_nulls(tmp_path, capsys):
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        logbook.save("class", Bench().logbook.records("class_sheet"))
    assert main(["rank", "--logbook", str(path), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed["leader"] is None and printed["settle"] == {"runs": None, "why": None}
    assert main(["rank", "--logbook", str(path)]) == 0
    assert capsys.readouterr().out.startswith("Nothing to rank yet")


def test_columns_stand_under_their_heads():
    lines = page(rank(two_motors().logbook.snapshot()), 30.0, Units())
    head = next(i for i, line in enumerate(lines) if "power at load, %" in line)
    ends = {lines[head].index(name) + len(name) for name in ("KV", "current", "winding")}
    for line in lines[head + 1 : head + 3]:
        assert all(line[end - 1] != " " and line[end : end + 2].strip() == "" for end in ends)


def test_warmth_is_told_in_the_unit_of_the_team():
    asked = rank(two_motors().logbook.snapshot())
    told = [next(line for line in page(asked, 30.0, units) if "timing" in line) for units in (Units(), Units("F"))]
    assert told[0].endswith("all at 25 °C") and told[1].endswith("all at 77 °F")


def test_one_motor_alone_has_no_score_and_no_chance():
    bench = Bench()
    bench.run("Heron", "2026-04-11", **USUAL)
    row = next(line for line in page(rank(bench.logbook.snapshot()), 30.0, Units()) if line.startswith("1  Heron"))
    assert row.split()[2] == "·" and "over 99" not in row and "±" not in row


def test_runs_of_a_motor_whose_current_alone_was_read_are_counted():
    bench = Bench()
    bench.run("Heron", "2026-04-11", **USUAL)
    bench.run("Plover", "2026-04-11T10:00", no_load_current_a=4.0)
    bench.run("Plover", "2026-04-11T10:10", no_load_current_a=4.1)
    lines = page(rank(bench.logbook.snapshot()), 30.0, Units())
    row = next(line for line in lines if "Plover  " in line and "±" in line)
    assert row.split()[4:8] == ["·", "4.04", "·", "2"]

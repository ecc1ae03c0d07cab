"""`pitbench compare` from the command line."""

import json

import pytest

from pitbench.__main__ import main
from pitbench.demo import demo_logbook
from pitbench.store.logbook import Logbook
from tests.unit.desk.bench_side import two_motors


@pytest.fixture
def path(tmp_path):
    bench = two_motors(faster_by=-40.0)
    bench.motor("Siskin")
    path = tmp_path / "logbook.json"
    with Logbook.open(path, create=True) as logbook:
        kinds = ("class_sheet", "motor", "build", "bench_run")
        logbook.save("all", [record for kind in kinds for record in bench.logbook.records(kind)])
    return path


def test_json_is_one_object_with_the_keys_of_the_contract(path, capsys):
    assert main(["compare", "heron", "Plover", "--json", "--logbook", str(path)]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed) == ["motors", "basis", "figures"] and printed["motors"] == ["Heron", "Plover"]
    for figure in printed["figures"].values():
        assert list(figure) == ["values", "differences"]
        assert [list(value) for value in figure["values"]] == [["mean", "low90", "high90", "runs"]] * 2
        assert [list(each) for each in figure["differences"]] == [["of", "mean", "low90", "high90", "better", "chance"]]
    assert printed["figures"]["kv_rpm_per_v"]["differences"][0]["better"] == "Heron"


def test_it_states_what_the_ranking_states(capsys):
    words = ["--logbook", str(demo_logbook()), "--json"]
    assert main(["rank", *words]) == 0
    ranked = json.loads(capsys.readouterr().out)
    one, other = ranked["motors"][1], ranked["motors"][-1]
    assert main(["compare", one["motor"], other["motor"], *words]) == 0
    beside = json.loads(capsys.readouterr().out)
    assert beside["basis"] == ranked["basis"]
    for name in one["figures"]:
        assert beside["figures"][name]["values"] == [one["figures"][name], other["figures"][name]]


def test_words_first_then_the_table_then_the_conditions(path, capsys):
    assert main(["compare", "Heron", "Plover", "--logbook", str(path), "--class", "club 13.5t"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Heron beside Plover: ") and "Heron is better in KV" in lines[0]
    row = next(line.split() for line in lines if line.startswith("KV "))
    assert (row[:2], row[-2], int(row[-1]) >= 90) == (["KV", "rpm/V"], "Heron", True)
    assert lines[-1] == "All at 25 °C and 42.0° timing, moods of sessions taken out. ± nine in ten."


def test_three_motors_are_told_pair_by_pair(path, capsys):
    assert main(["compare", "Heron", "Plover", "Siskin", "--logbook", str(path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "Siskin is not compared: no bench run yet." in lines
    assert "Heron beside Siskin: no figure was read of both." in lines


@pytest.mark.parametrize(
    "words",
    [["Heron"], [], ["Heron", "heron"], ["Heron", "Whoi"], ["Heron", "Plover", "--class", "other"], ["x", "--json"]],
)
def test_what_cannot_stand_side_by_side_is_one_sentence_and_status_2(path, capsys, words):
    assert main(["compare", "--logbook", str(path), *words]) == 2
    found = capsys.readouterr()
    assert found.out == "" and len(found.err.strip().splitlines()) == 1


def test_a_logbook_that_does_not_exist_is_refused_naming_load(tmp_path, capsys):
    assert main(["compare", "A", "B", "--logbook", str(tmp_path / "none.json")]) == 2
    assert "load" in capsys.readouterr().err

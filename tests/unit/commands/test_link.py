"""`pitbench link` from the command line."""

import json

import pytest

from pitbench.__main__ import main
from pitbench.store.logbook import Logbook
from tests.unit.desk.bench_side import two_motors
from tests.unit.desk.test_link import KINDS, season_file


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    return str(season_file(tmp_path_factory.mktemp("season") / "logbook.json"))


def test_words_first_then_a_table_for_each_target(season, capsys):
    assert main(["link", "--logbook", season]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("Pace: power at load told it, higher is better, ") and "luck alone" in lines[0]
    assert any(line.startswith("What the bench cannot see is 0.") for line in lines)
    assert sum(line.startswith("no-load current  ") for line in lines) == 2
    heads = [line for line in lines if "luck alone" in line and "better  than guessing" in line]
    assert [line.split("  ")[0] for line in heads] == ["Pace", "Finish temperature"]


def test_json_is_one_object_with_the_keys_of_the_contract(season, capsys):
    assert main(["link", "--logbook", season, "--json", "--class", "Club 13.5t"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed) == ["enough", "missing_runs", "missing_motors", "missing_events", "targets"]
    assert printed["enough"] is True and len(printed["targets"]["track_pace_s"]) == 7


def test_with_too_little_it_says_what_is_missing(tmp_path, capsys):
    path, book = str(tmp_path / "logbook.json"), two_motors().logbook
    with Logbook.open(tmp_path / "logbook.json", create=True) as logbook:
        logbook.save("all", [record for kind in KINDS for record in book.records(kind)])
    assert main(["link", "--logbook", path]) == 0
    assert "three more events, six more motors run beside others and 18 more track runs" in capsys.readouterr().out
    assert main(["link", "--logbook", path, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["enough"] is False


def test_a_class_nobody_wrote_down_is_one_sentence_and_status_2(season, capsys):
    assert main(["link", "--logbook", season, "--class", "other"]) == 2
    found = capsys.readouterr()
    assert found.out == "" and len(found.err.strip().splitlines()) == 1

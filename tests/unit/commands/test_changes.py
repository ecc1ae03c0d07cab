"""`pitbench changes` from the command line; what it says stands in the tests of the desk and the words."""

import json

import pytest

from pitbench.__main__ import main
from pitbench.demo import demo_logbook

KEYS = ["written_at", "event", "motor", "what", "was", "now", "bench", "track", "together_with"]


@pytest.fixture
def demo():
    return ["changes", "--logbook", str(demo_logbook())]


def test_one_object_with_every_key_and_nothing_else(demo, capsys):
    assert main([*demo, "--json", "--motor", "siskin"]) == 0
    told = capsys.readouterr()
    answer = json.loads(told.out)
    assert list(answer) == ["changes"] and told.err == ""
    assert all(list(each) == KEYS and each["motor"] == "Siskin" for each in answer["changes"])
    rotor = answer["changes"][0]
    assert (rotor["what"], rotor["was"], rotor["now"]) == ("rotor", "R7", "R3")
    assert rotor["bench"]["figures"]["resistance_mohm"] == {"mean": None, "low90": None, "high90": None}
    assert list(rotor["track"]) == ["before", "after", "track_pace_s", "finish_temp_c", "chance_helped"]


def test_for_a_person_each_change_has_a_heading_and_what_it_brought(demo, capsys):
    assert main([*demo, "--event", "Oyster Dock"]) == 0
    paragraphs = capsys.readouterr().out.strip().split("\n\n")
    assert [each.split(",")[0] for each in paragraphs] == [
        "Pinion 29 to 30",
        "Rear camber 2° to 1.5°",
        "Pinion 30 to 31",
    ]
    assert all(each.splitlines()[1].startswith("  Track, ") for each in paragraphs)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--motor", "Siskn"], "No motor is called Siskn; did you mean Siskin?"),
        (["--event", "Nowhere"], "No event is called Nowhere"),
        (["--event", "Saltmouth"], "Saltmouth is Saltmouth 2026-04-25 or Saltmouth 2026-05-16"),
    ],
)
def test_an_unknown_name_is_one_sentence_and_status_2(demo, capsys, more, said):
    assert main([*demo, "--json", *more]) == 2
    told = capsys.readouterr()
    assert said in told.err and told.err.count("\n") == 1 and told.out == ""


def test_a_logbook_that_is_not_there(tmp_path, capsys):
    assert main(["changes", "--json", "--logbook", str(tmp_path / "none.json")]) == 2
    assert "load" in capsys.readouterr().err and not list(tmp_path.iterdir())

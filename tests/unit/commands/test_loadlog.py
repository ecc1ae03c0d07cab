"""`pitbench loadlog` from the command line."""

import json

import pytest

from pitbench.__main__ import main
from tests.unit.desk.load_logs import load_log


@pytest.fixture
def place(tmp_path):
    (tmp_path / "motors.csv").write_text("motor,poles\nWillet,2\n", encoding="utf-8")
    (tmp_path / "track.csv").write_text("motor,started_at\nWillet,2026-05-17 11:00\n", encoding="utf-8")
    (tmp_path / "log.csv").write_text(load_log(), encoding="utf-8")
    book = ["--logbook", str(tmp_path / "logbook.json")]
    assert main([*book, "load", str(tmp_path / "motors.csv"), str(tmp_path / "track.csv")]) == 0
    return tmp_path


def run(place, *words, file="log.csv", motor="Willet"):
    return main(["loadlog", str(place / file), "--motor", motor, "--logbook", str(place / "logbook.json"), *words])


def test_what_the_motor_gave_then_what_was_stored(place, capsys):
    capsys.readouterr()
    assert run(place, "--run", "17.5.2026 11:00") == 0
    first, rows, *others = capsys.readouterr().out.splitlines()
    assert first.startswith("Willet under load: KV 39") and "mΩ with leads and speed control." in first
    assert " of 960 rows used over 48 s; left out: " in rows
    assert "Motor 30 °C to 70 °C at the end." in others
    assert others[-1] == "log.csv stored, with the run of 2026-05-17 11:00."


def test_json_is_one_object_and_again_adds_nothing(place, capsys):
    capsys.readouterr()
    assert run(place, "--bench", "--json") == 0
    first = json.loads(capsys.readouterr().out)
    assert (first["stored"], first["bench"], first["run"], first["why"]) == (True, True, None, None)
    assert first["rows"] == first["used"] + sum(first["left_out"].values())
    before = (place / "logbook.json").read_bytes()
    assert run(place, "--json") == 0
    assert json.loads(capsys.readouterr().out) == first | {"stored": False}
    assert (place / "logbook.json").read_bytes() == before


def test_headers_are_mapped_once(place, capsys):
    for name, seed in (("a.csv", 3), ("b.csv", 4)):
        text = load_log(seed=seed, headers=("Zeit s", "U", "Strom A", "n", "Gas", "T1", "T2"), sep=";")
        (place / name).write_text(text.replace(".", ","), encoding="utf-8")
    capsys.readouterr()
    assert run(place, file="a.csv") == 2
    refused = capsys.readouterr().err
    assert '--map "time_s=Zeit s"' in refused and '--map "current_a=Strom A"' in refused and refused.count("\n") == 1
    maps = [f"--map={each}" for each in ("time_s=zeit s", "voltage_v=U", "current_a=Strom A", "rpm=n", "throttle=Gas")]
    assert run(place, *maps, file="a.csv") == 0
    assert run(place, "--json", file="b.csv") == 0
    printed = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert printed["columns"]["rpm"] == "n" and printed["separated"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--run", "2026-05-17 11:00", "--bench"], "not allowed with"),
        (["--map", "rpm"], "--map 'rpm' says no column and header"),
        (["--map", "rpm=n", "--map", "RPM=m"], "--map names rpm twice"),
        (["--map", "kv=rpm"], "no column 'kv'"),
        (["--run", "2026-05-18 11:00"], "lies ahead"),
    ],
)
def test_bad_words_are_one_sentence_and_status_2(place, capsys, words, said):
    capsys.readouterr()
    words = [word.replace("2026-05-18", "2099-05-18") for word in words]
    assert run(place, *words) == 2
    found = capsys.readouterr()
    assert found.out == "" and said in found.err and found.err.count("\n") == 1


@pytest.mark.parametrize("file", ["none.csv", ".", "motors.csv", "logbook.json"])
def test_what_is_no_log_is_one_sentence_and_status_2(place, capsys, file):
    capsys.readouterr()
    before = (place / "logbook.json").read_bytes()
    assert run(place, file=file) == 2
    found = capsys.readouterr()
    assert found.out == "" and found.err.count("\n") == 1 and (place / "logbook.json").read_bytes() == before


def test_a_name_with_control_characters_steers_no_terminal(place, capsys):
    (place / "log.csv").rename(place / "a\x1b[31mb.csv")
    assert run(place, file="a\x1b[31mb.csv") == 0
    assert "\x1b" not in capsys.readouterr().out
    assert main(["check", "--logbook", str(place / "logbook.json")]) == 0


def test_export_says_what_stays(place, capsys):
    assert run(place) == 0
    capsys.readouterr()
    assert main(["export", str(place / "out"), "--logbook", str(place / "logbook.json")]) == 0
    assert "1 load log in no sheet" in capsys.readouterr().out

"""check and restore as questions and as commands: what they say, and the exit status."""

import json

import pytest

from pitbench.__main__ import main
from pitbench.desk.checking import check, list_backups, restore
from pitbench.records.models import (
    BenchRun,
    Build,
    Car,
    ClassSheet,
    Cooling,
    Event,
    Motor,
    Part,
    SetupEntry,
    TrackRun,
)
from pitbench.store import migrations, refusals
from pitbench.store.logbook import Logbook
from pitbench.words.backups import backup_words, restored_words


def test_a_whole_logbook(good):
    answer = check(good)
    assert (answer.ok, answer.schema, answer.seal, answer.problems) == (True, migrations.SCHEMA, "good", [])
    assert answer.records["motor"] == 1
    assert answer.records["bench_run"] == 2
    assert answer.records["part"] == 0
    assert len(answer.backups) == 1
    assert answer.backups[0].startswith("logbook.json.bak-000001-")


def test_what_is_in_the_bin_is_not_counted(good):
    with Logbook.open(good) as logbook:
        logbook.journal.bin("gone", [("bench_run", "r1")])
    assert check(good).records["bench_run"] == 1


def test_a_hand_edit_is_a_problem_until_it_is_accepted(good):
    good.write_bytes(good.read_bytes().replace(b"3.75", b"3.74"))
    answer = check(good)
    assert (answer.ok, answer.seal, answer.records["bench_run"]) == (False, "broken", 2)
    assert "check --accept" in answer.problems[0]
    answer = check(good, accept=True)
    assert (answer.ok, answer.seal, answer.problems) == (True, "good", [])
    assert len(answer.backups) == 2
    assert answer.backups[0].endswith("-unsealed")
    assert Logbook.open(good, write=False).row("bench_run", "r0")["test_voltage_v"] == 3.74


def test_accept_does_not_take_what_is_not_valid(good):
    raw = good.read_bytes().replace(b"3.75", b"375")
    good.write_bytes(raw)
    answer = check(good, accept=True)
    assert (answer.ok, answer.seal) == (False, "broken")
    assert answer.problems[0].startswith("bench_run 'r0': test_voltage_v is 375, it should be")
    assert "`pitbench restore 1 " in answer.problems[0]
    assert len(answer.problems) == 1
    assert good.read_bytes() == raw


def test_accept_waits_for_the_writer(good):
    good.write_bytes(good.read_bytes().replace(b"3.75", b"3.74"))
    with Logbook.open(good, accept_hand_edit=True), pytest.raises(refusals.OpenElsewhere):
        check(good, accept=True)


def test_a_damaged_backup_is_a_problem_of_the_logbook(good):
    backup = next(good.parent.glob("*.bak-*"))
    backup.write_bytes(backup.read_bytes()[:-10])
    answer = check(good)
    assert not answer.ok
    assert answer.problems == [f"{backup.name} is a damaged backup; delete it, the others do not need it."]


def test_references_that_lead_nowhere_or_to_the_wrong_record(tmp_path):
    path = tmp_path / "logbook.json"
    records = [
        ClassSheet(id="c1", name="club 13.5T"),
        Motor(id="m1", name="Heron", class_id="c1"),
        Motor(id="m2", name="Plover", class_id="gone"),
        Part(id="p1", kind="rotor", name="R5"),
        Build(id="b1", motor_id="m1", rotor_id="p1"),
        Build(id="b2", motor_id="gone", rotor_id="gone", stator_id="p1"),
        BenchRun(id="r1", motor_id="m1", build_id="b1", taken_at="2026-04-12"),
        BenchRun(id="r2", motor_id="m2", build_id="b1", taken_at="2026-04-12"),
        BenchRun(id="r3", motor_id="gone", build_id="gone", taken_at="2026-04-12"),
    ]
    with Logbook.open(path, create=True) as logbook:
        logbook.save("all", records)
        logbook.journal.bin("the bin is looked through too", [("bench_run", "r3")])
    assert [problem.split(";")[0] for problem in check(path).problems] == [
        "motor m2: class_id names a class_sheet that is not in the logbook",
        "build b2: motor_id names a motor that is not in the logbook",
        "build b2: stator_id names the rotor R5",
        "build b2: rotor_id names a part that is not in the logbook",
        "bench_run r2: its build is one of another motor",
        "bench_run r3: motor_id names a motor that is not in the logbook",
        "bench_run r3: build_id names a build that is not in the logbook",
    ]


def test_what_belongs_to_each_other_on_the_track_side(tmp_path):
    path = tmp_path / "logbook.json"
    of = {"motor_id": "m1", "build_id": "b1", "started_at": "2026-04-12T14:02"}
    records = [
        Motor(id="m1", name="Heron"),
        Motor(id="m2", name="heron "),
        Part(id="p1", kind="rotor", name="R5"),
        Part(id="p2", kind="stator", name="R5"),
        Build(id="b1", motor_id="m1"),
        Event(id="e1", name="Saltmouth", date="2026-04-12"),
        Event(id="e2", name="Saltmouth", date="2026-05-12"),
        Car(id="c1", name="grey car"),
        TrackRun(id="t1", event_id="e1", car_id="c1", **of),
        TrackRun(id="t2", event_id="gone", car_id="gone", place=1, **of),
        TrackRun(id="t3", place=2, **{**of, "motor_id": "m2"}),
        Cooling(id="k1", track_run_id="t1", after_s=60, temp_c=80),
        Cooling(id="k2", track_run_id="gone", after_s=60, temp_c=80),
        SetupEntry(id="s1", written_at="2026-04-12T14:02", what="tyres", event_id="gone", car_id="gone"),
        SetupEntry(id="s2", written_at="2026-04-12T14:03", what="tyres", motor_id="gone"),
    ]
    with Logbook.open(path, create=True) as logbook:
        logbook.save("all", records)
        logbook.journal.bin("without its readings", [("track_run", "t1")])
    assert check(path).problems == [
        "track_run t2: event_id names an event that is not in the logbook; edit it, or restore a backup.",
        "track_run t2: car_id names a car that is not in the logbook; edit it, or restore a backup.",
        "track_run t3: its build is one of another motor; edit it, or restore a backup.",
        "cooling k1: its track run is in the bin; in the app, z on Runs shows it, bring it back.",
        "cooling k2: track_run_id names a track_run that is not in the logbook; edit it, or restore a backup.",
        "setup_entry s1: event_id names an event that is not in the logbook; edit it, or restore a backup.",
        "setup_entry s1: car_id names a car that is not in the logbook; edit it, or restore a backup.",
        "setup_entry s2: motor_id names a motor that is not in the logbook; edit it, or restore a backup.",
        "motor m2: m1 is called heron too; give one of them another name.",
    ]


def test_every_backup_is_looked_at_and_one_that_cannot_be_read_is_named(good, monkeypatch):
    with Logbook.open(good) as logbook:
        logbook.journal.undo()
    first, second = sorted(good.parent.glob("*.bak-*"))
    first.unlink()
    first.mkdir()
    no_file = f"{first.name} is no backup that can be read; move it away, the others do not need it."
    assert check(good).problems == [no_file]
    second.write_bytes(second.read_bytes().replace(b"Heron", b"Horen"))
    assert [problem.split()[0] for problem in check(good).problems] == [second.name, first.name]


def test_the_command_prints_its_object_for_a_damaged_file_and_ends_with_2(good, capsys):
    raw = good.read_bytes()
    assert main(["check", "--json", "--logbook", str(good)]) == 0
    assert json.loads(capsys.readouterr().out)["ok"] is True
    for damaged, seal in ((raw[:-5], "broken"), (b"", "none"), (b"null", "none")):
        good.write_bytes(damaged)
        assert main(["check", "--json", "--logbook", str(good)]) == 2
        printed = capsys.readouterr()
        answer = json.loads(printed.out)
        assert (answer["ok"], answer["seal"], answer["schema"], printed.err) == (False, seal, None, "")
        assert set(answer["records"].values()) == {None}, "nobody can count what cannot be read"
        assert set(answer) == {"ok", "schema", "seal", "records", "problems", "backups"}
        assert good.read_bytes() == damaged


@pytest.mark.parametrize("bad", [1, 2])
def test_bad_records_without_a_backup_are_counted_and_nothing_is_promised(good, capsys, bad):
    """Where there is no way back, that is said and is no further problem; what can be read is counted."""
    for backup in good.parent.glob("*.bak-*"):
        backup.unlink()
    raw = good.read_bytes().replace(b"3.75", b"375")
    good.write_bytes(raw.replace(b"4.75", b"475") if bad == 2 else raw)
    assert main(["check", "--json", "--logbook", str(good)]) == 2
    answer = json.loads(capsys.readouterr().out)
    assert (answer["ok"], answer["backups"], len(answer["problems"])) == (False, [], bad)
    assert (answer["records"]["motor"], answer["records"]["bench_run"], answer["records"]["part"]) == (1, 2, 0)
    assert all(problem.endswith(".") for problem in answer["problems"])
    assert main(["check", "--logbook", str(good)]) == 2
    first, second, third, *listed = capsys.readouterr().out.splitlines()
    assert first == f"{good} has {'1 problem' if bad == 1 else '2 problems'}."
    counts = f"seal broken, schema {migrations.SCHEMA}, records: 1 motor, 1 build, 2 bench runs"
    assert (second, third) == (counts, "backups: 0")
    assert len(listed) == bad
    assert listed[-1].endswith("; there is no good backup beside it.")
    assert "brought back" not in "".join(listed)


def test_a_file_nobody_can_read_without_a_backup(good, capsys):
    for backup in good.parent.glob("*.bak-*"):
        backup.unlink()
    good.write_bytes(good.read_bytes()[:-5])
    assert main(["check", "--logbook", str(good)]) == 2
    first, second, third, only = capsys.readouterr().out.splitlines()
    assert (first, third) == (f"{good} has 1 problem.", "backups: 0")
    assert second == "seal broken, schema unknown, records: unknown"
    assert only.endswith("; there is no good backup beside it.")


def test_the_command_in_words(good, capsys):
    assert main(["check", "--logbook", str(good)]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"{good} is whole.",
        f"seal good, schema {migrations.SCHEMA}, records: 1 motor, 1 build, 2 bench runs",
        "backups: 1",
    ]


def test_nothing_to_check_is_refused_naming_load(tmp_path, capsys):
    assert main(["--logbook", str(tmp_path / "none.json"), "check", "--json"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "pitbench load" in printed.err
    assert list(tmp_path.iterdir()) == []


def test_restore_lists_and_restores(good, capsys):
    assert main(["restore", "--logbook", str(good)]) == 0
    assert capsys.readouterr().out.split()[0::3][:2] == ["1", "good:"]
    assert main(["restore", "1", "--logbook", str(good)]) == 0
    assert "is again as it was saved 20" in capsys.readouterr().out
    assert check(good).records["bench_run"] == 0
    assert main(["restore", "9", "--logbook", str(good)]) == 2
    assert capsys.readouterr().err == f"{good} has no backup '9'; its backups are: 1 to 2.\n"


def test_restore_without_backups(tmp_path, capsys):
    assert main(["restore", "--logbook", str(tmp_path / "none.json")]) == 0
    assert "has no backups yet" in capsys.readouterr().out


def test_the_way_back_is_named_where_something_else_stands_in_the_place_of_a_logbook(good):
    good.write_bytes(b"null")
    with pytest.raises(refusals.Foreign, match=r"If a logbook stood here, .* `pitbench restore 1"):
        Logbook.open(good)
    for backup in good.parent.glob("*.bak-*"):
        backup.unlink()
    with pytest.raises(refusals.Foreign, match=r"left as it is\.$"):
        Logbook.open(good)


def test_backups_say_what_they_hold_and_none_is_good_is_said(good):
    with Logbook.open(good) as logbook:
        logbook.save("one more", [Motor(name="Whio")])
    lines = [backup_words(*found) for found in list_backups(good)]
    assert [line.split("good: ")[1] for line in lines] == [
        "1 motor, 2 bench runs",
        "1 motor, 0 bench runs",
    ]
    assert restored_words(good, *restore(good, "2")).endswith("It holds 1 motor, 2 bench runs.")
    for backup in good.parent.glob("*.bak-*"):
        backup.write_bytes(b"{")
    with pytest.raises(refusals.BadPlace, match="has no good backup"):
        restore(good, "newest")

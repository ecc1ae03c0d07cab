"""Two logbooks made one. What must come out is worked out by hand; and two properties: merging twice adds nothing, and
two laptops that merge each other hold the same."""

import shutil
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.__main__ import main
from pitbench.desk.checking import loose_ends
from pitbench.desk.exchange.merging import MERGED, merge
from pitbench.desk.exchange.merging_pairs import Told
from pitbench.records.models import BenchRun, Build, Car, Event, Motor, Part, Settings, TrackRun
from pitbench.store.logbook import Logbook

MONDAY, TUESDAY = datetime(2026, 5, 4, 18, 0), datetime(2026, 5, 5, 18, 0)


def book(at=MONDAY):
    return Logbook.in_memory(clock=lambda: at)


def heron(key="m1", **more):
    return [Motor(id=key, name="Heron", **more), Build(id=f"{key}-b", motor_id=key)]


def bench(key, kv, motor="m1", at="2026-05-03T18:00", **more):
    return BenchRun(id=key, motor_id=motor, build_id=f"{motor}-b", taken_at=at, kv_rpm_per_v=kv, **more)


def speeds(logbook):
    return sorted(row["kv_rpm_per_v"] for row in logbook.rows("bench_run"))


def twins(*records, at=TUESDAY):
    """Two logbooks that began as copies, the second edited a day later."""
    one, other = book(), book(at)
    for each in (one, other):
        each.journal.now = lambda: "2026-05-04T18:00:00"
        each.save("as copied", records)
    other.journal.now = lambda: at.isoformat()
    one.journal.now = lambda: "2026-05-04T18:00:00"
    return one, other


def test_what_only_the_other_has_is_added_once():
    one, other = twins(*heron(), bench("r1", 3950))
    other.save("more", [bench("r2", 3960, at="2026-05-03T19:00"), Car(id="c", name="No. 4")])
    found = merge(one, other.snapshot(), "merge")
    assert (dict(found.added), found.doubts) == ({"bench_run": 1, "car": 1}, [])
    assert speeds(one) == [3950, 3960]
    again = merge(one, other.snapshot(), "merge")
    assert not again.added and not again.taken
    assert one.journal.undo() == "merge" and speeds(one) == [3950]


def test_the_newer_edit_wins_either_way():
    one, other = twins(*heron(), bench("r1", 3950))
    other.save("corrected", [bench("r1", 3951)])
    assert merge(one, other.snapshot(), "merge").taken == {"bench_run": 1}
    assert speeds(one) == [3951]
    one, other = twins(*heron(), bench("r1", 3950))
    other.save("corrected", [bench("r1", 3951)])
    assert merge(other, one.snapshot(), "merge").kept == {"bench_run": 1}
    assert speeds(other) == [3951]


def test_what_was_deleted_later_stays_deleted():
    one, other = twins(*heron(), bench("r1", 3950))
    other.journal.bin("deleted", [("bench_run", "r1")])
    assert merge(one, other.snapshot(), "merge").taken == {"bench_run": 1}
    assert speeds(one) == []
    assert merge(other, one.snapshot(), "merge").taken == {}


def test_one_run_stays_one_and_where_neither_is_newer_the_other_value_is_named():
    one, other = twins(*heron(), bench("r1", 3950), at=MONDAY)
    other.save("corrected", [bench("r1", 3951)])
    one.save("corrected", [bench("r1", 3952)])
    found = merge(one, other.snapshot(), "merge")
    ((kept,), named) = speeds(one), "Bench run of Heron at 2026-05-03 18:00"
    stands = "yours" if kept == 3952 else "theirs"
    assert found.doubts == [f"{named}: KV was 3952 here, 3951 there; neither is newer, {stands} stands."]
    assert found.both == [named]
    assert not merge(one, other.snapshot(), "merge").added
    merge(other, one.snapshot(), "merge")
    assert speeds(other) == [kept]


def test_the_same_motor_typed_on_two_laptops_is_one():
    one, other = book(), book(TUESDAY)
    one.save("here", [*heron("m1", turns=13.5), bench("r1", 3950)])
    other.save(
        "there", [*heron("x1", note="blue can"), bench("y1", 3950, "x1"), bench("y2", 3960, "x1", at="2026-05-04")]
    )
    other.save("event", [Event(id="e", name="Saltmouth", date="2026-05-04")])
    made = {"motor_id": "x1", "build_id": "x1-b", "event_id": "e"}
    other.save("run", [TrackRun(id="t", **made, started_at="2026-05-04T10:00")])
    found = merge(one, other.snapshot(), "merge")
    (motor,) = one.rows("motor")
    assert (motor["id"], motor["turns"], motor["note"]) == ("m1", 13.5, "blue can")
    assert len(one.rows("build")) == 1 and speeds(one) == [3950, 3960]
    assert one.rows("track_run")[0]["motor_id"] == "m1"
    assert list(loose_ends(one.snapshot())) == [] and found.doubts == []


def test_a_run_typed_on_both_laptops_is_one_and_what_differs_is_named():
    one, other = book(), book(TUESDAY)
    one.save("here", [*heron("m1"), bench("r1", 3950, no_load_current_a=3.1)])
    other.save("there", [*heron("x1"), bench("y1", 3961, "x1", note="hot")])
    found = merge(one, other.snapshot(), "merge", Told(same=["heron"]))
    (run,) = one.rows("bench_run")
    assert (run["kv_rpm_per_v"], run["no_load_current_a"], run["note"]) == (3961, 3.1, "hot")
    named = "Bench run of Heron at 2026-05-03 18:00"
    assert found.doubts == [f"{named}: KV was 3950 here, 3961 there; theirs is newer."] and found.both == []
    back = merge(other, one.snapshot(), "merge")
    (there,) = other.rows("bench_run")
    assert (there["id"], back.doubts) == ("y1", []) and speeds(other) == [3961]
    assert there["no_load_current_a"] == 3.1
    for a, b in ((one, other), (other, one)):
        assert not merge(a, b.snapshot(), "merge").saved
    other.save("renamed", [Motor(id="x1", name="Grey Heron")])
    merge(one, other.snapshot(), "merge")
    assert [row["name"] for row in one.rows("motor")] == ["Grey Heron"]


def test_a_description_that_differs_is_reported_and_the_newer_stands():
    one, other = book(), book(TUESDAY)
    one.save("here", heron("m1", turns=13.5))
    other.save("there", heron("x1", turns=17.5))
    found = merge(one, other.snapshot(), "merge", Told(same=["Heron"]))
    assert one.rows("motor")[0]["turns"] == 17.5
    assert found.doubts == ["Motor Heron: turns was 13.5 here, 17.5 there; theirs is newer."]


def test_one_part_in_two_motors_is_told():
    one, other = book(), book(TUESDAY)
    for logbook, name, key in ((one, "Heron", "m1"), (other, "Whio", "x1")):
        rotor = Part(id=f"{key}-r", kind="rotor", name="R1")
        build = Build(id=f"{key}-b", motor_id=key, rotor_id=rotor.id)
        logbook.save("a motor", [Motor(id=key, name=name), rotor, build])
    found = merge(one, other.snapshot(), "merge")
    assert len(one.rows("part")) == 1
    assert found.doubts == ["Heron and Whio are built with one rotor R1 now; rename it where it is another one."]
    assert merge(one, other.snapshot(), "merge").doubts == []


def test_the_teams_settings_stay_and_that_is_said():
    one, other = book(), book()
    other.save_settings("units", Settings(temperature_unit="F"))
    found = merge(one, other.snapshot(), "merge")
    assert one.settings().temperature_unit == "C" and "yours were kept" in found.doubts[0]


KV = st.sampled_from([3940.0, 3950.0, 3960.0])
ACTS = st.lists(st.tuples(st.sampled_from("abcd"), KV, st.sampled_from(["save", "bin"]), st.integers(0, 3)), max_size=8)


@settings(max_examples=60)
@given(here=ACTS, there=ACTS)
def test_two_laptops_that_merge_each_other_hold_the_same(here, there):
    one, other = twins(*heron(), *(bench(key, 3950, at=f"2026-05-0{nth}") for nth, key in enumerate("ab", 1)))
    for logbook, acts in ((one, here), (other, there)):
        for key, kv, act, day in acts:
            logbook.journal.now = lambda day=day, which=logbook is one: f"2026-05-1{day}T1{int(which)}:00:00"
            if act == "save":
                logbook.save("edit", [bench(key, kv, at=f"2026-05-0{'abcd'.index(key) + 1}")])
            elif logbook.row("bench_run", key):
                logbook.journal.bin("bin", [("bench_run", key)])
    merge(one, other.snapshot(), "merge")
    merge(other, one.snapshot(), "merge")
    assert speeds(one) == speeds(other)
    assert list(loose_ends(one.snapshot())) == []
    before = {kind: one.rows(kind) for kind in MERGED}
    found = merge(one, other.snapshot(), "merge")
    assert not found.added and before == {kind: one.rows(kind) for kind in MERGED}


@pytest.fixture
def two_files(tmp_path):
    one, other = tmp_path / "logbook.json", tmp_path / "other.json"
    with Logbook.open(one, create=True) as logbook:
        logbook.save("all", [*heron(), bench("r1", 3950)])
    shutil.copy(one, other)
    with Logbook.open(other) as logbook:
        logbook.save("more", [bench("r2", 3960, at="2026-05-04T18:00")])
    return one, other


def test_the_command_says_what_it_did_and_one_undo_takes_it_back(two_files, capsys):
    one, other = two_files
    raw = other.read_bytes()
    assert main(["merge", str(other), "--logbook", str(one)]) == 0
    printed = capsys.readouterr().out
    assert "Added from other.json: 1 bench run." in printed and "takes the whole merge back" in printed
    assert other.read_bytes() == raw
    assert main(["merge", str(other), "--logbook", str(one)]) == 0
    assert "Nothing new in other.json." in capsys.readouterr().out
    with Logbook.open(one) as logbook:
        assert logbook.journal.undo() == "merge of other.json"
        assert speeds(logbook) == [3950]


@pytest.mark.parametrize(("raw", "says"), [(b"", "empty"), (b"null", "no pitbench logbook"), (b"{", "JSON")])
def test_a_damaged_other_one_is_refused_and_nothing_changes(two_files, capsys, raw, says):
    one, other = two_files
    before = one.read_bytes()
    other.write_bytes(raw)
    assert main(["merge", str(other), "--logbook", str(one)]) == 2
    assert capsys.readouterr().err.count("\n") == 1 and one.read_bytes() == before


def test_the_other_one_may_be_called_anything_and_its_name_goes_in_as_text(two_files, capsys):
    one, other = two_files
    for name, words in (("caf\udce9.json", "merge of caf.json"), ("q\x1b]0;E\x07.json", "merge of q]0;E.json")):
        odd = other.rename(other.with_name(name))
        assert main(["merge", str(odd), "--logbook", str(one)]) == 0
        assert "takes the whole merge back" in capsys.readouterr().out
        with Logbook.open(one) as logbook:
            assert logbook.journal.undo() == words
            assert logbook.journal.redo() == words
            logbook.journal.undo()
        assert b"\\u001b" not in one.read_bytes()
        odd.rename(other)


@settings(max_examples=25)
@given(st.lists(st.sampled_from([-3600, -1, 0, 1]), min_size=8, max_size=8))
def test_what_undo_took_away_comes_again_however_the_clock_runs(seconds):
    time, steps = [MONDAY], iter(seconds)
    one, other = (Logbook.in_memory(clock=lambda: time[0]) for _ in range(2))
    for logbook in (one, other):
        logbook.save("as copied", [*heron(), bench("r1", 3950)])
    other.save("more", [bench("r2", 3960, at="2026-05-04T18:00")])
    for _ in range(2):
        for act in (lambda: merge(one, other.snapshot(), "merge"), one.journal.undo, one.journal.redo):
            time[0] += timedelta(seconds=next(steps))
            assert act() and speeds(one) == ([3950] if act == one.journal.undo else [3950, 3960])
        time[0] += timedelta(seconds=next(steps))
        assert one.journal.undo() == "merge" and speeds(one) == [3950]


def test_itself_or_nothing_is_refused(two_files, capsys):
    one, other = two_files
    assert main(["merge", str(one), "--logbook", str(one)]) == 2
    assert main(["merge", str(other.with_name("none.json")), "--logbook", str(one)]) == 2
    assert "another one would be right" in capsys.readouterr().err


def test_itself_under_a_second_name_is_refused_and_left_alone(two_files, capsys):
    one, _ = two_files
    second = one.with_name("second.json")
    second.hardlink_to(one)
    before = one.read_bytes()
    assert main(["merge", str(second), "--logbook", str(one)]) == 2
    assert "second.json is this logbook itself, another one would be right." in capsys.readouterr().err
    assert one.read_bytes() == before and one.samefile(second)


def test_another_one_is_merged_into_a_logbook_that_no_save_has_made_yet(two_files, capsys):
    one, other = two_files
    assert main(["merge", str(other), "--logbook", str(one.with_name("new.json"))]) == 0
    assert "takes the whole merge back" in capsys.readouterr().out


def test_a_logbook_that_is_not_there_cannot_be_merged(tmp_path, capsys):
    assert main(["--logbook", str(tmp_path / "own.json"), "merge", str(tmp_path / "theirs.json")]) != 0
    assert "theirs.json does not exist, the path of the other logbook would be right." in capsys.readouterr().err

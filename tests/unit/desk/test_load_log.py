"""A load log in the logbook: its answer, what is kept, stored once, tied to a run, undone, merged, binned with it."""

import json
from dataclasses import fields
from datetime import timedelta

import pytest

from pitbench.desk.answers import LoadLogAnswer, plain
from pitbench.desk.checking import loose_ends
from pitbench.desk.entry import run_entry
from pitbench.desk.exchange.merging import merge
from pitbench.desk.exchange.merging_copies import OF_ONE_READING
from pitbench.desk.load.kept import POINTS
from pitbench.desk.load.loading import Asked, found, keep
from pitbench.desk.run_logs import logs_by_run
from pitbench.records.models import Build, Motor, TrackRun
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.store.logbook import Logbook
from tests.unit.desk.by_hand import NOW, add_motor, add_run, new_book
from tests.unit.desk.load_logs import COLUMNS, KV, OHM, load_log

DAY = Day(NOW)


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "willet q3.csv"
    path.write_text(load_log(), encoding="utf-8")
    return path


@pytest.fixture
def book():
    book = new_book()
    motor = add_motor(book, "Willet", poles="2")
    add_motor(book, "Heron")
    build = next(row["id"] for row in book.rows("build") if row["motor_id"] == motor)
    for key, at in (("r1", "2026-05-17T10:00"), ("r2", "2026-05-17T11:00"), ("r3", "2026-05-16T09:00")):
        book.save("a run", [TrackRun(id=key, motor_id=motor, build_id=build, started_at=at)])
    return book


def loaded(book, path, motor="willet", **asked):
    return keep(book, found(book.snapshot(), path, Asked(motor, **asked), DAY))


def test_kv_and_resistance_come_out_as_they_were_put_in(book, path):
    """Both within four of their standard errors: what a log of known KV and R must give back."""
    answer = loaded(book, path, run="2026-05-17 11:00")
    assert answer.separated and answer.why is None
    assert answer.kv_rpm_per_v.mean == pytest.approx(KV, abs=4 * answer.kv_rpm_per_v.se)
    assert answer.resistance_mohm.mean == pytest.approx(1000 * OHM, abs=4 * answer.resistance_mohm.se)
    assert answer.resistance_mohm.se < 2
    assert (answer.motor, answer.run, answer.bench, answer.stored) == ("Willet", "2026-05-17T11:00", False, True)
    assert 15 < answer.full_throttle.current_a[0] < answer.full_throttle.current_a[1] < 45
    assert (answer.motor_temp_c.start, round(answer.motor_temp_c.highest)) == (30, 70)


def test_every_row_is_accounted_for_and_every_key_there(book, path):
    text = path.read_text(encoding="utf-8").splitlines()
    text[100:100] = ["torn", text[99], "65535,65.535,655.35,65535,255,255,255"]
    path.write_text("\n".join(text), encoding="utf-8")
    answer = loaded(book, path)
    left = answer.left_out
    assert (left.unreadable, left.repeated) == (2, 1)
    assert answer.rows == len(text) - 1 == answer.used + sum(plain(left).values())
    said = json.loads(json.dumps(plain(answer), allow_nan=False))
    assert set(said) == {each.name for each in fields(LoadLogAnswer)}
    assert set(said["full_throttle"]) == {
        "seconds", "current_a", "rpm", "speed_per_amp", "power_in_w", "shaft_power_w",
    }  # fmt: skip
    assert len(said["doubts"]) == 3 and set(said["doubts"][0]) == {"what", "why"}


def test_power_at_the_shaft_needs_the_benchs_no_load_current(book, path):
    assert loaded(book, path).full_throttle.shaft_power_w is None
    add_run(book, "Willet", kv_rpm_per_v="3900", no_load_current_a="4", test_voltage_v="3.7")
    path.write_text(load_log(seed=2), encoding="utf-8")
    full = loaded(book, path).full_throttle
    assert 0.6 * full.power_in_w < full.shaft_power_w < full.power_in_w


def test_what_is_kept_is_small_and_never_the_raw_log(book, tmp_path):
    path = tmp_path / "hour.csv"
    path.write_text(load_log(pulls=450), encoding="utf-8")
    loaded(book, path)
    (row,) = book.rows("load_log")
    assert len(json.dumps(row, separators=(",", ":"))) < 40_000
    assert {len(column) for column in row["trace"].values()} == {POINTS}
    assert sum(row["trace"]["used"]) == POINTS / 2
    assert row["trace"]["time_s"] == sorted(row["trace"]["time_s"])


def test_the_same_log_again_adds_nothing(book, path):
    first = loaded(book, path, run="2026-05-17 11:00")
    revision = book.revision
    copy = path.with_name("copy.csv")
    copy.write_bytes(path.read_bytes())
    again = loaded(book, copy)
    assert (again.stored, again.run) == (False, first.run) and book.revision == revision
    assert plain(again) == plain(first) | {"stored": False}


def test_the_same_log_with_another_run_is_tied_to_that(book, path):
    loaded(book, path, run="2026-05-17 11:00")
    assert loaded(book, path, run="2026-05-17 10:00").stored
    assert [len(logs_by_run(book).get(run, [])) for run in ("r1", "r2")] == [1, 0]


def test_a_log_of_one_motor_is_not_taken_for_another(book, path):
    loaded(book, path)
    with pytest.raises(Refusal, match="is stored as a log of Willet already"):
        loaded(book, path, motor="Heron")


def test_a_day_alone_names_its_only_run(book, path):
    assert loaded(book, path, run="2026-05-16").run == "2026-05-16T09:00"


@pytest.mark.parametrize(
    ("motor", "asked", "words"),
    [
        ("Wilet", {}, "Motor Wilet is no motor of yours, Willet would be right."),
        ("Willet", {"run": "2026-05-17"}, "has 2 track runs of 2026-05-17"),
        ("Willet", {"run": "2026-05-15 9:00"}, "has no track run that started 2026-05-15 09:00; its last: "),
        ("Heron", {"run": "2026-05-17 10:00"}, "it has none yet"),
        ("Willet", {"run": "soonish"}, "Run soonish "),
        ("Willet", {"columns": {"rpm": "Revs"}}, "has no header 'Revs' for rpm"),
    ],
)
def test_what_cannot_be_meant_is_one_sentence(book, path, motor, asked, words):
    with pytest.raises(Refusal) as refused:
        loaded(book, path, motor, **asked)
    assert words in str(refused.value) and not book.rows("load_log")


def test_headers_are_mapped_once_and_remembered(book, path):
    theirs = ("Zeit", "U", "I", "n", "Gas", "T1", "T2")
    path.write_text(load_log(headers=theirs), encoding="utf-8")
    with pytest.raises(Refusal, match='--map "time_s=Zeit"'):
        loaded(book, path)
    mapped = dict(zip(COLUMNS, theirs, strict=True))
    first = loaded(book, path, columns=mapped)
    assert first.columns == mapped
    path.write_text(load_log(seed=2, headers=[header.upper() for header in theirs]), encoding="utf-8")
    second = loaded(book, path)
    assert second.stored and second.columns == {column: header.upper() for column, header in mapped.items()}


def test_electrical_speed_under_the_header_rpm_is_doubted_and_taken_as_it_stands(book, path):
    add_run(book, "Willet", kv_rpm_per_v="3950", no_load_current_a="4", test_voltage_v="3.7")
    path.write_text(load_log(kv=2 * KV), encoding="utf-8")
    answer = loaded(book, path)
    assert answer.kv_rpm_per_v.mean == pytest.approx(2 * KV, rel=0.02)
    (doubt,) = [doubt for doubt in answer.doubts if doubt.what == "rpm"]
    assert "where the bench says 3950: electrical speed (erpm)?" in doubt.why


def test_erpm_is_brought_to_the_shaft_with_the_motors_poles(book, path):
    add_motor(book, "Plover", poles="4")
    headers = ["erpm" if column == "rpm" else column for column in COLUMNS]
    path.write_text(load_log(kv=2 * KV, headers=headers), encoding="utf-8")
    answer = loaded(book, path, motor="Plover")
    assert answer.kv_rpm_per_v.mean == pytest.approx(KV, rel=0.02) and answer.doubts == []
    path.write_text(load_log(seed=2, headers=headers), encoding="utf-8")
    assert [doubt.what for doubt in loaded(book, path, motor="Heron").doubts] == ["erpm"]


def test_a_log_without_speed_is_stored_and_says_why_not(book, path):
    path.write_text(load_log(headers=["x" if column == "rpm" else column for column in COLUMNS]), encoding="utf-8")
    answer = loaded(book, path)
    assert (answer.stored, answer.separated, answer.why) == (True, False, "no_speed")
    assert plain(answer)["kv_rpm_per_v"] == {"mean": None, "se": None} and answer.charge_mah > 0


def test_undo_takes_it_back_and_loading_again_brings_it_back(book, path):
    loaded(book, path)
    (row,) = book.rows("load_log")
    assert book.journal.undo() == "load log of Willet" and not book.rows("load_log")
    assert loaded(book, path).stored
    assert [each["id"] for each in book.rows("load_log")] == [row["id"]]


def test_it_goes_to_the_bin_and_comes_back_with_its_run_and_its_motor(book, path):
    loaded(book, path, run="2026-05-17 11:00")
    for key in ("r2", book.rows("load_log")[0]["motor_id"]):
        run_entry.put_in_bin(book, key)
        assert not book.rows("load_log") and list(loose_ends(book.snapshot())) == []
        run_entry.bring_back(book, key)
        assert len(book.rows("load_log")) == 1


def test_a_file_holds_it_and_vouches_for_it(book, path, tmp_path):
    place = tmp_path / "logbook.json"
    with Logbook.open(place, create=True) as logbook:
        logbook.save("all", [record for kind in ("motor", "build", "track_run") for record in book.records(kind)])
        answer = loaded(logbook, path, run="2026-05-17 11:00")
    again = Logbook.open(place, write=False)
    assert again.unchecked and again.flaw() is None
    assert plain(loaded(again, path)) == plain(answer) | {"stored": False}


def test_a_merge_brings_it_once_with_the_ids_of_this_logbook(book, path):
    other = new_book()
    other.save(
        "as copied", [record for kind in ("motor", "part", "build", "track_run") for record in book.records(kind)]
    )
    loaded(other, path, run="2026-05-17 11:00")
    assert merge(book, other.snapshot(), "merge").added == {"load_log": 1}
    assert merge(book, other.snapshot(), "merge").added == {} and list(loose_ends(book.snapshot())) == []
    loaded(book, path)
    assert len(book.rows("load_log")) == 1


def test_the_same_log_read_on_both_laptops_is_one(book, path):
    other = new_book()
    other.save(
        "as copied", [record for kind in ("motor", "part", "build", "track_run") for record in book.records(kind)]
    )
    for each in (book, other):
        loaded(each, path)
    merge(book, other.snapshot(), "merge")
    assert len(book.rows("load_log")) == 1


def test_two_readings_of_one_log_are_never_mixed(path):
    """One laptop took the speed for rpm, the other for erpm and tied it to a run: the newer reading stands whole."""
    books = []
    theirs = ("Zeit", "U", "I", "n", "Gas", "T1", "T2")
    path.write_text(load_log(headers=theirs), encoding="utf-8")
    for at, column in enumerate(("rpm", "erpm", "rpm")):
        each = new_book(lambda at=at: NOW + timedelta(hours=at))
        each.save("as copied", [Motor(id="m", name="Willet", poles=4), Build(id="b", motor_id="m")])
        each.save("a run", [TrackRun(id="r2", motor_id="m", build_id="b", started_at="2026-05-17T11:00")])
        columns = dict(zip([column if name == "rpm" else name for name in COLUMNS], theirs, strict=True))
        loaded(each, path, columns=columns, run="2026-05-17 11:00" if at == 0 else None)
        books.append(each)
    newest = books[1].rows("load_log")[0]
    one, other = books[0].snapshot(), books[1].snapshot()
    for book, there in ((books[0], other), (books[1], one)):
        merge(book, there, "merge")
        (row,) = book.rows("load_log")
        assert {name: row.get(name) for name in OF_ONE_READING} == {name: newest.get(name) for name in OF_ONE_READING}
        assert row["track_run_id"] == "r2" and "rpm" not in row["columns"] and row["headers"] == list(theirs)
        revision = book.revision
        merge(book, (books[1] if book is books[0] else books[0]).snapshot(), "merge")
        assert book.rows("load_log") == [row] and book.revision <= revision + 1


def test_an_empty_record_of_it_is_answered_all_the_same(book, path):
    """Somebody may have edited the file by hand: a record without figures is one too."""
    from pitbench.desk.load.kept import answer_of

    motor = book.rows("motor")[0]["id"]
    row = {"id": "x", "motor_id": motor, "logged_at": "2026-05-17", "file": "a.csv", "digest": "d"}
    assert plain(answer_of(book, row, False))["rows"] == 0
    assert Motor.of(book.rows("motor")[0])

"""What waits is carried by sheets, out and in again, and by merging."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitbench.desk.exchange.exporting import sheets_of
from pitbench.desk.exchange.loading import load_files
from pitbench.desk.exchange.merging import merge
from pitbench.sheets.reading import read_sheet_text
from pitbench.store.logbook import Logbook
from tests.unit.desk.test_load import DAY, put
from tests.unit.desk.test_merging import bench as bench_run
from tests.unit.desk.test_merging import heron, twins
from tests.unit.desk.test_waiting import waits


def loaded_again(logbook):
    again = Logbook.in_memory(lambda: DAY.now)
    sheets = sheets_of(logbook.snapshot())
    load_files(again, [read_sheet_text(f"{name}.csv", text, DAY) for name, text in sheets.items()])
    assert sheets_of(again.snapshot()) == sheets
    return again


@settings(max_examples=30)
@given(st.lists(st.sampled_from([3946.0, 3950.0, 8950.0, 39210.0, 3291.0]), min_size=2, max_size=9), st.data())
def test_what_waits_and_what_counts_does_so_after_a_round_trip(speeds, data):
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        logbook.save("a motor", heron())
        marks = data.draw(st.lists(st.sampled_from(["kept", "waits", ""]), min_size=len(speeds), max_size=len(speeds)))
        runs = [
            bench_run(f"r{at}", kv, at=f"2026-05-03T18:{at:02d}", **({mark: ("kv_rpm_per_v",)} if mark else {}))
            for at, (kv, mark) in enumerate(zip(speeds, marks, strict=True))
        ]
        logbook.save("runs", runs)
        again = loaded_again(logbook)
        assert waits(again) == waits(logbook)
        revision = logbook.revision
        files = [read_sheet_text(f"{n}.csv", text, DAY) for n, text in sheets_of(logbook.snapshot()).items()]
        assert all(set(each.counts) <= {"same"} for each in load_files(logbook, files).reports)
        assert logbook.revision == revision


def test_a_round_trip_of_every_kind():
    with Logbook.in_memory(lambda: DAY.now) as logbook:
        put(
            logbook,
            "motor,resistance_mohm,kept\nHeron,1150,\nPlover,1150,resistance_mohm\n",
            "motor,started_at,ambient_c,finish_reading_c,kept\nHeron,2026-05-01 11:00,20,145,\n"
            "Heron,2026-05-01 12:00,20,165,finish_reading_c\n",
            "motor,started_at,after_s,temp_c,kept\nHeron,2026-05-01 11:00,90,150,\n"
            "Heron,2026-05-01 12:00,90,150,temp_c\n",
        )
        again = loaded_again(logbook)
        for kind in ("motor", "track_run", "cooling"):
            assert len(waits(again, kind)) == 1 and waits(again, kind) == waits(logbook, kind)
            assert sum("kept" in row for row in again.rows(kind)) == 1


def test_merging_carries_what_waits_and_its_answer_either_way():
    wrong = bench_run("r1", 39210, waits=("kv_rpm_per_v",))
    for mine_answers in (True, False):
        for answer in ({"waits": (), "kept": ("kv_rpm_per_v",)}, {"waits": (), "kv_rpm_per_v": 3921.0}):
            one, other = twins(*heron(), wrong)
            (one if mine_answers else other).save("answered", [wrong.with_(**answer)])
            (other if mine_answers else one).save("a note", [wrong.with_(note="windy")])
            for book, there in ((one, other), (other, one)):
                merge(book, there.snapshot(), "merge")
            for book in (one, other):
                (row,) = book.rows("bench_run")
                assert row["note"] == "windy" and "waits" not in row
                assert (row["kv_rpm_per_v"], row.get("kept")) == (
                    answer.get("kv_rpm_per_v", 39210),
                    list(answer.get("kept", [])) or None,
                )


@pytest.mark.parametrize("mine_answers", [True, False])
def test_an_answer_is_for_its_number_and_not_for_the_one_typed_on_the_other_laptop(mine_answers):
    wrong = bench_run("r1", 39210, waits=("kv_rpm_per_v",))
    one, other = twins(*heron(), wrong)
    yes, typed_anew = (one, other) if mine_answers else (other, one)
    yes.save("right", [wrong.with_(waits=(), kept=("kv_rpm_per_v",))])
    typed_anew.save("another", [wrong.with_(kv_rpm_per_v=38210)])
    for _ in range(2):
        for book, there in ((one, other), (other, one)):
            merge(book, there.snapshot(), "merge")
    for book in (one, other):
        (row,) = book.rows("bench_run")
        assert (row["kv_rpm_per_v"], row.get("waits"), row.get("kept")) == (38210, ["kv_rpm_per_v"], None)


def test_what_waits_only_there_waits_here_after_a_merge():
    one, other = twins(*heron(), bench_run("r1", 3950))
    other.save("more", [bench_run("r2", 39210, at="2026-05-03T19:00", waits=("kv_rpm_per_v",))])
    merge(one, other.snapshot(), "merge")
    assert waits(one) == [("kv_rpm_per_v", 39210)]

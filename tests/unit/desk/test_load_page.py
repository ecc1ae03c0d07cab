"""The page of a load log and the runs logs belong to."""

import pytest

from pitbench.desk.entry.run_entry import bring_back, put_in_bin
from pitbench.desk.lists.runs import RunList
from pitbench.desk.load.loading import Asked, found, keep
from pitbench.desk.load.page import log_page, logs_of_motor, others, run_named, runs_to_choose
from pitbench.desk.run_logs import logs_by_run
from pitbench.records.models import TrackRun
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from tests.unit.desk.by_hand import NOW, add_motor, add_run, new_book
from tests.unit.desk.load_logs import KV, load_log


@pytest.fixture
def book():
    book = new_book()
    motor = add_motor(book, "Willet", poles="2")
    add_motor(book, "Heron")
    build = next(row["id"] for row in book.rows("build") if row["motor_id"] == motor)
    for key, at in (("r1", "2026-05-17T10:00"), ("r2", "2026-05-17T11:00")):
        run = TrackRun(id=key, motor_id=motor, build_id=build, started_at=at, round_kind="main", round=key)
        book.save("a run", [run])
    return book


@pytest.fixture
def loaded(book, tmp_path):
    def load(seed=1, motor="Willet", at=None, bench=False, run_id=None, **of):
        path = tmp_path / f"{seed}.csv"
        path.write_text(load_log(seed=seed, **of), encoding="utf-8")
        what = found(book.snapshot(), path, Asked(motor, run_id=run_id, bench=bench, at=at), Day(NOW))
        keep(book, what)
        return what.row["id"]

    return load


def test_a_page_says_of_which_run_and_how_it_compares_with_the_bench(book, loaded):
    add_run(book, "Willet", kv_rpm_per_v="4000", no_load_current_a="4", test_voltage_v="3.7")
    page = log_page(book, loaded(run_id="r2"))
    assert (page.run, page.when, page.bench_kv) == ("main r2", "2026-05-17T11:00", pytest.approx(4000))
    assert page.answer.kv_rpm_per_v.mean == pytest.approx(KV, rel=0.01)
    assert not page.best, "there is no other of that day"


def test_the_best_of_the_day_gave_the_most_at_the_shaft(book, loaded):
    add_run(book, "Willet", kv_rpm_per_v="3900", no_load_current_a="4", test_voltage_v="3.7")
    weak, strong = loaded(seed=1, run_id="r1", ohm=0.05), loaded(seed=2, run_id="r2", ohm=0.02)
    assert [log_page(book, key).best for key in (weak, strong)] == [False, True]


def test_logs_of_a_motor_newest_first_and_others_own_motor_first(book, loaded):
    first, second, other = loaded(1, run_id="r1"), loaded(2, run_id="r2"), loaded(3, "Heron")
    motor = log_page(book, first).motor_id
    assert [page.log_id for page in logs_of_motor(book, motor)] == [second, first]
    assert [page.log_id for page in others(book, first)] == [second, other]


def test_a_log_from_the_bench_belongs_to_the_bench_run_nearest_in_time(book, loaded):
    runs = [add_run(book, "Willet", taken_at=f"2026-05-10 18:{minute}", kv_rpm_per_v="3900") for minute in ("00", "20")]
    log = loaded(bench=True, at="2026-05-10T18:13")
    assert {run: [row["id"] for row in rows] for run, rows in logs_by_run(book).items()} == {_id(runs[1]): [log]}
    stray = loaded(2, bench=True, at="2026-05-12T18:13")
    assert stray not in [row["id"] for rows in logs_by_run(book).values() for row in rows]


def _id(run):
    return run if isinstance(run, str) else run["id"]


def test_a_run_says_that_it_has_a_log_and_is_found_by_it(book, loaded):
    loaded(run_id="r1")
    listed = RunList(book.snapshot(), NOW)
    (place,) = listed.narrow("load log")
    assert listed.rows[place]["id"] == "r1" and listed.detail(place)[0].startswith("load log   ")


def test_a_log_binned_with_its_run_comes_back_with_it_alone(book, loaded):
    log = loaded(run_id="r1")
    put_in_bin(book, "r1")
    assert [row["id"] for row in RunList(book.snapshot(), NOW, binned=True).rows] == ["r1"]
    with pytest.raises(Refusal, match="Its run is in the bin too"):
        bring_back(book, log)
    bring_back(book, "r1")
    assert [row["id"] for row in book.rows("load_log")] == [log]
    assert put_in_bin(book, log) == "load log of Willet to the bin" and log_page(book, log) is None
    (row,) = RunList(book.snapshot(), NOW, binned=True).rows
    assert row["id"] == log


def test_runs_as_they_are_called(book, loaded):
    motor = next(row["id"] for row in book.rows("motor") if row["name"] == "Willet")
    loaded(run_id="r1")
    assert runs_to_choose(book, motor, NOW, 2) == [
        ("r2", "today 11:00   main r2", False),
        ("r1", "today 10:00   main r1        load log", True),
    ]
    assert run_named(book, "r1") == "Willet, main r1"

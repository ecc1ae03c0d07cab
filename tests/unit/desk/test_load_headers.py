"""What a log's headers are taken for, and when anybody is asked; which files may be meant."""

import os
from datetime import datetime
from pathlib import Path

import pytest

from pitbench.apart import Apart
from pitbench.app.answers import Progress
from pitbench.desk.load.files import newest, path_in
from pitbench.desk.load.headers import Header, columns_for, headers_of, lacking, what_of
from pitbench.desk.load.loading import Asked, found, keep
from pitbench.records.reading import Day
from pitbench.records.refusal import Refusal
from pitbench.sheets.log_columns import COLUMNS, MEANINGS
from tests.unit.desk.by_hand import NOW, add_motor, new_book
from tests.unit.desk.load_logs import load_log

FOREIGN = ("Zeit s", "U", "Strom A", "n", "Gas", "T1", "T2")


@pytest.fixture
def book():
    book = new_book()
    add_motor(book, "Willet", poles="2")
    return book


@pytest.fixture
def log(tmp_path):
    def written(name="log.csv", **of):
        path = tmp_path / name
        path.write_text(load_log(**of), encoding="utf-8")
        return path

    return written


def test_headers_that_are_columns_are_not_asked_about(book, log):
    headers = headers_of(book, log())
    assert not headers.asks and headers.columns["rpm"] == "rpm" and len(headers.headers) == 7


def test_headers_in_other_words_are_asked_about_with_what_they_likely_are(book, log):
    headers = headers_of(book, log(headers=FOREIGN))
    assert headers.asks
    assert headers.columns == {
        "Zeit s": "time_s",
        "U": "voltage_v",
        "Strom A": "current_a",
        "n": "rpm",
        "Gas": "throttle",
    }
    assert headers.headers[0].stated == {"time": "s"} and " to " in headers.headers[1].span


def test_a_speed_in_other_words_is_asked_about_though_the_rest_is_known(book, log):
    headers = headers_of(book, log(headers=("time_s", "voltage_v", "current_a", "Drehzahl", "throttle_pct", "a", "b")))
    assert headers.asks and headers.columns["Drehzahl"] == "rpm"


def test_what_was_said_is_remembered_also_what_is_not_read(book, log):
    told = {"time_s": "Zeit s", "voltage_v": "U", "current_a": "Strom A", "rpm": "n"}
    keep(book, found(book.snapshot(), log(headers=FOREIGN), Asked("Willet", columns=told, alone=True), Day(NOW)))
    again = headers_of(book, log("b.csv", headers=FOREIGN, seed=2))
    assert not again.asks and again.columns == {header: column for column, header in told.items()}
    row = found(book.snapshot(), log("b.csv", headers=FOREIGN, seed=2), Asked("Willet"), Day(NOW)).row
    assert row["columns"] == told


def test_a_header_that_is_a_column_is_not_read_where_somebody_said_so(book, log):
    told = {
        "time_s": "time_s",
        "voltage_v": "voltage_v",
        "current_a": "current_a",
        "rpm": "rpm",
        "throttle_pct": "throttle_pct",
    }
    row = found(book.snapshot(), log(), Asked("Willet", columns=told, alone=True), Day(NOW)).row
    assert row["columns"] == told and "motor_start_c" not in row["figures"]


@pytest.mark.parametrize("what", MEANINGS)
def test_every_column_offered_is_one_of_that_kind(what):
    plain, stated = Header("x", "", {}), Header("x", "", {"time": "ms", "motor_temp_c": "f"})
    assert all(what_of(column) == what for column in columns_for(what, plain))
    assert len(columns_for(what, stated)) <= len(columns_for(what, plain)) and columns_for(what, stated)
    assert columns_for("time", stated) == ["time_ms"] and columns_for("motor_temp_c", stated) == ["motor_temp_f"]


def test_what_is_lacking_is_named():
    assert lacking({}) == ["time_s", "voltage_v", "current_a"]
    assert lacking({"a": "date", "b": "voltage_mv", "c": "motor_current_a"}) == []
    assert set(lacking({})) <= COLUMNS.keys()


def test_what_is_no_log_is_refused(book, tmp_path):
    with pytest.raises(Refusal, match="does not exist"):
        headers_of(book, tmp_path / "none.csv")


def test_a_log_read_in_the_second_process_is_the_same_and_tells_how_far_it_is(book, log):
    apart, progress = Apart(), Progress()
    path, snapshot = log(pulls=60), book.snapshot()
    asked = Asked("Willet")
    row = apart(_found(path, asked), snapshot, progress).row
    assert progress.part == 1
    here = found(snapshot, path, asked, Day(NOW)).row
    assert {**row, "id": ""} == {**here, "id": ""}


def _found(path, asked):
    from functools import partial

    return partial(found, path=path, asked=asked, day=Day(NOW))


def test_the_newest_files_that_may_be_logs(tmp_path):
    for minute, name in enumerate(("b.CSV", "a.txt", "c.zip", ".hidden.csv", "d.log")):
        path = tmp_path / name
        path.write_bytes(b"x" * 1500 * (minute + 1))
        os.utime(path, (1_700_000_000 + 60 * minute,) * 2)
    (tmp_path / "folder.csv").mkdir()
    files = newest(tmp_path, datetime.fromtimestamp(1_700_000_000), 2)
    assert [file.name for file in files] == ["d.log", "a.txt"]
    assert [file.size for file in files] == ["8 kB", "3 kB"] and files[0].when.startswith("today ")
    assert newest(tmp_path / "none", NOW, 9) == [] and newest(Path("\0"), NOW, 9) == []


def test_a_path_as_it_is_typed():
    assert path_in(' "/media/stick/log 1.csv" ') == Path("/media/stick/log 1.csv")
    assert path_in("~/log.csv") == Path.home() / "log.csv"

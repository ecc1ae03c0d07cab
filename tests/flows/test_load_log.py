"""A load log by keys: read for a run, its headers asked once, shown, stopped, laid over another, binned."""

import os
from itertools import pairwise

import pytest
from textual.widgets import Input

from pitbench.app.dialogs import read_log
from pitbench.app.dialogs.log_headers import LogHeaders
from pitbench.app.dialogs.reading_log import ReadingLog
from pitbench.app.pages.load_log import LoadLogPage
from pitbench.app.pages.load_logs import LoadLogsScreen
from pitbench.bootstrap import open_for_writing
from pitbench.desk.load import loading
from pitbench.records.models import TrackRun
from tests.unit.desk.load_logs import load_log

FOREIGN = ("Zeit s", "U", "Strom A", "n", "Gas", "T1", "T2")


@pytest.fixture
def downloads(tmp_path, monkeypatch):
    folder = tmp_path / "downloads"
    folder.mkdir()
    monkeypatch.setattr(read_log, "downloads", lambda: folder)
    return folder


def put(folder, name, minute, **of):
    """A log in a folder, written at that minute."""
    path = folder / name
    path.write_text(load_log(**of), encoding="utf-8")
    os.utime(path, (1_700_000_000 + 60 * minute,) * 2)
    return path


@pytest.fixture
def raced(two_motors):
    """Lapwing was raced twice today."""
    with open_for_writing(two_motors) as book:
        motor = next(row for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row for row in book.rows("build") if row["motor_id"] == motor["id"])
        for key, at, which in (("r1", "2026-05-17T11:00", "1"), ("r2", "2026-05-17T13:00", "2")):
            run = TrackRun(
                id=key, motor_id=motor["id"], build_id=build["id"], started_at=at, round_kind="qualifier", round=which
            )
            book.save("a run", [run])
    return two_motors


async def page_of(hands):
    await hands.until(lambda: isinstance(hands.app.screen, LoadLogPage))
    await hands.settle()


async def test_the_newest_log_of_the_download_folder_is_read_and_shown(at_the_keys, raced, downloads):
    put(downloads, "old.csv", 1, seed=1)
    put(downloads, "new.csv", 2, seed=2)
    (downloads / "picture.png").write_bytes(b"\x89PNG")
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j")
        assert "Which log? For Lapwing, qualifier 2." in hands.text and "picture" not in hands.text
        assert hands.text.index("new.csv") < hands.text.index("old.csv")
        await hands.press("enter")
        await page_of(hands)
        assert "Lapwing under load, qualifier 2, today 13:00: KV 39" in hands.text
        assert "mΩ with leads and speed control." in hands.text
        assert "Saved 14:02: load log of Lapwing." in hands.text
        (log,) = hands.book.rows("load_log")
        assert (log["track_run_id"], log["file"]) == ("r2", "new.csv")
        await hands.press("escape")
        assert "load log qualifier 2" in hands.text.replace("   ", " ")
        await hands.press("j")
        assert "l the log it has" in hands.text
        await hands.press("enter")
        assert isinstance(hands.app.screen, LoadLogPage)


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (132, 40)])
async def test_ticks_of_the_plot_stand_on_whole_cells_equally_far_apart(at_the_keys, raced, downloads, size):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced, size=size) as hands:
        await hands.press("2", "j", "enter")
        await page_of(hands)
        await hands.until(lambda: "┬" in hands.text)
        await hands.settle()
        row = next(row for row in hands.rows if "┬" in row)
        at = [cell for cell, character in enumerate(row) if character == "┬"]
        assert len(at) > 2 and len({after - before for before, after in pairwise(at)}) == 1


async def test_headers_are_asked_once(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1, seed=1, headers=FOREIGN)
    put(downloads, "b.csv", 2, seed=2, headers=FOREIGN)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "enter")
        assert isinstance(hands.app.screen, LogHeaders)
        assert "n 5" in hands.text and "r rpm of the shaft" in hands.text
        for _ in range(5):
            await hands.press("down")
        await hands.type("hs")
        await hands.press("enter")
        await page_of(hands)
        (log,) = hands.book.rows("load_log")
        columns = ("time_s", "voltage_v", "current_a", "rpm", "throttle", "motor_temp_c", "esc_temp_c")
        assert log["columns"] == dict(zip(columns, FOREIGN, strict=True))
        await hands.press("j")
        assert "qualifier 2    load log" in "\n".join(hands.rows)
        await hands.press("1", "down", "enter")  # of that run: its log, b.csv, a.csv
        await hands.until(lambda: "nothing was saved" in hands.text)
        await hands.press("escape", "escape", "down", "j", "2")
        await hands.until(lambda: len(hands.book.rows("load_log")) == 2)
        assert {row["track_run_id"] for row in hands.book.rows("load_log")} == {"r1", "r2"}


async def test_what_a_log_needs_is_asked_for_and_nothing_is_read_without(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1, headers=FOREIGN)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "enter", "x", "enter")
        assert "Needed: time." in hands.text and isinstance(hands.app.screen, LogHeaders)
        await hands.press("up", "t")
        assert "t time" in hands.text and "Needed" not in hands.text
        await hands.press("up", "u")
        assert "t time, ms" not in hands.text, "its header says the unit"
        await hands.press("escape")
        assert hands.book.rows("load_log") == []


async def test_keys_pressed_ahead_go_where_they_were_meant(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.pilot.press("2", "j", "enter", "i")
        await hands.until(lambda: "Not at full throttle: 480 rows." in hands.text)
        await hands.pilot.press("escape", "escape", "down", "j", "enter", "escape", "1")
        await hands.until(lambda: "1 Motors" in hands.text and "▸1" in hands.text)


async def test_esc_stops_a_log_while_it_is_read(at_the_keys, raced, downloads, monkeypatch):
    def endless(snapshot, told, **_):
        while True:
            told(0.4)

    monkeypatch.setattr(loading, "found", endless)
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j")
        await hands.pilot.press("enter")
        await hands.until(lambda: isinstance(hands.app.screen, ReadingLog) and "40 %" in hands.text)
        await hands.pilot.press("escape")
        await hands.settle()
        assert "Stopped, nothing was stored." in hands.text and hands.book.rows("load_log") == []


async def test_a_path_the_system_does_not_take_is_said_in_a_sentence(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "f")
        hands.app.screen.query_one(Input).value = f"/{'x' * 300}.csv"
        await hands.press("enter")
        assert "xxx" in hands.text and "▸2 Runs" in hands.rows[0] and hands.book.rows("load_log") == []


@pytest.mark.parametrize(
    ("text", "said"),
    [("a,b\n1,2\n", "holds no rows of numbers"), ("", "is empty"), ("\0" * 100, "is a binary file")],
)
async def test_what_is_no_log_is_said_in_a_sentence(at_the_keys, raced, downloads, text, said):
    (downloads / "a.csv").write_text(text)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "enter")
        assert said in hands.text and hands.book.rows("load_log") == []


async def test_a_log_whose_rows_cannot_be_read_is_refused_by_the_reader(at_the_keys, raced, downloads):
    rows = "\n".join(f"{n},65535,65535,65535" for n in range(30))
    (downloads / "a.csv").write_text(f"time_s,voltage_v,current_a,rpm\n{rows}\n")
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "enter")
        assert "none of its 30 rows can be read" in hands.text and hands.book.rows("load_log") == []


async def test_without_files_it_is_asked_where_the_log_is(at_the_keys, raced, downloads, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    put(stick, "q.log", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j")
        assert "Where is the log for Lapwing, qualifier 2?" in hands.text
        await hands.press("ctrl+u")
        await hands.enter(str(stick))
        assert "q.log" in hands.text
        await hands.press("enter")
        await page_of(hands)
        assert hands.kept[-1]["log_folder"] == str(stick)
        await hands.press("escape", "down", "j")
        assert "q.log" in hands.text, "the folder of the last one is looked into as well"
        await hands.press("f")
        await hands.press("ctrl+u")
        await hands.enter(str(stick / "none.csv"))
        assert "does not exist" in hands.text


async def test_on_a_motor_the_run_is_asked_for(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("j")
        assert "In which run of Lapwing was the log written?" in hands.text
        assert hands.text.index("today 13:00 qualifier 2") < hands.text.index("today 11:00 qualifier 1")
        await hands.press("b", "enter")
        await page_of(hands)
        (log,) = hands.book.rows("load_log")
        assert log["bench"] and "track_run_id" not in log
        assert "on the bench" in hands.text


async def test_a_bench_run_has_the_log_that_was_read_for_it(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "end", "j", "enter")
        await page_of(hands)
        (log,) = hands.book.rows("load_log")
        assert log["bench"] and log["logged_at"] == "2026-05-10T18:00"
        await hands.press("escape")
        assert "   load log" in "\n".join(hands.rows)
        await hands.press("up")
        assert "   load log" not in "\n".join(hands.rows)


async def test_two_logs_one_over_the_other(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1, ohm=0.030)
    put(downloads, "b.csv", 2, ohm=0.040)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "1")
        await page_of(hands)
        await hands.press("=")
        assert "There is no other load log" in hands.text
        await hands.press("escape", "down", "j", "2")
        await page_of(hands)
        await hands.press("equals_sign", "enter")
        assert "qualifier 1" in hands.text and "resistance with leads, mΩ" in hands.text
        assert "-10.0 ±" in hands.text or "-9.9 ±" in hands.text or "-10.1 ±" in hands.text
        await hands.press("escape")
        assert "resistance with leads" not in hands.text and isinstance(hands.app.screen, LoadLogPage)


async def test_a_log_goes_to_the_bin_and_comes_back(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("2", "j", "1")
        await page_of(hands)
        await hands.press("d")
        assert "load log of Lapwing to the bin" in hands.text and hands.book.rows("load_log") == []
        await hands.press("u")
        assert len(hands.book.rows("load_log")) == 1
        await hands.press("U", "z")
        assert "a.csv" in hands.text and "load log" in hands.text
        await hands.press("enter")
        assert "load log of Lapwing brought back" in hands.text and len(hands.book.rows("load_log")) == 1


async def test_the_logs_of_a_motor_are_a_part_of_its_page(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    async with at_the_keys(raced) as hands:
        await hands.press("enter", "shift+tab", "shift+tab")
        assert isinstance(hands.app.screen, LoadLogsScreen) and "No load log of Lapwing yet." in hands.text
        await hands.press("j", "1", "1")
        await page_of(hands)
        await hands.press("escape")
        assert "Lapwing: 1 load log, KV 39" in hands.text and "qualifier 2" in hands.text
        await hands.press("enter", "escape", "d", "u", "tab", "tab")
        assert len(hands.book.rows("load_log")) == 1 and "track after it" in hands.text


async def test_where_the_logbook_may_not_be_written_nothing_is_asked(at_the_keys, raced, downloads):
    put(downloads, "a.csv", 1)
    with open_for_writing(raced):
        async with at_the_keys(raced) as hands:
            await hands.press("2", "j")
            assert "Read-only" in hands.text and "Which log?" not in hands.text

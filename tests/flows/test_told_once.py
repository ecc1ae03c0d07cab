"""The pinion told once, by keys: in the setup log, or in the track form and taken into the log with one key."""

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, Event, TrackRun


@pytest.fixture
def race_day(two_motors):
    with open_for_writing(two_motors) as book:
        lapwing = next(row["id"] for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row["id"] for row in book.rows("build") if row["motor_id"] == lapwing)
        car, today = Car(name="grey car"), Event(name="Saltmouth", date="2026-05-17", start_times="main 16:00")
        run = TrackRun(
            motor_id=lapwing,
            build_id=build,
            car_id=car.id,
            event_id=today.id,
            started_at="2026-05-17T12:00",
            pinion=38,
            spur=72,
            timing_mark_deg=35,
        )
        book.save("a race day", [car, today, run])
    return two_motors


def newest(hands, kind, time):
    return max(hands.book.rows(kind), key=lambda row: row[time])


async def test_a_pinion_changed_in_the_log_is_in_the_next_track_form(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("c")
        await hands.enter("pinion", "", "39", "", "")
        assert newest(hands, "setup_entry", "written_at")["was"] == "38"
        await hands.press("t")
        assert "grey car 39/72" in hands.text
        await hands.type("now")
        await hands.press("f2")
        assert newest(hands, "track_run", "started_at")["pinion"] == 39
        assert "Pinion 38 to 39: what came of it?" in hands.text  # asked, and not offered for the log again
        await hands.press("escape", "4", "tab")
        assert any("pinion" in row and " 39 " in row and "today 14:02" in row for row in hands.rows)


async def test_one_changed_in_the_track_form_goes_into_the_log_with_one_key(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("t", "f6", "down", "down", "down", "ctrl+u")
        while hands.app.screen.field.name != "pinion":
            await hands.press("down")
        await hands.press("ctrl+u")
        await hands.type("41")
        await hands.press("f2")
        await hands.type("now")
        await hands.press("f2")
        assert "Pinion 38 to 41, changed for this run." in hands.text
        await hands.press("enter", "5")  # pressed ahead: neither answers
        assert hands.book.rows("setup_entry") == []
        await hands.press("+")
        entry = newest(hands, "setup_entry", "written_at")
        assert (entry["what"], entry["was"], entry["now"]) == ("pinion", "38", "41")
        assert hands.app.say.said[0] == "Saved 14:02: setup entry: pinion 38 to 41."  # behind the question below
        assert "Pinion 38 to 41: what came of it?" in hands.text
        await hands.press("+")
        assert newest(hands, "setup_entry", "written_at")["outcome"] == "better"
        await hands.press("u", "u")
        assert hands.book.rows("setup_entry") == [] and len(hands.book.rows("track_run")) == 2


async def test_the_offer_may_be_left(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("t", "f6")
        while hands.app.screen.field.name != "pinion":
            await hands.press("down")
        await hands.press("ctrl+u", "4", "1", "f2", "f2", "escape", "1")
        assert hands.book.rows("setup_entry") == [] and "▸1 Motors" in hands.rows[0]
        await hands.press("4", "tab")
        assert any("pinion" in row and " 41 " in row for row in hands.rows)

"""What somebody needs at the pit table who has never seen it: the next step, the key for it, the run that is meant."""

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Event, Motor, SetupEntry, TrackRun


@pytest.fixture
def raced(two_motors):
    """Lapwing has run today at Saltmouth; Whio, the check motor, is on the bench only, and was read last."""
    with open_for_writing(two_motors) as book:
        motors = {row["name"]: row for row in book.rows("motor")}
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        lapwing = motors["Lapwing"]["id"]
        run = TrackRun(
            motor_id=lapwing, build_id=builds[lapwing], started_at="2026-05-17T13:46", round_kind="qualifier",
            round="1", pinion=31, spur=72, internal_ratio=1.9, tyre_diameter_mm=62.5, run_time_s=300, ambient_c=24,
            finish_reading_c=70, finish_reading_after_s=60,
        )  # fmt: skip
        event = Event(name="Saltmouth", date="2026-05-17", track="harbour hall")
        spring = SetupEntry(written_at="2026-04-11T10:00", what="rear spring", now="softer", motor_id=lapwing)
        book.save("a day", [event, spring, run.model_copy(update={"event_id": event.id})])
    return two_motors


@pytest.mark.parametrize("screen", ["1", "2", "3", "7"])
async def test_an_empty_screen_says_which_key_begins(at_the_keys, empty, screen):
    async with at_the_keys(empty) as hands:
        await hands.press(screen)
        assert "m new motor b bench run ? all keys" in hands.text
        above = " ".join(" ".join(hands.rows[1:-1]).split())
        assert "m Write down a motor" in above or "m writes " in above
        await hands.press("m")
        assert "New motor" in hands.rows[0]


async def test_the_first_track_run_is_not_of_the_check_motor_and_says_where_gears_are_written(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        whio = next(row for row in book.rows("motor") if row["name"] == "Whio")
        book.save("check motor", [Motor(**{**whio, "check_motor": True})])
    async with at_the_keys(two_motors) as hands:
        await hands.press("5", "t")
        assert "Lapwing" in hands.rows[2]
        assert "No gears yet: F6 writes down motor, car, gears and tyre." in hands.rows[3]
        await hands.press("f6", "down", "down", "down", "down")
        await hands.enter("31")
        await hands.press("f2")
        assert "31" in hands.rows[3] and "No gears yet" not in hands.text


async def test_on_temperature_e_edits_todays_run_and_enter_opens_the_motor(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("5", "e")
        assert "Edit track run" in hands.rows[0] and "Lapwing   Saltmouth, qualifier 1" in hands.rows[2]
        await hands.press("escape", "enter")
        assert "Lapwing" in hands.rows[2] and "KV at" in hands.text
        await hands.press("5", "down", "e")
        assert "Whio has not run today; e on Runs edits an earlier run." in hands.text


async def test_what_is_typed_to_find_stands_behind_a_slash(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        for screen in ("2", "4"):
            await hands.press(screen, "slash")
            await hands.type("lap")
            assert any(row.startswith(" / lap ") for row in hands.rows)
            await hands.press("escape")
            assert not any(row.startswith(" / ") for row in hands.rows)


async def test_nothing_here_names_the_key_that_shows_the_rest(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        await hands.press("4", "h")
        assert "Not here: h shows those of elsewhere." in hands.text
        await hands.press("h")
        assert "rear spring" in hands.text and "Not here" not in hands.text


async def test_the_marked_run_stands_uncut_under_the_list(at_the_keys, raced):
    with open_for_writing(raced) as book:
        run = book.rows("track_run")[0]
        named = {"tyre": "club rubber, set 3", "pack": "P2, the older of two", "timing_mark_deg": 35, "fan": True}
        book.save("a car", [TrackRun(**{**run, **named})])
    async with at_the_keys(raced) as hands:
        await hands.press("2")
        for fact in ("31/72", "club rubber, set 3 62.5 mm", "mark 35°", "P2, the older of two"):
            assert fact in hands.text
        assert "…" not in hands.text


async def test_the_key_that_prints_stands_in_the_footers_of_card_and_setup_log(at_the_keys, raced):
    async with at_the_keys(raced) as hands:
        for keys in (("4",), ("3", "tab")):
            await hands.press(*keys)
            assert "W print   " in hands.rows[-1]


async def test_who_lost_power_while_typing_is_told_which_key_goes_on(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        assert "half-filled" not in hands.text
        await hands.press("b")
        await hands.enter("3953")
    async with at_the_keys(two_motors) as hands:
        assert "A half-filled bench run of Lapwing was kept: b goes on with it." in hands.text
        await hands.press("b", "enter", "f2", "escape")
        assert "Saved 14:02: bench run of Lapwing." in hands.text
    async with at_the_keys(two_motors) as hands:
        assert "half-filled" not in hands.text


async def test_what_a_field_means_goes_with_the_field(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("m", "down", "down", "f8")
        assert "turns: " in hands.rows[-2] or "turns: " in hands.rows[-3]
        await hands.press("down")
        assert "turns: " not in hands.text


async def test_a_page_without_a_sweep_says_where_the_mark_is_set(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("enter", "tab", "tab")
        assert "F6 in the form of a bench run sets the mark." in hands.text


async def test_a_mark_of_a_sweep_takes_four_keys_from_the_second_one_on(at_the_keys, two_motors):
    marks = ("31", "34", "37")
    async with at_the_keys(two_motors) as hands:
        await hands.press("b", "f6", *["down"] * 7)
        for nth, mark in enumerate(marks):
            if nth:
                pressed = hands.pressed
                await hands.press("f6")
            await hands.type(mark)
            await hands.press("f2")
            assert not nth or hands.pressed - pressed == 4
            assert f"timing mark {mark}°" in hands.text
            await hands.type(f"39{mark}")
            await hands.press("f3")
        stored = [row.get("timing_mark_deg") for row in hands.book.rows("bench_run")]
        assert stored[-3:] == [31, 34, 37]
        await hands.press("f6", "up")
        assert "spin time" in next(row for row in hands.rows if row.startswith(" ▸ "))

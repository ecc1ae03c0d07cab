"""Names complete as they are typed, and c on a marked motor fills that motor."""

import pytest
from textual.events import Paste

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, Event, TrackRun


@pytest.fixture
def race_day(two_motors):
    """Lapwing ran last, in the grey car; Whio has the blue one."""
    with open_for_writing(two_motors) as book:
        cars = [Car(name="blue car"), Car(name="grey car")]
        event = Event(name="Saltmouth", date="2026-05-17", track="harbour hall")
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        ids = {row["name"]: row["id"] for row in book.rows("motor")}
        made = [
            TrackRun(
                motor_id=ids[motor],
                build_id=builds[ids[motor]],
                car_id=car.id,
                event_id=event.id,
                started_at=f"2026-05-17T1{hour}:00",
                tyre="club rubber",
            )
            for hour, motor, car in ((0, "Whio", cars[0]), (2, "Lapwing", cars[1]))
        ]
        book.save("a race day", [*cars, event, *made])
    return two_motors


def newest(hands, kind, time):
    return max(hands.book.rows(kind), key=lambda row: row[time])


async def to_field(hands, name):
    while hands.app.screen.field.name != name:
        await hands.press("up")
    await hands.press("ctrl+u")


@pytest.mark.parametrize("screen", ["1", "3", "5"])
async def test_c_on_a_marked_motor_fills_that_motor_and_its_car(at_the_keys, race_day, screen):
    async with at_the_keys(race_day) as hands:
        await hands.press(screen)
        while hands.book.row("motor", hands.app.screen.marked_motor())["name"] != "Whio":
            await hands.press("down")
        await hands.press("c")
        await hands.type("wing")
        await hands.press("f2")
        entry = newest(hands, "setup_entry", "written_at")
        assert hands.book.row("motor", entry["motor_id"])["name"] == "Whio"
        assert hands.book.row("car", entry["car_id"])["name"] == "blue car"


async def test_the_beginning_of_a_name_is_enough(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("c")
        await hands.type("wing")
        await to_field(hands, "motor")
        await hands.type("wh")
        assert "F4 puts Whio, Enter too." in hands.text
        await to_field(hands, "car")
        await hands.type("bl")
        assert "F4 puts blue car." in hands.text
        await hands.press("f4")
        await to_field(hands, "event")
        await hands.type("salt")
        await hands.press("f2")
        entry = newest(hands, "setup_entry", "written_at")
        linked = [hands.book.row(kind, entry[f"{kind}_id"])["name"] for kind in ("motor", "car", "event")]
        assert linked == ["Whio", "blue car", "Saltmouth"]


async def test_a_new_car_and_what_is_changed_may_begin_like_another(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("c")
        await hands.type("pin")
        assert "F4 puts pinion." in hands.text  # never changed before, but a track run would tell it
        await to_field(hands, "car")
        await hands.type("blue")
        await hands.press("f2")
        entry = newest(hands, "setup_entry", "written_at")
        assert (entry["what"], hands.book.row("car", entry["car_id"])["name"]) == ("pin", "blue")


async def test_names_complete_behind_f6_too_and_bring_what_the_motor_had(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("t", "f6", "ctrl+u", "w", "enter")
        assert hands.app.screen.values["motor"] == "Whio" and hands.app.screen.values["car"] == "blue car"
        while hands.app.screen.field.name != "tyre":
            await hands.press("down")
        await hands.press("ctrl+u", "c", "f4")
        assert hands.app.screen.values["tyre"] == "club rubber"
        await hands.press("f2", "f2")
        assert newest(hands, "track_run", "started_at")["motor_id"] == hands.book.rows("motor")[1]["id"]


async def test_a_batch_of_keys_and_a_paste_complete_as_single_keys_do(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("a", "f6", "ctrl+u", "l", "a", "f2", "3", "9", "5", "0", "enter", "4", ".", "1", "f2")
        run = newest(hands, "bench_run", "taken_at")
        assert hands.book.row("motor", run["motor_id"])["name"] == "Lapwing" and run["kv_rpm_per_v"] == 3950
        await hands.press("escape", "c")
        await hands.type("wing")
        await to_field(hands, "motor")
        hands.app.screen.body.input.post_message(Paste("whi"))
        await hands.settle()
        await hands.press("f2")
        entry = newest(hands, "setup_entry", "written_at")
        assert hands.book.row("motor", entry["motor_id"])["name"] == "Whio"

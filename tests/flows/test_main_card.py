"""The card for the main by keys: from Rankings with Tab, its plan changed with the keys of Temperature."""

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, Event, TrackRun

GEARED = {"pinion": 30, "spur": 72, "internal_ratio": 2.4, "tyre_diameter_mm": 62.5, "timing_mark_deg": 35}


def race_day(path):
    """Whio drove every round of today; the main is at 14:30."""
    with open_for_writing(path) as book:
        ids = {row["name"]: row["id"] for row in book.rows("motor")}
        builds = {row["motor_id"]: row["id"] for row in book.rows("build")}
        car = Car(name="No. 4")
        event = Event(name="Saltmouth", date="2026-05-17", start_times="main 14:30")
        made = {"motor_id": ids["Whio"], "build_id": builds[ids["Whio"]], "car_id": car.id, "event_id": event.id}
        runs = [
            TrackRun(
                **GEARED, **made, started_at=f"2026-05-17T{hour}:00", round_kind="qualifier", round=str(hour - 9),
                run_time_s=300, ambient_c=24, finish_reading_c=70 + hour % 2, finish_reading_after_s=60,
            )
            for hour in (10, 11, 12, 13)
        ]  # fmt: skip
        book.save("a day", [car, event, *runs])


async def test_the_card_says_what_to_bolt_in_and_what_speaks_against_it(at_the_keys, two_motors):
    race_day(two_motors)
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "tab")
        shown = hands.text
        assert "CARD FOR THE MAIN Main at 14:30" in shown
        assert "gears 30/72, rollout 34.1 mm, tyre 62.5 mm" in shown and "timing mark 35°" in shown
        leader = shown.split("motor ", 1)[1].split(",")[0]
        assert "in 100 that it is the best of two" in shown and "nine in ten" in shown
        assert "CHANGES from qualifier 4 at Saltmouth, today 13:00" in shown
        assert ("motor Whio to Lapwing" in shown) == (leader == "Lapwing")
        await hands.press("p")
        assert "gears 31/72" in hands.text and "gears 30/72 to 31/72" in hands.text
        await hands.press("5")
        await hands.press("3", "tab", "P")
        assert "gears 30/72," in hands.text


async def test_without_room_for_all_its_blocks_stand_close_and_nothing_is_cut_off(at_the_keys, two_motors):
    race_day(two_motors)
    async with at_the_keys(two_motors, (80, 17)) as hands:
        await hands.press("3", "tab")
        assert "STILL TO TEST" in hands.text and hands.rows[-2].strip().endswith("."), hands.rows


async def test_tab_goes_on_to_bench_and_track_and_back_to_the_ranking(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "tab")
        assert "No plan: no track run tells gears, tyre and ambient." in hands.text
        await hands.press("tab")
        assert "Not enough yet" in hands.text and "CARD" not in hands.text
        await hands.press("tab")
        assert "power" in hands.text and "CARD" not in hands.text
        await hands.press("tab", "escape")
        assert "CARD" not in hands.text


async def test_with_nothing_ranked_it_says_so(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.press("3", "tab")
        assert "Traceback" not in hands.text

"""The card for the main by keys: from Rankings with Tab, its plan changed with the keys of Temperature."""

import shutil

from pitbench.app.pages import main_card
from pitbench.bootstrap import open_for_writing
from pitbench.demo import demo_logbook
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
        assert "CARD FOR THE MAIN at 14:30, in 28 min n N" in shown
        assert "30/72 p P mark 35° k K rollout 34.1 mm, tyre 62.5 mm" in shown
        leader = shown.split("n N ", 1)[1].split()[0].capitalize()
        assert "in 100 to be the best of two" in shown and "COMES IN AT" in shown and "over 80 °C" in shown
        assert "SINCE qualifier 4, today 13:00: 7" in shown
        assert ("otor Whio to Lapwing" in shown) == (leader == "Lapwing")
        assert "Hot can: no fingers." in shown
        await hands.press("p")
        assert "31/72 p P" in hands.text and "ears 30/72 to 31/72" in hands.text
        await hands.press("5")
        await hands.press("3", "tab", "P")
        assert "30/72 p P" in hands.text


async def test_a_start_that_is_not_the_mains_is_named(at_the_keys, two_motors):
    race_day(two_motors)
    with open_for_writing(two_motors) as book:
        (event,) = book.rows("event")
        book.save("a round before", [Event(**{**event, "start_times": "qualifier 5 14:20, main 15:30"})])
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "tab")
        assert "CARD FOR THE MAIN Qualifier 5 at 14:20, in 18 min n N" in hands.text
        await hands.press("n")
        assert "CARD FOR THE MAIN Qualifier 5 at 14:25, in 23 min n N" in hands.text


async def test_what_the_number_hangs_on_stands_there_with_its_keys(at_the_keys, two_motors):
    race_day(two_motors)
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "tab")
        assert "length 5:00 l L ambient 24 °C o O" in hands.text
        before = [row for row in hands.rows if " teeth " in row]
        assert [row.split(" teeth")[0][-4:] for row in before] == ["  29", "▸ 30", "  31"]
        await hands.press("l", "o", "o", "k")
        assert "length 5:30 l L ambient 26 °C o O" in hands.text and "mark 36° k K" in hands.text
        assert [row for row in hands.rows if " teeth " in row] != before
        await hands.press("n")
        assert "CARD FOR THE MAIN at 14:35, in 33 min n N" in hands.text


async def test_what_can_still_be_tested_fits_the_minutes_to_the_start(at_the_keys, two_motors, monkeypatch):
    race_day(two_motors)
    asked = []
    real = main_card.test_within
    monkeypatch.setattr(main_card, "test_within", lambda *of, **by: asked.append(by["minutes"]) or real(*of, **by))
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "tab")
        assert "IN 25 MINUTES: " in hands.text and asked == []
        await hands.press("N", "N", "N", "N")
        assert " at 14:10, in 8 min" in hands.text and "IN 5 MINUTES: " in hands.text
        assert asked == [10, 5]  # what tells most takes longer, so it is asked anew
        await hands.press("N")
        assert "in 3 min" in hands.text and "IN 3 MINUTES: no time to test anything." in hands.text


async def test_without_room_for_all_its_blocks_stand_close_and_the_caution_stays(at_the_keys, two_motors):
    race_day(two_motors)
    async with at_the_keys(two_motors, (80, 17)) as hands:
        await hands.press("3", "tab")
        assert "AGAINST IT" in hands.text and hands.rows[-2].strip().startswith("Hot can: no fingers."), hands.rows


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


async def test_tab_goes_on_over_the_cards_of_all_classes_first(at_the_keys, tmp_path):
    path = shutil.copy(demo_logbook(), tmp_path / "logbook.json")
    async with at_the_keys(path) as hands:
        await hands.press("3")
        first = "WHIO" if "1 Whio" in hands.text else "REDSHANK"
        await hands.press("tab")
        assert first in hands.text and "Tab next class" in hands.rows[-1]
        await hands.press("tab")
        other = {"WHIO": "REDSHANK", "REDSHANK": "WHIO"}[first]
        assert f" {other} " in hands.text and "Tab bench, track" in hands.rows[-1]
        await hands.press("escape")
        assert f"1 {other.capitalize()}" in hands.text and "CARD" not in hands.text  # the ranking of what was shown
        await hands.press("tab", "tab", "tab")
        assert "CARD" not in hands.text and "▸3 Rankings" in hands.rows[0]


async def test_with_nothing_ranked_it_says_so(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.press("3", "tab")
        assert "Traceback" not in hands.text


async def test_whatever_is_said_the_caution_stays(at_the_keys, tmp_path):
    shutil.copy(demo_logbook(), tmp_path / "weekend.json")
    async with at_the_keys(tmp_path / "weekend.json") as hands:
        await hands.press("3", "tab")
        for words in ("Read-only: open in another pitbench.", "A refusal that needs more than one line. " * 4, ""):
            hands.app.say(words, trouble=True)
            await hands.settle()
            assert "Hot can: no fingers." in hands.text, words
            assert " ".join(words.split()) in hands.text

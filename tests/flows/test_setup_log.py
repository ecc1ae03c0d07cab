"""The setup log by keys: last time here, a change written down and taken back, what came of it, what is on the car."""

import pytest

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Car, Event, SetupEntry, TrackRun

EARLIER = {"round_kind": "main", "pinion": 30, "spur": 72, "timing_mark_deg": 35, "finish_reading_c": 66}


@pytest.fixture
def race_day(two_motors):
    """Two motors, a visit to Saltmouth in April, and today's, with one run and three entries."""
    with open_for_writing(two_motors) as book:
        lapwing = next(row["id"] for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row["id"] for row in book.rows("build") if row["motor_id"] == lapwing)
        car = Car(name="No. 4")
        april, dock, today = (
            Event(name="Saltmouth", date="2026-04-12", surface="clay"),
            Event(name="Oyster Dock", date="2026-05-03"),
            Event(name="Saltmouth", date="2026-05-17", surface="clay, damp"),
        )
        made = {"motor_id": lapwing, "build_id": build, "car_id": car.id}
        runs = [
            TrackRun(**made, started_at="2026-04-12T16:40", event_id=april.id, **EARLIER, result="third"),
            TrackRun(**made, started_at="2026-05-17T11:52", event_id=today.id, round_kind="qualifier", ambient_c=24),
        ]
        entries = [
            SetupEntry(
                written_at="2026-04-12T12:50", event_id=april.id, what="pinion", was="29", now="30", outcome="ok"
            ),
            SetupEntry(written_at="2026-05-03T14:30", event_id=dock.id, what="rotor", now="R2", outcome="better"),
            SetupEntry(written_at="2026-05-17T11:20", event_id=today.id, what="bearings oiled", motor_id=lapwing),
        ]
        book.save("a season", [car, april, dock, today, *runs, *entries])
    return two_motors


def entries(hands):
    return sorted(hands.book.rows("setup_entry"), key=lambda row: row["written_at"])


async def test_last_time_here_stands_on_top_and_the_list_begins_here(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4")
        assert "▸4 Setup log" in hands.rows[0] and len(hands.rows) == 24
        assert hands.rows[2].startswith(" Last time at Saltmouth, 12 Apr: Lapwing, 30/72, mark 35°, 66 °C, third.")
        assert "Saltmouth today clay, damp, ambient 24 °C 3 entries, here first" in hands.text
        assert hands.text.index("bearings oiled") < hands.text.index("earlier here") < hands.text.index("elsewhere")
        assert "BEARINGS OILED, Lapwing, Saltmouth, today 11:20" in hands.text
        assert "One track run since: qualifier." in hands.text and "still open: e writes it down." in hands.text
        await hands.press("h")
        assert "2 entries, here only" in hands.text and "rotor" not in hands.text
        await hands.press("escape")
        assert "3 entries, here first" in hands.text


async def test_a_change_is_written_down_with_few_keys_and_taken_back(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        before = hands.pressed
        await hands.press("c")
        await hands.enter("pinion", "", "31", "cool", "")
        assert hands.pressed - before == 1 + len("pinion31cool") + 5
        new = entries(hands)[-1]
        assert (new["what"], new["was"], new["now"], new["why"]) == ("pinion", "30", "31", "cool")
        assert hands.book.row("motor", new["motor_id"])["name"] == "Lapwing"
        assert hands.book.row("event", new["event_id"])["date"] == "2026-05-17" and "outcome" not in new
        assert "Saved 14:02: setup entry: pinion 30 to 31." in hands.text
        await hands.press("4")
        assert any(row.startswith(" ▸ today 14:02") and "pinion 30 to 31" in row for row in hands.rows)
        await hands.press("u")
        assert len(entries(hands)) == 3 and "Taken back: setup entry: pinion 30 to 31." in hands.text
        await hands.press("U", "d")
        assert len(entries(hands)) == 3 and "to the bin" in hands.text


async def test_a_binned_entry_comes_back_from_the_bin(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "d", "z")
        assert "The bin: 1 record." in hands.text and "change" in hands.text and "bearings oiled" in hands.text
        await hands.press("enter")
        assert "setup entry: bearings oiled brought back" in hands.text and len(entries(hands)) == 3


async def test_the_open_outcome_is_written_with_e(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "e")
        await hands.enter("better, 66")
        assert entries(hands)[-1]["outcome"] == "better, 66"
        assert "Outcome: better, 66." in hands.text


async def test_an_unknown_motor_is_refused_with_the_nearest_and_f4_puts_it(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("c")
        await hands.type("wing")
        await hands.press("up", "ctrl+u")
        await hands.type("Lapwng")
        await hands.press("f2")
        assert "Motor Lapwng is no motor of yours, Lapwing would be right." in hands.text
        assert len(entries(hands)) == 3
        await hands.press("f4", "f2")
        assert entries(hands)[-1]["what"] == "wing"


async def test_what_was_changed_before_is_offered_while_typing(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("c")
        assert "Changed before: bearings oiled, rotor, pinion." in hands.text
        await hands.type("pin")
        assert "F4 puts pinion." in hands.text
        await hands.press("f4", "enter")
        assert any("was" in row and " 30 " in row for row in hands.rows)


async def test_after_the_next_run_it_is_asked_what_came_of_what_is_open(at_the_keys, race_day):
    with open_for_writing(race_day) as book:
        today = max(book.rows("event"), key=lambda row: row["date"])["id"]
        book.save(
            "more", [SetupEntry(written_at="2026-05-17T13:00", event_id=today, what="wing", now="low", why="push")]
        )
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "t", "n", "o", "w", "f2")
        assert len(hands.book.rows("track_run")) == 3
        assert "Wing: low (push): what came of it?" in hands.text
        await hands.press("b", "1", "3", "plus")
        assert "Bearings oiled: what came of it?" in hands.text
        await hands.press("quotation_mark")
        await hands.enter("current down")
        assert {row["what"]: row.get("outcome") for row in entries(hands)[2:]} == {
            "bearings oiled": "current down",
            "wing": "better",
        }
        await hands.press("t", "f2")
        assert "what came of it?" not in hands.text  # nothing is open any more


async def test_esc_leaves_the_outcome_open(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "t", "n", "o", "w", "f2")
        assert "Bearings oiled: what came of it?" in hands.text
        await hands.press("escape")
        assert "outcome" not in entries(hands)[-1] and "▸4 Setup log" in hands.rows[0]


async def test_search_as_you_type(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "slash")
        await hands.type("pinion")
        await hands.settle()
        assert "1 of 3 entries: pinion" in hands.text and "Words narrow the list" in hands.text
        await hands.type(" -ok")
        await hands.settle()
        assert "0 of 3 entries" in hands.text
        await hands.press("escape")
        assert "3 entries, here first" in hands.text


async def test_tab_shows_what_is_on_the_car_and_c_changes_the_marked(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "tab")
        assert "On No. 4 now: 4 things" in hands.text and any("rotor" in row and "R2" in row for row in hands.rows)
        await hands.press("down", "down", "down", "c")
        assert any("what" in row and "pinion" in row for row in hands.rows)
        await hands.enter("31", "", "")
        assert entries(hands)[-1]["was"] == "30" and "▸4 Setup log" in hands.rows[0]
        assert any("pinion" in row and " 31 " in row for row in hands.rows)
        await hands.press("tab", "tab")
        assert "Last time at Saltmouth" in hands.text


async def test_an_empty_log_says_what_to_do(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.press("4")
        assert "No event is written down yet" in hands.text and "c writes down what was changed" in hands.text
        await hands.press("c")
        await hands.type("wing")
        await hands.press("f2")
        assert entries(hands)[-1]["what"] == "wing"


async def test_a_long_log_is_listed_and_narrowed(at_the_keys, race_day):
    with open_for_writing(race_day) as book:
        made = [SetupEntry(written_at="2026-05-01T10:00", what=f"shim {n}", now=str(n)) for n in range(1500)]
        book.save("many", made)
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "end")
        assert "1503 entries" in hands.text
        await hands.press("slash")
        await hands.type("shim 1432")
        await hands.settle()
        assert "1 of 1503 entries" in hands.text


async def test_a_digit_pressed_ahead_of_the_question_answers_nothing(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "t", "n", "o", "w", "f2", "1", "2", "3", "4", "5", "w", "o", "n", "enter")
        assert "Bearings oiled: what came of it?" in hands.text
        await hands.press("minus")
        assert entries(hands)[-1]["outcome"] == "worse"


async def test_tab_leads_on_to_the_season_and_back(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "tab", "tab")
        assert "The season: 2 track runs at 2 events, the newest first." in hands.text
        assert any(row.startswith(" ▸ today") and "Saltmouth" in row and "Lapwing" in row for row in hands.rows)
        await hands.press("down")
        assert "Best gearing so far at Saltmouth" in hands.text
        assert any(row.startswith(" ▸ 12 Apr") and "30/72" in row and "third" in row for row in hands.rows)
        await hands.press("e")
        assert "Edit track run" in hands.text
        await hands.press("escape", "d")
        assert "A track run says so" in hands.text and len(hands.book.rows("track_run")) == 2
        await hands.press("shift+tab")
        assert "On No. 4 now" in hands.text
        await hands.press("tab", "slash")
        assert "3 entries" in hands.text
        await hands.press("escape", "tab", "tab", "tab")
        assert "Last time at Saltmouth" in hands.text


async def test_a_batch_of_keys_meets_the_season_as_single_keys_do(at_the_keys, race_day):
    async with at_the_keys(race_day) as hands:
        await hands.press("4", "tab", "tab", "down", "e")
        assert "Edit track run" in hands.text and "2026-04-12 16:40" in hands.text

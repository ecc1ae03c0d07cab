"""A number that waits, with keys only: it is said where it is typed and on every list, and q asks for the answer."""

import pytest
from textual.events import Paste

from pitbench.bootstrap import open_for_writing
from pitbench.records.models import Cooling, TrackRun

WAITS = "1 number waits for your answer: q asks."


def newest(hands, kind="bench_run", at="taken_at"):
    return max(hands.book.rows(kind), key=lambda row: (row[at], row.get("place", 0)))


@pytest.fixture
def raced(two_motors):
    """Lapwing ran this morning, and its can was read again afterwards."""
    with open_for_writing(two_motors) as book:
        motor = next(row for row in book.rows("motor") if row["name"] == "Lapwing")
        build = next(row for row in book.rows("build") if row["motor_id"] == motor["id"])
        run = TrackRun(motor_id=motor["id"], build_id=build["id"], started_at="2026-05-17T13:40", run_time_s=300)
        book.save("a run", [run])
    return two_motors, run.id


async def test_mistyped_and_saved_at_once_it_waits_and_is_corrected_from_runs(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        before = [row for row in hands.rows if row[3:].startswith(("1  ", "2  "))]
        await hands.press("a")
        await hands.type("39820")
        assert "Enter goes on and keeps 39820 as typed" in hands.text
        await hands.press("f2")
        assert "Saved 14:02: bench run of Whio. 1 number waits for your answer: q asks on a list." in hands.text
        assert "F4 puts" not in hands.text and "as typed" not in hands.text  # Enter is "same again" now
        assert (newest(hands)["kv_rpm_per_v"], newest(hands)["waits"]) == (39820, ["kv_rpm_per_v"])
        await hands.press("escape")
        assert WAITS in hands.text and any("Whio ! waits" in row for row in hands.rows)
        figures = [row[22:] for row in hands.rows if row[3:].startswith(("1  ", "2  "))]
        assert figures == [row[22:] for row in before]  # in no figure
        await hands.press("1")
        assert WAITS in hands.text and any(row[3:].startswith("Whio !") for row in hands.rows)
        await hands.press("2")
        assert WAITS in hands.text and "! waits: KV" in hands.text and "39820 rpm/V" in hands.text
        await hands.press("q")
        assert any(row.startswith(" ▸ KV") for row in hands.rows) and "F4 puts 3982. Enter keeps 39820" in hands.text
        assert "Enter keep " in hands.rows[-1]
        await hands.press("f4")
        assert "3982 put in place of 39820. Enter saves." in hands.text and "Enter save " in hands.rows[-1]
        await hands.press("enter")
        assert "Runs" in hands.rows[0] and "waits" not in hands.text and "waits" not in newest(hands)
        assert newest(hands)["kv_rpm_per_v"] == 3982
        await hands.press("u")
        assert WAITS in hands.text and newest(hands)["waits"] == ["kv_rpm_per_v"]


async def test_rankings_says_each_thing_on_a_line_of_its_own_where_that_takes_no_more_of_them(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("39820")
        await hands.press("f2", "escape", "3")
        begins = [row.strip()[:5] for row in hands.rows[2:7]]
        assert begins[:3] == ["Best ", "1 num", "Next:"], begins


async def test_enter_on_it_says_that_it_is_right(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("39820")
        await hands.press("f2", "escape", "q", "enter")
        assert newest(hands)["kept"] == ["kv_rpm_per_v"] and "waits" not in newest(hands)
        assert "for your answer" not in hands.text
        await hands.press("q")
        assert "No number waits for an answer." in hands.text


async def test_keys_that_come_all_at_once_do_the_same(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.pilot.press("a", *"39820", "f2", "escape", "2", "q", "f4", "enter", "1")
        await hands.settle()
        assert newest(hands)["kv_rpm_per_v"] == 3982 and "waits" not in newest(hands)
        await hands.pilot.press("a", *"39820", "enter", *"4.1", "f2", "escape", "q")
        await hands.settle()
        assert newest(hands)["kept"] == ["kv_rpm_per_v"] and "No number waits" in hands.text


async def test_a_pasted_line_answers_for_nothing(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        hands.app.screen.body.input.post_message(Paste("39820 41.0"))
        await hands.settle()
        await hands.press("tab")
        assert "It waits for your answer: Enter on it keeps" in hands.text
        await hands.press("f2")
        assert newest(hands)["waits"] == ["kv_rpm_per_v", "no_load_current_a"]
        await hands.press("escape", "q", "enter")  # one of the two is right
        assert newest(hands)["waits"] == ["kv_rpm_per_v", "no_load_current_a"]
        assert any(row.startswith(" ▸ no-load current") for row in hands.rows)
        await hands.press("f4", "enter")
        assert newest(hands)["kept"] == ["kv_rpm_per_v"] and newest(hands)["no_load_current_a"] == 4.1


async def test_left_with_escape_it_waits_on(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("39820")
        await hands.press("f2", "escape", "q", "escape")
        assert newest(hands)["waits"] == ["kv_rpm_per_v"] and WAITS in hands.text
        await hands.press("2", "enter", *["down"] * 11)
        await hands.type("windy")
        await hands.press("f2")
        assert newest(hands)["waits"] == ["kv_rpm_per_v"] and newest(hands)["note"] == "windy"


async def test_of_a_track_run_and_of_its_car(at_the_keys, raced):
    path, run_id = raced
    async with at_the_keys(path) as hands:
        await hands.press("2", "e", *["down"] * 5)
        await hands.type("165")
        await hands.press("f6", "down", "down", "down", "down")
        await hands.type("93")
        await hands.press("f2", "f2")
        assert sorted(hands.book.row("track_run", run_id)["waits"]) == ["finish_reading_c", "pinion"]
        assert hands.text.count("2 numbers wait for your answer: q asks.") == 2  # over the list and in what was saved
        await hands.press("q", "f4", "enter", "enter")
        run = hands.book.row("track_run", run_id)
        assert (run["finish_reading_c"], run["pinion"], run["kept"]) == (73.9, 93, ["pinion"]) and "waits" not in run


@pytest.mark.parametrize(("key", "left"), [("k", (165, ["temp_c"])), ("p", (73.9, None)), ("d", None)])
async def test_a_reading_has_no_form_and_is_asked_about(at_the_keys, raced, key, left):
    path, run_id = raced
    with open_for_writing(path) as book:
        book.save("a reading", [Cooling(track_run_id=run_id, after_s=300, temp_c=165, waits=("temp_c",))])
    async with at_the_keys(path) as hands:
        assert WAITS in hands.text
        await hands.press("q")
        assert "Lapwing, track run: 165.0 °C read 300 s after the finish." in hands.text
        await hands.press(key)
        assert WAITS not in hands.text
        found = [(row["temp_c"], row.get("kept")) for row in hands.book.rows("cooling")]
        assert found == ([left] if left else [])


async def test_a_motor_s_own_winding(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("down", "e")
        while not any(row.startswith(" ▸ resistance") for row in hands.rows):
            await hands.press("down")
        await hands.type("1150")
        assert "F4 puts" in hands.text
        await hands.press("f2")
        assert WAITS in hands.text
        await hands.press("q")
        assert any(row.startswith(" ▸ resistance") for row in hands.rows)
        await hands.press("enter")
        whio = next(row for row in hands.book.rows("motor") if row["name"] == "Whio")
        assert whio["kept"] == ["resistance_mohm"] and "for your answer" not in hands.text


async def test_q_asks_for_the_newest_number_and_of_a_marked_run_for_its_reading(at_the_keys, raced):
    path, run_id = raced
    with open_for_writing(path) as book:
        book.save("a reading", [Cooling(track_run_id=run_id, after_s=300, temp_c=165, waits=("temp_c",))])
    async with at_the_keys(path) as hands:
        await hands.press("a")
        await hands.type("39820")
        await hands.press("f2", "escape", "6", "q")
        assert "Edit bench run" in hands.rows[0]
        await hands.press("escape", "2", "down")
        assert "2 numbers wait" in hands.text and "Lapwing" in next(row for row in hands.rows if row[:2] == " ▸")
        await hands.press("q")
        assert "165.0 °C read 300 s after the finish" in hands.text

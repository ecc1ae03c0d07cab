"""Hands that are faster than the screen: keys that arrive in one burst, and pasted text."""

from asyncio import get_running_loop, sleep
from threading import Event
from time import monotonic

from textual import events

from pitbench.app import keys
from pitbench.app.answers import Answers
from pitbench.app.app import PitbenchApp
from pitbench.app.forms.bench_form import BenchForm
from pitbench.app.widgets.line_list import LineList
from pitbench.bootstrap import open_for_app
from tests.flows.conftest import NOW

NAMED = ("enter", "escape", "f2", "f3", "f5", "f6", "down", "end")


def post(hands, *parts):
    """All keys at once, as a terminal hands them over after a moment of work."""
    for part in parts:
        for key in [part] if part in NAMED else part:
            character = None if key in NAMED else key
            hands.app.post_message(events.Key(key, character))


async def burst(hands, *parts):
    post(hands, *parts)
    await hands.settle()


async def test_digits_typed_ahead_land_in_their_own_fields(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await burst(hands, "3947", "enter", "4,12", "enter", "31", "enter", "42.1", "enter", "42.4")
        await hands.press("f2")
        run = max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])
        names = ("kv_rpm_per_v", "no_load_current_a", "motor_temp_c", "timing_deg", "timing_a_deg")
        assert [run[name] for name in names] == [3947, 4.12, 31, 42.1, 42.4]


async def test_one_pasted_number_stands_once(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        hands.app.post_message(events.Paste("3947"))
        await hands.settle()
        await hands.press("f2")
        assert max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])["kv_rpm_per_v"] == 3947


async def test_digits_typed_right_behind_the_key_that_opens_the_form_are_not_lost(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await burst(hands, "a", "3947", "enter", "4,12", "enter")
        await hands.press("f2")
        run = max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])
        assert (run["kv_rpm_per_v"], run["no_load_current_a"]) == (3947, 4.12)


async def test_enter_behind_f2_waits_for_the_save_and_begins_the_same_again(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await burst(hands, "3947", "enter", "4.12", "f2", "enter", "3951", "enter", "4.15", "f2")
        runs = [(run["kv_rpm_per_v"], run["no_load_current_a"]) for run in hands.book.rows("bench_run")]
        assert runs[-2:] == [(3947, 4.12), (3951, 4.15)]
        assert "Enter same again, Esc done" in hands.text


async def test_a_whole_run_typed_behind_the_key_that_opens_its_form_is_saved(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await burst(hands, "a", "3947", "enter", "4.12", "f2")
        run = hands.book.rows("bench_run")[-1]
        assert (run["kv_rpm_per_v"], run["no_load_current_a"]) == (3947, 4.12)


async def test_keys_behind_the_save_of_a_track_run_go_to_the_list(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("t", "enter", "enter")
        await burst(hands, "22/5:03.4", "f2", "2")
        assert [run["laps"] for run in hands.book.rows("track_run")] == [22]
        assert "▸2 Runs" in hands.rows[0]


async def test_enters_behind_the_last_field_save_once(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("m")
        await burst(hands, "Plover", "f2", "enter", "enter")
        assert [motor["name"] for motor in hands.book.rows("motor")].count("Plover") == 1
        assert len(hands.app.screen_stack) <= 2


async def test_digits_behind_the_key_of_the_conditions_land_there(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await burst(hands, "3947", "f6", "Lapwing", "f2", "enter", "4.12", "f2")
        run = hands.book.rows("bench_run")[-1]
        assert (run["kv_rpm_per_v"], run["no_load_current_a"]) == (3947, 4.12)
        assert hands.book.row("motor", run["motor_id"])["name"] == "Lapwing"


async def test_lines_of_figures_are_a_run_each_in_one_burst(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await burst(hands, "a", *("f5", "3897 4,21", "enter", "f3") * 2, "f5", "3902 4,19", "enter", "f2")
        runs = [(run["kv_rpm_per_v"], run["no_load_current_a"]) for run in hands.book.rows("bench_run")]
        assert runs[4:] == [(3897, 4.21), (3897, 4.21), (3902, 4.19)]


async def test_enters_behind_a_line_of_figures_go_on_in_the_form(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await burst(hands, "a", "f5", "3897 4,21", "enter", "enter")
        assert isinstance(hands.app.screen, BenchForm) and "3897" in hands.text and "4,21" in hands.text


async def test_a_key_typed_ahead_means_the_line_of_the_ranking_that_is_still_worked_out(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.answers = Answers(hands.app)  # the ranking is not known any more
        await burst(hands, "3", "down", "b")
        assert isinstance(hands.app.screen, BenchForm)
        motor = hands.app.screen.values["motor"]
        await hands.press("escape")
        assert hands.rows[hands.app.screen.query_one(LineList).region.y + 1].split()[::2][:2] == ["▸", motor]


async def test_the_mark_of_motors_stays_when_the_ranking_comes(at_the_keys, two_motors):
    """Whio leads; the list is by name, before and after."""
    async with at_the_keys(two_motors) as hands:
        assert "is not settled: Whio" in hands.text and any(row.startswith(" ▸ Lapwing") for row in hands.rows)


async def test_leaving_passes_keys_that_wait_for_the_logbook(two_motors):
    go = Event()

    def opened(accept_hand_edit):
        go.wait(10)
        return open_for_app(two_motors, accept_hand_edit)

    app = PitbenchApp(opened, "logbook.json", clock=lambda: NOW)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("b", "3", "ctrl+q")
            assert not app.is_running or app._exit
    finally:
        go.set()


async def test_a_screen_that_never_comes_to_rest_holds_no_key_for_ever(at_the_keys, two_motors, monkeypatch):
    monkeypatch.setattr(keys, "AT_MOST_S", 0.2)
    async with at_the_keys(two_motors) as hands:
        loop, spins = get_running_loop(), True

        def spin():
            if spins:
                loop.call_soon(spin)

        spin()
        post(hands, "2", "4")
        for idle in (False, True):
            end = monotonic() + 30
            while hands.app.keys.idle is not idle and monotonic() < end:
                await sleep(0)
            assert hands.app.keys.idle is idle
        spins = False

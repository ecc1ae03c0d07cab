"""Hands that are faster than the screen: keys that arrive in one burst, and pasted text."""

from textual import events

NAMED = ("enter", "f2", "f6")


async def burst(hands, *parts):
    """All keys at once, as a terminal hands them over after a moment of work."""
    for part in parts:
        for key in [part] if part in NAMED else part:
            character = None if key in NAMED else key
            hands.app.post_message(events.Key(key, character))
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

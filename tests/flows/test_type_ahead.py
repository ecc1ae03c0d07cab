"""Hands that are faster than the screen: keys that arrive in one burst, and pasted text."""

from textual import events


async def burst(hands, *parts):
    """All keys at once, as a terminal hands them over after a moment of work."""
    for part in parts:
        for key in [part] if part == "enter" else part:
            character = None if part == "enter" else key
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

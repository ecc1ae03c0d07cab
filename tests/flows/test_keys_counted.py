"""Keys counted: what is done often takes few."""

import pytest


def newest(hands, kind):
    return max(hands.book.rows(kind), key=lambda row: row.get("taken_at") or row["edited_at"])


async def test_a_winding_reading_alone_takes_two_keys_and_its_digits(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.pressed = 0
        await hands.press("R")
        await hands.type("11.6")
        await hands.press("f2")
        assert hands.pressed == 2 + len("11.6")
        run = newest(hands, "bench_run")
        assert run["resistance_mohm"] == 11.6
        assert "kv_rpm_per_v" not in run


async def test_by_enter_alone_a_winding_reading_takes_four_keys_and_its_digits(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.pressed = 0
        await hands.press("R")
        await hands.enter("11.6", "22", "")
        assert hands.pressed == 4 + len("11.6") + len("22")
        assert newest(hands, "bench_run")["resistance_temp_c"] == 22


async def test_a_hidden_resistance_is_asked_for_all_the_same(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        book = hands.book
        book.save_settings("hidden", book.settings().with_(hidden_fields=("resistance_mohm", "resistance_temp_c")))
        await hands.press("R")
        await hands.type("11.9")
        await hands.press("f2")
        assert newest(hands, "bench_run")["resistance_mohm"] == 11.9


async def test_a_new_event_takes_four_keys_and_its_text(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.pressed = 0
        await hands.press("E")
        await hands.enter("Oyster Dock", "")
        await hands.type("clay oval")
        await hands.press("f2")
        assert hands.pressed == 4 + len("Oyster Dock") + len("clay oval")
        event = newest(hands, "event")
        assert (event["name"], event["track"], event["date"]) == ("Oyster Dock", "clay oval", "2026-05-17")


@pytest.mark.parametrize("save", ["f2", "f3"])
async def test_the_next_motor_takes_over_turns_poles_and_class(at_the_keys, empty, save):
    async with at_the_keys(empty) as hands:
        await hands.press("m")
        await hands.enter("Lapwing", "club 13.5T", "13.5", "2")
        await hands.press(save)
        if save == "f2":
            await hands.press("m")
        hands.pressed = 0
        await hands.type("Plover")
        await hands.press("f2")
        assert hands.pressed == len("Plover") + 1
        first, second = sorted(hands.book.rows("motor"), key=lambda row: row["name"])
        for name in ("class_id", "turns", "poles"):
            assert second[name] == first[name]


async def test_a_field_that_enter_passes_over_says_why(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        assert "winding at · no resistance" in hands.text
        await hands.press("escape")
        await hands.press("t")
        assert "read after · no reading" in hands.text

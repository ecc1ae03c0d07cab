"""Logging bench runs with keys only."""

import pytest

from pitbench.desk.entry.bench_fields import FIGURE_FIELDS
from pitbench.records.models import Motor

FIGURES = ("3953", "4,10", "31", "42.1", "42.4", "41.9", "42.0", "2.1")


def newest(hands):
    return max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])


async def test_a_repeat_run_of_eight_figures_takes_twelve_keys_more_than_its_numbers(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.pressed = 0
        await hands.press("a")
        await hands.enter(*FIGURES)
        await hands.press("enter")  # Hall level spread
        await hands.press("enter")  # resistance, whose temperature is then passed over
        await hands.press("enter")  # note: the last Enter saves
        assert hands.pressed == sum(map(len, FIGURES)) + 12
        run = newest(hands)
        stored = [run[name] for name in ("kv_rpm_per_v", "no_load_current_a", "motor_temp_c", "timing_deg")]
        assert stored == [3953, 4.1, 31, 42.1]
        assert (run["test_voltage_v"], run["tester"], run["taken_at"]) == (3.7, "bench box", "2026-05-17T14:02")
        assert "Saved 14:02: bench run of Whio." in hands.text and "Enter same again, Esc done" in hands.text


async def test_saving_early_with_f2_takes_fewer_keys(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.pressed = 0
        await hands.press("a")
        await hands.enter(*FIGURES[:-1])
        await hands.type(FIGURES[-1])
        await hands.press("f2")
        assert hands.pressed == sum(map(len, FIGURES)) + 9
        assert newest(hands)["pole_imbalance_pct"] == 2.1


async def test_the_key_for_one_line_stands_in_the_footer_where_there_is_room(at_the_keys, two_motors):
    for width, stands in ((100, True), (80, False)):
        async with at_the_keys(two_motors, size=(width, 24)) as hands:
            await hands.press("a")
            assert ("F5 one line" in hands.rows[-1]) == stands and "Esc " in hands.rows[-1], hands.rows[-1]


async def test_enter_after_the_save_is_the_same_again(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("3953")
        await hands.press("f2", "enter")
        await hands.type("3955")
        await hands.press("f3")
        assert [row["kv_rpm_per_v"] for row in hands.book.rows("bench_run")][-2:] == [3953, 3955]
        assert {row["place"] for row in hands.book.rows("bench_run") if "place" in row} == {1}
        await hands.press("escape")
        await hands.press("down")
        assert next(row for row in hands.rows if row.startswith(" ▸ Whio")).split()[-3:] == ["4", "·", "14:02"]


async def test_the_same_again_after_an_edit_is_a_new_run_and_says_so(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "enter")
        assert "Edit bench run" in hands.rows[0] and "Esc leaves it as it was" in hands.rows[0]
        await hands.press("f3")
        assert "New bench run" in hands.rows[0] and "Esc keeps the draft" in hands.rows[0]
        await hands.type("3961")
        await hands.press("f2")
        assert "Enter same again, Esc done" in hands.text
        assert [row["kv_rpm_per_v"] for row in hands.book.rows("bench_run")].count(3961) == 1
        assert len(hands.book.rows("bench_run")) == 5


async def test_the_side_says_what_the_figures_come_to(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.enter(*FIGURES)
        # KV(25) = 3953·exp(−0.0007·6) = 3936; 3953 / 4.1 = 964; 3.7·4.1 = 15.2 W; (42.4 + 41.9 + 42.0)/3 = 42.1
        for words in ("KV at 25 °C 3936", "speed per amp 964", "idle power 15.2 W", "mean timing 42.1"):
            assert words in hands.text
        assert "WHIO'S 2 EARLIER RUNS, nine in ten" in hands.text


async def test_an_unlikely_number_is_marked_explained_and_kept(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.enter("39820")
        assert "! KV" in hands.text and "1000 to 12000 rpm/V is usual" in hands.text
        assert "F4 puts 3982" in hands.text and "keeps 39820 as typed" in hands.text
        await hands.press("f2")
        run = newest(hands)
        assert run["kv_rpm_per_v"] == 39820 and run["kept"] == ["kv_rpm_per_v"]
        await hands.press("escape", "2")
        assert "! kept: KV" in hands.text


async def test_f4_puts_the_suggested_number(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.enter("39820")
        await hands.press("f4", "f2")
        assert newest(hands)["kv_rpm_per_v"] == 3982 and "kept" not in newest(hands)


async def test_an_impossible_number_is_not_saved_and_the_field_is_shown(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        before = len(hands.book.rows("bench_run"))
        await hands.press("a")
        await hands.enter("398200", "-4")
        await hands.press("f2")
        assert "KV 398200 is not possible, 100 to 100000 rpm/V would be." in hands.text
        assert len(hands.book.rows("bench_run")) == before
        assert any(row.startswith(" ▸ KV") for row in hands.rows)


async def test_a_half_filled_form_is_kept_and_offered(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941")
        await hands.press("escape", "b")
        assert "half-filled bench run of Lapwing was kept" in hands.text or "half-filled" in hands.text
        await hands.press("b")
        assert "3941" in hands.text


async def test_starting_afresh_keeps_the_draft_until_something_is_typed(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941")
        await hands.press("escape", "b")
        assert "start afresh; what is typed then takes its place" in hands.text
        await hands.press("n")
        assert "3941" not in hands.text
        await hands.press("escape", "b", "b")
        assert "3941" in hands.text
        await hands.press("escape", "b", "n")
        await hands.enter("3950")
        await hands.press("escape", "b", "b")
        assert "3950" in hands.text and "3941" not in hands.text


async def test_what_was_typed_and_wiped_out_again_is_no_draft(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941")
        await hands.press("up", "ctrl+u", "escape")
        assert hands.book.draft() is None


async def test_the_field_being_typed_is_kept_with_the_others(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3115", "2.22")
        await hands.press("escape", "b", "b", "up", "up")
        await hands.enter("3111")
        await hands.type("2.123")
        texts = hands.book.draft()["bench_run"]["texts"]
        assert (texts["kv_rpm_per_v"], texts["no_load_current_a"]) == ("3111", "2.123")


async def test_a_draft_goes_on_in_its_first_empty_field(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941", "4.05")
        await hands.press("escape", "b", "b")
        assert any(row.startswith(" ▸ motor temperature") for row in hands.rows)
        await hands.type("31")
        await hands.press("f2")
        assert (newest(hands)["kv_rpm_per_v"], newest(hands)["motor_temp_c"]) == (3941, 31)


async def test_a_temperature_typed_in_fahrenheit_is_shown_with_the_places_it_has(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6")
        at = next(i for i, field in enumerate(hands.app.screen.fields) if field.name == "ambient_c")
        hands.app.screen.moves.to(at)
        await hands.type("71F")
        await hands.press("f2")
        assert "ambient 21.7 °C" in hands.rows[3]
        await hands.type("3950")
        await hands.press("f3")
        assert "ambient 21.7 °C" in hands.rows[3]
        await hands.type("3951")
        await hands.press("f2")
        # (71 - 32)·5/9 = 21.6667 °C: taken over as it was stored
        assert [run["ambient_c"] for run in hands.book.rows("bench_run")][-2:] == pytest.approx([195 / 9] * 2)


async def test_a_long_name_does_not_push_a_title_off_the_screen(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        motor = next(row for row in hands.book.rows("motor") if row["name"] == "Whio")
        hands.book.save("a name", [Motor.of({**motor, "name": "Great crested grebe"})])
        await hands.press("a")
        title = next(row for row in hands.rows if "RUNS" in row)
        assert title[39:].strip() == "2 EARLIER RUNS, nine in ten"


async def test_a_refusal_is_said_once(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("398200")
        await hands.press("f2")
        assert hands.text.count("KV 398200 is not possible") == 1 and "! Not saved." in hands.text


async def test_the_title_says_what_esc_does_with_a_run_that_is_stored(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("3953")
        assert "Esc keeps the draft" in hands.rows[0]
        await hands.press("f2")
        assert "Esc leaves it as it was" in hands.rows[0]
        await hands.type("3954")
        await hands.press("escape")
        assert "drop what was typed; the run stays as it was" in hands.text
        await hands.press("y")
        assert newest(hands)["kv_rpm_per_v"] == 3953 and hands.book.draft() is None


async def test_the_draft_outlives_the_app(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941")
    async with at_the_keys(two_motors) as hands:
        await hands.press("b", "b")
        assert "3941" in hands.text


async def test_conditions_are_changed_and_carried_on(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6")
        field = hands.app.screen.body.input
        assert field.value == "Whio"
        await hands.press("ctrl+u")
        await hands.enter("lapwing")
        await hands.press("f2")
        assert "Lapwing" in hands.rows[2]
        await hands.type("3960")
        await hands.press("f2")
        assert newest(hands)["motor_id"] == next(m["id"] for m in hands.book.rows("motor") if m["name"] == "Lapwing")


async def test_conditions_name_the_motor_that_was_meant(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6", "ctrl+u")
        await hands.type("Lapwign")
        assert "is no motor of yours, Lapwing would be" in hands.text
        await hands.press("f2")
        assert "Conditions of this bench run" in hands.text  # not taken


async def test_a_date_two_days_ahead_is_refused_naming_this_computers_clock(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6", "enter", "ctrl+u")
        await hands.type("2026-05-19 15:00")
        assert "this computer's clock, which says 2026-05-17 14:02" in hands.text


async def test_a_pasted_line_fills_the_fields(at_the_keys, two_motors):
    from textual.events import Paste

    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        hands.app.screen.body.input.post_message(Paste("3953 4,10 31 42.1 42.4 41.9 42.0 2.1"))
        await hands.settle()
        assert "8 fields filled from one line." in hands.text
        await hands.press("f2")
        assert newest(hands)["pole_imbalance_pct"] == 2.1


async def test_a_typed_line_fills_the_fields_and_a_dash_skips_one(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f5")
        await hands.enter("3953 - 31")
        await hands.press("f2")
        run = newest(hands)
        assert run["kv_rpm_per_v"] == 3953 and run["motor_temp_c"] == 31 and "no_load_current_a" not in run


async def test_its_caution_stays_and_the_long_text_folds_away(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        assert "Sleeves and hair" in hands.text
        await hands.press("f7")
        assert "Sleeves and hair" not in hands.text
        assert hands.kept[-1]["bench_run_caution_read"] is True
        assert "Motor spins: pinion off, clamped, eyes covered" in hands.text


async def test_editing_a_run_changes_only_what_was_typed(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "e")
        before = newest(hands)
        await hands.press("enter", "ctrl+u")
        await hands.type("4.05")
        await hands.press("f2")
        after = hands.book.row("bench_run", before["id"])
        changed = {name for name in before.keys() | after.keys() if before.get(name) != after.get(name)}
        assert changed == {"no_load_current_a", "edited_at"} and after["no_load_current_a"] == 4.05


async def test_a_field_is_hidden_moved_and_shown_again(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b", "enter")
        assert any(row.startswith(" ▸ no-load current") for row in hands.rows)
        await hands.press("f9", "m", "up", "enter")
        names = [field.name for field in hands.app.screen.fields]
        assert names[:2] == ["no_load_current_a", "kv_rpm_per_v"]
        assert any(row.startswith(" ▸ no-load current") for row in hands.rows)  # the input goes along
        await hands.type("4.1")
        await hands.press("down", "down", "down", "f9", "h")
        assert "timing as stated is asked for no more" in hands.text
        await hands.press("f2")
        assert newest(hands)["no_load_current_a"] == 4.1
        await hands.press("escape", "b")
        names = [field.name for field in hands.app.screen.fields]
        assert names[:4] == ["no_load_current_a", "kv_rpm_per_v", "motor_temp_c", "timing_a_deg"]
        await hands.press("f9", "m", "down", "escape")
        assert [field.name for field in hands.app.screen.fields] == names
        await hands.press("f9", "s")
        assert [field.name for field in hands.app.screen.fields][:4] == [*FIGURE_FIELDS[:4]]


async def test_what_is_typed_in_a_field_that_is_hidden_stays_in_sight(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.type("3953")
        await hands.press("f9", "h")
        assert any("KV" in row and "3953" in row for row in hands.rows)
        await hands.press("f2")
        assert newest(hands)["kv_rpm_per_v"] == 3953

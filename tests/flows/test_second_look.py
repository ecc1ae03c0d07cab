"""What somebody in a hurry stumbled over once: each of these went wrong and must not again."""

import shutil

import pytest
from textual import events

from pitbench.app import saying
from pitbench.app.answers import Answers
from pitbench.app.dialogs.choose import Choose
from pitbench.bootstrap import open_for_writing
from pitbench.demo import demo_logbook
from pitbench.records.models import TrackRun


async def burst(hands, *parts):
    """All keys at once, as a fast typist or a slow machine gives them: nothing is waited for in between."""
    for part in parts:
        for key in (part,) if part in ("enter", "tab") else part:
            hands.app.post_message(events.Key(key, "\r" if key == "enter" else key))
    await hands.settle()


async def test_the_ranking_that_came_while_another_screen_was_shown_stands_on_motors(at_the_keys, tmp_path):
    path = shutil.copy(demo_logbook(), tmp_path / "logbook.json")
    async with at_the_keys(path) as hands:
        hands.app.answers = Answers(hands.app)
        hands.app.screen.ask()
        assert "Whio 41" not in hands.text
        await hands.pilot.press("2")
        await hands.settle()
        await hands.press("1")
        assert "Club 13.5T is not settled: Whio " in hands.text


async def test_esc_takes_the_filter_line_away_with_its_words(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "slash")
        await hands.type("whio")
        await hands.press("escape")
        assert "4 runs, newest first." in hands.text
        assert not hands.app.screen.query_one("#filter-line").display


async def test_a_message_leaves_a_full_list_on_the_screen(at_the_keys, tmp_path):
    path = shutil.copy(demo_logbook(), tmp_path / "logbook.json")
    async with at_the_keys(path) as hands:
        await hands.press("2", "d")
        assert hands.rows[22].startswith(" Saved") and "u takes it back" in hands.rows[22]
        assert "leave out" in hands.rows[23]
        assert not hands.app.screen.show_vertical_scrollbar
        await hands.press("z")
        assert not hands.app.screen.show_vertical_scrollbar


async def test_a_message_goes_after_a_while_and_gives_its_line_back(at_the_keys, two_motors, monkeypatch):
    monkeypatch.setattr(saying, "STAYS_S", 0.05)
    async with at_the_keys(two_motors) as hands:
        await hands.press("2")
        before = hands.rows
        hands.app.say("Read by now.")
        assert "Read by now." in hands.app.say.said
        await hands.until(lambda: not hands.app.say.said[0])
        await hands.settle()
        assert hands.rows == before


async def test_a_message_whose_time_comes_as_the_app_ends_goes_silently(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        hands.app.say("Told at the end.")
    hands.app.say._hush()
    assert hands.app.say.said[0] == ""


async def test_the_first_motor_brings_the_footer_of_the_list(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.press("m")
        await hands.enter("Lapwing")
        await hands.press("f2")
        assert "Saved 14:02: motor Lapwing." in hands.rows[22]
        assert "a same again" in hands.rows[23] and "Enter open" in hands.rows[23]


async def test_a_footer_shows_whole_entries_only(at_the_keys, two_motors):
    async with at_the_keys(two_motors, size=(60, 20)) as hands:
        assert hands.rows[-1].rstrip().endswith("Enter open")
        await hands.press("3", "w")
        assert hands.rows[-1].rstrip().endswith("Esc leave")


async def test_a_question_is_answered_with_arrows_and_enter_too(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "g", "down", "enter")
        assert hands.book.rows("class_sheet")[0]["gearing_limit"] == "rules"
        await hands.press("g", "up", "escape")
        assert hands.book.rows("class_sheet")[0]["gearing_limit"] == "rules"


async def test_esc_on_the_question_about_a_draft_leaves_the_draft_for_later(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3951")
        await hands.press("escape", "b")
        assert isinstance(hands.app.screen, Choose)
        await hands.press("escape")
        assert "▸1 Motors" in hands.rows[0] and hands.book.draft()
        await hands.press("b", "enter")
        assert "3951" in hands.text and "New bench run" in hands.rows[0]


async def test_figures_typed_ahead_do_not_run_into_a_kept_draft(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3951", "4,05")
        await hands.press("escape")
        kept = hands.book.draft()
        await burst(hands, "b", "3977", "enter", "4,44", "enter")
        assert isinstance(hands.app.screen, Choose) and hands.book.draft() == kept
        await hands.press("b")
        assert "3951" in hands.text and "3977" not in hands.text


async def test_a_run_of_another_motor_asks_about_the_kept_draft_before_it_takes_its_place(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3951")
        await hands.press("escape", "down")
        for key in ("b", "a"):
            await hands.press(key)
            assert "half-filled bench run of" in hands.text
            await hands.press("escape")
        assert hands.book.draft()
        await hands.press("b", "n")
        assert "3951" not in hands.text and hands.book.draft()


async def test_tab_goes_on_in_a_form(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("3951")
        await hands.press("tab")
        await hands.type("4,05")
        await hands.press("f2")
        run = max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])
        assert (run["kv_rpm_per_v"], run["no_load_current_a"]) == (3951, 4.05)


async def test_a_bench_run_without_any_motor_says_what_comes_first(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        for key in ("b", "a"):
            await hands.press(key)
            assert "A bench run needs a motor: m writes one down." in hands.text
            assert "▸1 Motors" in hands.rows[0]


async def test_hints_in_a_form_say_only_what_its_keys_do(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "e")
        assert "Edit bench run" in hands.rows[0] and "Esc leaves it as it was" in hands.rows[0]
        assert hands.rows[2].rstrip().endswith("2026-05-10 18:15")
        await hands.type("3966")
        await hands.press("f3")
        assert "New bench run" in hands.rows[0] and "Esc keeps the draft" in hands.rows[0]
        assert "Saved 14:02" in hands.rows[22] and "u takes it back" not in hands.text


async def test_what_was_said_goes_when_something_else_is_typed(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f2")
        assert "Nothing was typed here, so nothing was saved." in hands.text
        hands.app.screen.moves.to(len(hands.app.screen.fields) - 1)
        await hands.type("oiled")
        await hands.press("f2")
        assert "A bench run needs at least one figure" in hands.text
        await hands.type("39")
        assert "A bench run needs at least one figure" not in hands.text


async def test_one_number_is_one_field_filled(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f5")
        await hands.enter("3950")
        assert "1 field filled from one line." in hands.text


async def test_several_classes_say_how_to_get_to_the_next(at_the_keys, two_motors, tmp_path):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        assert "Tab card" in hands.rows[23]
        await hands.press("tab")
        assert "Tab bench, track" in hands.rows[23]
        await hands.press("tab")
        assert "Tab rankings" in hands.rows[23]
    path = shutil.copy(demo_logbook(), tmp_path / "weekend.json")
    async with at_the_keys(path) as hands:
        await hands.press("3")
        await hands.press("tab")
        assert "Tab next class" in hands.rows[23]
        await hands.press("tab")
        assert "REDSHANK" in hands.text


async def test_sentences_about_a_number_are_folded_beside_their_mark(at_the_keys, two_motors):
    async with at_the_keys(two_motors, size=(60, 24)) as hands:
        await hands.press("a")
        await hands.enter("39820")
        at = next(i for i, row in enumerate(hands.rows) if row.startswith(" ! KV 39820"))
        assert hands.rows[at + 1].startswith("   ") and hands.rows[at + 1].strip()


async def test_esc_in_a_motor_form_asks_before_it_drops_what_was_typed(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("m", "escape")
        assert "▸1 Motors" in hands.rows[0]  # nothing typed, nothing asked
        await hands.press("m")
        await hands.type("Plover")
        await hands.press("escape")
        assert "This form is not saved." in hands.text
        await hands.press("escape", "f2")
        assert "Plover" in {motor["name"] for motor in hands.book.rows("motor")}
        await hands.press("m")
        await hands.type("Siskin")
        await hands.press("escape", "y")
        assert "▸1 Motors" in hands.rows[0] and len(hands.book.rows("motor")) == 3


async def test_the_marked_run_is_shown_in_full(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "x")
        await hands.enter("a lead slipped off while it was spinning")
        assert "! out: a lead slipped off while it was spinning." in hands.text
        assert "bench box mark 35°" in hands.text


async def test_the_very_first_run_asks_for_its_conditions(at_the_keys, empty):
    async with at_the_keys(empty) as hands:
        await hands.press("m")
        await hands.type("Lapwing")
        await hands.press("f2", "b")
        assert "Conditions of this bench run" in hands.rows[0]
        await hands.press("f2")
        assert "New bench run" in hands.rows[0]


async def test_a_ranking_that_fails_is_said_and_ends_nothing(at_the_keys, two_motors, monkeypatch):
    import pitbench.desk.comparing.ranking

    def broken(*asked, **more):
        raise ZeroDivisionError("figures")

    async with at_the_keys(two_motors) as hands:
        monkeypatch.setattr(pitbench.desk.comparing.ranking, "compare", broken)
        await hands.press("2", "d", "3")
        assert "No ranking: ZeroDivisionError" in hands.text
        await hands.press("1")
        assert "▸1 Motors" in hands.rows[0]


async def test_what_changes_nothing_is_not_said_to_be_saved(at_the_keys, two_motors):
    """Else `u` is offered, and takes back something else."""
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "g", "3")
        assert "Saved 14:02: club 13.5T: the rules cap gearing." in hands.text
        await hands.press("g", "3")
        assert "It stood so already, nothing was saved: club 13.5T: the rules cap" in hands.text
        assert "takes it back" not in hands.text


@pytest.mark.parametrize("keys", [("slash",), ("z",), ("enter", "enter"), ("d",), ("3", "b")])
async def test_keys_that_lead_to_runs_work_first_thing(at_the_keys, two_motors, keys):
    async with at_the_keys(two_motors) as hands:
        await hands.press(*keys)
        assert hands.app.is_running and hands.app.return_code is None
        if keys in {("slash",), ("z",), ("enter", "enter")}:
            assert "▸2 Runs" in hands.rows[0]


async def test_a_digit_corrected_after_saving_corrects_that_run(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "enter")
        await hands.type("4.1")
        await hands.press("f2")
        await hands.type("2")
        await hands.press("f2")
        assert [r["no_load_current_a"] for r in hands.book.rows("bench_run")][4:] == [4.12]
        await hands.press("enter")
        await hands.press("escape")
        assert hands.book.draft() is None


async def test_editing_a_run_leaves_the_draft_of_another_alone(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("b")
        await hands.enter("3941")
        await hands.press("escape", "2", "e")
        await hands.type("1")
        await hands.press("f2")
        assert hands.book.draft() is not None


async def test_empty_cells_of_a_line_keep_the_others_in_their_fields(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f5")
        await hands.enter("3940;;31")
        await hands.press("f2")
        run = max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])
        assert run["motor_temp_c"] == 31 and "no_load_current_a" not in run


async def test_quitting_a_motor_form_keeps_what_was_typed(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("m")
        await hands.type("Plover")
        await hands.press("ctrl+q")
        assert not hands.app.is_running
    async with at_the_keys(two_motors) as hands:
        await hands.press("m")
        assert "A half-filled motor Plover was kept." in hands.text


async def test_a_settings_file_that_cannot_be_written_is_said(at_the_keys, two_motors):
    from pitbench.records.refusal import Refusal

    def refuse(hands):
        raise Refusal("hands.json cannot be written.")

    async with at_the_keys(two_motors) as hands:
        hands.app.hands.store = refuse
        hands.app.hands.keep("theme", "light")
        await hands.settle()
        assert "hands.json cannot be written." in hands.text


async def test_ctrl_q_leaves_from_a_question_too(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "g", "ctrl+q")
        assert hands.app.return_code == 0


async def test_what_is_typed_on_a_field_filled_in_replaces_it_in_every_form(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6")
        await hands.enter("Lapwing")
        assert hands.app.screen.values["motor"] == "Lapwing"
        await hands.press("escape", "y", "escape", "1", "e", "down")
        await hands.enter("club 21.5T")
        assert hands.app.screen.values["class"] == "club 21.5T"


async def test_a_note_is_added_to(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("1", "e", "up")
        hands.app.screen.moves.to(len(hands.app.screen.fields) - 1)
        await hands.type("new bearings")
        await hands.press("up", "down")
        await hands.type(", oiled")
        assert hands.app.screen.values["note"] == "new bearings, oiled"


async def test_the_bench_form_shows_conditions_as_they_were_read(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a", "f6", "down")
        await hands.type("2 min ago")
        hands.app.screen.moves.to(next(i for i, f in enumerate(hands.app.screen.fields) if f.name == "ambient_c"))
        await hands.type("86F")
        await hands.press("f2")
        assert hands.rows[2].rstrip().endswith(" 14:00")
        assert "ambient 30 °C" in hands.rows[3]


async def test_what_is_typed_on_a_bench_run_after_its_save_is_asked_about(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.type("3953")
        await hands.press("f2", "escape")
        assert "Motors" in hands.rows[0]
        await hands.press("a")
        await hands.type("3953")
        await hands.press("f2")
        await hands.type("3955")
        await hands.press("escape")
        assert "This form is not saved." in hands.text


async def test_a_figure_far_from_its_mean_is_not_cut_off(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("a")
        await hands.enter("3953", "4.1", "165")
        assert hands.rows[6].rstrip().endswith("from mean")


async def test_a_field_filled_in_shows_its_beginning(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        made = book.rows("bench_run")[0]
        ids = {"motor_id": made["motor_id"], "build_id": made["build_id"]}
        book.save("run", [TrackRun(**ids, started_at="2026-05-16T13:30", run_time_s=300)])
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "e")
        assert hands.rows[5].startswith(" ▸ time               started 2026-05-")
        await hands.type("today 13:00")
        assert hands.app.screen.values["time"] == "today 13:00"


async def test_find_pressed_on_another_screen_takes_the_words_at_once(at_the_keys, tmp_path):
    """They went to the list, where d is the bin, as long as Runs had not been shown yet."""
    path = shutil.copy(demo_logbook(), tmp_path / "logbook.json")
    async with at_the_keys(path) as hands:
        await hands.press("slash")
        await hands.type("dun")
        await hands.settle()
        assert "16 of 109 runs of Dunlin: dun" in hands.text
    async with at_the_keys(path) as hands:
        await burst(hands, "/dun")
        assert len(hands.book.rows("bench_run")) == 78 and len(hands.book.rows("track_run")) == 31


async def test_after_a_look_into_the_bin_the_runs_are_those_that_count(at_the_keys, two_motors):
    """A motor's runs were looked for in the bin, which was empty: No runs yet."""
    async with at_the_keys(two_motors) as hands:
        await hands.press("z", "1", "enter", "enter")
        assert "▸2 Runs" in hands.rows[0] and "2 of 4 runs of Lapwing" in hands.text
        await hands.press("z", "slash")
        await hands.type("lap")
        await hands.settle()
        assert "2 of 4 runs of Lapwing: lap" in hands.text

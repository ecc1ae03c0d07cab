"""Motors, Runs, Rankings and the shared keys."""

import importlib
import re
import shutil
from threading import Event

from pitbench.app.actions import ACTIONS, MOVES, keys_of
from pitbench.app.answers import Answers
from pitbench.app.themes import THEME_NAMES
from pitbench.bootstrap import open_for_writing
from pitbench.demo import demo_logbook
from pitbench.desk.comparing.ranking import compare
from pitbench.desk.workshop import Workshop
from pitbench.records.models import ClassSheet, Motor
from pitbench.words.ranking import chance_number
from tests.flows.conftest import bench_run


async def test_the_digits_go_to_the_screens_and_the_header_says_where(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        for digit, name in zip("234671", ("Runs", "Rankings", "Setup log", "Gearing", "Parts", "Motors"), strict=True):
            await hands.press(digit)
            assert f"▸{digit} {name}" in hands.rows[0]
            assert len(hands.rows) == 24


async def test_motors_say_who_leads_and_show_the_marked_one(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        assert "Club 13.5T is not settled: " in hands.text and "in 100." in hands.text
        await hands.press("down")
        assert "WHIO" in hands.text or "LAPWING" in hands.text
        await hands.press("enter")
        assert "2 bench runs on 1 day, last 10 May 18:15." in hands.text
        await hands.press("escape")
        assert "CLUB 13.5T" in hands.text


async def test_the_demo_says_on_every_screen_and_form_what_it_is(at_the_keys, two_motors):
    async with at_the_keys(two_motors, demo=True) as hands:
        assert "this copy is gone when you leave" in hands.text
        for key in ("2", "3", "tab", "4", "5", "6", "7", "1", "b"):
            await hands.press(key)
            assert hands.rows[0].startswith(" DEMO "), (key, hands.rows[0])
    async with at_the_keys(two_motors) as hands:
        assert hands.rows[0].startswith(" pitbench ") and "DEMO" not in hands.text


async def test_chances_come_into_lines_that_stand_already(at_the_keys, two_motors, monkeypatch):
    """The list is there at once; what the ranking tells moves no line of it."""
    go, real = Event(), importlib.import_module("pitbench.desk.comparing.ranking").compare

    def held(*asked, **more):
        assert go.wait(60)
        return real(*asked, **more)

    async with at_the_keys(two_motors) as hands:
        monkeypatch.setattr("pitbench.desk.comparing.ranking.compare", held)
        hands.app.answers = Answers(hands.app)
        hands.app.screen.asking.again()
        await hands.until(lambda: "chances come …" in hands.text)
        before = hands.rows
        go.set()
        await hands.settle()
        after = hands.rows
    assert "█" in " ".join(after) and "█" not in " ".join(before)
    names = [[row[:14] for row in rows[3:11]] for rows in (before, after)]
    assert names[0] == names[1] and "Lapwing" in " ".join(names[0]), (before, after)


async def test_delete_undo_redo_and_the_bin(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "d")
        assert "3 runs, newest first." in hands.text and "to the bin" in hands.text
        await hands.press("u")
        assert "4 runs, newest first." in hands.text and "Taken back: bench run of" in hands.text
        await hands.press("U")
        assert "3 runs, newest first." in hands.text
        await hands.press("z")
        assert "The bin: 1 record." in hands.text
        await hands.press("enter")
        assert "The bin is empty." in hands.text
        await hands.press("z")
        assert "4 runs, newest first." in hands.text


async def test_in_the_bin_the_mark_stands_on_what_came_last_whatever_the_runs_were_narrowed_to(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "end", "d", "home", "d", "slash")
        await hands.enter("lapwing")
        await hands.press("z")
        assert any(row.startswith(" ▸") and "Whio" in row for row in hands.rows)
        await hands.press("enter")
        assert [run["kv_rpm_per_v"] for run in hands.book.rows("bench_run")][-1] == 3953


async def test_undo_reaches_over_a_restart(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "d")
    async with at_the_keys(two_motors) as hands:
        await hands.press("u", "2")
        assert "4 runs" in hands.text


async def test_a_motor_goes_to_the_bin_with_its_runs_and_comes_back(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("d")
        assert "Motor Lapwing with 2 runs to the bin?" in hands.text
        await hands.press("escape")
        assert len(hands.book.rows("bench_run")) == 4
        await hands.press("d", "y")
        assert "1 motor," in hands.text
        assert len(hands.book.rows("bench_run")) == 2
        await hands.press("2", "z")
        kinds = [row.split() for row in hands.rows if "Lapwing" in row]
        assert "motor" in kinds[0] and "bench" in kinds[1], "what the runs belong to stands before them"
        await hands.press("1", "u")
        assert len(hands.book.rows("bench_run")) == 4


async def test_a_motor_without_runs_goes_to_the_bin_at_once(at_the_keys, empty):
    with open_for_writing(empty) as book:
        book.save("one", [Motor(name="Heron"), Motor(name="Knot")])
    async with at_the_keys(empty) as hands:
        await hands.press("d")
        assert [row["name"] for row in hands.book.rows("motor")] == ["Knot"]


async def test_an_empty_reason_leaves_nothing_out_and_says_so(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "x", "enter")
        assert "A word why is needed, nothing is left out yet. Esc leaves" in hands.text
        await hands.enter("cable slipped")
        assert [r.get("excluded_why") for r in hands.book.rows("bench_run")].count("cable slipped") == 1


async def test_all_taken_back_leads_the_way_back(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("u")
        assert "An empty logbook." in hands.text and "Taken back by mistake? U does it again." in hands.text
        await hands.press("U")
        assert "CLUB 13.5T" in hands.text and "Whio" in hands.text


async def test_a_run_is_left_out_with_a_reason_and_taken_in_again(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "x")
        await hands.enter("cable slipped")
        assert "! out: cable" in hands.text
        assert [r.get("excluded_why") for r in hands.book.rows("bench_run")].count("cable slipped") == 1
        await hands.press("x")
        assert "cable slipped" not in hands.text.replace("left out", "")


async def test_what_leaving_a_run_out_would_change_is_shown_before_it_is_done(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        first, *_, newest = sorted(book.records("bench_run"), key=lambda run: run.taken_at)
        read = ((first, 11.8), (newest, 11.7))
        book.save("windings", [run.with_(resistance_mohm=value, resistance_temp_c=20) for run, value in read])
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "x")
        assert "Whio, bench, 10 May 18:15: leave this run out of every figure. Why?" in hands.text
        run = max(hands.book.rows("bench_run"), key=lambda row: row["taken_at"])
        snapshot = hands.book.snapshot()
        before, after = (compare(snapshot, leave_out=ids).answer() for ids in ((), [run["id"]]))
        chances = [chance_number(answer.motors[0].chance_best) for answer in (after, before)]
        assert f"Without it {after.motors[0].motor} still leads: not settled, {chances[0]} in 100" in hands.text
        assert f"With it: not settled, {chances[1]} in 100" in hands.text
        await hands.press("escape")
        assert not any("excluded_why" in row for row in hands.book.rows("bench_run"))
        await hands.press("x")
        await hands.enter("lead slipped")
        assert hands.book.row("bench_run", run["id"])["excluded_why"] == "lead slipped"
        await hands.press("3")
        assert f"{chances[0]} in 100 to be the best" in hands.text
        await hands.press("2", "x", "3")
        assert f"{chances[1]} in 100 to be the best" in hands.text


async def test_the_filter_narrows_while_typing_and_esc_clears_it(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "slash")
        await hands.type("lap")
        await hands.settle()
        assert "2 of 4 runs of Lapwing: lap" in hands.text
        await hands.type(" 18:10")
        await hands.settle()
        assert "1 of 4 runs" in hands.text
        await hands.press("enter")
        assert any(row.startswith(" ▸ 10 May 18:10") for row in hands.rows)
        await hands.press("escape")
        assert "4 runs, newest first." in hands.text


async def test_a_run_saved_while_the_filter_hides_it_is_told_of(at_the_keys, two_motors):
    hides = "The filter hides it: Esc clears it."
    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "slash")
        await hands.type("18:10")
        await hands.press("enter", "a")
        await hands.type("3950")
        await hands.press("f2", "escape")
        assert "1 of 5 runs" in hands.text and f"bench run of Whio. {hides}" in hands.text, hands.text
        await hands.press("x", "escape")
        assert hides in hands.text
        await hands.press("u")
        assert "1 of 4 runs" in hands.text and hides not in hands.text
        await hands.press("escape", "slash")
        await hands.type("whio")
        await hands.press("enter", "a")
        await hands.type("3950")
        await hands.press("f2", "escape")
        assert "3 of 5 runs" in hands.text and "Saved 14:02" in hands.text and hides not in hands.text


async def test_rankings_answer_in_words_first(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        assert hands.rows[2].startswith(" Best for the main:")
        assert "POWER AT LOAD, %" in hands.text and "█ best guess" in hands.text


async def test_v_shows_kv_against_current(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "v")
        await hands.settle()
        assert "by current, A" in hands.text and "L Lapwing" in hands.text and "W Whio" in hands.text
        assert "└" in hands.text and "┬" in hands.text and "━" not in hands.text  # two thin axes, no frame
        marked = [row for row in hands.rows if row.startswith(" ▸ ")]
        assert len(marked) == 1 and " ±" in marked[0]
        await hands.press("down" if "Lapwing" in marked[0] or "Whio" in marked[0] else "up")
        await hands.until(lambda: [row for row in hands.rows if row.startswith(" ▸ ")] != marked)
        await hands.press("v")  # no figure has weight: there is no order by weight to look at
        assert "chance of" in hands.text


async def test_the_plot_says_what_the_leader_leads_by(at_the_keys, tmp_path):
    path = shutil.copy(demo_logbook(), tmp_path / "logbook.json")
    async with at_the_keys(path) as hands:
        await hands.press("3", "v")
        await hands.settle()
        assert "Whio leads by its winding: 11.7 mΩ, the others 11.9." in hands.text


async def test_with_room_bars_and_plot_stand_below_the_table(at_the_keys, two_motors):
    async with at_the_keys(two_motors, (120, 45)) as hands:
        await hands.press("3")
        await hands.settle()
        assert "POWER AT LOAD, %" in hands.text and "by current, A" in hands.text
        await hands.press("v")
        assert "POWER AT LOAD, %" in hands.text and "by current, A" in hands.text


async def test_v_shows_whether_the_order_hangs_on_the_weights(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "w", "enter", "ctrl+u")
        await hands.type("2")
        await hands.press("f2", "v", "v")
        assert "Who leads hangs on the weights: Lapwing as they are set; else Whio" in hands.text
        drawn = [row for row in hands.rows if row.rstrip().endswith(("WL", "LW"))]
        labels = ["as set", "KV, halved", "KV, doubled", "power at load alone"]
        assert [row[5:26].strip() for row in drawn] == labels
        assert [row[3] for row in drawn] == [" ", " ", " ", "!"]
        await hands.press("home", "down", "down")
        assert "KV, doubled: Lapwing +" in hands.text
        await hands.press("v")
        assert "chance of" in hands.text


async def test_tab_on_rankings_reaches_the_motors_without_a_class(at_the_keys, two_motors, monkeypatch):
    import pitbench.desk.comparing.ranking

    with open_for_writing(two_motors) as book:
        workshop, motors = Workshop(book), [Motor(name=name) for name in ("Curlew", "Ruff")]
        builds = [workshop.first_build(motor.row(), {}) for motor in motors]
        pairs = zip(motors, builds, strict=True)
        runs = [bench_run(motor.id, build["id"], "2026-05-01T18:00", 3900, 4.0) for motor, build in pairs]
        book.save("two without a class", [*motors, *workshop.to_save.values(), *runs])
    asked, real = [], pitbench.desk.comparing.ranking.compare

    def noted(snapshot, class_name, **more):
        asked.append(class_name)
        return real(snapshot, class_name, **more)

    monkeypatch.setattr(pitbench.desk.comparing.ranking, "compare", noted)
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        assert "club 13.5T" in hands.text and "Whio" in hands.text
        await hands.press("tab", "tab", "tab", "tab")  # over the cards for the main of both, bench and track
        assert "no class named" in hands.text and "Curlew" in hands.text and "Whio" not in hands.text
        await hands.press("w")
        assert "1 Curlew" in hands.text or "1 Ruff" in hands.text
        await hands.press("escape", "tab", "tab", "tab", "tab")
        assert "Whio" in hands.text and "Curlew" not in hands.text
        await hands.press("2", "shift+tab")
        assert "BENCH PLAN" in hands.text
        # each once, whoever asks; and draws of every class for the form of the weights
        assert sorted(asked) == ["", "", "club 13.5T", "club 13.5T"]


async def test_g_stores_what_stops_you_gearing_higher(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "g", "3")
        assert hands.book.rows("class_sheet")[0]["gearing_limit"] == "rules"
        assert "rules cap gearing" in hands.text


async def test_weights_change_the_ranking_and_are_kept(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        before = hands.rows[9:11]
        await hands.press("w", "enter", "ctrl+u")
        await hands.type("2")
        await hands.press("f2")
        assert hands.book.settings().weights == {"kv_rpm_per_v": 2.0}
        assert hands.rows[9:11] != before


async def test_the_score_is_called_power_only_while_nothing_else_counts(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        assert "at load %" in hands.text and "POWER AT LOAD, %" in hands.text and "score %" not in hands.text
        await hands.press("w", "enter", "ctrl+u")
        await hands.type("2")
        await hands.press("f2")
        assert "score %" in hands.text and "SCORE, %" in hands.text
        assert "at load" not in hands.text.casefold()
        await hands.press("u")
        assert "POWER AT LOAD, %" in hands.text and "score %" not in hands.text


async def test_a_weight_that_cannot_be_read_gives_no_ranking_for_other_weights(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "w", "enter", "ctrl+u")
        await hands.type("1x")
        await hands.settle()
        assert "WITH THESE" in hands.text and "The ranking waits for a number." in hands.text
        assert "1 Lapwing" not in hands.text and "1 Whio" not in hands.text and "puts another motor" not in hands.text
        await hands.press("backspace")
        assert "1 Lapwing" in hands.text and "waits for a number" not in hands.text


async def test_weights_of_a_ranking_that_failed_say_so(at_the_keys, two_motors, monkeypatch):
    import pitbench.desk.comparing.ranking

    def fails(snapshot, class_name):
        raise ValueError("no such thing")

    async with at_the_keys(two_motors) as hands:
        await hands.press("3")
        monkeypatch.setattr(pitbench.desk.comparing.ranking, "compare", fails)
        await hands.press("w")
        assert "The ranking could not be worked out." in hands.text and "Working out the ranking" not in hands.text
        await hands.press("escape")
        assert "No ranking with other weights:" in hands.text


async def test_weights_hold_for_every_class_and_the_form_says_whose_leader_changes(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "w")
        assert "in all classes" not in hands.text
    with open_for_writing(two_motors) as book:
        workshop, sheet = Workshop(book), ClassSheet(name="club 21.5T", cells=2)
        motors = [Motor(name=name, class_id=sheet.id) for name in ("Curlew", "Ruff")]
        builds = [workshop.first_build(motor.row(), {}) for motor in motors]
        runs = [
            bench_run(motor.id, build["id"], f"2026-05-01T18:0{minute}", kv, current)
            for motor, build, kv, current in zip(motors, builds, (2500, 2510), (2.0, 2.9), strict=True)
            for minute in (0, 5)
        ]
        book.save("another class", [sheet, *motors, *workshop.to_save.values(), *runs])
        now, then = (compare(book.snapshot(), "club 21.5T").leader(weights) for weights in ({}, {"kv_rpm_per_v": 50.0}))
    assert (now, then) == ("Curlew", "Ruff")
    async with at_the_keys(two_motors) as hands:
        await hands.press("3", "w")
        assert "what you give weight counts too, in all classes." in hands.text and "leads then" not in hands.text
        await hands.press("enter", "ctrl+u")
        await hands.type("50")
        await hands.settle()
        assert "club 21.5T: Ruff leads then, not Curlew." in " ".join(row[39:].strip() for row in hands.rows)


async def test_a_mistyped_run_is_marked_and_named_where_it_moves_others(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        wrong = max(book.records("bench_run"), key=lambda run: run.taken_at)  # of Whio
        book.save("a digit too many", [wrong.with_(kv_rpm_per_v=39480, kept=("kv_rpm_per_v",))])
    said = "Whio's two runs differ tenfold in KV: check the one of 10 May 18:15."
    async with at_the_keys(two_motors) as hands:
        assert f"! {said}" in hands.text.split("LAPWING")[1]  # of another motor than the marked one
        assert any(row[3:].startswith("Whio ! ") for row in hands.rows)
        assert any(row[3:].startswith("Lapwing  ") for row in hands.rows)
        await hands.press("3")
        assert said in hands.text and any("1  Whio ! run, no R " in row for row in hands.rows)
        await hands.press("2", "x")
        await hands.enter("typing error")
        await hands.press("1")
        assert "Whio's two runs" not in hands.text and "Whio !" not in hands.text


async def test_a_wild_figure_is_never_cut_to_a_wrong_one(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        runs = book.records("bench_run")
        book.save("wild", [run.with_(kv_rpm_per_v=(50000, 2000, 90000, 700)[at % 4]) for at, run in enumerate(runs)])
    async with at_the_keys(two_motors) as hands:
        rows = [row[3:] for row in hands.rows if row[3:].startswith(("Lapwing ", "Whio "))]
        assert len(rows) == 2 and all(re.search(r" [+-]\d+ ±[\d…]+ ", row) for row in rows), rows


async def test_every_key_is_listed_and_nothing_is_cut(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("question_mark")
        rows, listed = hands.rows, hands.app.screen.query_one("VerticalScroll")
        assert "1 2 3 4 5 6 7 go to a screen" in hands.text
        while listed.scroll_y < listed.max_scroll_y:
            await hands.press("pagedown")
            await hands.until(lambda: listed.scroll_y == listed.scroll_target_y)
            await hands.settle()
            rows += hands.rows
        for action in ACTIONS:
            if not action.keys or action.id in MOVES or (action.id.startswith("go-") and action.id != "go-back"):
                continue  # in the palette alone, or in one line together
            key = keys_of(action, {})[0]
            assert any(f" {key} " in row and action.help in row for row in rows), action
        assert not any("…" in row for row in rows)
        await hands.press("escape")
        assert "▸1 Motors" in hands.rows[0]


async def test_a_changed_key_works_and_is_shown(at_the_keys, two_motors):
    async with at_the_keys(two_motors, hands={"theme": "dark", "keys": {"add-bench-run": "n"}}) as hands:
        assert " n bench run" in hands.rows[-1]
        await hands.press("n")
        assert "New bench run" in hands.rows[0]


async def test_the_look_is_changed_and_remembered(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        for nth, name in reversed(list(enumerate(THEME_NAMES, 1))):
            hands.app.hands.choose_theme()
            await hands.press(str(nth))
            assert hands.app.theme == name and hands.kept[-1]["theme"] == name


async def test_a_second_start_is_read_only_says_so_and_follows(at_the_keys, two_motors):
    with open_for_writing(two_motors) as first:
        async with at_the_keys(two_motors) as hands:
            assert " ! Read-only: open in another pitbench." in hands.rows[-2]
            await hands.press("b")
            assert "New bench run" not in hands.text
            first.save("motor Plover", [Motor(name="Plover")])
            await hands.until(lambda: "Plover" in hands.text)


async def test_a_damaged_file_is_refused_in_a_sentence_and_left_alone(at_the_keys, two_motors):
    broken = two_motors.read_bytes()[:-20]
    two_motors.write_bytes(broken)
    async with at_the_keys(two_motors) as hands:
        assert "This logbook was not opened." in hands.text and "backup" in hands.text
        await hands.press("escape")
        assert hands.app.return_code == 2
    assert two_motors.read_bytes() == broken


async def test_a_hand_edit_is_accepted_knowingly(at_the_keys, two_motors):
    edited = two_motors.read_bytes().replace(b'"Lapwing"', b'"Lapwong"')
    two_motors.write_bytes(edited)
    async with at_the_keys(two_motors) as hands:
        assert "y accepts the file as it is" in hands.text
        await hands.press("y")
        assert "Lapwong" in hands.text


async def test_text_from_a_file_is_never_read_as_markup_or_terminal_codes(at_the_keys, two_motors):
    with open_for_writing(two_motors) as book:
        book.save("motor", [Motor(name="[red]x[/red]", note="[b]loud[/b] ]8;;")])
    async with at_the_keys(two_motors) as hands:
        await hands.press("end")
        assert "[red]x[/re" in hands.text and "[b]loud[/b] ]8;;" in hands.text
        await hands.press("3", "2", "1", "enter")
        assert "[red]x[/red]" in hands.text


async def test_in_the_bin_the_mark_stands_on_what_was_put_there_last(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        await hands.press("2")
        for move in (("down", "down"), ("home",), ("end",)):
            await hands.press(*move)
            last = hands.app.screen._marked()["id"]
            await hands.press("d", "z")
            assert hands.app.screen._marked()["id"] == last
            await hands.press("z")
        runs = {row["id"] for row in hands.book.rows("bench_run")}
        await hands.press("z", "enter")
        assert {row["id"] for row in hands.book.rows("bench_run")} == runs | {last}

"""A screen whose answer is slow still takes keys, shows the last answer meanwhile, and drops what came too late."""

import importlib
import shutil
from threading import Event

import pytest
from textual.events import Key

from pitbench.app.answers import KEPT, Answers
from pitbench.app.dialogs.leave_out import LeaveOut
from pitbench.bootstrap import open_for_writing
from pitbench.demo import demo_logbook
from pitbench.records.models import Event as LoggedEvent


class Held:
    """A question that is answered when `go` says so; `began` is how often it was begun."""

    def __init__(self, real):
        self.real, self.began, self.go = real, 0, Event()

    def __call__(self, *asked, **more):
        self.began += 1
        assert self.go.wait(60)
        return self.real(*asked, **more)


@pytest.fixture
def held(monkeypatch):
    """Holds a desk function back; every worker is let go at the end, whatever happened."""
    made = []

    def hold(module, name):
        question = Held(getattr(module, name))
        monkeypatch.setattr(module, name, question)
        made.append(question)
        return question

    yield hold
    for question in made:
        question.go.set()


async def press(hands, *keys):
    """Keys without waiting for any worker."""
    await hands.pilot.press(*keys)
    await hands.pilot.pause()


SLOW = {
    "bench session": ("app.lists.bench_session", "session_answer", ("2", "tab"), "without touching the clips differ"),
    "bench plan": ("app.lists.bench_plan", "bench_plan", ("2", "shift+tab"), "BENCH PLAN FOR TONIGHT"),
    "motor page": ("app.pages.motor_page", "motor_answer", ("enter",), "2 bench runs on 1 day"),
    "timing sweeps": ("app.pages.sweep", "sweeps", ("enter", "tab", "tab"), "No timing sweep of"),
    "motor model": (
        "app.pages.motor_model",
        "models_of",
        ("enter", "shift+tab"),
        "no torque, power or efficiency",
    ),
    "parts": ("desk.parts.swaps", "parts_answer", ("7",), "chance of best"),
    "ranking": ("desk.comparing.ranking", "compare", ("3",), "Best for the main"),
}


@pytest.mark.parametrize("what", SLOW)
async def test_a_screen_whose_answer_is_slow_takes_keys(at_the_keys, two_motors, held, what):
    module, name, keys, shown = SLOW[what]
    async with at_the_keys(two_motors) as hands:
        question = held(importlib.import_module(f"pitbench.{module}"), name)
        if what == "ranking":
            hands.app.answers = Answers(hands.app)  # the one of Motors is not known any more
        await press(hands, *keys)
        await hands.until(lambda: question.began == 1)
        assert shown not in hands.text
        assert f"Working out the {what} …" in hands.text
        await press(hands, "question_mark")
        assert "All keys" in hands.rows[0]
        await press(hands, "escape", "1")
        assert "▸1 Motors" in hands.rows[0]
        await press(hands, *keys)
        question.go.set()
        await hands.settle()
        assert shown in hands.text and question.began == 1


async def test_a_change_waits_for_the_part_it_is_of(at_the_keys, tmp_path, held):
    import pitbench.desk.parts.swaps

    async with at_the_keys(shutil.copy(demo_logbook(), tmp_path / "logbook.json")) as hands:
        question = held(pitbench.desk.parts.swaps, "parts_answer")
        await press(hands, "7")
        await hands.until(lambda: question.began == 1)
        await press(hands, "c")
        assert "▸7 Parts" in hands.rows[0]
        question.go.set()
        await hands.settle()
        assert "Swap of parts" in hands.rows[0]


async def test_the_last_answer_stays_while_a_newer_is_worked_out(at_the_keys, two_motors, held):
    import pitbench.app.lists.bench_session

    async with at_the_keys(two_motors) as hands:
        await hands.press("2", "tab")
        assert "4 runs of 2 motors" in hands.text
        question = held(pitbench.app.lists.bench_session, "session_answer")
        hands.book.journal.bin("one run", [("bench_run", hands.book.rows("bench_run")[-1]["id"])])
        await hands.until(lambda: question.began == 1)
        assert "4 runs of 2 motors" in hands.text
        assert "WORKING OUT ANEW …" in hands.rows[1]
        question.go.set()
        await hands.settle()
        assert "3 runs of 2 motors" in hands.text and "ANEW" not in hands.text


OLD = {
    "rankings": ("desk.comparing.ranking", "compare", ("3",)),
    "motors": ("desk.comparing.ranking", "compare", ("1",)),
    "motor page": ("desk.comparing.ranking", "compare", ("1", "enter")),
    "card": ("desk.comparing.ranking", "compare", ("3", "tab")),
}


@pytest.mark.parametrize("what", OLD)
async def test_an_answer_of_records_as_they_were_is_never_shown_as_if_it_were_of_now(
    at_the_keys, two_motors, held, what
):
    module, name, keys = OLD[what]
    async with at_the_keys(two_motors) as hands:
        await hands.press(*keys)
        rows, before = len(hands.rows), hands.rows[2]
        assert "ANEW" not in hands.text
        question = held(importlib.import_module(f"pitbench.{module}"), name)
        settings = hands.book.settings()
        hands.book.save_settings("weights", settings.with_(weights={"kv_rpm_per_v": 3}))
        await hands.until(lambda: "ANEW" in hands.text)
        assert hands.rows[1].rstrip().endswith("WORKING OUT ANEW …") and hands.rows[2] == before
        await press(hands, "down")
        assert hands.rows[1].rstrip().endswith("WORKING OUT ANEW …")
        question.go.set()
        await hands.settle()
        assert "ANEW" not in hands.text and len(hands.rows) == rows


async def test_an_answer_to_older_records_is_dropped_and_one_overtaken_is_not_begun(at_the_keys, two_motors, held):
    import pitbench.app.lists.bench_session

    async with at_the_keys(two_motors) as hands:
        question = held(pitbench.app.lists.bench_session, "session_answer")
        await press(hands, "2", "tab")
        ids = [run["id"] for run in hands.book.rows("bench_run")]
        await hands.until(lambda: question.began == 1)
        for nth in (0, 1, 2):
            hands.book.journal.bin("one run", [("bench_run", ids[nth])])
            await hands.pilot.pause()
        question.go.set()
        await hands.settle()
        assert "1 run of 1 motor" in hands.text
        assert question.began == 2  # of the first records, and of the last


async def test_an_answer_that_fails_is_said_once_and_not_asked_again_and_again(at_the_keys, two_motors, monkeypatch):
    import pitbench.app.lists.bench_session

    asked = []

    def broken(*what, **more):
        asked.append(what)
        raise ZeroDivisionError("figures")

    async with at_the_keys(two_motors) as hands:
        monkeypatch.setattr(pitbench.app.lists.bench_session, "session_answer", broken)
        await hands.press("2", "tab")
        assert "No bench session: ZeroDivisionError" in hands.text
        assert "No bench session could be worked out." in hands.text
        await hands.press("tab", "shift+tab", "1", "2", "tab")
        assert len(asked) == 1


async def test_answers_asked_longest_ago_are_forgotten(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        answers = hands.app.answers = Answers(hands.app)
        for nth in range(KEPT + 5):
            answers.ask(("number", nth), lambda snapshot, nth=nth: nth)
        await hands.settle()
        assert answers.last(("number", 4)) is None and answers.last(("number", KEPT + 4)).value == KEPT + 4


async def test_the_question_about_a_run_stands_before_it_is_known_what_would_change(at_the_keys, two_motors, held):
    import pitbench.app.dialogs.leave_out

    async with at_the_keys(two_motors) as hands:
        question = held(pitbench.app.dialogs.leave_out, "without_run")
        await press(hands, "2", "x")
        await hands.until(lambda: question.began == 1 and "Working out what would change …" in hands.text)
        await hands.type("lead slipped")
        assert "lead slipped" in hands.text
        question.go.set()
        await hands.settle()
        assert "lead slipped" in hands.text and "Working out" not in hands.text, hands.text
        assert "Without it " in hands.text, hands.text
        await hands.press("enter")
        assert [run.get("excluded_why") for run in hands.book.rows("bench_run")].count("lead slipped") == 1


async def test_a_key_waits_for_the_lines_of_motors_side_by_side(at_the_keys, two_motors, held):
    async with at_the_keys(two_motors) as hands:
        question = held(importlib.import_module("pitbench.desk.comparing.side_by_side"), "side_by_side")
        await hands.press("equals_sign", "down")
        await press(hands, "equals_sign")
        await hands.until(lambda: question.began == 1)
        hands.app.post_message(Key("down", None))
        await hands.pilot.pause(0.1)
        question.go.set()
        await hands.settle()
        assert hands.app.screen.pane.list.mark == 1


async def test_what_comes_while_a_screen_is_put_together_is_told_once_it_stands(at_the_keys, two_motors):
    async with at_the_keys(two_motors) as hands:
        run = hands.book.rows("bench_run")[0]
        for name, of in (("rankings", None), ("motor-page", run["motor_id"]), ("motor-form", None)):
            opened = hands.app.routes.go_to(name) if name == "rankings" else hands.app.routes.open(name, of)
            hands.app.say("said at once")
            hands.app.tell_screens("answer_ready", ("any",))
            assert opened is None or not opened.is_mounted
            await hands.settle()
            assert ("said at once" in hands.text) == (name != "motor-form")
        hands.app.push_screen(LeaveOut(run["id"], "club 13.5T", "a run"))
        hands.app.tell_screens("answer_ready", ("any",))
        await hands.settle()
        assert "leave this run out" in hands.text


@pytest.mark.parametrize("asks", [(), ("W",)], ids=["on a list", "in a dialog"])
async def test_leaving_before_the_race_day_is_on_paper_is_asked_about_once(
    at_the_keys, two_motors, held, tmp_path, asks
):
    path = tmp_path / "day.md"
    with open_for_writing(two_motors) as book:
        book.save("an event", [LoggedEvent(name="Saltmouth", date="2026-05-17")])
    async with at_the_keys(two_motors) as hands:
        question = held(importlib.import_module("pitbench.desk.race_day"), "race_day")
        await press(hands, "4")
        await hands.until(lambda: "▸4 Setup log" in hands.rows[0])
        await press(hands, "W")
        await hands.type(str(path))
        await press(hands, "enter")
        await hands.until(lambda: question.began == 1)
        await press(hands, *asks, "ctrl+q")
        assert hands.app.is_running
        await hands.until(lambda: "The race day is not written yet. Ctrl+Q again leaves without it." in hands.text)
        await press(hands, *("escape" for _ in asks))
        question.go.set()
        await hands.until(path.exists)
        await hands.until(lambda: "day.md holds the race day of Saltmouth" in hands.text)
        await press(hands, "ctrl+q")
        await hands.until(lambda: not hands.app.is_running)


async def test_c_on_parts_is_a_swap_also_while_they_are_worked_out(at_the_keys, two_motors, held):
    async with at_the_keys(two_motors) as hands:
        question = held(importlib.import_module("pitbench.desk.parts.swaps"), "parts_answer")
        await press(hands, "7")
        await hands.until(lambda: question.began == 1)
        await press(hands, "c")
        await hands.until(lambda: "Swap of parts" in hands.text)  # the key has waited as long as a key may
        question.go.set()

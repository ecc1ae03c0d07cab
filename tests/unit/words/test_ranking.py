"""The ranking in words: every verdict and reason gives a sentence, none says more than the answer."""

import subprocess
import sys
from dataclasses import replace
from datetime import datetime

import pytest

from pitbench.desk.answers import BenchLead, NextTest, OddRun, Settle
from pitbench.desk.comparing.ranking import rank
from pitbench.records.units import Units
from pitbench.words import ranking as words
from tests.unit.desk.bench_side import USUAL, Bench, two_motors


@pytest.fixture(scope="module")
def answer():
    return rank(two_motors().logbook.snapshot(), None, "heat")


def led(answer, verdict, chance, why="done", runs=None):
    motors = [replace(answer.motors[0], chance_best=chance), *answer.motors[1:]]
    return replace(answer, verdict=verdict, motors=motors, settle=Settle(runs, why), next_test=None)


def test_not_settled_is_said_first(answer):
    lines = words.headline(answer)
    assert lines[0].startswith("Best for the main: not settled.") and "of two" in lines[0]
    assert lines[1].startswith(("Next: ", "Nothing within 30 min would tell."))


@pytest.mark.parametrize(
    ("verdict", "chance", "sentence"),
    [("clear", 0.96, "Heron. Clear: 96 in 100"), ("leaning", 0.82, "Heron. Leaning: 82 in 100")],
)
def test_the_leader_and_how_sure(answer, verdict, chance, sentence):
    assert f"Best for the main: {sentence}" in words.headline(led(answer, verdict, chance))[0]


def test_sure_but_smaller_than_the_margin(answer):
    assert "too little to matter" in words.headline(led(answer, "leaning", 0.97))[0]
    assert "too little to matter" not in words.headline(led(answer, "leaning", 0.82))[0]


@pytest.mark.parametrize(
    ("why", "runs", "said"),
    [
        ("runs", 12, "Twelve more bench runs each of Heron and Plover should make it clear."),
        ("runs", 1, "One more bench run each of Heron and Plover should make it clear."),
        ("runs", 16, "16 more bench runs each of Heron and Plover should make it clear."),
        ("too_close", None, "within your margin"),
        ("bench_cannot_tell", None, "would not make it clear"),
        ("over_32", None, "more than 32 bench runs each"),
    ],
)
def test_what_would_settle_it(answer, why, runs, said):
    found = words.headline(led(answer, "leaning", 0.8, why, runs), 20)[1]
    assert found.startswith("Nothing within 20 min would tell. ") and said in found


def test_nothing_is_left_to_settle_when_it_is_clear(answer):
    assert len(words.headline(led(answer, "clear", 0.95))) == 2  # the leader, and better on the bench


@pytest.mark.parametrize(
    ("test", "motors", "count", "said"),
    [
        ("runs", "Heron Plover", 2, "Next: two more bench runs each of Heron and Plover, 14 min: 74 → 85"),
        ("runs", "Heron", 1, "Next: one more bench run of Heron, 14 min"),
        ("winding", "Heron Plover", 2, "Next: winding of Heron and Plover twice, clips off and on, 14 min"),
        ("winding", "Plover", 1, "Next: winding of Plover, clips off and on, 14 min"),
        ("winding", "Plover", 3, "Next: winding of Plover three times, clips off and on, 14 min"),
        ("timing", "Plover", 1, "Next: timing of Plover, 14 min"),
        ("session", "Heron Plover", 3, "would tell. Another day: three bench runs each of Heron and Plover, 14"),
    ],
)
def test_the_next_test_is_one_sentence(answer, test, motors, count, said):
    asked = NextTest(test, motors.split(), count, 14.0, 0.741, 0.848)
    told = replace(led(answer, "leaning", 0.74, "too_close"), next_test=asked)
    found = words.headline(told)[1]
    assert said in found and found.endswith("74 → 85 in 100.")
    assert "margin" not in " ".join(words.headline(told))


def test_one_thing_is_said_to_test_and_nothing_once_it_is_clear(answer):
    runs = NextTest("runs", ["Heron", "Plover"], 2, 8.0, 0.74, 0.80)
    told = replace(led(answer, "leaning", 0.74, "runs", 12), next_test=runs)
    assert words.what_next(told, 30).endswith("80 in 100. Twelve should make it clear.")
    assert words.what_next(replace(told, settle=Settle(2, "runs")), 30).endswith("80 in 100.")
    assert words.what_next(replace(told, verdict="clear"), 30) == ""


def test_another_day_is_no_advice_before_the_main(answer):
    later = NextTest("session", ["Heron", "Plover"], 3, 22.0, 0.74, 0.85)
    told = replace(led(answer, "leaning", 0.74, "over_32"), next_test=later)
    found = words.what_next(told, 30, another_day=False)
    assert found.startswith("Nothing within 30 min would tell. It would take") and "nother day" not in found


def test_better_on_the_bench_is_a_claim_of_its_own(answer):
    other = replace(answer, bench=BenchLead("Plover", 0.61))
    assert words.headline(other)[-1] == "Better on the bench, without load: Plover, 61 in 100. The track may differ."
    assert "may differ" not in words.headline(answer)[-1]


def test_don_t_know_asks_what_stops_you():
    asked = rank(two_motors().logbook.snapshot(), None, "unknown")
    assert any(line.startswith("What stops you gearing higher?") for line in words.headline(asked))


def test_where_nothing_tells_before_that_is_answered_it_is_asked_once(answer):
    lines = words.headline(replace(led(answer, "open", 0.6, "bench_cannot_tell"), gearing_limit="unknown"))
    assert lines[1] == "Nothing within 30 min would tell before you say what stops you gearing higher."
    assert sum("gearing higher" in line for line in lines) == 1 and not any("More bench runs" in line for line in lines)


def test_too_few_to_rank():
    assert words.headline(rank(Bench().logbook.snapshot()))[0].startswith("Nothing to rank yet")
    bench = Bench()
    bench.run("Heron", "2026-04-11", **USUAL)
    assert words.headline(rank(bench.logbook.snapshot()))[0].startswith("Only Heron can be ranked")


def test_groups_in_words(answer):
    assert words.cannot_be_told(answer) == ["Heron and Plover cannot be told apart yet."]
    apart = [replace(motor, group=letter) for motor, letter in zip(answer.motors, "ab", strict=True)]
    assert words.cannot_be_told(replace(answer, motors=apart)) == []


def test_conditions(answer):
    assert words.conditions(answer, Units()) == "all at 42.0° timing, all at 25 °C"
    assert words.conditions(answer, Units("F")) == "all at 42.0° timing, all at 77 °F"
    blank = replace(answer, basis=replace(answer.basis, timing_deg=None, motor_temp_c=None))
    assert words.conditions(blank, Units()) == "timing not equalised, warmth not equalised"


@pytest.mark.parametrize("module", ["pitbench.words.ranking", "pitbench.words.parts", "pitbench.desk.parts.worths"])
def test_what_screens_load_at_once_loads_without_numpy(module):
    code = f"import sys, {module}; sys.exit('numpy' in sys.modules or 'pydantic' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def odd(motor, why, runs=3, times=None):
    return OddRun(motor, "2026-05-16T21:46", "kv_rpm_per_v", why, 30920.0, runs, times)


@pytest.mark.parametrize(
    "found, said",
    [
        (odd("Whio", "apart", 2, 9.99), "Whio's two runs differ tenfold in KV: check the one of today 21:46."),
        (odd("Whio", "apart", 3, 2.41), "Whio's run of today 21:46 differs by a factor of 2.4 from its others in KV"),
        (odd("Whio", "kept", 1), "Whio's run of today 21:46 has an unlikely KV, 30920: check it."),
        (odd("Whio", "fit"), "Whio's run of today 21:46 does not fit its others in KV: check it."),
    ],
)
def test_an_odd_run_is_named_by_motor_and_time(found, said):
    assert words.odd_run_words(found, datetime(2026, 5, 16, 22)).startswith(said)


def test_on_top_only_plainly_odd_runs_are_named_and_not_too_many():
    now = datetime(2026, 5, 17)
    assert words.odd_words([odd("Whio", "fit")], now) == ""
    many = [odd(name, "kept") for name in ("Whio", "Finch", "Knot", "Ruff", "Teal")]
    first = "Whio's run of 16 May 21:46 has an unlikely KV, 30920: check it."
    assert words.odd_words(many[:1], now) == first
    assert words.odd_words([*many[:2], odd("Rail", "fit")], now) == f"{first} Check Finch's of 16 May 21:46 too."
    assert words.odd_words(many, now).endswith(" Check Finch's of 16 May 21:46, Knot's of 16 May 21:46 and 2 more too.")


def test_the_score_is_power_at_load_while_nothing_else_has_weight(answer):
    assert words.score_name(answer) == "power at load"
    for name in ("kv_rpm_per_v", "load_power_w"):
        weighed = replace(answer, figures=answer.figures | {name: replace(answer.figures[name], weight=2.0)})
        assert words.score_name(weighed) == ("score" if name == "kv_rpm_per_v" else "power at load")

"""One motor whole: sessions, builds, trends, and how it stands."""

from dataclasses import replace

import pytest

from pitbench.desk.answers import NotRanked
from pitbench.desk.motor_entry import bin_motor
from pitbench.desk.motor_page import TREND_LENGTH, motor_answer
from pitbench.desk.ranking import rank
from tests.unit.desk.bench_side import two_motors
from tests.unit.desk.by_hand import FIGURES, NOW, add_motor, add_run, edit_motor, new_book, put_run


@pytest.fixture
def book():
    return new_book()


@pytest.fixture
def heron(book):
    return add_motor(book, stator="S4", rotor="R2", end_bell="E1", turns="13.5", check_motor="yes")


def page(book, motor_id, ranked=None):
    return motor_answer(book.snapshot(), motor_id, ranked, NOW)


def test_a_motor_that_is_gone_has_no_page(book, heron):
    bin_motor(book, heron)
    assert page(book, heron) is None and page(book, "nobody") is None


def test_a_motor_without_a_run(book, heron):
    answer = page(book, heron)
    assert answer.title == "Heron   13.5T   S4 R2 E1   check motor"
    assert answer.words == ["Not on the bench yet. b logs its first run."]
    assert (answer.sessions, answer.trends, answer.standing, answer.corrected) == ([], [], "", False)
    assert page(book, add_motor(book, "Plover")).title == "Plover   its own parts"


def test_sessions_newest_first_with_their_means(book, heron):
    def run(taken_at, kv, amps, **more):
        return put_run(book, heron, taken_at=taken_at, kv_rpm_per_v=kv, no_load_current_a=amps, **more)

    sensors = {"timing_a_deg": 42.4, "timing_b_deg": 41.9, "timing_c_deg": 42.0}
    run("2026-05-10T10:00", 3948, 4.0, resistance_mohm=11.2, **sensors)
    run("2026-05-10T10:30", 3952, 4.2, timing_deg=41.1)
    run("2026-05-10T10:45", 5000, 9.0, excluded_why="loose lead")
    run("2026-05-17T09:00", 3960, 4.1)
    today, before = page(book, heron).sessions
    assert (today.day, today.when, today.runs, today.left_out, today.kv) == ("2026-05-17", "today", 1, 0, 3960)
    assert (before.when, before.runs, before.left_out) == ("10 May", 3, 1)
    assert (before.kv, before.current, before.resistance) == (3950, pytest.approx(4.1), 11.2)
    assert (before.timing, before.spread) == (pytest.approx((42.1 + 41.1) / 2), pytest.approx(0.5))
    # KV 3948 and 3952 at 0.2 %: s² = (3·7.9² + 8)/4 = 48.81; ± 2.1318·√(48.81/2) = 10.53
    assert before.kv_pm == pytest.approx(10.53, abs=0.01)
    assert today.timing is None and today.spread is None and today.resistance is None
    assert page(book, heron).words == [
        "4 bench runs on 2 days, last today 09:00. 1 left out of every figure.",
    ]


def test_a_session_of_runs_left_out_has_no_figures(book, heron):
    put_run(book, heron, kv_rpm_per_v=3950, excluded_why="loose lead")
    (session,) = page(book, heron).sessions
    assert (session.kv, session.kv_pm, session.current, session.runs, session.left_out) == (None, None, None, 1, 1)


def test_runs_at_another_voltage_are_never_averaged_in(book, heron):
    put_run(book, heron, taken_at="2026-05-10T10:00", test_voltage_v=3.7, no_load_current_a=4.0, kv_rpm_per_v=3950)
    put_run(book, heron, taken_at="2026-05-10T10:10", test_voltage_v=7.4, no_load_current_a=6.4, kv_rpm_per_v=3900)
    put_run(book, heron, taken_at="2026-05-10T10:20", test_voltage_v=3.75, no_load_current_a=4.2, kv_rpm_per_v=3954)
    answer = page(book, heron)
    assert (answer.sessions[0].current, answer.sessions[0].kv, answer.sessions[0].runs) == (pytest.approx(4.1), 3952, 3)
    assert [trend.values for trend in answer.trends] == [(3950, 3954), (4.0, 4.2)]


def test_kv_is_brought_to_25_degrees_when_every_run_has_a_temperature_else_none(book, heron):
    add_run(book, **FIGURES)
    answer = page(book, heron)
    assert answer.corrected and answer.sessions[0].kv == pytest.approx(3936.43, abs=0.01)  # 3953·exp(−0.0007·6)
    put_run(book, heron, taken_at="2026-05-17T14:00", kv_rpm_per_v=3953)
    answer = page(book, heron)
    assert not answer.corrected and answer.sessions[0].kv == 3953


def test_a_named_session_and_another_tester_are_lines_of_their_own(book, heron):
    for minute, more in ((0, {}), (5, {"session": "one"}), (10, {"tester": "other box"})):
        put_run(book, heron, taken_at=f"2026-05-10T10:{minute:02d}", kv_rpm_per_v=3950, **more)
    assert len(page(book, heron).sessions) == 3


def test_a_run_of_another_motor_joins_a_session(book, heron):
    plover = add_motor(book, "Plover")
    for motor_id, clock in ((heron, "10:00"), (plover, "11:30"), (heron, "13:00")):
        put_run(book, motor_id, taken_at=f"2026-05-10T{clock}", kv_rpm_per_v=3950)
    assert [session.runs for session in page(book, heron).sessions] == [2]


def test_a_swap_stands_on_the_first_session_after_it(book, heron):
    for day in ("2026-05-01", "2026-05-10", "2026-05-12"):
        put_run(book, heron, taken_at=f"{day}T10:00", kv_rpm_per_v=3950)
    edit_motor(book, heron, rotor="R5", fitted_since="2026-05-03")
    answer = page(book, heron)
    assert [session.builds for session in answer.sessions] == [(), ("3 May: S4 R5 E1 fitted",), ()]
    assert answer.title.startswith("Heron   13.5T   S4 R5 E1 since 3 May")


def test_the_word_that_resistance_is_missing(book, heron):
    put_run(book, heron, kv_rpm_per_v=3950)
    assert "winding resistance was never measured" in page(book, heron).words[0]
    edit_motor(book, heron, resistance_mohm="11.2")
    assert page(book, heron).words == ["1 bench run on 1 day, last 10 May 10:00."]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([3950], None),
        ([3950, 3956], "3950 first, 3956 last, in rpm/V"),
        ([3950, 3950, 3953, 9000, 3950, 3953, 3953], "+1 rpm/V, last three runs against first three"),
        ([3950.1, 3950, 3950, 3950, 3950, 3950], "+0 rpm/V, last three runs against first three"),
    ],
)
def test_trends(book, heron, values, words):
    for minute, kv in enumerate(values):
        put_run(book, heron, taken_at=f"2026-05-10T10:{minute:02d}", kv_rpm_per_v=kv)
    trends = page(book, heron).trends
    assert [(trend.label, trend.values, trend.words) for trend in trends] == (
        [("KV", tuple(values), words)] if words else []
    )


def test_a_long_trend_shows_the_last_runs_and_compares_all(book, heron):
    for minute in range(40):
        put_run(book, heron, taken_at=f"2026-05-10T10:{minute:02d}", no_load_current_a=4 + minute / 100)
    (trend,) = page(book, heron).trends
    assert len(trend.values) == TREND_LENGTH and trend.values[-1] == pytest.approx(4.39)
    assert trend.words == "+0.37 A, last three runs against first three"


def test_how_it_stands_in_its_class():
    bench = two_motors()
    answer = rank(bench.logbook.snapshot(), None, "heat")
    first, second = answer.motors

    def standing(ranked, name):
        return page(bench.logbook, bench.motors[name].id, ranked).standing

    answer = replace(answer, verdict="leaning", motors=[replace(first, chance_best=0.82), second])
    assert standing(answer, first.motor) == "leads, leaning: 82 in 100"
    assert standing(answer, second.motor) == f"place 2 of 2: {100 * second.chance_best:.0f} in 100 to be the best"
    out = replace(answer, motors=[first], not_ranked=[NotRanked(second.motor, "new_build")])
    assert standing(out, second.motor) == "not ranked: rebuilt since its last bench run"
    assert standing(replace(answer, motors=[first], verdict=None), first.motor) == ""
    assert standing(None, first.motor) == ""

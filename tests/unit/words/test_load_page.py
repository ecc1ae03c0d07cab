"""The page of a load log in words."""

from dataclasses import replace
from datetime import datetime

import pytest

from pitbench.desk.answers import FullThrottle, LeftOut, LoadLogAnswer, LogDoubt, MeanSe, Warming
from pitbench.desk.load.page import LogPage
from pitbench.records.units import Units
from pitbench.sheets.log_columns import MEANINGS
from pitbench.words import load_page as words

NOW = datetime(2026, 5, 16, 20, 0)
ANSWER = LoadLogAnswer(
    file="q3.csv",
    motor="Willet",
    run="2026-05-16T16:00",
    bench=False,
    stored=True,
    rows=2998,
    used=212,
    left_out=LeftOut(14, 2, 2700, 66, 4),
    gaps=1,
    seconds=300.0,
    columns={"time_s": "Zeit", "rpm": "rpm"},
    kv_rpm_per_v=MeanSe(3871.0, 8.5),
    resistance_mohm=MeanSe(31.4, 0.73),
    correlation=0.9,
    separated=True,
    why=None,
    full_throttle=FullThrottle(41.0, (17.0, 31.0), (25_900.0, 29_430.0), 150.0, 215.0, 186.0),
    charge_mah=960.0,
    energy_wh=7.1,
    motor_temp_c=Warming(24.0, 71.0, 71.0),
    esc_temp_c=Warming(25.0, 60.0, 62.0),
    doubts=[LogDoubt("current_a", "reads 0.30 A where nothing turns: taken off")],
)
FIGURES = {
    "kv_rpm_per_v": 3871.0,
    "kv_se": 8.5,
    "resistance_mohm": 31.4,
    "resistance_se": 0.73,
    "shaft_power_w": 186.0,
    "current_median_a": 24.1,
    "rpm_median": 27_812.0,
    "pulls": 41.0,
    "charge_mah": 960.0,
    "motor_highest_c": 71.0,
}
PAGE = LogPage("l1", "m1", ANSWER, FIGURES, {}, "qualifier 3", "2026-05-16T16:00", 3930.0, True)


def test_the_headline_says_kv_resistance_and_on_how_much_it_rests():
    assert words.headline(PAGE, NOW) == (
        "Willet under load, qualifier 3, today 16:00: KV 3871 ±14 at work, 31.4 ±1.2 mΩ with leads and speed control. "
        "212 of 2998 samples used, 41 pulls."
    )


def test_the_headline_of_one_that_tells_nothing_says_why():
    blind = replace(PAGE, answer=replace(ANSWER, kv_rpm_per_v=MeanSe(None, None), why="no_spread"), run="")
    assert words.headline(blind, NOW).startswith(
        "Willet under load, today 16:00: no KV and no resistance, the current was much the same throughout. 212 of"
    )
    assert words.against_bench(blind) == ""


def test_the_table():
    assert words.facts(PAGE, Units()) == [
        ("power at the shaft, full throttle", "186 W at 24.1 A", "best of the day"),
        ("rpm at full throttle", "25 900 to 29 400", "median 27 800"),
        ("current at full throttle", "17.0 to 31.0 A", "41 s of 300"),
        ("energy and charge", "7.1 Wh   0.96 Ah", ""),
        ("motor temperature", "24 to 71 °C", "still rising at the end"),
        ("speed control", "to 62 °C", ""),
    ]
    assert ("speed control", "to 144 °F", "") in words.facts(PAGE, Units("F"))


def test_without_the_bench_power_taken_stands_there_and_what_would_tell_more():
    full = replace(ANSWER.full_throttle, shaft_power_w=None)
    label, much, note = words.facts(replace(PAGE, answer=replace(ANSWER, full_throttle=full)), Units())[0]
    assert (label, much, note) == ("power taken, full throttle", "215 W at 24.1 A", "at the shaft: after a bench run")


def test_a_log_that_tells_nothing_has_no_table():
    nothing = FullThrottle(0.0, None, None, None, None, None)
    empty = replace(
        ANSWER, full_throttle=nothing, charge_mah=None, energy_wh=None,
        motor_temp_c=Warming(None, None, None), esc_temp_c=Warming(None, None, None),
    )  # fmt: skip
    assert words.facts(replace(PAGE, answer=empty, figures={}), Units()) == []


@pytest.mark.parametrize(
    ("bench", "said"),
    [(3930.0, "-1.5 %, which warmth and timing may"), (7800.0, "-50.4 %, more than warmth")],
)
def test_kv_against_the_bench(bench, said):
    assert f"KV at work against the bench: {said}" in words.against_bench(replace(PAGE, bench_kv=bench))


def test_what_was_odd_in_short_and_whole():
    assert words.odd_in_short(PAGE) == "20 rows left out as rubbish, 1 gap, 1 thing to know: i lists all"
    whole = words.odd(PAGE)
    assert "Unreadable: 14 rows." in whole and "1 gap in time." in whole
    assert "! current_a reads 0.30 A where nothing turns: taken off." in whole
    assert whole[-1] == "Read from q3.csv: time_s is Zeit."
    good = replace(ANSWER, left_out=LeftOut(0, 0, 9, 9, 0), gaps=0, doubts=[])
    assert words.odd_in_short(replace(PAGE, answer=good)) == ""


def test_two_logs_figure_by_figure():
    other = replace(PAGE, figures={**FIGURES, "resistance_mohm": 30.0, "motor_highest_c": 65.0} | {"kv_se": 6.0})
    found = {label: cells for label, *cells in words.beside(PAGE, other, Units())}
    assert found["resistance with leads, mΩ"] == ["31.4 ±1.2", "30.0 ±1.2", "+1.4 ±1.7"]
    assert found["KV at work, rpm/V"] == ["3871 ±14", "3871 ±10", "+0 ±17"]
    assert found["motor, highest"] == ["71 °C", "65 °C", "+6 °C"]
    bare = replace(PAGE, figures={})
    assert {label: cells for label, *cells in words.beside(PAGE, bare, Units())}["rpm, median"] == ["27812", "·", ""]


def test_two_logs_are_told_apart_by_what_differs():
    other = replace(PAGE, answer=replace(ANSWER, motor="Heron"))
    assert words.told_apart(PAGE, other, NOW) == ("Willet", "Heron")
    assert words.told_apart(PAGE, replace(PAGE, run="main A1"), NOW) == ("qualifier 3", "main A1")
    again = replace(PAGE, when="2026-04-25T16:00")
    assert words.told_apart(PAGE, again, NOW) == ("today 16:00", "25 Apr 16:00")
    assert words.told_apart(PAGE, PAGE, NOW) == ("this one", "the other")


def test_the_logs_of_a_motor():
    assert words.logs_words("Willet", [PAGE]) == (
        "Willet: 1 load log, KV 3871 at work, 31.4 mΩ with leads and speed control."
    )
    blind = replace(PAGE, answer=replace(ANSWER, separated=False), figures={})
    assert words.logs_words("Willet", [PAGE, blind]).endswith("speed control in 1 of them.")
    assert "none of which" in words.logs_words("Willet", [blind])


def test_everything_a_header_can_be_has_a_key_and_words():
    assert set(words.READS) == set(MEANINGS)
    keys = [key for key, _ in words.READS.values()]
    assert len(set(keys) | {"x", "u"}) == len(keys) + 2


@pytest.mark.parametrize(
    ("column", "what", "stated", "said"),
    [
        ("time_s", "time", "", "time"),
        ("time_ms", "time", "", "time, ms"),
        ("time_s", "time", "s", "time, s"),
        ("voltage_v", "voltage_v", "", "battery voltage"),
        ("voltage_mv", "voltage_v", "", "battery voltage, mV"),
        ("motor_temp_f", "motor_temp_c", "", "motor temperature, °F"),
        ("throttle_pct", "throttle", "%", "throttle"),
        ("date", "date", "", "day"),
    ],
)
def test_what_a_header_is_read_as(column, what, stated, said):
    assert words.read_as(column, what, stated) == said

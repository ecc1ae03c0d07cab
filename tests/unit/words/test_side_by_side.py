"""Side by side in words: what is said on top, and how figures, differences and doubts are written."""

from datetime import datetime

import pytest

from pitbench.desk.answers import Basis, CompareAnswer, Difference, FigureBeside, FigureOf, SideBySide
from pitbench.records.units import Units
from pitbench.words import side_by_side as words
from pitbench.words.side_by_side import SHOWN, page, title

BY_NAME = {each.figure: each for each in SHOWN}
PAIR = ("Whio", "Heron")
NOTHING = FigureBeside([FigureOf(None, None, None, 0)] * 2, [Difference(PAIR, None, None, None, None, None)])


def figure(one, other, half, better=None, chance=0.6):
    """Two values and what lies between them, half nine tenths either way."""
    values = [FigureOf(each, each - half, each + half, 3) for each in (one, other)]
    mean = one - other
    return FigureBeside(values, [Difference(PAIR, mean, mean - half, mean + half, better, chance)])


def beside(likelier="Whio", **figures):
    """By hand: what is named, all else nobody measured."""
    told = {each: figures.get(each, NOTHING) for each in BY_NAME}
    return SideBySide(
        answer=CompareAnswer(list(PAIR), Basis(timing_deg=42.0, motor_temp_c=25.0), told),
        class_="club 13.5T",
        power_pct=figures.get("load_power_w", NOTHING),
        runs={},
        likelier={name: {PAIR: likelier} for name in BY_NAME},
    )


KV = figure(3960.0, 3921.0, 9.0, "Whio", 0.99)
CURRENT = figure(3.91, 3.80, 0.04, "Heron", 0.97)
POWER = figure(0.3, -0.2, 1.1)


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({}, "Whio beside Heron: no figure was read of both."),
        ({"load_power_w": POWER}, "Whio beside Heron: no difference is real yet, all of it may be luck."),
        (
            {"kv_rpm_per_v": KV, "load_power_w": POWER},
            "Whio beside Heron: one figure differs for real, the rest may be luck. Whio is better in KV. "
            "Power at load: cannot tell.",
        ),
        (
            {"kv_rpm_per_v": KV, "load_power_w": figure(0.3, -0.2, 0.9, chance=0.78)},
            "Whio beside Heron: one figure differs for real, the rest may be luck. Whio is better in KV. "
            "Power at load: likelier Whio, 78 in 100.",
        ),
        (
            {"kv_rpm_per_v": KV, "no_load_current_a": CURRENT},
            "Whio beside Heron: two figures differ for real. Whio is better in KV, Heron in current.",
        ),
        (
            {"load_power_w": figure(1.0, -1.0, 0.5, "Whio", 0.99)},
            "Whio beside Heron: one figure differs for real. Whio is better in power at load.",
        ),
    ],
)
def test_the_sentence_on_top(figures, said):
    assert title(beside(**figures)) == [said]


def test_work_and_motors_that_are_not_compared_are_said_behind_it():
    work = {"what": "bearings", "now": "cleaned", "written_at": "2026-05-17T09:40"}
    found = beside(kv_rpm_per_v=KV)
    found = SideBySide(**{**vars(found), "since": {"Whio": work}, "worked": {"Heron": work}, "guests": ["Heron"]})
    assert title(found, datetime(2026, 5, 17, 14))[1:] == [
        "Whio as it is since: bearings cleaned today 09:40.",
        "Heron: bearings cleaned today 09:40, untested since, so its ranges are wide.",
        "Heron is not in the ranking: taken in here, which may move figures a little.",
    ]
    found = SideBySide(**{**vars(found), "since": {}, "worked": {}, "guests": [], "why_not": {"Heron": "no_run"}})
    assert title(found)[1:] == ["Heron is not compared: no bench run yet."]


@pytest.mark.parametrize(
    ("name", "of_figure", "value", "difference"),
    [
        ("kv_rpm_per_v", KV, "3960", "+39 ±9"),
        ("no_load_current_a", CURRENT, "3.91", "+0.11 ±0.04"),
        ("sensor_spread_deg", figure(0.30, 0.52, 0.04), "0.30", "-0.22 ±0.04"),  # one more, else the doubt were ±0.0
        ("load_power_w", POWER, "+0.3", "+0.5 ±1.1"),
        ("finish_temp_c", figure(70.0, 75.0, 4.0), "70", "-5 ±4"),
        ("pole_imbalance_pct", figure(2.0, 2.04, 0.3), "2.0", "+0.0 ±0.3"),
    ],
)
def test_a_figure_is_written_with_its_doubt(name, of_figure, value, difference):
    found = beside(**{name: of_figure})
    assert words.value_text(found, BY_NAME[name], "Whio", Units()) == value
    assert words.difference_text(found, BY_NAME[name], *PAIR, Units()).replace("-0.0", "+0.0") == difference


def test_fahrenheit_turns_temperatures_and_differences():
    found, shown = beside(finish_temp_c=figure(70.0, 75.0, 4.0)), BY_NAME["finish_temp_c"]
    units = Units("F")
    assert words.value_text(found, shown, "Whio", units) == "158" and words.unit_of(shown, units) == "°F"
    assert words.difference_text(found, shown, *PAIR, units) == "-9 ±7"
    assert words.difference_text(found, shown, *PAIR, units, turned=True) == "+9 ±7"
    assert "All at 77 °F and 42.0° timing" in words.conditions(found.answer.basis, units)


def test_the_better_one_is_named_from_70_in_100_on():
    def said(chance, better=None):
        return words.better_words(beside(kv_rpm_per_v=figure(1.0, 2.0, 1.0, better, chance)), "kv_rpm_per_v", *PAIR)

    assert said(0.62) == ("cannot tell", "") and said(0.86) == ("Whio", "86") and said(0.999, "Whio")[1] == "over 99"
    assert words.better_words(beside(), "kv_rpm_per_v", *PAIR) == ("", "")


def test_not_equalised_is_said():
    assert words.conditions(Basis(), Units()).startswith("All at own warmth and own timing, not equalised,")


def test_the_page_of_the_command_has_a_line_a_figure_under_its_heads():
    lines = page(beside(kv_rpm_per_v=KV, no_load_current_a=CURRENT), Units())
    head = next(line for line in lines if "difference" in line)
    kv = next(line for line in lines if line.startswith("KV "))
    assert kv.index("3921") + 4 == head.index("Heron") + 5 and kv.index("Whio") == head.index("better")
    assert sum(line.startswith(tuple(each.label for each in SHOWN)) for line in lines) == len(SHOWN)

"""What headers likely are by their numbers, where no word says it."""

import pytest

from pitbench.sheets import load_log, log_values
from tests.unit.desk.load_logs import load_log as text_of_log

UNNAMED = ("a", "b", "x", "n", "y", "p", "q")


@pytest.fixture
def looked(tmp_path):
    def looking(text):
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        head = load_log.look(path)
        return head, log_values.seen(path, head)

    return looking


def test_time_voltage_current_and_speed_are_known_by_their_numbers(looked):
    head, seen = looked(text_of_log(headers=UNNAMED))
    found = log_values.likely(head, seen)
    assert found == {"time_s": "a", "rpm": "n", "voltage_v": "b", "current_a": "x"}


def test_words_and_units_come_before_numbers(looked):
    head, seen = looked(text_of_log(headers=("a", "Strom", "Battery V", "n", "y", "p", "q")))
    found = log_values.likely(head, seen)
    assert (found["current_a"], found["voltage_v"]) == ("Strom", "Battery V")


def test_of_two_that_would_do_none_is_taken(looked):
    rows = "".join(f"{n},{7.4 - n / 1000},{7.5 - n / 1000},{20000 + n % 7},{20 * (n % 2)}\n" for n in range(200))
    head, seen = looked(f"a,b,c,d,e\n{rows}")
    assert log_values.likely(head, seen) == {"time_s": "a", "rpm": "d", "current_a": "e"}


def test_what_is_seen_is_from_all_over_the_file_and_rubbish_is_not_seen(looked):
    lines = text_of_log(pulls=40).splitlines()
    lines[1000] = "65535,65.535,655.35,65535,255,255,255"
    _, seen = looked("\n".join(lines))
    time, volts, _, rpm, *_ = seen
    assert time.rises and time.high > 140 and volts.high < 9 and rpm.high < 40_000


def test_clock_times_and_blank_columns_are_no_numbers(looked):
    rows = "".join(f"14:02:{n % 60:02d};;7,4;{n}\n" for n in range(90))
    _, seen = looked(f"Zeit;leer;U;I\n{rows}")
    assert (seen[0].first, seen[0].low) == ("14:02:00", None) and seen[1].first == ""
    assert (seen[2].low, seen[2].high) == (7.4, 7.4)

"""Lap texts. Oracle for times: Python's own timedelta, and fractions added by hand; no outside table exists for it."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.laps import lap_times_text, laps_text, read_lap_times, read_laps, read_time, time_text
from pitbench.records.numbers import Unreadable

HUNDREDTHS = st.integers(100, 360_000)
LAPS = st.lists(HUNDREDTHS, min_size=1, max_size=40)


@given(HUNDREDTHS)
def test_a_time_is_read_as_timedelta_counts_it(hundredths):
    seconds = hundredths / 100
    assert read_time(time_text(seconds)) == pytest.approx(timedelta(seconds=seconds).total_seconds(), abs=1e-9)
    assert read_time(time_text(seconds).replace(".", ",")) == read_time(time_text(seconds))


@given(st.integers(0, 500), HUNDREDTHS)
def test_laps_and_time_come_back(laps, hundredths):
    assert read_laps(laps_text(laps, hundredths / 100)) == (laps, hundredths / 100)


@given(LAPS, st.sampled_from([" ", "\n", "\r\n", "\t", ";", "; ", ", ", ",", " \t\n"]), st.booleans())
def test_laps_are_read_whatever_parts_them(laps, parting, minutes):
    times = [f"{lap // 6000}:{lap % 6000 / 100:05.2f}" if minutes else f"{lap / 100:.2f}" for lap in laps]
    assert read_lap_times(parting.join(times)) == tuple(lap / 100 for lap in laps)


@given(LAPS, st.sampled_from([" ", "\n", "\t", ";", ", "]))
def test_laps_with_a_decimal_comma_are_read(laps, parting):
    assert read_lap_times(parting.join(f"{lap / 100:.2f}".replace(".", ",") for lap in laps)) == tuple(
        lap / 100 for lap in laps
    )


@given(LAPS)
def test_what_a_form_holds_comes_back(laps):
    kept = tuple(lap / 100 for lap in laps)
    assert read_lap_times(lap_times_text(kept)) == kept


@pytest.mark.parametrize("mark", ["", ".", ")", ":"])
def test_numbered_laps_lose_their_numbers(mark):
    assert read_lap_times(f"1{mark} 14.53\n2{mark} 14.60\n3{mark} 14,71") == (14.53, 14.6, 14.71)


def test_laps_of_a_second_and_two_are_no_numbers():
    assert read_lap_times("1 2 3") == (1.0, 2.0, 3.0)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("22/5:03.4", (22, 303.4)),
        ("22/5:03,4", (22, 303.4)),
        ("22/303.4", (22, 303.4)),
        ("22 5:03.4", (22, 303.4)),
        ("22 / 5:03", (22, 303)),
        ("22", (22, None)),
        ("22/", (22, None)),
        ("5:03", (None, 303)),
        ("303.4", (None, 303.4)),
        ("0/0:12.5", (0, 12.5)),
    ],
)
def test_laps_and_time_in_one_entry(text, found):
    assert read_laps(text) == found


@pytest.mark.parametrize(
    "text", ["22/5.03.4", "a/5:03", "22/5:63", "1/2/3", "-3/5:00", "22/0:00", f"22/{'9' * 400}:00"]
)
def test_what_is_no_laps_and_time_says_what_would_be(text):
    with pytest.raises(Unreadable, match="would be"):
        read_laps(text)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("14.53 fast 14.60", "has the lap fast, which is no time, write it like 14.53 or 0:14.53"),
        ("14,53,14,60", "has commas that may part laps or be decimal signs, put blanks between the laps"),
        (
            f"14.53 {'9' * 400}:00",
            "has the lap 999999999999…, which is no number, one between 1 and 3600 s would be right",
        ),
        ("14.53 0.2", "has the lap 0.2, which is not possible, 1 to 3600 s would be"),
    ],
)
def test_a_lap_that_cannot_be_read_is_named(text, why):
    with pytest.raises(Unreadable) as refused:
        read_lap_times(text)
    assert str(refused.value) == why

"""Numbers as people type them: what is read, in which unit, and that everything else is refused in one clause."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.fields import QUANTITIES
from pitbench.records.numbers import Unreadable, checked, example, read_number, shown

NAMES = st.sampled_from(sorted(QUANTITIES))


def possible(name: str) -> st.SearchStrategy[float]:
    quantity = QUANTITIES[name]
    low, high = quantity.possible
    if quantity.whole:
        return st.integers(int(low) // 2, int(high) // 2).map(lambda half: float(2 * half)).filter(lambda n: n >= low)
    return st.floats(low, high, allow_subnormal=False)


@given(st.data(), NAMES)
def test_a_number_shown_is_read_again_with_point_or_comma(data, name):
    number = data.draw(possible(name))
    for text in (shown(number), shown(number).replace(".", ","), f" {shown(number)} {QUANTITIES[name].unit}"):
        assert read_number(text, QUANTITIES[name]) == number


@given(st.data(), NAMES, st.sampled_from(",.'’"))
def test_a_sign_between_thousands_is_taken_for_the_decimal_sign_where_that_is_possible(data, name, sign):
    low, high = QUANTITIES[name].possible
    number = data.draw(st.integers(max(1000, math.ceil(low)), max(1000, int(high))))
    text, decimal = f"{number:,}".replace(",", sign), number / 1000
    if sign in ",." and number < 1_000_000 and low <= decimal <= high and not QUANTITIES[name].whole:
        assert read_number(text, QUANTITIES[name]) == decimal
    elif low <= number <= high and not QUANTITIES[name].whole:
        assert read_number(text, QUANTITIES[name]) == number


@given(st.one_of(st.text(max_size=12), st.text("0123456789.,-+eE xFtinfAVmΩ°C%−٣²", max_size=12)), NAMES)
def test_any_text_is_read_or_refused_in_one_clause(text, name):
    quantity = QUANTITIES[name]
    try:
        number = read_number(text, quantity)
    except Unreadable as why:
        assert str(why).startswith(("is ", "has ", "must "))
        assert "\n" not in str(why)
    else:
        assert quantity.possible[0] <= number <= quantity.possible[1]
        assert isinstance(number, float)


@pytest.mark.parametrize(
    ("text", "name", "number"),
    [
        ("7,2", "test_voltage_v", 7.2),
        ("86F", "motor_temp_c", 30.0),  # NIST SP 811, B.9: t(°C) = (t(°F) − 32)/1.8
        ("212 °F", "motor_temp_c", 100.0),
        ("2.46in", "max_rollout_mm", 62.484),  # NIST SP 811, B.8: 1 inch is 25.4 mm exactly
        ("21.5t", "turns", 21.5),
        ("3 981", "kv_rpm_per_v", 3981.0),
        ("1.234,5", "kv_rpm_per_v", 1234.5),
        ("1,234.5", "kv_rpm_per_v", 1234.5),
        ("3,981", "kv_rpm_per_v", 3981.0),  # 3.981 is no KV
        ("39.210", "rpm", 39210.0),
        ("1.234.567", "erpm", 1234567.0),
        ("3'981", "kv_rpm_per_v", 3981.0),
        ("39’210 rpm", "rpm", 39210.0),
        ("0,0117 ohm", "resistance_mohm", 11.7),
        ("4100 mA", "no_load_current_a", 4.1),
        ("−5", "ambient_c", -5.0),
        ("1e3", "kv_rpm_per_v", 1000.0),
    ],
)
def test_ways_of_writing(text, name, number):
    assert read_number(text, QUANTITIES[name]) == pytest.approx(number, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "name", "right"),
    [
        ("fast", "kv_rpm_per_v", "is no number, write one like 3500"),
        ("", "kv_rpm_per_v", "is no number"),
        ("NaN", "kv_rpm_per_v", "is no number"),
        ("inf", "kv_rpm_per_v", "is no number"),
        ("1e999", "kv_rpm_per_v", "is no number, one between 100 and 100000 rpm/V would be right"),
        ("398200", "kv_rpm_per_v", "is not possible, 100 to 100000 rpm/V would be"),
        ("-4.1", "no_load_current_a", "is not possible, 0.01 to 100 A would be"),
        ("1.2.3", "no_load_current_a", "is no number"),
        ("1.234,567,8", "kv_rpm_per_v", "is no number"),
        ("0,981", "kv_rpm_per_v", "is not possible, 100 to 100000 rpm/V would be"),
        ("3,9810", "kv_rpm_per_v", "is not possible"),
        ("3'9", "kv_rpm_per_v", "has the unit '9"),
        ("7.2 A", "test_voltage_v", "has the unit A, V would be right"),
        ("2.5", "poles", "must be a whole number"),
        ("3", "poles", "must be even"),
    ],
)
def test_what_is_refused_says_what_would_be_right(text, name, right):
    with pytest.raises(Unreadable) as why:
        read_number(text, QUANTITIES[name])
    assert right in str(why.value)


def test_a_bare_number_takes_the_unit_of_its_column_and_a_written_unit_wins():
    quantity = QUANTITIES["motor_temp_c"]
    assert read_number("86", quantity, bare="f") == 30.0
    assert read_number("30 °C", quantity, bare="f") == 30.0


@given(NAMES)
def test_the_example_of_a_sentence_is_itself_right(name):
    quantity = QUANTITIES[name]
    number = read_number(example(quantity), quantity)
    assert quantity.likely[0] <= number <= quantity.likely[1]


@given(NAMES, st.sampled_from([math.nan, math.inf, -math.inf]))
def test_only_finite_numbers_pass(name, number):
    with pytest.raises(Unreadable):
        checked(number, QUANTITIES[name])


@given(NAMES)
def test_the_likely_range_lies_in_the_possible_one(name):
    quantity = QUANTITIES[name]
    assert quantity.possible[0] <= quantity.likely[0] < quantity.likely[1] <= quantity.possible[1]
    assert quantity.meaning.endswith(".")

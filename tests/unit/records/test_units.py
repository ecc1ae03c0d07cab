"""Oracle: exact fractions. 1 in = 25.4 mm and °F = °C x 9/5 + 32 are definitions (NIST SP 811, B.8 and B.9)."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitbench.records.fields import QUANTITIES
from pitbench.records.models import Settings
from pitbench.records.numbers import Unreadable
from pitbench.records.units import Units, units_of
from pitbench.store.logbook import Logbook

IMPERIAL = Units("F", "in")


@given(tenths=st.integers(-300, 2000))
def test_a_temperature_typed_in_the_other_unit_is_the_same_again(tenths):
    stored = tenths / 10
    text = IMPERIAL.typed("finish_reading_c", stored)
    assert Fraction(text).limit_denominator(10**6) == Fraction(tenths, 10) * Fraction(9, 5) + 32
    assert IMPERIAL.read("finish_reading_c", text) == stored


@given(hundredths=st.integers(500, 50_000))
def test_a_length_typed_in_the_other_unit_is_the_same_again(hundredths):
    text = IMPERIAL.typed("tyre_diameter_mm", hundredths / 100)
    assert float(text) == pytest.approx(float(Fraction(hundredths, 100) / Fraction(254, 10)), abs=1e-9)
    assert IMPERIAL.read("tyre_diameter_mm", text) == pytest.approx(hundredths / 100, abs=3e-8)


@pytest.mark.parametrize("name", [name for name in QUANTITIES if QUANTITIES[name].unit not in ("°C", "mm")])
def test_what_has_one_unit_only_stays_as_it_is(name):
    assert IMPERIAL.unit(name) == QUANTITIES[name].unit
    low, high = QUANTITIES[name].likely
    assert IMPERIAL.typed(name, high) == Units().typed(name, high)
    assert IMPERIAL.short(name, low) == Units().short(name, low)


def test_a_written_unit_goes_before_the_setting():
    assert IMPERIAL.read("ambient_c", "30C") == 30
    assert Units().read("ambient_c", "86 °F") == 30
    assert IMPERIAL.read("tyre_diameter_mm", "62.5 mm") == 62.5
    assert IMPERIAL.unit("module") == "mm"  # a module is a module everywhere


def test_an_impossible_number_is_refused_in_the_stored_unit():
    with pytest.raises(Unreadable):
        IMPERIAL.read("ambient_c", "200")


def test_the_setting_is_the_logbooks():
    with Logbook.in_memory() as logbook:
        assert units_of(logbook) == Units()
        logbook.save_settings("units", Settings(temperature_unit="F", length_unit="in"))
        assert units_of(logbook) == IMPERIAL

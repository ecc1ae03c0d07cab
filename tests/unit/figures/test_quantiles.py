"""Points of t and chi-squared against scipy."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.quantiles import chi_squared_point, t_point


@given(st.floats(0.5, 0.9999), st.integers(1, 2000))
def test_student_t(probability, freedom):
    assert t_point(probability, freedom) == pytest.approx(stats.t.ppf(probability, freedom), rel=1e-8, abs=1e-9)


@given(st.floats(0.0005, 0.9995), st.floats(0.5, 6000))
def test_chi_squared(probability, freedom):
    assert chi_squared_point(probability, freedom) == pytest.approx(stats.chi2.ppf(probability, freedom), rel=1e-8)

"""A small sample of the benchmark of load logs: the truth lies where it is said to."""

import numpy as np
import pytest

from tests.benchmarks import load_logs
from tests.benchmarks.load_runs import SMOOTH


@pytest.mark.parametrize("kind", ["speed one row late", "the same, speed one row late"])
def test_truth_within_two_standard_errors(kind):
    told = [each for each in load_logs.outcomes(kind, 16, 0) if each.why is None]
    assert len(told) >= 14
    held = (np.abs([each.off for each in told]) <= 2).mean(axis=0)
    assert held.min() >= 0.8, "a share of 0.95 falls under 0.8 of 16 once in a hundred"
    doubt = np.median([each.doubt_pct for each in told], axis=0)
    assert doubt[0] < 0.5
    assert doubt[1] < 5, "a log that says nothing would hold the truth too"


@pytest.mark.parametrize("kind", SMOOTH)
def test_a_smooth_log_is_not_laid_rows_back_by_its_noise(kind):
    found = [each for each in load_logs.outcomes(kind, 16, 0) if each.why is None]
    assert len(found) >= 12
    assert max(abs(each.lag) for each in found) < 1, "the lag that leaves least is up to three rows off"
    assert (np.abs([each.off for each in found]) <= 2).mean(axis=0).min() >= 0.8

"""A small sample of the benchmark of logged motor temperatures: they never make a forecast much worse."""

import numpy as np

from tests.benchmarks.logged_heat import found_in
from tests.benchmarks.unseen_heat_days import ROWS


def test_logs_narrow_the_forecast_of_a_longer_main_and_hold_it():
    found = found_in(ROWS["main of 8 min after runs of 5"], 5, 0, first=11)
    width = {kind: np.mean([each.half_width for each in one]) for kind, one in found.items()}
    crps = {kind: np.mean([each.crps for each in one]) for kind, one in found.items()}
    assert width["all"] < width["none"]
    assert crps["all"] < 1.15 * crps["none"] and crps["half, can not read then"] < 1.4 * crps["none"]
    assert sum(each.held for each in found["all"]) >= 3

"""What a motor leads by: by hand where only one figure differs, and all figures together make the score."""

import numpy as np
import pytest

from pitbench.figures.comparison import draw
from pitbench.figures.leading import leads_by
from pitbench.figures.ranking import margins_of, score_of, weights_of
from tests.unit.figures.made import compared

NAMES = ("kv_rpm_per_v", "no_load_current_a", "resistance_mohm")


def drawn_of(*motors, gearing="free", spread=()):
    """Motors as (KV, current, mΩ), three runs each; spread: of their sensors."""
    motor = np.repeat(range(len(motors)), 3).tolist()
    columns = [np.repeat(column, 3).tolist() for column in zip(*motors, strict=True)]
    read = dict(zip(NAMES, columns, strict=True))
    if spread:
        read["sensor_spread_deg"] = np.repeat(spread, 3).tolist()
    return draw(compared(read, motor, gearing=gearing), n_draws=400)


@pytest.mark.parametrize(
    ("first", "gearing", "figure"),
    [
        ((3950.0, 4.0, 11.0), "free", "resistance_mohm"),
        ((3950.0, 3.4, 11.6), "free", "no_load_current_a"),
        ((4050.0, 4.0, 11.6), "capped", "kv_rpm_per_v"),
    ],
)
def test_where_one_figure_differs_it_leads_by_that(first, gearing, figure):
    drawn = drawn_of(first, (3950.0, 4.0, 11.6), (3950.0, 4.0, 11.6), gearing=gearing)
    found = leads_by(drawn, 0, {}, {})
    assert max(found, key=found.__getitem__) == figure
    assert sum(abs(found[name]) for name in NAMES if name != figure) < 0.2 * found[figure]


@pytest.mark.parametrize("gearing", ["free", "capped", "unknown"])
def test_what_the_figures_add_is_the_score(gearing):
    """Power is a smooth function of three figures: to first order its parts add up (calculus, no source needed)."""
    drawn = drawn_of((3980.0, 3.9, 11.1), (3950.0, 4.1, 11.6), (3930.0, 3.7, 11.9), gearing=gearing)
    score = score_of(drawn, weights_of({}), margins_of({})).mean(axis=0)
    for motor in range(3):
        assert sum(leads_by(drawn, motor, {}, {}).values()) == pytest.approx(score[motor], abs=0.05)


def test_a_figure_with_weight_counts_with_it():
    drawn = drawn_of((3950.0, 4.0, 11.6), (3950.0, 4.0, 11.6), spread=(0.3, 1.5))
    found = leads_by(drawn, 0, {"sensor_spread_deg": 1.0}, {})
    assert max(found, key=found.__getitem__) == "sensor_spread_deg"
    assert found["sensor_spread_deg"] == pytest.approx(0.6, abs=0.2)  # 1.2° are 2.4 margins of half a percent, halved
    assert "sensor_spread_deg" not in leads_by(drawn, 0, {}, {})

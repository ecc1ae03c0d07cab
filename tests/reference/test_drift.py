"""Published drifts and charts through what judges a motor's levels, and the levels themselves against statsmodels."""

from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.linear_model import GLS, OLS

from pitbench.figures.drift import EITHER, UPWARD, against, drift, wear_shape
from pitbench.figures.estimate import Estimate, Prior
from pitbench.figures.layout import Layout
from pitbench.figures.session_levels import CENTRE_SD, Levels, session_levels
from pitbench.figures.wear_line import wear_line
from tests.reference.test_control_charts import EWMA_X, SHIFTED

# NIST/SEMATECH e-Handbook 1.4.2.7 (data found, results of the page found): a standard resistor over five years.
RESISTOR = np.loadtxt(Path(__file__).parent / "real" / "nist_resistor.csv", skiprows=1)
LINE = {"slope": (0.00020967, 5e-9), "its standard error": (2.092e-06, 5e-10), "t": (100.2, 0.05)}


def independent(values):
    """Levels of one variance that nothing else tells of."""
    n = len(values)
    return Levels(np.arange(n), np.array(values), np.eye(n), np.zeros(n, dtype=int), 0.0, 0)


def test_resistor_drift(published):
    levels = independent(RESISTOR)
    found, span = against(levels, wear_shape(levels)), RESISTOR.size - 1
    got = (found.change[0] / span, found.sd[0] / span, found.t[0])
    for (name, (expected, within)), each in zip(LINE.items(), got, strict=True):
        published(name, each, expected, within)
    assert found.freedom == 998
    assert drift(levels, UPWARD).change > 0 and drift(independent(-RESISTOR), UPWARD) is None


def test_the_line_of_wear_and_its_band_are_those_of_a_regression(published):
    """statsmodels as a judge, on the first readings of the resistor: its band of the mean, with 1.645 for its t."""
    levels = independent(RESISTOR[:60])
    found = wear_line([levels], [1.0])
    columns = np.stack([np.ones(found.along.size), found.along - levels.use.mean()], axis=1)
    judge = OLS(levels.level, np.stack([np.ones(60), levels.use - levels.use.mean()], axis=1)).fit()
    band = judge.get_prediction(columns).se_mean * 1.645
    published("the band", found.band, band, relative=1e-9)
    published("the line", found.line[-1], judge.params[1] * np.ptp(levels.use), relative=1e-9)
    published("an arm", found.arm, np.full(60, 1.645 * judge.mse_resid**0.5), relative=1e-9)
    assert found.level - found.level[0] == pytest.approx(levels.level - levels.level[0])


def test_a_shift_is_dated_where_the_cusum_speaks(published):
    """NIST/SEMATECH e-Handbook 6.3.2.3: the process ran high from group 13 on, and the CUSUM speaks from 14 on."""
    assert all(drift(independent(SHIFTED[:n]), EITHER) is None for n in range(4, 14))
    found = drift(independent(SHIFTED[:14]), EITHER)
    assert found.since == 12
    before, after = SHIFTED[:12], SHIFTED[12:14]
    judge = stats.ttest_ind(after, before)
    published("step in standard errors, scipy", found.change / found.sd, judge.statistic, relative=1e-9)
    assert drift(independent(SHIFTED), EITHER).since == 12


def test_a_chart_in_control_carries_no_flag():
    """NIST/SEMATECH e-Handbook 6.3.2.4: no point of these twenty leaves its limits."""
    assert drift(independent(EWMA_X), EITHER) is None


def made(seed, motors=5, sessions=7):
    """Readings of a layout with states and a slope, and spreads as the engine states them."""
    rng = np.random.default_rng(seed)
    motor, session = (np.repeat(each.ravel(), 2) for each in np.indices((motors, sessions)))
    state = ((motor == 1) & (session > 3)).astype(np.int64)
    levels = np.where(motor == 1, 1 + state, 0)
    hours = rng.uniform(0, 0.5, (motors, sessions)).cumsum(axis=1)[motor, session]
    value = 300 + rng.normal(0, 1, motor.size)
    layout = Layout(
        value=value,
        levels=(motor, session, levels),
        sizes=(motors, sessions, 3),
        weight=rng.uniform(0.5, 1, motor.size),
        covariates=rng.normal(0, 1, (motor.size, 1)),
        stretch=(np.ones(motors), np.ones(sessions), np.array([0.0, 1.0, 1.0])),
        clamping=motor * sessions + session,
    )
    found = Estimate(np.zeros(2), (), np.zeros((2, 1)), np.zeros(0), 0.4, (2.0, 0.5, 0.3, 0.2), 1, np.ones(motor.size), np.ones(2))  # fmt: skip  # noqa: E501
    return layout, Prior(0.2, (1.5, 0.3, 0.3, 0.25), 0.0, ((0.5, 0.3),)), found, hours, state


@pytest.mark.parametrize("motor", [0, 1])
def test_wear_is_that_of_generalised_least_squares(published, motor):
    """All clampings at once in statsmodels, the spreads written out as one covariance."""
    layout, prior, found, hours, state = made(3)
    levels = session_levels(layout, prior, found, hours, state, 0.7)[motor]
    seat, weight = layout.clamping, layout.weight
    total = np.bincount(seat, weight)

    def mean(column):
        return np.bincount(seat, weight * column) / total

    first = np.unique(seat, return_index=True)[1]
    covariance = np.diag(0.2**2 + 0.4**2 / total) + CENTRE_SD**2
    slope, worn = 0.3 * mean(layout.covariates[:, 0]), 0.7 * mean(hours)
    covariance += np.outer(slope, slope)
    of_motor, of_session, of_state = (each[first] for each in layout.levels)
    same = np.equal.outer(of_motor, of_motor)
    covariance += 4.0 * same + 0.25 * np.equal.outer(of_session, of_session)
    covariance += 0.09 * (np.equal.outer(of_state, of_state) & (of_state > 0))
    other = same & (of_motor != motor)
    covariance += other * np.outer(worn, worn)
    own = of_motor == motor
    columns = np.column_stack([own, own * mean(hours)]).astype(float)
    value = mean(layout.value - 0.5 * layout.covariates[:, 0])
    judge = GLS(value - value.mean(), columns, sigma=covariance).fit()
    got, span = against(levels, wear_shape(levels)), np.ptp(levels.use)
    published("wear an hour", got.change[0] / span, judge.params[1], relative=1e-6)
    left = levels.level - wear_shape(levels)[:, 0] * got.change[0]
    weight = np.linalg.inv(levels.covariance)
    left -= (weight @ left).sum() / weight.sum()
    scale = np.sqrt((levels.squares + left @ weight @ left) / got.freedom)
    sd = float(np.sqrt(judge.normalized_cov_params[1, 1]))
    published("its standard error for σ² of 1", got.sd[0] / scale / span, sd, relative=1e-6)


def test_what_is_asked_about_is_kept_out_of_the_scatter():
    """Every motor is asked about beside the same other ones."""
    layout, prior, found, hours, state = made(1)
    levels = session_levels(layout, prior, found, hours, state, 0.7)
    assert set(levels) == set(range(5))
    assert all(each.freedom == 5 * 7 - 7 - 1 + 3 for each in levels.values())

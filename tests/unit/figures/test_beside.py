"""What lies between two motors: held against closed forms and against the tests that textbooks give for such layouts.

Judges: scipy (paired and Welch's t) and statsmodels (mixed model by restricted likelihood). The engine's priors are
weak beside so many readings, so it has to say nearly what these say.
"""

import numpy as np
import pytest
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM

from pitbench.figures.as_set import timing_as_set
from pitbench.figures.beside import apart
from pitbench.figures.comparison import draw
from pitbench.figures.conditions import RunConditions
from pitbench.figures.equalised import equalised
from pitbench.figures.load_power import Load
from pitbench.figures.readings import Comparison, Readings

UNEVEN = "pole_imbalance_pct"


def compared(motor, session, value, n_motors=2):
    """A comparison with readings of one unevenness alone, which no slope touches."""
    n = len(motor)
    runs = RunConditions(motor, session, [0] * n, [None] * n, [None] * n, [None] * n, [None] * n)
    found = Readings(np.array(motor), np.array(session), np.array(value, dtype=float), np.ones(n), np.arange(n))
    return draw(Comparison(n_motors, runs, {UNEVEN: found}, Load("free", 7.6, 0.02, 3.7)))


def between(drawn, better=-1):
    values = drawn.values[UNEVEN]
    return apart(values[:, 0], values[:, 1], better)


@pytest.mark.parametrize(("mean", "sd"), [(0.0, 1.0), (0.7, 0.5), (-2.0, 1.0)])
def test_two_normals_by_their_closed_form(mean, sd):
    rng = np.random.default_rng(3)
    first, second = rng.normal(mean, sd * 0.8, 200_000), rng.normal(0, sd * 0.6, 200_000)
    found, judge = apart(first, second, 1), stats.norm(mean, sd)
    assert (found.difference.low90, found.difference.high90) == pytest.approx(judge.ppf([0.05, 0.95]), abs=0.02 * sd)
    assert found.chance == pytest.approx(max(judge.sf(0), judge.cdf(0)), abs=0.004)
    assert mean == 0 or found.likelier == (0 if mean > 0 else 1)
    assert apart(first, second, -1).likelier == 1 - found.likelier


def test_no_better_side_no_chance_and_of_two_nothings_neither():
    nothing = np.zeros(10)
    assert apart(nothing, nothing, -1).chance == 0.5
    assert apart(nothing, nothing + 1, 0).likelier is apart(nothing, nothing + 1, 0).chance is None


@pytest.mark.parametrize("truth", [0.0, 0.1, 0.2])
def test_in_turn_on_many_evenings_it_is_the_paired_t_test(truth):
    """A reading of each motor on each of 30 evenings, whose moods are large: only what is between the two counts."""
    rng, evenings = np.random.default_rng(11), 30
    mood = rng.normal(0, 0.8, evenings)
    one, other = (3.0 + shift + mood + rng.normal(0, 0.3, evenings) for shift in (truth, 0.0))
    session = np.tile(np.arange(evenings), 2)
    found = between(compared([0] * evenings + [1] * evenings, session, np.concatenate([one, other])))
    judge = stats.ttest_rel(one, other)
    low, high = judge.confidence_interval(0.90)
    assert found.difference.mean == pytest.approx(np.mean(one - other), abs=0.03)
    assert (found.difference.low90, found.difference.high90) == pytest.approx((low, high), abs=0.04)
    assert found.chance == pytest.approx(1 - judge.pvalue / 2, abs=0.05)


@pytest.mark.parametrize("truth", [0.0, 0.4])
def test_each_on_evenings_of_its_own_it_is_welchs_t_test(truth):
    """Moods do not cancel then, and the doubt is that of two groups of evenings."""
    rng, evenings = np.random.default_rng(5), 25
    one, other = (4.0 + shift + rng.normal(0, 0.7, evenings) for shift in (truth, 0.0))
    motor, session = [0] * evenings + [1] * evenings, np.arange(2 * evenings)
    found, judge = (
        between(compared(motor, session, np.concatenate([one, other]))),
        stats.ttest_ind(one, other, equal_var=False),
    )
    low, high = judge.confidence_interval(0.90)
    assert (found.difference.low90, found.difference.high90) == pytest.approx((low, high), abs=0.08)
    assert found.chance == pytest.approx(1 - judge.pvalue / 2, abs=0.06)


def test_unbalanced_it_is_the_mixed_model():
    """Three motors, some missing on some evenings, one to three readings each: evenings and clampings are random."""
    rng, rows = np.random.default_rng(21), []
    mood = rng.normal(0, 0.5, 24)
    for evening in range(24):
        for motor in range(3):
            if rng.random() < 0.75:
                seat = rng.normal(0, 0.3)
                for _ in range(int(rng.integers(1, 4))):
                    rows.append((motor, evening, 5.0 + 0.3 * motor + mood[evening] + seat + rng.normal(0, 0.2)))
    motor, session, value = (np.array(column) for column in zip(*rows, strict=True))
    found = between(compared(motor.tolist(), session.tolist(), value, n_motors=3))
    dummies = np.column_stack([motor == 0, motor == 1, motor == 2]).astype(float)
    seats = {"seat": (motor[:, None] == np.arange(3)).astype(float)}
    judge = MixedLM(value, dummies, groups=session, exog_re=np.ones((value.size, 1)), exog_vc=_nested(session, seats))
    fitted = judge.fit(reml=True)
    contrast = np.array([1.0, -1.0, 0.0])
    mean = float(contrast @ fitted.fe_params)
    error = float(np.sqrt(contrast @ fitted.cov_params()[:3, :3] @ contrast))
    half = (found.difference.high90 - found.difference.low90) / 2
    assert found.difference.mean == pytest.approx(mean, abs=0.25 * error)
    assert half == pytest.approx(stats.norm.ppf(0.95) * error, rel=0.15)


def _nested(session, columns):
    """Variance components within groups, as MixedLM takes them: a column a seat of every evening."""
    from statsmodels.regression.mixed_linear_model import VCSpec

    names, matrices = [], []
    for column in columns.values():
        names.append([[f"seat{at}" for at in range(column.shape[1])] for _ in np.unique(session)])
        matrices.append([column[session == evening] for evening in np.unique(session)])
    return VCSpec(list(columns), names, matrices)


def test_timing_of_two_motors_in_one_evening_is_a_t_test_of_its_readings():
    """Twelve readings each on twelve evenings in turn: moods cancel, and the paired t test says what is left."""
    rng, evenings = np.random.default_rng(8), 12
    mood = rng.normal(0, 0.2, evenings)
    one, other = (42.0 + shift + mood + rng.normal(0, 0.15, evenings) for shift in (0.3, 0.0))
    motor, session = [0] * evenings + [1] * evenings, list(range(evenings)) * 2
    nothing = [None] * (2 * evenings)
    conditions = RunConditions(
        motor, session, [0] * len(motor), nothing, nothing, [*one, *other], [35.0] * (2 * evenings)
    )
    draws, counts = timing_as_set(conditions, np.zeros(len(motor), dtype=np.int64), 2)
    found, judge = apart(draws[:, 0], draws[:, 1], 0), stats.ttest_rel(one, other)
    low, high = judge.confidence_interval(0.90)
    assert counts.tolist() == [evenings, evenings]
    assert (found.difference.low90, found.difference.high90) == pytest.approx((low, high), abs=0.06)


def test_timing_is_of_the_last_setting_and_the_newest_state():
    motor, session = [0, 0, 0, 1, 1], [0, 0, 1, 0, 1]
    timing, mark = [36.0, 42.0, 44.0, 42.0, None], [30.0, 36.0, 36.0, 36.0, 36.0]
    nothing = [None] * 5
    runs = RunConditions(motor, session, [0] * 5, nothing, nothing, timing, mark)
    draws, counts = timing_as_set(runs, np.array([0, 0, 1, 0, 0]), 3)
    assert counts.tolist() == [1, 1, 0] and draws[:, 0].mean() == pytest.approx(44.0, abs=0.4)
    assert draws[:, 2].std() > 3 * draws[:, 1].std()
    assert timing_as_set(RunConditions([0], [0], [0], [None], [None], [None], [None]), np.zeros(1), 1) is None


def test_readings_as_they_compare_scatter_about_the_levels_by_seat_and_noise_alone():
    """Evenings almost a point apart are gone from them; what is left are clampings and noise, as they were drawn."""
    rng, evenings = np.random.default_rng(2), 20
    mood = rng.normal(0, 0.9, evenings)
    value = np.concatenate([10.0 + mood + rng.normal(0, 0.3, evenings) for _ in range(3)])
    drawn = compared([0] * evenings + [1] * evenings + [2] * evenings, np.tile(np.arange(evenings), 3), value, 3)
    left = equalised(drawn)[UNEVEN]
    for motor in range(3):
        own = left[motor * evenings : (motor + 1) * evenings]
        assert own.std() < 0.4 < 0.8 < value.std()
        assert own.mean() == pytest.approx(drawn.values[UNEVEN][:, motor].mean(), abs=0.1)

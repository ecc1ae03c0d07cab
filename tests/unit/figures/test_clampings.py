"""Clampings, states, drift and timing in the engine: against dense matrices, by hand, and by what must not matter."""

from dataclasses import replace

import numpy as np
import pytest

from pitbench.figures import comparison
from pitbench.figures.comparison import draw
from pitbench.figures.conditions import equal_timing, time_of_evening
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.estimate import Prior, estimate
from pitbench.figures.layout import Layout, clampings, relabelled
from pitbench.figures.posterior import LARGEST, SMALLEST
from tests.unit.figures.made import compared, only, runs_of


def crossed(seed):
    """Readings of motors in sessions, most cells empty, weights from a third to one, a covariate; motors × sessions."""
    rng = np.random.default_rng(seed)
    motor, session = rng.integers(0, 5, 30), rng.integers(0, 3, 30)
    weight, covariate = rng.uniform(0.3, 1.0, 30), rng.normal(0, 2, (30, 1))
    value = rng.normal(800, 2, 30)
    return Layout(value, (motor, session), (5, 3), weight, covariate, clamping=relabelled(motor * 3 + session))


@pytest.mark.parametrize("theta", [0.0, 0.3, 1.7])
@pytest.mark.parametrize("seed", range(3))
def test_clampings_eliminated_are_the_dense_covariance(seed, theta):
    """V = I/w + θ²·Z·Z′ over σ²: sums are products by its inverse, and log |V·W| is what was eliminated."""
    layout = crossed(seed)
    found = clampings(layout).sums(np.array([theta]))
    together = np.equal.outer(layout.clamping, layout.clamping)
    covariance = np.diag(1 / layout.weight) + theta**2 * together
    inverse = np.linalg.inv(covariance)
    motors, sessions = (np.eye(size)[level] for level, size in zip(layout.levels, layout.sizes, strict=True))
    rest = np.column_stack([sessions, np.ones(30), layout.covariates, layout.value - found.offset[0]])
    assert found.rest[0] == pytest.approx(rest.T @ inverse @ rest, abs=1e-9)
    assert found.cross[0] == pytest.approx(motors.T @ inverse @ rest, abs=1e-9)
    assert found.count[0] == pytest.approx(np.diag(motors.T @ inverse @ motors))
    assert found.eliminated[0] == pytest.approx(np.linalg.slogdet(covariance * layout.weight)[1])


def with_amps(kv, motor, session, *, other=(), **known):
    """Motors with KV [n], 4 A and whatever `other` says, geared as one likes."""
    read = {KV: kv, CURRENT: [4.0] * len(motor)} | dict(other)
    return compared(read, motor, session, gearing="free", turns=13.5, **known)


def test_a_winding_typed_with_every_run_is_one_reading():
    motor, session = np.repeat([0, 1], 5), [0] * 10
    typed = with_amps([3920.0] * 10, motor, session, other={RESISTANCE: np.repeat([11.4, 11.7], 5)})
    single = only(typed, RESISTANCE, np.array([0, 5]))
    for name in (RESISTANCE, "load_power_w"):
        copied, read = (np.diff(np.log(draw(each).values[name]), axis=1) for each in (typed, single))
        assert copied.std() == pytest.approx(read.std(), rel=0.03) and copied.mean() == pytest.approx(
            read.mean(), abs=5e-4
        )


def test_the_time_of_the_evening_is_counted_from_the_middle_of_each_session():
    runs = runs_of([0, 1, 0, 1], [0, 0, 0, 1], hours=[0.0, 0.5, 1.3, 7.0])
    assert time_of_evening(runs) == pytest.approx([-0.6, -0.1, 0.7, 0.0])
    assert time_of_evening(runs_of([0, 1], [0, 0])).tolist() == [0.0, 0.0]


def test_timing_moves_the_figure_by_its_slope_and_its_doubt_widens_it():
    """Two degrees more at 0.5 % each are 1 %; over the draws the variance of the slope times both doubts is added."""
    timing = [40.3, 39.7, 40.2, 39.8, 42.4, 41.6, 42.3, 41.7]
    motor = np.repeat([0, 1], 4)
    drawn = draw(with_amps([3920.0] * 4 + [3959.4] * 4, motor, [0] * 8, timing=timing, timing_mark=[35.0] * 8))
    plain = np.diff(drawn.estimates[KV].levels(), axis=1)[:, 0]
    slope = drawn.estimates[KV].slope_draws[:, comparison.criteria.slopes_of(KV).index("timing")]
    told = 100 * np.diff(np.log(drawn.values[KV]), axis=1)[:, 0]
    assert slope.mean() == pytest.approx(0.5, abs=0.01)  # one setting each: nothing within a motor to learn it from
    rest = told - (plain - 2.0 * slope)
    assert rest.mean() == pytest.approx(0.0, abs=0.02)
    assert rest.var() == pytest.approx(np.mean(slope**2) * np.sum(drawn.timing.doubt_deg**2), rel=0.1)
    noise = np.sqrt(
        (3 * 0.15**2 + 0.26 + 0.50) / (3 + 6)
    )  # believed as three readings would tell, and both motors' squares
    assert drawn.timing.doubt_deg == pytest.approx([noise / np.sqrt(4)] * 2)


@pytest.mark.parametrize("sessions, wider", [(1, 2.0), (2, 2.0), (3, 1.0)])
def test_the_priors_the_engine_is_given(monkeypatch, sessions, wider):
    """Sessions may lie twice as far apart until three were seen; a tester drifts by one repeatability an hour."""
    seen = []
    original = comparison.estimates
    monkeypatch.setattr(comparison, "estimates", lambda *given, **more: seen.append(given) or original(*given, **more))
    motor, session = np.repeat([0, 1], 3), np.tile(np.arange(3) % sessions, 2)
    draw(with_amps([3920.0] * 6, motor, session))
    kv, current, resistance = seen[0][1][:3]
    assert (kv.scales, kv.slopes[-1]) == ((1.5, 0.3 * wider, 0.25), (0.0, 0.2))
    assert (current.scales, current.slopes[-1]) == ((7.0, 2.0 * wider, 1.25), (0.0, 1.0))
    assert resistance.slopes == ((0.0, 1.0),)


def test_a_motor_that_was_worked_on_is_compared_as_it_is_now():
    """A tenth less current after a cleaning; the other motor ran on both evenings and reads the same."""
    motor, evening = np.repeat([0, 1], 6), np.tile([0, 0, 0, 1, 1, 1], 2)
    work = np.where(motor == 0, evening, 0)
    asked = with_amps([3920.0] * 12, motor, evening)
    amps = replace(asked.of(CURRENT), value=np.where(work == 1, 3.6, 4.0), state=work)
    asked = replace(asked, readings={**asked.readings, CURRENT: amps}, states=(1, 0))
    now = draw(asked).values[CURRENT].mean(axis=0)
    assert 3.58 < now[0] < 3.72 and now[1] == pytest.approx(4.0, abs=0.05)


def brute_force(layout, prior, draws=60_000):
    """Mean and sd of motor 1 less motor 0: spreads from their half-Student priors as far as the engine looks at them,
    σ² from scaled inverse χ², each set weighed by its restricted likelihood with dense covariances, the difference
    normal given them."""
    rng = np.random.default_rng(3)
    scaled = np.abs(rng.standard_t(4, (draws, 3)))
    scaled = scaled[((scaled > SMALLEST) & (scaled < LARGEST)).all(axis=1)]
    taus, draws = scaled * np.array(prior.scales), scaled.shape[0]
    same = [np.equal.outer(label, label) for label in (*layout.levels, layout.clamping)]
    noise = 3 * prior.noise**2 / rng.chisquare(3, draws)
    n = layout.value.size
    covariance = np.einsum("kf,fij->kij", taus**2, np.array(same, dtype=float)) + noise[:, None, None] * np.eye(n)
    inverse = np.linalg.inv(covariance)
    column = inverse.sum(axis=2)
    total = column.sum(axis=1)
    centred = inverse - column[:, :, None] * column[:, None, :] / total[:, None, None]  # the centre is flat
    y = layout.value - layout.value.mean()
    log_weight = -0.5 * (np.linalg.slogdet(covariance)[1] + np.log(total) + np.einsum("i,kij,j->k", y, centred, y))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    contrast = (layout.levels[0] == 1).astype(float) - (layout.levels[0] == 0)
    mean = taus[:, 0] ** 2 * (centred @ y @ contrast)
    variance = 2 * taus[:, 0] ** 2 - taus[:, 0] ** 4 * np.einsum("i,kij,j->k", contrast, centred, contrast)
    return weight @ mean, np.sqrt(weight @ (variance + mean**2) - (weight @ mean) ** 2)


@pytest.mark.parametrize(
    "motor, session, value",
    [
        ([0, 1], [0, 0], [829.0, 829.6]),
        ([0, 0, 0, 1, 1, 1], [0] * 6, [829.0, 829.1, 829.05, 829.5, 829.6, 829.4]),
        ([0, 0, 0, 0, 1, 1, 1], [0, 0, 1, 1, 0, 1, 1], [829.0, 829.1, 829.4, 829.5, 829.5, 829.7, 829.9]),
    ],
    ids=["one reading each", "one clamping each", "two clampings each"],
)
def test_repeats_of_one_clamping_tell_what_brute_force_says(motor, session, value):
    prior = Prior(noise=0.2, scales=(1.5, 0.3, 0.25), centre=827.0)
    motor, session = np.array(motor), np.array(session)
    levels, sizes = (motor, session), (2, int(session.max()) + 1)
    n = motor.size
    layout = Layout(
        np.array(value), levels, sizes, np.ones(n), np.zeros((n, 0)), clamping=relabelled(2 * motor + session)
    )
    mean, sd = brute_force(layout, prior)
    found = np.diff(estimate(layout, prior, n_draws=8000).levels(), axis=1)
    assert found.mean() == pytest.approx(mean, abs=0.04 * sd) and found.std() == pytest.approx(sd, rel=0.04)


@pytest.mark.parametrize("gap, settings", [(0.55, 1), (0.65, 2)])
def test_without_marks_a_gap_of_four_repeatabilities_is_another_setting(gap, settings):
    """A reading of timing repeats to 0.15°; three steps tell nothing else, so 0.6° parts two settings."""
    found = equal_timing(runs_of([0] * 4, [0] * 4, timing=[40.0, 40.02, 40.02 + gap, 40.04 + gap]), 1)
    assert np.unique(found.column.round(6)).size == settings

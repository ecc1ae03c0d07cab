"""Track pace: the pace of one run, motors compared inside days only, runs against their day; MixedLM as an oracle."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from pitbench.figures import laps as lap_times
from pitbench.figures.day_curves import Problem, draw, reduce, solve
from pitbench.figures.laps import BEST, KINDS, LAPS, Reading, better_half_mean, read
from pitbench.figures.pace import NOISE, TrackRuns, laid_out, pace
from tests.benchmarks import track_days

laps = st.lists(st.floats(5, 120), min_size=1, max_size=40)


@settings(max_examples=50)
@given(laps)
def test_the_better_half_lies_between_best_and_average(times):
    found = better_half_mean(times)
    assert min(times) - 1e-9 <= found <= sum(times) / len(times) + 1e-9
    assert better_half_mean(times[::-1]) == found
    assert better_half_mean([*times, *[500.0] * len(times)]) == pytest.approx(sum(times) / len(times))


def test_what_a_racer_wrote_down_decides_how_pace_is_read():
    four = [20.0, 20.2, 24.0, 21.0]
    assert read(four, best_lap_s=19.0, average_lap_s=20.0).lap_s == pytest.approx(20.1)
    assert read([20.0, 21.0]).kind == "best and average"
    assert read(laps=15, run_time_s=303.4, best_lap_s=19.9).kind == "best and average"
    assert read(laps=15, run_time_s=303.4) == read(average_lap_s=303.4 / 15, laps=15)
    assert read(best_lap_s=20.0).kind == "best"
    assert read(best_lap_s=21.0, average_lap_s=20.0).kind == "average"
    assert read() is None and read(laps=0, run_time_s=300.0) is None
    with pytest.raises(ValueError, match="one lap or more"):
        better_half_mean([])


def test_the_less_is_known_the_less_a_run_weighs():
    usual = read([20.0] * 20)
    assert usual.weight == pytest.approx(1) and usual.kind == LAPS
    assert read([20.0] * 40).weight > 1 > read([20.0] * 6).weight
    assert usual.weight > read(best_lap_s=19, average_lap_s=20).weight > read(average_lap_s=20).weight
    assert read(best_lap_s=19).kind == BEST


def test_offsets_of_totals_are_those_of_simulated_runs():
    """Drivers of all kinds: steadiness about 1 %, 2 to 12 laps in a hundred going wrong, 12 to 27 laps a run."""
    rng = np.random.default_rng(2)
    off = {kind: [] for kind in KINDS}
    for _ in range(800):
        steadiness, wrong, loss = np.exp(rng.normal(0, 0.4)), rng.uniform(0.02, 0.12), rng.uniform(5, 15)
        for _ in range(2):
            count = rng.integers(12, 28)
            gone = (rng.random(count) < wrong) * rng.exponential(loss, count)
            times = np.exp((rng.normal(0, steadiness, count) + gone) / 100).tolist()
            total, best = {"laps": int(count), "run_time_s": sum(times)}, {"best_lap_s": min(times)}
            for found in (read(times), read(**total), read(**best), read(**total, **best)):
                off[found.kind].append(100 * np.log(found.lap_s / better_half_mean(times)))
    for name, kind in KINDS.items():
        pairs = np.array(off[name]).reshape(-1, 2)
        extra = np.sqrt(((pairs[:, 0] - pairs[:, 1]) ** 2).mean() / 2)
        between = np.sqrt(max(0.0, pairs.mean(axis=1).var() - extra**2 / 2))
        assert pairs.mean() == pytest.approx(kind.offset, abs=0.1)
        assert extra == pytest.approx(kind.extra_sd, abs=0.1) and between == pytest.approx(kind.offset_sd, abs=0.15)


def runs_of(motor, day, percent, hour=None, rollout=None, n_motors=None):
    """Runs with all their laps, `percent` slower than 20 s."""
    n = len(motor)
    return TrackRuns(
        n_motors or max(motor) + 1,
        list(motor),
        list(day),
        [12.0] * n if hour is None else list(hour),
        [Reading(20 * float(np.exp(each / 100)), LAPS, 1.0) for each in percent],
        [40.0] * n if rollout is None else list(rollout),
    )


def test_a_fast_day_makes_no_fast_motor():
    """Motor 0 on a day 10 % faster than that of motor 1; motor 2 beats each by 1 % on its own day."""
    day = np.repeat([0, 1], 8)
    motor = np.where(np.arange(16) % 2, 2, day)
    found = pace(runs_of(motor, day, 10.0 * day - 1.0 * (motor == 2)))
    apart = found.draws[:, 0] - found.draws[:, 1]
    assert np.mean(apart) == pytest.approx(0, abs=0.02)
    assert found.motors[2].percent.high90 < 0 < found.motors[0].percent.mean
    assert found.counts == (4, 4, 8) and found.enough


def test_motors_that_never_shared_a_day_are_not_compared():
    found = pace(runs_of([0, 0, 0, 1, 1, 1], [0, 0, 0, 1, 1, 1], [0, 0.1, 0, 5, 5.1, 5]))
    assert found.motors == (None, None) and not found.known(0)
    assert found.missing == (8, 3)
    assert (found.draws[:, 0] - found.draws[:, 1]).mean() == pytest.approx(0, abs=0.02)


def test_a_motor_without_runs_is_not_known_and_eight_runs_over_three_motors_are_asked_for():
    some = runs_of([0, 1] * 4, [0] * 8, [0.0, 0.5] * 4, n_motors=3)
    found = pace(some)
    assert [found.known(m) for m in range(3)] == [True, True, False]
    assert found.missing == (0, 1) and not found.enough
    assert found.draws[:, 2].std() > 2 * found.draws[:, 0].std()
    assert pace(runs_of([0, 1, 2], [0] * 3, [0.0] * 3)).missing == (5, 0)
    assert pace(TrackRuns(3, [], [], [], [], [])) is None


def test_drift_of_the_day_is_not_taken_for_motors():
    """The track gets 2 % faster over eight hours and motor 1 runs late; motors alike, run twice at each end as well."""
    hour = np.array([9, 10, 11, 12, 13, 14, 15, 16, 9.5, 15.5])
    motor = [0, 0, 0, 1, 0, 1, 1, 1, 1, 0]
    found = pace(runs_of(motor, [0] * 10, -0.25 * (hour - 9), hour))
    assert found.motors[0].percent.mean == pytest.approx(0, abs=0.12)
    plain = pace(runs_of(motor, [0] * 10, -0.25 * (hour - 9)))
    assert plain.motors[0].percent.mean > 0.1 > 3 * abs(found.motors[0].percent.mean)


def test_the_rollout_slope_is_learned_and_shrunk():
    rng = np.random.default_rng(5)
    rollout = 40 * np.exp(rng.choice([-0.04, 0, 0.04], 60))
    percent = -0.3 * 100 * np.log(rollout / 40) + rng.normal(0, 0.4, 60)
    motor, day = rng.integers(0, 3, 60), np.repeat(np.arange(6), 10)
    found = pace(runs_of(motor, day, percent, rollout=rollout))
    assert -0.33 < found.rollout_slope.mean < -0.2
    few = pace(runs_of([0, 1, 0], [0] * 3, [0.6, 0.0, -0.6], rollout=[39.2, 40.0, 40.8]))
    assert -0.2 < few.rollout_slope.mean < -0.05
    unknown = pace(runs_of(motor, day, percent, rollout=[None] * 60))
    assert unknown.rollout_slope.mean == pytest.approx(0, abs=1e-9)


def test_a_run_of_unknown_rollout_counts_less_by_what_rollout_may_do():
    """Variances add: 0.5 % of a usual run (0.4 % and the better half of 20 laps of 1 %), and 0.15 % for each of 3 %."""
    found = laid_out(runs_of([0, 0], [0, 0], [0.0, 0.0], rollout=[43.0, None]))
    usual = 0.4**2 + 1.0**2 / 10
    assert found.weight[1] / found.weight[0] == pytest.approx(usual / (usual + (0.15 * 3.0) ** 2))


def test_a_run_stands_against_its_day():
    rng = np.random.default_rng(6)
    motor, day = np.tile([0, 1, 2], 8), np.repeat([0, 1], 12)
    percent = 8.0 * day + np.array([-0.5, 0.0, 0.5])[motor] + rng.normal(0, 0.2, 24)
    percent[4] += 4.0
    found = pace(runs_of([*motor, 0], [*day, 2], [*percent, 3.0]))
    against = found.against_its_day(range(25))
    assert against[24] is None
    assert against[4].percent.mean == pytest.approx(4.0, abs=0.4) and not found.fits[4] and all(found.fits[5:])
    expected = percent - 8.0 * day
    errors = [against[i].percent.mean - expected[i] for i in range(24)]
    assert np.max(np.abs(errors)) < 0.35
    seconds = 20 * np.exp(percent[0] / 100) * (1 - np.exp(-against[0].percent.mean / 100))
    assert against[0].seconds.mean == pytest.approx(seconds)
    assert found.against_its_day([4]) == [against[4]]
    beside, weight = found.beside_its_day()
    told = [at for at, each in enumerate(against) if each is not None]
    assert beside[told] == pytest.approx([against[at].percent.mean for at in told], abs=1e-9) and (weight > 0).all()


def test_a_change_of_gears_is_judged_at_its_own_rollout():
    """Longer gears lap 0.9 % quicker here: taken out at equal rollout, left in at the run's own. Drawn, not fitted."""
    rng = np.random.default_rng(8)
    motor, longer = np.arange(60) % 3, np.arange(60) // 3 % 2
    rollout = 40 * np.exp(0.03 * longer)
    found = pace(runs_of(motor, np.repeat(range(3), 20), -0.9 * longer + rng.normal(0, 0.2, 60), rollout=rollout))
    equal, own = (found.against_its_day(range(60), with_rollout=each) for each in (False, True))

    def gained(against):
        percent = np.array([each.percent.mean for each in against])
        return percent[longer == 1].mean() - percent[longer == 0].mean()

    assert gained(own) == pytest.approx(-0.9, abs=0.15)
    assert abs(gained(equal)) < 0.3


def test_draws_are_the_same_every_time_and_in_seconds_of_the_mean_lap():
    season = track_days.draw_days(track_days.World(), 3).runs
    found, again = pace(season), pace(season)
    assert np.array_equal(found.draws, again.draws)
    assert found.draws.shape == (2000, 3)
    centre = found.lap_s * (1 + found.motors[0].percent.mean / 100)
    assert found.draws[:, 0].mean() == pytest.approx(centre, rel=1e-3)
    assert found.motors[0].seconds.low90 == pytest.approx(found.lap_s * np.expm1(found.motors[0].percent.low90 / 100))


rows = st.tuples(
    st.integers(0, 3),
    st.integers(0, 3),
    st.sampled_from([9.0, 12.0, 17.5]),
    st.floats(1, 600),
    st.sampled_from([*KINDS]),
    st.sampled_from([None, 10.0, 44.0, 200.0]),
)


@settings(max_examples=25)
@given(st.lists(rows, min_size=1, max_size=8))
def test_any_runs_give_finite_figures(given_rows):
    motor, day, hour, lap, kind, rollout = zip(*given_rows, strict=True)
    readings = [Reading(s, k, 0.5) for s, k in zip(lap, kind, strict=True)]
    found = pace(TrackRuns(4, motor, day, hour, readings, rollout), n_draws=200)
    assert np.isfinite(found.draws).all() and found.noise > 0
    for each in found.against_its_day(range(len(motor))):
        assert each is None or each.percent.low90 <= each.percent.mean + 1e-9


def unbalanced(seed, days=5, motors=6):
    """A problem without any prior: flat level and slope of every day, flat rollout, motors of unknown spread."""
    rng = np.random.default_rng(seed)
    day = np.sort(np.concatenate([np.repeat(np.arange(days), 5), rng.integers(0, days, 15)]))
    n = day.size
    motor, hour = rng.integers(0, motors, n), rng.uniform(-1, 1, n)
    rollout, effect = rng.normal(0, 3, n), rng.normal(0, 1.0, motors)
    value = 300 + rng.normal(0, 20, days)[day] + rng.normal(0, 1, days)[day] * hour
    value += -0.2 * rollout + effect[motor] + rng.normal(0, 0.5, n)
    columns = np.column_stack([np.equal.outer(motor, np.arange(motors)), rollout]).astype(float)
    problem = Problem(
        value=value,
        weight=np.ones(n),
        day=day,
        curve=np.column_stack([np.ones(n), hour]),
        curve_size=np.array([np.inf, np.inf]),
        columns=columns,
        size=np.array([1.0] * motors + [np.inf]),
        group=np.arange(motors + 1) < motors,
        scale=1.0,
        noise=NOISE,
        fit=np.ones(n),
        believed=0.0,
    )
    return problem, motor, hour, rollout


@pytest.mark.parametrize("seed", range(6))
def test_mixed_lm_finds_the_same(seed):
    """REML of statsmodels' MixedLM: days and their slopes fixed, motors random; priors off."""
    import pandas as pd
    from statsmodels.regression.mixed_linear_model import MixedLM

    problem, motor, hour, rollout = unbalanced(seed)
    frame = pd.DataFrame({"y": problem.value, "day": problem.day, "motor": motor, "hour": hour, "rollout": rollout})
    oracle = MixedLM.from_formula("y ~ 0 + C(day) + C(day):hour + rollout", frame, groups="motor").fit(reml=True)
    reduced = reduce(problem)
    found = minimize_scalar(
        lambda log: -solve(problem, reduced, np.exp(log)).log_likelihood, bounds=(-4, 4), method="bounded"
    )
    theta = float(np.exp(found.x))
    solved = solve(problem, reduced, theta)
    sigma = np.sqrt(solved.left / problem.freedom)
    assert sigma**2 == pytest.approx(oracle.scale, rel=2e-3)
    assert (theta * sigma) ** 2 == pytest.approx(float(oracle.cov_re.iloc[0, 0]), rel=2e-2)
    blups = [float(oracle.random_effects[each].iloc[0]) if each in oracle.random_effects else 0.0 for each in range(6)]
    assert solved.mean[:6] == pytest.approx(blups, abs=3e-3)
    assert solved.mean[6] == pytest.approx(oracle.params["rollout"], abs=1e-3)
    assert sigma * np.sqrt(solved.covariance[6, 6]) == pytest.approx(oracle.bse["rollout"], rel=1e-2)
    level = reduced.mean[:, 0] - reduced.through[:, 0, :] @ solved.mean
    assert level == pytest.approx([oracle.params[f"C(day)[{d}]"] for d in range(5)], abs=5e-3)


def dense(problem, theta, sigma):
    """Posterior mean of β given θ and σ by one covariance matrix of all readings, curves wide but not flat."""
    size = np.where(problem.group, theta, problem.size)
    by_day = [problem.curve * (problem.day == d)[:, None] for d in range(int(problem.day.max()) + 1)]
    everything = np.column_stack([problem.columns, *by_day])
    wide = np.where(np.isinf(problem.curve_size), 1e4, problem.curve_size)
    prior = np.concatenate([size, *[wide] * len(by_day)]) ** 2 * sigma**2
    covariance = (everything * prior) @ everything.T + np.diag(sigma**2 / problem.weight)
    found = prior * (everything.T @ np.linalg.solve(covariance, problem.value - 300))
    return found[: size.size]


@pytest.mark.parametrize("seed", range(4))
def test_days_eliminated_one_by_one_are_the_dense_model(seed):
    problem = laid_out(track_days.draw_days(track_days.World(totals=0.4), seed).runs)
    for theta in (0.1, 1.0, 3.0):
        found = solve(problem, reduce(problem), theta).mean
        assert found == pytest.approx(dense(problem, theta, 0.5), abs=2e-4)


def test_intervals_hold_the_truth_when_the_priors_are_true():
    """Problems drawn from the stated priors: nine in ten, of motors and of the rollout slope."""
    held = []
    for seed in range(120):
        rng = np.random.default_rng(seed)
        layout = laid_out(track_days.draw_days(track_days.World(), seed).runs)
        motors = int(layout.group.sum())
        sigma = np.sqrt(3 * NOISE**2 / rng.chisquare(3))
        beta = sigma * rng.normal(0, np.where(layout.group, abs(rng.normal(0, layout.scale)), layout.size))
        curve = sigma * rng.standard_normal((int(layout.day.max()) + 1, 3)) * np.append(10.0, layout.curve_size[1:])
        noise = sigma / np.sqrt(layout.weight) * rng.standard_normal(layout.day.size)
        value = 300 + (layout.curve * curve[layout.day]).sum(axis=1) + layout.columns @ beta + noise
        drawn = draw(replace(layout, value=value), 1000, 0).columns
        drawn[:, :motors] -= drawn[:, :motors].mean(axis=1, keepdims=True)
        beta[:motors] -= beta[:motors].mean()
        low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
        held.append(((low <= beta) & (beta <= high)).mean())
    assert 0.86 <= np.mean(held) <= 0.94


@pytest.mark.parametrize("name", ["one day, 3 motors", "days of one track"])
def test_stated_intervals_come_true_on_simulated_race_days(name):
    """A small sample of the table of track_days, wider than its limits by what so few seasons leave to chance."""
    row = track_days.sample(track_days.ROWS[name], 50, track_days.REPORTED)
    assert 0.82 <= row.motors <= 0.96 and 0.82 <= row.runs <= 0.96


def test_usual_runs_are_what_the_noise_is_meant_for():
    assert pytest.approx(NOISE) == np.hypot(lap_times.RUN_SD, lap_times.LAP_SD / np.sqrt(10))

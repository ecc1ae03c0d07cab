"""What to test next, against conjugate closed forms and on comparisons made of numbers."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pitbench.figures.comparison import TIMING_SEED, Readings, draw
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.foresight import WORTH_A_READING
from pitbench.figures.next_test import USUAL_MINUTES, Minutes, Scores, next_test
from pitbench.figures.normals import antithetic
from pitbench.figures.ranking import rank
from tests.unit.figures.made import only
from tests.unit.figures.test_ranking import ALIKE, BETTER, compared

N = 10_000
Z = stats.norm.ppf((np.arange(N) + 0.5) / N)
UNSEEN = 0.3
_RNG = np.random.default_rng(5)
COMMON, OTHER = 50 * _RNG.permutation(Z), _RNG.permutation(Z)
"""What one motor alone says little of, and what has nothing to do with the lead."""


def bench(runs, *, noise=0.4, clamping=0.3, sessions=None, lead=(0.3, 1.0), windings=0, motors=2):
    """Two motors of which one figure alone makes the lead, N(lead), each with so many runs in one session or several.

    windings: readings of the resistance, which here is worth nothing.
    """
    figure = lead[0] + lead[1] * Z
    chance = stats.norm.cdf(figure / (UNSEEN * np.sqrt(2)))
    session = [0] * sum(runs) if sessions is None else sessions
    motor = np.repeat([0, 1], runs)
    kv = Readings.of([(m, s, 3900.0, 1.0, i) for i, (m, s) in enumerate(zip(motor, session, strict=True))])
    ohms = Readings.of([(m, 0, 11.5, 1.0, -1) for m in (0, 1)] * windings)
    estimate = SimpleNamespace(
        noise=noise, spreads=(1.0, 0.5, clamping), further_reading=lambda m: COMMON + (figure if m == 0 else 0)
    )
    other = SimpleNamespace(noise=1.0, spreads=(2.0, 0.5, 1.0), further_reading=lambda m: OTHER * (1 + m))
    asked = SimpleNamespace(
        n_motors=motors,
        runs=SimpleNamespace(motor=motor.tolist(), timing=[None] * motor.size),
        of=lambda name: {KV: kv, RESISTANCE: ohms}.get(name, Readings.of([])),
    )
    timing = SimpleNamespace(timing_deg=None)
    drawn = SimpleNamespace(asked=asked, estimates={KV: estimate, RESISTANCE: other}, timing=timing)
    score = np.column_stack([figure, np.zeros(N)])
    return drawn, Scores(score, np.column_stack([chance, 1 - chance]), (0, 1), (0, 1), {KV, RESISTANCE})


def closed(noise_variance, lead=(0.3, 1.0)):
    """Expected highest chance after a lead N(lead) was read with normal noise: bivariate normal, no draws."""
    mean, sd = lead
    shrink = sd**2 / (sd**2 + noise_variance)
    rest = np.sqrt(sd**2 * (1 - shrink) + 2 * UNSEEN**2)
    expected = mean + np.sqrt(shrink) * sd * Z
    return np.maximum(stats.norm.cdf(expected / rest), stats.norm.cdf(-expected / rest)).mean()


def information(runs, noise, clamping):
    """Of the difference of two motors from runs in one session each: by the whole covariance of all readings."""
    motor = np.repeat([0, 1], runs)
    covariance = noise**2 * np.eye(motor.size) + clamping**2 * (motor[:, None] == motor) + 1e6  # the session: unknown
    design = np.where(motor == 0, 0.5, -0.5)[:, None]
    return float(np.linalg.inv(np.linalg.inv(design.T @ np.linalg.inv(covariance) @ design))[0, 0])


@pytest.mark.parametrize("runs", [(1, 1), (2, 2), (2, 5)])
@pytest.mark.parametrize(("noise", "clamping"), [(0.4, 0.0), (0.8, 0.2), (0.6, 0.6)])
def test_further_runs_in_a_clamping_agree_with_the_whole_covariance(runs, noise, clamping):
    found = next_test(*bench(runs, noise=noise, clamping=clamping), USUAL_MINUTES)
    if found is None or found.test != "runs":
        pytest.skip("another test tells more here")
    assert found.motors == (0, 1) and found.minutes == 4 * found.count
    more = information([n + found.count for n in runs], noise, clamping) - information(runs, noise, clamping)
    assert found.chance_expected == pytest.approx(closed(1 / more), abs=0.01)
    assert found.chance_now == pytest.approx(closed(np.inf), abs=1e-3)


def test_where_the_clamping_is_known_to_the_end_only_another_tells():
    """Many repeats: the scatter from clamping to clamping is what is left, and it takes a new session."""
    found = next_test(*bench((40, 40), noise=0.1, clamping=0.8), Minutes(have=15))
    assert (found.test, found.motors, found.minutes) == ("session", (0, 1), 2 * (5 + 2 * found.count))
    assert found.chance_expected == pytest.approx(closed(2 * (0.8**2 + 0.1**2 / found.count)), abs=0.01)


def test_what_can_be_done_now_comes_before_another_day():
    """Even where another day would bring more a minute."""
    drawn, scores = bench((3, 3), noise=0.8, clamping=0.8)
    found = next_test(drawn, scores, USUAL_MINUTES)
    assert found.test == "runs"
    later = max((closed(2 * (0.8**2 + 0.8**2 / k)) - closed(np.inf)) / (2 * (5 + 2 * k)) for k in (1, 2, 3, 4))
    assert (found.chance_expected - found.chance_now) / found.minutes < later


def test_a_motor_that_was_not_in_the_newest_session_is_clamped_first():
    found = next_test(*bench((2, 2), sessions=[1, 1, 0, 0], noise=0.3, clamping=0.1), USUAL_MINUTES)
    assert (found.test, found.motors, found.minutes) == ("runs", (0, 1), 4 * found.count + 5)


def test_the_likeliest_two_are_tested_too_where_the_second_by_score_has_little_chance():
    """Of three motors the second by score is never the best; the third is, half the time."""
    drawn, scores = bench((2, 2), noise=0.4, clamping=0.1, motors=3)
    behind = -3.0 * np.ones((N, 1))
    three = Scores(
        np.hstack([scores.score, behind]), np.hstack([scores.best, 0 * behind]), (0, 2), (0, 1), scores.counting
    )
    found = next_test(drawn, three, USUAL_MINUTES)
    assert (found.test, found.motors) == ("runs", (0, 1))


@settings(max_examples=20)
@given(st.floats(0, 60), st.floats(0.1, 2), st.floats(0, 1))
def test_it_never_takes_longer_than_the_user_has_and_is_worth_it(have, noise, clamping):
    found = next_test(*bench((2, 2), noise=noise, clamping=clamping), Minutes(have=have))
    if found is not None:
        assert 0 < found.minutes <= have
        assert found.chance_expected - found.chance_now >= WORTH_A_READING


def test_nothing_is_worth_testing_where_the_bench_cannot_see_the_lead():
    drawn, scores = bench((2, 2), lead=(0.2, 1e-6))
    assert next_test(drawn, scores, USUAL_MINUTES) is None


def test_an_unmeasured_winding_comes_first_and_clips_are_counted():
    found = rank(draw(compared(BETTER, 6, resistance=False))).next_test
    assert (found.test, found.minutes) == ("winding", 7.0 * len(found.motors) * found.count)
    assert found.chance_expected > found.chance_now + 0.05


def test_of_three_motors_the_one_whose_winding_nobody_read():
    full = compared([(3920.0, 4.0, 11.5), (3925.0, 3.98, 11.4), (3922.0, 4.0, 11.5)], 8, sessions=2)
    found = rank(draw(only(full, RESISTANCE, full.of(RESISTANCE).motor != 2))).next_test
    assert (found.test, found.motors, found.count) == ("winding", (2,), 1)


def test_the_first_winding_read_is_held_against_another():
    """Alone it would tell nothing of who is better: nobody's level is known."""
    motors = [(3920.0, 4.0, 11.5), (3925.0, 3.98, 11.4), (3922.0, 4.0, 11.5)]
    found = rank(draw(compared(motors, 4, resistance=False))).next_test
    assert found.test == "winding" and len(found.motors) == 2


@pytest.mark.parametrize("usually", [False, True])
def test_a_lead_that_hangs_on_timing_is_settled_by_reading_it(usually):
    """Two percent a degree, a degree of doubt after one reading each; runs that read it anyhow bring it along."""
    drawn, scores = bench((4, 4))
    drawn.asked.runs.timing[:: 1 if usually else 4] = [40.0] * (8 if usually else 2)
    doubt = np.array([0.7, 0.7])
    drawn.timing = SimpleNamespace(timing_deg=40.0, doubt_deg=doubt)
    off = doubt * antithetic(N, 2, TIMING_SEED)
    lead = 0.3 - 2.0 * (off[:, 0] - off[:, 1])
    chance = stats.norm.cdf(lead / (UNSEEN * np.sqrt(2)))
    hangs = replace(scores, score=np.column_stack([lead, 0 * lead]), best=np.column_stack([chance, 1 - chance]))
    found = next_test(drawn, hangs, USUAL_MINUTES)
    assert (found.test, found.motors, found.minutes) == ("runs" if usually else "timing", (0, 1), 4 * found.count)
    readings = 4 if usually else 1
    noise = (2.0 * doubt) ** 2 @ np.full(2, readings / found.count)
    assert found.chance_expected == pytest.approx(closed(noise, (0.3, 2.0 * np.hypot(*doubt))), abs=0.01)


def test_no_time_no_test_and_slow_clips_favour_runs():
    drawn = draw(compared(ALIKE, 2))
    assert rank(drawn, minutes=Minutes(have=1.0)).next_test is None
    slow = rank(drawn, minutes=Minutes(have=60, clips=200.0)).next_test
    assert slow is None or slow.test == "runs"


def test_one_motor_alone_is_never_told_to_be_tested():
    assert rank(draw(compared(ALIKE[:1], 2))).next_test is None


def test_the_same_draws_give_the_same_answer():
    drawn = draw(compared([(3920.0, 4.0, 11.5), (3932.0, 3.9, 11.3)], 2))
    assert rank(drawn).next_test == rank(drawn).next_test
    assert rank(drawn).would_tell_most == rank(drawn).would_tell_most


def test_figures_without_weight_are_no_reason_to_run():
    """CURRENT is read too, yet nothing hangs on it: the answer is the same as without."""
    drawn, scores = bench((2, 2))
    beside = SimpleNamespace(**vars(drawn) | {"estimates": drawn.estimates | {CURRENT: drawn.estimates[RESISTANCE]}})
    assert next_test(beside, scores, USUAL_MINUTES) == next_test(drawn, scores, USUAL_MINUTES)


def of_winding(windings, session=0, alone=None):
    """The same two motors where the resistance alone makes the lead and a run tells nothing; no common part."""
    drawn, scores = bench((2, 2), noise=0.5, clamping=0.7)
    lead = scores.score[:, 0]
    ohms = Readings.of([(m, session, 11.5, 1.0, -1) for m in windings])
    runs = drawn.asked.of(KV)
    drawn.asked.of = lambda name: {KV: runs, RESISTANCE: ohms}.get(name, Readings.of([]))
    estimate = drawn.estimates[KV]
    estimate.further_reading = lambda m: lead if m == 0 else 0 * lead
    drawn.estimates = {KV: drawn.estimates[RESISTANCE], RESISTANCE: estimate}
    return drawn, replace(scores, alone=alone)


def test_every_winding_reading_is_a_contact_of_its_own():
    found = next_test(*of_winding([]), USUAL_MINUTES)
    assert (found.test, found.motors, found.minutes) == ("winding", (0, 1), 14 * found.count)
    assert found.chance_expected == pytest.approx(closed(2 * (0.5**2 + 0.7**2) / found.count), abs=0.01)


@pytest.mark.parametrize(("session", "mood"), [(0, 0.0), (-1, 0.5)])
def test_one_winding_alone_bears_the_mood_of_its_session_unless_another_was_read_in_it(session, mood):
    found = next_test(*of_winding([1], session, alone=(0, RESISTANCE)), USUAL_MINUTES)
    assert (found.test, found.motors, found.minutes) == ("winding", (0,), 7 * found.count)
    expected = closed((0.5**2 + 0.7**2) / found.count + mood**2)
    assert found.chance_expected == pytest.approx(expected, abs=0.01)


def test_one_winding_alone_is_nothing_where_no_other_was_read():
    assert next_test(*of_winding([], alone=(0, RESISTANCE)), USUAL_MINUTES).motors == (0, 1)
    assert next_test(*of_winding([0], alone=(0, RESISTANCE)), USUAL_MINUTES).motors == (0, 1)

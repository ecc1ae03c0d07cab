"""The next build to test: its gain against the knowledge gradient in closed form, and what may be opened for it."""

from itertools import product

import numpy as np
import pytest

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.next_swap import Standing, next_swap, rise_of_best
from pitbench.figures.next_test import Minutes
from pitbench.figures.readings import Parts
from pitbench.figures.swaps import swaps
from tests.unit.figures.made import compared

KINDS = 3
OWN = [(nth, nth, nth) for nth in range(KINDS)]
STANDING = np.array(OWN)


def of(tested):
    return np.array([*tested, *(build for build in product(range(KINDS), repeat=3) if build not in set(tested))])


@pytest.fixture(scope="module")
def pool():
    """Three motors of their own parts, three runs of each on two evenings; their figures differ as motors do."""
    rng = np.random.default_rng(4)
    motor = np.repeat(np.arange(KINDS), 6)
    session = np.tile(np.repeat([0, 1], 3), KINDS)
    read = {
        KV: 3950 * np.exp((1.5 * rng.normal(size=3)[motor] + 0.2 * rng.normal(size=18)) / 100),
        CURRENT: 4 * np.exp((7 * rng.normal(size=3)[motor] + rng.normal(size=18)) / 100),
        RESISTANCE: 12 * np.exp((2 * rng.normal(size=3)[motor] + rng.normal(size=18)) / 100),
        "sensor_spread_deg": 2 + rng.normal(size=3)[motor] / 2,
        "pole_imbalance_pct": 3 + rng.normal(size=3)[motor],
    }
    asked = compared(read, motor, session, gearing="capped")
    return swaps(draw(type(asked)(**{**asked.__dict__, "parts": Parts(of(OWN), (KINDS,) * 3)})))


def knowledge_gradient(mean, tilt):
    """E max(mean + tilt·Z) − max(mean), Z standard normal, by a fine sum: Frazier, Powell & Dayanik (2009)."""
    z = np.linspace(-6, 6, 4001)
    weight = np.exp(-(z**2) / 2)
    return float((mean[:, None] + tilt[:, None] * z).max(axis=0) @ weight / weight.sum() - mean.max())


def test_the_rise_of_the_best_is_the_knowledge_gradient_where_beliefs_are_normal():
    rng = np.random.default_rng(3)
    mix = rng.normal(size=(7, 7))
    drawn = rng.normal(size=(20_000, 7)) @ mix.T + np.linspace(-1, 1, 7)
    about, score = drawn[:, 0], drawn[:, 1:]
    for noise in (0.5, 2.0):
        cov = np.cov(drawn.T)
        expected = knowledge_gradient(score.mean(axis=0), cov[1:, 0] / np.sqrt(cov[0, 0] + noise**2))
        found = rise_of_best(about[None], np.array([0]), np.array([noise]), score)
        assert found[0] == pytest.approx(expected, rel=0.03)


def test_what_a_test_gains_is_what_reweighting_every_draw_by_it_gives(pool):
    """By simulation: a reading made from some draw, every draw weighed by its likelihood, the highest mean then."""
    found = next_swap(pool, Standing(STANDING), Minutes())
    estimates = [pool.drawn.estimates[name] for name in (KV, CURRENT, RESISTANCE)]
    read = np.array([each.further_reading(found.build) - each.further_reading(found.beside) for each in estimates])
    noise = np.array([2 * (each.spreads[-1] ** 2 + each.noise**2 / found.runs) for each in estimates])
    lead = pool.score[:, found.build] - pool.score[:, found.beside]
    slopes = np.linalg.solve(np.cov(read) + np.diag(noise), [np.cov(each, lead)[0, 1] for each in read])
    about, sd = slopes @ read, np.sqrt(slopes**2 @ noise)
    rng, highest = np.random.default_rng(0), []
    for draw_made in rng.integers(0, about.size, 3000):
        likelihood = np.exp(-0.5 * ((about[draw_made] + sd * rng.normal() - about) / sd) ** 2)
        highest.append((likelihood @ pool.score / likelihood.sum()).max())
    expected = np.mean(highest) - pool.score.mean(axis=0).max()
    assert found.gain_pct == pytest.approx(expected, abs=3 * np.std(highest) / np.sqrt(3000))


def test_nothing_gains_more_a_minute_among_fewer_motors(pool):
    """Motors that must not be opened leave fewer tests, none of which can be better."""
    free = next_swap(pool, Standing(STANDING), Minutes())
    for closed in range(KINDS):
        held = next_swap(pool, Standing(STANDING, closed=[closed]), Minutes())
        assert held is None or held.gain_pct / held.minutes <= free.gain_pct / free.minutes + 1e-12
        assert held is None or closed not in held.opened


def test_a_spare_opens_one_motor_and_a_part_of_another_motor_both(pool):
    """Motor 2 was taken apart: its stator and end bell stay with it, its rotor is a spare."""
    standing = Standing(np.array([(0, 0, 0), (1, 1, 1), (2, -1, 2)]))
    found = next_swap(pool, standing, Minutes())
    wanted = pool.of[found.build]
    givers = {
        motor
        for kind in found.moved
        for motor in range(KINDS)
        if standing.motors[motor, kind] == wanted[kind] and motor != found.motor
    }
    assert set(found.opened) == (givers | {found.motor} if found.moved else set())
    swap, runs = 15 * len(found.opened) / 2, 2 * (5 + 2 * found.runs)
    assert found.minutes == pytest.approx(swap + runs)


def test_minutes_that_do_not_suffice_leave_no_test(pool):
    assert next_swap(pool, Standing(STANDING), Minutes(), within=10) is None
    assert next_swap(pool, Standing(STANDING), Minutes(), within=29).minutes == 29  # one swap, one run of each of two


def test_builds_asked_about_alone_sum_up_to_one(pool):
    some = swaps(pool.drawn, among=[0, 5, 9, 20])
    assert sum(build.chance_best for build in some.builds) == pytest.approx(1)
    assert sum(build.score.mean for build in some.builds) == pytest.approx(0, abs=1e-9)
    assert sorted(build.even_place for build in some.builds) == [1, 2, 3, 4]


def test_evenness_is_the_sum_in_margins(pool):
    spread, imbalance = (pool.drawn.values[name] for name in ("sensor_spread_deg", "pole_imbalance_pct"))
    uneven = (spread / 0.5 + imbalance / 1.0).mean(axis=0)
    assert [build.even_place for build in pool.builds] == (np.argsort(np.argsort(uneven)) + 1).tolist()
    best = int(np.argmin(uneven))
    chance = np.mean((spread / 0.5 + imbalance).argmin(axis=1) == best)
    assert pool.even_chance == pytest.approx(chance)

"""A small sample of the table of `parts`, and that its pools are what they are said to be.

Wider than the table's limits by what so few pools leave to chance.
"""

import numpy as np
import pytest

from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from tests.benchmarks import parts
from tests.benchmarks.part_pools import CAUSES, Kind, draw_pool, shares_of

POOLS = 10


@pytest.fixture(scope="module")
def pools():
    kind = parts.ROWS["3×3×3, shares as believed"]
    return [parts.followed(kind, parts.REPORTED + seed) for seed in range(POOLS)]


def test_following_the_advice_gains(pools):
    """Few pools in which the spread of motors is large carry the mean, so that pools are counted as well."""
    row = parts.summed_up(pools)
    assert row.gains["advised"].value > max(0.0, row.gains["at random"].value, row.gains["evenest"].value)
    gains = {way: np.array([pool.gains[way] for pool in pools]) for way in row.gains if way in pools[0].gains}
    assert (gains["advised"] >= 0).mean() >= 0.8  # hardly ever worse than never testing
    assert (gains["advised"] >= gains["evenest"]).mean() >= 0.8
    assert 0 < row.minutes < parts.TESTS * 60


def test_untested_builds_lie_in_their_intervals(pools):
    row = parts.summed_up(pools)
    held = [share.value for share in row.coverage.values()]
    assert min(held) >= 0.78 and np.mean(held) <= 0.985
    assert all(error < 0.05 for error in row.error.values())


@pytest.mark.parametrize("shares", ["causes", "equal", "rest"])
def test_a_build_is_the_sum_of_its_parts_and_a_rest_by_their_shares(shares):
    """Mean squares of the balanced table of all builds, over many pools: textbook expectations."""
    kind, found = Kind((4, 4, 4), shares), []
    for seed in range(60):
        motors = draw_pool(kind, seed).day.motors
        for name, value in zip((KV, CURRENT, RESISTANCE), (motors.kv, motors.current, motors.resistance), strict=True):
            cube = np.log(value).reshape(kind.sizes)
            means = [cube.mean(axis=tuple(set(range(3)) - {at})) for at in range(3)]
            whole = cube - cube.mean()
            rest = whole - sum(
                (mean - cube.mean()).reshape([-1 if at == axis else 1 for axis in range(3)])
                for at, mean in enumerate(means)
            )
            left = (rest**2).sum() / 54
            parts_of = [mean.var(ddof=1) - left / 16 for mean in means]
            found.append((name, np.array([*parts_of, left])))
    for name in (KV, CURRENT, RESISTANCE):
        total = np.sum([each for of, each in found if of == name], axis=0)
        assert total / total.sum() == pytest.approx(shares_of(kind)[name], abs=0.12)


def test_a_swap_loses_no_part():
    kind, rng = Kind((3, 3, 3)), np.random.default_rng(0)
    motors = kind.own
    for _ in range(50):
        motor, build = int(rng.integers(3)), int(rng.integers(27))
        motors = parts.rebuilt(kind, motors, motor, build)
        assert motors[motor] == build
        assert all(sorted(column) == [0, 1, 2] for column in kind.of[motors].T.tolist())


def test_a_pool_is_the_same_every_time_and_its_motors_were_all_run():
    kind = Kind((4, 4, 4))
    pool, again = draw_pool(kind, 7), draw_pool(kind, 7)
    assert pool.tested == kind.own and pool.truth() == pytest.approx(again.truth())
    asked, builds = parts.as_motors(pool)
    assert builds == pool.tested and asked.n_motors == 4
    for name in (*CAUSES,):
        assert np.array_equal(asked.of(name).value, again.day.tested.of(name).value)
        assert [builds[motor] for motor in asked.of(name).motor] == pool.day.tested.of(name).motor.tolist()

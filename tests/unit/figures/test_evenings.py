"""What an evening does to evidence: drift, timing read with noise, one odd motor. Against simulated truth."""

import numpy as np
import pytest

from pitbench.figures.comparison import draw
from pitbench.figures.criteria import CURRENT, KV
from tests.unit.figures.made import compared


def evening(motor, kv, **known):
    """One session of runs in this order, of 4 A, all at one mark."""
    number = [motor[:i].count(m) for i, m in enumerate(motor)]
    read = {KV: kv, CURRENT: np.full(len(motor), 4.0)}
    return compared(read, motor, run_number=number, timing_mark=[35.0] * len(motor), **known)


def apart(comparison, name=KV):
    """Mean and sd of motor 1 less motor 0, percent."""
    value = 100 * np.log(draw(comparison).values[name])
    return (value[:, 1] - value[:, 0]).mean(), (value[:, 1] - value[:, 0]).std()


def test_motors_in_blocks_are_less_sure_than_motors_in_turn_and_drift_is_learned_from_turns():
    """2 σ of KV an hour over two hours; in turn it leaves the difference alone, in blocks it is doubted."""
    rng = np.random.default_rng(2)
    hours = np.linspace(0, 2, 10)
    drift = 3940 * np.exp((0.4 * hours + rng.normal(0, 0.1, 10)) / 100)
    in_turn = apart(evening([0, 1] * 5, drift, hours=hours))
    blocks = apart(evening([0] * 5 + [1] * 5, drift, hours=hours))
    assert abs(in_turn[0]) < 0.1 and blocks[1] > 1.3 * in_turn[1]
    assert abs(blocks[0]) < 2 * blocks[1]  # truly alike, and not told apart


def test_the_doubt_about_timing_is_carried_into_kv():
    """Closed form: 0.5 ± 0.3 % a degree times the doubt of both means, and 0.3 % a degree they lie apart."""
    rng = np.random.default_rng(3)
    motor, kv = [0, 1] * 4, np.full(8, 3940.0)
    exact = draw(evening(motor, kv, timing=np.full(8, 42.0)))
    noisy = draw(evening(motor, kv, timing=42.0 + rng.normal(0, 1.0, 8)))
    sd = [np.diff(100 * np.log(each.values[KV]), axis=1).std() for each in (exact, noisy)]
    own = [
        (0.5**2 + 0.3**2) * np.square(each.timing.doubt_deg).sum() + (0.3 * np.diff(each.timing.away_deg)[0]) ** 2
        for each in (exact, noisy)
    ]
    assert own[1] > 10 * own[0]
    assert sd[1] ** 2 - sd[0] ** 2 == pytest.approx(own[1] - own[0], rel=0.15)


def test_one_very_bad_motor_does_not_spread_the_others():
    """Four motors within 0.2 %: with a fifth 12 % off their intervals are hardly wider, and it stays 12 % off."""
    rng = np.random.default_rng(4)
    level = np.array([3940.0, 3944.0, 3938.0, 3946.0, 3500.0])
    motor = np.tile(np.arange(5), 3)
    kv = level[motor] * np.exp(rng.normal(0, 0.15, 15) / 100)
    five, four = evening(motor.tolist(), kv), evening(motor[motor < 4].tolist(), kv[motor < 4])
    assert apart(five)[1] < 1.5 * apart(four)[1]
    values = draw(five).values[KV]
    assert values[:, 4].mean() == pytest.approx(3500, rel=0.005)

"""Shaft power at load: the score of a ranking, from draws of KV, no-load current and resistance.

Which working point counts depends on what stops the user gearing higher: with free gearing power at a stated current,
with capped gearing power at a stated motor speed. Three-constant model throughout (`motor_model`, `losses`).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from pitbench.figures import losses, motor_model
from pitbench.figures.arrays import Bools, Floats
from pitbench.figures.motor_model import MotorConstants
from pitbench.figures.normals import stratified

Gearing = Literal["free", "capped", "unknown"]
SHARE = {"free": (0.30, 0.55), "capped": (0.20, 0.40)}
"""Working current as a share of the stall current, drawn evenly. Ours, from one physical simulation."""
LEADS_DOUBT, LEAST_LEADS = 0.4, 0.1
"""Standard uncertainty of what the leads are believed to have, and the least they may have, as shares of it. Ours."""


@dataclass(frozen=True)
class Load:
    """voltage: of the pack at load, V; leads: ohm as believed (LEADS_DOUBT); test_voltage: of the bench, V, None where
    nobody wrote it down. loss_share: of the no-load loss at one cell that grows with speed squared, mean and sd.
    working_current: 10 and 90 % points in A at full throttle of a load log, which then take the place of the shares.
    """

    gearing: Gearing
    voltage: float
    leads: float
    test_voltage: float | None
    loss_share: tuple[float, float] = (losses.SPEED_SQUARED_SHARE, losses.SPEED_SQUARED_SHARE_SD)
    working_current: tuple[float, float] | None = None


@dataclass(frozen=True)
class Power:
    """watts [draws × motors]; current: lowest and highest working current in A of the average motor."""

    watts: Floats
    current: tuple[float, float]


def power_at_load(kv: Floats, no_load_current: Floats, resistance: Floats, load: Load, *, seed: int = 99) -> Power:
    """Power of every motor in every draw at one working point a draw, the same for all motors.

    kv in rpm/V as the tester states it, no_load_current in A, resistance in ohm without leads: [draws × motors], even
    number of draws, row i and row i + half a pair. With gearing unknown half of the draws are free, half capped.
    """
    rng = np.random.default_rng([20_260_412, seed])
    test_voltage = load.test_voltage or losses.ONE_CELL_V
    own_kv = motor_model.back_emf_kv(kv * test_voltage, test_voltage, no_load_current, resistance)
    pairs = kv.shape[0] // 2
    leads = load.leads * np.maximum(1 + LEADS_DOUBT * stratified(pairs, 1, seed), LEAST_LEADS)
    motor = MotorConstants(own_kv, no_load_current, resistance + np.tile(leads, (2, 1)))
    capped = np.full(pairs, load.gearing == "capped")
    if load.gearing == "unknown":
        capped[1::2] = True
    share = np.tile(_shares(rng, capped, load.working_current), 2)[:, None]
    s = np.clip(rng.normal(*load.loss_share, pairs), 0, 1)
    loss_share = losses.share_at(test_voltage, np.tile(s, 2)[:, None])
    mean = MotorConstants(motor.kv.mean(axis=1, keepdims=True), 0.0, motor.resistance.mean(axis=1, keepdims=True))
    current = share if load.working_current else share * motor_model.stall_current(mean, load.voltage)
    speed = motor_model.speed_rpm(mean, load.voltage, current)
    own_current = np.where(
        np.tile(capped, 2)[:, None], motor_model.current_at_speed(motor, load.voltage, speed), current
    )
    own_speed = motor_model.speed_rpm(motor, load.voltage, own_current)
    drag = losses.no_load_current_at(no_load_current, own_speed / (kv * test_voltage), loss_share)
    loaded = MotorConstants(motor.kv, drag, motor.resistance)
    watts = motor_model.shaft_power_w(loaded, load.voltage, own_current)
    stall = load.voltage / float(resistance.mean() + load.leads)
    return Power(np.asarray(watts), load.working_current or _current_range(load.gearing, stall))


def _shares(rng: np.random.Generator, capped: Bools, seen: tuple[float, float] | None) -> Floats:
    """Shares of the stall current, or currents in A where a log has seen them, evenly spread within each kind of draw
    and shuffled."""
    share = np.zeros(capped.size)
    for kind, mask in (("free", ~capped), ("capped", capped)):
        low, high = seen or SHARE[kind]
        count = int(mask.sum())
        share[mask] = low + (high - low) * rng.permutation((np.arange(count) + 0.5) / max(count, 1))
    return share


def _current_range(gearing: Gearing, stall: float) -> tuple[float, float]:
    kinds = ("free", "capped") if gearing == "unknown" else (gearing,)
    return min(SHARE[kind][0] for kind in kinds) * stall, max(SHARE[kind][1] for kind in kinds) * stall

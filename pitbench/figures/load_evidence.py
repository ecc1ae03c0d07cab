"""What load logs add to the draws of a comparison: resistance with an offset per car, and Kv under load.

The only place where a log meets the bench. Figures of the bench are estimated first; the draws are then moved to where
the logs want them, each as far as it and the logs are sure (conditional simulation with perturbed readings: exact for
normal draws; G. Evensen, Data Assimilation, 2009, ch. 4, recalled). Only motors that have a log are moved.
"""

from dataclasses import dataclass

import numpy as np

from pitbench.figures.arrays import Floats, Ints
from pitbench.figures.losses import ONE_CELL_V
from pitbench.figures.motor_model import back_emf_kv
from pitbench.figures.normals import antithetic
from pitbench.figures.winding import COPPER_PER_K

KV_SHIFT_PCT, KV_LOG_PCT = 3.0, 0.7
"""How far off the bench Kv under load reads in a car (its timing, its sense of voltage), and how far logs of a car lie
apart (warmth), sd in percent. Ours."""
WINDING_C, WINDING_DOUBT_C = 60.0, 10.0
"""How warm a winding is over a log where no one knows, and how far windings of one car's logs lie apart beyond what is
known; what they share is in the car's offset. Ours."""
FITS = 2.5
"""Standard deviations from which on a log loses weight, by the fourth power as readings of the bench do."""
LEAST_LEFT = 0.3
"""Of a resistance at least this share is left in every draw."""
SEED = 7_100


@dataclass(frozen=True)
class LogReadings:
    """Logs that told Kv and R, columns [n]: motor, car (0 on); kv in rpm/V and resistance in mΩ of motor, leads and
    control, warm, each with its standard error, and their correlation; winding temperature in °C, NaN unknown."""

    motor: Ints
    car: Ints
    kv: Floats
    kv_se: Floats
    resistance: Floats
    resistance_se: Floats
    correlation: Floats
    winding_c: Floats


@dataclass(frozen=True)
class Benched:
    """Draws from the bench [draws × motors]: kv in rpm/V, no-load current in A, resistance in mΩ at 20 °C; the voltage
    of the bench; what leads and control are believed to have, mean and sd in mΩ."""

    kv: Floats
    current: Floats
    resistance: Floats
    test_voltage: float | None
    offset: tuple[float, float]


def informed(bench: Benched, logs: LogReadings) -> tuple[Floats, Floats]:
    """Draws of kv and resistance [draws × motors] after the logs, at the bench's conditions as before.

    Unknowns are R and ln Kv of each motor with a log, and of each car an offset in mΩ and a shift of Kv in percent. A
    log reads R·(1 + α·(T − 20)) + offset and ln Kv + shift. One that does not fit the others loses weight.
    """
    draws = bench.kv.shape[0]
    motors, motor = np.unique(logs.motor, return_inverse=True)
    cars = int(logs.car.max()) + 1
    percent = _back_emf_percent(bench, motors)
    offset = bench.offset[0] + bench.offset[1] * antithetic(draws, cars, SEED)
    shift = KV_SHIFT_PCT * antithetic(draws, cars, SEED + 1)
    known = np.concatenate([bench.resistance[:, motors], percent], axis=1)
    winding = np.where(np.isnan(logs.winding_c), WINDING_C, logs.winding_c)
    warm = 1 + COPPER_PER_K * (winding - 20)
    expected = np.concatenate(
        [known[:, motor] * warm + offset[:, logs.car], percent[:, motor] + shift[:, logs.car]], axis=1
    )
    read = np.concatenate([logs.resistance, 100 * np.log(logs.kv)])
    noise = _noise(logs, bench.resistance[:, logs.motor].mean(axis=0))
    noise = _doubted(read, expected, noise)
    moved = known + _step(known, expected, noise, read)
    resistance, kv = bench.resistance.copy(), bench.kv.copy()
    resistance[:, motors] = np.maximum(moved[:, : motors.size], LEAST_LEFT * resistance[:, motors])
    kv[:, motors] *= np.exp((moved[:, motors.size :] - percent) / 100)
    return kv, resistance


def _back_emf_percent(bench: Benched, motors: Ints) -> Floats:
    """100·ln of the back-EMF constant of each motor with a log [draws × motors with one]."""
    voltage = bench.test_voltage or ONE_CELL_V
    kv, current, ohm = bench.kv[:, motors], bench.current[:, motors], bench.resistance[:, motors] / 1000
    return np.asarray(100 * np.log(back_emf_kv(kv * voltage, voltage, current, ohm)))


def _noise(logs: LogReadings, resistance: Floats) -> Floats:
    """Covariance of what the logs read, all resistances before all Kv [2n × 2n], in mΩ and percent."""
    rows = logs.motor.size
    percent = 100 * logs.kv_se / logs.kv
    both = np.concatenate(
        [
            logs.resistance_se**2 + (resistance * COPPER_PER_K * WINDING_DOUBT_C) ** 2,
            percent**2 + KV_LOG_PCT**2,
        ]
    )
    found = np.diag(both)
    at = np.arange(rows)
    found[at, rows + at] = found[rows + at, at] = logs.correlation * logs.resistance_se * percent
    return found


def _doubted(read: Floats, expected: Floats, noise: Floats) -> Floats:
    """The noise, larger for what lies far from where it is expected."""
    spread = np.sqrt(expected.var(axis=0) + np.diag(noise))
    off = np.abs(read - expected.mean(axis=0)) / spread
    grown = np.maximum(off / FITS, 1) ** 2
    return np.asarray(noise * np.outer(grown, grown))


def _step(known: Floats, expected: Floats, noise: Floats, read: Floats) -> Floats:
    """By how much every draw of the unknowns moves [draws × unknowns]."""
    draws = known.shape[0]
    between = expected - expected.mean(axis=0)
    within = between.T @ between / (draws - 1)
    across = (known - known.mean(axis=0)).T @ between / (draws - 1)
    perturbed = read + antithetic(draws, read.size, SEED + 2) @ np.linalg.cholesky(noise).T
    return np.asarray((perturbed - expected) @ np.linalg.solve(within + noise, across.T))

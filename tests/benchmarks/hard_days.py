"""What goes wrong on benches beyond noise: functions that alter a simulated day, for `World.hidden` and `World.typed`.

Hidden ones act on motors and bench before anything is read; typed ones on the readings on their way into the logbook.
They are used with their amounts filled in (`functools.partial`). Amounts are ours, chosen as a racer would meet them.
"""

from dataclasses import replace

import numpy as np

from pitbench.figures.criteria import CURRENT, KV, RESISTANCE
from pitbench.figures.readings import Comparison
from tests.benchmarks.bench_days import COPPER_PER_K, Bench, Motors

SIGMA = np.array([0.002, 0.010, 0.010])
"""What a tester's repeatability is believed to be, of KV, current and resistance, in log."""
STEPS = {KV: 10.0, CURRENT: 0.1, RESISTANCE: 0.1}
"""What a coarse display shows, in each figure's unit."""


def clamped(motors: Motors, bench: Bench, rng: np.random.Generator, *, sigmas: float) -> tuple[Motors, Bench]:
    """Each motor reads off by so many σ of the figure every time it is clamped."""
    return motors, _clamped(bench, sigmas * SIGMA * rng.standard_normal(bench.clamping.shape))


def clips(motors: Motors, bench: Bench, rng: np.random.Generator, *, pct: float, noise: float) -> tuple[Motors, Bench]:
    """Clips add so many percent to the winding in every clamping, where readings agree to `noise` percent."""
    off = np.zeros_like(bench.clamping)
    off[..., 2] = 0.01 * pct * rng.standard_normal(off.shape[:2])
    return motors, _clamped(replace(bench, noise=np.array([*bench.noise[:2], 0.01 * noise])), off)


def winding_off(motors: Motors, bench: Bench, rng: np.random.Generator, *, mohm: float) -> tuple[Motors, Bench]:
    """All winding readings of one motor are off by so much, either way."""
    motor, ohm = rng.integers(motors.resistance.size), rng.choice([-1.0, 1.0]) * mohm / 1000
    off = np.zeros_like(bench.clamping)
    off[motor, :, 2] = np.log1p(ohm / motors.resistance[motor])
    return motors, _clamped(bench, off)


def winding_warm(motors: Motors, bench: Bench, rng: np.random.Generator, *, kelvin: float) -> tuple[Motors, Bench]:
    """The winding of one motor was read so much warmer than what was written down."""
    off = np.zeros_like(bench.clamping)
    off[rng.integers(motors.resistance.size), :, 2] = np.log1p(COPPER_PER_K * kelvin)
    return motors, _clamped(bench, off)


def drifting(motors: Motors, bench: Bench, rng: np.random.Generator, *, sigmas: float) -> tuple[Motors, Bench]:
    """The tester drifts: so many σ of every figure an hour, as an sd."""
    return motors, replace(bench, drift=sigmas * SIGMA * rng.standard_normal(3))


def timing_tells(motors: Motors, bench: Bench, rng: np.random.Generator, *, kv_pct: float) -> tuple[Motors, Bench]:
    """Percent of KV a degree of timing."""
    return motors, replace(bench, kv_per_deg=0.01 * kv_pct)


def lagging(motors: Motors, bench: Bench, rng: np.random.Generator) -> tuple[Motors, Bench]:
    """The rotor's warmth is a run behind the can's."""
    return motors, replace(bench, lag=1)


def other_leads(motors: Motors, bench: Bench, rng: np.random.Generator, *, ohm: float) -> tuple[Motors, Bench]:
    """The leads at load are not what is believed."""
    return motors, replace(bench, leads=ohm)


def one_bad_motor(motors: Motors, bench: Bench, rng: np.random.Generator) -> tuple[Motors, Bench]:
    """One motor is of another world: cooked, worn and of more resistance than the others."""
    bad = np.arange(motors.kv.size) == rng.integers(motors.kv.size)
    return replace(
        motors,
        kv=motors.kv * np.where(bad, 0.90, 1.0),
        current=motors.current * np.where(bad, 1.60, 1.0),
        resistance=motors.resistance * np.where(bad, 1.20, 1.0),
    ), bench


def _clamped(bench: Bench, off: np.ndarray) -> Bench:
    return replace(bench, clamping=bench.clamping + off)


def winding_copied(tested: Comparison) -> Comparison:
    """The winding of a clamping is read once, and typed with every run."""
    found = tested.of(RESISTANCE)
    _, first, clamping = np.unique(
        np.stack([found.motor, found.session]), axis=1, return_index=True, return_inverse=True
    )
    return replace(tested, readings={**tested.readings, RESISTANCE: replace(found, value=found.value[first[clamping]])})


def rounded(tested: Comparison) -> Comparison:
    """Figures as a coarse display shows them."""
    readings = {
        name: replace(found, value=np.round(found.value / STEPS[name]) * STEPS[name])
        for name, found in tested.readings.items()
    }
    return replace(tested, readings=readings)

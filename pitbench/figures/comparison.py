"""One comparison: the readings of the motors compared, and draws of what every motor truly has, at equal conditions.

This is the border to the engine: behind it `estimate` turns readings into draws, before it a ranking knows draws only.
Weights and margins of the user come later (`ranking`), so that changing them reuses the draws.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pitbench.figures import conditions, criteria
from pitbench.figures.conditions import RunConditions, Timing, Warmth
from pitbench.figures.criteria import MEASURED
from pitbench.figures.estimate import Estimate, Prior, estimate
from pitbench.figures.load_power import Load, Power, power_at_load
from pitbench.figures.mixed import Layout

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
KV, CURRENT, RESISTANCE = "kv_rpm_per_v", "no_load_current_a", "resistance_mohm"


@dataclass(frozen=True)
class Reading:
    """One reading in the figure's own unit: its motor, session and weight, and the run it came with (None: no run)."""

    motor: int
    session: int
    value: float
    weight: float = 1.0
    run: int | None = None


@dataclass(frozen=True)
class Comparison:
    """Motors 0 to n_motors − 1 in canonical order, conditions of the bench runs, readings by figure, working point.

    Rows stand in canonical order too, so that the order of the logbook never changes a number. Resistances: at 20 °C.
    """

    n_motors: int
    runs: RunConditions
    readings: Mapping[str, Sequence[Reading]]
    load: Load
    turns: float | None = None
    least_resistance_mohm: float | None = None


@dataclass(frozen=True)
class Drawn:
    """A comparison with its estimates, and values [draws × motors] and counts [motors] of every figure."""

    asked: Comparison
    warmth: Warmth
    timing: Timing
    estimates: Mapping[str, Estimate]
    values: Mapping[str, Floats]
    power: Power
    counts: Mapping[str, Ints]

    def runs(self, name: str, motor: int) -> int:
        """Readings a figure stands on; one worked out from others stands on the runs that have both KV and current."""
        return int(self.counts[name][motor]) if name in self.counts else 0

    def known(self, name: str, motor: int) -> bool:
        """Whether readings carry the figure and not priors.

        Power needs KV and current of this motor and a resistance of some motor, else its level in watts were a guess.
        """
        if name not in ("load_power_w", "speed_per_amp"):
            return self.runs(name, motor) > 0
        both = self.runs(KV, motor) > 0 and self.runs(CURRENT, motor) > 0
        return both and (name == "speed_per_amp" or bool(self.counts[RESISTANCE].any()))


def draw(comparison: Comparison, *, n_draws: int = 4000) -> Drawn:
    """Estimate every figure of a comparison. Deterministic: the same comparison always gives the same draws."""
    warmth = conditions.equal_warmth(comparison.runs)
    timing = conditions.equal_timing(comparison.runs, comparison.n_motors)
    estimates = {
        name: estimate(
            _layout(comparison, name, warmth, timing),
            _prior(comparison, name, warmth),
            n_draws=n_draws,
            seed=seed,
        )
        for seed, name in enumerate(MEASURED)
    }
    values = {name: _in_unit(name, found.levels()) for name, found in estimates.items()}
    power = power_at_load(values[KV], values[CURRENT], values[RESISTANCE] / 1000, comparison.load)
    values["load_power_w"] = power.watts
    values["speed_per_amp"] = values[KV] / values[CURRENT]
    return Drawn(comparison, warmth, timing, estimates, values, power, _counts(comparison))


def _counts(comparison: Comparison) -> dict[str, Ints]:
    """Readings of every figure by motor."""
    motors = {name: [reading.motor for reading in comparison.readings.get(name, ())] for name in MEASURED}
    kv, current = ({(r.motor, r.run) for r in comparison.readings.get(name, ())} for name in (KV, CURRENT))
    motors["load_power_w"] = motors["speed_per_amp"] = [motor for motor, _ in kv & current]
    return {
        name: np.bincount(np.array(found, dtype=np.int64), minlength=comparison.n_motors)
        for name, found in motors.items()
    }


def _layout(comparison: Comparison, name: str, warmth: Warmth, timing: Timing) -> Layout:
    """Readings of one figure on the scale of the engine, with its warmth and timing columns."""
    found = comparison.readings.get(name, ())
    value = np.array([reading.value for reading in found], dtype=float)
    weight = np.array([reading.weight for reading in found], dtype=float)
    if name == KV:
        weight *= _of_run(found, warmth.weight, 1.0)
    columns = [warmth.column] * (name == KV) + [timing.column] * (name in criteria.TIMING_SLOPE)
    motor = np.array([reading.motor for reading in found], dtype=np.int64)
    named, session = np.unique([reading.session for reading in found], return_inverse=True)
    return Layout(
        value=100 * np.log(value) if MEASURED[name].relative else value,
        levels=(motor, session.astype(np.int64)),
        sizes=(comparison.n_motors, named.size),
        weight=weight,
        covariates=np.array([_of_run(found, column, 0.0) for column in columns]).reshape(len(columns), len(found)).T,
    )


def _of_run(found: Sequence[Reading], column: Floats, otherwise: float) -> Floats:
    return np.array([otherwise if reading.run is None else column[reading.run] for reading in found])


def _prior(comparison: Comparison, name: str, warmth: Warmth) -> Prior:
    criterion = MEASURED[name]
    usual = {
        KV: criteria.usual_kv(comparison.turns),
        CURRENT: criteria.usual_no_load_current(comparison.turns),
        RESISTANCE: criteria.usual_resistance_mohm(comparison.turns, comparison.least_resistance_mohm),
    }
    centre = 100 * float(np.log(usual[name])) if name in usual else 0.0
    slopes = (warmth.slope,) * (name == KV)
    if name in criteria.TIMING_SLOPE:
        slopes += (criteria.TIMING_SLOPE[name],)
    return Prior(criterion.noise, (criterion.motor_sd, criterion.session_sd), centre, slopes)


def _in_unit(name: str, draws: Floats) -> Floats:
    """Draws in the figure's unit; an unevenness cannot be negative."""
    return np.exp(draws / 100) if MEASURED[name].relative else np.maximum(draws, 0.0)

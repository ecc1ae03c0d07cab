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
from pitbench.figures.estimate import Estimate, Prior, Readings, estimate
from pitbench.figures.load_power import Load, Power, power_at_load

Floats = NDArray[np.float64]
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
    """A comparison with its estimates, and values [draws × motors] of every figure in its unit."""

    asked: Comparison
    warmth: Warmth
    timing: Timing
    estimates: Mapping[str, Estimate]
    values: Mapping[str, Floats]
    power: Power

    def readings(self, name: str, motor: int) -> list[Reading]:
        """Readings of a measured figure of one motor."""
        return [reading for reading in self.asked.readings.get(name, ()) if reading.motor == motor]

    def runs(self, name: str, motor: int) -> int:
        """Readings a figure stands on; one worked out from others stands on the runs that have both KV and current."""
        if name in MEASURED:
            return len(self.readings(name, motor))
        if name not in self.values:
            return 0
        kv, current = ({reading.run for reading in self.readings(part, motor)} for part in (KV, CURRENT))
        return len(kv & current)

    def known(self, name: str, motor: int) -> bool:
        """Whether readings carry the figure and not priors.

        Power needs KV and current of this motor and a resistance of some motor, else its level in watts were a guess.
        """
        if name in MEASURED:
            return bool(self.readings(name, motor))
        both = bool(self.readings(KV, motor)) and bool(self.readings(CURRENT, motor))
        if name == "load_power_w":
            return both and bool(self.asked.readings.get(RESISTANCE))
        return name == "speed_per_amp" and both


def draw(comparison: Comparison, *, n_draws: int = 4000) -> Drawn:
    """Estimate every figure of a comparison. Deterministic: the same comparison always gives the same draws."""
    warmth = conditions.equal_warmth(comparison.runs)
    timing = conditions.equal_timing(comparison.runs, comparison.n_motors)
    estimates = {
        name: estimate(
            _readings(comparison, name, warmth, timing),
            comparison.n_motors,
            _prior(comparison, name, warmth),
            n_draws=n_draws,
            seed=seed,
        )
        for seed, name in enumerate(MEASURED)
    }
    values = {name: _in_unit(name, found.draws) for name, found in estimates.items()}
    power = power_at_load(values[KV], values[CURRENT], values[RESISTANCE] / 1000, comparison.load)
    values["load_power_w"] = power.watts
    values["speed_per_amp"] = values[KV] / values[CURRENT]
    return Drawn(comparison, warmth, timing, estimates, values, power)


def _readings(comparison: Comparison, name: str, warmth: Warmth, timing: Timing) -> Readings:
    """Readings of one figure on the scale of the engine, with its warmth and timing columns."""
    found = comparison.readings.get(name, ())
    value = np.array([reading.value for reading in found], dtype=float)
    weight = np.array([reading.weight for reading in found], dtype=float)
    if name == KV:
        weight *= _of_run(found, warmth.weight, 1.0)
    columns = [warmth.column] * (name == KV) + [timing.column] * (name in criteria.TIMING_SLOPE)
    return Readings(
        value=100 * np.log(value) if MEASURED[name].relative else value,
        motor=np.array([reading.motor for reading in found], dtype=np.int64),
        session=np.unique([reading.session for reading in found], return_inverse=True)[1].astype(np.int64),
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
    return Prior(criterion.noise, criterion.motor_sd, criterion.session_sd, centre, slopes)


def _in_unit(name: str, draws: Floats) -> Floats:
    """Draws in the figure's unit; an unevenness cannot be negative."""
    return np.exp(draws / 100) if MEASURED[name].relative else np.maximum(draws, 0.0)

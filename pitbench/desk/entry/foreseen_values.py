"""What is foreseen of a bench run, figure by figure: each on a scale where its spreads are alike, and what they are.

Speed, current and winding as 100·ln, the others as they are. Spreads are those the engine believes beforehand
(`figures/criteria`), of temperatures and timings those that stand here: common practice, no source.
"""

from collections.abc import Callable
from math import log
from typing import NamedTuple

from pitbench.desk import run_figures
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE, usual_kv, usual_no_load_current
from pitbench.figures.foreseen import Normal, Spreads
from pitbench.figures.timing import TOTAL_TOLERANCE_DEG
from pitbench.figures.winding import REFERENCE_C, resistance_20
from pitbench.records.kinds import Row

SPEEDS = ("kv_rpm_per_v", "rpm", "erpm")
UNEVEN = ("pole_imbalance_pct", "hall_level_spread_pct")
TIMING, TOTAL_OFF, RISE, COLD = "timing", "total_off", "rise", "cold"
SENSORS_OFF = ("a_off", "b_off", "c_off")
WARMTH, WARM_AT = 0.07, 25.0
"""Percent of KV a kelvin of the can, and the temperature all is brought to, as in `figures/warmth`, without numpy."""
ANY_AIR = Normal(21.0, 8.0**2)
"""The air, indoors or out, before any was read: °C."""
FAR_APART = 6.0
"""Degrees from which sensors of one motor contradict one another. Ours."""
TWO_CELLS, AT_TWO_CELLS = 5.5, 1.6
"""Volt from which a tester runs motors at two cells, and how much more current they draw there than at one. Ours."""


class Foreseeable(NamedTuple):
    """One figure: its spreads, and where a motor nobody knows anything of may lie, by turns and voltage."""

    spreads: Spreads
    first: Callable[[float | None, float], Normal]


def _variances(noise: float, clamping: float, session: float, motor: float) -> Spreads:
    return Spreads(noise**2, clamping**2, session**2, motor**2)


def _measured(name: str) -> Spreads:
    each = MEASURED[name]
    return _variances(each.noise, each.clamping_sd, each.session_sd, each.motor_sd)


def _plain(mean: float, sd: float) -> Callable[[float | None, float], Normal]:
    return lambda turns, voltage: Normal(mean, sd**2)


def _speed(turns: float | None, voltage: float) -> Normal:
    return Normal(100 * log(usual_kv(turns)), (40.0 if turns is None else 12.0) ** 2)


def _current(turns: float | None, voltage: float) -> Normal:
    amps = usual_no_load_current(turns) * (AT_TWO_CELLS if voltage > TWO_CELLS else 1.0)
    return Normal(100 * log(amps), (60.0 if turns is None else 30.0) ** 2)


def _winding(turns: float | None, voltage: float) -> Normal:
    ohms = 12.0 * ((turns or 13.5) / 13.5) ** 2
    return Normal(100 * log(ohms), (70.0 if turns is None else 25.0) ** 2)


FIGURES = {
    KV: Foreseeable(_measured(KV), _speed),
    CURRENT: Foreseeable(_measured(CURRENT), _current),
    RESISTANCE: Foreseeable(_measured(RESISTANCE), _winding),
    TIMING: Foreseeable(_variances(0.1, 0.1, 0.4, 2.5), _plain(40.0, 8.0)),
    TOTAL_OFF: Foreseeable(_variances(0.2, 0.05, 0.1, 0.2), _plain(0.0, 0.3)),
    **dict.fromkeys(SENSORS_OFF, Foreseeable(_variances(0.15, 0.05, 0.1, 0.5), _plain(0.0, 0.6))),
    UNEVEN[0]: Foreseeable(_measured(UNEVEN[0]), _plain(2.5, 2.5)),
    UNEVEN[1]: Foreseeable(_measured(UNEVEN[1]), _plain(3.5, 3.5)),
    RISE: Foreseeable(_variances(2.0, 1.0, 2.0, 2.0), _plain(7.0, 8.0)),
    COLD: Foreseeable(_variances(0.7, 0.5, 1.0, 0.5), _plain(0.5, 3.0)),
}


def values_of(run: Row, motor: Row | None) -> dict[str, float]:
    """The figures of one run, as far as it has them."""
    found: dict[str, float] = {}
    kv, amps, warm = run_figures.kv_of(run, motor), run.get(CURRENT), run.get("motor_temp_c")
    if kv:
        found[KV] = 100 * log(kv) - (0.0 if warm is None else WARMTH * (warm - WARM_AT))
    if amps:
        found[CURRENT] = 100 * log(amps)
    if ohms := run.get(RESISTANCE):
        found[RESISTANCE] = 100 * log(at_20(ohms, run.get("resistance_temp_c", run.get("ambient_c"))))
    found |= _timings(run)
    for name in UNEVEN:
        if name in run:
            found[name] = run[name]
    if (air := run.get("ambient_c")) is not None:
        if warm is not None:
            found[RISE] = warm - air
        if (cold := run.get("resistance_temp_c")) is not None:
            found[COLD] = cold - air
    return found


def _timings(run: Row) -> dict[str, float]:
    """Timing, and how far total and sensors lie off their mean; nothing where they contradict one another."""
    sensors, total = [run[name] for name in run_figures.SENSORS if name in run], run.get("timing_deg")
    if not sensors:
        return {} if total is None else {TIMING: total}
    mean = sum(sensors) / len(sensors)
    if max(sensors) - min(sensors) > FAR_APART or (total is not None and abs(total - mean) > TOTAL_TOLERANCE_DEG):
        return {}
    if len(sensors) < len(SENSORS_OFF):
        return {TIMING: mean}
    found = {name: value - mean for name, value in zip(SENSORS_OFF, sensors, strict=True)}
    return {TIMING: mean, **found} if total is None else {TIMING: mean, TOTAL_OFF: total - mean, **found}


def at_20(ohms: float, temperature: float | None) -> float:
    """A winding resistance brought to 20 °C; as it is where nobody said how warm it was."""
    return resistance_20(ohms, REFERENCE_C if temperature is None else temperature)

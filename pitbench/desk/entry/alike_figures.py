"""Which numbers of a bench run are held against those of runs like it, and which runs are like it: see `alike`.

Noise and spreads are those the engine believes beforehand (`figures/criteria`); of timings they stand here.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pitbench.desk import run_figures
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE
from pitbench.figures.winding import REFERENCE_C, resistance_20
from pitbench.records.kinds import Row
from pitbench.records.names import name_key

TIMING_NOISE, TIMING_SET = 0.15, 0.5
"""Degrees: of one reading, and how well an end bell is set to its mark again. Common practice, no source."""
TIMING_STEP = 5.0
"""Speed and current of runs without a mark are compared where their timing is alike to so many degrees. Ours."""
TIMINGS = ("timing_deg", *run_figures.SENSORS)
SPEEDS = ("kv_rpm_per_v", "rpm", "erpm")
Group = tuple[Any, ...]


@dataclass(frozen=True)
class AlikeFigure:
    """What is compared: a value of a run on a scale where noise and spreads are alike everywhere.

    besides: what one more reading differs by for reasons all readings of a session share; motor_sd: how far motors of
    a class lie apart, None where they are not compared. group: under which conditions runs are alike, None: with none.
    """

    columns: tuple[str, ...]
    relative: bool
    value: Callable[[Row, Row | None], float | None]
    noise: float
    besides: float
    motor_sd: float | None
    group: Callable[[Row], Group | None]


def _winding(run: Row, motor: Row | None) -> float | None:
    if RESISTANCE not in run:
        return None
    warm = run.get("resistance_temp_c", run.get("ambient_c"))
    return resistance_20(run[RESISTANCE], REFERENCE_C if warm is None else warm)


def _plain(name: str) -> Callable[[Row, Row | None], float | None]:
    return lambda run, motor: run.get(name)


def _voltage_and_timing(run: Row) -> Group:
    """Test voltage to 0.1 V, and the timing mark, else the timing about."""
    voltage, mark = run.get("test_voltage_v"), run.get("timing_mark_deg")
    timing = run_figures.timing_of(run) if mark is None else None
    about = None if timing is None else round(timing / TIMING_STEP)
    return (None if voltage is None else round(voltage, 1), mark, about)


def _mark(run: Row) -> Group | None:
    """Without a mark nobody knows that the timing was not changed on purpose."""
    return (run["timing_mark_deg"],) if "timing_mark_deg" in run else None


def _tester(run: Row) -> Group:
    """Testers state unevenness on scales of their own."""
    return (name_key(run.get("tester", "")),)


def _figures() -> tuple[AlikeFigure, ...]:
    def of(name: str, columns: tuple[str, ...], value: Any, group: Any, classed: bool) -> AlikeFigure:
        each = MEASURED[name]
        motor_sd = each.motor_sd if classed else None
        return AlikeFigure(columns, each.relative, value, each.noise, each.session_sd, motor_sd, group)

    uneven = ("pole_imbalance_pct", "hall_level_spread_pct")
    timings = (AlikeFigure((n,), False, _plain(n), TIMING_NOISE, TIMING_SET, None, _mark) for n in TIMINGS)
    return (
        of(KV, SPEEDS, run_figures.kv_of, _voltage_and_timing, True),
        of(CURRENT, (CURRENT,), _plain(CURRENT), _voltage_and_timing, True),
        of(RESISTANCE, (RESISTANCE,), _winding, lambda run: (), True),
        *(of(name, (name,), _plain(name), _tester, False) for name in uneven),
        *timings,
    )


COMPARED = _figures()

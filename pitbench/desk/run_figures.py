"""What one stored bench run comes to: its KV, timing, spread, idle power. The one place where a row becomes figures.

Rows are plain dicts as stored (no blank fields). Unknown is None.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from pitbench.figures import speed, timing

Row = Mapping[str, Any]
SENSORS = ("timing_a_deg", "timing_b_deg", "timing_c_deg")


def kv_of(run: Row, motor: Row | None) -> float | None:
    """KV at the test voltage in rpm/V: as stated, else from rpm, else from erpm with the motor's poles (else 2).

    A tester that assumed other poles than the motor has is put right, for KV and rpm.
    """
    poles = int((motor or {}).get("poles", 2))
    assumed = int(run.get("poles_assumed", poles))
    if "kv_rpm_per_v" in run:
        return speed.corrected_for_poles(run["kv_rpm_per_v"], poles, assumed)
    voltage = run.get("test_voltage_v")
    if voltage is None:
        return None
    if "rpm" in run:
        return speed.corrected_for_poles(speed.no_load_kv(run["rpm"], voltage), poles, assumed)
    if "erpm" in run:
        return speed.no_load_kv(speed.mechanical_rpm(run["erpm"], poles), voltage)
    return None


def kv25_of(run: Row, motor: Row | None, slope: float | None = None) -> float | None:
    """KV in rpm/V brought to 25 °C; None without a motor temperature.

    slope: percent of KV per kelvin as the ranking learned it; None: its prior.
    """
    from pitbench.figures.warmth import KV_SLOPE_PCT_PER_K, kv_at_reference

    kv, temperature = kv_of(run, motor), run.get("motor_temp_c")
    if kv is None or temperature is None:
        return None
    return kv_at_reference(kv, temperature, KV_SLOPE_PCT_PER_K if slope is None else slope)


def timing_of(run: Row) -> float | None:
    """Timing in degrees that compares between motors: mean of the sensors, else the stated total."""
    return timing.timing_of(*_sensors(run), run.get("timing_deg"))


def mean_timing_of(run: Row) -> float | None:
    """Mean of the three sensor timings in degrees, if all three stand."""
    return timing.timing_of(*_sensors(run), None)


def sensor_spread_of(run: Row) -> float | None:
    """Largest minus smallest sensor timing in degrees, if all three stand."""
    a, b, c = _sensors(run)
    return None if a is None or b is None or c is None else timing.sensor_spread(a, b, c)


def total_disagrees_in(run: Row) -> bool:
    """Whether the stated total timing lies too far from the mean of the sensors to be the same angle."""
    a, b, c = _sensors(run)
    if "timing_deg" not in run or a is None or b is None or c is None:
        return False
    return timing.total_disagrees(run["timing_deg"], a, b, c)


def column(runs: Sequence[Row], name: str) -> list[float | None]:
    """One field of many runs as it stands."""
    return [run.get(name) for run in runs]


def timings(runs: Sequence[Row]) -> list[float | None]:
    """`timing_of` of many runs, several times faster than one by one."""
    columns = [column(runs, name) for name in (*SENSORS, "timing_deg")]
    return [timing.timing_of(*each) for each in zip(*columns, strict=True)]


def sensor_spreads(runs: Sequence[Row]) -> list[float | None]:
    """`sensor_spread_of` of many runs."""
    columns = [column(runs, name) for name in SENSORS]
    return [None if None in each else timing.sensor_spread(*each) for each in zip(*columns, strict=True)]


def speed_per_amp_of(run: Row, motor: Row | None) -> float | None:
    """KV ÷ no-load current in rpm/V/A."""
    kv, current = kv_of(run, motor), run.get("no_load_current_a")
    return None if kv is None or not current else speed.speed_per_amp(kv, current)


def idle_power_of(run: Row) -> float | None:
    """Power drawn while spinning free, in watts."""
    voltage, current = run.get("test_voltage_v"), run.get("no_load_current_a")
    return None if voltage is None or current is None else float(voltage * current)


def _sensors(run: Row) -> tuple[float | None, float | None, float | None]:
    a, b, c = SENSORS
    return run.get(a), run.get(b), run.get(c)

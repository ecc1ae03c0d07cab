"""What one stored bench run comes to: its KV, timing, spread, idle power. The one place where a row becomes figures.

Rows are plain dicts as stored (no blank fields). Unknown is None.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from pitbench.figures import speed, timing
from pitbench.records.kinds import Row

Measure = Callable[[Row], float | None]
SPEED = ("kv_rpm_per_v", "rpm", "erpm", "test_voltage_v", "poles_assumed")
SPINNING = frozenset(SPEED[:3])
SENSORS = ("timing_a_deg", "timing_b_deg", "timing_c_deg")
TIMING = (*SENSORS, "timing_deg")


def columns(runs: Sequence[Row], names: Sequence[str]) -> dict[str, list[Any]]:
    """Fields of many runs as they stand, by name. Every row is visited once: rows lie far apart in memory."""
    found = [run.get(name) for run in runs for name in names]
    return {name: found[i :: len(names)] for i, name in enumerate(names)}


def kv_of(run: Row, motor: Row | None) -> float | None:
    """KV at the test voltage in rpm/V: as stated, else from rpm, else from erpm with the motor's poles (else 2).

    A tester that assumed other poles than the motor has is put right, for KV and rpm.
    """
    kv, rpm, erpm, voltage, assumed = (run.get(name) for name in SPEED)
    return _kv(kv, rpm, erpm, voltage, assumed, poles_of(motor))


def kvs(fields: Mapping[str, Sequence[Any]], poles: Sequence[int]) -> list[float | None]:
    """`kv_of` of many runs, given columns of the fields in SPEED and the poles of the motor of each."""
    return [_kv(*each) for each in zip(*(fields[name] for name in SPEED), poles, strict=True)]


def poles_of(motor: Row | None) -> int:
    """Magnet poles of a motor, 2 where nobody wrote them down."""
    return int((motor or {}).get("poles", 2))


def _kv(
    kv: float | None, rpm: float | None, erpm: float | None, voltage: float | None, assumed: float | None, poles: int
) -> float | None:
    tester = poles if assumed is None else int(assumed)
    if kv is not None:
        return speed.corrected_for_poles(kv, poles, tester)
    if voltage is None:
        return None
    if rpm is not None:
        return speed.corrected_for_poles(speed.no_load_kv(rpm, voltage), poles, tester)
    return None if erpm is None else speed.no_load_kv(speed.mechanical_rpm(erpm, poles), voltage)


def kv25_of(run: Row, motor: Row | None, slope: float | None = None) -> float | None:
    """KV in rpm/V brought to 25 °C; None without a motor temperature.

    slope: percent of KV per kelvin as the ranking learned it; None: its prior.
    """
    from pitbench.figures.warmth import KV_SLOPE_PCT_PER_K, kv_at_reference

    kv, temperature = kv_of(run, motor), run.get("motor_temp_c")
    if kv is None or temperature is None:
        return None
    return kv_at_reference(kv, temperature, KV_SLOPE_PCT_PER_K if slope is None else slope)


def all_warm(runs: Iterable[Row]) -> bool:
    """Whether every run that says how fast it span says how warm it was; a winding reading alone says neither."""
    return all("motor_temp_c" in run for run in runs if not SPINNING.isdisjoint(run))


def kv_measure(motor: Row | None, warm: bool, slope: float | None = None) -> Measure:
    """KV of a motor's run, brought to 25 °C if `warm`: in one comparison all runs are or none."""
    if warm:
        return lambda run: kv25_of(run, motor, slope)
    return lambda run: kv_of(run, motor)


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


def timings_of(runs: Sequence[Row]) -> list[float | None]:
    """`timing_of` of many runs, given as rows."""
    return timings({name: [run.get(name) for run in runs] for name in TIMING})


def timings(fields: Mapping[str, Sequence[Any]]) -> list[float | None]:
    """`timing_of` of many runs, given columns of the fields in TIMING."""
    return [timing.timing_of(*each) for each in zip(*(fields[name] for name in TIMING), strict=True)]


def sensor_spreads(fields: Mapping[str, Sequence[Any]]) -> list[float | None]:
    """`sensor_spread_of` of many runs."""
    read = zip(*(fields[name] for name in SENSORS), strict=True)
    return [None if None in each else timing.sensor_spread(*each) for each in read]


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


SAME_VOLTAGE = 0.1


def same_voltage(voltage: float | None, shared: float | None) -> bool:
    """Whether two test voltages are one; one that is not known agrees with all."""
    return voltage is None or shared is None or abs(voltage - shared) <= SAME_VOLTAGE + 1e-9


def at_one_voltage(runs: Sequence[Row]) -> list[Row]:
    """Runs at the test voltage of the last of them: speed and current at other voltages are other figures."""
    voltage = next((r["test_voltage_v"] for r in reversed(runs) if "test_voltage_v" in r), None)
    return [r for r in runs if same_voltage(r.get("test_voltage_v"), voltage)]

"""A load log as it was read, put into the samples the figures take, and what is doubtful about it in clauses."""

from collections.abc import Callable, Iterator
from statistics import median
from typing import TYPE_CHECKING

from pitbench.desk.answered import counting
from pitbench.desk.run_figures import kv_of, poles_of
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row, Source

if TYPE_CHECKING:
    from pitbench.figures.load_log import LoadFit, Samples
    from pitbench.sheets.load_log import LogRead

_OTHER_SPEED = 1.5
"""A KV under load so many times that of the bench, or so small a part of it, is of another kind of speed."""


def samples_of(read: "LogRead", motor: Row) -> "Samples":
    """The samples of a log; erpm is brought to rpm with the motor's poles. The motor's own current is taken where the
    duty is known too, else the battery's."""
    import numpy as np

    from pitbench.figures.load_log import Samples
    from pitbench.figures.speed import mechanical_rpm

    columns = read.samples
    count = len(columns["time"])
    unknown = np.full(count, np.nan)
    of_motor = "motor_current_a" in columns and ("duty" in columns or "current_a" not in columns)
    rpm = columns.get("rpm", unknown)
    if "rpm" not in columns and "erpm" in columns:
        rpm = columns["erpm"] * mechanical_rpm(1.0, poles_of(motor))
    return Samples(
        time_s=columns["time"] - columns["time"][0] if count else columns["time"],
        voltage_v=columns["voltage_v"],
        current_a=columns["motor_current_a" if of_motor else "current_a"],
        current_is_of_motor=of_motor,
        rpm=rpm,
        throttle=columns.get("throttle", unknown),
        duty=columns.get("duty", unknown),
        motor_temp_c=columns.get("motor_temp_c", unknown),
        esc_temp_c=columns.get("esc_temp_c", unknown),
    )


def doubts_of(source: Source, motor: Row, read: "LogRead", fit: "LoadFit") -> list[str]:
    """What was odd, each as a name, a colon and a clause."""
    found = [(note.what, note.why) for note in read.notes]
    found += [FOUND_BY_FIT[doubt.what](doubt.value) for doubt in fit.doubts]
    if "erpm" in read.columns and "rpm" not in read.columns and "poles" not in motor:
        found.append(("erpm", "needs the motor's poles, which nobody wrote down: 2 taken"))
    found += _wrong_speed(source, motor, "rpm" if "rpm" in read.columns else "erpm", fit)
    return [f"{what}: {why}" for what, why in found]


def _lag(rows: float) -> tuple[str, str]:
    return "rpm", f"comes {abs(rows):.1f} samples {'before' if rows < 0 else 'after'} voltage and current: put right"


FOUND_BY_FIT: dict[str, Callable[[float], tuple[str, str]]] = {
    "current_offset": lambda amps: ("current_a", f"reads {amps:.2f} A where nothing turns: taken off"),
    "lag": _lag,
    "negative_speed": lambda rows: ("rpm", f"is below 0 in {rows:.0f} samples: taken as forward"),
}
"""What the figures found and dealt with, as a name and a clause."""


def no_load_current_of(source: Source, motor: Row) -> float | None:
    """What the motor draws spinning free, in A, as its bench runs say: their median."""
    currents = [run["no_load_current_a"] for run in _bench_runs(source, motor) if "no_load_current_a" in run]
    return median(currents) if currents else None


def _bench_runs(source: Source, motor: Row) -> list[Row]:
    return [run for run in counting(source.rows("bench_run")) if run["motor_id"] == motor["id"]]


def bench_kvs(source: Source, motor: Row) -> list[float]:
    """KV of the motor's bench runs, as far as it is known."""
    return [kv for run in _bench_runs(source, motor) if (kv := kv_of(run, motor)) is not None]


def _wrong_speed(source: Source, motor: Row, column: str, fit: "LoadFit") -> Iterator[tuple[str, str]]:
    """Whether the speed is another than that of the shaft, which the bench or the usual range tells."""
    full = fit.at_full
    loaded = (
        fit.kv.mean if fit.kv else full.speed_per_amp * full.current_median if full and full.speed_per_amp else None
    )
    if loaded is None:
        return
    bench = bench_kvs(source, motor)
    usual = median(bench) if bench else None
    likely = QUANTITIES["kv_rpm_per_v"].likely
    if usual is not None and not 1 / _OTHER_SPEED < loaded / usual < _OTHER_SPEED:
        right = "electrical speed (erpm)" if loaded > usual else "another pole count than the motor's"
        yield column, f"gives KV {loaded:.0f} where the bench says {usual:.0f}: {right}? Taken as it stands"
    elif usual is None and not likely[0] <= loaded <= likely[1]:
        yield column, f"gives KV {loaded:.0f}, which is unlikely: electrical speed (erpm)? Taken as it stands"

"""What is kept of a load log: its figures by name, a thinned trace, and the answer that is made of them.

The raw log is never kept; whoever asks again is answered from the record.
"""

from typing import TYPE_CHECKING

from pitbench.desk.answers import FullThrottle, LeftOut, LoadLogAnswer, LogDoubt, MeanSe, Warming
from pitbench.desk.named import name_of
from pitbench.records.kinds import Row, Source

if TYPE_CHECKING:
    from pitbench.figures.arrays import Ints
    from pitbench.figures.load_log import Course, LoadFit, Samples
    from pitbench.sheets.load_log import LogRead

POINTS = 600
"""At most so many samples are kept, half of them from those the line was fitted to."""
_DECIMALS = {"time_s": 2, "voltage_v": 2, "current_a": 1, "rpm": 0, "throttle": 2, "motor_temp_c": 1, "esc_temp_c": 1}


def figures_of(read: "LogRead", fit: "LoadFit", pack: "LoadFit") -> dict[str, float]:
    """The figures that are known, by name, in the units their names say, to 9 digits, which every machine agrees on;
    what the pack gave as its own current says."""
    full, charge_ah, energy_wh = fit.at_full, pack.charge_ah, pack.energy_wh
    found: dict[str, float | None] = {
        "rows": read.rows,
        "used": int(fit.used.sum()),
        "unreadable": read.unreadable,
        "repeated": read.repeated,
        "part_throttle": fit.part_throttle,
        "unsettled": fit.unsettled,
        "unlikely": fit.unlikely,
        "gaps": fit.gaps,
        "pulls": fit.pulls,
        "seconds": fit.seconds,
        "correlation": fit.correlation,
        "charge_mah": None if charge_ah is None else 1000 * charge_ah,
        "energy_wh": energy_wh,
        "current_offset_a": fit.current_offset,
        "lag": fit.lag,
    }
    if fit.kv is not None:
        found |= {"kv_rpm_per_v": fit.kv.mean, "kv_se": fit.kv.se}
    if fit.resistance is not None:
        found |= {"resistance_mohm": 1000 * fit.resistance.mean, "resistance_se": 1000 * fit.resistance.se}
    if full is not None:
        found |= {
            "full_seconds": full.seconds,
            "current_low_a": full.current_a[0],
            "current_median_a": full.current_median,
            "current_high_a": full.current_a[1],
            "rpm_low": full.rpm and full.rpm[0],
            "rpm_median": full.rpm_median,
            "rpm_high": full.rpm and full.rpm[1],
            "speed_per_amp": full.speed_per_amp,
            "power_in_w": full.power_in_w,
            "shaft_power_w": full.shaft_power_w,
        }
    found |= _course("motor", fit.motor_temp) | _course("esc", fit.esc_temp)
    return {name: float(f"{value:.9g}") for name, value in found.items() if value is not None}


def _course(what: str, course: "Course | None") -> dict[str, float | None]:
    if course is None:
        return {}
    return {f"{what}_start_c": course.start, f"{what}_end_c": course.end, f"{what}_highest_c": course.highest}


def trace_of(samples: "Samples", fit: "LoadFit") -> dict[str, list[float]]:
    """Some of the samples, in time, evenly of those used and of the others: columns of equal length, and `used`, 1 or
    0. A column that is mostly unknown is not there, and a sample that lacks one of the others is none."""
    import numpy as np

    kinds = np.flatnonzero(fit.used), np.flatnonzero(~fit.used)
    shares = [min(len(kind), POINTS // 2) for kind in kinds]
    shares = [share + POINTS - sum(shares) for share in shares]  # where there are few of one kind, more of the other
    some = [_evenly(kind, share) for kind, share in zip(kinds, shares, strict=True)]
    at = np.sort(np.concatenate(some))
    columns = {name: getattr(samples, name)[at] for name in _DECIMALS}
    kept = {name: numbers for name, numbers in columns.items() if len(at) and np.isfinite(numbers).mean() >= 0.5}
    whole = np.all([np.isfinite(numbers) for numbers in kept.values()], axis=0) if kept else np.zeros(len(at), bool)
    found = {name: np.round(numbers[whole], _DECIMALS[name]).tolist() for name, numbers in kept.items()}
    return {**found, "used": fit.used[at][whole].astype(float).tolist()} if whole.any() else {}


def _evenly(places: "Ints", most: int) -> "Ints":
    import numpy as np

    if len(places) <= most:
        return places
    thinned: Ints = places[np.linspace(0, len(places) - 1, most).round().astype(np.int64)]
    return thinned


def answer_of(source: Source, row: Row, stored: bool) -> LoadLogAnswer:
    """The answer of a stored log."""
    figures: dict[str, float] = row.get("figures", {})
    get = figures.get
    run = source.row("track_run", row.get("track_run_id", ""))

    def pair(low: str, high: str) -> tuple[float, float] | None:
        return (figures[low], figures[high]) if low in figures and high in figures else None

    return LoadLogAnswer(
        file=row["file"],
        motor=name_of(source, "motor", row["motor_id"]),
        run=run["started_at"] if run else None,
        bench=bool(row.get("bench", False)),
        stored=stored,
        rows=int(get("rows", 0)),
        used=int(get("used", 0)),
        left_out=LeftOut(*(int(get(name, 0)) for name in LeftOut.__dataclass_fields__)),
        gaps=int(get("gaps", 0)),
        seconds=get("seconds", 0.0),
        columns=dict(row.get("columns", {})),
        kv_rpm_per_v=MeanSe(get("kv_rpm_per_v"), get("kv_se")),
        resistance_mohm=MeanSe(get("resistance_mohm"), get("resistance_se")),
        correlation=get("correlation"),
        separated="why" not in row,
        why=row.get("why"),
        full_throttle=FullThrottle(
            get("full_seconds", 0.0),
            pair("current_low_a", "current_high_a"),
            pair("rpm_low", "rpm_high"),
            get("speed_per_amp"),
            get("power_in_w"),
            get("shaft_power_w"),
        ),
        charge_mah=get("charge_mah"),
        energy_wh=get("energy_wh"),
        motor_temp_c=Warming(get("motor_start_c"), get("motor_end_c"), get("motor_highest_c")),
        esc_temp_c=Warming(get("esc_start_c"), get("esc_end_c"), get("esc_highest_c")),
        doubts=[LogDoubt(*doubt.split(": ", 1)) for doubt in row.get("doubts", ())],
    )

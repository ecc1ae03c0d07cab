"""The gathered rows of a ranking as the readings that figures compare, by motor and session, in canonical order."""

from collections import Counter
from collections.abc import Mapping
from statistics import median
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.gather import Gathered, Row, tester_of

if TYPE_CHECKING:
    from pitbench.figures.comparison import Comparison, Readings
    from pitbench.figures.conditions import RunConditions

USUAL_CELLS = 2
WITHIN_ONE_TESTER = ("pole_imbalance_pct", "hall_level_spread_pct")
NO_RUN = -1
ReadingRow = tuple[int, int, float, float, int]
"""Motor, session, value, weight, and the run it came with, all as places; see `Readings`."""


def comparison_of(gathered: Gathered, volts_per_cell: float, leads_mohm: float) -> "Comparison":
    """The gathered rows as the arrays that figures compare."""
    from pitbench.figures.comparison import Comparison
    from pitbench.figures.load_power import Load

    place = {motor["id"]: i for i, motor in enumerate(gathered.motors)}
    labels = {gathered.session_of[run["id"]] for run in gathered.runs} | {found[1] for found in gathered.resistances}
    session = {label: i for i, label in enumerate(sorted(labels))}
    sheet = gathered.class_row or {}
    gearing = {"none": "free", "heat": "free", "rules": "capped", "gears": "capped"}
    load = Load(
        gearing=gearing.get(gathered.gearing_limit, "unknown"),  # type: ignore[arg-type]
        voltage=volts_per_cell * sheet.get("cells", USUAL_CELLS),
        leads=leads_mohm / 1000,
        test_voltage=gathered.test_voltage,
        loss_share=_loss_share(gathered, place),
    )
    return Comparison(
        n_motors=len(gathered.motors),
        runs=_conditions(gathered, place, session),
        readings=_readings(gathered, place, session),
        load=load,
        turns=_turns(sheet, gathered.motors),
        least_resistance_mohm=sheet.get("min_resistance_mohm"),
    )


def _loss_share(gathered: Gathered, place: Mapping[str, int]) -> tuple[float, float]:
    import numpy as np

    from pitbench.figures.loss_share import learned_share

    motor, voltage, current = (
        np.array([(place[motor_id], volts, amps) for motor_id, volts, amps in gathered.currents], dtype=float)
        .reshape(-1, 3)
        .T
    )
    return learned_share(motor.astype(np.int64), voltage, current, gathered.test_voltage)


def _conditions(gathered: Gathered, place: Mapping[str, int], session: Mapping[Any, int]) -> "RunConditions":
    from pitbench.figures.conditions import RunConditions

    runs = gathered.runs
    return RunConditions(
        motor=[place[run["motor_id"]] for run in runs],
        session=[session[gathered.session_of[run["id"]]] for run in runs],
        run_number=[gathered.number_of[run["id"]] for run in runs],
        motor_temp=[run.get("motor_temp_c") for run in runs],
        ambient=[run.get("ambient_c") for run in runs],
        timing=[run_figures.timing_of(run) for run in runs],
        timing_mark=[run.get("timing_mark_deg") for run in runs],
    )


def _readings(gathered: Gathered, place: Mapping[str, int], session: Mapping[Any, int]) -> dict[str, "Readings"]:
    """Readings of every figure, in the canonical order of motors and runs."""
    from pitbench.figures.comparison import Readings
    from pitbench.figures.winding import resistance_20, temperature_weight

    motor_of = {motor["id"]: motor for motor in gathered.motors}
    rows: dict[str, list[ReadingRow]] = {}
    for i, run in enumerate(gathered.runs):
        figures = {
            "kv_rpm_per_v": run_figures.kv_of(run, motor_of[run["motor_id"]]),
            "no_load_current_a": run.get("no_load_current_a"),
            "sensor_spread_deg": run_figures.sensor_spread_of(run),
            **{name: run.get(name) for name in WITHIN_ONE_TESTER},
        }
        label = session[gathered.session_of[run["id"]]]
        for name, value in figures.items():
            if value is not None:
                rows.setdefault(name, []).append((place[run["motor_id"]], label, value, 1.0, i))
    for name in WITHIN_ONE_TESTER:
        rows[name] = _of_one_tester(rows.get(name, []), gathered.runs)
    row_of = {run["id"]: i for i, run in enumerate(gathered.runs)}
    rows["resistance_mohm"] = [
        (
            place[motor_id],
            session[label],
            resistance_20(value, 20.0 if at is None else at),
            temperature_weight(known=at is not None),
            row_of.get(run_id or "", NO_RUN),
        )
        for motor_id, label, run_id, value, at in gathered.resistances
    ]
    return {name: Readings.of(found) for name, found in rows.items()}


def _of_one_tester(readings: list[ReadingRow], runs: list[Row]) -> list[ReadingRow]:
    """Only those of the tester with most readings: testers state unevenness on scales of their own."""
    testers = [tester_of(runs[reading[-1]]) for reading in readings]
    counts = Counter(testers)
    most = min(counts, key=lambda tester: (-counts[tester], tester), default="")
    return [reading for reading, tester in zip(readings, testers, strict=True) if tester == most]


def _turns(sheet: Row, motors: list[Row]) -> float | None:
    own = sorted(motor["turns"] for motor in motors if "turns" in motor)
    turns: float | None = sheet.get("turns", median(own) if own else None)
    return turns

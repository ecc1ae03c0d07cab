"""The gathered rows of a ranking as the readings that figures compare, by motor and session, in canonical order.

Rows become columns here: each field of all runs is taken up once, which is several times faster than row by row.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
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


def comparison_of(gathered: Gathered, volts_per_cell: float, leads_mohm: float) -> "Comparison":
    """The gathered rows as the arrays that figures compare."""
    from pitbench.figures.comparison import Comparison
    from pitbench.figures.load_power import Load

    place = {motor["id"]: i for i, motor in enumerate(gathered.motors)}
    labels = [gathered.session_of[run["id"]] for run in gathered.runs]
    known = sorted({*labels, *(found[1] for found in gathered.resistances)})
    session = {label: i for i, label in enumerate(known)}
    runs = _conditions(gathered, place, [session[label] for label in labels])
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
        runs=runs,
        readings=_readings(gathered, runs) | {"resistance_mohm": _resistances(gathered, place, session)},
        load=load,
        turns=_turns(sheet, gathered.motors),
        least_resistance_mohm=sheet.get("min_resistance_mohm"),
    )


def _loss_share(gathered: Gathered, place: Mapping[str, int]) -> tuple[float, float]:
    import numpy as np

    from pitbench.figures.loss_share import learned_share

    motor = np.array([place[motor_id] for motor_id, _, _ in gathered.currents], dtype=np.int64)
    voltage = np.array([volts for _, volts, _ in gathered.currents], dtype=float)
    current = np.array([amps for _, _, amps in gathered.currents], dtype=float)
    return learned_share(motor, voltage, current, gathered.test_voltage)


def _conditions(gathered: Gathered, place: Mapping[str, int], session: list[int]) -> "RunConditions":
    from pitbench.figures.conditions import RunConditions

    runs = gathered.runs
    return RunConditions(
        motor=[place[run["motor_id"]] for run in runs],
        session=session,
        run_number=[gathered.number_of[run["id"]] for run in runs],
        motor_temp=run_figures.column(runs, "motor_temp_c"),
        ambient=run_figures.column(runs, "ambient_c"),
        timing=run_figures.timings(runs),
        timing_mark=run_figures.column(runs, "timing_mark_deg"),
    )


def _readings(gathered: Gathered, of_runs: "RunConditions") -> dict[str, "Readings"]:
    """Readings made in the bench runs, figure by figure."""
    import numpy as np

    from pitbench.figures.comparison import Readings

    runs = gathered.runs
    motor_of = {motor["id"]: motor for motor in gathered.motors}
    columns: dict[str, Sequence[float | None]] = {
        "kv_rpm_per_v": [run_figures.kv_of(run, motor_of[run["motor_id"]]) for run in runs],
        "no_load_current_a": run_figures.column(runs, "no_load_current_a"),
        "sensor_spread_deg": run_figures.sensor_spreads(runs),
        **{name: _of_one_tester(runs, name) for name in WITHIN_ONE_TESTER},
    }
    motor, session = (np.array(column, dtype=np.int64) for column in (of_runs.motor, of_runs.session))
    found = {}
    for name, column in columns.items():
        value = np.array(column, dtype=float)
        row = np.flatnonzero(~np.isnan(value))
        found[name] = Readings(motor[row], session[row], value[row], np.ones(row.size), row)
    return found


def _of_one_tester(runs: Sequence[Row], name: str) -> list[float | None]:
    """Only those of the tester with most readings: testers state unevenness on scales of their own."""
    column = run_figures.column(runs, name)
    testers = [tester_of(run) for run in runs]
    counts = Counter(tester for tester, value in zip(testers, column, strict=True) if value is not None)
    most = min(counts, key=lambda tester: (-counts[tester], tester), default="")
    return [value if tester == most else None for tester, value in zip(testers, column, strict=True)]


def _resistances(gathered: Gathered, place: Mapping[str, int], session: Mapping[Any, int]) -> "Readings":
    """Resistances at 20 °C, those made in a run at another voltage or on the motor itself as made without one."""
    import numpy as np

    from pitbench.figures.comparison import NO_READINGS, Readings
    from pitbench.figures.winding import REFERENCE_C, resistance_20, temperature_weight

    if not gathered.resistances:
        return NO_READINGS
    motor_ids, labels, run_ids, values, temperatures = zip(*gathered.resistances, strict=True)
    row_of = {run["id"]: i for i, run in enumerate(gathered.runs)}
    read = zip(values, temperatures, strict=True)
    doubted, sure = temperature_weight(known=False), temperature_weight(known=True)
    return Readings(
        motor=np.array([place[motor_id] for motor_id in motor_ids], dtype=np.int64),
        session=np.array([session[label] for label in labels], dtype=np.int64),
        value=np.array([resistance_20(value, REFERENCE_C if at is None else at) for value, at in read], dtype=float),
        weight=np.array([doubted if at is None else sure for at in temperatures], dtype=float),
        run=np.array([row_of.get(run_id, NO_RUN) for run_id in run_ids], dtype=np.int64),
    )


def _turns(sheet: Row, motors: list[Row]) -> float | None:
    own = sorted(motor["turns"] for motor in motors if "turns" in motor)
    turns: float | None = sheet.get("turns", median(own) if own else None)
    return turns

"""The gathered rows of a ranking as the readings that figures compare, by motor and session, in canonical order.

Rows become columns here, which is several times faster than row by row.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime
from math import nan
from operator import itemgetter
from statistics import median
from typing import Any

import numpy as np

from pitbench.desk import run_figures
from pitbench.desk.comparing.gather import Gathered, tester_named
from pitbench.desk.comparing.load_logs import readings_of, working_current
from pitbench.figures.conditions import RunConditions
from pitbench.figures.load_power import Load
from pitbench.figures.loss_share import learned_share
from pitbench.figures.readings import Comparison, Readings
from pitbench.figures.winding import REFERENCE_C, resistance_20, temperature_weight
from pitbench.records.kinds import Row
from pitbench.records.stamps import moment

USUAL_CELLS = 2
WITHIN_ONE_TESTER = ("pole_imbalance_pct", "hall_level_spread_pct")
OF_A_RUN = (
    *("motor_id", "tester", "motor_temp_c", "ambient_c", "timing_mark_deg", "no_load_current_a"),
    *(*run_figures.SPEED, *run_figures.TIMING, *WITHIN_ONE_TESTER),
)
"""Fields of a run at the common test voltage that a comparison is made of."""
NO_RUN = -1
DATE_ALONE = len("2026-04-12")
Fields = Mapping[str, list[Any]]
ON_THE_MOTOR = ("", "", "")
"""The session of resistances written on the motors themselves: one meter, one time."""


def comparison_of(gathered: Gathered, volts_per_cell: float, leads_mohm: float) -> Comparison:
    """The gathered rows as the arrays that figures compare."""
    place = {motor["id"]: i for i, motor in enumerate(gathered.motors)}
    session = _sessions(gathered)
    fields = run_figures.columns(gathered.runs, OF_A_RUN)
    runs = _conditions(gathered, fields, place, session)
    sheet = gathered.class_row or {}
    gearing = {"none": "free", "heat": "free", "rules": "capped", "gears": "capped"}
    load = Load(
        gearing=gearing.get(gathered.gearing_limit, "unknown"),  # type: ignore[arg-type]
        voltage=volts_per_cell * sheet.get("cells", USUAL_CELLS),
        leads=leads_mohm / 1000,
        test_voltage=gathered.test_voltage,
        loss_share=loss_share_of(gathered, place),
        working_current=working_current(gathered.logs),
    )
    return Comparison(
        n_motors=len(gathered.motors),
        runs=runs,
        readings=_readings(gathered, fields, runs) | {"resistance_mohm": _resistances(gathered, place, session)},
        load=load,
        turns=_turns(sheet, gathered.motors),
        least_resistance_mohm=sheet.get("min_resistance_mohm"),
        logs=readings_of(gathered.logs, place),
        states=[gathered.state_now.get(motor["id"], 0) for motor in gathered.motors],
    )


def _sessions(gathered: Gathered) -> dict[Any, int]:
    """Numbers of the sessions that a reading may belong to, in the order of their labels."""
    labels = {gathered.session_of[run["id"]] for run in gathered.as_built} | {ON_THE_MOTOR}
    return {label: i for i, label in enumerate(sorted(labels))}


def loss_share_of(gathered: Gathered, place: Mapping[str, int]) -> tuple[float, float]:
    """What of the loss at one cell grows with speed squared, mean and sd; place: of every motor by its id."""
    fields = run_figures.columns(gathered.as_built, ("motor_id", "test_voltage_v", "no_load_current_a"))
    motor = np.array([place[motor_id] for motor_id in fields["motor_id"]], dtype=np.int64)
    voltage, current = (np.array(fields[name], dtype=float) for name in ("test_voltage_v", "no_load_current_a"))
    known = ~np.isnan(voltage + current)
    return learned_share(motor[known], voltage[known], current[known], gathered.test_voltage)


def _conditions(
    gathered: Gathered, fields: Fields, place: Mapping[str, int], session: Mapping[Any, int]
) -> RunConditions:
    return RunConditions(
        motor=[place[motor_id] for motor_id in fields["motor_id"]],
        session=[session[gathered.session_of[run["id"]]] for run in gathered.runs],
        run_number=[gathered.number_of[run["id"]] for run in gathered.runs],
        motor_temp=fields["motor_temp_c"],
        ambient=fields["ambient_c"],
        timing=run_figures.timings(fields),
        timing_mark=fields["timing_mark_deg"],
        hours=_hours(gathered),
    )


def _hours(gathered: Gathered) -> list[float]:
    """Hours of every run from the first of its session among these runs, NaN where only its date is known."""
    taken = [moment(run["taken_at"]) if len(run["taken_at"]) > DATE_ALONE else None for run in gathered.runs]
    labels = [gathered.session_of[run["id"]] for run in gathered.runs]
    first: dict[Any, datetime] = {}
    for label, at in zip(labels, taken, strict=True):
        if at is not None:
            first[label] = min(at, first.get(label, at))
    both = zip(labels, taken, strict=True)
    return [nan if at is None else (at - first[label]).total_seconds() / 3600 for label, at in both]


def _readings(gathered: Gathered, fields: Fields, of_runs: RunConditions) -> dict[str, Readings]:
    """Readings made in the bench runs, figure by figure."""
    poles = [run_figures.poles_of(motor) for motor in gathered.motors]
    columns: dict[str, Sequence[float | None]] = {
        "kv_rpm_per_v": run_figures.kvs(fields, [poles[motor] for motor in of_runs.motor]),
        "no_load_current_a": fields["no_load_current_a"],
        "sensor_spread_deg": run_figures.sensor_spreads(fields),
        **{name: _of_one_tester(fields, name) for name in WITHIN_ONE_TESTER},
    }
    states = [gathered.state_of.get(run["id"], 0) for run in gathered.runs]
    motor, session, state = (np.array(column, dtype=np.int64) for column in (of_runs.motor, of_runs.session, states))
    found = {}
    for name, column in columns.items():
        value = np.array(column, dtype=float)
        row = np.flatnonzero(~np.isnan(value))
        found[name] = Readings(motor[row], session[row], value[row], np.ones(row.size), row, state[row])
    return found


def _of_one_tester(fields: Fields, name: str) -> list[float | None]:
    """Only those of the tester with most readings: testers state unevenness on scales of their own."""
    read = zip(fields["tester"], fields[name], strict=True)
    written = Counter(tester for tester, value in read if value is not None)
    counts: Counter[str] = Counter()
    for tester, count in written.items():
        counts[tester_named(tester)] += count
    most = min(counts, key=lambda tester: (-counts[tester], tester), default="")
    its = {tester for tester in written if tester_named(tester) == most}
    return [value if tester in its else None for tester, value in zip(fields["tester"], fields[name], strict=True)]


def _resistances(gathered: Gathered, place: Mapping[str, int], session: Mapping[Any, int]) -> Readings:
    """Resistances at 20 °C, motor by motor, those made in a run at another voltage or without one as without a run.

    A motor's own reading stands behind those of its runs. A value typed again in a session is the same reading, at the
    temperature of the first.
    """
    cold: dict[Any, float | None] = {}
    for run in gathered.as_built:
        if "resistance_mohm" in run:
            cold.setdefault(_reading(gathered, run), run.get("resistance_temp_c", run.get("ambient_c")))
    row_of = {run["id"]: i for i, run in enumerate(gathered.runs)}
    rows = [
        (
            place[run["motor_id"]],
            session[gathered.session_of[run["id"]]],
            run["resistance_mohm"],
            cold[_reading(gathered, run)],
            row_of.get(run["id"], NO_RUN),
            gathered.state_of.get(run["id"], 0),
        )
        for run in gathered.as_built
        if "resistance_mohm" in run
    ] + [
        (place[motor["id"]], session[ON_THE_MOTOR], motor["resistance_mohm"], motor.get("resistance_temp_c"), NO_RUN, 0)
        for motor in gathered.on_the_motor
    ]
    rows.sort(key=itemgetter(0))
    weight = {known: temperature_weight(known=known) for known in (True, False)}
    return Readings(
        motor=np.array([row[0] for row in rows], dtype=np.int64),
        session=np.array([row[1] for row in rows], dtype=np.int64),
        value=np.array([resistance_20(row[2], REFERENCE_C if row[3] is None else row[3]) for row in rows], dtype=float),
        weight=np.array([weight[row[3] is not None] for row in rows], dtype=float),
        run=np.array([row[4] for row in rows], dtype=np.int64),
        state=np.array([row[5] for row in rows], dtype=np.int64),
    )


def _reading(gathered: Gathered, run: Row) -> tuple[Any, ...]:
    return run["motor_id"], gathered.session_of[run["id"]], run["resistance_mohm"]


def _turns(sheet: Row, motors: list[Row]) -> float | None:
    own = sorted(motor["turns"] for motor in motors if "turns" in motor)
    turns: float | None = sheet.get("turns", median(own) if own else None)
    return turns

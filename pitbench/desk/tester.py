"""The newest bench session and those before it by the same tester, as the readings that figures judge a tester by.

Session view and bench plan both start here: which runs count for a tester is decided nowhere else.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.gather import same_voltage
from pitbench.desk.sessions import Session, newest, run_numbers, sessions, timely

if TYPE_CHECKING:
    from pitbench.figures.tester import Readings
    from pitbench.store.logbook import Snapshot

Row = Mapping[str, Any]
RECENT = 12
"""Sessions looked at: what the tester was like a year ago says little of it now. Ours."""
READ = ("kv_rpm_per_v", "no_load_current_a", "sensor_spread_deg", "pole_imbalance_pct", "hall_level_spread_pct")
"""Figures a tester repeats often enough to be judged by."""


@dataclass(frozen=True)
class RecentBench:
    """One tester's recent sessions, the oldest first. whole: every run of the newest, also those left out.

    runs: those that count, at the newest session's test voltage, in time; number_of: place of a run in its session.
    """

    sessions: list[Session]
    whole: Sequence[Row]
    runs: Sequence[Row]
    session_of: Mapping[str, Session]
    number_of: Mapping[str, int]
    motors: Mapping[str, Row]

    def in_newest(self, run: Row) -> bool:
        """Whether a run belongs to the newest session."""
        return self.session_of[run["id"]] == self.sessions[-1]


def recent_bench(snapshot: "Snapshot") -> RecentBench | None:
    """The bench as the newest run left it; None without any run."""
    every = timely(snapshot.rows("bench_run"))
    last = newest(every)
    if last is None:
        return None
    session_of = sessions(every)
    of_tester = [run for run in every if session_of[run["id"]][0] == session_of[last["id"]][0]]
    recent = list(dict.fromkeys(session_of[run["id"]] for run in reversed(of_tester)))[:RECENT][::-1]
    whole = [run for run in of_tester if session_of[run["id"]] == recent[-1]]
    voltage = next((run["test_voltage_v"] for run in reversed(whole) if "test_voltage_v" in run), None)
    return RecentBench(
        sessions=recent,
        whole=whole,
        runs=[
            run
            for run in of_tester
            if session_of[run["id"]] in recent
            and "excluded_why" not in run
            and same_voltage(run.get("test_voltage_v"), voltage)
        ],
        session_of=session_of,
        number_of=run_numbers(every, session_of),
        motors={motor["id"]: motor for motor in snapshot.rows("motor")},
    )


def identity(run: Row) -> tuple[Any, ...]:
    """What makes two runs repeats of one thing: the motor as built, at one timing mark."""
    return run["motor_id"], run["build_id"], run.get("timing_mark_deg")


def value_of(run: Row, name: str, motor: Row | None) -> float | None:
    """The figure of one run in its unit."""
    if name == "kv_rpm_per_v":
        return run_figures.kv_of(run, motor)
    if name == "sensor_spread_deg":
        return run_figures.sensor_spread_of(run)
    value: float | None = run.get(name)
    return value


def readings_of(bench: RecentBench, name: str) -> tuple["Readings", list[tuple[Any, ...]]] | None:
    """Readings of one figure, and what each motor number stands for; None unless the newest session has one."""
    from pitbench.figures.conditions import RunConditions
    from pitbench.figures.tester import Readings

    valued = [(run, value_of(run, name, bench.motors.get(run["motor_id"]))) for run in bench.runs]
    read = [(run, value) for run, value in valued if value is not None]
    runs = [run for run, _ in read]
    if not any(bench.in_newest(run) for run in runs):
        return None
    known = list(dict.fromkeys(identity(run) for run in runs))
    motor = [known.index(identity(run)) for run in runs]
    session = [bench.sessions.index(bench.session_of[run["id"]]) for run in runs]
    conditions = RunConditions(
        motor=motor,
        session=session,
        run_number=[bench.number_of[run["id"]] for run in runs],
        motor_temp=[run.get("motor_temp_c") for run in runs],
        ambient=[run.get("ambient_c") for run in runs],
        timing=[None] * len(runs),
        timing_mark=[None] * len(runs),
    )
    of_class = _class_of(bench, bench.whole[-1])
    alike = [_class_of(bench, run) == of_class for run in runs]
    return Readings(name, [value for _, value in read], motor, session, alike, conditions), known


def _class_of(bench: RecentBench, run: Row) -> str | None:
    class_id: str | None = bench.motors.get(run["motor_id"], {}).get("class_id")
    return class_id

"""The newest bench session and those before it by the same tester, as the readings that figures judge a tester by.

Session view and bench plan both start here: which runs count for a tester is decided nowhere else.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from pitbench.desk import run_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import BuildHistory
from pitbench.desk.run_figures import same_voltage
from pitbench.desk.sessions import Session, newest, run_numbers, sessions, timely
from pitbench.desk.states import motor_work
from pitbench.records.kinds import Row, Source
from pitbench.records.stamps import time_key

if TYPE_CHECKING:
    from pitbench.figures.tester import BenchReadings

RECENT = 12
"""Sessions looked at: what the tester was like a year ago says little of it now. Ours."""
READ = ("kv_rpm_per_v", "no_load_current_a", "sensor_spread_deg", "pole_imbalance_pct", "hall_level_spread_pct")
"""Figures a tester repeats often enough to be judged by."""


@dataclass(frozen=True)
class RecentBench:
    """One tester's recent sessions, the oldest first. whole: every run of the newest, also those left out.

    runs: those that count, at the newest session's test voltage, in time; number_of: place of a run in its session;
    work: when each motor was worked on.
    """

    sessions: list[Session]
    whole: Sequence[Row]
    runs: Sequence[Row]
    session_of: Mapping[str, Session]
    number_of: Mapping[str, int]
    motors: Mapping[str, Row]
    builds: BuildHistory
    work: Mapping[str, Sequence[str]]

    def in_newest(self, run: Row) -> bool:
        """Whether a run belongs to the newest session."""
        return self.session_of[run["id"]] == self.sessions[-1]

    @cached_property
    def fields(self) -> dict[str, list[Any]]:
        """Columns of what is read off the runs."""
        own = ("motor_id", "build_id", "timing_mark_deg", "motor_temp_c", "ambient_c")
        return run_figures.columns(self.runs, (*own, *run_figures.SPEED, *run_figures.SENSORS))

    @cached_property
    def whose(self) -> list[tuple[Any, ...]]:
        """What makes two runs repeats of one thing: the motor as built, at one timing mark, with no work between."""
        fields, builds = self.fields, map(self.builds.one, self.fields["build_id"])
        state = [bisect_right(self.work.get(run["motor_id"], ()), time_key(run["taken_at"])) for run in self.runs]
        return list(zip(fields["motor_id"], builds, fields["timing_mark_deg"], state, strict=True))

    @cached_property
    def session(self) -> list[int]:
        """Which of the sessions each run belongs to."""
        place = {session: i for i, session in enumerate(self.sessions)}
        return [place[self.session_of[run["id"]]] for run in self.runs]

    @cached_property
    def alike(self) -> list[bool]:
        """Whether the motor of each run is of the class of the motor run last."""
        class_id = {motor_id: motor.get("class_id") for motor_id, motor in self.motors.items()}
        of_class = class_id.get(self.whole[-1]["motor_id"])
        return [class_id.get(motor_id) == of_class for motor_id in self.fields["motor_id"]]

    def values(self, name: str) -> Sequence[float | None]:
        """The figure of every run in its unit."""
        if name == "kv_rpm_per_v":
            poles = {
                motor_id: run_figures.poles_of(self.motors.get(motor_id)) for motor_id in set(self.fields["motor_id"])
            }
            return run_figures.kvs(self.fields, [poles[motor_id] for motor_id in self.fields["motor_id"]])
        if name == "sensor_spread_deg":
            return run_figures.sensor_spreads(self.fields)
        return [run.get(name) for run in self.runs]


def recent_bench(snapshot: Source) -> RecentBench | None:
    """The bench as the newest run left it; None without any run."""
    every = timely(snapshot.rows("bench_run"))
    last = newest(every)
    if last is None:
        return None
    session_of = sessions(every)
    of_tester = [run for run in every if session_of[run["id"]][0] == session_of[last["id"]][0]]
    recent = list(dict.fromkeys(session_of[run["id"]] for run in reversed(of_tester)))[:RECENT][::-1]
    counted = set(recent)
    whole = [run for run in of_tester if session_of[run["id"]] == recent[-1]]
    voltage = next((run["test_voltage_v"] for run in reversed([*counting(whole)]) if "test_voltage_v" in run), None)
    return RecentBench(
        sessions=recent,
        whole=whole,
        runs=[
            run
            for run in counting(of_tester)
            if session_of[run["id"]] in counted and same_voltage(run.get("test_voltage_v"), voltage)
        ],
        session_of=session_of,
        number_of=run_numbers(every, session_of),
        motors={motor["id"]: motor for motor in snapshot.rows("motor")},
        builds=BuildHistory(snapshot.rows("build")),
        work=motor_work(snapshot),
    )


def readings_of(bench: RecentBench, name: str) -> tuple["BenchReadings", list[tuple[Any, ...]]] | None:
    """Readings of one figure, and what each motor number stands for; None unless the newest session has one."""
    from pitbench.figures.conditions import RunConditions
    from pitbench.figures.tester import BenchReadings

    values = bench.values(name)
    read = [i for i, value in enumerate(values) if value is not None]
    session = [bench.session[i] for i in read]
    if max(session, default=-1) < len(bench.sessions) - 1:
        return None
    whose = [bench.whose[i] for i in read]
    known = {each: number for number, each in enumerate(dict.fromkeys(whose))}
    motor = [known[each] for each in whose]
    conditions = RunConditions(
        motor=motor,
        session=session,
        run_number=[bench.number_of[bench.runs[i]["id"]] for i in read],
        motor_temp=[bench.fields["motor_temp_c"][i] for i in read],
        ambient=[bench.fields["ambient_c"][i] for i in read],
        timing=[None] * len(read),
        timing_mark=[None] * len(read),
    )
    value = [value for value in values if value is not None]
    return BenchReadings(name, value, motor, session, [bench.alike[i] for i in read], conditions), list(known)

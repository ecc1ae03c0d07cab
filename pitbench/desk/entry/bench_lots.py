"""Bench runs in lots: a motor's as it was built, in one session, at one voltage and timing mark.

Numbers that wait, that were kept in spite of a doubt, and runs left out are in none: they tell nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from pitbench.desk.answered import answered
from pitbench.desk.entry.foreseen_values import values_of
from pitbench.desk.sessions import APART, sessions
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key


class Where(NamedTuple):
    """Under which conditions a run was made."""

    session: tuple[str, ...]
    voltage: float | None
    mark: float | None
    state: int


class Whose(NamedTuple):
    """A motor as it was built."""

    motor: str
    build: str | None


Lots = dict[Where, list[tuple[str, float]]]
"""Values of a motor by conditions, with the id of the run each stands in."""


class BenchLots:
    """The lots of a logbook. work: when each motor was worked on, see `states.motor_work`.

    of: by figure and motor. builds: of a motor, the oldest first. alike: runs of a motor under the same conditions,
    whatever the session. air: of a session, with the ids of its runs.
    """

    def __init__(
        self, runs: Iterable[Row], motors: Mapping[str, Row], work: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self.motors, self._work = motors, work or {}
        known = sorted((told_of(run) for run in runs if "excluded_why" not in run), key=_in_order)
        self._sessions = sessions(known)
        self._last = _last_of_testers(known, self._sessions)
        self.of: dict[tuple[str, Whose], Lots] = defaultdict(dict)
        self.builds: dict[str, dict[str | None, None]] = defaultdict(dict)
        self.alike: dict[object, list[Row]] = defaultdict(list)
        self.air: dict[tuple[str, ...], list[tuple[str, float]]] = defaultdict(list)
        for run in known:
            self._take(run)
        self._in_class: dict[object, list[str]] = defaultdict(list)
        for motor_id in self.builds:
            self._in_class[self._class_of(motor_id)].append(motor_id)

    def _take(self, run: Row) -> None:
        run_id, whose, where = run["id"], self.whose(run), self.where(run)
        self.builds[whose.motor][whose.build] = None
        self.alike[whose, where[1:]].append(run)
        for name, value in values_of(run, self.motors.get(whose.motor)).items():
            self.of[name, whose].setdefault(where, []).append((run_id, value))
        if "ambient_c" in run:
            self.air[where.session].append((run_id, run["ambient_c"]))

    def whose(self, run: Row) -> Whose:
        """The motor of a run and its build."""
        return Whose(run.get("motor_id", ""), run.get("build_id"))

    def where(self, run: Row) -> Where:
        """Its conditions, also of a run that is still being typed."""
        voltage, made = run.get("test_voltage_v"), run.get("taken_at", "")
        done = self._work.get(run.get("motor_id", ""), ())
        state = sum(1 for stamp in done if stamp <= time_key(made)) if done else 0
        volts = None if voltage is None else round(voltage, 1)
        return Where(self._session_of(run), volts, run.get("timing_mark_deg"), state)

    def _session_of(self, run: Row) -> tuple[str, ...]:
        if (known := self._sessions.get(run.get("id", ""))) is not None:
            return known
        tester, made = name_key(run.get("tester", "")), run.get("taken_at", "")
        if "session" in run:
            return (tester, name_key(run["session"]), made[:10])
        last = self._last.get(tester)
        if last and made and abs(moment(made) - last[0]) < APART:
            return last[1]
        return (tester, "", time_key(made) if made else "")

    def others_in_class(self, motor_id: str) -> list[str]:
        """The other motors of its class and turns that were read; none of a motor without either."""
        return [other for other in self._in_class.get(self._class_of(motor_id), ()) if other != motor_id]

    def _class_of(self, motor_id: str) -> object:
        motor = self.motors.get(motor_id) or {}
        class_id, turns = motor.get("class_id"), motor.get("turns")
        return motor_id if class_id is None and turns is None else (class_id, turns)


def told_of(run: Row) -> Row:
    """A run as far as it tells what to expect: without what waits, or was kept in spite of a doubt."""
    kept = run.get("kept", ())
    told = answered(run)
    return {name: value for name, value in told.items() if name not in kept} if kept else told


def _in_order(run: Row) -> tuple[str, int, str]:
    return time_key(run["taken_at"]), run.get("place", 0), run["id"]


def _last_of_testers(
    runs: Sequence[Row], known: Mapping[str, tuple[str, ...]]
) -> dict[str, tuple[datetime, tuple[str, ...]]]:
    """The newest run without a session name of every tester, and its session."""
    newest: dict[str, Row] = {}
    for run in runs:
        if "session" not in run:
            tester = name_key(run.get("tester", ""))
            if tester not in newest or time_key(run["taken_at"]) > time_key(newest[tester]["taken_at"]):
                newest[tester] = run
    return {tester: (moment(run["taken_at"]), known[run["id"]]) for tester, run in newest.items()}

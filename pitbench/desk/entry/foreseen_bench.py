"""What bench runs a logbook holds lead to expect of one more: of each of its figures a mean and a variance.

A motor's runs in one session, at one voltage and timing mark, are a lot. Lots of its other sessions, of other builds
and before other work tell less; the motors of its class tell where it may lie, those of its session how much that one
reads off. Numbers that wait, that were kept in spite of a doubt, and runs left out tell nothing. A run never tells
of itself: so the order in which runs came does not matter.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from heapq import nlargest
from itertools import pairwise
from math import exp
from statistics import median
from typing import NamedTuple
from weakref import WeakKeyDictionary

from pitbench.desk.answered import answered
from pitbench.desk.entry.foreseen_values import FIGURES, SPEEDS, TIMING, values_of
from pitbench.desk.run_figures import kv_of
from pitbench.desk.sessions import APART, sessions
from pitbench.desk.states import motor_work
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE, TIMING_SLOPE
from pitbench.figures.foreseen import Normal, Spreads, foreseen, learned, level, lot_of
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key
from pitbench.store.logbook import Snapshot

MOST_OWN, NEWEST = 50, 400
"""Newest runs of a motor, and of the whole logbook, that a form looks at."""
MOST_LOTS = 8
"""Newest lots of a motor that are looked at."""
OTHER_MARK = {KV: TIMING_SLOPE[KV], CURRENT: TIMING_SLOPE[CURRENT], TIMING: (1.0, 0.3)}
"""What a degree of the timing mark moves a figure by, and how uncertain that is."""
OTHER_VOLTAGE = {KV: 2.0**2, CURRENT: 50.0**2}
"""Variance of a figure that was read at another voltage. Ours."""
NO_MARK = {KV: 0.6**2, CURRENT: 2.5**2, TIMING: 1.2**2}
"""The same without a mark: the timing may have been changed on purpose."""
IN_CLASS = (KV, CURRENT, RESISTANCE)
"""Figures in which motors of a class are alike."""
FEW = 2
SEEN = 10
"""Repeats after which half as much is doubted of a spread: before any, its variance may as well be twice that. Ours."""


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


class ForeseenBench:
    """All there is to know; asked run by run. `work`: when each motor was worked on, see `states.motor_work`."""

    def __init__(
        self, runs: Iterable[Row], motors: Mapping[str, Row], work: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._motors, self._work = motors, work or {}
        known = sorted((told_of(run) for run in runs if "excluded_why" not in run), key=_in_order)
        self._sessions = sessions(known)
        self._last = _last_of_testers(known, self._sessions)
        self._lots: dict[tuple[str, Whose], Lots] = defaultdict(lambda: defaultdict(list))
        self._builds: dict[str, set[str | None]] = defaultdict(set)
        self._in_class: dict[object, list[str]] = defaultdict(list)
        self._alike: dict[object, list[Row]] = defaultdict(list)
        self.air: dict[tuple[str, ...], list[tuple[str, float]]] = defaultdict(list)
        self.voltages: set[float] = set()
        for run in known:
            self._take(run)
        for motor_id in self._builds:
            self._in_class[self._class_of(motor_id)].append(motor_id)
        self._spreads = self._learned()
        self._known: dict[object, Normal] = {}
        self._order: dict[tuple[str, Whose], list[Where]] = {}

    def _take(self, run: Row) -> None:
        whose, where = self.whose(run), self.where(run)
        self._builds[whose.motor].add(whose.build)
        self._alike[whose, where[1:]].append(run)
        for name, value in values_of(run, self._motors.get(whose.motor)).items():
            self._lots[name, whose][where].append((run["id"], value))
        if "ambient_c" in run:
            self.air[where.session].append((run["id"], run["ambient_c"]))
        if where.voltage is not None:
            self.voltages.add(where.voltage)

    # whose and where

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

    def _class_of(self, motor_id: str) -> object:
        motor = self._motors.get(motor_id) or {}
        class_id, turns = motor.get("class_id"), motor.get("turns")
        return motor_id if class_id is None and turns is None else (class_id, turns)

    def usual_air(self) -> Normal:
        """The air of a session in which nobody read it yet."""
        every = [value for lot in self.air.values() for _, value in lot]
        return Normal(median(every), 7.0**2) if every else Normal(21.0, 8.0**2)

    # what is foreseen

    def spreads(self, name: str) -> Spreads:
        """The variances of a figure, as believed and as seen."""
        return self._spreads[name]

    def typed_alike(self, column: str, run: Row) -> list[float]:
        """The same number in other runs of this motor under the same conditions, whatever the session; a speed as it
        would stand in this column."""
        alike = self._alike.get((self.whose(run), self.where(run)[1:]), ())
        others = (other for other in alike if other["id"] != run.get("id"))
        if column not in SPEEDS:
            return [other[column] for other in others if column in other]
        motor = self._motors.get(run.get("motor_id", ""))
        own = kv_of(run, motor)
        return [
            other[column] if column in other else run[column] * kv / own
            for other in others
            if column in other or (own and (kv := kv_of(other, motor)))
        ]

    def typed_in_class(self, column: str, run: Row) -> list[float]:
        """What the other motors of its class usually read under the same conditions, as it would stand in this column;
        nothing of a column whose figure is not alike in a class."""
        name = KV if column in SPEEDS else column
        whose, here = self.whose(run), self.where(run)
        own = values_of(run, self._motors.get(whose.motor)).get(name)
        if name not in IN_CLASS or own is None:
            return []
        usual = (
            self._usual(name, other, here)
            for other in self._in_class.get(self._class_of(whose.motor), ())
            if other != whose.motor and self._was_read(name, other, here)
        )
        return [run[column] * exp((each.mean - own) / 100) for each in usual if each is not None]

    def _was_read(self, name: str, motor_id: str, here: Where) -> bool:
        """Whether a motor was read at this voltage and mark; a winding is the same at all."""
        lots = (lot for build in self._builds[motor_id] for lot in self._lots.get((name, Whose(motor_id, build)), ()))
        return any(name == RESISTANCE or where[1:3] == here[1:3] for where in lots)

    def of(self, name: str, run: Row) -> Normal:
        """Where this run's figure should lie as it is read."""
        if self._asked is None or self._asked[0] is not run:  # a dozen figures of one run are asked in turn
            self._asked = (run, self.whose(run), self.where(run))
        _, whose, here = self._asked
        spreads = self._spreads[name]
        own = [value for run_id, value in self._at(name, whose, here) if run_id != run.get("id")]
        key = (name, whose, here)
        if (motor := self._known.get(key)) is None:
            motor = self._known[key] = self._motor(name, whose, here)
        mood = self._mood(name, whose.motor, here)
        return foreseen(motor, lot_of(own, spreads.noise), mood, spreads)

    def _at(self, name: str, whose: Whose, where: Where) -> list[tuple[str, float]]:
        lots = self._lots.get((name, whose))
        return lots.get(where, []) if lots else []

    def _motor(self, name: str, whose: Whose, here: Where) -> Normal:
        """The motor's own level under these conditions, without what it read in this very lot."""
        spreads = self._spreads[name]
        apart = spreads.session + spreads.clamping
        read = [Normal(mean, var + apart) for mean, var in self._elsewhere(name, whose, here)]
        return level(self._of_class(name, whose.motor, here), read)

    def _elsewhere(self, name: str, whose: Whose, here: Where) -> list[Normal]:
        spreads, found = self._spreads[name], []
        for build in self._builds.get(whose.motor, ()):
            lots = self._lots.get((name, Whose(whose.motor, build)), {})
            other = 0.0 if build == whose.build else 1.5 * spreads.motor
            for where in self._newest(name, Whose(whose.motor, build)):
                if where == here:
                    continue
                shift, more = _between(name, where, here)
                if where.state != here.state:
                    more += _state_var(name)
                values = [value for _, value in lots[where]]
                found += [Normal(m + shift, v + more + other) for m, v in lot_of(values, spreads.noise)]
        return found

    def _newest(self, name: str, whose: Whose) -> list[Where]:
        """Conditions of the newest lots of a motor."""
        if (found := self._order.get((name, whose))) is None:
            lots = self._lots.get((name, whose), {})
            found = self._order[name, whose] = nlargest(MOST_LOTS, lots, key=lambda where: where.session[-1])
        return found

    def _of_class(self, name: str, motor_id: str, here: Where) -> Normal:
        """Where a motor of its class may lie, those of the class read at this voltage first."""
        key = ("class", name, motor_id, here.voltage, here.mark)
        if (found := self._known.get(key)) is not None:
            return found
        spreads, motor = self._spreads[name], self._motors.get(motor_id) or {}
        first = FIGURES[name].first(motor.get("turns"), here.voltage or 0.0)
        others = [
            mean for other in self._in_class.get(self._class_of(motor_id), ()) if other != motor_id
            and (mean := self._usual(name, other, here)) is not None
        ]  # fmt: skip
        centre = level(first, [Normal(mean, var + 1.2 * spreads.motor) for mean, var in others])
        width = spreads.motor * (1.2 if len(others) > FEW else 2.0) if others else 0.0
        found = self._known[key] = Normal(centre.mean, centre.var + width)
        return found

    def _usual(self, name: str, motor_id: str, here: Where) -> Normal | None:
        """What one other motor usually reads under such conditions."""
        key = ("usual", name, motor_id, here.voltage, here.mark)
        if key not in self._known:
            found = []
            for build in self._builds.get(motor_id, ()):
                for where, lot in self._lots.get((name, Whose(motor_id, build)), {}).items():
                    shift, more = _between(name, where, here)
                    found += [(value + shift, more) for _, value in lot]
            if not found:
                return None
            self._known[key] = Normal(median(value for value, _ in found), min(more for _, more in found))
        return self._known[key]

    def _mood(self, name: str, motor_id: str, here: Where) -> Normal:
        """How much this session reads off, as the other motors in it say that were read in others too."""
        key = ("mood", name, motor_id, here.session)
        if (found := self._known.get(key)) is not None:
            return found
        spreads = self._spreads[name]
        told = [(mean, var) for other, mean, var in self._moods(name, here.session) if other != motor_id]
        found = self._known[key] = level(Normal(0.0, spreads.session), [Normal(mean, var) for mean, var in told])
        return found

    def _moods(self, name: str, session: tuple[str, ...]) -> list[tuple[str, float, float]]:
        if self._by_session is None:
            self._by_session = self._all_moods()
        return self._by_session.get((name, session), [])

    _asked: tuple[Row, Whose, Where] | None = None
    _by_session: dict[tuple[str, tuple[str, ...]], list[tuple[str, float, float]]] | None = None

    def _all_moods(self) -> dict[tuple[str, tuple[str, ...]], list[tuple[str, float, float]]]:
        found: dict[tuple[str, tuple[str, ...]], list[tuple[str, float, float]]] = defaultdict(list)
        for (name, whose), lots in self._lots.items():
            spreads = self._spreads[name]
            alike: dict[object, list[tuple[Where, float, int]]] = defaultdict(list)
            for where, lot in lots.items():
                alike[where[1:]].append((where, median(value for _, value in lot), len(lot)))
            for read in alike.values():
                if len(read) < FEW:
                    continue
                apart, middle = spreads.session + spreads.clamping + spreads.noise, median(mean for _, mean, _ in read)
                for where, mean, count in read:
                    rest = middle if len(read) > FEW else 2 * middle - mean
                    var = spreads.clamping + spreads.noise / count + apart / (len(read) - 1)
                    found[name, where.session].append((whose.motor, mean - rest, var))
        return found

    # how far readings lie apart

    def _learned(self) -> dict[str, Spreads]:
        """Noise from the repeats of a clamping; what lies between sessions from the lots of a motor.

        A tester is noisy, or moody, in all its figures: each is believed to be what they all show, then asked itself.
        """
        within, between = self._apart()
        noisy = _times({name: (each.spreads.noise, within[name]) for name, each in FIGURES.items()})
        found = {}
        noise = {
            name: max(learned(each.spreads.noise * noisy, within[name]), each.spreads.noise / 4)
            for name, each in FIGURES.items()
        }
        apart = {
            name: each.spreads.session + each.spreads.clamping + noise[name] / FEW for name, each in FIGURES.items()
        }
        moody = _times({name: (apart[name], between[name]) for name in FIGURES})
        for name, each in FIGURES.items():
            times = max(learned(apart[name] * moody, between[name]) / apart[name], 0.5)
            spreads = each.spreads
            unsure = 1 + 1 / (1 + len(within[name]) / SEEN)
            found[name] = Spreads(
                noise[name] * unsure, spreads.clamping * times * unsure, spreads.session * times * unsure, spreads.motor
            )
        return found

    def _apart(self) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
        """Deviations of readings within a lot, and of lots of a motor under the same conditions, by figure."""
        within: dict[str, list[float]] = defaultdict(list)
        between: dict[str, list[float]] = defaultdict(list)
        for (name, _), lots in self._lots.items():
            alike: dict[object, list[float]] = defaultdict(list)
            for where, lot in lots.items():
                values = [value for _, value in lot]
                alike[where[1:]].append(median(values))
                within[name] += _off(values)
            for means in alike.values():
                between[name] += _off(means)
        return within, between


def _times(figures: Mapping[str, tuple[float, Sequence[float]]]) -> float:
    """How many times the variance believed all figures together show."""
    return learned(1.0, [each / believed**0.5 for believed, off in figures.values() for each in off])


def told_of(run: Row) -> Row:
    """A run as far as it tells what to expect: without what waits, or was kept in spite of a doubt."""
    kept = run.get("kept", ())
    told = answered(run)
    return {name: value for name, value in told.items() if name not in kept} if kept else told


_NEAR: WeakKeyDictionary[Snapshot, tuple[object, ForeseenBench]] = WeakKeyDictionary()


def foreseen_in(snapshot: Snapshot, motor_id: str, edits: str | None) -> ForeseenBench:
    """For a run of a motor being typed, without the one it edits: the motor's newest runs and the logbook's.

    Worked out once for a snapshot and motor: a form asks between two keys.
    """
    key = (motor_id, edits)
    if (known := _NEAR.get(snapshot)) is not None and known[0] == key:
        return known[1]
    runs = [run for run in snapshot.rows("bench_run") if run["id"] != edits]
    own = nlargest(MOST_OWN, (run for run in runs if run["motor_id"] == motor_id), key=_when)
    newest = {run["id"]: run for run in (*own, *nlargest(NEWEST, runs, key=_when))}
    motors = {motor["id"]: answered(motor) for motor in snapshot.rows("motor")}
    found = ForeseenBench(newest.values(), motors, motor_work(snapshot))
    _NEAR[snapshot] = (key, found)
    return found


def _in_order(run: Row) -> tuple[str, int, str]:
    return time_key(run["taken_at"]), run.get("place", 0), run["id"]


def _when(run: Row) -> str:
    return time_key(run["taken_at"])


def _off(values: Sequence[float]) -> list[float]:
    """What values that should be alike differ by from one to the next, as deviations of one."""
    return [(one - other) / 2**0.5 for one, other in pairwise(values)]


def _between(name: str, there: Where, here: Where) -> tuple[float, float]:
    """How much a figure read there should differ here, and the variance that adds."""
    shift = more = 0.0
    if name in OTHER_MARK:
        slope, sd = OTHER_MARK[name]
        if there.mark is None or here.mark is None:
            more += NO_MARK[name]
        else:
            apart = here.mark - there.mark
            shift, more = slope * apart, (sd * apart) ** 2
    if name in OTHER_VOLTAGE and there.voltage is not None and here.voltage is not None and there[1] != here[1]:
        more += OTHER_VOLTAGE[name]
    return shift, more


def _state_var(name: str) -> float:
    return MEASURED[name].state_sd ** 2 if name in MEASURED else 0.25


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

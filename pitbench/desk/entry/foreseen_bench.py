"""What bench runs a logbook holds lead to expect of one more: of each of its figures a mean and a variance.

Lots (`bench_lots`) of a motor's other sessions, of other builds and before other work tell less than its own; the
motors of its class tell where it may lie, those of its session how much that one reads off. A run never tells of
itself: so the order in which runs came does not matter.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from heapq import nlargest
from math import exp
from statistics import median
from weakref import WeakKeyDictionary

from pitbench.desk.answered import answered
from pitbench.desk.entry.bench_lots import BenchLots, Where, Whose
from pitbench.desk.entry.foreseen_spreads import FEW, spreads_of
from pitbench.desk.entry.foreseen_values import ANY_AIR, FIGURES, SPEEDS, TIMING, values_of
from pitbench.desk.run_figures import kv_of
from pitbench.desk.states import motor_work
from pitbench.figures.criteria import CURRENT, KV, MEASURED, RESISTANCE, TIMING_SLOPE
from pitbench.figures.foreseen import Normal, Taken, foreseen, level, lot_of, taken
from pitbench.records.kinds import Row
from pitbench.records.stamps import time_key
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
Here = dict[str, tuple[Normal, list[tuple[str, float]]]]
"""By figure: where a lot should lie before any of it is read, and what was read."""
Moods = dict[tuple[str, tuple[str, ...]], list[tuple[str, Normal]]]
"""By figure and session: how much off each motor read there."""


class ForeseenBench:
    """All there is to know; asked run by run. `work`: when each motor was worked on, see `states.motor_work`."""

    def __init__(
        self, runs: Iterable[Row], motors: Mapping[str, Row], work: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._lots = BenchLots(runs, motors, work)
        self._spreads = spreads_of(self._lots)
        self._known: dict[object, Normal] = {}
        self._order: dict[tuple[str, Whose], dict[Where, list[Normal]]] = {}
        self._by_place: dict[tuple[Whose, Where], Here] = defaultdict(dict)
        self._asked: Row | None = None
        self._at = Whose("", None), Where((), None, None, 0)
        self._here: Here = {}
        self._motors: dict[object, tuple[list[Where | None], Taken]] = {}
        self._by_session: dict[tuple[str, tuple[str, ...]], tuple[list[str], Taken]] | None = None

    def usual_air(self) -> Normal:
        """The air of a session in which nobody read it yet."""
        every = [value for lot in self._lots.air.values() for _, value in lot]
        return Normal(median(every), 7.0**2) if every else ANY_AIR

    def air(self, run: Row) -> list[float]:
        """Readings of the air by the other runs of its session."""
        _, here = self._place(run)
        return [value for run_id, value in self._lots.air.get(here.session, ()) if run_id != run.get("id")]

    def typed_alike(self, column: str, run: Row) -> list[float]:
        """The same number in other runs of this motor under the same conditions, whatever the session; a speed as it
        would stand in this column."""
        whose, here = self._place(run)
        others = (other for other in self._lots.alike.get((whose, here[1:]), ()) if other["id"] != run.get("id"))
        if column not in SPEEDS:
            return [other[column] for other in others if column in other]
        motor = self._lots.motors.get(whose.motor)
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
        whose, here = self._place(run)
        own = values_of(run, self._lots.motors.get(whose.motor)).get(name)
        if name not in IN_CLASS or own is None:
            return []
        others = (other for other in self._lots.others_in_class(whose.motor) if self._was_read(name, other, here))
        usual = (self._usual(name, other, here) for other in others)
        return [run[column] * exp((each.mean - own) / 100) for each in usual if each is not None]

    def _was_read(self, name: str, motor_id: str, here: Where) -> bool:
        """Whether a motor was read at this voltage and mark; a winding is the same at all."""
        lots = (where for build in self._lots.builds[motor_id] for where in self._read(name, Whose(motor_id, build)))
        return any(name == RESISTANCE or where[1:3] == here[1:3] for where in lots)

    def _read(self, name: str, whose: Whose) -> Mapping[Where, list[tuple[str, float]]]:
        return self._lots.of.get((name, whose), {})

    # where one figure should lie

    def of(self, name: str, run: Row) -> Normal:
        """Where this run's figure should lie as it is read."""
        whose, here = self._place(run)
        if (known := self._here.get(name)) is None:
            known = self._here[name] = self._before(name, whose, here), self._read(name, whose).get(here, [])
        before, read = known
        noise, run_id = self._spreads[name].noise, run.get("id")
        return foreseen(before, lot_of([value for other, value in read if other != run_id], noise), noise)

    def _place(self, run: Row) -> tuple[Whose, Where]:
        """Whose it is and where: a dozen figures of one run are asked in turn."""
        if self._asked is not run:
            self._asked, self._at = run, (self._lots.whose(run), self._lots.where(run))
            self._here = self._by_place[self._at]
        return self._at

    def _before(self, name: str, whose: Whose, here: Where) -> Normal:
        """Where a lot should lie before any of it is read."""
        motor, mood = self._motor(name, whose, here), self._mood(name, whose.motor, here.session)
        return Normal(motor.mean + mood.mean, motor.var + mood.var + self._spreads[name].clamping)

    def _motor(self, name: str, whose: Whose, here: Where) -> Normal:
        """The motor's own level under these conditions, without what it read in this very lot."""
        key = (name, whose, here[1:])
        if (known := self._motors.get(key)) is None:
            places, read = self._newest_lots(name, whose, here)
            known = self._motors[key] = places, taken(self._of_class(name, whose.motor, here), read)
        places, all_told = known
        return all_told.level(without=(at for at, where in enumerate(places) if where == here))

    def _newest_lots(self, name: str, whose: Whose, here: Where) -> tuple[list[Where | None], list[Normal]]:
        """What a motor's newest lots tell of it here, and where each was read; those of other builds: None."""
        spreads, places, read = self._spreads[name], list[Where | None](), list[Normal]()
        apart = spreads.session + spreads.clamping
        for build in self._lots.builds.get(whose.motor, ()):
            other = 0.0 if build == whose.build else 1.5 * spreads.motor
            for where, lot in self._newest(name, Whose(whose.motor, build)).items():
                shift, more = _between(name, where, here)
                if where.state != here.state:
                    more += _state_var(name)
                read += [Normal(mean + shift, var + more + other + apart) for mean, var in lot]
                places += [where if build == whose.build else None] * len(lot)
        return places, read

    def _newest(self, name: str, whose: Whose) -> dict[Where, list[Normal]]:
        """The newest lots of a motor, each as one reading."""
        if (found := self._order.get((name, whose))) is None:
            lots, noise = self._read(name, whose), self._spreads[name].noise
            newest = nlargest(MOST_LOTS, lots, key=lambda where: where.session[-1])
            found = {where: lot_of([value for _, value in lots[where]], noise) for where in newest}
            self._order[name, whose] = found
        return found

    def _of_class(self, name: str, motor_id: str, here: Where) -> Normal:
        """Where a motor of its class may lie, those of the class read at this voltage first."""
        key = ("class", name, motor_id, here.voltage, here.mark)
        if (found := self._known.get(key)) is not None:
            return found
        spreads, motor = self._spreads[name], self._lots.motors.get(motor_id) or {}
        first = FIGURES[name].first(motor.get("turns"), here.voltage or 0.0)
        usual = (self._usual(name, other, here) for other in self._lots.others_in_class(motor_id))
        others = [each for each in usual if each is not None]
        centre = level(first, [Normal(mean, var + 1.2 * spreads.motor) for mean, var in others])
        width = spreads.motor * (1.2 if len(others) > FEW else 2.0) if others else 0.0
        found = self._known[key] = Normal(centre.mean, centre.var + width)
        return found

    def _usual(self, name: str, motor_id: str, here: Where) -> Normal | None:
        """What one other motor usually reads under such conditions."""
        key = ("usual", name, motor_id, here.voltage, here.mark)
        if key not in self._known:
            found = []
            for build in self._lots.builds.get(motor_id, ()):
                for where, lot in self._read(name, Whose(motor_id, build)).items():
                    shift, more = _between(name, where, here)
                    found += [(value + shift, more) for _, value in lot]
            if not found:
                return None
            self._known[key] = Normal(median(value for value, _ in found), min(more for _, more in found))
        return self._known[key]

    # how much a session reads off

    def _mood(self, name: str, motor_id: str, session: tuple[str, ...]) -> Normal:
        """How much this session reads off, as the other motors in it say that were read in others too."""
        if self._by_session is None:
            usual = {name: Normal(0.0, each.session) for name, each in self._spreads.items()}
            moods = self._all_moods().items()
            self._by_session = {
                key: ([motor for motor, _ in told], taken(usual[key[0]], [each for _, each in told]))
                for key, told in moods
            }
        if (known := self._by_session.get((name, session))) is None:
            return Normal(0.0, self._spreads[name].session)
        motors, all_told = known
        return all_told.level(without=(at for at, motor in enumerate(motors) if motor == motor_id))

    def _all_moods(self) -> Moods:
        found: Moods = defaultdict(list)
        for (name, whose), lots in self._lots.of.items():
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
                    found[name, where.session].append((whose.motor, Normal(mean - rest, var)))
        return found


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


def _when(run: Row) -> str:
    return time_key(run["taken_at"])


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

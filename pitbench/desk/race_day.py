"""A race day whole, as it goes on paper: what was run and read, what was changed, how motors rank, the plan.

Gathers what other questions answer already and computes nothing of its own. Its answer is plain, so that it can be
worked out in another process. Nothing asks the clock: what is to come follows the newest record of the event.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from pitbench.desk import track_figures
from pitbench.desk.answered import count_of, counting
from pitbench.desk.answers import Judged, RankAnswer
from pitbench.desk.builds import in_order
from pitbench.desk.classes import NO_CLASS, class_called, first_class
from pitbench.desk.event_names import dated_name, events_meant
from pitbench.desk.forecasting.forecast import event_id_of
from pitbench.desk.forecasting.heat import heat_of
from pitbench.desk.forecasting.next_start import starts_after
from pitbench.desk.forecasting.temperature import standings, warm_start
from pitbench.desk.forecasting.temperature_plan import first_plan, plan_answer
from pitbench.desk.load.kept import answer_of
from pitbench.desk.named import name_of
from pitbench.desk.run_logs import logs_by_run
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import moment, time_key
from pitbench.records.units import Units, units_of

if TYPE_CHECKING:
    from pitbench.desk.answers import LoadLogAnswer, OddRun
    from pitbench.desk.comparing.pace import TrackPace
    from pitbench.desk.forecasting.forecast import Planned
    from pitbench.desk.forecasting.heat import Heat
    from pitbench.desk.forecasting.next_start import Start
    from pitbench.desk.forecasting.temperature_plan import PlanAnswer
    from pitbench.records.team import Team
    from pitbench.store.logbook import Snapshot

NINETY = 3.29
"""Width of a normal's middle nine tenths, in standard deviations."""


@dataclass(frozen=True)
class GiveOrTake:
    """A value, and half the width of its middle nine tenths."""

    value: float
    half: float


@dataclass(frozen=True)
class DayRun:
    """A track run as stored, with the names it refers to and what it comes to; None where nothing tells.

    finish: its can one minute after the finish, °C; pace: seconds a lap against its day; later: its cooling readings;
    logs: what its load logs told.
    """

    row: Row
    motor: str
    car: str
    class_name: str
    rollout_mm: float | None
    average_lap_s: float | None
    finish: GiveOrTake | None
    pace: GiveOrTake | None
    later: Sequence[Row]
    logs: Sequence[LoadLogAnswer]


@dataclass(frozen=True)
class DayChange:
    """An entry of the setup log as stored, its car, and what it brought."""

    row: Row
    car: str
    judged: Judged


@dataclass(frozen=True)
class DayClass:
    """A class that was raced: its ranking as the logbook stands, the plan for its leader, its last run of the day."""

    name: str
    answer: RankAnswer
    odd_runs: Sequence[OddRun]
    plan: Planned | None
    planned: PlanAnswer | None
    last: DayRun | None


@dataclass(frozen=True)
class RaceDay:
    """One event. at: its newest record; to_come: the rounds after that; benched: bench runs of its days, by motor;
    waiting: how many numbers of the logbook wait for an answer."""

    event: Row
    name: str
    at: datetime
    to_come: Sequence[Start]
    runs: Sequence[DayRun]
    changes: Sequence[DayChange]
    classes: Sequence[DayClass]
    benched: Mapping[str, int]
    waiting: int
    team: Team
    units: Units


def event_meant(source: Source, text: str) -> str:
    """Id of the event a text means, of a bare name the newest; Refusal where it means none."""
    meant = events_meant(text, source.rows("event"))
    if len(meant) > 1:
        return str(max(meant, key=lambda event: (time_key(event["date"]), event["id"]))["id"])
    return event_id_of(source, text)


def race_day(snapshot: Snapshot, event_id: str, plans: Mapping[str, Planned] | None = None) -> RaceDay:
    """The race day of an event. plans: what somebody planned, by motor; else each motor as it was run last."""
    event = snapshot.row("event", event_id)
    assert event is not None
    rows = _of_event(snapshot, "track_run", event_id)
    changes = _of_event(snapshot, "setup_entry", event_id)
    at = max([moment(event["date"]), *map(_over, (*rows, *changes))])
    runs, to_come = _Runs(snapshot).told(rows), starts_after(event, at)
    return RaceDay(
        event=event,
        name=dated_name(event),
        at=at,
        to_come=to_come,
        runs=runs,
        changes=_judged(snapshot, event_id, changes),
        classes=[_class(snapshot, name, runs, plans or {}, (at, to_come)) for name in _raced(snapshot, runs)],
        benched=_benched(snapshot, event["date"][:10], f"{at:%Y-%m-%d}"),
        waiting=count_of(snapshot),
        team=snapshot.team(),
        units=units_of(snapshot),
    )


def _of_event(snapshot: Snapshot, kind: str, event_id: str) -> list[Row]:
    """In time, without what is of a motor in the bin."""
    gone = {motor["id"] for motor in snapshot.rows("motor", binned=True)}
    rows = (row for row in snapshot.rows(kind) if row.get("event_id") == event_id)
    return sorted((row for row in rows if row.get("motor_id") not in gone), key=in_order)


def _over(row: Row) -> datetime:
    """When a run was over, or an entry written."""
    ended = track_figures.finished_at(row) if "started_at" in row else None
    return ended or moment(row.get("started_at") or row["written_at"])


class _Runs:
    """What is known of heat and pace, a class at a time, each worked out once."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot
        self._known: dict[str | None, tuple[Heat, TrackPace]] = {}
        self._logs = logs_by_run(snapshot)
        self._later: dict[str, list[Row]] = {}
        for reading in sorted(counting(snapshot.rows("cooling")), key=lambda row: (row["after_s"], row["id"])):
            self._later.setdefault(reading["track_run_id"], []).append(reading)

    def told(self, rows: Sequence[Row]) -> list[DayRun]:
        return [self._run(row) for row in rows]

    def _of_class(self, class_id: str | None) -> tuple[Heat, TrackPace]:
        from pitbench.desk.comparing.pace import pace_of

        if class_id not in self._known:
            self._known[class_id] = (heat_of(self._snapshot, class_id), pace_of(self._snapshot, class_id))
        return self._known[class_id]

    def _run(self, row: Row) -> DayRun:
        motor = self._snapshot.row("motor", row["motor_id"]) or {}
        heat, pace = self._of_class(motor.get("class_id"))
        finish = heat.finishes.get(row["id"])
        beside = pace.against_its_day(row["id"], with_rollout=True)
        against = beside.seconds if beside else None
        ratio = track_figures.internal_ratios(heat.runs).get(row.get("car_id"))
        return DayRun(
            row=row,
            motor=str(motor.get("name", "")),
            car=name_of(self._snapshot, "car", row.get("car_id")),
            class_name=class_called(self._snapshot, motor),
            rollout_mm=track_figures.rollout_of(row, ratio),
            average_lap_s=track_figures.average_lap_of(row),
            finish=GiveOrTake(finish.temp_c, NINETY / 2 * finish.doubt_k) if finish and finish.told else None,
            pace=GiveOrTake(against.mean, (against.high90 - against.low90) / 2) if against else None,
            later=self._later.get(row["id"], []),
            logs=[answer_of(self._snapshot, log, stored=True) for log in self._logs.get(row["id"], ())],
        )


def _raced(snapshot: Snapshot, runs: Sequence[DayRun]) -> list[str]:
    """The classes that were raced, by name; before anything was run, the one last worked on."""
    if runs:
        return sorted({run.class_name for run in runs}, key=lambda name: (name == NO_CLASS, name_key(name)))
    return [first_class(snapshot)] if snapshot.rows("motor") else []


def _judged(snapshot: Snapshot, event_id: str, rows: Sequence[Row]) -> list[DayChange]:
    from pitbench.desk.changes.judged import judged

    found = {each.entry_id: each for each in judged(snapshot, event_id=event_id)}
    return [DayChange(row, name_of(snapshot, "car", row.get("car_id")), found[row["id"]]) for row in rows]


def _class(
    snapshot: Snapshot,
    name: str,
    runs: Sequence[DayRun],
    plans: Mapping[str, Planned],
    then: tuple[datetime, Sequence[Start]],
) -> DayClass:
    """then: the newest record of the event, and the rounds to come."""
    from pitbench.desk.comparing.ranked import compared

    found = compared(snapshot, name)
    answer = found.answer()
    own = [run for run in runs if run.class_name == name]
    leader = next((motor for motor in snapshot.rows("motor") if motor["name"] == answer.leader), None)
    plan = planned = None
    if leader is not None:
        heat, limit = heat_of(snapshot, leader.get("class_id")), snapshot.team().ceiling_c
        plan = plans.get(leader["id"]) or first_plan(snapshot, heat, leader["id"])
        plan = replace(plan, start_c=_start_c(snapshot, heat, leader, *then)) if plan else None
        planned = plan_answer(snapshot, heat, plan, limit, most=5) if plan and limit > plan.ambient_c else None
    return DayClass(name, answer, found.odd_runs, plan, planned, own[-1] if own else None)


def _start_c(snapshot: Snapshot, heat: Heat, motor: Row, at: datetime, to_come: Sequence[Start]) -> float | None:
    """How warm the motor starts into the next round, from its cooling; None: not run that day, or no round to come."""
    if not to_come:
        return None
    found = standings(snapshot, heat, motor.get("class_id"), at, to_come[0].at)
    return warm_start(next((each for each in found if each.motor_id == motor["id"]), None))


def _benched(snapshot: Snapshot, first: str, last: str) -> dict[str, int]:
    """Bench runs made on the days from first to last that count, by name of the motor."""
    names = {motor["id"]: motor["name"] for motor in snapshot.rows("motor")}
    runs = (run for run in counting(snapshot.rows("bench_run")) if first <= run["taken_at"][:10] <= last)
    counts = Counter(names[run["motor_id"]] for run in runs if run["motor_id"] in names)
    return dict(sorted(counts.items(), key=lambda each: name_key(each[0])))

"""What the track runs of one class say about heat: plain rows -> finishes, cooling, and the fit behind every forecast.

Made once for a snapshot and a class, in a worker; what follows a key (`forecast`, `standings`) asks what stands here.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isnan
from typing import TYPE_CHECKING, Any

from pitbench.desk import track_figures
from pitbench.desk.answered import answered, counting
from pitbench.desk.builds import in_order
from pitbench.desk.forecasting.logged import logged_cans
from pitbench.records.kinds import Row, Source

if TYPE_CHECKING:
    from pitbench.figures.cooling import CanReadings, Finish, Rest
    from pitbench.figures.delays import Delays
    from pitbench.figures.heat_fit import HeatFit, TrackRuns

UNKNOWN = float("nan")


@dataclass(frozen=True)
class Heat:
    """Track runs of one class in order of time, without those left out; finishes by run id, None without readings.

    motors, events: labels of the fit, by id; runs of no event share an effect by their day. delays: what a delay not
    stated may be, as the stated ones of the class are. by_log: ids of runs whose finish a load log alone told.
    """

    runs: list[Row]
    motors: dict[str, int]
    events: dict[str, int]
    finishes: dict[str, "Finish | None"]
    fans: dict[str, bool]
    rest: "Mapping[bool, Rest]"
    delays: "Delays"
    columns: "TrackRuns"
    by_log: Collection[str] = ()
    longest: dict[Any, float | None] = field(default_factory=dict, compare=False)
    """Longest rollouts that were asked for already, by plan and limit."""

    @cached_property
    def _fit(self) -> "HeatFit":
        from pitbench.figures.heat_fit import fit

        return fit(self.columns, UNKNOWN)

    def learn(self) -> None:
        """Make the fit now."""
        _ = self._fit

    def fit_for(self, rollout_mm: float) -> "HeatFit":
        """The fit over all runs. Where none tells a rollout, none played a part in it: the planned one stands in."""
        return replace(self._fit, rollout_ref_mm=rollout_mm) if isnan(self._fit.rollout_ref_mm) else self._fit

    def of_motor(self, motor_id: str) -> list[Row]:
        """The runs of one motor, oldest first."""
        return [run for run in self.runs if run["motor_id"] == motor_id]

    def event_label(self, event_id: str | None) -> int | None:
        """The label of an event, None where no run of it is known."""
        return self.events.get(event_id) if event_id else None


def heat_of(source: Source, class_id: str | None) -> Heat:
    """Everything of the motors of one class; None: of those without a class. Still air and fan cool apart."""
    from pitbench.figures import cooling
    from pitbench.figures.delays import learn_delays
    from pitbench.figures.log_heat import finish_by_log

    motors = {m["id"] for m in source.rows("motor") if m.get("class_id") == class_id}
    runs = sorted((r for r in counting(source.rows("track_run")) if r["motor_id"] in motors), key=in_order)
    labels = {motor: at for at, motor in enumerate(dict.fromkeys(run["motor_id"] for run in runs))}
    events = {event: at for at, event in enumerate(dict.fromkeys(event_of(run) for run in runs))}
    ambients = _ambients(runs)
    readings, fans = _readings(source, runs, ambients)
    told = [run["id"] for run in runs if run["id"] in readings]
    rest = {fan: cooling.learn([readings[run] for run in told if fans[run] == fan]) for fan in (False, True)}
    delays = learn_delays([run["finish_reading_after_s"] for run in runs if "finish_reading_after_s" in run])
    ended = {run: cooling.finish(readings[run], rest[fans[run]], delays) for run in told}
    curves = logged_cans(source, runs, ambients)
    for run, curve in curves.items():
        if run not in ended and (by_log := finish_by_log(curve, rest[fans[run]])).told:
            ended[run] = by_log
    finishes = {run["id"]: ended.get(run["id"]) for run in runs}
    starts = _starts(runs, finishes, ambients)
    return Heat(
        runs=runs,
        motors=labels,
        events=events,
        finishes=finishes,
        fans=fans,
        rest=rest,
        delays=delays,
        columns=replace(_columns(runs, labels, events, finishes, ambients, starts), curves=[*curves.values()]),
        by_log=frozenset(ended) - frozenset(readings),
    )


def finish_of(heat: Heat, source: Source, run: Row) -> "Finish | None":
    """The finish of one run of the class, also of one that was too old or was left out; None without a reading."""
    if run["id"] in heat.finishes:
        return heat.finishes[run["id"]]
    from pitbench.figures.cooling import finish

    readings, fans = _readings(source, [answered(run)], _ambients([answered(run)]))
    return finish(readings[run["id"]], heat.rest[fans[run["id"]]], heat.delays) if readings else None


def learned_heat(source: Source, class_id: str | None) -> Heat:
    """`heat_of` with its fit made: what a worker does, so that what follows a key finds it ready."""
    heat = heat_of(source, class_id)
    heat.learn()
    return heat


def newest_class(source: Source) -> str | None:
    """Id of the class of the motor run last on the track; None where it has none, or nothing was run."""
    newest = max(source.rows("track_run"), key=in_order, default=None)
    return (source.row("motor", newest["motor_id"]) or {}).get("class_id") if newest else None


def event_of(run: Mapping[str, Any]) -> str:
    """What a run shares its event effect with: its event, else the day."""
    return str(run.get("event_id") or run["started_at"][:10])


def _ambients(runs: Sequence[Row]) -> dict[str, float]:
    """Ambient of every run; one that has none takes that of the run before at its event on that day, else after."""
    found = {run["id"]: run["ambient_c"] for run in runs if "ambient_c" in run}
    days: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for run in runs:
        days[event_of(run), run["started_at"][:10]].append(run)
    for day in days.values():
        for order in (day, day[::-1]):
            last = None
            for run in order:
                last = found.get(run["id"], last)
                if last is not None:
                    found.setdefault(run["id"], last)
    return found


def _readings(
    source: Source, runs: Sequence[Row], ambients: Mapping[str, float]
) -> tuple[dict[str, "CanReadings"], dict[str, bool]]:
    """Readings of every run with an ambient and at least one, and whether a fan blew while it cooled."""
    from pitbench.figures.cooling import CanReadings

    cooling: dict[str, list[Row]] = defaultdict(list)
    for row in counting(source.rows("cooling")):
        cooling[row["track_run_id"]].append(row)
    found, fans = {}, {}
    for run in runs:
        own = sorted(cooling[run["id"]], key=lambda row: (row["after_s"], row["id"]))
        told = [row["fan"] for row in own if "fan" in row]
        fans[run["id"]] = bool(told) and sum(told) * 2 > len(told)
        after, temp = [row["after_s"] for row in own], [row["temp_c"] for row in own]
        if "finish_reading_c" in run:
            after.insert(0, run.get("finish_reading_after_s", UNKNOWN))
            temp.insert(0, run["finish_reading_c"])
        if temp and run["id"] in ambients:
            found[run["id"]] = CanReadings(after, temp, ambients[run["id"]])
    return found, fans


def _starts(
    runs: Sequence[Row], finishes: Mapping[str, "Finish | None"], ambients: Mapping[str, float]
) -> dict[str, float]:
    """Can temperature at the start of every run: from the cooling clock of the motor's run before; what was typed,
    where it is likely beside that."""
    from pitbench.figures.clock import expected_at
    from pitbench.figures.starts import believed_start

    found: dict[str, float] = {}
    before: dict[str, Row] = {}
    for run in runs:
        last = before.get(run["motor_id"])
        before[run["motor_id"]] = run
        air, apart = ambients.get(run["id"]), _apart(last, run) if last is not None else None
        finish = finishes[last["id"]] if last is not None and apart is not None else None
        likely = air
        if air is not None and apart is not None and finish is not None:
            likely = found[run["id"]] = air + max(expected_at(finish, apart) - finish.ambient_c, 0.0)
        if "start_temp_c" in run:
            typed = run["start_temp_c"]
            found[run["id"]] = typed if air is None or likely is None else believed_start(typed, likely, air)
    return found


def _apart(last: Row, run: Row) -> float | None:
    """Seconds from the finish of one run to the start of the next; None where it is not known."""
    ended, started = track_figures.finished_at(last), track_figures.started(run)
    if ended is None or started is None:
        return None
    seconds = (started - ended).total_seconds()
    return seconds if seconds > 0 else None


def _columns(
    runs: Sequence[Row],
    labels: Mapping[str, int],
    events: Mapping[str, int],
    finishes: Mapping[str, "Finish | None"],
    ambients: Mapping[str, float],
    starts: Mapping[str, float],
) -> "TrackRuns":
    from pitbench.figures.heat_fit import TrackRuns

    ratios = track_figures.internal_ratios(runs)
    ended = [finishes[run["id"]] for run in runs]
    return TrackRuns(
        motor=[labels[run["motor_id"]] for run in runs],
        event=[events[event_of(run)] for run in runs],
        rollout_mm=[_known(track_figures.rollout_of(run, ratios.get(run.get("car_id")))) for run in runs],
        timing_deg=[_known(track_figures.track_timing_of(run)) for run in runs],
        length_s=[_known(track_figures.length_of(run)) for run in runs],
        ambient_c=[ambients.get(run["id"], UNKNOWN) for run in runs],
        start_c=[starts.get(run["id"], UNKNOWN) for run in runs],
        finish_c=[UNKNOWN if each is None else each.temp_c for each in ended],
        own_k=[UNKNOWN if each is None else each.own_k for each in ended],
        shared_k=[UNKNOWN if each is None else each.shared_k for each in ended],
        delay_k=[UNKNOWN if each is None else each.delay_k for each in ended],
        delay_told=["finish_reading_c" not in run or "finish_reading_after_s" in run for run in runs],
    )


def _known(value: float | None) -> float:
    return UNKNOWN if value is None else value

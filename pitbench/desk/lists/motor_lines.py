"""The lines of a motor's page: a bench session, what happened on the track after it, what was changed; newest first.

What stands where is found at once; what a line says is worked out when it comes in sight, so that a motor with a
thousand runs opens like one with ten.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from statistics import fmean
from typing import TYPE_CHECKING

from pitbench.desk import run_figures, track_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import BuildHistory, parts_text
from pitbench.desk.run_figures import Measure, same_voltage
from pitbench.desk.sessions import Session, in_time
from pitbench.figures.criteria import MEASURED
from pitbench.figures.earlier import mean_range
from pitbench.records.kinds import Row, Source
from pitbench.records.laps import laps_text
from pitbench.records.rounds import round_text
from pitbench.records.spoken import change_words
from pitbench.records.stamps import friendly, time_key

if TYPE_CHECKING:
    from pitbench.desk.comparing.track_evidence import TrackEvidence
    from pitbench.figures.pace import Against

NO_RUN_YET = "no track run yet"
BEFORE_THE_BENCH = "before its first bench session"
_END_OF_DAY = "T24"


@dataclass(frozen=True)
class SessionLine:
    """One bench session of the motor; `day` finds its runs. A figure that was not read is None."""

    day: str
    when: str
    runs: int
    left_out: int
    kv: float | None
    kv_pm: float | None
    current: float | None
    timing: float | None
    spread: float | None
    resistance: float | None


@dataclass(frozen=True)
class TrackLine:
    """One track run: rollout in mm, finish temperature in °C at one minute, pace in s against its day; None: unknown.

    mark: what to look at, empty if nothing; laps: laps and time, then the result.
    """

    day: str
    when: str
    what: str
    mark: str
    rollout_mm: float | None
    timing_mark_deg: float | None
    finish_c: float | None
    pace: "Against | None"
    laps: str


@dataclass(frozen=True)
class NoteLine:
    """A build, a change of the setup, or a word."""

    text: str


AnyLine = SessionLine | TrackLine | NoteLine


@dataclass(frozen=True)
class _Entry:
    """What a line is made of: the runs of a session, or one track run, or the words as they stand."""

    key: str | None
    runs: Sequence[Row] = ()
    run: Row | None = None
    text: str = ""


@dataclass(frozen=True)
class MotorLines:
    """keys: what a line stands for; None: a note, which the mark passes over. `line` makes a line and keeps it."""

    source: Source
    now: datetime
    kv: Measure
    track: "TrackEvidence | None"
    entries: Sequence[_Entry]
    events: Mapping[str, Row]
    ratios: Mapping[str | None, float]
    _made: dict[int, AnyLine] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.entries)

    @property
    def keys(self) -> list[str | None]:
        """One for every line."""
        return [entry.key for entry in self.entries]

    def line(self, place: int) -> AnyLine:
        """The line at this place."""
        if place not in self._made:
            self._made[place] = self._make(self.entries[place])
        return self._made[place]

    def _make(self, entry: _Entry) -> AnyLine:
        if entry.run is not None:
            return self._track_line(entry.run)
        return session_line(entry.runs, self.kv, self.now) if entry.runs else NoteLine(entry.text)

    def _track_line(self, run: Row) -> TrackLine:
        event = self.events.get(run.get("event_id", ""), {})
        laps = laps_text(run.get("laps", float(len(run["lap_times_s"])) if "lap_times_s" in run else None), None)
        seconds = track_figures.length_of(run)
        return TrackLine(
            day=run["started_at"][:10],
            when=friendly(run["started_at"], self.now),
            what=", ".join(t for t in (event.get("name") or run.get("track", ""), round_text(run)) if t) or "track run",
            mark=f"out: {run['excluded_why']}" if "excluded_why" in run else run.get("incident", ""),
            rollout_mm=track_figures.rollout_of(run, self.ratios.get(run.get("car_id"))),
            timing_mark_deg=run.get("timing_mark_deg"),
            finish_c=self._finish(run),
            pace=self.track.pace.against_its_day(run["id"]) if self.track else None,
            laps="  ".join(t for t in (laps_text(None, seconds and round(seconds)), laps, run.get("result", "")) if t),
        )

    def _finish(self, run: Row) -> float | None:
        if self.track is None:
            return None
        from pitbench.desk.forecasting.heat import finish_of

        found = finish_of(self.track.heat, self.source, run)
        return found.temp_c if found else None


def lines_of(
    source: Source,
    motor: Row,
    runs: Sequence[Row],
    session_of: Mapping[str, Session],
    kv: Measure,
    now: datetime,
    track: "TrackEvidence | None",
) -> MotorLines:
    """The lines of one motor, given its bench runs in time and the session of each."""
    everyone = source.rows("track_run")
    raced = [run for run in everyone if run["motor_id"] == motor["id"]]
    asked = any("internal_ratio" not in run for run in raced)
    return MotorLines(
        source=source,
        now=now,
        kv=kv,
        track=track,
        entries=_entries(source, motor, _by_session(runs, session_of), raced, now),
        events={row["id"]: row for row in source.rows("event")},
        ratios=track_figures.internal_ratios(everyone) if asked else {},
    )


def _by_session(runs: Sequence[Row], session_of: Mapping[str, Session]) -> list[list[Row]]:
    """Runs of every session, the oldest session first."""
    found: dict[Session, list[Row]] = {}
    for run in runs:
        found.setdefault(session_of[run["id"]], []).append(run)
    return sorted(found.values(), key=lambda own: in_time(own[0]))


def _entries(
    source: Source, motor: Row, sittings: Sequence[Sequence[Row]], raced: Sequence[Row], now: datetime
) -> list[_Entry]:
    """Newest first: under a session what came after it, then the builds that came into force before it."""
    fitted = [b for b in BuildHistory(source.rows("build")).of(motor["id"]) if "since" in b]
    changes = [e for e in source.rows("setup_entry") if e.get("motor_id") == motor["id"]]
    later = [(_when(run["started_at"]), _Entry(run["id"], run=run)) for run in raced]
    later += [(_when(e["written_at"]), _Entry(None, text=_change(e, now))) for e in changes]
    later.sort(key=lambda each: (each[0], each[1].key or "", each[1].text))
    found, at = [], 0
    starts = [time_key(own[0]["taken_at"]) for own in sittings]
    before = [entry for when, entry in later if not starts or when < starts[0]]
    at = len(before)
    for nth, own in enumerate(sittings):
        since, until = own[-1]["taken_at"], starts[nth + 1] if nth + 1 < len(starts) else None
        under = []
        while at < len(later) and (until is None or later[at][0] < until):
            under.append(later[at][1])
            at += 1
        if until is None and raced and not any(entry.run for entry in under):
            under.append(_Entry(None, text=NO_RUN_YET))
        last = sittings[nth - 1][-1]["taken_at"] if nth else ""
        built = [_Entry(None, text=_built(source, b, now)) for b in fitted if last < b["since"] <= since]
        found.append([_Entry(f"{own[0]['taken_at'][:10]} {nth}", runs=own), *under[::-1], *built])
    newest = sittings[-1][-1]["taken_at"] if sittings else ""
    built = [_Entry(None, text=_built(source, b, now)) for b in fitted if b["since"] > newest]
    heading = [_Entry(None, text=BEFORE_THE_BENCH)] if before and sittings else []
    return [*built[::-1], *(entry for each in reversed(found) for entry in each), *heading, *before[::-1]]


def _when(stamp: str) -> str:
    """Where only the day is known, what was done on the track comes after that day's bench session."""
    return time_key(stamp) if "T" in stamp else stamp + _END_OF_DAY


def _change(entry: Row, now: datetime) -> str:
    outcome = entry.get("outcome", "outcome still open")
    return f"{friendly(entry['written_at'], now)}  {change_words(entry)}: {outcome}"


def _built(source: Source, build: Row, now: datetime) -> str:
    return f"{friendly(build['since'], now)}: {parts_text(source, build)} fitted"


def session_line(own: Sequence[Row], kv: Measure, now: datetime) -> SessionLine:
    """The means of one session's runs, without those left out; speed and current at one voltage."""
    counted = [*counting(own)]
    at_voltage = at_one_voltage(counted)
    kvs = _known(map(kv, at_voltage))
    return SessionLine(
        day=own[0]["taken_at"][:10],
        when=friendly(own[0]["taken_at"][:10], now),
        runs=len(own),
        left_out=sum("excluded_why" in run for run in own),
        kv=_mean(kvs),
        kv_pm=mean_range(kvs, MEASURED["kv_rpm_per_v"].noise, relative=True),
        current=_mean(_known(r.get("no_load_current_a") for r in at_voltage)),
        timing=_mean(_known(run_figures.timing_of(r) for r in counted)),
        spread=_mean(_known(run_figures.sensor_spread_of(r) for r in counted)),
        resistance=_mean(_known(r.get("resistance_mohm") for r in counted)),
    )


def at_one_voltage(runs: Sequence[Row]) -> list[Row]:
    """Runs at the test voltage of the last of them: speed and current at other voltages are other figures."""
    voltage = next((r["test_voltage_v"] for r in reversed(runs) if "test_voltage_v" in r), None)
    return [r for r in runs if same_voltage(r.get("test_voltage_v"), voltage)]


def _known(values: Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def _mean(values: Sequence[float]) -> float | None:
    return fmean(values) if values else None

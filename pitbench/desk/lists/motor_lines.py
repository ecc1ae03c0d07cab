"""The lines of a motor's page: a bench session, what happened on the track after it, what was changed; newest first.

What stands where is found at once; what a line says is worked out when it comes in sight, so that a motor with a
thousand runs opens like one with ten.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import groupby
from statistics import fmean
from typing import TYPE_CHECKING

from pitbench.desk import run_figures, track_figures
from pitbench.desk.answered import counting
from pitbench.desk.builds import BuildHistory, part_names, parts_text
from pitbench.desk.run_figures import Measure, at_one_voltage
from pitbench.desk.sessions import Session, in_time
from pitbench.desk.states import motor_work
from pitbench.figures.criteria import MEASURED
from pitbench.figures.earlier import mean_range
from pitbench.records.fields import PART_KINDS
from pitbench.records.kinds import Row, Source
from pitbench.records.laps import laps_text
from pitbench.records.names import name_key
from pitbench.records.rounds import round_text
from pitbench.records.spoken import change_words
from pitbench.records.stamps import friendly, time_key
from pitbench.records.typed import label_of

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
    swap: bool = False


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
    brought: Mapping[str, str],
) -> MotorLines:
    """The lines of one motor, given its bench runs in time and the session of each; brought: what each change did, in
    short, by its id."""
    everyone, history = source.rows("track_run"), BuildHistory(source.rows("build"))
    raced = [run for run in everyone if run["motor_id"] == motor["id"]]
    asked = any("internal_ratio" not in run for run in raced)
    return MotorLines(
        source=source,
        now=now,
        kv=kv,
        track=track,
        entries=_entries(source, history, motor, _sittings(source, runs, session_of, history), raced, now, brought),
        events={row["id"]: row for row in source.rows("event")},
        ratios=track_figures.internal_ratios(everyone) if asked else {},
    )


def _sittings(
    source: Source, runs: Sequence[Row], session_of: Mapping[str, Session], history: BuildHistory
) -> list[list[Row]]:
    """Runs of every session in time, the oldest session first; those on other parts, or after work, stand apart."""
    work = motor_work(source).get(runs[0]["motor_id"], []) if runs else []

    def same(run: Row) -> tuple[str, int]:
        return history.one(run["build_id"]), bisect_right(work, time_key(run["taken_at"]))

    by_session: dict[Session, list[Row]] = {}
    for run in runs:
        by_session.setdefault(session_of[run["id"]], []).append(run)
    found = [[*own] for each in by_session.values() for _, own in groupby(each, same)]
    return sorted(found, key=lambda own: in_time(own[0]))


def _entries(
    source: Source,
    history: BuildHistory,
    motor: Row,
    sittings: Sequence[Sequence[Row]],
    raced: Sequence[Row],
    now: datetime,
    brought: Mapping[str, str],
) -> list[_Entry]:
    """Newest first: under a session what came after it; a swap with nothing after it stands over that session."""
    changes = [e for e in source.rows("setup_entry") if e.get("motor_id") == motor["id"]]
    later, told = _swaps(source, history, motor, changes, now, brought)
    later += [(_when(run["started_at"]), _Entry(run["id"], run=run)) for run in raced]
    later += [
        (_when(e["written_at"]), _Entry(None, text=_change(e, now, brought)))
        for e in changes
        if _told_by(e) not in told
    ]
    later.sort(key=lambda each: (each[0], not each[1].swap, each[1].key or "", each[1].text))
    starts = [time_key(own[0]["taken_at"]) for own in sittings]
    at = 0

    def until(end: str | None) -> tuple[list[_Entry], list[_Entry]]:
        """What came up to then, and apart the swaps at its end; one of that very time is before the run of it."""
        nonlocal at
        came: list[_Entry] = []
        while at < len(later) and (end is None or later[at][0] < end or (later[at][1].swap and later[at][0] == end)):
            came.append(later[at][1])
            at += 1
        last = next((place for place in range(len(came), 0, -1) if not came[place - 1].swap), 0)
        return came[:last], came[last:]

    before, first = until(starts[0] if starts else None)
    found = []
    for nth, own in enumerate(sittings):
        under, over = until(starts[nth + 1] if nth + 1 < len(starts) else None)
        if nth + 1 == len(sittings) and raced and not any(entry.run for entry in under):
            under.append(_Entry(None, text=NO_RUN_YET))
        tried = _tried(source, history, own[0])
        found.append([*over[::-1], _Entry(f"{own[0]['taken_at'][:10]} {nth}", runs=own), *tried, *under[::-1]])
    heading = [_Entry(None, text=BEFORE_THE_BENCH)] if before and sittings else []
    return [*(entry for each in reversed(found) for entry in each), *first[::-1], *heading, *before[::-1]]


def _tried(source: Source, history: BuildHistory, run: Row) -> list[_Entry]:
    """Which parts were only tried in these runs, if any."""
    build, stands = source.row("build", run["build_id"]), history.in_force(run["motor_id"], run["taken_at"])
    moved = _moved(source, stands, build) if build and stands and not build.get("fitted", True) else {}
    return [_Entry(None, text=f"tried: {', '.join(map(change_words, moved.values()))}")] if moved else []


def _moved(source: Source, before: Row, build: Row) -> dict[str, Row]:
    """How a build differs from one before, by kind, as an entry of the setup log says it; own parts by name too."""
    had, names = part_names(source, before), part_names(source, build)
    return {
        kind: {"what": label_of(kind), "was": had[kind], "now": names[kind]}
        for kind in PART_KINDS
        if had[kind] != names[kind]
    }


def _when(stamp: str) -> str:
    """Where only the day is known, what was done on the track comes after that day's bench session."""
    return time_key(stamp) if "T" in stamp else stamp + _END_OF_DAY


def _change(entry: Row, now: datetime, brought: Mapping[str, str]) -> str:
    """A change with its outcome, else with what it brought."""
    outcome = entry.get("outcome") or brought.get(entry["id"], "outcome still open")
    return f"{friendly(entry['written_at'], now)}  {change_words(entry)}: {outcome}"


def _swaps(
    source: Source,
    history: BuildHistory,
    motor: Row,
    changes: Sequence[Row],
    now: datetime,
    brought: Mapping[str, str],
) -> "tuple[list[tuple[str, _Entry]], set[tuple[str, str]]]":
    """When other parts were fitted, and which; and which entries of the setup log tell of it, which are said here."""
    entries = {_told_by(entry): entry for entry in changes}
    found: list[tuple[str, _Entry]] = []
    told = set()
    for build in history.of(motor["id"]):
        if "since" not in build:
            continue
        before = history.before(build)
        moved = _moved(source, before, build) if before else {}
        said = {(time_key(build["since"]), each["what"]): each for each in moved.values()}
        texts = [
            _change(entries[key], now, brought) if key in entries else _said(build, change_words(each), now)
            for key, each in said.items()
        ]
        texts = texts or [_said(build, f"{parts_text(source, build)} fitted", now)]
        found += [(time_key(build["since"]), _Entry(None, text=text, swap=True)) for text in texts]
        told |= said.keys() & entries.keys()
    return found, told


def _told_by(entry: Row) -> tuple[str, str]:
    return time_key(entry["written_at"]), name_key(entry["what"])


def _said(build: Row, what: str, now: datetime) -> str:
    return f"{friendly(build['since'], now)}: {what}"


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


def _known(values: Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def _mean(values: Sequence[float]) -> float | None:
    return fmean(values) if values else None

"""What was measured? Every run, newest first, and the words that narrow the list.

Works on plain rows and ready-made lower-case texts, so that ten thousand runs are listed and narrowed between two keys.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pitbench.desk import run_figures
from pitbench.desk.answered import count_of
from pitbench.desk.builds import made_at, part_names, parts_said
from pitbench.desk.lists import run_track
from pitbench.desk.lists.narrow import narrowed
from pitbench.desk.run_logs import has_log, logs_by_run
from pitbench.desk.track_figures import internal_ratios
from pitbench.records.kinds import Row, Source
from pitbench.records.numbers import shown
from pitbench.records.spoken import BINNED, binned_words
from pitbench.records.stamps import friendly, time_key
from pitbench.records.typed import label_of
from pitbench.records.units import units_of


@dataclass(frozen=True)
class RunLine:
    """One line of the list, in words; empty if nothing. mark: what to look at; where: event or bench session; made_on:
    the car, or what the motor was built from."""

    when: str
    motor: str
    kind: str
    figures: str
    mark: str
    note: str
    where: str = ""
    made_on: str = ""


class RunList:
    """The runs of one snapshot, newest first, or what lies in the bin."""

    def __init__(self, snapshot: Source, now: datetime, binned: bool = False) -> None:
        self._now, self._binned = now, binned
        self._motors: dict[str, Row] = {
            row["id"]: row for gone in (False, True) for row in snapshot.rows("motor", binned=gone)
        }
        builds = {row["id"]: row for row in snapshot.rows("build")}
        self._builds = {key: parts_said(snapshot, build) for key, build in builds.items()}
        self._parts = {key: " ".join(part_names(snapshot, build).values()) for key, build in builds.items()}
        self._names, self._units = run_track.names_by_id(snapshot), units_of(snapshot)
        self._tracks = run_track.tracks_by_event(snapshot)
        raced = snapshot.rows("track_run", binned=binned)
        self._ratios = internal_ratios(raced) if any("internal_ratio" not in run for run in raced) else {}
        self.on_the_track = len(raced)
        self.waits = 0 if binned else count_of(snapshot)
        runs = [*snapshot.rows("bench_run", binned=binned), *raced]
        gone = [row for kind in BINNED for row in snapshot.rows(kind, binned=True)] if binned else []
        gone = [row for row in gone if not _went_with_a_run(snapshot, row)]
        self._logs = logs_by_run(snapshot)
        self.rows: list[Row] = sorted([*gone, *runs], key=_order, reverse=True)
        self.texts = [self._text(row) for row in self.rows]

    def _text(self, row: Row) -> str:
        if "build_id" not in row:
            return " ".join(binned_words(row)).casefold()
        words = (
            self._motors.get(row["motor_id"], {}).get("name", ""),
            *(("bench", row["taken_at"].replace("T", " ")) if "taken_at" in row else ()),
            *(run_track.words_of(row, self._names, self._tracks) if "started_at" in row else ()),
            self._parts.get(row["build_id"], ""),
            row.get("session", ""),
            row.get("tester", ""),
            row.get("note", ""),
            f"excluded {row['excluded_why']}" if "excluded_why" in row else "",
            "waits" if "waits" in row else "",
            has_log(self._logs, row["id"]),
        )
        return " ".join(words).casefold()

    def narrow(self, words: str, among: Sequence[int] | None = None) -> list[int]:
        """Places of the runs all words are true of; `among` narrows the hits of the words typed so far."""
        return narrowed(self.texts, words, among)

    def line(self, place: int) -> RunLine:
        """The line at this place, in words."""
        row = self.rows[place]
        if "build_id" not in row:
            kind, name, more = binned_words(row)
            return RunLine(friendly(row["binned_at"], self._now), name, kind, more, self._mark(row), "")
        motor = self._motors.get(row["motor_id"], {})
        if "started_at" in row:
            kind, figures = run_track.kind_of(row), run_track.figures_of(row, self._units, self._ratios)
            facts = run_track.car_facts(row, self._names, self._units)
        else:
            kind, figures = "bench", self._bench_figures(row, motor)
            facts = self._made_on(row)
        when, where = friendly(made_at(row), self._now), self._names.get(row.get("event_id", "")) or row.get("track")
        where = where or row.get("session", "") or row.get("tester", "")
        name, made_on = motor.get("name", "?"), "  ".join(fact for fact in facts if fact)
        return RunLine(when, name, kind, figures, self._mark(row), _note(row), where, made_on)

    @staticmethod
    def _bench_figures(row: Row, motor: Row) -> str:
        kv, timing = run_figures.kv_of(row, motor), run_figures.timing_of(row)
        current = row.get("no_load_current_a")
        texts = (
            "" if kv is None else f"{kv:.0f} rpm/V",
            "" if current is None else f"{current:.2f} A",
            "" if timing is None else f"{timing:.1f}°",
        )
        ohm = row.get("resistance_mohm")
        alone = [] if ohm is None or any(texts) else [f"winding {ohm:.1f} mΩ"]
        return "  ".join(text for text in (*texts, *alone) if text)

    def detail(self, place: int) -> tuple[str, str]:
        """The marked run in full: what it was made on, and its mark and note uncut."""
        row = self.rows[place]
        words = (f"! {self._mark(row)}." if self._mark(row) else "", _note(row))
        facts = self._facts(row)
        return "   ".join(fact for fact in facts if fact), "   ".join(word for word in words if word)

    def _facts(self, row: Row) -> list[str]:
        log = has_log(self._logs, row["id"])
        if "started_at" in row:
            return [
                log,
                *run_track.facts_of(row, self._names, self._units),
                self._builds.get(row["build_id"], ""),
            ]
        build, *rest = self._made_on(row)
        return [log, build, row.get("session", ""), row.get("tester", ""), *rest]

    def _made_on(self, row: Row) -> list[str]:
        """The build of a bench run, its mark and its winding."""
        ohm = row.get("resistance_mohm")
        return [
            self._builds.get(row.get("build_id", ""), ""),
            f"mark {shown(row['timing_mark_deg'])}°" if "timing_mark_deg" in row else "",
            "" if ohm is None else f"winding {ohm:.1f} mΩ",
        ]

    def _mark(self, row: Row) -> str:
        if self._binned:
            return str(row.get("binned_why", ""))
        if "excluded_why" in row:
            return f"out: {row['excluded_why']}"
        marks = (_said("waits", row), str(row.get("incident", "")), _said("kept", row))
        return "; ".join(mark for mark in marks if mark)

    def motors_named(self, places: Sequence[int]) -> set[str]:
        """Names of the motors these runs belong to."""
        return {self._motors.get(self.rows[i].get("motor_id", ""), {}).get("name", "") for i in places} - {""}


def _went_with_a_run(source: Source, row: Row) -> bool:
    """It comes back with its run, and stands in no line of its own."""
    return "binned_at" in (source.row("track_run", row.get("track_run_id", "")) or {})


def _said(mark: str, row: Row) -> str:
    """What waits or is kept, the word first: a narrow column cuts the rest."""
    labels = ", ".join(label_of(name) for name in row.get(mark, ()))
    return f"{mark}: {labels}" if labels else ""


def _note(row: Row) -> str:
    return "  ".join(str(row[name]) for name in ("result", "note") if name in row)


def _order(row: Row) -> tuple[str, bool, str, int, str]:
    """In the bin by when it went there, and what runs belong to before them; then by time, and equal times by place."""
    return (
        row.get("binned_at", ""),
        "build_id" not in row,
        time_key(row.get("taken_at") or row.get("started_at", "")),
        row.get("place", 0),
        row["id"],
    )

"""Rows of values of the track side's sheets: events, track runs, cooling readings, setup log, gears."""

from collections import Counter
from typing import Any

from pitbench.desk.event_names import event_text
from pitbench.desk.exchange.exporting_bench import BenchPages
from pitbench.desk.exchange.loading_waits import kept_record, kept_track_runs
from pitbench.desk.gears import dp_of_module
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key


class TrackPages:
    """Rows in an order that does not hang on the order of entry; motors and builds are the bench side's."""

    def __init__(self, source: Source, bench: BenchPages) -> None:
        self._source, self._bench = source, bench
        events = source.rows("event")
        self._events = {row["id"]: event_text(row, events) for row in events}
        self._cars = {row["id"]: row["name"] for row in source.rows("car")}

    def events(self) -> list[Row]:
        rows = sorted(self._source.rows("event"), key=lambda e: (e["date"], name_key(e["name"]), e["id"]))
        return [{**row, "event": row["name"]} for row in rows]

    def track(self) -> list[Row]:
        return [
            {**self._named(run), **self._bench.tested(run)} for run in kept_track_runs(self._bench.runs("track_run"))
        ]

    def cooling(self) -> list[Row]:
        """Readings by the start of their run; by its id where the motor started twice at that time."""
        runs = {run["id"]: (place, run) for place, run in enumerate(self._bench.runs("track_run"))}
        starts = Counter(_start(run) for _, run in runs.values())
        twice = {start for start, count in starts.items() if count > 1}
        rows = [row for row in self._source.rows("cooling") if row["track_run_id"] in runs]
        rows.sort(key=lambda row: (runs[row["track_run_id"]][0], row["after_s"], row["id"]))
        return [_cooling(row, runs[row["track_run_id"]][1], twice, self._bench) for row in rows]

    def setup(self) -> list[Row]:
        rows = [self._named(row) for row in self._source.rows("setup_entry")]
        return sorted(rows, key=_setup_order)

    def gears(self) -> list[Row]:
        rows = self._source.rows("gear")
        rows = sorted(rows, key=lambda gear: (gear["kind"], gear["module"], gear["teeth"], gear["id"]))
        return [_gear(row) for row in rows]

    def _named(self, row: Row) -> Row:
        """Names in place of ids."""
        return {
            **row,
            "motor": self._bench.motor_name(row),
            "event": self._events.get(row.get("event_id", "")),
            "car": self._cars.get(row.get("car_id", "")),
        }


def _start(run: Row) -> tuple[str, str]:
    return (run["motor_id"], time_key(run["started_at"]))


def _cooling(row: Row, run: Row, twice: set[tuple[str, str]], bench: BenchPages) -> Row:
    row_of = {**kept_record(row), "motor": bench.motor_name(run), "started_at": run["started_at"], "track_run_id": None}
    return {**row_of, "track_run_id": run["id"]} if _start(run) in twice else row_of


def _setup_order(row: Row) -> tuple[Any, ...]:
    return (time_key(row["written_at"]), name_key(row["motor"] or ""), name_key(row["what"]), row["id"])


def _gear(row: Row) -> Row:
    dp = dp_of_module(row["module"])
    return {**row, "module": None, "dp": dp} if dp else row

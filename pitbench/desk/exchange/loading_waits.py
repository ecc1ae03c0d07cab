"""Which numbers of a sheet wait for an answer, and which are kept: what the sheet says, and what is doubtful.

A number waits if the sheet says so, or if it is doubtful as `entry.waiting` has it, unless the sheet or the app named
its column under `kept`. What lies far off the others is known only when all rows of a file have been read.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pitbench.desk.answered import answered
from pitbench.desk.entry.foreseen_bench import ForeseenBench
from pitbench.desk.entry.foreseen_track import ForeseenTrack
from pitbench.desk.entry.mistyped import Typed
from pitbench.desk.entry.suspects import RunSuspect
from pitbench.desk.entry.suspects_bench import bench_suspects
from pitbench.desk.entry.suspects_track import track_suspects
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.typed_texts import typed_text
from pitbench.desk.entry.waiting import Kept, outside, unchanged, waits_of
from pitbench.desk.exchange.loading_book import Book
from pitbench.desk.states import work_of
from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row
from pitbench.sheets.reading import SheetRow


@dataclass(frozen=True)
class Marks:
    """Columns that are kept and that wait; answered: those kept because the sheet or the app said so."""

    kept: tuple[str, ...]
    waits: tuple[str, ...]
    answered: frozenset[str]
    said: frozenset[str]
    """Those that are known to wait."""
    told: bool = False
    """Whether the sheet itself says what is kept."""

    @property
    def row(self) -> Row:
        """As a record has them."""
        return {"kept": self.kept, "waits": self.waits}


def marks_of(record: Row, said: Mapping[str, Any], before: Row) -> Marks:
    """Of a record just read; `before`: what it was written over."""
    row = {name: value for name, value in record.items() if value is not None}
    kept = (said["kept"] or ()) if "kept" in said else unchanged(before, row, "kept")
    known = [name for name in (*(said.get("waits") or ()), *unchanged(before, row, "waits")) if name not in kept]
    waits = waits_of({**row, "kept": kept}, said=known)
    return Marks(tuple(kept), tuple(waits), frozenset(kept), frozenset(known), "kept" in said)


class WaitingRuns:
    """The runs of a file, judged once all of them are there."""

    def __init__(self, book: Book, kind: str) -> None:
        self._book, self._kind = book, kind
        self._marks: dict[str, Marks] = {}

    def wrote(self, run: Row, marks: Marks) -> None:
        """Remember a run of this file."""
        self._marks[run["id"]] = marks

    def settle(self, typed: Mapping[str, Mapping[str, Typed]]) -> dict[str, list[RunSuspect]]:
        """Write down which numbers are doubtful and which of them wait; all of them, by the id of their run.

        typed: the texts of the runs of this file.
        """
        if not self._marks:
            return {}
        runs = self._book.rows(self._kind)
        motors = {row["id"]: answered(row) for row in self._book.rows("motor")}
        kept = Kept()
        for run in runs:
            kept.add(run, self._marks[run["id"]].answered if run["id"] in self._marks else run.get("kept", ()))
        doubts_of_run = self._judge([self._so_far(run, kept) for run in runs], motors, kept, typed)
        found = {}
        for run in runs:
            if (marks := self._marks.get(run["id"])) is None:
                continue
            if (doubts := doubts_of_run(run)) or "waits" in run:
                found[run["id"]] = self._judged(run, marks, kept, doubts)
        return {run_id: suspects for run_id, suspects in found.items() if suspects}

    def _so_far(self, run: Row, kept: Kept) -> Row:
        """A run without the numbers that wait for their range: what is near one that was kept tells of the others."""
        marks = self._marks.get(run["id"])
        if marks is None or "waits" not in run:
            return run
        return {**run, "waits": waits_of({**run, "kept": marks.answered}, kept, said=marks.said)}

    def _judge(
        self, runs: list[Row], motors: Mapping[str, Row], kept: Kept, typed: Mapping[str, Mapping[str, Typed]]
    ) -> Callable[[Row], list[RunSuspect]]:
        """What is doubtful in a run, held against all there are."""
        if self._kind == "bench_run":
            bench = ForeseenBench(runs, motors, work_of(self._book.rows("setup_entry")))
            return lambda run: bench_suspects(run, bench, motors.get(run["motor_id"]), kept, typed.get(run["id"]))
        track = ForeseenTrack(runs)

        def judge(run: Row) -> list[RunSuspect]:
            event = self._book.by_id("event", run.get("event_id"))
            return track_suspects(run, event, track, kept, typed.get(run["id"]))

        return judge

    def _judged(self, run: Row, marks: Marks, kept: Kept, doubts: Sequence[RunSuspect]) -> list[RunSuspect]:
        waits = waits_of({**run, "kept": marks.answered}, kept, _far(doubts), marks.said)
        more = () if marks.told else (each.column for each in doubts)
        still = [name for name in dict.fromkeys((*run.get("kept", ()), *more)) if name not in waits]
        if waits != list(run.get("waits", ())) or still != list(run.get("kept", ())):
            self._book.put(self._kind, {**run, "kept": still, "waits": waits})
        return with_waiting(doubts, run, waits)


def _far(doubts: Iterable[RunSuspect]) -> list[str]:
    return [each.column for each in doubts if each.far]


def typed_row(row: SheetRow) -> dict[str, Typed]:
    """The texts of a row that are one plain number, in the unit of their column."""
    units = {"°C": "°F", "mm": "in"}
    found = {}
    for name, text in row.texts.items():
        if name in QUANTITIES:
            unit = QUANTITIES[name].unit
            typed = typed_text(name, text, units.get(unit, unit) if name in row.converted else unit)
            if typed is not None:
                found[name] = typed
    return found


def keeping(row: Row, doubted: Iterable[str]) -> Row:
    """A row as it is exported: what counts in spite of a doubt that `load` would let wait is named as kept."""
    known = {*row.get("kept", ()), *row.get("waits", ())}
    more = [name for name in doubted if name not in known]
    return {**row, "kept": [*row.get("kept", ()), *more]} if more else row


def kept_track_runs(runs: Sequence[Row]) -> list[Row]:
    """Track runs of a whole logbook as they are exported."""
    kept = Kept(runs)
    return [keeping(run, waits_of(run, kept)) for run in runs]


def kept_bench_runs(runs: list[Row], motors: Mapping[str, Row], work: Mapping[str, Sequence[str]]) -> list[Row]:
    """Bench runs of a whole logbook as they are exported. What is kept tells nothing of the others: they are judged
    again, until none more is found."""
    told = {key: answered(row) for key, row in motors.items()}
    while True:
        kept, known = Kept(runs), ForeseenBench(runs, told, work)
        doubts = {run["id"]: bench_suspects(run, known, told.get(run["motor_id"]), kept) for run in runs}
        found = [keeping(run, waits_of(run, kept, _far(doubts[run["id"]]))) for run in runs]
        if found == runs:
            return found
        runs = found


def kept_record(row: Row) -> Row:
    """A motor or a reading as it is exported."""
    return keeping(row, outside(row))

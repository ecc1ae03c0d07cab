"""Which numbers of a sheet wait for an answer, and which are kept: what the sheet says, and what is doubtful.

A number waits if the sheet says so, or if it is doubtful as `entry.waiting` has it, unless the sheet or the app named
its column under `kept`. What lies far off the others is known only when all rows of a file have been read.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pitbench.desk.answered import answered
from pitbench.desk.entry.alike import Alike, Far
from pitbench.desk.entry.suspects import RunSuspect
from pitbench.desk.entry.suspects_waiting import with_waiting
from pitbench.desk.entry.waiting import Kept, far_columns, outside, unchanged, waits_of
from pitbench.desk.exchange.loading_book import Book
from pitbench.records.kinds import Row


@dataclass(frozen=True)
class Marks:
    """Columns that are kept and that wait; answered: those kept because the sheet or the app said so."""

    kept: tuple[str, ...]
    waits: tuple[str, ...]
    answered: frozenset[str]
    said: frozenset[str]
    """Those that are known to wait."""

    @property
    def row(self) -> Row:
        """As a record has them."""
        return {"kept": self.kept, "waits": self.waits}


def marks_of(record: Row, said: Mapping[str, Any], before: Row, suspects: Sequence[RunSuspect] = ()) -> Marks:
    """Of a record just read; `before`: what it was written over; of a run its suspects are marked as kept too."""
    row = {name: value for name, value in record.items() if value is not None}
    kept = (said["kept"] or ()) if "kept" in said else unchanged(before, row, "kept")
    known = [name for name in (*(said.get("waits") or ()), *unchanged(before, row, "waits")) if name not in kept]
    waits = waits_of({**row, "kept": kept}, said=known)
    doubted = () if "kept" in said else (suspect.column for suspect in suspects if suspect.column not in waits)
    return Marks(tuple(dict.fromkeys((*kept, *doubted))), tuple(waits), frozenset(kept), frozenset(known))


class WaitingRuns:
    """The runs of a file, judged once all of them are there."""

    def __init__(self, book: Book, kind: str) -> None:
        self._book, self._kind = book, kind
        self._marks: dict[str, Marks] = {}

    def wrote(self, run: Row, marks: Marks) -> None:
        """Remember a run of this file."""
        self._marks[run["id"]] = marks

    def settle(self) -> dict[str, list[RunSuspect]]:
        """Write down which numbers wait; those that do as suspects, by the id of their run."""
        if not self._marks:
            return {}
        runs = self._book.rows(self._kind)
        motors = {row["id"]: answered(row) for row in self._book.rows("motor")}
        kept = Kept()
        for run in runs:
            kept.add(run, self._marks[run["id"]].answered if run["id"] in self._marks else run.get("kept", ()))
        every = Alike(runs, motors).all_far() if self._kind == "bench_run" else {}
        found = {}
        for run in runs:
            if (marks := self._marks.get(run["id"])) is None:
                continue
            far = far_columns(run, every.get(run["id"], {}), kept)
            if far or "waits" in run:
                found[run["id"]] = self._judged(run, marks, kept, far, motors.get(run["motor_id"]))
        return {run_id: suspects for run_id, suspects in found.items() if suspects}

    def _judged(
        self, run: Row, marks: Marks, kept: Kept, far: Mapping[str, Far], motor: Row | None
    ) -> list[RunSuspect]:
        waits = waits_of({**run, "kept": marks.answered}, kept, far, marks.said)
        if waits != list(run.get("waits", ())):
            still = [name for name in run.get("kept", ()) if name not in waits]
            self._book.put(self._kind, {**run, "kept": still, "waits": waits})
        return with_waiting((), run, waits, far, motor)


def keeping(row: Row, doubted: Iterable[str]) -> Row:
    """A row as it is exported: what counts in spite of a doubt that `load` would let wait is named as kept."""
    known = {*row.get("kept", ()), *row.get("waits", ())}
    more = [name for name in doubted if name not in known]
    return {**row, "kept": [*row.get("kept", ()), *more]} if more else row


def kept_runs(runs: Sequence[Row], motors: Mapping[str, Row]) -> list[Row]:
    """Bench or track runs of a whole logbook as they are exported."""
    kept = Kept(runs)
    bench = (run for run in runs if "taken_at" in run)
    far = Alike(bench, {key: answered(row) for key, row in motors.items()}).all_far()
    return [keeping(run, waits_of(run, kept, far_columns(run, far.get(run["id"], {}), kept))) for run in runs]


def kept_record(row: Row) -> Row:
    """A motor or a reading as it is exported."""
    return keeping(row, outside(row))

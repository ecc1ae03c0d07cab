"""What a row of bench.csv does to the logbook: the motor and the build it was made on, and its unlikely figures.

Rows are taken in order of time, so that a part fitted at two is in the motor at three, however the file is sorted.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable

from pitbench.desk.builds import Row
from pitbench.desk.loading_book import Book, decide, is_same, merged, run_key
from pitbench.desk.loading_rows import (
    Taken,
    base_of,
    columns_of,
    doubts_of,
    in_the_bin,
    part_names,
    stored_values,
)
from pitbench.desk.suspects import Earlier, conditions, suspects_against
from pitbench.desk.workshop import PartNames
from pitbench.records.models import BENCH_FIGURES
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key
from pitbench.sheets.reading import SheetRow
from pitbench.sheets.tables import Sheet


class BenchTaker:
    """Takes the rows of one bench sheet. Knows the place of each among equal times, and what earlier runs showed."""

    def __init__(self, book: Book, rows: Iterable[SheetRow]) -> None:
        self._places = _places(rows)
        self._earlier: dict[tuple[object, ...], Earlier] = defaultdict(Earlier)
        for run in book.rows("bench_run"):
            self._earlier[_kind_of_run(run)].add(run)

    def __call__(self, book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
        """One bench run, known by motor, time and place among equal times."""
        _check_figures(row)
        motor = _motor_of(book, row)
        found, same = self._found(book, sheet, row, motor) if motor else (None, False)
        if motor and found is None and in_the_bin(book, "motor", motor["name"]):
            row.fault("motor", "lies in the bin, bring it back there first")
        if row.faults or motor is None:
            return None
        outcome = decide(found, same, replace)
        if outcome in {"same", "differs"}:
            return Taken(outcome)
        return self._write(book, sheet, row, motor, found, Taken(outcome))

    def _found(self, book: Book, sheet: Sheet, row: SheetRow, motor: Row) -> tuple[Row | None, bool]:
        """The run meant and whether it is the same. An id nobody knows is another run, unless all else is the same."""
        if not row.values.get("taken_at"):
            return None, False
        fields = {**stored_values(sheet, row), "motor_id": motor["id"]}
        by_id = book.by_id("bench_run", row.id)
        found = by_id or book.by_key("bench_run", self._key(row, motor))
        same = found is not None and is_same(found, fields, row.extra) and _same_build(book, row, motor, found)
        return (found, same) if by_id or same or not row.id else (None, False)

    def _key(self, row: SheetRow, motor: Row) -> tuple[str, str, int]:
        return run_key(motor["id"], row.values["taken_at"], self._places.get(row.line, 0))

    def _write(self, book: Book, sheet: Sheet, row: SheetRow, motor: Row, found: Row | None, taken: Taken) -> Taken:
        if not book.is_written("motor", motor):
            motor = book.put("motor", motor)
            book.workshop.first_build(motor, {})
        parts, taken_at = part_names(row), row.values["taken_at"]
        build = book.workshop.tested(motor, taken_at, parts, bool(row.values.get("fitted")))
        run = merged(base_of(found, row), stored_values(sheet, row), row.extra)
        run |= {"motor_id": motor["id"], "build_id": build["id"], "place": self._place(book, row, motor, found)}
        run = {name: value for name, value in run.items() if value is not None}
        earlier = self._earlier[_kind_of_run(run)]
        suspects = suspects_against(run, earlier, motor)
        earlier.add(book.put("bench_run", {**run, "kept": columns_of(suspects)}))
        taken.doubts = doubts_of(suspects)
        return taken

    def _place(self, book: Book, row: SheetRow, motor: Row, found: Row | None) -> int:
        """The place in the file, or the next one free when another run has it."""
        motor_id, taken_at, place = self._key(row, motor)
        if found is not None and run_key(found["motor_id"], found["taken_at"], 0) == (motor_id, taken_at, 0):
            return int(found.get("place", 0))
        while book.by_key("bench_run", (motor_id, taken_at, place)) is not None:
            place += 1
        return place


def _places(rows: Iterable[SheetRow]) -> dict[int, int]:
    """Place of every row, by its line, among rows of the same motor and time."""
    seen: Counter[tuple[str, str]] = Counter()
    places = {}
    for row in rows:
        motor, taken_at = row.values.get("motor"), row.values.get("taken_at")
        if motor and taken_at:
            key = (name_key(motor), time_key(taken_at))
            places[row.line] = seen[key]
            seen[key] += 1
    return places


def _check_figures(row: SheetRow) -> None:
    """At least one figure, and what speed needs to be one. Cells that could not be read have their own fault."""
    given = {name for name in BENCH_FIGURES if name in row.texts}
    if not given and not row.faults:
        row.fault(None, "no figure in this row, at least one like kv_rpm_per_v or no_load_current_a would be right")
    if "rpm" in given and not {"kv_rpm_per_v", "test_voltage_v"} & row.texts.keys():
        row.fault("rpm", "needs test_voltage_v, the voltage it was read at")


def _motor_of(book: Book, row: SheetRow) -> Row | None:
    """The motor of this name: sketched if nobody knows it yet, from the bin if it lies there."""
    name = row.values.get("motor")
    return book.named_or_new("motor", name) if name else None


def _same_build(book: Book, row: SheetRow, motor: Row, found: Row) -> bool:
    """Whether the run stands on the build the row says: the parts named, or without any the one in force."""
    parts: PartNames = part_names(row)
    tested = book.workshop.build(found["build_id"])
    if tested is None:
        return False
    if any(name is not None for name in parts.values()):
        fitted = not row.values.get("fitted") or bool(tested.get("fitted", True))
        return fitted and book.workshop.is_built(tested, parts)
    in_force = book.workshop.history.in_force(motor["id"], row.values["taken_at"])
    return not parts or in_force is None or book.workshop.is_built(tested, book.workshop.names(in_force))


def _kind_of_run(run: Row) -> tuple[object, ...]:
    return (run["motor_id"], *conditions(run))

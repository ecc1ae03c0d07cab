"""What of a record counts in figures: not one that was left out, and no number that waits for an answer.

The one door: whatever makes figures of rows takes them from here. Lists and forms show rows as they were typed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator

from pitbench.records.fields import BENCH_FIGURES, QUANTITIES
from pitbench.records.kinds import Row, Source

MAY_WAIT = ("bench_run", "track_run", "cooling", "motor")
"""Records whose numbers may wait."""
_FIGURES = frozenset(BENCH_FIGURES)
_READING = frozenset(("after_s", "temp_c"))


def answered(row: Row) -> Row:
    """A row without its numbers that wait; it still says in `waits` which they were."""
    waits = row.get("waits")
    return {name: row[name] for name in row if name not in waits or name not in QUANTITIES} if waits else row


def counting(rows: Iterable[Row]) -> Iterator[Row]:
    """The rows that count, each as far as it does: a bench run without a figure left, or half a reading, does not."""
    for row in rows:
        if "excluded_why" in row:
            continue
        if "waits" not in row:
            yield row
        elif _tells(told := answered(row)):
            yield told


def _tells(row: Row) -> bool:
    if "taken_at" in row:
        return not _FIGURES.isdisjoint(row)
    return "track_run_id" not in row or row.keys() >= _READING


def waiting(source: Source) -> list[tuple[str, Row]]:
    """Records with a number that waits, with their kind: the newest run first, then readings and motors.

    Not those of a motor in the bin, nor runs that were left out: nothing hangs on their answer.
    """
    motors = {motor["id"] for motor in source.rows("motor")}
    found = [
        (kind, row)
        for kind in MAY_WAIT
        for row in source.rows(kind)
        if "waits" in row and "excluded_why" not in row and _motor_of(source, kind, row) in motors
    ]
    return sorted(found, key=lambda each: _made(each[1]), reverse=True)


def count_of(source: Source) -> int:
    """How many numbers wait."""
    return sum(len(row["waits"]) for _, row in waiting(source))


def motors_waiting(source: Source) -> dict[str, int]:
    """How many numbers of a motor and its runs wait, by the motor's id; those without any are absent."""
    found: Counter[str] = Counter()
    for kind, row in waiting(source):
        found[_motor_of(source, kind, row)] += len(row["waits"])
    return found


def _motor_of(source: Source, kind: str, row: Row) -> str:
    run = (source.row("track_run", row["track_run_id"]) or {}) if kind == "cooling" else row
    return str(row["id"] if kind == "motor" else run.get("motor_id"))


def _made(row: Row) -> tuple[str, str]:
    return str(row.get("taken_at") or row.get("started_at") or ""), row["id"]

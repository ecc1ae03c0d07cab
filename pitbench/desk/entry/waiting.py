"""Which numbers of a record wait for an answer: stored and shown as typed, in no figure until somebody says "right".

A number waits outside its likely range, one of a bench run also where it lies far off, see `suspects_bench`; one near a
number of that motor that was kept knowingly does not. The form, `load` and `export` all ask here; what else is unlikely
is only marked, see `suspects`.
"""

from collections import defaultdict
from collections.abc import Iterable

from pitbench.records.fields import QUANTITIES
from pitbench.records.kinds import Row

NEAR_KEPT = 0.05
"""A number this near one that was kept says the same, as a share of it. Ours."""
LIKELY = {name: quantity.likely for name, quantity in QUANTITIES.items()}


def outside(row: Row) -> dict[str, list[float]]:
    """Numbers outside the likely range of their field, by column; of a list those that are."""
    found = {}
    for name, value in row.items():
        if name not in LIKELY:
            continue
        low, high = LIKELY[name]
        if isinstance(value, list | tuple):
            if odd := [each for each in value if not low <= each <= high]:
                found[name] = odd
        elif not low <= value <= high:
            found[name] = [value]
    return found


class Kept:
    """Numbers of every motor that were kept knowingly."""

    def __init__(self, runs: Iterable[Row] = ()) -> None:
        self._values: dict[tuple[str, str], list[float]] = defaultdict(list)
        for run in runs:
            self.add(run, run.get("kept", ()))

    def add(self, run: Row, columns: Iterable[str]) -> None:
        """Take in what was kept of one run."""
        for name in columns:
            if name in QUANTITIES and name in run:
                value = run[name]
                self._values[run["motor_id"], name] += value if isinstance(value, list | tuple) else [value]

    def near(self, motor_id: str, column: str, values: Iterable[float]) -> bool:
        """Whether each of these numbers lies near one of that motor that was kept."""
        known = self._values.get((motor_id, column), ())
        return bool(known) and all(any(abs(v - k) <= NEAR_KEPT * abs(k) for k in known) for v in values)


def waits_of(row: Row, kept: Kept | None = None, far: Iterable[str] = (), said: Iterable[str] = ()) -> list[str]:
    """Columns of a record that wait, in the order of the fields; what it keeps does not.

    kept: what was kept of its motor. far: columns that lie far off. said: those known to wait.
    """
    odd = outside(row)
    doubted = [name for name in odd if kept is None or not kept.near(row["motor_id"], name, odd[name])]
    own = row.get("kept", ())
    return in_order_of_fields(name for name in (*doubted, *far, *said) if name in row and name not in own)


def unchanged(old: Row | None, row: Row, mark: str) -> list[str]:
    """Columns that a stored record keeps, or that wait in it, and that still say the same."""
    return [name for name in (old or {}).get(mark, ()) if name in row and (old or {}).get(name) == row[name]]


def in_order_of_fields(columns: Iterable[str]) -> list[str]:
    """Columns of numbers, each once."""
    wanted = set(columns)
    return [name for name in QUANTITIES if name in wanted] if wanted else []

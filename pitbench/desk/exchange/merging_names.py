"""What a merge calls a record, a field and a value, so that a person finds them again."""

from collections.abc import Mapping
from typing import Any

from pitbench.desk.checking import TIMES
from pitbench.desk.exchange.merging_copies import Clash
from pitbench.records.kinds import Row
from pitbench.records.stamps import shown_stamp
from pitbench.records.typed import label_of
from pitbench.store.logbook import Snapshot


class Names:
    """Names by the records gathered so far, by kind and id, and by the other logbook."""

    def __init__(self, rows: Mapping[str, Mapping[str, Row]], other: Snapshot) -> None:
        self._rows, self._other = rows, other

    def spoken(self, kind: str, row: Row) -> str:
        """A record as a person calls it: Bench run of Heron at 2026-05-17 14:02."""
        what = str(row["kind"] if kind == "part" else kind).replace("_", " ").capitalize()
        if kind == "gear":
            what = f"{row['kind'].capitalize()} of {row['teeth']:g} teeth"
        run = self._row("track_run", row.get("track_run_id")) if kind == "cooling" else row
        motor = self._row("motor", run.get("motor_id")).get("name")
        whose = f" {row['name']}" if "name" in row else f" of {motor}" if motor else ""
        at = next((run[name] for name in TIMES if name in run), "")
        return f"{what}{whose}{f' at {shown_stamp(at)}' if at else ''}"

    def clash(self, clash: Clash) -> str:
        """A field both changed: KV was 3952 here, 3951 there; yours is newer."""
        cell, here, there, theirs, tie = clash
        side = "theirs" if theirs else "yours"
        stands = f"neither is newer, {side} stands" if tie else f"{side} is newer"
        return f"{cell_label(cell)} was {self.value(cell, here)} here, {self.value(cell, there)} there; {stands}"

    def value(self, cell: str, value: Any) -> str:
        """As a person reads it: what is named, not its id."""
        if value is None:
            return "blank"
        for kind in self._rows if cell.endswith("_id") else ():
            if found := self._row(kind, value):
                return str(found.get("name") or shown_stamp(found.get("since", "")) or "another")
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list):
            return " ".join(f"{one:g}" for one in value)
        return str(int(value) if isinstance(value, float) and value.is_integer() else value)

    def _row(self, kind: str, key: str | None) -> Row:
        return self._rows.get(kind, {}).get(key or "") or self._other.row(kind, key or "") or {}


def cell_label(cell: str) -> str:
    """What a field, or one entry of one, is called.

    >>> cell_label("kv_rpm_per_v"), cell_label("build_id"), cell_label("kept.rpm"), cell_label("extra.Weather")
    ('KV', 'build', 'kept speed', 'extra Weather')
    """
    name, _, entry = cell.partition(".")
    return f"{name} {label_of(entry)}" if entry else label_of(name.removesuffix("_id"))

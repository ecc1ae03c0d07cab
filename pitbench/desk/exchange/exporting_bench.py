"""Rows of values of the bench side's sheets: classes, motors, builds, bench runs."""

from collections.abc import Mapping
from typing import Any

from pitbench.desk.builds import made_at, own_part_name, parts_of, since_key
from pitbench.desk.exchange.loading_book import DEFAULTS
from pitbench.desk.exchange.loading_waits import kept_bench_runs, kept_record
from pitbench.desk.states import motor_work
from pitbench.desk.workshop import Workshop
from pitbench.records.kinds import Row, Source
from pitbench.records.names import name_key
from pitbench.records.stamps import time_key


class BenchPages:
    """Rows in an order that does not hang on the order of entry; the track side asks for motors and builds here."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._workshop = Workshop(source)
        self._motors = {row["id"]: row for row in source.rows("motor")}
        self._class_names = {row["id"]: row["name"] for row in source.rows("class_sheet")}

    def classes(self) -> list[Row]:
        return [{**row, "class": row["name"]} for row in sorted(self._source.rows("class_sheet"), key=_by_name)]

    def motors(self) -> list[Row]:
        return [self._motor(row) for row in sorted(self._source.rows("motor"), key=_by_name)]

    def _motor(self, row: Row) -> Row:
        first = self._workshop.first(row)
        names = self._workshop.names(first) if first else {}
        parts = {kind: name for kind, name in names.items() if name != own_part_name(row["name"], kind)}
        return {
            **DEFAULTS,
            **kept_record(row),
            "motor": row["name"],
            "class": self._class_names.get(row.get("class_id", "")),
            **parts,
        }

    def builds(self) -> list[Row]:
        """Fitted builds with a date; the first build stands in motors.csv, what was only tried with the runs."""
        dated = [row for row in self._of_motors("build") if row.get("fitted", True) and "since" in row]
        dated.sort(key=lambda row: (since_key(row), name_key(self.motor_name(row) or ""), row["id"]))
        return [{**row, "motor": self.motor_name(row), **self._workshop.names(row)} for row in dated]

    def bench(self) -> list[Row]:
        runs = kept_bench_runs(self.runs("bench_run"), self._motors, motor_work(self._source))
        return [self._bench_run(run) for run in runs]

    def _bench_run(self, run: Row) -> Row:
        tested = self.tested(run)
        return {**run, "motor": self.motor_name(run), **tested, **({"fitted": False} if tested else {})}

    def runs(self, kind: str) -> list[Row]:
        """Bench or track runs in order of time."""
        return sorted(self._of_motors(kind), key=self._run_order)

    def tested(self, run: Row) -> Mapping[str, Any]:
        """The parts of a run that was made with others than those in force."""
        in_force = self._workshop.history.in_force(run["motor_id"], made_at(run))
        build = self._workshop.build(run["build_id"])
        if build is None or (in_force is not None and parts_of(in_force) == parts_of(build)):
            return {}
        return self._workshop.names(build)

    def motor_name(self, row: Row) -> str | None:
        """The motor a row belongs to, if it does to one that is not in the bin."""
        motor = self._motors.get(row.get("motor_id", ""))
        return str(motor["name"]) if motor else None

    def _of_motors(self, kind: str) -> list[Row]:
        """What belongs to a motor in the bin stays with it."""
        return [row for row in self._source.rows(kind) if row["motor_id"] in self._motors]

    def _run_order(self, run: Row) -> tuple[Any, ...]:
        motor = name_key(self.motor_name(run) or "")
        return (time_key(made_at(run)), motor, run.get("place", 0), run["id"])


def _by_name(row: Row) -> tuple[str, str]:
    return (name_key(row["name"]), row["id"])

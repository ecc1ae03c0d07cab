"""What was changed, why, and what came of it: the entries of the setup log, what is still open.

Works on plain rows and ready-made lower-case texts, as the list of runs does. How an entry is written down stands in
`setup_entry`; what was run here last time in `last_time`, what is on the car in `on_car`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitbench.desk.builds import in_order
from pitbench.desk.lists.narrow import narrowed
from pitbench.desk.lists.setup_since import Since
from pitbench.desk.places import Here, here_of, place_of
from pitbench.desk.told import changes_rollout
from pitbench.records.kinds import Row, Source
from pitbench.records.spoken import change_words
from pitbench.records.stamps import friendly

THIS_EVENT, EARLIER_HERE, ELSEWHERE = range(3)
GROUPS = ("", "earlier here", "elsewhere")


@dataclass(frozen=True)
class SetupDetail:
    """An entry whole: its row, the names of motor, car and event (empty: none), the track runs since, in time, and
    whether it changed the rollout."""

    row: Row
    motor: str
    car: str
    event: str
    runs: list[Row]
    geared: bool


@dataclass(frozen=True)
class SetupLine:
    """One line of the list, in words; `how` is better, worse, open or empty, as the outcome begins."""

    when: str
    motor: str
    what: str
    why: str
    outcome: str
    how: str
    car: str
    where: str


def outcome_kind(entry: Mapping[str, Any]) -> str:
    """How the outcome begins: better, worse, open (none yet) or empty (something else).

    >>> outcome_kind({"outcome": "Better, 66 °C"}), outcome_kind({}), outcome_kind({"outcome": "no difference"})
    ('better', 'open', '')
    """
    text = entry.get("outcome", "").casefold()
    return "open" if not text else next((word for word in ("better", "worse") if text.startswith(word)), "")


class SetupLog:
    """The entries of one snapshot: this event's, earlier ones here, elsewhere; the newest first in each."""

    def __init__(self, snapshot: Source, now: datetime) -> None:
        self._now, self._snapshot, self._since = now, snapshot, Since(snapshot)
        self.here: Here = here_of(snapshot, now)
        self._events = {row["id"]: row for row in snapshot.rows("event")}
        self._names = {
            kind: {row["id"]: row["name"] for binned in (True, False) for row in snapshot.rows(kind, binned=binned)}
            for kind in ("motor", "car")
        }
        newest = sorted(snapshot.rows("setup_entry"), key=in_order, reverse=True)
        grouped = sorted(((self._group(row), row) for row in newest), key=lambda pair: pair[0])
        self.rows: list[Row] = [row for _, row in grouped]
        self.groups = [group for group, _ in grouped]
        self.texts = [self._text(row) for row in self.rows]

    def _group(self, row: Row) -> int:
        if self.here.event_id is not None and row.get("event_id") == self.here.event_id:
            return THIS_EVENT
        return EARLIER_HERE if place_of(row, self._events).same(self.here.place) else ELSEWHERE

    def _text(self, row: Row) -> str:
        event: Row = self._events.get(row.get("event_id", ""), {})
        words: list[str] = [
            self._name("motor", row),
            self._name("car", row),
            event.get("name", ""),
            row.get("track") or event.get("track", ""),
            row["written_at"].replace("T", " "),
            change_words(row),
            row.get("why", ""),
            row.get("outcome", "open"),
        ]
        return " ".join(words).casefold()

    def _name(self, kind: str, row: Row) -> str:
        return str(self._names[kind].get(row.get(f"{kind}_id", ""), ""))

    def narrow(self, words: str, among: Sequence[int] | None = None) -> list[int]:
        """Places of the entries all words are true of; see `narrowed`."""
        return narrowed(self.texts, words, among)

    def line(self, place: int) -> SetupLine:
        """The line at this place, in words."""
        row = self.rows[place]
        return SetupLine(
            when=friendly(row["written_at"], self._now),
            motor=self._name("motor", row),
            what=change_words(row),
            why=row.get("why", ""),
            outcome=row.get("outcome", "open"),
            how=outcome_kind(row),
            car=self._name("car", row),
            where=self._where(row),
        )

    def _where(self, row: Row) -> str:
        return str(self._events.get(row.get("event_id", ""), {}).get("name", row.get("track", "")))

    def class_asked(self, place: int) -> str | None:
        """Id of the class whose track pace tells about this entry, empty for none; None where nothing was run since."""
        runs = self._since.runs(self.rows[place])
        motor = self._snapshot.row("motor", runs[-1]["motor_id"]) if runs else None
        return None if motor is None else str(motor.get("class_id", ""))

    def detail(self, place: int) -> SetupDetail:
        """The entry whole."""
        row = self.rows[place]
        motor, car = (self._name(kind, row) for kind in ("motor", "car"))
        return SetupDetail(row, motor, car, self._where(row), self._since.runs(row), changes_rollout(row))


# what is still open


def open_entries(snapshot: Source, run_id: str) -> list[Row]:
    """Entries without an outcome that this track run can tell something about, the newest first."""
    run = snapshot.row("track_run", run_id)
    return [] if run is None or "binned_at" in run else Since(snapshot).open_at(run)


def open_after(snapshot: Source, motor_id: str | None, car_id: str | None = None) -> list[Row]:
    """Entries still open after the newest track run of this motor and car (None: any), the newest first."""
    runs = [
        run
        for run in snapshot.rows("track_run")
        if motor_id in (None, run["motor_id"]) and car_id in (None, run.get("car_id"))
    ]
    newest = max(runs, key=in_order, default=None)
    return open_entries(snapshot, newest["id"]) if newest else []

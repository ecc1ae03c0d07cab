"""What a row of track.csv or cooling.csv does to the logbook: one outing of a motor, and the readings after it."""

from collections import defaultdict
from collections.abc import Iterable

from pitbench.desk.entry.suspects_track import cooling_suspects
from pitbench.desk.event_names import events_meant
from pitbench.desk.exchange.loading_book import Book, is_live
from pitbench.desk.exchange.loading_links import Links, links_of
from pitbench.desk.exchange.loading_rows import Taken, known_motor
from pitbench.desk.exchange.loading_runs import RunTaker
from pitbench.desk.exchange.loading_setup import Unnamed, take_unnamed
from pitbench.desk.exchange.loading_waits import typed_row
from pitbench.records.kinds import Row
from pitbench.records.names import name_key
from pitbench.records.stamps import shown_stamp, time_key
from pitbench.sheets.reading import SheetRow
from pitbench.sheets.tables import Sheet

_TELLS = "started_at, or event, round_kind and round, of one"


class TrackTaker(RunTaker):
    """Takes the rows of one track sheet."""

    kind, at = "track_run", "started_at"

    def links(self, book: Book, row: SheetRow) -> Links:
        """A motor that is known; event and car are added on need."""
        return links_of(book, row, row.values.get(self.at))


class CoolingTaker:
    """Takes the rows of one cooling sheet. Knows every motor's track runs."""

    def __init__(self, book: Book, rows: Iterable[SheetRow]) -> None:
        self._runs: dict[str, list[Row]] = defaultdict(list)
        for kept in (book.rows("track_run"), book.binned("track_run")):
            for run in kept:
                self._runs[run["motor_id"]].append(run)

    def __call__(self, book: Book, sheet: Sheet, row: SheetRow, replace: bool) -> Taken | None:
        """One reading, known by its track run and how long after the finish it was made."""
        run = self._run_of(book, row)
        if row.faults or run is None:
            return None
        links, said = Links({"track_run_id": run["id"]}), {"track_run_id": run["id"]}
        if not is_live(run):
            links.binned.append("motor")
        unnamed = Unnamed("cooling", links, said, lambda reading: cooling_suspects(reading, run, typed_row(row)))
        return take_unnamed(book, sheet, row, replace, unnamed)

    def _run_of(self, book: Book, row: SheetRow) -> Row | None:
        """The one track run a row fits; live ones count before those in the bin."""
        motor = known_motor(book, row)
        if motor is None:
            return None
        by_id = book.by_id("track_run", row.values.get("track_run_id"))
        if by_id is not None and is_live(by_id):
            return by_id
        if not any(row.values.get(name) for name in ("started_at", "event")):
            row.fault(None, f"says of no track run that it is its, {_TELLS} would be right")
            return None
        fitting = self._fitting(book, row, motor)
        found = [run for run in fitting if is_live(run)] or fitting
        if not found:
            row.fault("motor", f"has no track run that fits, {_TELLS} would be right")
        elif len(found) > 1:
            named = " and ".join(sorted(_run_name(book, motor, run) for run in found))
            row.fault("motor", f"has {len(found)} track runs that fit, {named}, {_TELLS} would be right")
        return found[0] if len(found) == 1 else None

    def _fitting(self, book: Book, row: SheetRow, motor: Row) -> list[Row]:
        """Runs of a motor that agree with all that is said of them; a date alone means every run of that day."""
        found = self._runs[motor["id"]]
        at, event, said = row.values.get("started_at"), row.values.get("event"), row.values
        if at:
            exact = [run for run in found if time_key(run["started_at"]) == time_key(at)]
            found = exact or [run for run in found if "T" not in at and run["started_at"][:10] == at]
        if event:
            meant = {each["id"] for each in events_meant(event, book.rows("event"))}
            found = [run for run in found if run.get("event_id") in meant]
        if said.get("round_kind"):
            found = [run for run in found if run.get("round_kind") == said["round_kind"]]
        if said.get("round"):
            found = [run for run in found if name_key(run.get("round", "")) == name_key(said["round"])]
        return found


def _run_name(book: Book, motor: Row, run: Row) -> str:
    event = book.by_id("event", run.get("event_id"))
    words = [event["name"] if event else "", run.get("round_kind", ""), run.get("round", "")]
    what = " ".join(word for word in words if word)
    return f"{motor['name']} {shown_stamp(run['started_at'])}" + (f" ({what})" if what else "")

"""What a row names besides itself: its motor, its event, its car. Motors must be known, events and cars are added.

A name that lies in the bin keeps a row out only if something would be written: the same row again is still the same.
"""

from dataclasses import dataclass, field

from pitbench.desk.builds import Row
from pitbench.desk.event_names import dated_name, events_meant, same_event
from pitbench.desk.exchange.loading_book import Book, is_live, is_undone
from pitbench.desk.exchange.loading_rows import IN_THE_BIN, known_motor
from pitbench.records.ids import new_id
from pitbench.records.names import without_date
from pitbench.sheets.reading import SheetRow


@dataclass
class Links:
    """Ids a record gets, rows only sketched so far, and columns whose name lies in the bin."""

    fields: dict[str, str | None] = field(default_factory=dict)
    sketched: list[tuple[str, Row]] = field(default_factory=list)
    binned: list[str] = field(default_factory=list)

    def link(self, book: Book, column: str, row: Row | None) -> None:
        """Link to a row, or to none."""
        self.fields[f"{column}_id"] = row["id"] if row else None
        if row is None or book.is_written(column, row):
            return
        if is_live(row):
            self.sketched.append((column, row))
        else:
            self.binned.append(column)

    def write(self, book: Book, row: SheetRow) -> bool:
        """Write what is only sketched; False, with a fault for each, when a name lies in the bin."""
        for column in self.binned:
            row.fault(column, IN_THE_BIN)
        if self.binned:
            return False
        for kind, sketch in self.sketched:
            book.put(kind, sketch)
        return True


def links_of(book: Book, row: SheetRow, at: str | None) -> Links:
    """The motor, event and car of a row made at that time."""
    links = Links()
    if "motor" in row.values:
        links.link(book, "motor", known_motor(book, row))
    if "event" in row.values:
        links.link(book, "event", _event(book, row, at))
    if "car" in row.values:
        name = row.values["car"]
        links.link(book, "car", book.named_or_new("car", name) if name else None)
    return links


def _event(book: Book, row: SheetRow, at: str | None) -> Row | None:
    """The event of this name; unknown, it begins on the date it is named with, else on that of the row."""
    text = row.values["event"]
    if not text:
        return None
    meant = events_meant(text, book.rows("event"))
    if len(meant) == 1:
        return meant[0]
    if meant:
        names = " and ".join(sorted(map(dated_name, meant)))
        row.fault("event", f"names {len(meant)} events, {names}, one of these would be right")
        return None
    name, day = without_date(text)
    day = day or (at or "")[:10]
    if not day:
        return None
    known = same_event(name, day, book.binned("event"))
    if known is not None and not is_undone(known):
        return known
    return {"id": known["id"] if known else new_id(), "name": name, "date": day}

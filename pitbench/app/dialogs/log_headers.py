"""Which header of a load log is which column: asked once for files with the same headers, all at a glance.

What is likely stands there already; a letter says what the marked header is, and the mark goes on.
"""

from collections.abc import Sequence

from textual import events

from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.paint import Line, Lines, Role, fitted, line
from pitbench.desk.load.headers import Header, Headers, columns_for, lacking, what_of
from pitbench.records.keys import key_for
from pitbench.records.spoken import listed
from pitbench.words.load_page import READS, read_as

AROUND = 14
"""Lines of the box that are no header."""
NONE, UNIT = "x", "u"
WHAT = {key: what for what, (key, _) in READS.items()}


class LogHeaders(Dialog[dict[str, str]]):
    """Returns {column: header}, or None when left."""

    def __init__(self, headers: Headers) -> None:
        super().__init__()
        self._file, self._headers, self._at = headers.file, headers.headers, 0
        self._columns = dict(headers.columns)
        self._said = ""

    def rows(self) -> list[Line]:
        name = max(10, min(30, max(len(header.name) for header in self._headers)))
        span = self.room - name - 32
        heads = f"  {fitted('header', name)}  {fitted('its numbers', span)}  read as"
        shown = self._in_sight()
        rows = [self._row(self._headers[at], at == self._at, name, span) for at in shown]
        more = len(self._headers) - len(shown)
        ways = f"Enter takes it   Up, Down: another header   {key_for('leave-form')} leaves, nothing is read"
        return [
            line((fitted(f"What is what in {self._file}?", self.room), "strong")),
            line(("Said once, it is remembered for files with these headers.", "quiet")),
            line((heads, "quiet")),
            *rows,
            line((f"  … {more} more above or below" if more else "", "quiet")),
            *self._legend(),
            (),
            line((self._said or self._lacking() or "Whatever is left blank is not read.", self._role())),
            line((ways, "quiet")),
        ]

    def _role(self) -> Role:
        return "warn" if self._said or self._lacking() else "quiet"

    def _in_sight(self) -> Sequence[int]:
        """Which headers there is room for, the marked one among them."""
        room = max(3, self.app.size.height - AROUND)
        top = max(0, min(self._at - room // 2, len(self._headers) - room))
        return range(top, min(top + room, len(self._headers)))

    def _row(self, header: Header, marked: bool, name: int, span: int) -> Line:
        column = self._columns.get(header.name)
        what = what_of(column) if column else ""
        said = read_as(column, what, header.stated.get(what, "")) if column else ""
        key = READS[what][0] if column else " "
        return line(
            ("▸ " if marked else "  ", "accent"),
            (fitted(header.name, name), "accent" if marked else "text"),
            (f"  {fitted(header.span, span)}  ", "quiet"),
            (f"{key} ", "accent"),
            (fitted(said, 24), "text"),
        )

    def _legend(self) -> list[Line]:
        keys = [f"{key} {said}" for key, said in READS.values()]
        keys += [f"{NONE} not read", f"{UNIT} other unit"]
        return [line((row, "quiet")) for row in _side_by_side(keys, self.room)]

    def _lacking(self) -> str:
        missing = [READS[what_of(column)][1] for column in lacking(self._columns)]
        return f"Needed: {listed(missing)}." if missing else ""

    # keys

    def on_key(self, event: events.Key) -> None:
        if event.key == "enter":
            self._take()
        elif event.key in {"up", "down", "home", "end"}:
            last = len(self._headers) - 1
            self._at = {"up": max(0, self._at - 1), "down": min(last, self._at + 1), "home": 0, "end": last}[event.key]
        elif event.character == UNIT:
            self._other_unit()
        elif event.character == NONE or event.character in WHAT:
            self._read_as(WHAT.get(event.character or ""))
        else:
            return
        event.stop()
        if self.is_current:
            self.query_one(Lines).show(self.rows())

    def _take(self) -> None:
        self._said = self._lacking()
        if not self._said:
            self.dismiss({column: header for header, column in self._columns.items()})

    def _read_as(self, what: str | None) -> None:
        """The marked header is this, and no other is; a time may stand in two columns of different units."""
        header, self._said = self._headers[self._at], ""
        self._columns.pop(header.name, None)
        if what is not None:
            column = columns_for(what, header)[0]
            for name, taken in list(self._columns.items()):
                if taken == column or (what_of(taken) == what and what != "time"):
                    del self._columns[name]
            self._columns[header.name] = column
        self._at = min(self._at + 1, len(self._headers) - 1)

    def _other_unit(self) -> None:
        header = self._headers[self._at]
        column = self._columns.get(header.name)
        choices = columns_for(what_of(column), header) if column else []
        if column in choices:
            self._columns[header.name] = choices[(choices.index(column) + 1) % len(choices)]


def _side_by_side(texts: list[str], width: int) -> list[str]:
    """In as few rows as they fit into, in columns, none parted."""
    each = max(map(len, texts)) + 2
    beside = max(1, width // each)
    return ["".join(text.ljust(each) for text in texts[at : at + beside]) for at in range(0, len(texts), beside)]

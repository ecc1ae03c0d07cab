"""One part: in which motors it has been, a line a stay with what it read there, and under it the runs."""

from dataclasses import dataclass
from functools import partial

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, line
from pitbench.app.widgets.table import Cell, Column, Table, number
from pitbench.desk.parts.history import Figures, PartHistory, RunMade, Stay, part_history
from pitbench.words.part_history import part_title, part_words, run_words, stay_words

GAP = " "


@dataclass(frozen=True)
class PartLine:
    """A stay, or one of its runs."""

    stay: Stay
    text: str
    figures: Figures
    run: RunMade | None = None


def columns(corrected: bool) -> list[Column[PartLine]]:
    """corrected: whether KV is at 25 °C."""
    return [
        Column("in which motor, and|the runs made there", 24, _text, grow=True),
        Column("runs|bench track", 11, _runs),
        Column("KV at|25 °C" if corrected else "KV|as read", 7, lambda part: number(part.figures.kv, 0), "right"),
        Column("current|A", 7, lambda part: number(part.figures.current, 2), "right"),
        Column("winding|mΩ", 7, lambda part: number(part.figures.winding, 1), "right"),
        Column("timing|°", 6, lambda part: number(part.figures.timing, 1), "right"),
        Column("imbal.|%", 6, lambda part: number(part.figures.imbalance, 1), "right"),
    ]


def _text(part: PartLine) -> Cell:
    return part.text, "text" if part.run is None else "quiet"


def _runs(part: PartLine) -> str:
    stay = part.stay
    return "" if part.run else f"{stay.bench:>5} {len(stay.runs) - stay.bench:>5}"


class PartPage(ListScreen):
    """Shown on top of the list it was opened from."""

    SHOWN = "parts"
    FOOTER = ("add-setup-entry=swap it", "open-record=its runs", "add-bench-run", "go-back", "show-keys")

    def __init__(self, kind: str, part: str) -> None:
        """part: its id, or its name."""
        super().__init__()
        self._part = (kind, part)
        self._history: PartHistory | None = None
        self._rows: dict[str, PartLine] = {}

    def ask(self) -> None:
        key = ("history of the part", *self._part)
        found = self.asking.answer_to(key, partial(part_history, kind=self._part[0], part=self._part[1]))
        if found is None:
            self.pane.say_waiting(key)
        elif found.value is None:
            self.close()
        else:
            self._show(found.value)

    def _show(self, history: PartHistory) -> None:
        self._history, now = history, self.pit.clock()
        motor = self.pit.snapshot.row("motor", history.motor_id or "") or {}
        self.pane.say(part_title(history, motor.get("name", ""), now), part_words(history))
        rows: list[PartLine] = []
        for stay in history.stays:
            rows.append(PartLine(stay, stay_words(stay, now), stay.figures))
            rows += [PartLine(stay, f"  {run_words(run, now)}", run.figures, run) for run in stay.runs]
        keys: list[str | None] = [row.run.run_id if row.run else f"stay {at}" for at, row in enumerate(rows)]
        self._rows = {key: row for key, row in zip(keys, rows, strict=True) if key}
        table = Table(columns(history.corrected), self.size.width, GAP)

        def draw(index: int) -> Line:
            row = rows[index]
            on_track = row.run is not None and not row.run.bench
            return line((row.text, "quiet")) if on_track else table.row(row)

        self.pane.show(keys, draw, table.heads() if rows else [])
        note = "   Means of what was read there; the other parts of that motor are in them."
        self.pane.below([line((note, "quiet"))] if rows else [])

    def marked_motor(self) -> str | None:
        """That of the marked line; the one it is in now where none is marked."""
        row = self._rows.get(self.pane.key or "")
        return row.stay.motor_id if row else self._history.motor_id if self._history else None

    def action_open_record(self) -> None:
        row = self._rows.get(self.pane.key or "")
        if row is not None:
            day = f" {row.run.made_at[:10]}{'' if row.run.bench else ' track'}" if row.run else ""
            self.pit.routes.go_to("runs").narrow_to(f"{row.stay.motor}{day}")

    def action_add_setup_entry(self) -> None:
        if self._history:
            self.pit.routes.open_form("swap-form", None, self._history.kind, self._history.part_id)

"""The fields of a form, drawn; one input moves from field to field, so a form opens as fast as a page of text.

It grows with the window: words get more room, and a text longer than its line is folded where lines are left.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.message import Message
from textual.strip import Strip
from textual.widgets import Input
from textual.widgets.input import Selection

from pitbench.app.widgets.paint import Line, Painted, Role, Span, fitted, going_on, line, width_of, wrapped
from pitbench.app.widgets.typed import Typed
from pitbench.records.fields import FIELDS, NUMBER, RECORDS
from pitbench.records.harmless import harmless
from pitbench.records.units import Units

FEW = 3
"""Fewer lines than that are kept for texts that find room in them whole."""

GROWING = ("note", "why", "outcome")
"""Fields of words one adds to."""

VALUE_AT, NUMBER_WIDTH, SIDE_AT, NARROW = 22, 9, 39, 80
"""Cells at which values and, in a window as narrow as this, what stands beside them begin."""


@dataclass(frozen=True)
class Field:
    """One field: `text` ones hold words, the others one number with its unit; `label` may come from the quantities.

    `many`: several numbers belong here, so a paste of some goes to the form whole.
    """

    name: str
    label: str
    unit: str = ""
    meaning: str = ""
    text: bool = False
    many: bool = False


def field_of(name: str, units: Units | None = None, kind: str = "") -> Field:
    """A field of the table, as this kind of record has it; its unit as the team has set it."""
    datum = next((each for each in RECORDS.get(kind, ()) if each.name == name), FIELDS[name])
    unit = units.unit(name) if units and datum.unit else datum.unit
    return Field(name, datum.label, unit, datum.typed or datum.meaning, text=datum.form != NUMBER)


class FieldInput(Typed):
    """The one input of a form. A paste of several numbers goes to the form whole, which fills its fields."""

    DEFAULT_CSS = """
    FieldInput { position: absolute; height: 1; border: none; padding: 0; background: $pit-field; color: $pit-text; }
    FieldInput:focus { border: none; background-tint: transparent; }
    """

    class LinePasted(Message):
        """A whole line of figures was pasted."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    takes_lines = True

    def _on_paste(self, event: events.Paste) -> None:
        pasted = event.text.strip("\r\n")
        if (self.takes_lines and len(pasted.replace(";", " ").split()) > 1) or "\t" in pasted:
            event.stop()
            event.prevent_default()
            self.post_message(self.LinePasted(pasted))


class FormBody(Painted):
    """Labels, values and units left, what the form has to say right; draws, and moves the input."""

    DEFAULT_CSS = "FormBody { height: auto; width: 1fr; }"

    def __init__(self) -> None:
        super().__init__(id="fields")
        self._fields: Sequence[Field] = ()
        self._values: Mapping[str, str] = {}
        self._marks: Mapping[str, Role] = {}
        self._passed: Mapping[str, str] = {}
        self._side: Sequence[Line] = ()
        self._at = 0
        self._rows: list[tuple[int, str]] = []
        """Lines of the left side: which field, and what stands there of its value."""
        self.room = 0
        """Lines there are for the fields and what stands beside them; fields always take one each."""

    def compose(self) -> ComposeResult:
        yield FieldInput(select_on_focus=False)

    @property
    def input(self) -> FieldInput:
        return self.query_one(FieldInput)

    def show(
        self,
        fields: Sequence[Field],
        values: Mapping[str, str],
        at: int,
        marks: Mapping[str, Role],
        side: Sequence[Line],
        passed: Mapping[str, str],
    ) -> None:
        """Draw the form as it stands; `at` is the field the input is on, `passed` says why Enter passes over some."""
        height = self.get_content_height(None, None, 0)
        self._fields, self._values, self._at, self._marks, self._side = fields, values, at, marks, side
        self._passed = passed
        self._rows = self._laid_out()
        if fields:
            self._place_input()
        self.refresh(layout=height != self.get_content_height(None, None, 0))

    def put_input(self, at: int, value: str) -> None:
        """Move the input to field `at`: the first key typed replaces `value`, in a growing one it goes on behind it."""
        field = self._fields[at]
        self._at = at
        box = self.input
        box.takes_lines = field.many or not field.text
        self._rows = self._laid_out()
        self._place_input()
        with box.prevent(Input.Changed):
            box.value = harmless(value)
        box.cursor_position = len(value)
        if field.name not in GROWING:
            box.selection = Selection(len(box.value), 0)  # the cursor in front: the beginning stays in sight
        self.refresh()

    def folded(self, text: str, role: Role = "quiet", indent: int = 3) -> list[Line]:
        """A sentence folded to the width of the screen."""
        width = max(20, (self.screen.size.width or 80) - indent - 1)
        return [line((" " * indent + row, role)) for row in wrapped(text, width)]

    def marked(self, text: str, role: Role) -> list[Line]:
        """A sentence about something to look at, folded beside its mark."""
        first, *others = self.folded(text, role)
        return [line((" ! ", role), (first[0][0].lstrip(), role)), *others]

    def meaning(self, field: Field) -> list[Line]:
        """What a field is for."""
        return self.folded(f"{field.label}: {field.meaning}")

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        return max(len(self._rows), min(len(self._side), self.room))

    def render_line(self, y: int) -> Strip:
        left = self._left(y) if y < len(self._rows) else []
        side = self._side[y] if y < len(self._side) else ()
        if y == self.size.height - 1 and len(self._side) > y + 1:
            side = going_on(side, self.side_room)
        gap = max(1, self.side_at - width_of(tuple(left)))
        return self.strip_of((*left, (" " * gap, "text"), *side) if side else tuple(left), self.size.width)

    # how wide, and how many lines

    @property
    def _window(self) -> int:
        return self.screen.size.width or NARROW

    @property
    def side_at(self) -> int:
        """Where it begins what stands beside the fields: both halves grow with the window."""
        return SIDE_AT + max(0, self._window - NARROW) // 2

    @property
    def side_room(self) -> int:
        """Cells there are beside the fields."""
        return self._window - self.side_at - 1

    def text_room(self, beside: bool = True) -> int:
        """Cells of a text; it has the whole line where nothing stands beside it."""
        return self.side_at - VALUE_AT - 1 if beside else self._window - VALUE_AT - 2

    def _width(self, y: int, lines: int = 1) -> int:
        """Of a text on these lines."""
        return self.text_room(any(self._side[y : y + lines]))

    def _laid_out(self) -> list[tuple[int, str]]:
        """A line a field; a text too long for its own goes on below as far as lines are left, the one that is being
        typed whole, under the input."""
        rows: list[tuple[int, str]] = []
        spare = self.room - len(self._fields)
        for at, field in enumerate(self._fields):
            value, y = self._values.get(field.name, ""), len(rows)
            rows.append((at, value))
            if spare <= 0 or not field.text or cell_len(value) <= self._width(y):
                continue
            folded = wrapped(value, self._width(y, spare + 1))
            if len(folded) > spare + 1 and spare < FEW:
                continue  # a piece of it says no more than its beginning
            if at != self._at:
                rows.pop()
                spare += 1
            shown, left = folded[:spare], folded[spare - 1 :]
            rows += [(at, text) for text in ([*shown[:-1], " ".join(left)] if len(folded) > spare else shown)]
            spare -= len(shown)
        return rows

    def _place_input(self) -> None:
        y = self._row_of(self._at)
        self.input.styles.width = self._width(y) if self._fields[self._at].text else NUMBER_WIDTH
        self.input.styles.offset = (VALUE_AT, y)

    def _row_of(self, at: int) -> int:
        return next((y for y, (field, _) in enumerate(self._rows) if field == at), 0)

    def _left(self, y: int) -> list[Span]:
        at, value = self._rows[y]
        field = self._fields[at]
        mark = self._marks.get(field.name)
        if y and self._rows[y - 1][0] == at:
            return [(" " * VALUE_AT, "text"), (fitted(value, self._width(y)), mark or "quiet")]
        lead: Span = (" ▸ ", "accent") if at == self._at else (" ! ", mark or "warn") if mark else ("   ", "text")
        return [
            lead,
            (fitted(field.label, VALUE_AT - 4), "quiet"),
            (" ", "text"),
            *self._shown(field, value, y, mark),
        ]

    def _shown(self, field: Field, value: str, y: int, mark: Role | None) -> list[Span]:
        """A value and its unit; in a field that Enter passes over, why."""
        why = self._passed.get(field.name, "")
        if why and not value and self._rows[y][0] != self._at:
            return [(fitted(f"· {why}", self.text_room()), "quiet")]
        unit = f" {field.unit}" if field.unit else ""
        width = self._width(y) if field.text else NUMBER_WIDTH
        return [(fitted(value or "·", width), mark or ("text" if value else "quiet")), (unit, "quiet")]

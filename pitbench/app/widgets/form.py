"""The fields of a form, drawn; one input moves from field to field, so a form opens as fast as a page of text."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.message import Message
from textual.strip import Strip
from textual.widgets import Input
from textual.widgets.input import Selection

from pitbench.app.widgets.paint import Line, Painted, Role, Span, fitted, line, width_of, wrapped
from pitbench.records.fields import FIELDS, NUMBER, RECORDS
from pitbench.records.harmless import harmless
from pitbench.records.units import Units

GROWING = ("note", "why", "outcome")
"""Fields of words one adds to."""

VALUE_AT, NUMBER_WIDTH, TEXT_WIDTH, WIDE_TEXT, SIDE_AT = 22, 9, 16, 56, 39


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


class FieldInput(Input):
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
        self.side_at = SIDE_AT

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
        taller = (len(fields), len(side)) != (len(self._fields), len(self._side))
        self._fields, self._values, self._at, self._marks, self._side = fields, values, at, marks, side
        self._passed = passed
        if fields:
            self.input.styles.width = self._width(at)
        self.refresh(layout=taller)

    def put_input(self, at: int, value: str) -> None:
        """Move the input to field `at`: the first key typed replaces `value`, in a growing one it goes on behind it."""
        field = self._fields[at]
        self._at = at
        box = self.input
        box.takes_lines = field.many or not field.text
        box.styles.width = self._width(at)
        box.styles.offset = (VALUE_AT, at)
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
        return max(len(self._fields), len(self._side))

    def render_line(self, y: int) -> Strip:
        left: list[Span] = []
        if y < len(self._fields):
            left = self._field(y)
        side = self._side[y] if y < len(self._side) else ()
        gap = max(1, self.side_at - width_of(tuple(left)))
        return self.strip_of((*left, (" " * gap, "text"), *side) if side else tuple(left), self.size.width)

    def _width(self, y: int) -> int:
        """Words get the whole line where nothing stands beside them."""
        if not self._fields[y].text:
            return NUMBER_WIDTH
        return TEXT_WIDTH if y < len(self._side) and self._side[y] else WIDE_TEXT

    def _shown(self, field: Field, value: str, y: int, mark: Role | None) -> list[Span]:
        """A value and its unit; in a field that Enter passes over, why."""
        why = self._passed.get(field.name, "")
        if why and not value and y != self._at:
            return [(fitted(f"· {why}", TEXT_WIDTH), "quiet")]
        unit = f" {field.unit}" if field.unit else ""
        return [(fitted(value or "·", self._width(y)), mark or ("text" if value else "quiet")), (unit, "quiet")]

    def _field(self, y: int) -> list[Span]:
        field = self._fields[y]
        mark = self._marks.get(field.name)
        value = self._values.get(field.name, "")
        lead: Span = (" ▸ ", "accent") if y == self._at else (" ! ", mark or "warn") if mark else ("   ", "text")
        return [
            lead,
            (fitted(field.label, VALUE_AT - 4), "quiet"),
            (" ", "text"),
            *self._shown(field, value, y, mark),
        ]

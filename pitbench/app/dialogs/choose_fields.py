"""F9 in a form of runs: the field the input stands on is hidden or moved, or every field asked for again."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType
from typing import TYPE_CHECKING

from textual import events

from pitbench.app.dialogs.choose import Choose
from pitbench.app.dialogs.dialog import Dialog
from pitbench.app.widgets.form import Field
from pitbench.app.widgets.paint import Line, Lines, line
from pitbench.records.keys import key_for

if TYPE_CHECKING:
    from pitbench.app.forms.form_screen import FormScreen


def choose_fields(form: FormScreen, desk: ModuleType, ask_anew: Callable[[], None]) -> None:
    """`desk` hides and shows fields, and orders them if it can; `ask_anew` puts the fields asked for into the form."""
    form.moves.take_typed()
    book, field = form.pit.book, form.field

    def do(work: Callable[[], str]) -> None:
        if form.pit.writing.attempt(work):
            ask_anew()
            names = [each.name for each in form.fields]
            form.at = names.index(field.name) if field.name in names else min(form.at, len(names) - 1)
            form.body.put_input(form.at, form.value)
            form.value_changed()
            form.draw()
        form.say(form.pit.say.said[0], trouble=form.pit.say.said[2])

    def moved(order: list[str] | None) -> None:
        if order:
            do(lambda: desk.order_fields(book, tuple(order)))

    def answered(choice: str | None) -> None:
        if choice == "hide":
            do(lambda: desk.hide_field(book, field.name))
        elif choice == "show":
            do(lambda: desk.show_all_fields(book))
        elif choice == "move":
            form.pit.push_screen(MoveField(form.fields, form.at), moved)

    may_order = hasattr(desk, "order_fields")
    may_move = may_order and field is not form.fields[-1]
    choices = [
        ("h", "hide", f"never ask for {field.label} again"),
        *([("m", "move", f"ask for {field.label} earlier or later")] if may_move else []),
        (
            "s",
            "show",
            f"ask for every field again{', in the order they began in' if may_order else ''}",
        ),
    ]
    form.pit.push_screen(Choose("Fields you never use need not stand here.", choices), answered)


class MoveField(Dialog[list[str]]):
    """Arrows carry one field up and down among the others; the last, the note, stays there. Returns the names."""

    def __init__(self, fields: list[Field], at: int) -> None:
        super().__init__()
        self._fields, self._at = fields[:-1], min(at, len(fields) - 2)

    def rows(self) -> list[Line]:
        rows: list[Line] = [line(("Your tester's own order", "strong")), ()]
        for at, field in enumerate(self._fields):
            here = at == self._at
            rows.append(line(("▸ " if here else "  ", "accent"), (field.label, "accent" if here else "text")))
        ways = f"Up and Down carry it, Enter puts it there   {key_for('leave-form')} leaves it as it was"
        return [*rows, (), line((ways, "quiet"))]

    def on_key(self, event: events.Key) -> None:
        if event.key == "enter":
            event.stop()
            self.dismiss([field.name for field in self._fields])
        elif event.key in {"up", "down"}:
            to = max(0, min(len(self._fields) - 1, self._at + (1 if event.key == "down" else -1)))
            self._fields.insert(to, self._fields.pop(self._at))
            self._at = to
            self.query_one(Lines).show(self.rows())

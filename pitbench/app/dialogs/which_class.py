"""Which class sheet is meant: one that is there, or a new one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.named import class_sheet_of
from pitbench.records.names import name_key

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp

NEW = "new"


def open_class_sheet(pit: PitbenchApp, motor_id: str | None) -> None:
    """The form of the class sheet that is chosen, the marked motor's first; a new one where there is none."""
    snapshot = pit.snapshot
    sheets = sorted(snapshot.rows("class_sheet"), key=lambda sheet: name_key(sheet["name"]))

    def chosen(choice: str | None) -> None:
        if choice:
            pit.routes.open_form("class-form", None if choice == NEW else choice)

    if not sheets:
        chosen(NEW)
    elif pit.writing.may():
        motor = snapshot.row("motor", motor_id or "") or {}
        marked = class_sheet_of(snapshot, motor).get("id", sheets[0]["id"])
        known = [(str(nth) if nth < 10 else "", sheet["id"], sheet["name"]) for nth, sheet in enumerate(sheets, 1)]
        pit.push_screen(Choose("Which class sheet?", [*known, ("n", NEW, "a new one")], marked), chosen)

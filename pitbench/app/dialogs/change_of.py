"""A change of one motor: of its setup, or which of its parts is swapped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pitbench.app.dialogs.choose import Choose
from pitbench.desk.named import name_of

if TYPE_CHECKING:
    from pitbench.app.lists.list_screen import ListScreen

SETUP = "setup"
CHOICES = (
    ("c", SETUP, "its setup: gears, timing, bearings"),
    ("s", "stator", "its stator, for another"),
    ("r", "rotor", "its rotor, for another"),
    ("e", "end_bell", "its end bell, for another"),
)


def ask_change(screen: ListScreen, motor_id: str) -> None:
    """Ask what is changed, and open the form of that."""
    routes = screen.pit.routes

    def answered(choice: str | None) -> None:
        if choice == SETUP:
            routes.open_form("setup-form", motor_id=motor_id)
        elif choice:
            routes.open_form("swap-form", motor_id, choice)

    if screen.pit.writing.may():
        question = f"What is changed on {name_of(screen.pit.snapshot, 'motor', motor_id)}?"
        screen.pit.push_screen(Choose(question, CHOICES, SETUP), answered)

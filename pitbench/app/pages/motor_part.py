"""The page of a motor and its parts: Tab leads from each to the next, and all go with their motor."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from pitbench.app.lists.list_screen import ListScreen

if TYPE_CHECKING:
    from pitbench.records.kinds import Row


class MotorPart(ListScreen):
    """A subclass answers its question in `ask_of`."""

    SHOWN = "motors"
    PART: ClassVar[str] = ""
    """Its name among the parts of `routes`; none: the page itself."""

    def __init__(self, motor_id: str) -> None:
        super().__init__()
        self._motor_id = motor_id
        self._motor_name = ""

    def ask(self) -> None:
        motor = self.pit.snapshot.row("motor", self._motor_id)
        if motor is None or "binned_at" in motor:
            self.close()
        else:
            self._motor_name = str(motor["name"])
            self.ask_of(motor)

    def ask_of(self, motor: Row) -> None:
        """Ask the desk about this motor and show the answer."""
        raise NotImplementedError

    def marked_motor(self) -> str | None:
        return self._motor_id

    def action_next_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, self.PART)

    def action_previous_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, self.PART, -1)

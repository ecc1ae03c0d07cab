"""Keys that change a plan, the same on Gearing and Temperature: a small letter one step up, its capital one down."""

from __future__ import annotations

from pitbench.app.actions import BY_ID, keys_of
from pitbench.app.screens.list_screen import ListScreen

NEXT_START_MIN = 5


class PlanKeys(ListScreen):
    """A subclass says what a step does."""

    def step_plan(self, name: str, by: int) -> None:
        """One step more or less of one number of the plan."""
        raise NotImplementedError

    def action_pinion_up(self) -> None:
        self.step_plan("pinion", 1)

    def action_pinion_down(self) -> None:
        self.step_plan("pinion", -1)

    def action_spur_up(self) -> None:
        self.step_plan("spur", 1)

    def action_spur_down(self) -> None:
        self.step_plan("spur", -1)

    def action_tyre_up(self) -> None:
        self.step_plan("tyre_diameter_mm", 1)

    def action_tyre_down(self) -> None:
        self.step_plan("tyre_diameter_mm", -1)

    def step_keys(self, name: str) -> str:
        """The two keys of a step, as they are now: `p P`."""
        return " ".join(keys_of(BY_ID[f"{name}-{way}"], self.pit.keymap)[0] for way in ("up", "down"))


class ForecastKeys(PlanKeys):
    """Besides the gears: length, ambient, timing mark, and when the next round starts."""

    def action_length_up(self) -> None:
        self.step_plan("length_s", 1)

    def action_length_down(self) -> None:
        self.step_plan("length_s", -1)

    def action_ambient_up(self) -> None:
        self.step_plan("ambient_c", 1)

    def action_ambient_down(self) -> None:
        self.step_plan("ambient_c", -1)

    def action_timing_mark_up(self) -> None:
        self.step_plan("timing_mark_deg", 1)

    def action_timing_mark_down(self) -> None:
        self.step_plan("timing_mark_deg", -1)

    def action_next_start_later(self) -> None:
        self._move_start(NEXT_START_MIN)

    def action_next_start_earlier(self) -> None:
        self._move_start(-NEXT_START_MIN)

    def _move_start(self, minutes: int) -> None:
        if self.pit.logbook is not None:
            self.pit.plans.move_start(self.pit.snapshot, self.pit.clock(), minutes)
            self.ask()

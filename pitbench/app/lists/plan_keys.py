"""Keys that change a plan, the same on Gearing and Temperature: a small letter one step up, its capital one down."""

from pitbench.app.actions import BY_ID, keys_of
from pitbench.app.lists.list_screen import ListScreen

NEXT_START_MIN = 5


class PlanKeys(ListScreen):
    """A subclass says what a step does."""

    def action_step_plan(self, name: str, by: int) -> None:
        """One step more or less of one number of the plan."""
        raise NotImplementedError

    def step_keys(self, name: str) -> str:
        """The two keys of a step, as they are now: `p P`."""
        ways = ("later", "earlier") if name == "next-start" else ("up", "down")
        return " ".join(keys_of(BY_ID[f"{name}-{way}"], self.pit.hands.keymap)[0] for way in ways)


class ForecastKeys(PlanKeys):
    """Besides the gears: length, ambient, timing mark, and when the next round starts."""

    def action_step_run(self, name: str, by: int) -> None:
        """One step of what only a forecast asks for."""
        if name != "start":
            self.action_step_plan(name, by)
        elif self.pit.logbook is not None:
            self.pit.plans.move_start(self.pit.snapshot, self.pit.clock(), by * NEXT_START_MIN)
            self.asking.again()

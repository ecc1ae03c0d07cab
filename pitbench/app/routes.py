"""Every screen by its name, imported when it is first opened: screens open one another through here and import none."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any, cast

from textual.screen import Screen

if TYPE_CHECKING:
    from pitbench.app.app import PitbenchApp
    from pitbench.app.lists.list_screen import ListScreen

MAIN = {
    "motors": "lists.motors.MotorsScreen",
    "runs": "lists.runs.RunsScreen",
    "bench-session": "lists.bench_session.BenchSessionScreen",
    "bench-plan": "lists.bench_plan.BenchPlanScreen",
    "rankings": "lists.rankings.RankingsScreen",
    "main-card": "pages.main_card.MainCardScreen",
    "link": "pages.link.LinkScreen",
    "setup-log": "lists.setup_log.SetupLogScreen",
    "temperature": "lists.temperature.TemperatureScreen",
    "gearing": "lists.gearing.GearingScreen",
    "parts": "lists.parts.PartsScreen",
}
"""Stand once each, and are gone to."""
ROUTES = MAIN | {
    "motor-page": "pages.motor_page.MotorPage",
    "side-by-side": "pages.side_by_side.SideBySideScreen",
    "wear": "pages.wear.WearScreen",
    "sweeps": "pages.sweep.SweepScreen",
    "load-log": "pages.load_log.LoadLogPage",
    "load-logs": "pages.load_logs.LoadLogsScreen",
    "motor-model": "pages.motor_model.MotorModelPage",
    "part-page": "pages.part_page.PartPage",
    "explained": "pages.explain.ExplainScreen",
    "cautions": "pages.cautions.CautionsScreen",
    "keys": "pages.keys.KeysScreen",
    "bench-form": "forms.bench_form.BenchForm",
    "conditions-form": "forms.conditions_form.ConditionsForm",
    "track-form": "forms.track_form.TrackForm",
    "car-form": "forms.car_form.CarForm",
    "reading-form": "forms.reading_form.ReadingForm",
    "event-form": "forms.event_form.EventForm",
    "setup-form": "forms.setup_form.SetupForm",
    "swap-form": "forms.swap_form.SwapForm",
    "class-form": "forms.class_form.ClassForm",
    "motor-form": "forms.motor_form.MotorForm",
    "gear-form": "forms.gear_form.GearForm",
    "plan-form": "forms.gear_form.PlanForm",
    "weights-form": "forms.weights_form.WeightsForm",
    "settings-form": "forms.settings_form.SettingsForm",
}
"""`tests/unit/app/test_routes.py` holds what they are opened with to what they take."""
MOTOR_PARTS = ("wear", "sweeps", "load-logs", "motor-model")
"""Parts of a motor's page in the order of Tab; behind the last stands the page itself. Opened with their motor."""


def screen_class(name: str) -> type[Screen[Any]]:
    """The class of a screen."""
    module, _, class_name = ROUTES[name].rpartition(".")
    return cast("type[Screen[Any]]", getattr(import_module(f"pitbench.app.{module}"), class_name))


class Routes:
    """The ways from screen to screen."""

    def __init__(self, app: PitbenchApp) -> None:
        self._app = app

    def open(self, name: str, *of: Any, then: Callable[[Any], None] | None = None, **named: Any) -> None:
        """Put a screen on top; `then` is called with what it returns."""
        self._app.push_screen(screen_class(name)(*of, **named), then)

    def open_form(self, name: str, *of: Any, then: Callable[[Any], None] | None = None, **named: Any) -> None:
        """The same, if the logbook may be written."""
        if self._app.writing.may():
            self.open(name, *of, then=then, **named)

    def motor_part(self, motor_id: str, shown: str = "", step: int = 1) -> None:
        """The part of a motor's page `step` after the one shown (none: the page itself), which takes its place."""
        round_ = ("", *MOTOR_PARTS)
        name = round_[(round_.index(shown) + step) % len(round_)]
        if shown:
            self._app.pop_screen()
        if name:
            self.open(name, motor_id)

    def go_to(self, name: str) -> Any:
        """Show one of the main screens, whatever stands on top of it now; the screen itself is returned."""
        app = self._app
        while len(app.screen_stack) > self.main_depth:
            app.pop_screen()
        wanted = cast("ListScreen", app.get_screen(name))
        wanted.opened_anew = wanted is not app.screen
        if wanted is app.screen_stack[0]:
            if app.screen is not wanted:
                app.pop_screen()
        elif self.main_depth == 1:
            app.push_screen(name)
        elif app.screen is not wanted:
            app.switch_screen(name)
        return wanted

    @property
    def main_depth(self) -> int:
        """Where the main screen shown lies on the stack: the lowest is that of the motors, any other lies on it."""
        stack = self._app.screen_stack
        return 2 if len(stack) > 1 and self._app.is_screen_installed(stack[1]) else 1

"""Every screen, form and question of the app on the demo weekend: how it is reached, at what time of which day.

`test_room` holds the list to the table of routes, so that a new screen is missed here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from pitbench.app.app import PitbenchApp
from pitbench.app.dialogs.choose import Choose
from pitbench.app.dialogs.refused import Refused

EVENING = datetime(2026, 5, 16, 20, 30)
AFTER_THE_MAIN = datetime(2026, 5, 16, 17, 41)
BEFORE_THE_NEXT = datetime(2026, 5, 17, 10, 50)
LONG_NAME = "one sentence with the name of a file in it, such as a racer would have it on a stick, "


@dataclass(frozen=True)
class Station:
    """One place: keys pressed from Motors, and what is opened without a key before or instead of them."""

    name: str
    keys: tuple[str, ...] = ()
    at: datetime = EVENING
    opens: Callable[[PitbenchApp], object] | None = None
    shows: str = ""
    """The route that leads there, told once for each."""
    anew: bool = False
    """Opened anew in every look: it is never open while the look is changed."""


def _route(name: str) -> Callable[[PitbenchApp], object]:
    return lambda app: app.routes.open_form(name)


def _first_log(app: PitbenchApp) -> object:
    return app.routes.open("load-log", app.snapshot.rows("load_log")[0]["id"])


def _of_most_raced(route: str) -> Callable[[PitbenchApp], object]:
    """The motor of the demo that was raced and logged most."""

    def open_it(app: PitbenchApp) -> object:
        runs = [run["motor_id"] for run in app.snapshot.rows("track_run")]
        return app.routes.open(route, max(runs, key=runs.count))

    return open_it


def _beside(count: int) -> Callable[[PitbenchApp], object]:
    return lambda app: app.routes.open("side-by-side", [each["id"] for each in app.snapshot.rows("motor")[:count]])


def _question(app: PitbenchApp) -> object:
    choices = (("y", "yes", "a way out of it"), ("n", "no", "another, told at somewhat more length"))
    return app.push_screen(Choose(f"Is it so? {LONG_NAME * 2}", choices, "yes"))


STATIONS = (
    Station("motors", shows="motors"),
    Station("motors, last line", ("end",)),
    Station("all keys", ("question_mark",), shows="keys"),
    Station("cautions", opens=lambda app: app.routes.open("cautions"), shows="cautions"),
    Station("explained", ("i",), shows="explained"),
    Station("palette", ("ctrl+p",), anew=True),
    Station("palette, words typed", ("ctrl+p", *"run"), anew=True),
    Station("theme", opens=lambda app: app.hands.choose_theme()),
    Station("motor page", ("enter",), shows="motor-page"),
    Station("motor page, another", ("down", "down", "down", "enter")),
    Station("motor page, what is changed", ("enter", "c")),
    Station("wear", ("enter", "tab"), shows="wear"),
    Station("sweeps", ("enter", "tab", "tab"), shows="sweeps"),
    Station("motor model", ("enter", "shift+tab"), shows="motor-model"),
    Station("motor model of a logged motor", opens=_of_most_raced("motor-model")),
    Station("wear of a raced motor", opens=_of_most_raced("wear")),
    Station("motor page of a raced motor", opens=_of_most_raced("motor-page")),
    Station("side by side of two", opens=_beside(2), shows="side-by-side"),
    Station("side by side of four", opens=_beside(4)),
    Station("load logs of a motor", ("enter", *["tab"] * 3), shows="load-logs"),
    Station("load log", opens=_first_log, shows="load-log"),
    Station("load log, next view", ("v",), opens=_first_log),
    Station("a log to read", ("2", "j")),
    Station("bin a motor", ("d",)),
    Station("runs", ("2",), shows="runs"),
    Station("runs, last line", ("2", "end")),
    Station("runs, find", ("2", "slash", *"lap")),
    Station("leave a run out", ("2", "x")),
    Station("bench session", ("2", "escape", "tab"), shows="bench-session"),
    Station("bench plan", ("2", "tab", "tab"), shows="bench-plan"),
    Station("rankings", ("3",), shows="rankings"),
    Station("rankings, next view", ("3", "v")),
    Station("rankings, the view after it", ("3", "v")),
    Station("rankings, the last view", ("3", "v")),
    Station("gearing limit", ("3", "v", "g")),
    Station("weights", ("3", "w"), shows="weights-form"),
    Station("card for the main", ("3", "tab"), BEFORE_THE_NEXT, shows="main-card"),
    Station("bench and track", ("3", "T"), shows="link"),
    Station("setup log", ("4",), shows="setup-log"),
    Station("setup log, last line", ("4", "end")),
    Station("on the car", ("4", "tab")),
    Station("season", ("4", "tab")),
    Station("temperature", ("5",), AFTER_THE_MAIN, shows="temperature"),
    Station("temperature, plot", ("5", "tab"), AFTER_THE_MAIN),
    Station("temperature reading", ("5", "tab", "r"), AFTER_THE_MAIN, shows="reading-form"),
    Station("gearing", ("6",), shows="gearing"),
    Station("own gears", ("6", "tab")),
    Station("new gears", ("6", "tab", "plus"), shows="gear-form"),
    Station("gearing to look at", ("6", "e"), shows="plan-form"),
    Station("wanted rollout", ("6", "f")),
    Station("parts", ("7",), shows="parts"),
    Station("parts, the next kind", ("7", "tab")),
    Station("part page", ("7", "enter"), shows="part-page"),
    Station("swap", ("7", "c"), shows="swap-form"),
    Station("new motor", ("m",), shows="motor-form"),
    Station("edit motor", ("e",)),
    Station("new setup entry", ("c",), shows="setup-form"),
    Station("edit setup entry", ("4", "tab", "home", "e")),
    Station("new event", opens=_route("event-form"), shows="event-form"),
    Station("class sheet", opens=_route("class-form"), shows="class-form"),
    Station("winding alone", ("R",)),
    Station("settings", opens=_route("settings-form"), shows="settings-form"),
    Station("track run", ("t",), shows="track-form"),
    Station("car", ("t", "f6"), shows="car-form"),
    Station("edit track run", ("2", "home", "e")),
    Station("bench run", ("b",), shows="bench-form"),
    Station("conditions", ("b", "f6"), shows="conditions-form"),
    Station("fields", ("b", "f9")),
    Station("field moved", ("b", "f9", "m")),
    Station("one line", ("b", "f5")),
    Station("bench run, doubtful", ("b", *"7953", "enter", *"4.1", "enter", "enter", *"24.1", "enter")),
    Station("draft offered", ("b",)),
    Station("bench run, a note typed", ("b", "n", "end", "up", "up", *"note")),
    Station("form left", ("m", *"Dab", "escape")),
    Station("question", opens=_question),
    Station("refused", opens=lambda app: app.push_screen(Refused(LONG_NAME * 3, True, True))),
)

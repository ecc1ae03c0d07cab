"""Every action of the app, declared once: its key, its footer entry, its palette entry and its line in the key list.

A new action is added here and gets a method `action_<id>` on the app or a screen, or `does` names one that several
share, and `of` what it is called with. A sentence that names its key takes it from `records/keys`.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding, BindingType

from pitbench.records.keys import key_name

LISTS, RANKINGS, SETUP_LOG = "on every list screen", "rankings", "setup log"
GEARING, TEMPERATURE = "gearing, temperature", "temperature"
MOTOR_MODEL = "motor model"
FORM, APP = "in a form", "everywhere"


@dataclass(frozen=True)
class Action:
    """`id` is kebab-case and stays, so that keys can be remapped; `footer` is the short word, `help` the line.

    Without keys an action stands in the palette alone.
    """

    id: str
    keys: str
    footer: str
    help: str
    where: str = LISTS
    in_palette: bool = True
    does: str = ""
    of: tuple[str | int, ...] = ()

    @property
    def method(self) -> str:
        """Name of the action for textual: `add-bench-run` runs `action_add_bench_run`."""
        return self.does or self.id.replace("-", "_")

    @property
    def call(self) -> str:
        """The method with what it is called with, as textual reads it: `go_to('runs')`."""
        return f"{self.method}({', '.join(map(repr, self.of))})" if self.of else self.method


SCREENS = (
    ("motors", "Motors", "your motors"),
    ("runs", "Runs", "every run"),
    ("rankings", "Rankings", "which for the main"),
    ("setup-log", "Setup log", "what was changed, and what came of it"),
    ("temperature", "Temp", "finish temperatures, and the plan"),
    ("gearing", "Gearing", "your sets by rollout"),
    ("parts", "Parts", "what each is worth, and which swap to try"),
)
"""The main screens in the order of their digits: name, title, help."""


def _steps(
    stem: str, key: str, footer: str, told: str, where: str, of: str, ways: tuple[str, str] = ("up", "down")
) -> list[Action]:
    """A small letter takes one step up, its capital one down; `of` is the number stepped.

    What only a forecast asks for has a method of its own, so that Gearing's palette does not offer it.
    """
    does = "step_plan" if where == GEARING else "step_run"
    keys = zip(ways, (key, key.upper()), (1, -1), strict=True)
    return [Action(f"{stem}-{way}", each, footer, told, where, does=does, of=(of, by)) for way, each, by in keys]


def _share(name: str, keys: str, footer: str, told: str, of: str) -> Action:
    """It does the same on every list screen: `of` names it in `lists/shared_keys`."""
    return Action(name, keys, footer, told, does="share", of=(of,))


def _part(name: str, footer: str, told: str, part: str) -> Action:
    """It shows this part of the page of a motor, from every list screen."""
    return Action(name, "", footer, told, does="show_part", of=(part,))


def _form(name: str, keys: str, footer: str, told: str, form: str) -> Action:
    """It opens this form, empty, from every list screen."""
    return Action(name, keys, footer, told, does="open_form", of=(form,))


ACTIONS = (
    *(
        Action(f"go-{name}", str(nth), name.replace("-", " "), told, does="go_to", of=(name,))
        for nth, (name, _, told) in enumerate(SCREENS, 1)
    ),
    _share("add-bench-run", "b", "bench run", "new bench run", "bench_run"),
    _share("repeat-bench-run", "a", "same again", "same again: repeat it", "same_again"),
    Action("add-setup-entry", "c", "new change", "new setup entry"),
    _share("add-track-run", "t", "track run", "new track run", "track_run"),
    _share("add-reading", "r", "reading", "temperature reading", "reading"),
    _share("answer-number", "q", "answer", "a number that waits", "a_number"),
    _share("read-load-log", "j", "load log", "read a load log", "load_log"),
    _share("add-winding-reading", "R", "winding", "a winding alone", "winding"),
    _share("edit-event", "E", "event", "new event, or edit it", "event"),
    _share("edit-class", "", "class sheet", "limits of a class, or a new class", "class_sheet"),
    _share("print-day", "W", "print the day", "print the race day", "on_paper"),
    _form("edit-settings", "", "units and settings", "°C or °F, mm or inch, temperature limit", "settings-form"),
    _form("add-motor", "m", "new motor", "new motor", "motor-form"),
    Action("open-record", "enter", "open", "open it"),
    Action("edit-record", "e", "edit", "edit it"),
    Action("delete-record", "d", "to the bin", "to the bin"),
    Action("undo-change", "u", "undo", "take back", does="step", of=("undo",)),
    Action("redo-change", "U", "redo", "do again", does="step", of=("redo",)),
    Action("exclude-record", "x", "leave out", "leave a run out or in"),
    _share("show-bin", "z", "the bin", "the bin", "the_bin"),
    Action("show-card", "", "card for the main", "gears and mark of the next race", does="go_to", of=("main-card",)),
    Action("show-session", "", "bench session", "is the tester all right?", does="go_to", of=("bench-session",)),
    Action("show-bench-plan", "", "bench plan", "what to run next on the bench", does="go_to", of=("bench-plan",)),
    _part("show-wear", "wear", "does the motor get slower?", "wear"),
    _part("show-sweeps", "timing sweep", "current and KV by the timing mark", "sweeps"),
    _part("show-motor-model", "motor model", "power, torque and losses by speed", "motor-model"),
    _part("show-load-logs", "logs of the motor", "its load logs", "load-logs"),
    _share("swap-part", "", "swap parts", "write down a swap of parts", "swap"),
    Action("put-beside", "equals_sign", "beside", "motors side by side"),
    Action("take-away", "minus", "one less", "motors side by side"),
    Action("find-records", "slash", "find", "filter by words"),
    Action("explain-figure", "i", "explain", "explain the figures"),
    Action("next-part", "tab", "next part", "next part or class"),
    Action("previous-part", "shift+tab", "part before", "the one before"),
    Action("list-up", "up", "up", "one line up", LISTS, False, "move_mark", ("line", -1)),
    Action("list-down", "down", "down", "one line down", LISTS, False, "move_mark", ("line", 1)),
    Action("list-page-up", "pageup", "page up", "one page up", LISTS, False, "move_mark", ("page", -1)),
    Action("list-page-down", "pagedown", "page down", "one page down", LISTS, False, "move_mark", ("page", 1)),
    Action("list-first", "home", "first", "first line", LISTS, False, "move_mark", ("end", -1)),
    Action("list-last", "end", "last", "last line", LISTS, False, "move_mark", ("end", 1)),
    Action("set-gearing-limit", "g", "gearing", "gearing limit", RANKINGS),
    Action("edit-weights", "w", "weights", "weights and margins", RANKINGS),
    Action("next-plot", "v", "next plot", "bars, plot, weights", RANKINGS),
    Action("show-link", "T", "bench, track", "bench-to-track link", RANKINGS),
    Action("take-outcome", "f4,ctrl+t", "take it", "take what is offered", SETUP_LOG),
    Action("toggle-here-only", "h", "here only", "here only, or all", SETUP_LOG),
    *_steps("pinion", "p", "pinion", "pinion", GEARING, "pinion"),
    *_steps("spur", "s", "spur", "spur", GEARING, "spur"),
    *_steps("tyre", "y", "tyre", "tyre diameter", GEARING, "tyre_diameter_mm"),
    Action("find-rollout", "f", "find rollout", "find a rollout", GEARING),
    Action("add-gears", "plus", "own gears", "write down gears", GEARING),
    *_steps("length", "l", "length", "length of the run", TEMPERATURE, "length_s"),
    *_steps("ambient", "o", "ambient", "ambient", TEMPERATURE, "ambient_c"),
    *_steps("timing-mark", "k", "mark", "timing mark", TEMPERATURE, "timing_mark_deg"),
    *_steps("next-start", "n", "next start", "next start", TEMPERATURE, "start", ("later", "earlier")),
    Action("voltage-up", "right", "voltage", "0.1 V more or less", MOTOR_MODEL, does="step_voltage", of=(1,)),
    Action("voltage-down", "left", "voltage", "0.1 V more or less", MOTOR_MODEL, does="step_voltage", of=(-1,)),
    Action("next-field", "enter,tab,down", "next", "next; the last saves", FORM, False, "move_field", (1,)),
    Action("previous-field", "up,shift+tab", "one back", "one field back", FORM, False, "move_field", (-1,)),
    Action("save-record", "f2,ctrl+s", "save", "save now", FORM, False),
    Action("save-and-repeat", "f3,ctrl+r", "save, again", "save, then same again", FORM, False),
    Action("take-suggestion", "f4,ctrl+t", "put it", "put the suggested one", FORM, False),
    Action("fill-from-line", "f5,ctrl+l", "one line", "one line fills all", FORM, False),
    Action("edit-conditions", "f6,ctrl+o", "conditions", "change the conditions", FORM, False),
    Action("mark-caution-read", "f7,ctrl+g", "read it", "caution read", FORM, False),
    Action("explain-field", "f8,ctrl+y", "explain", "explain this field", FORM, False),
    Action("choose-fields", "f9,ctrl+n", "fields", "hide or move a field", FORM, False),
    Action("leave-form", "escape", "leave", "leave, keep the draft", FORM, False),
    Action("show-keys", "question_mark", "all keys", "every key, by screen", APP),
    Action("show-cautions", "", "cautions", "motor, hot can, packs: to be read once", APP),
    Action("go-back", "escape", "back", "back", APP, False),
    Action("open-palette", "ctrl+p", "commands", "every command by name", APP, False),
    Action("quit-app", "ctrl+q", "quit", "leave pitbench", APP),
)

BY_ID = {action.id: action for action in ACTIONS}

MOVES_IN_WORDS = ("arrows, Page", "move; Home, End too")

MOVES = tuple(action.id for action in ACTIONS if action.method == "move_mark")
"""Moves in a list: they belong to the list itself."""

LEAD_ON = (
    *(f"go-{name}" for name, _, _ in SCREENS),
    *("go-back", "find-records", "add-motor", "add-reading", "show-keys", "open-palette"),
)
"""Lead on from a list, whatever its lines are."""


def bindings(ids: Iterable[str]) -> list[BindingType]:
    """The bindings of these actions, with their stable ids."""
    return [
        Binding(action.keys, action.call, action.help, show=False, id=action.id)
        for action in (BY_ID[i] for i in ids)
        if action.keys
    ]


def bindings_for(*places: str) -> list[BindingType]:
    """The bindings of all actions declared for these places."""
    return bindings(action.id for action in ACTIONS if action.where in places and action.id not in MOVES)


def keys_of(action: Action, keymap: dict[str, str]) -> list[str]:
    """The keys of an action as people read them, remapped ones first asked."""
    return [key_name(key.strip()) for key in keymap.get(action.id, action.keys).split(",")]

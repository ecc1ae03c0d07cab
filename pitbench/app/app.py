"""The app itself: paints first, opens the logbook in a worker, and carries what all screens share.

Screens ask the desk; only this module holds the logbook. Nothing heavy is imported before the first frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.app import App, SystemCommand
from textual.screen import Screen
from textual.timer import Timer

from pitbench.app.actions import ACTIONS, bindings, keys_of
from pitbench.app.themes import DARK, LIGHT, SUNLIGHT, THEME_NAMES, sixteen_colours, variable_defaults
from pitbench.records.refusal import Refusal

if TYPE_CHECKING:
    from pitbench.desk import Compared, Logbook, RankAnswer, Snapshot

CHECKED_AT_ONCE = 250
MESSAGE_STAYS_S = 12.0

Open = Callable[[bool], "Logbook"]


def _motors() -> Screen[Any]:
    from pitbench.app.screens.motors import MotorsScreen

    return MotorsScreen()


def _runs() -> Screen[Any]:
    from pitbench.app.screens.runs import RunsScreen

    return RunsScreen()


def _rankings() -> Screen[Any]:
    from pitbench.app.screens.rankings import RankingsScreen

    return RankingsScreen()


def _bench_session() -> Screen[Any]:
    from pitbench.app.screens.bench_session import BenchSessionScreen

    return BenchSessionScreen()


def _bench_plan() -> Screen[Any]:
    from pitbench.app.screens.bench_plan import BenchPlanScreen

    return BenchPlanScreen()


class PitbenchApp(App[None]):
    """`open_logbook(accept_hand_edit)` is called in a worker; `hands` are keys and theme, `keep_hands` stores them."""

    TITLE = "pitbench"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+p"
    BINDINGS = bindings(("show-keys", "open-palette", "quit-app"))
    SCREENS: ClassVar = {
        "motors": _motors,
        "runs": _runs,
        "bench-session": _bench_session,
        "bench-plan": _bench_plan,
        "rankings": _rankings,
    }

    def __init__(
        self,
        open_logbook: Open,
        path: str,
        hands: dict[str, Any] | None = None,
        keep_hands: Callable[[dict[str, Any]], None] = lambda hands: None,
        written_down: Callable[[Exception], str] = repr,
        clock: Callable[[], datetime] = datetime.now,
    ) -> None:
        super().__init__()
        self.open_logbook, self.path, self.clock = open_logbook, path, clock
        self.hands, self.keep_hands, self.written_down = hands or {}, keep_hands, written_down
        self.logbook: Logbook | None = None
        self.gearing: dict[str | None, str] = {}
        self.message: tuple[str, str, bool] = ("", "", False)
        self._ranks: dict[tuple[int, str | None, str | None], tuple[Compared, RankAnswer]] = {}
        self._asked: set[tuple[int, str | None, str | None]] = set()
        self._snapshot: Snapshot | None = None
        self._themed = False
        self.failure: Exception | None = None
        self._silence: Timer | None = None

    # opening

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return variable_defaults()

    def on_mount(self) -> None:
        for theme in (DARK, LIGHT, SUNLIGHT, sixteen_colours()):
            self.register_theme(theme)
        self.theme = self._first_theme()
        self._themed = True
        self.set_keymap(self.keymap)
        self.push_screen("motors")
        self.call_after_refresh(self.open_file)

    def _first_theme(self) -> str:
        kept = self.hands.get("theme")
        if kept in THEME_NAMES:
            return str(kept)
        return "16 colours" if self.console.color_system == "standard" else "dark"

    def open_file(self, accept_hand_edit: bool = False) -> None:
        """Open the logbook in a thread; the screens are told when it stands."""
        self.run_worker(partial(self._open, accept_hand_edit), thread=True, exclusive=True, group="open")

    def _open(self, accept_hand_edit: bool) -> None:
        try:
            logbook = self.open_logbook(accept_hand_edit)
        except Refusal as refusal:
            self.call_from_thread(self._refused, refusal)
        else:
            self.call_from_thread(self._opened, logbook)

    def _opened(self, logbook: Logbook) -> None:
        self.logbook = logbook
        logbook.on_saved = lambda revision, kinds: self._changed()
        if logbook.read_only_why:
            self.say(logbook.read_only_why, trouble=True)
            self.set_interval(1.0, self._follow)
        self._changed()
        self.set_timer(0.05, self._check_records)

    def _check_records(self) -> None:
        """The seal vouches for the file, its list stands: now the records are checked, some at a time between keys."""
        try:
            if not self.book.verify(CHECKED_AT_ONCE):
                self.set_timer(0.01, self._check_records)
        except Refusal as refusal:
            self.say(str(refusal), trouble=True)

    def _refused(self, refusal: Refusal) -> None:
        from pitbench.app.dialogs.refused import Refused

        def answered(accept: bool | None) -> None:
            if accept:
                self.open_file(accept_hand_edit=True)
            else:
                self.exit(return_code=refusal.status, message=str(refusal))

        self.push_screen(Refused(str(refusal), can_accept=bool(getattr(refusal, "can_accept", False))), answered)

    def _follow(self) -> None:
        """A read-only start reads again when the other one has saved."""
        try:
            self.book.reread()
        except Refusal as refusal:
            self.say(str(refusal), trouble=True)

    def _changed(self) -> None:
        self._snapshot = None
        for screen in self.screen_stack:
            show = getattr(screen, "logbook_changed", None)
            if show is not None:
                show()

    def _handle_exception(self, error: Exception) -> None:
        """An error of our own ends the app; the caller words it. No traceback is printed over somebody's table."""
        if self.is_headless:
            super()._handle_exception(error)
        elif self.failure is None:
            self.failure = error
            self.exit(return_code=1)

    def on_unmount(self) -> None:
        if self.logbook is not None:
            self.logbook.close()

    # what screens share

    @property
    def snapshot(self) -> Snapshot:
        """The records as they stand now; taken once a revision."""
        if self._snapshot is None:
            self._snapshot = self.book.snapshot()
        return self._snapshot

    @property
    def keymap(self) -> dict[str, str]:
        """Keys the user changed, by action id."""
        changed = self.hands.get("keys", {})
        return {str(name): str(keys) for name, keys in changed.items()} if isinstance(changed, dict) else {}

    @property
    def book(self) -> Logbook:
        """The open logbook."""
        assert self.logbook is not None
        return self.logbook

    def say(self, what: str, hint: str = "", trouble: bool = False) -> None:
        """One sentence for the message line of whatever screen is shown."""
        self.message = (what, hint, trouble)
        if self._silence is not None:
            self._silence.stop()
        self._silence = self.set_timer(MESSAGE_STAYS_S, self._hush) if what and not trouble else None
        show = getattr(self.screen, "show_message", None)
        if show is not None:
            show()

    def _hush(self) -> None:
        """What was said has been read; a form keeps its own words."""
        self.message = ("", "", False)
        if getattr(self.screen, "SHOWN", ""):
            self.say("")

    def saved(self, words: str) -> None:
        """Say what was saved, when, and how it is taken back."""
        self.say(f"Saved {self.clock():%H:%M}: {words}.", "u takes it back")

    def attempt(self, work: Callable[[], str | None]) -> bool:
        """Do something that writes; a refusal is said in its own sentence. True when it went well."""
        try:
            words = work()
        except Refusal as refusal:
            self.say(str(refusal), trouble=True)
            return False
        if words:
            self.saved(words)
        return True

    def rank(self, class_name: str | None) -> RankAnswer | None:
        """The ranking of a class if it is known already; else a worker computes it and the screens are told."""
        key = (self.snapshot.revision, class_name, self.gearing.get(class_name))
        if key not in self._ranks and key not in self._asked:
            self._asked.add(key)
            work = partial(self._rank, self.snapshot, *key)
            self.call_after_refresh(self.run_worker, work, thread=True, group="rank")  # the list first, then numpy
        found = self._ranks.get(key)
        return found[1] if found else None

    def compared(self, class_name: str | None) -> Compared | None:
        """The comparison behind a ranking that is known: other weights are tried on it without drawing anew."""
        found = self._ranks.get((self.snapshot.revision, class_name, self.gearing.get(class_name)))
        return found[0] if found else None

    def warmth_slope(self, motor_id: str | None) -> float | None:
        """How KV rises with warmth, as the ranking of this motor's class learned it; None before it is known."""
        from pitbench.desk.motors import class_of

        class_name = class_of(self.snapshot, motor_id) if motor_id else None
        compared = self.compared(class_name) if class_name else None
        return compared.warmth_slope if compared else None

    def _rank(self, snapshot: Snapshot, revision: int, class_name: str | None, gearing: str | None) -> None:
        from pitbench.desk.ranking import compare

        try:
            compared = compare(snapshot, class_name, gearing)
            answer = compared.answer()
        except Refusal as refusal:
            self._asked.discard((revision, class_name, gearing))
            self.call_from_thread(self.say, str(refusal), trouble=True)
        except Exception as error:  # a ranking that fails must not end an evening of typing
            self.call_from_thread(self.say, f"No ranking: {self.written_down(error)}", trouble=True)
        else:
            self.call_from_thread(self._ranked, (revision, class_name, gearing), (compared, answer))

    def _ranked(self, key: tuple[int, str | None, str | None], answer: tuple[Compared, RankAnswer]) -> None:
        self._asked.discard(key)
        if key[0] != self.snapshot.revision:
            return  # an answer to an older revision is dropped
        self._ranks = {known: kept for known, kept in self._ranks.items() if known[0] == key[0]}
        self._ranks[key] = answer
        for screen in self.screen_stack:
            show = getattr(screen, "rank_ready", None)
            if show is not None:
                show()

    def on_key(self, event: events.Key) -> None:
        """A key that was still on its way through a list when the form opened goes to the form, not to its keys."""
        from pitbench.app.screens.form_screen import FormScreen

        if isinstance(self.screen, FormScreen):
            self.screen.on_key(event)

    # actions everywhere

    def go_to(self, name: str) -> Any:
        """Show one of the main screens, whatever stands on top of it now; the screen itself is returned."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        wanted = self.get_screen(name)
        if self.screen is not wanted:
            self.switch_screen(name)
        return wanted

    def action_open_palette(self) -> None:
        self.action_command_palette()

    def action_quit_app(self) -> None:
        self.exit()

    def action_show_keys(self) -> None:
        from pitbench.app.screens.keys import KeysScreen

        self.push_screen(KeysScreen())

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        yield SystemCommand("theme", "dark, light, sunlight or 16 colours", self.action_choose_theme)
        for action in ACTIONS:
            target = next((t for t in (screen, self) if hasattr(t, f"action_{action.method}")), None)
            if action.in_palette and target is not None and action.id != "open-palette":
                keys = ", ".join(keys_of(action, self.keymap))
                yield SystemCommand(
                    f"{action.footer} ({keys})", action.help, getattr(target, f"action_{action.method}")
                )

    def action_choose_theme(self) -> None:
        """Only our own looks are offered."""
        from pitbench.app.dialogs.choose import Choose

        def answered(theme: str | None) -> None:
            if theme:
                self.theme = theme

        choices = [(str(nth), name, name) for nth, name in enumerate(THEME_NAMES, 1)]
        self.push_screen(Choose("Which look?", choices, self.theme), answered)

    def watch_theme(self, theme: str) -> None:
        if self._themed and theme in THEME_NAMES:
            self.keep_hand("theme", theme)

    def keep_hand(self, name: str, value: Any) -> None:
        """Remember something of the hands (theme, keys, cautions read) in the user's own small file."""
        self.hands = {**self.hands, name: value}
        try:
            self.keep_hands(self.hands)
        except Refusal as refusal:
            self.say(str(refusal), trouble=True)

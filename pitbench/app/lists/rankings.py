"""Rankings: which motor for the main, how sure, and what would settle it."""

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal

from pitbench.app.actions import MOVES, RANKINGS, bindings, bindings_for
from pitbench.app.dialogs.choose import Choose
from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.lists.rankings_room import Room
from pitbench.app.lists.rankings_table import columns_of, rows_of
from pitbench.app.lists.rankings_views import (
    bars,
    marked_point,
    marked_trial,
    other_views,
    points,
    since_rows,
    weight_rows,
)
from pitbench.app.widgets.paint import Line, Lines, line, wrapped
from pitbench.app.widgets.table import Table
from pitbench.desk.answered import count_of
from pitbench.desk.answers import RankAnswer
from pitbench.desk.classes import NO_CLASS, class_choices
from pitbench.desk.comparing.ranked import Ranked, tried
from pitbench.desk.comparing.weights import Trial
from pitbench.desk.entry.class_entry import set_gearing_limit
from pitbench.desk.lists.motors import motor_named
from pitbench.desk.named import name_of
from pitbench.desk.states import last_on_the_bench, stands_since
from pitbench.records.keys import with_keys
from pitbench.records.kinds import Row
from pitbench.words.ranking import headline, leads_by_words, odd_words, trials_words
from pitbench.words.waiting import asks, waits_words

X_NAME, Y_NAME = "current, A", "KV against class, rpm/V"
FIRST = "{add-motor} writes down a motor, {add-bench-run} a bench run of the marked one."
LIMITS = (
    ("1", "none", "nothing: I could gear higher"),
    ("2", "heat", "motor temperature"),
    ("3", "rules", "the rules"),
    ("4", "gears", "my gears: I own no longer ones"),
    ("5", "unknown", "don't know"),
)


class RankingsScreen(ListScreen):
    """The answer in words, then the table with bars, the plot of KV against current, or the order by weight; both plots
    side by side under the table where there is room."""

    SHOWN = "rankings"
    FOOTER = ("set-gearing-limit", "edit-weights", "next-plot", "next-part=card", "put-beside", "show-keys")
    BINDINGS: ClassVar = [*bindings_for(RANKINGS), *bindings(MOVES)]

    def __init__(self) -> None:
        super().__init__()
        self._ranked: Ranked | None = None
        self._class: str | None = None
        self._view = "table"
        self._trials: list[Trial] = []

    CSS = """
    #below { height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        for part in super().compose():
            if part.id == "more":
                with Horizontal(id="below"):
                    yield part
            else:
                yield part

    # asking

    def ask(self) -> None:
        if self._class not in self.class_choices():
            self._class = None  # its class is gone: that of the newest run then
        ranked = self.asking.ranking(self._class)
        if ranked is not None:
            self._ranked = ranked
            self._show(ranked.answer)
        elif self._ranked is None:
            self.pane.say_waiting(self.pit.answers.ranking_key(self._class))

    def _show(self, answer: RankAnswer) -> None:
        first, *rest = headline(answer, self.pit.snapshot.team().test_minutes)
        odd = odd_words(self._ranked.odd_runs, self.pit.clock()) if self._ranked else ""
        waits = waits_words(count_of(self.pit.snapshot), asks())
        self.pane.say_close(first, *filter(None, [waits, odd, *rest, *([] if answer.motors else [with_keys(FIRST)])]))
        self.pane.footer(self.FOOTER if answer.motors else self.FIRST_FOOTER)
        room = self._room(answer)
        view = room.shown(self._view)
        self.pane.stand(table=view in ("table", "weights"), below=view != "plot")
        if view == "weights":
            self._show_weights(answer)
        else:
            self._show_table(answer)
            self.pane.below(self._below(answer, room))
        self.query_one("#more").styles.width = room.bars_width if room.beside(self._view) else "1fr"
        self._show_plot(answer)

    def _show_table(self, answer: RankAnswer) -> None:
        doubtful = self._ranked.doubtful if self._ranked else ()
        columns = columns_of(answer, len(self.class_choices()) > 1, self.units, doubtful)
        table = Table(columns, self.size.width)
        keys, drawn = rows_of(answer, table)
        self.pane.show(keys, drawn.__getitem__, table.heads() if keys else [])

    def _room(self, answer: RankAnswer) -> Room:
        words = len(self.query_one("#words", Lines).lines)
        return Room(answer, self.size.width, self.size.height, max(1, words))

    def _below(self, answer: RankAnswer, room: Room) -> list[Line]:
        if len(answer.motors) < 2:
            return []
        under_table = room.shown(self._view) == "table"
        width = room.bars_width if under_table else room.width
        since = since_rows(answer, self._since(), self.pit.clock(), width)
        if under_table and not room.bars_fit:
            return [*other_views(answer, len(self.class_choices()) > 1), *since]
        why = wrapped(self._why(answer), width - 4) if room.beside(self._view) else []
        return [*bars(answer, width), *since, *(line((f"   {row}", "quiet")) for row in why)]

    def _since(self) -> dict[str, Row]:
        """The work that the state of each motor began with, by its name."""
        snapshot = self.pit.snapshot
        found = stands_since(snapshot, last_on_the_bench(snapshot))
        return {name_of(snapshot, "motor", motor_id): work for motor_id, work in found.items()}

    def _show_plot(self, answer: RankAnswer) -> None:
        """KV against current, alone or beside the bars; in place of the words only where it stands alone."""
        room = self._room(answer)
        alone, beside = room.shown(self._view) == "plot", room.beside(self._view)
        if alone:
            self.pane.say(headline(answer)[0], f"{self._why(answer)}Up and left is better on the bench, without load.")
        against = self._ranked.against if self._ranked else None
        kv_of = against.kv_by_motor if against else {}
        measured = points(answer, self.pane.key, kv_of) if alone or beside else []
        if not measured:
            self.pane.no_plot()
            return
        from pitbench.app.widgets.plot import MotorPlot

        width = room.width - (room.bars_width if beside else 0)
        told = [marked_point(answer, self.pane.key, kv_of, width)]
        plot = self.pane.plot(MotorPlot)
        plot.styles.margin = (int(beside), 0, 0, 0)  # beside bars it begins where they do
        plot.show(measured, X_NAME, Y_NAME, told, beside)

    def _why(self, answer: RankAnswer) -> str:
        """What the leader leads by, where the plot does not show it."""
        by = self._ranked.leads_by if self._ranked else None
        said = leads_by_words(answer.leader or "", by)
        return f"{said} " if said else ""

    def _show_weights(self, answer: RankAnswer) -> None:
        key = ("order by weight", self._shown_class())
        found = self.asking.answer_to(key, partial(tried, class_name=key[1]), apart=True)
        if found is None:
            self.pane.say_waiting(key)
            return
        self._trials = found.value
        self.pane.say(headline(answer)[0], trials_words(self._trials))
        head, drawn = weight_rows(self._trials, self.size.width)
        self.pane.show([trial.label for trial in self._trials], drawn.__getitem__, [head])
        self.mark_moved()

    def mark_moved(self) -> None:
        """The arms of the plot go with the mark."""
        if self._ranked is None:
            return
        answer = self._ranked.answer
        if self._room(answer).shown(self._view) != "weights":
            self._show_plot(answer)
        elif self._trials:
            self.pane.below(marked_trial(self._trials, self.pane.key, self.size.width))

    def action_move_mark(self, step: str, way: int) -> None:
        """Also where the list is not seen."""
        self.pane.list.action_move_mark(step, way)

    # keys

    def marked_motor(self) -> str | None:
        return motor_named(self.pit.snapshot, self.pane.key)

    def action_open_record(self) -> None:
        motor = self.marked_motor()
        if motor:
            self.pit.routes.open("motor-page", motor)

    def class_choices(self) -> list[str]:
        return class_choices(self.pit.snapshot) if self.pit.logbook is not None else []

    def _shown_class(self) -> str:
        return (self._ranked.answer.class_ if self._ranked else None) or NO_CLASS

    def action_next_part(self) -> None:
        """The card for the main of this class; from there Tab goes on to the link, then to the next class."""
        if self._ranked is not None:
            self.pit.routes.go_to("main-card").show_class(self._class)

    def action_previous_part(self) -> None:
        self.action_show_link()

    def action_show_link(self) -> None:
        """Which bench figures of this class told about the track."""
        if self._ranked is not None:
            self.pit.routes.go_to("link").show_class(self._class)

    def show_class(self, class_: str | None) -> None:
        """The class asked for from its card."""
        if class_ != self._class:
            self._class, self._ranked = class_, None
        self.asking.again()

    def show_next_class(self) -> None:
        """The next class, where there are several."""
        classes = self.class_choices()
        if self._ranked is None or len(classes) < 2:
            return
        now = self._class if self._class is not None else self._shown_class()
        self._class = classes[(classes.index(now) + 1) % len(classes)] if now in classes else classes[0]
        self.asking.again()

    def action_next_plot(self) -> None:
        if self._ranked is not None:
            views = self._room(self._ranked.answer).views()
            self._view = views[(views.index(self._view) + 1) % len(views)] if self._view in views else "table"
            self._show(self._ranked.answer)

    def action_set_gearing_limit(self) -> None:
        if self._ranked is None:
            return
        class_name = self._ranked.answer.class_

        def answered(limit: str | None) -> None:
            if limit:
                self.pit.writing(lambda: set_gearing_limit(self.pit.book, class_name, limit))

        question = "What stops you gearing higher?"
        self.pit.push_screen(Choose(question, LIMITS, self._ranked.answer.gearing_limit), answered)

    def action_edit_weights(self) -> None:
        if self._ranked is not None:
            self.pit.routes.open_form("weights-form", self._shown_class())

"""A load log: what did the motor give under load? In words, a table, samples as plots; another log laid over it."""

from __future__ import annotations

from pitbench.app.actions import bindings
from pitbench.app.dialogs.choose import Choose
from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import Line, fitted, line, wrapped
from pitbench.desk.entry.run_entry import put_in_bin
from pitbench.desk.load.page import LogPage, log_page, others
from pitbench.records.keys import key_for
from pitbench.words import load_page as words

View = tuple[str, str, list[tuple[str, list[tuple[float, float]]]]]
"""A plot: what is drawn upwards, what along, and the samples of each log or column with its name."""
WARMTH = (("motor_temp_c", "motor"), ("esc_temp_c", "speed control"))
SINCE = "min since it began"
MOST_OTHERS = 9
AROUND, PLOT_LINES = 4, 10
"""Lines of the screen round words, table and plot; and how many a plot needs to stand under the table."""


class LoadLogPage(ListScreen):
    """Opened on top of the list or page the log was asked for on."""

    SHOWN = "runs"
    FOOTER = (
        "read-load-log=another",
        "next-plot",
        "put-beside=lay over",
        "open-record=its run",
        "go-back",
        "show-keys",
    )
    BESIDE_FOOTER = ("take-away=take away", *FOOTER[1:])
    BINDINGS = bindings(("next-plot",))

    def __init__(self, log_id: str) -> None:
        super().__init__()
        self._log_id = log_id
        self._page: LogPage | None = None
        self._beside: str | None = None
        self._view = 0
        self._listing = False

    def stands(self) -> None:
        self.pane.stand(table=False)

    # showing

    def ask(self) -> None:
        self._page = log_page(self.pit.snapshot, self._log_id)
        if self._page is None:
            self.close()
            return
        self._show(self._page)

    @property
    def _other(self) -> LogPage | None:
        return log_page(self.pit.snapshot, self._beside) if self._beside else None

    def _show(self, page: LogPage) -> None:
        other, now = self._other, self.pit.clock()
        said = f"{words.title(page, now)}, beside {words.title(other, now)}." if other else words.headline(page, now)
        self.pane.say(said)
        self.pane.footer(self.BESIDE_FOOTER if other else self.FOOTER)
        if self._listing:
            self._show_odd(page)
            return
        lines = self._beside_lines(page, other) if other else self._fact_lines(page)
        room = self.size.height - AROUND - len(wrapped(said, self.size.width - 2))
        views = self._views(page, other)
        fits = room - len(lines) >= PLOT_LINES
        shown = views[self._view % len(views)] if fits and views else None
        if not fits and views:  # by turns, the table first
            shown = [None, *views][self._view % (len(views) + 1)]
            lines = [] if shown else lines
        self._show_below(lines, shown)

    def _fact_lines(self, page: LogPage) -> list[Line]:
        width = self.size.width - 4
        lines = [
            line("   ", (fitted(label, 34), "quiet"), fitted(much, 19), (note, "quiet"))
            for label, much, note in words.facts(page, self.units)
        ]
        lines += self.pane.indented(words.against_bench(page), role="text")
        if told := words.odd_in_short(page):
            lines.append(line("   ", (fitted(told, width), "warn")))
        return lines

    def _beside_lines(self, page: LogPage, other: LogPage) -> list[Line]:
        names = words.told_apart(page, other, self.pit.clock())
        heads = "".join(fitted(text, 16, "right") for text in (*names, "apart"))
        lines = [line("   ", (f"{'':26}{heads}", "quiet"))]
        for label, *cells in words.beside(page, other, self.units):
            lines.append(line("   ", (fitted(label, 26), "quiet"), *(fitted(cell, 16, "right") for cell in cells)))
        return lines

    def _show_odd(self, page: LogPage) -> None:
        """All of it: of a very dirty log as much as there is room for."""
        rows = [row for text in words.odd(page) for row in wrapped(text, self.size.width - 6)]
        self._show_below([line(f"   {row}") for row in rows], None)

    # plots

    def _views(self, page: LogPage, other: LogPage | None) -> list[View]:
        """The plots there are samples for, each as its axes and what is drawn."""
        units, names = self.units, words.told_apart(page, other, self.pit.clock()) if other else ("",)
        named = list(zip(names, (page, other) if other else (page,), strict=True))
        speed = [(name, _points(log, "current_a", 1, "rpm", 0.001, used=True)) for name, log in named]
        current = [(name, _points(log, "time_s", 1 / 60, "current_a", 1)) for name, log in named]
        warmth = [
            (said if not other else f"{said}, {name}", _points(log, "time_s", 1 / 60, column, 1))
            for name, log in named
            for column, said in WARMTH[: 1 if other else 2]
        ]
        warmth = [(name, [(x, units.warmth(y)) for x, y in points]) for name, points in warmth]
        made = (
            ("rpm / 1000", "current, A", speed),
            (f"temperature, °{units.temperature}", SINCE, warmth),
            ("current, A", SINCE, current),
        )
        drawn = ((y, x, [(name, points) for name, points in series if points]) for y, x, series in made)
        return [(y, x, series) for y, x, series in drawn if series]

    def _show_below(self, lines: list[Line], view: View | None) -> None:
        """The table, and a plot in the room it leaves."""
        self.pane.below(lines)
        more = self.query_one("#more")
        more.display, more.styles.height = bool(lines), len(lines) if view else "1fr"
        if view is None:
            self.pane.no_plot()
            return
        from pitbench.app.widgets.log_plot import LogPlot

        y_name, x_name, series = view
        self.pane.plot(LogPlot).show(series, x_name, y_name)

    # keys

    def _again(self) -> None:
        if self._page is not None:
            self._show(self._page)

    def action_next_plot(self) -> None:
        self._view, self._listing = self._view + (not self._listing), False
        self._again()

    def action_explain_figure(self) -> None:
        self._listing = not self._listing
        self._again()

    def action_put_beside(self) -> None:
        found, now = others(self.pit.snapshot, self._log_id)[:MOST_OTHERS], self.pit.clock()
        if not found:
            self.pit.say(f"There is no other load log to lay over this one: {key_for('read-load-log')} reads another.")
            return
        choices = [(str(nth), each.log_id, words.title(each, now)) for nth, each in enumerate(found, 1)]

        def answered(log_id: str | None) -> None:
            if log_id:
                self._beside, self._listing = log_id, False
                self._again()

        self.pit.push_screen(Choose("Lay which log over this one?", choices, choices[0][1]), answered)

    def action_take_away(self) -> None:
        self._beside = None
        self._again()

    def action_go_back(self) -> None:
        if self._listing:
            self.action_explain_figure()
        elif self._beside:
            self.action_take_away()
        else:
            super().action_go_back()

    def action_open_record(self) -> None:
        """The run it belongs to, in the list of runs."""
        if self._page is not None:
            day = self._page.when[:10]
            which = " track" if self._page.answer.run else ""
            self.pit.routes.go_to("runs").narrow_to(f"{self._page.answer.motor} {day}{which}")

    def action_delete_record(self) -> None:
        self.pit.writing(lambda: put_in_bin(self.pit.book, self._log_id))

    def marked_motor(self) -> str | None:
        return self._page.motor_id if self._page else None


def _points(
    log: LogPage, along: str, x: float, upwards: str, y: float, used: bool = False
) -> list[tuple[float, float]]:
    """Samples of two columns, each by its factor; those that counted alone where `used`."""
    if along not in log.trace or upwards not in log.trace:
        return []
    counted = log.trace.get("used", [])
    pairs = zip(log.trace[along], log.trace[upwards], counted, strict=True)
    return [(x * left, y * up) for left, up, counts in pairs if counts or not used]

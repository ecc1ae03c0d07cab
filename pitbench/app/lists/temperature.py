"""Temperature: how far each motor has cooled, and what it will come in at while single keys change the plan."""

from dataclasses import replace
from functools import partial
from math import isnan
from typing import ClassVar

from pitbench.app.actions import GEARING, TEMPERATURE, bindings_for
from pitbench.app.lists.plan_keys import ForecastKeys
from pitbench.app.lists.temperature_table import motor_columns, plan_lines, plan_table
from pitbench.app.widgets.paint import Line
from pitbench.app.widgets.table import Table
from pitbench.desk.forecasting.forecast import Planned
from pitbench.desk.forecasting.heat import Heat, learned_heat, newest_class
from pitbench.desk.forecasting.heat_picture import heat_picture
from pitbench.desk.forecasting.next_start import Start
from pitbench.desk.forecasting.temperature import Standing, standings, warm_start
from pitbench.desk.forecasting.temperature_plan import PlanAnswer, left_open, plan_answer
from pitbench.records.keys import key_for
from pitbench.words.temperature import (
    against_words,
    illegal_words,
    longest_sets_words,
    no_plan_words,
    standing_cells,
    standing_headline,
    table_basis_words,
)

FOLLOWS_S = 5.0
"""How often the clock is looked at."""
CAUTION = "A hot can burns at a touch. Heed its maker, your club and local codes."
LEAST_LINES, MOST_LINES = 4, 7
"""Of the table of pinions: the least at 24 rows, more where there is room."""
ROOMY = 3
"""Notes that leave room for an empty line above them at 24 rows."""


class TemperatureScreen(ForecastKeys):
    """Where motors stand, and the plan of the marked one; Tab shows it as a plot."""

    SHOWN = "temperature"
    EXPLAINS = "comes in at, half of them, nine in ten"
    FOOTER = ("pinion-up=pinion", "length-up=length", "add-reading", "add-track-run", "next-part=plot", "show-keys")
    PLOT_FOOTER = (*FOOTER[:4], "next-part=table", "show-keys")
    BINDINGS: ClassVar = bindings_for(GEARING, TEMPERATURE)

    _heat: Heat | None = None
    _plotted: bool = False

    def __init__(self) -> None:
        super().__init__()
        self._standings: list[Standing] = []

    def stands(self) -> None:
        self.set_interval(FOLLOWS_S, self._follow_clock)

    # asking

    def ask(self) -> None:
        snapshot = self.pit.snapshot
        self._class = newest_class(snapshot)
        key = ("forecast", self._class)
        found = self.asking.answer_to(key, partial(learned_heat, class_id=self._class))
        if found is None:
            self.pane.say_waiting(key)
            return
        self._heat = found.value
        self.pit.plans.begin(snapshot, self._heat)
        self._show()

    def _follow_clock(self) -> None:
        if self._heat is not None and self.is_current:
            self._show()

    @property
    def _marked(self) -> Standing | None:
        key = self.pane.key
        return next((s for s in self._standings if s.motor_id == key), self._standings[0] if self._standings else None)

    def _next(self) -> Start:
        return self.pit.plans.start(self.pit.snapshot, self.pit.clock())

    # showing

    def _show(self) -> None:
        assert self._heat is not None
        if not self._heat.runs:
            self.pane.say(
                f"No track run yet: {key_for('add-track-run')} writes one down, with the temperature it came in at.",
                CAUTION,
            )
            self._standings = []
            self.pane.show()
            self.pane.below()
            self._stand(plotted=False)
            return
        start, now = self._next(), self.pit.clock()
        self._standings = standings(self.pit.snapshot, self._heat, self._class, now, start.at)
        table = Table(motor_columns(f"{start.at:%H:%M}", self.size.width), self.size.width)
        air = self._heat.columns.ambient_c[-1]
        rows = [table.row(standing_cells(standing, air, self.units)) for standing in self._standings]
        self.pane.show([s.motor_id for s in self._standings], rows.__getitem__, table.heads())
        self._show_plan()

    def mark_moved(self) -> None:
        if self._heat is not None:
            self._show_plan()

    def _show_plan(self) -> None:
        marked = self._marked
        plan = self.pit.plans.of(marked.motor_id) if marked else None
        if marked is None or plan is None or self._heat is None:
            if marked and self._heat is not None:
                self.pane.say(no_plan_words(marked.motor, left_open(self._heat, marked.motor_id)))
            self.pane.below()
            self._stand(plotted=False)
            return
        plan = replace(plan, start_c=warm_start(marked))
        ceiling = self.pit.snapshot.team().ceiling_c
        if ceiling <= plan.ambient_c:
            limit, air = self.units.degrees(ceiling), self.units.degrees(plan.ambient_c)
            self.pane.say(
                f"Your temperature limit, {limit}, is not above the ambient, {air}. "
                f"{key_for('open-palette')}, settings."
            )
            self.pane.below(plan_lines(marked, plan, self.units, self.size.width, self.step_keys))
            self._stand(plotted=False)
            return
        lines = max(LEAST_LINES, min(MOST_LINES, LEAST_LINES + (self.size.height - 24) // 2))
        answer = plan_answer(self.pit.snapshot, self._heat, plan, ceiling, lines)
        self.pane.say(standing_headline(self._next(), marked, answer, ceiling, self.units))
        self._stand(self._plotted)
        if self._plotted:
            self._show_plot(marked, plan, ceiling)
        else:
            self.pane.below(
                [
                    *plan_lines(marked, plan, self.units, self.size.width, self.step_keys),
                    (),
                    *plan_table(answer, ceiling, self.units, self.size.width),
                    *self._notes(answer),
                ]
            )

    def _stand(self, plotted: bool) -> None:
        """The plot of a plan or the table; where there is no plan, none is plotted."""
        self._plotted = plotted
        self.pane.stand(table=not plotted, below=not plotted)
        self.pane.footer(self.PLOT_FOOTER if plotted else self.FOOTER)
        if not plotted:
            self.pane.no_plot()
            if not self.pane.list.has_focus:
                self.pane.list.focus()

    def _notes(self, answer: PlanAnswer) -> list[Line]:
        marked = self._marked
        told = [
            *illegal_words(answer),
            longest_sets_words(answer, self.units),
            *([CAUTION] if any(standing.hot for standing in self._standings) else []),  # whatever else has no room
            *against_words(answer),
            table_basis_words(answer, marked.motor if marked else ""),
        ]
        assert self._heat is not None
        if isnan(self._heat.columns.ambient_c[-1]):
            steps = f"{key_for('ambient-up')} and {key_for('ambient-down')} change it"
            told.append(f"The newest run tells no ambient: that of an earlier one is planned, {steps}.")
        rows = self.pane.indented(*told)
        if len(rows) <= ROOMY:
            return [(), *rows]
        return self.pane.indented(" ".join(filter(None, told)))  # what they were learned from, the last, has room too

    # the plot

    def _show_plot(self, marked: Standing, plan: Planned, ceiling: float) -> None:
        from pitbench.app.widgets.heat_plot import HeatPlot

        assert self._heat is not None
        picture = heat_picture(self.pit.snapshot, self._heat, marked, plan, ceiling, self.pit.clock(), self.units)
        self.pane.plot(HeatPlot).show(picture)

    def action_next_part(self) -> None:
        """The plan as a plot, and back."""
        if self._heat is not None and self._heat.runs:
            self._plotted = not self._plotted
            self._show_plan()

    # keys

    def action_step_plan(self, name: str, by: int) -> None:
        marked = self._marked
        if marked is not None:
            self.pit.plans.step(marked.motor_id, name, by)
            self._show_plan()

    def marked_motor(self) -> str | None:
        return self._marked.motor_id if self._marked else None

    def marked_run(self) -> str | None:
        """The run the mark's line tells of."""
        return self._marked.run if self._marked else None

    def action_open_record(self) -> None:
        if self._marked:
            self.pit.routes.open("motor-page", self._marked.motor_id)

    def action_edit_record(self) -> None:
        run = self.marked_run()
        if run:
            self.pit.routes.open_form("track-form", None, run_id=run)
        elif self._marked:
            edits = f"{key_for('edit-record')} on Runs edits an earlier run"
            self.pit.say(f"{self._marked.motor} has not run today; {edits}.")

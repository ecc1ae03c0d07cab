"""Is a motor getting slower? Its power at load against track minutes, as large as there is room. Part of its page."""

from pitbench.app.pages.motor_part import MotorPart
from pitbench.app.widgets.trend import trend_line
from pitbench.app.widgets.wear_plot import WearPlot
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.comparing.worn import MotorWear
from pitbench.desk.lists.motor_page import POWER, short_of, trends_of
from pitbench.desk.lists.motors import class_of
from pitbench.records.kinds import Row
from pitbench.words.wear import drift_words, slower_words, too_early_words


class WearScreen(MotorPart):
    """The answer in words, then the plot."""

    PART = "wear"
    FOOTER = ("next-part=timing sweeps", "add-bench-run", "go-back", "show-keys")
    LINES_REST_ON_ANSWERS = False

    def ask_of(self, motor: Row) -> None:
        ranked = self.asking.ranking(class_of(self.pit.snapshot, self._motor_id) or NO_CLASS)
        wear = ranked.wear.get(self._motor_name) if ranked else None
        self.pane.stand(table=False, below=False)
        if wear is not None:
            self._show(wear)
            return
        missing = short_of(self.pit.snapshot, self._motor_id)
        said = f"{too_early_words(missing)}." if missing else "not ranked." if ranked else "working it out …"
        self.pane.no_plot()
        self.pane.say(f"{self._motor_name}, is it getting slower? {said[0].upper()}{said[1:]}")

    def _show(self, wear: MotorWear) -> None:
        now = self.pit.clock()
        said = self.pane.folded(f"{self._motor_name}. {slower_words(wear)}", drift_words(wear))
        figures = [trend_line(trend, wear.minutes, now) for trend in trends_of(wear) if trend.label != POWER]
        self.pane.say_lines([*said, (), *figures])
        if wear.line is not None:
            self.pane.plot(WearPlot).show(wear.line)

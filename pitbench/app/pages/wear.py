"""Is a motor getting slower? Its power at load against track minutes, as large as there is room. Part of its page."""

from pitbench.app.lists.list_screen import ListScreen
from pitbench.app.widgets.paint import line, wrapped
from pitbench.app.widgets.trend import trend_line
from pitbench.app.widgets.wear_plot import WearPlot
from pitbench.desk.classes import NO_CLASS
from pitbench.desk.comparing.worn import MotorWear
from pitbench.desk.lists.motor_page import POWER, short_of, trends_of
from pitbench.desk.lists.motors import class_of
from pitbench.words.wear import drift_words, slower_words, too_early_words


class WearScreen(ListScreen):
    """The answer in words, then the plot."""

    SHOWN = "motors"
    FOOTER = ("next-part=timing sweeps", "add-bench-run", "go-back", "show-keys")
    LINES_REST_ON_ANSWERS = False

    def __init__(self, motor_id: str) -> None:
        super().__init__()
        self._motor_id = motor_id

    def ask(self) -> None:
        snapshot = self.pit.snapshot
        motor = snapshot.row("motor", self._motor_id)
        if motor is None or "binned_at" in motor:
            self.pit.pop_screen()
            return
        ranked = self.asking.ranking(class_of(snapshot, self._motor_id) or NO_CLASS)
        wear = ranked.wear.get(motor["name"]) if ranked else None
        for each in ("#list", "#more"):
            self.query_one(each).display = False
        if wear is not None:
            self._show(motor["name"], wear)
            return
        missing = short_of(snapshot, self._motor_id)
        said = f"{too_early_words(missing)}." if missing else "not ranked." if ranked else "working it out …"
        self.query(WearPlot).set(display=False)
        self.pane.say(f"{motor['name']}, is it getting slower? {said[0].upper()}{said[1:]}")

    def _show(self, name: str, wear: MotorWear) -> None:
        width, now = max(20, self.size.width - 2), self.pit.clock()
        told = filter(None, [f"{name}. {slower_words(wear)}", drift_words(wear)])
        said = [line(row) for text in told for row in wrapped(text, width)]
        figures = [trend_line(trend, wear.minutes, now) for trend in trends_of(wear) if trend.label != POWER]
        self.pane.say_lines([*said, (), *figures])
        if wear.line is not None:
            self.pane.plot(WearPlot).show(wear.line)

    def action_next_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "wear")

    def action_previous_part(self) -> None:
        self.pit.routes.motor_part(self._motor_id, "wear", -1)

    def marked_motor(self) -> str | None:
        return self._motor_id
